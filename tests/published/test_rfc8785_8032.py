"""Printed examples of RFC 8785 (canonical JSON) and RFC 8032 (Ed25519).

How known: read, in several independent test suites that quote the RFCs and agree.
"""

from __future__ import annotations

from rackwright.seal import canonical, public_key
from rackwright.seal.keys import check_signature, sign


def test_rfc8785_section_3_2_3_order_of_keys() -> None:
    value = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    expected = (
        '{"\\r":"Carriage Return","1":"One","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis",'
        '"\u20ac":"Euro Sign","\U0001f600":"Emoji: Grinning Face","\ufb33":"Hebrew Letter Dalet With Dagesh"}'
    )
    assert canonical(value) == expected.encode()


def test_rfc8785_section_3_2_2_text_and_literals() -> None:
    value = {"string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/", "literals": [None, True, False]}
    expected = '{"literals":[null,true,false],"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    assert canonical(value) == expected.encode()


def test_rfc8032_section_7_1_test_1() -> None:
    seed = bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
    public = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
    signature = (
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555f"
        "b8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
    )
    assert public_key(seed).hex() == public
    assert sign(seed, b"").hex() == signature
    assert check_signature(bytes.fromhex(public), bytes.fromhex(signature), b"")
    assert not check_signature(bytes.fromhex(public), bytes.fromhex(signature), b"\x00")
