"""Vent and drain holes: a tube over two spigots is closed, and a closed tube must not go into an oven.

One hole near each end, beyond the spigot, in the wall that faces the inside of the rack (for posts the wall
that faces along the depth, so that shelves and rails do not cover it). A brace stands with its sawn ends on its
members: its holes lie beyond the gussets, in the wall that faces inward.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi

from rackwright.pieces.brace_pieces import BracePlace, brace_places
from rackwright.pieces.model import Hole, Piece, axis_index
from rackwright.rack.model import Rack

__all__ = ["vented"]

INWARD = {"post": "y", "width": "y", "depth": "x"}


def vented(rack: Rack, pieces: list[Piece]) -> list[Piece]:
    """The pieces, tubes with their vent and drain holes where the definition asks for them."""
    if rack.definition.tube.vent is None:
        return pieces
    askew = {f"brace.{place.brace.name}": place for place in brace_places(rack)}
    found = [_vented(rack, piece) if piece.kind in INWARD else piece for piece in pieces]
    return [_brace_vented(rack, piece, askew[piece.id]) if piece.id in askew else piece for piece in found]


def _brace_vented(rack: Rack, piece: Piece, place: BracePlace) -> Piece:
    vent, make, slab = place.tube.vent or rack.definition.tube.vent, rack.definition.gusset_make, piece.slab
    assert vent is not None
    assert make is not None
    assert slab is not None
    beyond, holes = make.edge + 2 * vent.diameter, []
    for name, end, way in (("low", "start", 1), ("high", "end", -1)):
        point = place.at(place.stations(make, end)[-1] + way * beyond)
        wall = slab.low if place.outward > 0 else slab.high - place.tube.wall
        x, y, z = map(round, slab.rack_point(point, wall + place.tube.wall // 2))
        face = ("-" if place.outward > 0 else "+") + "xyz"[slab.normal]
        holes.append(Hole(face, (x, y, z), vent.diameter, f"vent.{name}"))
    return _with_vents(rack, piece, holes, vent.diameter, place.tube.wall)


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
    return _with_vents(rack, piece, holes, vent.diameter, wall)


def _with_vents(rack: Rack, piece: Piece, holes: list[Hole], diameter: int, wall: int) -> Piece:
    density = rack.rows.materials[piece.material].density or 0.0
    lost = 2 * density * pi / 4 * (diameter * 1e-9) ** 2 * wall * 1e-9
    return replace(piece, holes=tuple(sorted((*piece.holes, *holes))), mass=piece.mass - lost)
