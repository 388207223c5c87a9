"""A strip with parallel folds, and its section while one of them is bent.

Between bend zones metal stays flat; a fold of angle A takes a zone of A (R + K t) of the flat and becomes an arc whose
middle has the radius R + t/2. During the stroke the same zone has the smaller angle p, so its inside radius is
zone/p - K t. In air bending the strip rests on the die's shoulders, a distance V apart, and the punch presses the
middle of the zone down: with s = sin(p/2), c = cos(p/2) and the outside radius Ro, the arc's centre stands
(Ro - V/2 s)/c above the die's top, for the outer face passes each shoulder.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, cos, pi, sin

from rackwright.formulas.bend import bend_allowance
from rackwright.making.folding.section import Point, Polygon

__all__ = ["Fold", "Part", "Pose", "Strip", "bending", "outline", "section"]

CHORD = pi / 36  # an arc is drawn in chords of at most this


@dataclass(frozen=True)
class Fold:
    """One fold: the middle of its zone from the flat's first end (m), the angle bent through (rad; below zero: to the
    other face), the inside radius (m)."""

    at: float
    angle: float
    radius: float


@dataclass(frozen=True)
class Strip:
    """A flat strip: length, thickness (m), neutral axis, folds in the order of their places."""

    length: float
    thickness: float
    K: float
    folds: tuple[Fold, ...]

    def zone(self, n: int) -> float:
        """Length of the flat that a fold takes, m."""
        fold = self.folds[n]
        return float(bend_allowance(abs(fold.angle), fold.radius, self.K, self.thickness))

    def straight(self, n: int, way: int, done: frozenset[int]) -> float:
        """From a fold's middle on (way +1) or back to the next made fold's tangent, or to the end, m."""
        others = [m for m in done if (m - n) * way > 0]
        if not others:
            return self.length - self.folds[n].at if way > 0 else self.folds[n].at
        near = min(others, key=lambda m: abs(m - n))
        return abs(self.folds[near].at - self.folds[n].at) - self.zone(near) / 2


@dataclass(frozen=True)
class Part:
    """A quadrilateral of the section: a flat, or one chord of an arc."""

    quad: Polygon
    flat: bool


@dataclass(frozen=True)
class Pose:
    """How a strip lies in the brake: turned over (its other face up), and which end is at the backgauge."""

    over: bool
    last_at_back: bool


def section(
    strip: Strip,
    fold: int,
    done: frozenset[int],
    pose: Pose,
    angle: float,
    opening: float,
    share: float = 1.0,
) -> tuple[float, list[Part], list[Part]]:
    """The punch tip's height, then the strip's sections before and behind it, with this fold at `angle` on the die.

    Behind is x > 0, where the backgauge is. Each section is a row of parts from the bend outward, with this share of
    the thickness about the middle.
    """
    t = strip.thickness
    if angle <= 0:
        tip, start, heading = t, (strip.zone(fold) / 2, t / 2), 0.0
    else:
        inside, centre = _arc(strip, fold, angle, opening)
        tip, heading = centre - inside, angle / 2
        start = (inside + t / 2) * sin(heading), centre - (inside + t / 2) * cos(heading)
    sides = [
        _walk(strip, list(_pieces(strip, fold, way, done, pose)), start, heading, share) for way in (-1, 1)
    ]
    if not pose.last_at_back:
        sides.reverse()
    mirrored = [Part(tuple((-x, y) for x, y in part.quad), part.flat) for part in sides[0]]
    return tip, mirrored, sides[1]


def bending(strip: Strip, fold: int, angle: float, opening: float) -> list[Part]:
    """The zone that is being bent, which the punch touches: for a picture."""
    t, zone = strip.thickness, strip.zone(fold)
    if angle <= 0:
        return [Part(_quad((-zone / 2, t / 2), (zone / 2, t / 2), 0.0, t), True)]
    inside, centre = _arc(strip, fold, angle, opening)
    middle = inside + t / 2
    low = (-middle * sin(angle / 2), centre - middle * cos(angle / 2))
    return _walk(strip, [(middle, angle)], low, -angle / 2, 1.0)


def outline(before: Sequence[Part], behind: Sequence[Part]) -> Polygon:
    """The section as one polygon, of its parts before and behind a place, each from there outward."""
    quads = [(quad[1], quad[0], quad[3], quad[2]) for quad in (part.quad for part in reversed(before))]
    quads += [(quad[0], quad[1], quad[2], quad[3]) for quad in (part.quad for part in behind)]
    lower = [point for quad in quads for point in quad[:2]]
    upper = [point for quad in quads for point in (quad[3], quad[2])]
    return (*lower, *reversed(upper))


def _arc(strip: Strip, fold: int, angle: float, opening: float) -> tuple[float, float]:
    """Inside radius at an angle of the stroke, and the height of the arc's centre over the die's top."""
    inside = strip.zone(fold) / angle - strip.K * strip.thickness
    s, c = sin(angle / 2), cos(angle / 2)
    return inside, (inside + strip.thickness - opening / 2 * s) / c


def _pieces(
    strip: Strip, fold: int, way: int, done: frozenset[int], pose: Pose
) -> Iterator[tuple[float, float]]:
    """From the fold's tangent outward: (length, 0) of a flat, (radius of the middle, turn) of an arc; turns up count
    positive as it lies."""
    here = strip.folds[fold].at + way * strip.zone(fold) / 2
    numbers = range(fold + way, len(strip.folds) if way > 0 else -1, way)
    for n in numbers:
        if n in done:
            edge = strip.folds[n].at - way * strip.zone(n) / 2
            yield abs(edge - here), 0.0
            turn = -strip.folds[n].angle if pose.over else strip.folds[n].angle
            yield strip.folds[n].radius + strip.thickness / 2, turn
            here = strip.folds[n].at + way * strip.zone(n) / 2
    yield abs((strip.length if way > 0 else 0.0) - here), 0.0


def _walk(
    strip: Strip, pieces: Sequence[tuple[float, float]], start: Point, heading: float, share: float
) -> list[Part]:
    """The section along its middle, to the right."""
    (x, y), made = start, list[Part]()
    for size, turn in pieces:
        count = max(1, ceil(abs(turn) / CHORD))
        step = turn / count
        chord = 2 * size * sin(abs(step) / 2) if turn else size
        for _ in range(count):
            heading += step / 2
            ahead = (x + chord * cos(heading), y + chord * sin(heading))
            made.append(Part(_quad((x, y), ahead, heading, strip.thickness * share), turn == 0))
            (x, y), heading = ahead, heading + step / 2
    return made


def _quad(a: Point, b: Point, heading: float, thick: float) -> Polygon:
    dx, dy = -sin(heading) * thick / 2, cos(heading) * thick / 2
    return (a[0] - dx, a[1] - dy), (b[0] - dx, b[1] - dy), (b[0] + dx, b[1] + dy), (a[0] + dx, a[1] + dy)
