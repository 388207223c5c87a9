"""The judge of an audit, on short histories: what it finds, of which event, in which order."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from histories import IN, act, lawful_history
from rackwright.record import Event, replay
from rackwright.work.keeping.hindsight import in_hindsight, judged

LAWFUL = [event for acts in lawful_history() for event in acts]
SIZE, FILE = len(LAWFUL), "cd" * 32
DAY_BEFORE, TWO_DAYS_BEFORE = "2031-05-03T09:00:00Z", "2031-05-02T09:00:00Z"
FOUND, ORDER, QUESTION = 1, 5, 6


def told(*more: Event) -> list[Event]:
    return [replace(event, seq=seq) for seq, event in enumerate([*LAWFUL, *more], start=1)]


def count(length: int, stock: str = "B-1", **more: Any) -> Event:
    return act(20, "count", {"stock_id": stock, "length_nm": length, "uncertainty_nm": 10, **more})


def correct(seq: int, **more: Any) -> Event:
    body = {"reason": "mistyped", "fields": {"customer": "Another"}, "changes": [], **more}
    return act(21, "correction", body, corrects=seq)


def said(*more: Event) -> list[tuple[str, str, str]]:
    return [(one.code, one.where.field, one.found) for one in in_hindsight(told(*more))]


def test_a_lawful_history_is_found_sound_however_it_is_replayed() -> None:
    assert in_hindsight(told()) == []
    found, counts, state = judged(told(), replay(told()))
    assert (found, counts, state.shop) == ([], [], "Larkfield Racks (invented)")
    assert judged([]) == ([], [], type(state)())
    assert judged(told(), [])[0] == [], "the steps given are those that are judged"


def test_the_last_count_of_each_stands_beside_the_books_of_then() -> None:
    left = 144 * IN
    found, counts, _ = judged(told(count(left - 500), count(left - 10)))
    assert [(one.seq, one.stock_id, one.expected, one.found) for one in counts] == [
        (SIZE + 2, "B-1", left, left - 10)
    ]
    assert found == []
    found, counts, _ = judged(told(count(left), count(left - 11)))
    assert [(one.code, one.where.field) for one in found] == [("RW505", f"event {SIZE + 2}")]
    assert [one.seq for one in counts] == [SIZE + 2]


@pytest.mark.parametrize("at", [DAY_BEFORE, TWO_DAYS_BEFORE])
def test_a_station_that_lost_its_clock_should_have_been_refused(at: str) -> None:
    late = replace(count(144 * IN), at=at)
    found = said(late)
    assert [(code, where) for code, where, _ in found] == (
        [("RW526", f"event {SIZE + 1}")] if at == TWO_DAYS_BEFORE else []
    )
    assert all(
        words.startswith(f"event {SIZE + 1} (count) should have been refused: ") for *_, words in found
    )
    refusal = act(22, "refusal", {"act": "cut", "code": "RW511", "found": "taken", "do": "wait"})
    assert "RW526" not in [code for code, *_ in said(replace(refusal, at=at))], (
        "a refusal is noted by any clock"
    )
    assert "RW526" not in [code for code, *_ in said(replace(correct(ORDER), at=at))]


def test_what_does_not_fit_comes_first_then_the_books_and_the_counts_and_the_gates() -> None:
    cut = {"stock_id": "B-1", "job": "O-1", "kerf_nm": 1, "trim_nm": 0, "scrap_nm": 0,
           "pieces": [{"piece": "P-1", "length_nm": 40 * IN, "serial": "SN-0001"}]}  # fmt: skip
    bad = told(act(20, "cut", cut), count(5))
    found = in_hindsight(bad)
    assert [one.do for one in found[:3]] == [
        "correct it by an event", "count what is there, then correct it",
        "find out why; scrap or correct what is so, then count it again",
    ]  # fmt: skip
    assert [(one.code, one.where.field) for one in found[:3]] == [
        ("RW505", f"event {seq}") for seq in (SIZE + 1, SIZE + 1, SIZE + 2)
    ]
    assert found[0].found.startswith(f"event {SIZE + 1}: ")
    assert found[3:]
    assert all("should have been refused" in one.found for one in found[3:])


@pytest.mark.parametrize(("correction", "code"), [
    (correct(ORDER), ""), (correct(ORDER, reason=" "), "RW517"), (correct(FOUND), "RW551"),
    (correct(FOUND, fields={}, void=True), "RW551"), (correct(ORDER, void=True), "RW517"), (correct(0), "RW503"),
    (correct(99), "RW503"), (correct(SIZE + 1), "RW503"), (correct(ORDER, fields={"order": "O-2"}), "RW551"),
    (correct(SIZE), "RW551"), (correct(QUESTION, fields={"text": "rating of the rings?"}), ""), (correct(-1), "RW503"),
])  # fmt: skip
def test_a_correction_passed_the_gate_of_its_act(correction: Event, code: str) -> None:
    found = [one for one in said(correction) if one[1] == f"event {SIZE + 1}" and "correction" in one[2]]
    assert [one[0] for one in found] == ([code] if code else [])
    assert all(
        one[2].startswith(f"event {SIZE + 1} (correction) should have been refused: ") for one in found
    )
    older = replace(correction, body={name: it for name, it in correction.body.items() if name != "changes"})
    assert not [one for one in said(older) if "correction" in one[2]], "an older program asked nothing"


def test_a_correction_of_what_is_void_should_have_been_refused() -> None:
    void = correct(ORDER, fields={}, void=True)
    found = [one for one in said(void, correct(ORDER)) if one[1] == f"event {SIZE + 2}"]
    assert [one[2].endswith("is void already") for one in found] == [True]
    assert not [one for one in said(correct(ORDER), void) if one[1] == f"event {SIZE + 1}"]


def test_only_a_correction_is_asked_what_a_correction_is_asked() -> None:
    plan = {"order": "O-1", "plan": "2", "supersedes": "1", "reason": " ", "changes": ["one bar more"]}
    files = dict.fromkeys(("file", "sheet", "inputs"), FILE)
    assert not [one for one in said(act(20, "saw_plan", plan | files)) if one[0] == "RW503"]


def test_what_is_found_is_of_an_event_and_on_no_line() -> None:
    cut = {"stock_id": "B-1", "job": "O-1", "kerf_nm": 1, "trim_nm": 0, "scrap_nm": 0, "pieces": []}
    found = in_hindsight(told(act(20, "cut", cut), replace(correct(FOUND), corrects=None)))
    assert {(one.where.file, one.where.line) for one in found} == {("the record", 0)}
    assert found[-1].found.endswith("event 0 is not in the record")
