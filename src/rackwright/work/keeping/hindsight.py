"""Whether every quantity and gate holds in hindsight: the judge of an audit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from rackwright.record import Event, State, as_read, by_target, replay
from rackwright.trouble import Refusal, Where
from rackwright.work.gates import clock_lost
from rackwright.work.keeping.balance import Books, imbalances, post
from rackwright.work.keeping.judges.asked import asked
from rackwright.work.keeping.judges.past import Past
from rackwright.work.metal.counts import Counted, count_of, miscounts
from rackwright.work.quality.amending import FOLLOWS, Amendment, may_be_amended

__all__ = ["in_hindsight", "judged"]


def in_hindsight(
    events: Sequence[Event], steps: Iterable[tuple[Event, State]] | None = None
) -> list[Refusal]:
    """Everything of a whole history that does not balance or should have been refused.

    Quantities: received = in pieces + kerf + trim + remnant + scrap, of every bar, to the nanometre, and of every plate
    by its area, to the square nanometre; and whatever is odd. Books: the same by a second reckoning. Counts. Gates:
    every act that passed one is judged again by what the record held just before it. `steps`: the replay of the
    history, where it is at hand.
    """
    return judged(events, steps)[0]


def judged(
    events: Sequence[Event], steps: Iterable[tuple[Event, State]] | None = None
) -> tuple[list[Refusal], list[Counted], State]:
    """The same, the last count of everything, and what the history comes to, in one pass over it."""
    state, books, gates, counts, past = State(), Books(), list[Refusal](), dict[str, Counted](), Past()
    over = by_target(events)
    for event, state in replay(events) if steps is None else steps:
        gates += _past_its_gate(event, state, past)
        if event.type == "correction":
            gates += _amended(events, over, event, state)
        if event.type == "count":
            counts[event.body["stock_id"]] = count_of(event, books)
        post(event, books)
    odd = [_of_event(seq, f"event {seq}: {words}", "correct it by an event") for seq, words in state.odd]
    closed = [
        _of_event(seq, words, "count what is there, then correct it")
        for seq, words in imbalances(books, state)
    ]
    last = [counts[id] for id in sorted(counts)]
    return [*odd, *closed, *miscounts(last), *gates], last, state


def _amended(
    events: Sequence[Event], over: Mapping[int, Sequence[Event]], event: Event, state: State
) -> Iterator[Refusal]:
    """A correction asked the gate of its act; the event it corrects is judged as it is now to be read."""
    body, seq = event.body, event.corrects or 0
    if "changes" not in body:  # an older program asked nothing
        return
    given = {name: value for name, value in body.get("fields", {}).items() if name not in FOLLOWS}
    said = Amendment(seq, body["reason"], given, bool(body.get("void")))
    target = events[seq - 1] if 0 < seq < event.seq else None
    now = as_read(target, over, event.seq) if target else None
    refused = may_be_amended(state, target, now, said, event.by)
    if refused is not None:
        found = f"event {event.seq} (correction) should have been refused: {refused.found}"
        yield Refusal(refused.code, Where("the record", 0, f"event {event.seq}"), found, refused.do)


def _of_event(seq: int, found: str, do: str) -> Refusal:
    return Refusal("RW505", Where("the record", 0, f"event {seq}"), found, do)


def _past_its_gate(event: Event, state: State, past: Past) -> Iterator[Refusal]:
    free = event.type in ("refusal", "clock", "correction")
    early = None if free else clock_lost(state.latest, event.at)
    for refused in (early, asked(past, event, state)):
        if refused is None:
            continue
        found = f"event {event.seq} ({event.type}) should have been refused: {refused.found}"
        yield Refusal(refused.code, Where("the record", 0, f"event {event.seq}"), found, refused.do)
