"""The same rack with measured values put in place of nominal ones.

    pieces = as_built(build(rack), {"post.front-left/hole joint.post.front-left.low.1": Fraction(...)})

Lengths and hole positions of sawn pieces are taken over; the same code then proves the rack as built. Bolt
positions within a joint stay those of the pattern, since the jig drills tube and spigot together.

A measurement stands at the adverse end of its uncertainty: a hole as near to the tube's nearer end, a tube as long, as
the gauge allows. What is then better than nominal stays nominal, unless engineering accepts it by name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from rackwright.pieces.build import Pieces
from rackwright.pieces.model import Hole, Piece, axis_index
from rackwright.pieces.slab import plane_of
from rackwright.units import NM_PER_M

__all__ = ["adverse", "as_built", "nearer_end"]


def as_built(pieces: Pieces, measured: Mapping[str, Fraction]) -> Pieces:
    """Pieces with the measured values (SI, by characteristic id) in place of nominal ones."""
    if not measured:
        return pieces
    return replace(pieces, made=tuple(_as_built(piece, measured) for piece in pieces.made))


def nearer_end(piece: Piece) -> dict[str, tuple[int, int]]:
    """Bolt id -> distance (nm) of its holes from the piece's low end, and the way to its nearer end: -1 or +1."""
    if piece.length is None:
        return {}
    found = {}
    for hole in piece.holes:
        if not hole.bolt.startswith("vent."):
            along = piece.station(hole.centre)
            found[hole.bolt] = (along, -1 if 2 * along <= piece.length else 1)
    return found


def adverse(
    piece: Piece, name: str, reading: Fraction, uncertainty: Fraction, accepted: bool
) -> Fraction | None:
    """The value (SI) to prove a piece with; None: nominal stays, since the deviation is in its favour."""
    if name == "length":
        nominal, way = Fraction(piece.length or 0, NM_PER_M), 1
    else:
        along, way = nearer_end(piece)[name.removeprefix("hole ")]
        nominal = Fraction(along, NM_PER_M)
    end = reading + way * abs(uncertainty)
    return end if accepted or (end - nominal) * way > 0 else None


def _as_built(piece: Piece, measured: Mapping[str, Fraction]) -> Piece:
    if piece.length is None:
        return piece
    holes = tuple(_moved(piece, hole, measured.get(f"{piece.id}/hole {hole.bolt}")) for hole in piece.holes)
    length = measured.get(f"{piece.id}/length")
    if length is None:
        return replace(piece, holes=holes)
    return replace(piece, holes=holes, length=round(length * NM_PER_M))


def _moved(piece: Piece, hole: Hole, along: Fraction | None) -> Hole:
    if along is None:
        return hole
    centre = list(hole.centre)
    if piece.slab is not None:
        off = round(along * NM_PER_M) - piece.station(hole.centre)
        for i, way in zip(plane_of(piece.slab.normal), piece.slab.along, strict=True):
            centre[i] += round(off * way)
    else:
        i = axis_index(piece.axis or "z")
        centre[i] = piece.lo[i] + round(along * NM_PER_M)
    return replace(hole, centre=(centre[0], centre[1], centre[2]))
