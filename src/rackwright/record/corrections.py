"""How recorded events are to be read: in the newest layout, with what later events correct laid over.

The recorded event stays as it is. A later correction wins over an earlier one, and a correction may
itself be corrected or made void.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from rackwright.record.envelope import Event
from rackwright.record.events import current

__all__ = ["corrected"]


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
