"""Vent and drain holes: a tube over two spigots is closed, and a closed tube must not go into an oven.

One hole near each end, beyond the spigot, in the wall that faces the inside of the rack (for posts the wall
that faces along the depth, so that shelves and rails do not cover it).
"""

from __future__ import annotations

from dataclasses import replace
from math import pi

from rackwright.pieces.model import Hole, Piece, axis_index
from rackwright.rack.model import Rack

__all__ = ["vented"]

INWARD = {"post": "y", "width": "y", "depth": "x"}


def vented(rack: Rack, pieces: list[Piece]) -> list[Piece]:
    """The pieces, tubes with their vent and drain holes where the definition asks for them."""
    if rack.definition.tube.vent is None:
        return pieces
    return [_vented(rack, piece) if piece.kind in INWARD else piece for piece in pieces]


def _vented(rack: Rack, piece: Piece) -> Piece:
    vent, wall = rack.definition.tube.vent, rack.definition.tube.wall
    assert vent is not None
    along, across = axis_index(piece.axis or "z"), axis_index(INWARD[piece.kind])
    outside = (rack.definition.outside.width, rack.definition.outside.depth)
    faces_plus = piece.lo[across] + piece.hi[across] < outside[across]
    holes = []
    for name, at in (("low", piece.lo[along] + vent.from_block), ("high", piece.hi[along] - vent.from_block)):
        centre = [(low + high) // 2 for low, high in zip(piece.lo, piece.hi, strict=True)]
        centre[along] = at
        centre[across] = piece.hi[across] - wall // 2 if faces_plus else piece.lo[across] + wall // 2
        face = ("+" if faces_plus else "-") + INWARD[piece.kind]
        holes.append(Hole(face, (centre[0], centre[1], centre[2]), vent.diameter, f"vent.{name}"))
    density = rack.rows.materials[piece.material].density or 0.0
    lost = 2 * density * pi / 4 * (vent.diameter * 1e-9) ** 2 * wall * 1e-9
    return replace(piece, holes=tuple(sorted((*piece.holes, *holes))), mass=piece.mass - lost)
