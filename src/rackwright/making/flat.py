"""Flat shapes to be cut from plate: an outline of lines and arcs, and round holes, in whole nanometres.

x runs along the grain (the rolling direction), y across it. The outline goes round anticlockwise; an arc turns
anticlockwise about its centre. Lengths and areas are exact to rounding in SI floats.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, ceil, hypot, pi

__all__ = ["Flat", "FlatHole", "Point2", "Segment", "rectangle"]

Point2 = tuple[int, int]


@dataclass(frozen=True)
class Segment:
    """A line, or with a centre an anticlockwise arc, from `start` to `end`."""

    start: Point2
    end: Point2
    centre: Point2 | None = None

    @property
    def turn(self) -> float:
        """Angle of an arc, rad; 0 of a line."""
        if self.centre is None:
            return 0.0
        (ax, ay), (bx, by), (cx, cy) = self.start, self.end, self.centre
        angle = atan2(by - cy, bx - cx) - atan2(ay - cy, ax - cx)
        return angle % (2 * pi)

    def way(self, end: int) -> tuple[float, float]:
        """Direction of travel at its start (0) or end (1)."""
        if self.centre is None:
            return self.end[0] - self.start[0], self.end[1] - self.start[1]
        point = self.end if end else self.start
        return self.centre[1] - point[1], point[0] - self.centre[0]

    @property
    def radius(self) -> float:
        """Of an arc, nm; 0 of a line."""
        if self.centre is None:
            return 0.0
        return hypot(self.start[0] - self.centre[0], self.start[1] - self.centre[1])

    @property
    def length(self) -> float:
        """m."""
        if self.centre is None:
            return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]) * 1e-9
        return self.radius * self.turn * 1e-9


@dataclass(frozen=True, order=True)
class FlatHole:
    """A hole: what it is for, its centre, its finished diameter, and the diameter cut in the flat.

    `clear` is from its finished edge to the nearer bend tangent; None where there is no bend.
    """

    name: str
    at: Point2
    diameter: int
    cut: int
    clear: int | None = None

    @property
    def finished_after_bend(self) -> bool:
        return self.cut < self.diameter


@dataclass(frozen=True)
class Flat:
    """One flat shape of a part number. `turns`: degrees that it may lie turned against the plate's grain."""

    part: str
    section: str
    stock: str
    thickness: int
    outline: tuple[Segment, ...]
    holes: tuple[FlatHole, ...] = ()
    turns: tuple[int, ...] = (0, 180)  # a bend lies across the rolling direction; without one, any quarter

    @property
    def convex(self) -> bool:
        """Does the outline nowhere turn inwards? (An arc goes anticlockwise, so only corners can.)"""
        ways = [(one.way(0), one.way(1)) for one in self.outline]
        corners = zip(ways, [*ways[1:], ways[0]], strict=True)
        return all(
            ax * by - ay * bx >= -1e-6 * hypot(ax, ay) * hypot(bx, by)
            for (_, (ax, ay)), ((bx, by), _) in corners
        )

    @property
    def size(self) -> Point2:
        """Along and across the grain, of the box around it."""
        box = self.box
        return box[1][0] - box[0][0], box[1][1] - box[0][1]

    @property
    def box(self) -> tuple[Point2, Point2]:
        """Low and high corner; an arc counts with the points where it is farthest out."""
        points = [segment.start for segment in self.outline]
        for arc in self.outline:
            if arc.centre is not None:
                points += _extremes(arc, arc.centre)
        (x0, y0), (x1, y1) = (tuple(f(p[i] for p in points) for i in (0, 1)) for f in (min, max))
        return (x0, y0), (x1, y1)

    @property
    def perimeter(self) -> float:
        """Length of the outline, m."""
        return sum(segment.length for segment in self.outline)

    @property
    def area(self) -> float:
        """Inside the outline, holes not taken off, m²."""
        twice = 0.0
        for one in self.outline:
            (ax, ay), (bx, by) = one.start, one.end
            twice += ax * by - bx * ay
            if one.centre is not None:  # the segment between the arc and its chord
                chord = hypot(bx - ax, by - ay)
                half = one.turn / 2
                away = one.radius * _cos_from(chord, one.radius, half)
                twice += one.radius**2 * one.turn - chord * away
        return twice / 2 * 1e-18


def _cos_from(chord: float, radius: float, half: float) -> float:
    """Cosine of half the arc's angle, signed: negative past a half circle."""
    sine = min(1.0, chord / (2 * radius))
    cosine = float((1 - sine * sine) ** 0.5)
    return cosine if half <= pi / 2 else -cosine


def _extremes(arc: Segment, centre: Point2) -> list[Point2]:
    """The points of an arc on the four axes through its centre."""
    start = atan2(arc.start[1] - centre[1], arc.start[0] - centre[0])
    radius, found = ceil(arc.radius - 1e-6), []  # its ends stand on whole nanometres, its radius need not
    for quarter, (dx, dy) in enumerate(((1, 0), (0, 1), (-1, 0), (0, -1))):
        if (quarter * pi / 2 - start) % (2 * pi) <= arc.turn + 1e-12:
            found.append((centre[0] + dx * radius, centre[1] + dy * radius))
    return found


def rectangle(length: int, width: int) -> tuple[Segment, ...]:
    """The outline of a rectangle from the origin."""
    corners = [(0, 0), (length, 0), (length, width), (0, width)]
    return tuple(Segment(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True))
