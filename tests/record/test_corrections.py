"""One event as it was to be read at a moment is what the whole history, read anew at that moment, has there."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from histories import act
from rackwright.record import Event, as_read, by_target, corrected

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
