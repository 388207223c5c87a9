"""Two copies of one record, both continued: where they part, and what stands on either side.

Each is whole in itself. That they are not one history is shown by any head of the one that the other does not lead
from; which events are on one side only, the histories themselves tell.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rackwright.record import Event, read_export
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.keeping.backup import EXPORT, contents_of
from rackwright.work.keeping.shop_folder import open_record

__all__ = ["history_of", "parting"]

FORK_DO = (
    "decide which copy is the record; enter by hand, with their dates, the acts that only the other one has"
)


def history_of(path: Path, data: bytes | None) -> tuple[Event, ...]:
    """The events of a shop's folder (`data` None), a backup or an export. Raises Stopped with all that is wrong."""
    if data is None:
        with open_record(path) as record:
            return record.events()
    if data.startswith(b"PK"):
        data = contents_of(data, str(path))[EXPORT]
    history, _, troubles = read_export(data, str(path))
    if history is None or troubles:
        raise Stopped(troubles)
    return history.events


def parting(mine: Sequence[Event], other: Sequence[Event], name: str) -> Refusal | None:
    """Does this record hold all of the other one? Else: is it behind, or were both continued, and from where.

    None where the other is a beginning of this one, or the same.
    """
    same = next((n for n, (a, b) in enumerate(zip(mine, other, strict=False)) if a.leaf() != b.leaf()),
                min(len(mine), len(other)))  # fmt: skip
    if same == len(other):
        return None
    ahead = len(other) - same
    if same == len(mine):
        words = f"this record is {ahead} events behind {name}, which begins with all of it"
        return Refusal("RW509", Where(name, 0, f"event {same + 1}"), words, "go on with the newer copy")
    words = (f"this record and {name} part after event {same}: {len(mine) - same} events are only here, from "
             f"{_said(mine[same])}; {ahead} only there, from {_said(other[same])}")  # fmt: skip
    return Refusal("RW509", Where(name, 0, f"event {same + 1}"), words, FORK_DO)


def _said(event: Event) -> str:
    return f"{event.type} by {event.by} at {event.at}"
