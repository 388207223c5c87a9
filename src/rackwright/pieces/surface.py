"""Outside area of a piece, and how much of it takes a coat.

A tube shows its four flats and rounded corners; its inside is closed by spigots in the rack and plugged in the
booth. Anything made of boxes (angles, panels, blocks with their spigots) has the area of their union: the boxes'
edges cut space into a grid, and every side of a full cell towards an empty one counts. Fillets are not modelled.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

import numpy as np

from rackwright.pieces.model import Box, Hole, Piece
from rackwright.rack.model import Rack

__all__ = ["TUBES", "hole_area", "outside_area", "ring_area", "tube_perimeter", "union_area"]

TUBES = ("post", "width", "depth", "brace")


def outside_area(rack: Rack, piece: Piece) -> float:
    """The whole outside of a piece, m², holes not taken off: what an oven heats."""
    if piece.kind in TUBES:
        sawn = (piece.length or 0) if piece.mitre is None else (piece.mitre.long + piece.mitre.short) / 2
        return (
            tube_perimeter(rack) * sawn * 1e-9
        )  # a slanted cut takes as much from one side as it leaves on the other
    if piece.kind == "gusset" and piece.slab is not None:
        return 2 * piece.slab.area + piece.slab.perimeter * (piece.slab.high - piece.slab.low) * 1e-9
    if piece.kind == "ring":
        return ring_area(rack)
    bore = rack.definition.pad.counterbore if piece.kind == "pad" else None
    wall = pi * bore.diameter * bore.depth * 1e-18 if bore else 0.0  # its floor is the face that it took
    return union_area(piece.walls or piece.boxes) + wall


def tube_perimeter(rack: Rack) -> float:
    """Around the outside of the tube, m: 4 (b - 2 r) + 2 π r."""
    tube = rack.definition.tube
    return (4 * (tube.side - 2 * tube.corner_radius) + 2 * pi * tube.corner_radius) * 1e-9


def ring_area(rack: Rack) -> float:
    """Both faces and the edge of a ring's flat blank with its rounded end, m²; the eye's bore is not counted."""
    make = rack.definition.ring_make
    if make is None:
        return 0.0
    w, t = make.width * 1e-9, make.thickness * 1e-9
    straight = (make.eye_edge + make.flat_reach + make.leg_reach) * 1e-9
    face = w * straight + pi / 8 * w * w - pi / 4 * (make.eye * 1e-9) ** 2
    return 2 * face + (2 * straight + w + pi / 2 * w) * t


def union_area(boxes: Sequence[Box]) -> float:
    """Surface area of the union of axis-parallel boxes, m².

    >>> union_area([Box((0, 0, 0), (10**9, 10**9, 10**9)), Box((10**9, 0, 0), (2 * 10**9, 10**9, 10**9))])
    10.0
    """
    cuts = [np.unique([edge for box in boxes for edge in (box.lo[i], box.hi[i])]) for i in range(3)]
    full = np.zeros([len(cut) + 1 for cut in cuts], dtype=bool)  # an empty layer all round
    for box in boxes:
        lo, hi = ([int(np.searchsorted(cuts[i], end[i])) for i in range(3)] for end in (box.lo, box.hi))
        full[lo[0] + 1 : hi[0] + 1, lo[1] + 1 : hi[1] + 1, lo[2] + 1 : hi[2] + 1] = True
    steps = [np.diff(cut, prepend=cut[0], append=cut[-1]) * 1e-9 for cut in cuts]
    area = 0.0
    for i in range(3):
        changes = np.diff(full.astype(np.int8), axis=i) != 0
        j, k = (axis for axis in range(3) if axis != i)
        area += float(np.einsum("jk,j,k->", changes.sum(axis=i), steps[j], steps[k]))
    return area


def hole_area(holes: Sequence[Hole], faces: int) -> float:
    """Area that holes take from a surface, m²; `faces` 1 for a wall with its inside bare, 2 for a plate."""
    return faces * sum(pi / 4 * (hole.diameter * 1e-9) ** 2 for hole in holes)
