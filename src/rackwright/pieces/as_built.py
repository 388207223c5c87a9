"""The same rack with measured values put in place of nominal ones.

    pieces = as_built(build(rack), {"post.front-left/hole joint.post.front-left.low.1": Fraction(...)})

Lengths and hole positions of sawn pieces are taken over; the same code then proves the rack as built. Bolt
positions within a joint stay those of the pattern, since the jig drills tube and spigot together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from rackwright.pieces.build import Pieces
from rackwright.pieces.model import Hole, Piece, axis_index
from rackwright.units import NM_PER_M

__all__ = ["as_built"]


def as_built(pieces: Pieces, measured: Mapping[str, Fraction]) -> Pieces:
    """Pieces with the measured values (SI, by characteristic id) in place of nominal ones."""
    if not measured:
        return pieces
    return replace(pieces, made=tuple(_as_built(piece, measured) for piece in pieces.made))


def _as_built(piece: Piece, measured: Mapping[str, Fraction]) -> Piece:
    if piece.axis is None:
        return piece
    i = axis_index(piece.axis)
    holes = tuple(
        _moved(piece, hole, i, measured.get(f"{piece.id}/hole {hole.bolt}")) for hole in piece.holes
    )
    length = measured.get(f"{piece.id}/length")
    if length is None:
        return replace(piece, holes=holes)
    return replace(piece, holes=holes, length=round(length * NM_PER_M))


def _moved(piece: Piece, hole: Hole, i: int, along: Fraction | None) -> Hole:
    if along is None:
        return hole
    centre = list(hole.centre)
    centre[i] = piece.lo[i] + round(along * NM_PER_M)
    return replace(hole, centre=(centre[0], centre[1], centre[2]))
