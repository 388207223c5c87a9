"""What is to be recorded is well formed: both sides of each rule, and the words of each fault."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from histories import act
from rackwright.record import EVENTS, Event, Refs, check
from rackwright.record import events as table
from states import heard

LIFT = {"hold": "h", "reason": "r"}


def found(event: Event) -> list[tuple[str, str]]:
    return [(fault.where.field, fault.found) for fault in check(event)]


def trial(monkeypatch: pytest.MonkeyPatch, layout: dict[str, Any], v: int = 1) -> None:
    monkeypatch.setitem(EVENTS, "trial", table.EventType("a trial", layout, v=v))


def test_a_fault_says_where_and_what_would_do() -> None:
    (fault,) = check(act(1, "bless", {}), "log.txt")
    assert (fault.code, str(fault.where), fault.do) == (
        "RW504", "log.txt /type", "correct it as the table of event types says")  # fmt: skip
    (fault,) = check(act(1, "bless", {}))
    assert (fault.where.file, fault.where.line, fault.found) == ("event", 0, "'bless' is not an event type")


def test_a_broken_envelope_is_told_alone() -> None:
    assert found(replace(act(1, "bless", {}), by="")) == [("/by", "must be a text and not empty")]
    assert [place for place, _ in found(act(1, "lift", LIFT | {"hold": 0.5}))] == ["/body/hold"]


@pytest.mark.parametrize("v", [1, 3, 300])
def test_only_the_newest_layout_is_recorded(v: int, monkeypatch: pytest.MonkeyPatch) -> None:
    trial(monkeypatch, {}, 300)
    words = [("/v", f"layout {v} of trial, where 300 is the newest")]
    assert found(act(1, "trial", {}, v=int(str(v)))) == (words if v < 300 else [])
    trial(monkeypatch, {}, 2)
    assert [place for place, _ in found(act(1, "trial", {}, v=v))] == ["/v"]


@pytest.mark.parametrize("type", ["lift", "correction"])
def test_a_correction_and_only_a_correction_names_what_it_corrects(type: str) -> None:
    body: dict[str, Any] = LIFT if type == "lift" else {"reason": "misread", "changes": []}
    words = [("/corrects", "a correction, and only a correction, names the event it corrects")]
    for corrects in (None, 3):
        good = (type == "correction") == (corrects is not None)
        assert found(act(1, heard(type), body, corrects=corrects)) == ([] if good else words)


def test_each_name_is_known_and_all_that_must_be_there_is(monkeypatch: pytest.MonkeyPatch) -> None:
    trial(monkeypatch, {"b": "int", "a?": "int", "c": [{"d": "int", "e?": "int"}]})
    whole = {"b": 1, "a": 1, "c": [{"d": 1, "e": 1}, {"d": 1}]}
    assert found(act(1, "trial", whole)) == found(act(1, "trial", {"b": 1, "c": []})) == []
    assert found(act(1, "trial", {heard("a"): 1})) == [("/body/b", "missing"), ("/body/c", "missing")]
    faults = found(act(1, "trial", whole | {"a?": 1, "z": 2, "c": [{}, {"d": 1, "x": 1}]}))
    assert [place for place, _ in faults] == [
        "/body/a?", "/body/z", "/body/c/0/d", "/body/c/1/x"]  # fmt: skip
    assert faults[-1][1] == "not a field here; fields are d, e"


@pytest.mark.parametrize("kind", ["ids", [{"a": "int"}]])
def test_a_list_is_a_list_and_each_item_has_its_place(kind: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    trial(monkeypatch, {"x": kind})
    good, bad = ("a", 7) if kind == "ids" else ({"a": 1}, {"a": "1"})
    for many in ([], [good], [good, good], (good,)):
        assert found(act(1, "trial", {"x": [*many]})) == []
    places = [place for place, _ in found(act(1, "trial", {"x": [bad, good, bad]}))]
    assert places == ["/body/x/0", "/body/x/2"] if kind == "ids" else ["/body/x/0/a", "/body/x/2/a"]
    for other in ("ab", 7, None, {"a": 1}, True):
        ((place, words),) = found(act(1, "trial", {"x": other}))
        assert (place, words) == (
            "/body/x", f"{other!r} where a list{' of ids' if kind == 'ids' else ''} must stand")  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "words", "good", "bad"),
    [
        ("text", "a text", ["", "\n"], [None, 7]),
        ("bool", "true or false", [True, False], [0, 1, "true", None]),
        ("map", "an object", [{}, {"a": 1}], [[], "a", None]),
        ("int", "a whole number", [-1, 0, 1], [True, "1", None]),
        ("nm", "whole nanometres, 0 or more", [0, 1], [-1, True, "1", None]),
        ("count", "a whole number, 0 or more", [0, 1], [-1, True, "1", None]),
        ("date", "a date YYYY-MM-DD", ["2031-01-01", "2031-12-31"], ["2031-00-01", "2031-01-32", "2031-01-011"]),
        ("nm2", "whole square nanometres as text, 0 or more", ["0", "10"], ["", "00", "-0", "1 "]),
        ("outline", "three corners or more, each [x, y] in whole nanometres",
         [[[0, 0], [1, 0], [0, 1]], [[0, 0], [1, 0], [1, 1], [0, 1]], [[-1, 0], [1, 0], [0, 1]]],
         [[], [[0, 0], [1, 0]], [[0, 0], [1, 0], [1]], [[0, 0], [1, 0], [1, 1, 1]], [[0, 0], [1, 0], "ab"],
          [[0, 0], [1, 0], [1, "1"]], [[0, 0], [1, 0], [True, 1]], [[0, 0], [1, 0], {"x": 1, "y": 2}], "abc", 7]),
    ],
)  # fmt: skip
def test_a_value_is_of_its_kind_or_it_is_said_what_must_stand_there(
    kind: str, words: str, good: list[Any], bad: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    trial(monkeypatch, {"x": heard(kind)})
    for value in good:
        assert found(act(1, "trial", {"x": value})) == []
    for value in bad:
        assert found(act(1, "trial", {"x": value})) == [
            ("/body/x", f"{value!r:.60} where {words} must stand")
        ]


@pytest.mark.parametrize("unseen", ["\x00", "\x1f", "\x7f", "\x9f", "\xad", "\u061c", "\u200b", "\u200f", "\u2028",
                                    "\u202e", "\u2060", "\u206f", "\ufeff"])  # fmt: skip
def test_what_nobody_sees_stands_in_no_name(unseen: str) -> None:
    words = f"{f'a{unseen}b'!r} holds U+{ord(unseen):04X}, which cannot be seen"
    event = act(1, "lift", LIFT, refs=Refs.of(pieces=[f"a{unseen}b"]))
    assert found(event) == [("/refs/pieces", words)]
    assert [place for place, _ in found(act(1, "lift", LIFT | {"hold": f"a{unseen}b"}))] == ["/body/hold"]
    assert found(act(1, "lift", LIFT | {"note": f"a{unseen}b"})) == []
    for seen in (chr(ord(unseen) + 0x100), "\x20", "\xa0", "\u2010", "\u2027", "\u202f", "\u205f", "\u2070"):
        assert found(act(1, "lift", LIFT, refs=Refs.of(pieces=[f"a{seen}b"]))) == []
