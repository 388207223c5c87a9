"""From a rack to its pieces: the one function that the rest of the house calls.

Each kind of piece is made in its own module; here they are drilled by their bolts, numbered, and judged.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from rackwright.pieces.anchor import bored
from rackwright.pieces.brace_fit import brace_fit
from rackwright.pieces.brace_pieces import brace_bolts, brace_pieces
from rackwright.pieces.fit import fit
from rackwright.pieces.frame_pieces import blocks, joint_bolts, tubes
from rackwright.pieces.hardware import choose, drill
from rackwright.pieces.model import Bolt, Hole, Piece
from rackwright.pieces.shape import skew_shape
from rackwright.pieces.shelf_pieces import (
    equipment_bolts,
    rail_bolts,
    rail_pieces,
    shelf_bolts,
    shelf_pieces,
)
from rackwright.pieces.tiedown import pad_bolts, pads, rings
from rackwright.pieces.vents import vented
from rackwright.rack.model import Rack
from rackwright.trouble import Fault

__all__ = ["Pieces", "build"]

#: kind -> the letter in its part numbers
LETTERS = {"post": "P", "width": "W", "depth": "D", "block": "B", "angle": "A", "panel": "S", "rail": "R",
           "ring": "T", "pad": "F", "brace": "X", "gusset": "G"}  # fmt: skip


@dataclass(frozen=True)
class Pieces:
    """Everything that is made or bought for one rack, and what keeps it from being built."""

    made: tuple[Piece, ...]
    bolts: tuple[Bolt, ...]
    faults: tuple[Fault, ...]

    def get(self, id: str) -> Piece:
        """The piece of this id. Raises KeyError."""
        return self._by_id[id]

    @cached_property
    def _by_id(self) -> dict[str, Piece]:
        return {piece.id: piece for piece in self.made}

    def bolts_of(self, ids: Sequence[str]) -> tuple[Bolt, ...]:
        """The bolts of these ids. Raises KeyError."""
        return tuple(self._bolts[id] for id in ids)

    @cached_property
    def _bolts(self) -> dict[str, Bolt]:
        return {bolt.id: bolt for bolt in self.bolts}

    def quantity(self, part: str) -> int:
        return sum(piece.part == part for piece in self.made)

    @property
    def sawn(self) -> tuple[Piece, ...]:
        """The pieces that the saw cuts."""
        return tuple(piece for piece in self.made if piece.length is not None)


def build(rack: Rack) -> Pieces:
    """All pieces and bolts of a rack, with the faults of fit."""
    raw = [*tubes(rack), *blocks(rack), *shelf_pieces(rack), *rail_pieces(rack), *rings(rack), *pads(rack)]
    raw += brace_pieces(rack)
    placed = [
        *joint_bolts(rack),
        *shelf_bolts(rack),
        *rail_bolts(rack),
        *equipment_bolts(rack),
        *pad_bolts(rack),
        *brace_bolts(rack),
    ]
    placed = [bored(bolt) for bolt in placed]
    chosen, faults = [], []
    for bolt in placed:
        one, wrong = choose(rack, bolt)
        faults += wrong
        if one is not None:
            chosen.append(one)
    made = _numbered(rack.definition.part, vented(rack, drill(rack, raw, placed)))
    fitted = (*fit(rack, made, chosen), *brace_fit(rack, made, chosen))
    return Pieces(made, tuple(chosen), (*dict.fromkeys(faults), *fitted))


def _numbered(part: str, pieces: list[Piece]) -> tuple[Piece, ...]:
    """Part numbers: alike pieces share one, numbered in the order of ids within their kind."""
    numbers: dict[tuple[object, ...], str] = {}
    counts: dict[str, int] = {}
    numbered = {}
    for piece in sorted(pieces, key=lambda one: one.id):
        shape = _shape(piece)
        if shape not in numbers:
            counts[piece.kind] = counts.get(piece.kind, 0) + 1
            numbers[shape] = f"{part}-{LETTERS[piece.kind]}{counts[piece.kind]:02d}"
        numbered[piece.id] = replace(piece, part=numbers[shape])
    return tuple(numbered[piece.id] for piece in pieces)


def _shape(piece: Piece) -> tuple[object, ...]:
    """What makes two pieces alike: kind, stock, size and holes, each from the piece's own low corner."""

    def own(hole: Hole) -> tuple[object, ...]:
        return (
            hole.face,
            tuple(c - low for c, low in zip(hole.centre, piece.lo, strict=True)),
            hole.diameter,
            hole.thread,
        )

    if piece.slab is not None:
        return (piece.kind, piece.section, piece.stock, piece.length, skew_shape(piece))
    boxes = tuple(
        tuple(value - piece.lo[i % 3] for i, value in enumerate((*box.lo, *box.hi)))
        for box in (*piece.boxes, *piece.walls)
    )
    return (
        piece.kind,
        piece.section,
        piece.stock,
        piece.length,
        boxes,
        tuple(map(own, piece.holes)),
        piece.notes,
    )
