"""Which work on a rack took its evidence back: what a document, reading or passport was of is no longer there.

A type test, and a test of a lot, are of the stuff: they stand whatever is done with a rack, and ask for themselves of
every lot that comes into it. Evidence of one serial is of the rack as it was that day:

    its points        undone where joints came apart, a piece was replaced or repaired; no coat moves a hole
    its readings      the same, and where a coat was stripped: the path of a bond runs through faces laid bare
    a document        undone by all work but an inspection; where the line says of which pieces, by work on these
                      alone; where it names an item that the rack carries, by another box in its place too
    a process         stands by each piece's own steps: a strip undoes them, a new piece has had its own or not

Which work undoes what is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

from rackwright.record import Event, State
from rackwright.record.office import Owed
from rackwright.record.service import Work
from rackwright.record.state import Serial
from rackwright.work.metal.drawn import role

__all__ = ["POINTS", "counts_oven", "undone", "untouched"]

POINTS = "interchange points"


def counts_oven(done: Event) -> bool:
    """Whether a release took oven time into its margins: those before it was counted say nothing of it, and were not
    asked for what work took back either."""
    return "oven" in done.body.get("values", {})


def untouched(state: State) -> State:
    """As a release by an older program read the record: no work took evidence back."""
    return replace(state, service={}, carried={})


def undone(state: State, rack: Serial, one: Owed) -> tuple[int, str, str]:
    """The last event that took evidence of this serial back, what it was, and the last day of all that did; 0 where
    none did. A document that is dated before that day is not of the rack as it is, whenever it was recorded."""
    kept = state.service.get(rack.serial)
    found = [
        (work.seq, f"{work.kind} {work.work}", work.day)
        for work in (kept.works if kept else ())
        if _takes_back(state, rack, one, work)
    ]
    boxes = state.carried.get(rack.serial, {})
    found += [
        (boxes[item].seq, f"another box as {item}", boxes[item].done) for item in one.of if item in boxes
    ]
    seq, what, _ = max(found, default=(0, "", ""))
    return seq, what, max((day for _, _, day in found), default="")  # what is entered late was done before


def _takes_back(state: State, rack: Serial, one: Owed, work: Work) -> bool:
    if work.kind == "inspection":
        return False
    if one.reading:
        moved = bool(work.joints) or work.kind in ("replacement", "repair")
        return moved or (work.kind == "strip" and one.reading != POINTS)
    of = _named(state, rack, one, rack.pieces)
    return not of or bool(of & _named(state, rack, one, work.pieces))


def _named(state: State, rack: Serial, one: Owed, pieces: tuple[str, ...]) -> set[str]:
    """The places of those of these pieces that the line is about, by stock specification or place."""
    found = set()
    for name in pieces:
        piece = state.pieces.get(name)
        stock = state.stock.get(piece.stock_id) if piece else None
        place = role(state, rack.revision, name)
        if place in one.of or (stock is not None and stock.stock_spec in one.of):
            found.add(place)
    return found
