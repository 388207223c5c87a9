"""Least distance between outlines of lines and arcs, and whether a point lies inside one: plane geometry, in nm.

The least distance of two curves that do not meet is at an end of one, at a foot of a perpendicular, or on the line of
two centres; all such places are tried. Arcs are arcs, never chords. A point is inside where a ray from it leaves the
outline an odd number of times. Floats carry 16 digits, so that metres are known to a millionth of a nanometre.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import atan2, hypot, inf, pi, sqrt

from rackwright.making.flat import Segment

__all__ = ["distance", "farthest", "inside"]

XY = tuple[float, float]
ANGLE = 1e-12


def distance(some: Sequence[Segment], others: Sequence[Segment], enough: float = inf) -> float:
    """Least distance between two outlines, 0 where they meet; pairs that are plainly `enough` apart are passed over."""
    least = inf
    boxes = [_box(one) for one in others]
    for a in some:
        box = _box(a)
        for b, other in zip(others, boxes, strict=True):
            if _apart(box, other) < min(least, enough):
                least = min(least, _between(a, b))
    return least


def farthest(outline: Sequence[Segment], centre: XY) -> float:
    """Greatest distance of an outline from a point."""
    far = 0.0
    for one in outline:
        far = max(far, _long(one.start, centre), _long(one.end, centre))
        if one.centre is not None:
            away = _long(one.centre, centre)
            direction = atan2(one.centre[1] - centre[1], one.centre[0] - centre[0])
            if away == 0 or _on(one, direction):
                far = max(far, away + one.radius)
    return far


def inside(point: XY, outline: Sequence[Segment]) -> bool:
    crossings = 0
    for one in outline:
        for x in _crossings(one, point[1]):
            crossings += x > point[0]
    return crossings % 2 == 1


# --- two segments --------------------------------------------------------------------------------


def _between(a: Segment, b: Segment) -> float:
    if any(True for _ in _meets(a, b)):
        return 0.0
    least = inf
    for one, other in ((a, b), (b, a)):
        for end in (one.start, one.end):
            least = min(least, _to(end, other))
    if a.centre is not None and b.centre is not None:
        least = min(least, _two_arcs(a, b))
    elif a.centre is not None or b.centre is not None:
        least = min(least, _line_and_arc(*((b, a) if a.centre is not None else (a, b))))
    return least


def _to(point: XY, one: Segment) -> float:
    """From a point to a line or arc."""
    ends = min(_long(point, one.start), _long(point, one.end))
    if one.centre is None:
        foot = _foot(point, one)
        return ends if foot is None else min(ends, _long(point, foot))
    away = _long(point, one.centre)
    if away == 0:
        return min(ends, one.radius)
    direction = atan2(point[1] - one.centre[1], point[0] - one.centre[0])
    return min(ends, abs(away - one.radius)) if _on(one, direction) else ends


def _line_and_arc(line: Segment, arc: Segment) -> float:
    """Where the perpendicular from the centre meets the line."""
    assert arc.centre is not None
    foot = _foot(arc.centre, line)
    return inf if foot is None else _to(foot, arc)


def _two_arcs(a: Segment, b: Segment) -> float:
    """On the line of the centres."""
    assert a.centre is not None
    assert b.centre is not None
    (ax, ay), (bx, by) = a.centre, b.centre
    if (ax, ay) == (bx, by):
        return inf  # the ends tell
    least, along = inf, atan2(by - ay, bx - ax)
    apart = hypot(bx - ax, by - ay)
    for near in (1, -1):
        for far in (1, -1):
            if _on(a, along + (0 if near > 0 else pi)) and _on(b, along + (0 if far > 0 else pi)):
                least = min(least, abs(apart + far * b.radius - near * a.radius))
    return least


def _meets(a: Segment, b: Segment) -> Iterator[XY]:
    """Points in common (of lines that cross; those that lie along each other meet at their ends)."""
    if a.centre is None and b.centre is None:
        yield from _two_lines(a, b)
    elif a.centre is not None and b.centre is not None:
        for point in _two_circles(a.centre, a.radius, b.centre, b.radius):
            if _at(a, point) and _at(b, point):
                yield point
    else:
        line, arc = (b, a) if a.centre is not None else (a, b)
        yield from _line_on_arc(line, arc)


def _two_lines(a: Segment, b: Segment) -> Iterator[XY]:
    (ax, ay), (bx, by) = a.start, a.end
    (cx, cy), (dx, dy) = b.start, b.end
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    cross = ux * vy - uy * vx  # whole numbers: exact
    if cross == 0:
        return
    s, t = (cx - ax) * vy - (cy - ay) * vx, (cx - ax) * uy - (cy - ay) * ux
    if cross < 0:
        cross, s, t = -cross, -s, -t
    if 0 <= s <= cross and 0 <= t <= cross:
        yield ax + ux * (s / cross), ay + uy * (s / cross)


def _line_on_arc(line: Segment, arc: Segment) -> Iterator[XY]:
    assert arc.centre is not None
    (ax, ay), (bx, by), (cx, cy) = line.start, line.end, arc.centre
    ux, uy, wx, wy = bx - ax, by - ay, ax - cx, ay - cy
    p, q, r = ux * ux + uy * uy, ux * wx + uy * wy, wx * wx + wy * wy - arc.radius**2
    root = q * q - p * r
    if p == 0 or root < 0:
        return
    for sign in (1, -1):
        t = (-q + sign * sqrt(root)) / p
        if 0 <= t <= 1:
            point = (ax + ux * t, ay + uy * t)
            if _at(arc, point):
                yield point


def _two_circles(a: XY, r: float, b: XY, s: float) -> Iterator[XY]:
    apart = _long(a, b)
    if apart == 0 or apart > r + s or apart < abs(r - s):
        return
    along = (apart * apart + r * r - s * s) / (2 * apart)
    high = sqrt(max(0.0, r * r - along * along))
    ux, uy = (b[0] - a[0]) / apart, (b[1] - a[1]) / apart
    for sign in (1, -1):
        yield a[0] + along * ux - sign * high * uy, a[1] + along * uy + sign * high * ux


# --- one segment ---------------------------------------------------------------------------------


def _foot(point: XY, line: Segment) -> XY | None:
    (ax, ay), (bx, by) = line.start, line.end
    ux, uy = bx - ax, by - ay
    length = ux * ux + uy * uy
    t = ((point[0] - ax) * ux + (point[1] - ay) * uy) / length if length else -1.0
    return (ax + ux * t, ay + uy * t) if 0 <= t <= 1 else None


def _on(arc: Segment, direction: float) -> bool:
    assert arc.centre is not None
    start = atan2(arc.start[1] - arc.centre[1], arc.start[0] - arc.centre[0])
    past = (direction - start) % (2 * pi)
    return past <= arc.turn + ANGLE or past >= 2 * pi - ANGLE


def _at(arc: Segment, point: XY) -> bool:
    assert arc.centre is not None
    return _on(arc, atan2(point[1] - arc.centre[1], point[0] - arc.centre[0]))


def _crossings(one: Segment, y: float) -> Iterator[float]:
    """Where a segment crosses a height; an end on it counts when the segment lies above."""
    for (ax, ay), (bx, by), side in _rising(one):
        if (ay <= y) != (by <= y):
            if one.centre is None:
                yield ax + (bx - ax) * ((y - ay) / (by - ay))
            else:
                yield one.centre[0] + side * sqrt(max(0.0, one.radius**2 - (y - one.centre[1]) ** 2))


def _rising(one: Segment) -> Iterator[tuple[XY, XY, int]]:
    """A line as it is; an arc cut at its top and bottom, with the side of its centre it lies on."""
    if one.centre is None:
        yield one.start, one.end, 0
        return
    start = atan2(one.start[1] - one.centre[1], one.start[0] - one.centre[0])
    cuts = sorted(
        past for quarter in (pi / 2, -pi / 2) if 0 < (past := (quarter - start) % (2 * pi)) < one.turn
    )
    points: list[XY] = [one.start]
    for past in cuts:
        up = abs((start + past) % (2 * pi) - pi / 2) < 1e-6
        points.append((one.centre[0], one.centre[1] + (one.radius if up else -one.radius)))
    points.append(one.end)
    marks = [0.0, *cuts, one.turn]
    for n in range(len(points) - 1):
        middle = (start + (marks[n] + marks[n + 1]) / 2 + pi / 2) % (2 * pi)
        yield points[n], points[n + 1], 1 if middle < pi else -1


def _box(one: Segment) -> tuple[float, float, float, float]:
    if one.centre is None:
        (ax, ay), (bx, by) = one.start, one.end
        return min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)
    (x, y), r = one.centre, one.radius
    return x - r, y - r, x + r, y + r


def _apart(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> float:
    return max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3], 0.0)


def _long(a: XY, b: XY) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])
