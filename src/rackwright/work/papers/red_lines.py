"""Red lines and engineering changes of a rack or its pieces, as traveler and dossier print them."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.papers.table import Block, Table
from rackwright.record import State

__all__ = ["red_line_blocks"]


def red_line_blocks(state: State, serial: str) -> Iterator[Block]:
    """One table of the red lines that name the rack or a piece of it; nothing where there is none."""
    rack = state.serials.get(serial)
    names = {serial, *(rack.pieces if rack else ())}
    rows = []
    for red in state.red_lines.values():
        if names.isdisjoint((*red.pieces, *red.serials)):
            continue
        left = [f"{what} of {about.removeprefix(f'{serial}/')}" for about, what in red.left if about in names]
        still = ", ".join(left) or "nothing"
        if red.lifted_seq:
            still = f"lifted by {red.lifted_by} (event {red.lifted_seq}): {red.reason}"
        rows.append((red.red_line, f"{red.revision}: {red.text}", red.document, red.decided_by, still))
    if rows:
        columns = ("red line", "changed", "document", "decided by", "still to be done anew")
        yield Table("Red lines and engineering changes", columns, tuple(rows), align="illll",
                    widths=(0.9, 2.4, 1.2, 1.2, 2.4))  # fmt: skip
