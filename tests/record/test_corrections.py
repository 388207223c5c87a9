"""One event as it was to be read at a moment is what the whole history, read anew at that moment, has there."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from histories import act
from rackwright.record import Event, as_read, by_target, corrected
from states import heard

COUNT = {"stock_id": "T-1", "length_nm": 5}
#: of each correction: how many events back its target is, and the length it gives; 0: void
CORRECTIONS = st.lists(st.tuples(st.integers(1, 6), st.integers(0, 3)), max_size=12)


@given(CORRECTIONS)
def test_one_event_is_read_as_the_whole_history_reads_it_at_any_moment(said: list[tuple[int, int]]) -> None:
    events: list[Event] = [act(n, "count", COUNT).at_seq(n) for n in range(1, 4)]
    for back, length in said:
        seq, target = len(events) + 1, max(1, len(events) + 1 - back)
        body = {"reason": "x", "changes": []} | (
            {"fields": {"length_nm": length}} if length else {"void": True}
        )
        events.append(act(seq, "correction", body, corrects=target).at_seq(seq))
    over = by_target(events)
    for before in range(1, len(events) + 2):
        whole = {event.seq: event for event in corrected(events[: before - 1])}
        for event in events[: before - 1]:
            assert as_read(event, over, before) == whole.get(event.seq)


@pytest.mark.parametrize("type", ["accept", "correct", "correction", "corrections", "cut"])
@pytest.mark.parametrize("corrects", [None, 1])
def test_nothing_but_a_correction_that_names_an_event_changes_how_it_is_read(
    type: str, corrects: int | None
) -> None:
    body = {"reason": "x", "fields": {"length_nm": 7}}
    events = [act(1, "count", COUNT).at_seq(1), act(2, heard(type), body, corrects=corrects).at_seq(2)]
    counts = type == "correction" and corrects is not None
    over = by_target(events)
    assert over == ({1: [events[1]]} if counts else {})
    read = events[0] if not counts else replace(events[0], body=COUNT | {"length_nm": 7})
    assert corrected(events) == [read, events[1]]
    assert as_read(events[0], over, 3) == read


def test_a_correction_that_is_void_or_comes_later_changes_nothing_yet() -> None:
    body = {"reason": "x", "fields": {"length_nm": 7}}
    events = [act(300, "count", COUNT).at_seq(300), act(301, "correction", body, corrects=300).at_seq(301)]
    void = act(302, "correction", {"reason": "x", "void": True}, corrects=301).at_seq(302)
    long = replace(events[0], body=COUNT | {"length_nm": 7})
    assert [as_read(events[0], by_target([*events, void]), before) for before in (301, 302, 303)] == [
        events[0], long, events[0]]  # fmt: skip
    assert as_read(events[1], by_target([*events, void]), 303) is None
    assert corrected([*events, void]) == [events[0], void]
