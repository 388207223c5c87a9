"""One number of a mill is one paper: apart from `receiving.py`, as an audit asks it without engineering libraries."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rackwright.record import State
from rackwright.record.metal import paper_of
from rackwright.trouble import Refusal
from rackwright.work.gates import no

__all__ = ["one_certificate"]


def one_certificate(state: State, held: Mapping[str, Any], but: str = "") -> Refusal | None:
    """One number of a mill is one paper: the same file with whatever stock it is entered."""
    for stock in state.stock.bearing("certificate", *paper_of(held)) if "file" in held else ():
        of = (stock.certificate or {}).get("file", held["file"])
        if stock.stock_id != but and of != held["file"]:
            mill = f" of {held['mill']}" if held.get("mill") else ""
            found = f"certificate {held['number']}{mill} is another file with {stock.stock_id}"
            return no("RW510", held["number"], found, "compare the two papers: one is not it")
    return None
