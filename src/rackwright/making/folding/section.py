"""Plane sections as polygons, and whether two of them share room.

A convex polygon and a simple one share room where two sides cross, or where one holds a corner of the other, or the
simple one the convex one's middle. Sides that only touch share none: the sheet lies on its die.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

__all__ = ["Point", "Polygon", "clipped", "moved", "overlap"]

Point = tuple[float, float]
Polygon = tuple[Point, ...]


def moved(polygon: Polygon, x: float, y: float) -> Polygon:
    return tuple((a + x, b + y) for a, b in polygon)


def overlap(one: Polygon, other: Polygon) -> bool:
    """Do their insides share a point? The first is convex."""
    if any(
        max(p[i] for p in one) <= min(p[i] for p in other)
        or max(p[i] for p in other) <= min(p[i] for p in one)
        for i in (0, 1)
    ):
        return False
    if any(_cross(*a, *b) for a in _sides(one) for b in _sides(other)):
        return True
    return any(_holds(other, p) for p in (*one, _middle(one))) or any(_holds(one, p) for p in other)


def clipped(polygon: Polygon, low: float, high: float) -> Polygon:
    """What of a polygon lies between two heights; a hollow one may keep sides without room between."""
    for level, sign in ((low, 1.0), (high, -1.0)):
        kept: list[Point] = []
        for (ax, ay), (bx, by) in _sides(polygon):
            a, b = sign * (ay - level), sign * (by - level)
            if a >= 0:
                kept.append((ax, ay))
            if (a > 0 > b) or (a < 0 < b):
                share = a / (a - b)
                kept.append((ax + share * (bx - ax), ay + share * (by - ay)))
        polygon = tuple(kept)
        if not polygon:
            return ()
    return polygon


def _sides(polygon: Polygon) -> list[tuple[Point, Point]]:
    return [*pairwise(polygon), (polygon[-1], polygon[0])]


def _turn(p: Point, q: Point, r: Point) -> float:
    return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0


def _middle(polygon: Sequence[Point]) -> Point:
    return sum(p[0] for p in polygon) / len(polygon), sum(p[1] for p in polygon) / len(polygon)


def _holds(polygon: Polygon, point: Point) -> bool:
    """Is the point strictly inside: an upward ray crosses an odd number of sides, and it lies on none."""
    x, y = point
    inside = False
    for a, b in _sides(polygon):
        if (
            abs(_turn(a, b, point)) < 1e-15
            and min(a[0], b[0]) <= x <= max(a[0], b[0])
            and (min(a[1], b[1]) <= y <= max(a[1], b[1]))
        ):
            return False
        if (a[0] > x) != (b[0] > x) and y < a[1] + (x - a[0]) * (b[1] - a[1]) / (b[0] - a[0]):
            inside = not inside
    return inside
