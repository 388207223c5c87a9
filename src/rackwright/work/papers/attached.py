"""Files attached to acts on a rack: photos, charts, machines' logs, each by its name and hash."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from rackwright.papers.table import Block, Table
from rackwright.record import Event

__all__ = ["attached_blocks"]


def attached_blocks(own: Sequence[Event], get: Callable[[str], bytes]) -> Iterator[Block]:
    """One row a file and act; nothing where none is attached. Raises Stopped for a file that is missing or altered."""
    acts: dict[tuple[str, str, str], list[Event]] = {}
    for event in own:
        for one in event.body.get("attached", ()):
            acts.setdefault((one["name"], one["file"], event.act_id), []).append(event)
    rows = []
    for (name, file, _), events in acts.items():
        first, last = events[0], events[-1]
        what = str(first.body.get("step") or first.type).replace("_", " ")
        seqs = str(first.seq) if first is last else f"{first.seq} to {last.seq}"
        rows.append((name, what, seqs, first.by, first.at[:10], str(len(get(file))), file))
    if rows:
        yield Table("", ("file", "of", "event", "by", "on", "bytes", "SHA-256"), tuple(rows), align="llrllri",
                    widths=(2, 1.1, 0.8, 1, 1, 0.8, 3.6),
                    note="Kept beside the record under their hash; every audit and backup reads them.")  # fmt: skip
