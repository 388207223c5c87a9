"""Canonical JSON: equal to the rfc8785 library wherever both may speak, strict where ours may not."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from rackwright.seal import Malformed, canonical, read_canonical

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(1 - 2**53, 2**53 - 1) | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=20,
)


@given(VALUES)
@settings(max_examples=400)
def test_same_bytes_as_the_peer_library_and_back(value: Any) -> None:
    data = canonical(value)
    assert data == rfc8785.dumps(value)
    assert read_canonical(data) == value


@given(VALUES, st.data())
@settings(max_examples=300)
def test_an_altered_byte_is_refused_or_another_value(value: Any, data: st.DataObject) -> None:
    whole = canonical(value)
    at = data.draw(st.integers(0, len(whole) - 1))
    altered = whole[:at] + bytes([whole[at] ^ data.draw(st.integers(1, 255))]) + whole[at + 1 :]
    try:
        found = read_canonical(altered)
    except Malformed:
        return
    assert canonical(found) == altered != whole


@pytest.mark.parametrize(
    ("value", "place"),
    [
        (1.5, "the whole"), ({"a": [0, 2.0]}, "/a/1"), (2**53, "the whole"), ([-(2**53)], "/0"),
({"a": "\ud800"}, "/a"), ({"\udfff": 1}, "the whole"), ({1: 2}, "the whole"),
        ({"a": b"x"}, "/a"), ({"a": {1, 2}}, "/a"), (float("nan"), "the whole"),
    ],
)  # fmt: skip
def test_what_a_record_may_not_hold_is_refused_with_its_place(value: Any, place: str) -> None:
    with pytest.raises(Malformed) as caught:
        canonical(value)
    assert str(caught.value).startswith(f"{place}: ")


def test_a_number_too_large_to_print_is_refused_like_any_other() -> None:
    with pytest.raises(Malformed, match="bits"):
        canonical(10**5000)


@pytest.mark.parametrize(
    "text",
    [
        b"", b" 1", b"1 ", b"1\n", b"01", b"-0", b"1.0", b"1e3", b"NaN", b"Infinity", b'{"b":1,"a":2}',
        b'{"a":1,"a":1}', b'"\\u0041"', b'"\\/"', b'"\\u000A"', b'"\xff"', b"\xef\xbb\xbf1", b'"\\ud800"',
        b'{"a": 1}', b"9007199254740992", b"1" * 6000, b"[" * 100_000, b"[" * 70 + b"]" * 70, b"tru", b"'a'",
    ],
)  # fmt: skip
def test_anything_but_the_canonical_form_is_refused(text: bytes) -> None:
    with pytest.raises(Malformed):
        read_canonical(text)


def nested(levels: int, key: str = "") -> Any:
    """So many lists in each other, or objects under this key."""
    value: Any = 1
    for _ in range(levels):
        value = {key: value} if key else [value]
    return value


@pytest.mark.parametrize("key", ["", "a", "\U0001f600"])
def test_what_is_nested_65_levels_deep_is_held_and_66_is_not(key: str) -> None:
    """Of the format, and forever: the innermost value lies below 64 others, and one more is refused."""
    held = nested(64, key)
    assert canonical(held) == rfc8785.dumps(held)
    assert read_canonical(rfc8785.dumps(held)) == held
    deeper = nested(65, key)
    with pytest.raises(Malformed, match="deeper than 64"):
        canonical(deeper)
    with pytest.raises(Malformed, match="deeper than 64"):
        read_canonical(rfc8785.dumps(deeper))


def test_lists_count_where_the_careful_way_is_taken_too() -> None:
    assert canonical({"\u00e9": nested(63)}) == rfc8785.dumps({"\u00e9": nested(63)})
    with pytest.raises(Malformed, match="deeper than 64"):
        canonical({"\u00e9": nested(64)})


def test_the_largest_whole_numbers_are_held_and_no_larger_one() -> None:
    for number in (2**53 - 1, 1 - 2**53):
        assert read_canonical(canonical({"\u00e9": [number]})) == {"\u00e9": [number]}
        assert canonical([number]) == f"[{number}]".encode()
    for number in (2**53, -(2**53)):
        for value in ([number], {"\u00e9": number}):
            with pytest.raises(Malformed, match="larger than 2"):
                canonical(value)


@pytest.mark.parametrize(
    "value",
    [None, True, False, "", "\u00e9\U0001f600", 0, 2**53 - 1, 1 - 2**53, [], (1, "a"), {"a": [1, {"b": None}], "": 2},
     nested(64), nested(64, "a")],
)  # fmt: skip
def test_whatever_may_go_the_quick_way_does(value: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """The quick way is the standard library's own; what it may take is everything but what RFC 8785 sorts otherwise
    and what a record may not hold."""
    monkeypatch.delattr(import_module("rackwright.seal.canonical"), "_text")
    assert canonical(value) == rfc8785.dumps(value)


@pytest.mark.parametrize(
    "data",
    [b"null", b'"a"', b"123456789012345", b"-123456789012345", b"[" * 64 + b"]" * 64, b'{"a":' * 64 + b"1" + b"}" * 64,
     b'{"a":' * 32 + b"[" * 32 + b"]" * 32 + b"}" * 32, b"[" + b",".join([b"{}"] * 63) + b"]"],
)  # fmt: skip
def test_whatever_may_be_read_the_quick_way_is(data: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(import_module("rackwright.seal.canonical"), "_plain")
    assert rfc8785.dumps(read_canonical(data)) == data
