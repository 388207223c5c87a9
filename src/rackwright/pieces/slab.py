"""Pieces that lie askew in a plane at right angles to a rack axis: gussets and braces.

A slab is a convex outline in that plane times an interval along the axis. The outline is the hull of some points
widened all round by a radius (0 for a brace; a gusset's is its edge distance: it rounds every outer bolt).
Two such outlines are apart by the distance of their hulls less both radii: exact, without drawing any arc.
Area of a widened hull: A + P r + π r² (Steiner's formula). Lengths nm; plane coordinates in the order of rack axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, hypot, inf, pi, sin

__all__ = ["XY", "Slab", "convex_hull", "plane_of"]

XY = tuple[float, float]
ARC = 12  # straight parts of a full turn where an outline is drawn


def plane_of(normal: int) -> tuple[int, int]:
    """The two axes of the plane at right angles to an axis, in their order."""
    a, b = (i for i in range(3) if i != normal)
    return a, b


@dataclass(frozen=True)
class Slab:
    """Hull of points (anticlockwise) widened by `radius`, from `low` to `high` along axis `normal`; nm.

    `start` and `along` (a unit vector in the plane) are where its stations count from, and which way.
    """

    normal: int
    low: int
    high: int
    hull: tuple[XY, ...]
    radius: int
    start: XY
    along: XY

    def own(self, point: XY) -> XY:
        """A point of the plane along the slab from its start, and to the left of its way; nm."""
        (du, dv), u, v = self.along, point[0] - self.start[0], point[1] - self.start[1]
        return u * du + v * dv, v * du - u * dv

    def flat(self, point: Sequence[float]) -> XY:
        """A rack point seen along the normal, in the plane."""
        u, v = plane_of(self.normal)
        return point[u], point[v]

    def rack_point(self, point: XY, level: float) -> tuple[float, float, float]:
        """The rack point over a point of the plane, at `level` along the normal; nm."""
        found = [level, level, level]
        for i, value in zip(plane_of(self.normal), point, strict=True):
            found[i] = value
        return found[0], found[1], found[2]

    def station(self, point: Sequence[float]) -> int:
        """Distance (nm) of a rack point along the slab from its start."""
        return round(self.own(self.flat(point))[0])

    def edge(self, point: Sequence[float]) -> int | None:
        """Distance (nm) of a rack point from the outline; None outside it."""
        near = -self.gap_to(*self.flat(point))
        return None if near < 0 else round(near)

    def gap(self, other: Slab) -> float:
        """Between two outlines seen along a common normal; negative where they overlap."""
        return _apart(self.hull, other.hull) - self.radius - other.radius

    def gap_to(self, u: float, v: float) -> float:
        """From a point of the plane to the outline; negative inside."""
        inside = _inside(self.hull, (u, v))
        return (-inside if inside >= 0 else _to_hull(self.hull, (u, v))) - self.radius

    @property
    def area(self) -> float:
        """m²"""
        return (_area(self.hull) + _perimeter(self.hull) * self.radius + pi * self.radius**2) * 1e-18

    @property
    def perimeter(self) -> float:
        """m"""
        return (_perimeter(self.hull) + 2 * pi * self.radius) * 1e-9

    @property
    def outline(self) -> tuple[XY, ...]:
        """Its corners anticlockwise, arcs as short straights that lie within them."""
        if not self.radius:
            return self.hull
        points = [
            (u + self.radius * cos(2 * pi * n / ARC), v + self.radius * sin(2 * pi * n / ARC))
            for u, v in self.hull
            for n in range(ARC)
        ]
        return convex_hull(points)

    @property
    def centre(self) -> XY:
        """Centroid of the outline, nm."""
        points = self.outline
        u0, v0 = points[0]
        twice = du = dv = 0.0
        for (a, b), (c, d) in pairwise((*points, points[0])):
            cross = (a - u0) * (d - v0) - (c - u0) * (b - v0)
            twice += cross
            du += cross * (a + c - 2 * u0) / 3
            dv += cross * (b + d - 2 * v0) / 3
        return u0 + du / twice, v0 + dv / twice

    @property
    def box(self) -> tuple[tuple[int, int, int], tuple[int, int, int]]:
        """Low and high corner of the box around it."""
        lo, hi = [0, 0, 0], [0, 0, 0]
        lo[self.normal], hi[self.normal] = self.low, self.high
        for k, i in enumerate(plane_of(self.normal)):
            lo[i] = round(min(point[k] for point in self.hull) - self.radius)
            hi[i] = round(max(point[k] for point in self.hull) + self.radius)
        return (lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2])


def _area(hull: Sequence[XY]) -> float:
    return sum(a * d - c * b for (a, b), (c, d) in pairwise((*hull, hull[0]))) / 2


def convex_hull(points: Sequence[XY]) -> tuple[XY, ...]:
    """The convex hull, anticlockwise, without points within its sides (monotone chain)."""
    ordered = sorted(set(points))
    halves = []
    for row in (ordered, ordered[::-1]):
        half: list[XY] = []
        for point in row:
            while len(half) > 1 and _turn(half[-2], half[-1], point) <= 0:
                half.pop()
            half.append(point)
        halves += half[:-1]
    return tuple(halves)


def _turn(a: XY, b: XY, c: XY) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _perimeter(hull: Sequence[XY]) -> float:
    return sum(hypot(c - a, d - b) for (a, b), (c, d) in pairwise((*hull, hull[0])))


def _inside(hull: Sequence[XY], point: XY) -> float:
    """Distance to the nearest side from inside; below zero outside."""
    return min(_turn(a, b, point) / hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise((*hull, hull[0])))


def _to_hull(hull: Sequence[XY], point: XY) -> float:
    """Distance of a point to the nearest side, as a line between its two corners."""
    return min(_to_side(a, b, point) for a, b in pairwise((*hull, hull[0])))


def _to_side(a: XY, b: XY, p: XY) -> float:
    du, dv = b[0] - a[0], b[1] - a[1]
    share = ((p[0] - a[0]) * du + (p[1] - a[1]) * dv) / (du * du + dv * dv)
    share = min(1.0, max(0.0, share))
    return hypot(p[0] - a[0] - share * du, p[1] - a[1] - share * dv)


def _apart(one: Sequence[XY], other: Sequence[XY]) -> float:
    """Distance of two convex polygons; negative by how deep they overlap (separating axes)."""
    deepest = -inf
    for first, second in ((one, other), (other, one)):
        for a, b in pairwise((*first, first[0])):
            long = hypot(b[0] - a[0], b[1] - a[1])
            deepest = max(deepest, min(-_turn(a, b, p) / long for p in second))
    if deepest <= 0:
        return deepest
    return min(min(_to_hull(one, p) for p in other), min(_to_hull(other, p) for p in one))
