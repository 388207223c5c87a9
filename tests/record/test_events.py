"""The envelope and the table of event types: what is taken, what is refused and where, and upgrades."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from histories import act, shop_history
from rackwright import record
from rackwright.record import (
    EVENTS,
    Event,
    Known,
    Refs,
    check,
    checking,
    clock,
    current,
    new_event,
    parse_event,
    read_event,
    rows,
)
from rackwright.record import events as table
from rackwright.record.envelope import known_of
from rackwright.seal import Malformed, canonical, leaf_hash, read_canonical

CUT = shop_history()[11][0]
MODULES = [import_module(f"rackwright.record.{each.name}") for each in iter_modules(record.__path__)]
NAMES = st.lists(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=6), max_size=3)


def test_nothing_that_the_record_gives_out_can_be_changed() -> None:
    kinds = {kind for module in MODULES for kind in vars(module).values()
             if isinstance(kind, type) and hasattr(kind, "__dataclass_params__")}  # fmt: skip
    assert {Event, Known, Refs} <= kinds
    assert [kind for kind in kinds if not kind.__dataclass_params__.frozen] == []


def test_the_envelope_has_exactly_its_fields() -> None:
    plain = CUT.to_json()
    assert list(plain) == [
        "seq",
        "type",
        "v",
        "act_id",
        "at",
        "by",
        "station",
        "refs",
        "known",
        "corrects",
        "body",
    ]
    assert set(plain["refs"]) == {"heats", "lots", "pieces", "serials", "gauges", "files"}
    assert set(plain["known"]) == {"program", "reference_hash", "roles", "calibration_due"}


@given(NAMES, NAMES, NAMES, st.integers(0, 2**53 - 1), st.dictionaries(st.sampled_from("abc"), st.booleans()))
def test_an_event_is_its_bytes_and_back(
    heats: list[str], pieces: list[str], roles: list[str], seq: int, body: dict[str, Any]
) -> None:
    known = Known("0.1.0", "", tuple(roles), {"CAL-3": "2031-12-31"})
    event = new_event("hold", body, act_id="a", at="2031-05-04T13:00:00.25Z", by="Ada",
                      refs=Refs.of(heats=heats, pieces=pieces), known=known).at_seq(seq)  # fmt: skip
    assert read_event(event.canonical()) == event
    assert event.leaf() == leaf_hash(event.canonical())


def test_by_what_a_person_was_known_and_what_was_asked_are_there_only_where_they_were() -> None:
    event = new_event("hold", {}, act_id="a", at="2031-05-04T13:00:00Z", by="Ada", known=Known("0.1.0"))
    plain = event.to_json()["known"]
    for known in ({"signed": "session"}, {"asked": "ab" * 32}, {"signed": "pin", "asked": "cd" * 32}):
        said = replace(event, known=replace(event.known, **known))
        assert said.to_json()["known"] == plain | known
        assert read_event(said.canonical()) == said
        assert said.leaf() != event.leaf()
    for bad in ("", "ab", "AB" * 32, 7, None):
        with pytest.raises(Malformed) as caught:
            known_of(plain | {"asked": bad})
        assert caught.value.place == "/known/asked"


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"seq": -1}, "/seq"), ({"seq": True}, "/seq"), ({"v": 0}, "/v"), ({"type": ""}, "/type"),
        ({"act_id": None}, "/act_id"), ({"by": ""}, "/by"), ({"station": 3}, "/station"),
        ({"at": "2031-05-04T13:00:00"}, "/at"), ({"at": "2031-05-04 13:00:00Z"}, "/at"),
        ({"at": "2031-13-04T13:00:00Z"}, "/at"), ({"at": "2031-05-04T24:00:00Z"}, "/at"),
        ({"at": "2031-05-04T13:00:00+00:00"}, "/at"), ({"at": "２031-05-04T13:00:00Z"}, "/at"),
        ({"corrects": 0}, "/corrects"), ({"corrects": "1"}, "/corrects"), ({"body": []}, "/body"),
        ({"body": {"x": 0.5}}, "/body/x"), ({"refs": {}}, "/refs"), ({"known": {}}, "/known"),
        ({"more": 1}, "the whole"),
    ],
)  # fmt: skip
def test_a_wrong_envelope_is_refused_with_its_place(change: dict[str, Any], place: str) -> None:
    with pytest.raises(Malformed) as caught:
        parse_event(CUT.to_json() | change)
    assert str(caught.value).startswith(f"{place}: ")


@pytest.mark.parametrize(
    ("field", "value", "place"),
    [
        ("heats", ["b", "a"], "/refs/heats"), ("heats", ["a", "a"], "/refs/heats"), ("lots", [""], "/refs/lots"),
        ("files", ["AB" * 32], "/refs/files"), ("files", ["ab"], "/refs/files"), ("pieces", "P-1", "/refs/pieces"),
    ],
)  # fmt: skip
def test_refs_have_one_spelling(field: str, value: Any, place: str) -> None:
    with pytest.raises(Malformed) as caught:
        parse_event(CUT.to_json() | {"refs": CUT.refs.to_json() | {field: value}})
    assert caught.value.place == place


def test_every_event_of_the_history_is_well_formed() -> None:
    assert [fault for events in shop_history() for event in events for fault in check(event)] == []


def faults_of(type: str, body: dict[str, Any], **more: Any) -> dict[str, str]:
    faults = check(act(1, type, body, **more))
    assert {fault.code for fault in faults} <= {"RW504"}
    return {fault.where.field: fault.found for fault in faults}


def test_all_faults_of_a_body_at_once_each_with_its_place() -> None:
    body = {
        "stock_id": " B-1", "kerf_nm": 0.5, "trim_nm": -1, "scrap_nm": True, "sharp": "yes",
        "pieces": [{"piece": "P-1", "length_nm": "40 in"}, {"length_nm": 1}, 7], "remnant": {"stock_id": "R"},
    }  # fmt: skip
    # a float is refused by the envelope already; without it the layout lists everything else
    assert set(faults_of("cut", body)) == {"/body/kerf_nm"}
    assert set(faults_of("cut", body | {"kerf_nm": "1/8 in"})) == {
        "/body/stock_id", "/body/job", "/body/kerf_nm", "/body/trim_nm", "/body/scrap_nm", "/body/sharp",
        "/body/pieces/0/length_nm", "/body/pieces/1/piece", "/body/pieces/2",
        "/body/remnant/length_nm", "/body/remnant/label",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "good", "bad"),
    [
        ("text", ["", "a b"], [1, None, []]),
        ("id", ["SN-1", "a b", "é"], ["", " a", "a ", "a\nb", 1]),
        ("int", [-3, 0, 2**53 - 1], [True, "1", None]),
        ("nm", [0, 25_400_000], [-1, True, "1 in"]),
        ("count", [0, 7], [-7, False, "7"]),
        ("bool", [True, False], [0, 1, "true", None]),
        ("quantity", ["38.0 ksi", "-0.5 in", "1 1/s", "12 %", "3 N*m"], ["38.0", "38.0ksi", "1e3 psi", "17 1/2 in"]),
        ("number", ["0.42", "-3", "12"], [".5", "5.", "1e3", "0.4 in", 0, "٣"]),
        ("nm2", ["0", "278709120000000000"], [0, "-1", "01", "1.5", "", "1 in"]),
        ("outline", [[[0, 0], [5, 0], [0, -7]]], [[[0, 0], [5, 0]], [[0, 0], [5, 0], [5]], [[0, 0], [5, 0], [0.5, 1]],
                                                  [[0, 0], [5, 0], [True, 1]], "0 0", None]),
        ("date", ["2031-12-31"], ["2031-13-01", "2031-1-1", "31.12.2031", 20311231]),
        ("sha256", ["ab" * 32], ["AB" * 32, "ab" * 31, 5]),
        ("ids", [[], ["a", "b"]], ["a", [""], [1], None]),
        ("map", [{}, {"a": [1]}], [[], "x", None]),
    ],
)  # fmt: skip
def test_each_kind_of_field(
    kind: str, good: list[Any], bad: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(EVENTS, "trial", table.EventType("a trial", {"x": kind}))
    assert [value for value in good if faults_of("trial", {"x": value})] == []
    assert [value for value in bad if not faults_of("trial", {"x": value})] == []
    assert "missing" in faults_of("trial", {})["/body/x"]
    assert faults_of("trial", {"x": good[0], "note": "as seen"}) == {}


@pytest.mark.parametrize(
    ("kind", "bad", "words"),
    [
        ("text", 1, "a text"), ("bool", 1, "true or false"), ("map", 1, "an object"), ("int", "1", "a whole number"),
        ("nm", -1, "whole nanometres, 0 or more"), ("count", -1, "a whole number, 0 or more"),
        ("outline", [[0, 0], [5, 0], [0, 7, 1]], "three corners or more, each [x, y] in whole nanometres"),
        ("ids", 1, "a list of ids"), ([{"a": "int"}], 1, "a list"), ({"a": "int"}, 1, "an object"),
    ],
)  # fmt: skip
def test_what_should_stand_there_is_said(
    kind: Any, bad: Any, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(EVENTS, "trial", table.EventType("a trial", {"x": kind}))
    assert faults_of("trial", {"x": bad}) == {"/body/x": f"{bad!r:.60} where {words} must stand"}
    (fault,) = check(act(1, "trial", {"x": bad}), "log.txt")
    assert (fault.where.file, fault.where.line) == ("log.txt", 0)


def test_an_event_is_as_large_as_it_may_be_and_no_byte_larger() -> None:
    def of(size: int) -> Event:
        return act(1, "lift", {"hold": "h", "reason": "r", "note": "x" * size})

    assert checking.MAX_BYTES == 1_000_000
    room = checking.MAX_BYTES - len(of(0).canonical())
    assert check(of(room)) == check(of(room - 1)) == []
    for more in (1, 2, 1000):
        (fault,) = check(of(room + more))
        assert (fault.where.field, str(checking.MAX_BYTES + more) in fault.found) == ("/body", True)


UNSEEN = "\u202e"


@pytest.mark.parametrize(
    "place", ["/by", "/station", "/act_id", "/refs/heats", "/refs/pieces", "/refs/gauges"]
)
def test_a_name_of_the_envelope_with_what_nobody_sees_is_refused(place: str) -> None:
    """Every such name is told, with the character."""
    name = place.rpartition("/")[2]
    plain = act(1, "lift", {"hold": "h", "reason": "r"})
    if "refs" in place:
        event = replace(plain, refs=Refs.of(**{name: [f"a{UNSEEN}", "b", f"c{UNSEEN}"]}))
    else:
        event = replace(plain, **{name: f"a{UNSEEN}b"})
    found = [(fault.where.field, "holds U+202E" in fault.found) for fault in check(event)]
    assert found == [(place, True)] * (2 if "refs" in place else 1)


def test_every_kind_in_the_table_is_a_known_kind() -> None:
    kinds = {"text", "id", "int", "nm", "count", "bool", "quantity", "number", "date", "sha256", "ids", "map"}
    kinds |= {"nm2", "outline"}

    def leaves(layout: Any) -> list[Any]:
        if isinstance(layout, str):
            return [layout]
        return [
            leaf
            for inner in (layout if isinstance(layout, list) else layout.values())
            for leaf in leaves(inner)
        ]

    assert {leaf for kind in EVENTS.values() for leaf in leaves(kind.fields)} <= kinds


def test_a_correction_and_only_a_correction_names_an_event() -> None:
    assert "/corrects" in faults_of("correction", {"reason": "misread"})
    assert "/corrects" in faults_of("lift", {"hold": "h", "reason": "r"}, corrects=3)
    assert faults_of("correction", {"reason": "misread", "changes": []}, corrects=3) == {}


def test_unknown_types_and_versions_are_refused() -> None:
    assert "/type" in faults_of("bless", {})
    assert "/v" in faults_of("lift", {"hold": "h", "reason": "r"}, v=2)


def test_an_old_body_is_read_step_by_step_and_never_rewritten(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(
        EVENTS, "trial", table.EventType("a trial", {"length_nm": "nm", "by_hand": "bool"}, v=3)
    )
    monkeypatch.setitem(table.UPGRADES, ("trial", 1), lambda body: {"length_nm": body["mils"] * 25_400})
    monkeypatch.setitem(table.UPGRADES, ("trial", 2), lambda body: {**body, "by_hand": False})
    old = act(1, "trial", {"mils": 2}, v=1)
    new = current(old)
    assert (new.v, new.body) == (3, {"length_nm": 50_800, "by_hand": False})
    assert check(new) == []
    assert [fault.where.field for fault in check(old)] == ["/v"]  # it is read, and recorded so no more
    assert old.body == {"mils": 2}
    assert current(new) == new


def test_same_act_ignores_when_and_where_but_nothing_said() -> None:
    event: Event = act(1, "lift", {"hold": "h", "reason": "r"})
    later = replace(event, at="2031-06-01T00:00:00Z", station="desk", seq=9, known=Known("9.9"))
    assert event.same_act(later)
    for other in (replace(event, by="Bram"), replace(event, body={"hold": "h", "reason": "s"}),
                  replace(event, type="hold"), replace(event, refs=Refs.of(heats=["H"]))):  # fmt: skip
        assert not event.same_act(other)


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**64), 2**64) | st.text(max_size=6) | st.floats(allow_nan=False)
    | st.sampled_from(["1.5 in", ":1.5", "[-2e", "\x00\x1f\x7f", "é", "\U0001f600", "\\\""]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=6,
)  # fmt: skip


@given(PLAIN, st.sampled_from(["", " ", "\n", "x"]), st.booleans())
@settings(max_examples=300, deadline=None)
def test_a_row_s_text_is_read_as_canonical_json_and_nothing_else_is(
    value: Any, more: str, sort: bool
) -> None:
    """Two libraries stand in for the strict reader where a text is plain: they give the same, or it is asked."""
    text = json.dumps({"it": value, "a": 1}, ensure_ascii=False, sort_keys=sort, separators=(",", ":")) + more
    try:
        wanted = read_canonical(text.encode())
    except (Malformed, UnicodeEncodeError):
        with pytest.raises((Malformed, UnicodeEncodeError)):
            rows.read_text(text)
    else:
        assert rows.read_text(text) == wanted


@pytest.mark.parametrize(
    "text",
    ['{"a":1.0}', '{"a":-0}', '{"a":1e3}', '{"a":9007199254740992}', '{"a":1,"a":1}', '{"b":1,"a":1}', '{"a": 1}',
     '{"a":"\\u0041"}', '{"a":"\\/"}', '{"a":NaN}', '{"a":1},"by":"Eve"', '{"a":01}', '["a"', '{"a":[1.5]}',
     '{"a":[-1E5]}', "[" * 66 + "]" * 66, '{"a":' * 66 + "1" + "}" * 66,
     "1.5", "-1e5", "[1.5]", '{"\uffee":1,"\U0001f600":1}', None, b"{}"],
)  # fmt: skip
def test_a_row_s_text_that_is_not_canonical_is_refused(text: Any) -> None:
    with pytest.raises(Malformed):
        rows.read_text(text)


def test_a_text_of_many_objects_is_read_and_a_deep_one_as_deep_as_may_be() -> None:
    many, deep = {"a": [{"b": [n, {}]} for n in range(99)]}, json.loads('{"a":' * 64 + "1" + "}" * 64)
    for value in (many, deep):
        assert rows.read_text(canonical(value).decode()) == value


def test_keys_beyond_the_first_plane_stand_where_utf_16_puts_them() -> None:
    text = canonical({"\U0001f600": 1, "\uffee": 2, "\u00e9": "\U0001f600"}).decode()
    assert rows.read_text(text) == {"\U0001f600": 1, "\uffee": 2, "\u00e9": "\U0001f600"}
    assert text.index("\U0001f600") < text.index("\uffee")


@pytest.mark.parametrize(("first", "then", "step"), [
    ("09:00:00Z", "08:59:59Z", "0:00:01"), ("09:00:00Z", "09:00:00Z", ""), ("09:00:00Z", "09:00:01Z", ""),
    ("09:00:00Z", "09:00:00.5Z", ""), ("09:00:00.5Z", "09:00:00Z", "0:00:00.500000"),
    ("09:00:00.50Z", "09:00:00.5Z", ""), ("09:00:00.6Z", "09:00:00.5Z", "0:00:00.100000"),
    ("09:00:60Z", "09:00:59.5Z", ""), ("09:00:60Z", "09:00:58.5Z", "0:00:00.500000"),
])  # fmt: skip
def test_a_step_back_of_the_clock_is_told_with_both_stations(first: str, then: str, step: str) -> None:
    plain = act(1, "lift", {"hold": "h", "reason": "r"})
    one, two = (replace(plain, at=f"2031-05-04T{at}").at_seq(seq) for seq, at in ((1, first), (2, then)))
    words = f"event 2 (saw) is {step} before event 1 (saw)"
    assert clock.steps_back([one, two]) == ([words] if step else [])
    nowhere = clock.steps_back([replace(one, station=""), replace(two, station="")])
    assert nowhere == ([words.replace("(saw)", "(no station)")] if step else [])
    assert clock.behind(two.at, one.at) == -clock.behind(one.at, two.at)
    assert (clock.behind(two.at, one.at) > timedelta(0)) is bool(step)
    assert clock.behind(one.at, "") == -clock.DAY == -timedelta(days=1)


@pytest.mark.parametrize(
    ("first", "then"), [("59.7", "60Z"), ("59.7", "60.2Z"), ("59", "60Z"), ("60", "60.5Z")]
)
def test_a_leap_second_is_no_step_back(first: str, then: str) -> None:
    plain = act(1, "lift", {"hold": "h", "reason": "r"})
    one, two = (replace(plain, at=f"2016-12-31T23:59:{at}") for at in (f"{first}Z", then))
    assert clock.steps_back([one, two]) == []
