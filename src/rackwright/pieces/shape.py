"""When two pieces that lie askew are alike: the same shape and holes after turning one over.

A gusset is the same from both sides. A brace may be turned half round about its length, its width or in its plane.
Compared are whole micrometres: rounding of the sine of an angle tells no two parts apart.
"""

from __future__ import annotations

from rackwright.pieces.model import Piece

__all__ = ["skew_shape"]

MICROMETRE = 1_000  # nm
Shape = tuple[tuple[tuple[int, ...], ...], ...]


def skew_shape(piece: Piece) -> Shape:
    """Corners and holes (along, aside, ...) as the least of the ways that the piece may be turned."""
    slab = piece.slab
    assert slab is not None
    hand = -1 if slab.normal == 1 else 1  # x and z go round y the other way
    corners = [slab.own(point) for point in slab.hull]
    holes = [
        (*slab.own(slab.flat(hole.centre)), hole.diameter, hand * (1 if hole.face[0] == "+" else -1))
        for hole in piece.holes
    ]
    long = piece.length or 0
    turns = [(1, 1, 1), (-1, -1, 1), (-1, 1, -1), (1, -1, -1)] if long else [(1, 1, 0), (1, -1, 0)]

    def turned(ends: int, sides: int, faces: int) -> Shape:
        def point(along: float, aside: float) -> tuple[int, int]:
            way = along if ends > 0 else long - along
            return round(way / MICROMETRE), round(sides * aside / MICROMETRE)

        return (
            tuple(sorted(point(*corner) for corner in corners)),
            tuple(sorted((*point(along, aside), d, faces * face) for along, aside, d, face in holes)),
        )

    return min(turned(*way) for way in turns)
