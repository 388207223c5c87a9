"""How recorded events are to be read: in the newest layout, with what later events correct laid over.

The recorded event stays as it is. A later correction wins over an earlier one, and a correction may
itself be corrected or made void.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from rackwright.record.envelope import Event
from rackwright.record.events import current

__all__ = ["as_read", "by_target", "corrected"]


def by_target(events: Iterable[Event]) -> dict[int, list[Event]]:
    """The corrections among events, as recorded, by the event that each is of."""
    found: dict[int, list[Event]] = {}
    for event in events:
        if event.type == "correction" and event.corrects is not None:
            found.setdefault(event.corrects, []).append(event)
    return found


def as_read(event: Event, over: Mapping[int, Sequence[Event]], before: int) -> Event | None:
    """One event as it was to be read just before event `before`, without reading the history anew; None: void."""
    chain, new = [event], [event]
    while new:
        new = [one for each in new for one in over.get(each.seq, ()) if one.seq < before]
        chain += new
    return next(
        (one for one in corrected(sorted(chain, key=lambda one: one.seq)) if one.seq == event.seq), None
    )


def corrected(events: Iterable[Event]) -> list[Event]:
    """The events as they are to be read: newest layout, corrections laid over, void ones left out."""
    history = [current(event) for event in events]
    over: dict[int, dict[str, Any]] = {}
    void: set[int] = set()
    for event in reversed(history):  # later corrections are met first, and win
        if event.type != "correction" or event.seq in void or event.corrects is None:
            continue
        body = {**event.body, **over.get(event.seq, {})}
        if body.get("void"):
            void.add(event.corrects)
        over[event.corrects] = {**body.get("fields", {}), **over.get(event.corrects, {})}
    return [
        replace(event, body={**event.body, **over[event.seq]}) if event.seq in over else event
        for event in history
        if event.seq not in void
    ]
