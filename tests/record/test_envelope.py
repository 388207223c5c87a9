"""The envelope, asked field by field: what is read of one given as plain data, and the place of what is refused."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from histories import act
from rackwright.record import Event, Known, Refs, parse_event
from rackwright.record.envelope import event_of, known_of, refs_of, time_of
from rackwright.seal import Malformed
from rackwright.seal.canonical import MAX_INT

PLAIN = replace(
    act(1, "lift", {"hold": "h", "reason": "r"}, refs=Refs.of(heats=["H-1", "H-2"], files=["ab" * 32])),
    known=Known("0.1.0", "cd" * 32, ("saw",), {"CAL-3": "2031-12-31"}, "pin", "ef" * 32),
).to_json()


def place(read: Any, *given: Any, **named: Any) -> str:
    """Where this is malformed."""
    with pytest.raises(Malformed) as caught:
        read(*given, **named)
    return caught.value.place


def made(**fields: Any) -> Event:
    """Of the parts of an envelope, past what asks its bytes."""
    plain = {**PLAIN, "refs": Refs(), "known": Known()}
    return event_of(**{**plain, **fields})


@pytest.mark.parametrize("field", PLAIN)
def test_no_field_of_an_envelope_may_be_missing(field: str) -> None:
    assert place(parse_event, {name: PLAIN[name] for name in PLAIN if name != field}) == ""


@pytest.mark.parametrize("part", ["refs", "known"])
def test_refs_and_what_was_known_have_exactly_their_fields(part: str) -> None:
    whole = PLAIN[part]
    assert place(parse_event, PLAIN | {part: whole | {"more": []}}) == f"/{part}"
    for field in set(whole) - {"signed", "asked"}:
        assert place(parse_event, PLAIN | {part: {n: whole[n] for n in whole if n != field}}) == f"/{part}"
    for other in ([*whole], None, "refs"):
        assert place(parse_event, PLAIN | {part: other}) == f"/{part}"


@pytest.mark.parametrize("corrects", [None, 1])
@pytest.mark.parametrize(("field", "least"), [("seq", 0), ("v", 1)])
def test_a_number_lies_within_its_limits(field: str, least: int, corrects: int | None) -> None:
    for number in (least, least + 1, 300, MAX_INT - 1, MAX_INT):
        assert getattr(made(**{field: number, "corrects": corrects}), field) == number
    for other in (least - 1, MAX_INT + 1, MAX_INT + 2, True, str(least), 1.0, None):
        assert place(made, **{field: other, "corrects": corrects}) == f"/{field}"


def test_what_is_corrected_is_an_event_s_number_or_null() -> None:
    for number in (None, 1, 2, MAX_INT - 1, MAX_INT):
        assert made(corrects=number).corrects == number
    for other in (0, -1, MAX_INT + 1, True, False, "1", 1.0):
        assert place(made, corrects=other) == "/corrects"


@pytest.mark.parametrize("corrects", [None, 1])
def test_a_text_is_a_text_and_only_the_station_s_may_be_empty(corrects: int | None) -> None:
    for field in ("type", "act_id", "at", "by"):
        for other in ("", None, 7, [], ["x"], b"x"):
            assert place(made, **{field: other, "corrects": corrects}) == f"/{field}"
    assert made(station="", corrects=corrects).station == ""
    for other in (None, 7, []):
        assert place(made, station=other, corrects=corrects) == "/station"
    for other in (None, 7, [], "x"):
        assert place(made, body=other, corrects=corrects) == "/body"


@pytest.mark.parametrize("field", ["heats", "lots", "pieces", "serials", "gauges"])
def test_a_list_of_names_is_sorted_without_repeats_or_empty_names(field: str) -> None:
    def refs(value: Any) -> Any:
        return refs_of(Refs().to_json() | {field: value})

    for names in ([], ["a"], ["a", "b"], ["a", "b", "c"], ["not a SHA-256"]):
        assert refs(names) == Refs(**{field: tuple(names)})
    for other in (
        [""], ["", "a"], ["b", "a"], ["a", "a"], ["a", "c", "b"], ["a", "b", "b"],
        "ab", "", None, 7, {"a": 1}, ("a",), [1], ["a", 1], [None], [["a"]],
    ):  # fmt: skip
        assert place(refs, other) == f"/refs/{field}"


def test_a_file_is_named_by_its_hash_and_nothing_else_is() -> None:
    for other in ("ab", "AB" * 32, "ab" * 32 + "a", "ab" * 32 + "\n", "g" * 64):
        assert place(refs_of, Refs().to_json() | {"files": sorted(["ab" * 32, other])}) == "/refs/files"
    assert refs_of(Refs().to_json() | {"files": ["ab" * 32, "cd" * 32]}).files == ("ab" * 32, "cd" * 32)


@pytest.mark.parametrize(
    ("field", "good", "bad"),
    [
        ("program", ["", "0.1.0"], [None, 7, []]),
        ("reference_hash", ["", "ab"], [None, 7, []]),
        ("roles", [[], ["saw"], ["b", "a"]], ["ab", "", None, [1], ["a", None], ("a",), {"a": "b"}]),
        ("calibration_due", [{}, {"CAL-3": ""}], [[], None, "ab", {"CAL-3": 7}, {"CAL-3": "x", "CAL-4": None}]),
        ("signed", ["pin", "a word of later days"], ["", None, 7, ["pin"]]),
        ("asked", ["ab" * 32], ["", None, 7, "AB" * 32, "ab" * 32 + "\n", ["ab" * 32]]),
    ],
)  # fmt: skip
def test_each_field_of_what_was_known(field: str, good: list[Any], bad: list[Any]) -> None:
    plain = PLAIN["known"]
    for value in good:
        assert known_of(plain | {field: value}).to_json() == plain | {field: value}
    for value in bad:
        assert place(known_of, plain | {field: value}) == f"/known/{field}"
    for left in ("signed", "asked"):
        assert known_of(
            {name: plain[name] for name in plain if name != left}
        ).to_json().keys() == plain.keys() - {left}


@pytest.mark.parametrize("time", [
    "2031-05-04T00:00:00Z", "2031-12-31T23:59:59Z", "2032-02-29T13:00:00Z", "2016-12-31T23:59:60Z",
    "0001-01-01T00:00:00Z", "9999-12-31T23:59:59.999999Z", "2031-05-04T13:00:00.1Z",
])  # fmt: skip
def test_a_time_is_a_time_of_the_calendar_in_utc(time: str) -> None:
    for corrects in (None, 1):
        assert made(at=time, corrects=corrects).at == time


@pytest.mark.parametrize("time", [
    "2031-02-29T13:00:00Z", "2031-04-31T13:00:00Z", "2031-05-00T13:00:00Z", "2031-05-32T13:00:00Z",
    "2031-00-04T13:00:00Z", "0000-05-04T13:00:00Z", "2031-05-04T13:60:00Z", "2031-05-04T13:00:61Z",
    "2031-05-04T13:00:00.Z", "2031-05-04T13:00:00.1234567Z", "2031-05-04T13:00:00z", "2031-05-04T13:00:00Z\n",
    "2031-05-04", "2031-05-04T13:00Z",
])  # fmt: skip
def test_what_is_no_such_time_is_refused(time: str) -> None:
    for corrects in (None, 1):
        assert place(made, at=time, corrects=corrects) == "/at"


def test_a_leap_second_is_the_second_before_it() -> None:
    assert time_of("2016-12-31T23:59:60Z") == time_of("2016-12-31T23:59:59Z")
    assert time_of("2016-12-31T23:59:60.5Z") == time_of("2016-12-31T23:59:59.5Z")
    assert time_of("2017-01-01T00:00:00Z") > time_of("2016-12-31T23:59:60Z")


@pytest.mark.parametrize(
    "other", [{"type": "hold"}, {"type": "note"}, {"v": 2}, {"v": 0}, {"act_id": "act-0"}, {"act_id": "act-2"},
              {"by": "Abe"}, {"by": "Bo"}, {"refs": Refs()}, {"corrects": 1}, {"body": {}},
              {"body": {"hold": "a"}}, {"body": {"hold": "z"}}],
)  # fmt: skip
def test_acts_that_say_something_else_are_not_the_same_whichever_is_asked(other: dict[str, Any]) -> None:
    event = parse_event(PLAIN)
    assert event.same_act(parse_event(PLAIN))
    assert not event.same_act(replace(event, **other))
    assert not replace(event, **other).same_act(event)
