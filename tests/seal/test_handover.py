"""Keys of a shop over the years: handed over by both, followed one way, revoked from a size on."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from rackwright.seal import (
    DEMO_SEED,
    Handover,
    Malformed,
    Tree,
    Trust,
    canonical,
    hand_over,
    key_id,
    leaf_hash,
    make_seal,
    public_key,
    read_handover,
    read_keys,
    read_revocation,
    revoke,
    verify,
    write_keys,
)
from rackwright.seal.standalone import main

AT = "2031-05-04T13:00:00Z"
FIRST, SECOND, THIRD, STRANGER = (bytes([n]) * 32 for n in range(4))
IDS = [key_id(public_key(seed)) for seed in (FIRST, SECOND, THIRD, STRANGER)]
PDF = b"%PDF an invented dossier"
EVENT: dict[str, Any] = {"seq": 1, "type": "release", "refs": {"serials": ["SN-1"]}}
SEAL = make_seal("SN-1", PDF, [EVENT], Tree([leaf_hash(canonical(EVENT))]), AT, FIRST)
TWICE = (hand_over(FIRST, SECOND, 5, AT), hand_over(SECOND, THIRD, 9, AT))


def of_key(trusted: str | None, trust: Trust) -> tuple[bool, str]:
    (found,) = [check for check in verify(PDF, SEAL, trusted, trust=trust) if check.name == "key"]
    return found.ok, found.words


def test_a_dossier_of_the_first_key_holds_by_the_third_and_by_any_between() -> None:
    trust, faults = read_keys(write_keys(Trust.of(TWICE)))
    assert not faults
    for key in IDS[:3]:
        assert of_key(key, trust)[0]
    assert "handovers join it" in of_key(IDS[2], trust)[1]
    assert not of_key(IDS[3], trust)[0]
    assert not of_key(IDS[2], Trust())[0]
    assert not of_key(IDS[2], Trust.of(TWICE[1:]))[0]


def test_a_later_dossier_holds_by_an_earlier_key() -> None:
    trust = Trust.of(TWICE)
    assert [trust.doubt(IDS[0], key, 12) for key in IDS[:3]] == ["", "", ""]
    assert IDS[3] in trust.doubt(IDS[0], IDS[3], 12)


def test_a_stranger_hands_nothing_over() -> None:
    """Neither his own key to the shop's, which its key did not sign, nor the shop's to his; nor by the DEMO key."""
    his = hand_over(STRANGER, THIRD, 9, AT)
    unsigned = replace(his, to_signature=hand_over(STRANGER, SECOND, 9, AT).to_signature)
    stolen = replace(hand_over(STRANGER, THIRD, 9, AT), from_key=public_key(FIRST).hex())
    own = replace(his, to_signature=his.from_signature)
    demo = hand_over(DEMO_SEED, SECOND, 1, AT)
    itself = hand_over(FIRST, FIRST, 1, AT)
    assert his.holds()
    for forged in (unsigned, stolen, own, demo, itself):
        assert not forged.holds()
        assert Trust.of([forged]) == Trust()
    assert not of_key(IDS[3], Trust.of((*TWICE, unsigned, own)))[0]


def test_each_field_of_a_handover_is_signed() -> None:
    (one, _), other = TWICE, hand_over(SECOND, STRANGER, 6, "2031-05-05T00:00:00Z")
    for name in Handover.__dataclass_fields__:
        assert not replace(one, **{name: getattr(other, name)}).holds(), name


def test_handovers_are_followed_one_way_and_a_key_that_handed_over_twice_leads_nowhere() -> None:
    """Who stole the first key hands it over to his own: the third does not vouch for his, nor the first for either."""
    trust = Trust.of((*TWICE, hand_over(FIRST, STRANGER, 6, AT)))
    assert not trust.joins(IDS[2], IDS[3])
    assert not trust.joins(IDS[0], IDS[3])
    assert trust.joins(IDS[1], IDS[2])
    loop = Trust.of((*TWICE, hand_over(THIRD, FIRST, 9, AT)))
    assert not loop.leads(IDS[0], IDS[3])


def test_a_revoked_key_stands_up_to_a_size_and_no_further() -> None:
    for size, believed in ((0, False), (1, True), (2, True)):
        trust = Trust.of(TWICE, [revoke(IDS[0], size, AT, "stolen", "A. Quill", SECOND)])
        ok, words = of_key(IDS[0], trust)
        assert ok is believed
        assert f"revoked from event {size + 1} on by A. Quill: stolen" in words
        assert of_key(None, trust)[0] is believed
        assert (trust.doubt(IDS[0], IDS[0], 1) == "") is believed


def test_a_key_revoked_hands_over_to_nobody_afterwards() -> None:
    gone = revoke(IDS[1], 7, AT, "stolen", "A. Quill", THIRD)
    assert not Trust.of(TWICE, [gone]).joins(IDS[0], IDS[2])
    assert Trust.of(TWICE, [replace(gone, size=9)]).revocations == ()
    first = revoke(IDS[1], 9, AT, "stolen", "A. Quill", THIRD)
    assert Trust.of(TWICE, [first]).joins(IDS[0], IDS[2])
    both = Trust.of(TWICE, [first, gone])
    assert both.revoked(IDS[1]) == gone
    assert both.revoked(IDS[2]) is None


def test_only_a_key_that_it_handed_over_to_revokes_a_key() -> None:
    for seed, counts in ((FIRST, True), (SECOND, True), (THIRD, True), (STRANGER, False), (DEMO_SEED, False)):
        trust = Trust.of(TWICE, [revoke(IDS[0], 1, AT, "stolen", "A. Quill", seed)])
        assert bool(trust.revocations) is counts
    assert not Trust.of(TWICE, [revoke(IDS[2], 1, AT, "his", "A. Thief", FIRST)]).revocations


def test_handover_revocation_and_list_round_trip() -> None:
    gone = revoke(IDS[0], 1, AT, "stolen", "A. Quill", THIRD)
    assert read_handover(TWICE[0].to_json()) == TWICE[0]
    assert read_revocation(gone.to_json()) == gone
    trust = Trust.of(TWICE, [gone])
    assert read_keys(write_keys(trust)) == (trust, [])


@pytest.mark.parametrize(
    ("name", "value"),
    [("size", -1), ("size", True), ("size", "5"), ("at", 5), ("from_key", "AB" * 32), ("to_signature", "ab"),
     ("format", "rackwright/handover/2"), ("more", 1)],
)  # fmt: skip
def test_a_handover_with_a_wrong_field_is_none(name: str, value: Any) -> None:
    with pytest.raises(Malformed):
        read_handover(TWICE[0].to_json() | {name: value})
    with pytest.raises(Malformed):
        read_handover([])


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", '{"format":"rackwright/keys/2","handovers":[],"revoked":[]}',
     '{"format":"rackwright/keys/1","handovers":{},"revoked":[]}',
     '{"format":"rackwright/keys/1","handovers":[1],"revoked":[]}',
     '{"format":"rackwright/keys/1","handovers":[],"revoked":[{}]}'],
)  # fmt: skip
def test_a_list_of_keys_that_is_none_is_told(text: str) -> None:
    trust, faults = read_keys(text.encode(), "keys.json")
    assert trust == Trust()
    assert [(fault.code, fault.where.file) for fault in faults] == [("RW604", "keys.json")]


def test_the_one_file_reads_the_list_beside(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "SN-1.pdf").write_bytes(PDF)
    (tmp_path / "SN-1.seal").write_bytes(SEAL)
    asked = [str(tmp_path / "SN-1.pdf"), "--key", IDS[2]]
    assert main(asked) == 1
    (tmp_path / "keys.json").write_bytes(write_keys(Trust.of(TWICE)))
    assert main(asked) == 0
    gone = revoke(IDS[0], 0, AT, "stolen", "A. Quill", THIRD)
    (tmp_path / "keys.json").write_bytes(write_keys(Trust.of(TWICE, [gone])))
    assert main(asked) == 1
    assert "stolen" in capsys.readouterr().out
    (tmp_path / "keys.json").write_text(json.dumps({}))
    assert main(asked) == 2
