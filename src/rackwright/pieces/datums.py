"""From where the holes of flat pieces and angles are measured: their datums, and each hole's two ordinates.

A rectangle (panel, pad) is measured from two of its edges, the first two rack axes of its plane: B is the edge that
`along` counts from, C the one that `across` does. A gusset's edge is round, so its own bolts are its datums: B the bolt
in the brace farthest from the member, C the line from it through the brace's other bolts; `along` counts towards
the member, `across` to the left of that way. An angle or rail is measured from end A, its low end, and across from its
heel, the outside of the other leg. Datum A of a plate is the face that it lies on. That three planes locate a part is
the standards' (ISO 5459, from memory); which ones these are is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from math import cos, pi, sin

from rackwright.pieces.model import Box, Hole, Piece, axis_index
from rackwright.pieces.slab import convex_hull, plane_of

__all__ = ["PLATES", "Datums", "datums"]

PLATES = ("panel", "pad", "gusset")
ANGLES = ("angle", "rail")
ARC = 12  # straights of a quarter turn where a rounded corner is drawn
XY = tuple[int, int]


@dataclass(frozen=True)
class Datums:
    """Of one piece: its datums in words, and by bolt its holes' distances (nm) along and across.

    `holes` are what is measured: None where it is the datum itself; `places` are all of them. Of a plate besides: its
    thickness, sizes along and across, the outline from the datums, the way it is seen from; of a gusset the radius
    round each of its outer bolts.
    """

    along: str
    across: str
    holes: Mapping[str, tuple[int | None, int | None]]
    places: Mapping[str, XY]
    diameters: Mapping[str, int]
    thickness: int = 0
    size: XY = (0, 0)
    outline: tuple[XY, ...] = ()
    seen: str = ""
    edges: Mapping[str, int] = field(default_factory=dict)


def datums(piece: Piece, on_brace: int = 0) -> Datums | None:
    """Those of a plate, angle or rail, None of another piece; `on_brace`: bolts of a gusset's end in the brace."""
    if piece.kind in ANGLES:
        return _angle(piece)
    if piece.kind == "gusset":
        return _gusset(piece, on_brace)
    return _rectangle(piece) if piece.kind in PLATES else None


def _sorted(holes: Mapping[str, XY], piece: Piece) -> tuple[dict[str, XY], dict[str, int]]:
    """By place, along first."""
    ordered = dict(sorted(holes.items(), key=lambda one: (one[1], one[0])))
    across = {hole.bolt: hole.diameter for hole in piece.holes}
    return ordered, {bolt: across[bolt] for bolt in ordered}


def _rectangle(piece: Piece) -> Datums:
    box = piece.boxes[0]
    normal = min(range(3), key=box.size)
    u, v = plane_of(normal)
    found = {hole.bolt: (hole.centre[u] - box.lo[u], hole.centre[v] - box.lo[v]) for hole in piece.holes}
    holes, diameters = _sorted(found, piece)
    wide, deep = box.size(u), box.size(v)
    names = {0: "left edge", 1: "front edge", 2: "lower edge"}
    return Datums(f"B, its {names[u]}", f"C, its {names[v]}", holes, holes, diameters, box.size(normal), (wide, deep),
                  ((0, 0), (wide, 0), (wide, deep), (0, deep)), _seen(normal))  # fmt: skip


def _seen(normal: int) -> str:
    """From where the plane's axes look to the right and up."""
    return ("+x", "-y", "+z")[normal]


def _gusset(piece: Piece, on_brace: int) -> Datums:
    slab = piece.slab
    assert slab is not None
    own = {hole.bolt: slab.own(slab.flat(hole.centre)) for hole in piece.holes}
    nearest, *_, farthest = sorted(own, key=_number)[:on_brace]
    zero = own[farthest]

    def seen(point: tuple[float, float]) -> XY:
        return round(zero[0] - point[0]), round(zero[1] - point[1])

    holes, diameters = _sorted({bolt: seen(at) for bolt, at in own.items()}, piece)
    given: dict[str, tuple[int | None, int | None]] = {**holes}
    given[farthest], given[nearest] = (None, None), (holes[nearest][0], None)
    radius, corners = slab.radius, {seen(slab.own(point)) for point in slab.hull}
    (left, low), (right, high) = (tuple(f(p[i] for p in corners) for i in (0, 1)) for f in (min, max))
    return Datums(
        "B, the bolt in the brace farthest from the member",
        "C, the line from it through the brace's other bolts",
        given,
        holes,
        diameters,
        slab.high - slab.low,
        (right - left + 2 * radius, high - low + 2 * radius),
        _rounded(corners, radius),
        _seen(slab.normal),
        {bolt: radius for bolt, at in holes.items() if any(_near(at, corner) for corner in corners)},
    )


def _number(bolt: str) -> int:
    return int(bolt.rpartition(".")[2])


def _near(one: XY, other: XY) -> bool:
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) <= 2


def _rounded(corners: Collection[XY], radius: int) -> tuple[XY, ...]:
    """The hull of corners widened by a radius, as straights."""
    turns = [pi * n / (2 * ARC) for n in range(4 * ARC)]
    points = [(x + radius * cos(turn), y + radius * sin(turn)) for x, y in corners for turn in turns]
    return tuple((round(x), round(y)) for x, y in convex_hull(points))


def _angle(piece: Piece) -> Datums:
    legs = piece.walls
    thin = [min(range(3), key=box.size) for box in legs]
    found: dict[str, XY] = {}
    for hole in piece.holes:
        n = next(
            n
            for n, box in enumerate(legs)
            if thin[n] == axis_index(hole.face) and _within(box, hole, thin[n])
        )
        out = thin[1 - n]
        found[hole.bolt] = (
            piece.station(hole.centre),
            abs(hole.centre[out] - _heel(legs[n], legs[1 - n], out)),
        )
    holes, diameters = _sorted(found, piece)
    return Datums("end A", "heel, the outside of the other leg", holes, holes, diameters)


def _within(box: Box, hole: Hole, out: int) -> bool:
    return box.lo[out] <= hole.centre[out] <= box.hi[out]


def _heel(leg: Box, other: Box, across: int) -> int:
    """Where along a leg the outside of the other one lies."""
    return leg.lo[across] if other.lo[across] == leg.lo[across] else leg.hi[across]
