"""The flat of a gusset: the hull of its bolts widened by their edge distance, as lines and arcs, with its holes cut.

x runs along the brace, away from the member; a gusset whose make states its grain lies so on the plate.
"""

from __future__ import annotations

from itertools import pairwise
from math import hypot

from rackwright.making.flat import Flat, FlatHole, Point2, Segment
from rackwright.pieces.model import Piece
from rackwright.rack.brace import GussetMake

__all__ = ["gusset_flat"]

ALONG_GRAIN, ANY = (0, 180), (0, 90, 180, 270)


def gusset_flat(piece: Piece, make: GussetMake) -> Flat:
    """Its flat from the low corner of the box around it."""
    slab = piece.slab
    assert slab is not None
    hull, r = [slab.own(point) for point in slab.hull], slab.radius
    left, low = min(x for x, _ in hull) - r, min(y for _, y in hull) - r
    hull = [(x - left, y - low) for x, y in hull]
    outline: list[Segment] = []
    closed = [hull[-1], *hull, hull[0]]
    ways = [
        ((c - a) / hypot(c - a, d - b), (d - b) / hypot(c - a, d - b)) for (a, b), (c, d) in pairwise(closed)
    ]
    for n, (x, y) in enumerate(hull):
        starts, ends = ((round(x + r * wy), round(y - r * wx)) for wx, wy in (ways[n], ways[n + 1]))
        centre: Point2 = (round(x), round(y))
        outline.append(Segment(starts, ends, centre))
        nx, ny = hull[(n + 1) % len(hull)]
        wx, wy = ways[n + 1]
        outline.append(Segment(ends, (round(nx + r * wy), round(ny - r * wx))))
    holes = [(hole, slab.own(slab.flat(hole.centre))) for hole in piece.holes]
    flat_holes = tuple(sorted(
        FlatHole(hole.bolt.rpartition(".")[2], (round(x - left), round(y - low)), hole.diameter, hole.diameter)
        for hole, (x, y) in holes
    ))  # fmt: skip
    return Flat(piece.part, piece.section, piece.stock, slab.high - slab.low, tuple(outline), flat_holes,
                ALONG_GRAIN if make.grain else ANY)  # fmt: skip
