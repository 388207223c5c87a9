"""Frames as lines seen from the front right above: free bodies with their forces, and deformed shapes.

All panels of one picture share one scale, so that arrows and motions can be compared by eye. A force's arrow is as
long as its share of the largest force; what its length stands for is the words beside it, never measured off paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from rackwright.papers.sketch import ACCENT, QUIET, THIN, XY, Sheet, text_width
from rackwright.papers.views import ISOMETRIC

__all__ = ["Arrow", "Panel", "Wire", "panels_svg"]

Place = tuple[float, float, float]  # metres, rack axes
LONGEST = 0.32  # of the frame's size: the arrow of the largest force
WIDE = 177.0  # mm, the text width of a letter page
SIZE = 2.3
STYLES: dict[str, tuple[float, tuple[float, ...], str]] = {
    "frame": (0.22, (), "#8d979f"),
    "still": (0.16, (1.1, 0.9), "#9aa5ad"),
    "moved": (0.42, (), ACCENT),
    "tie": (0.16, (0.6, 0.7), QUIET),
}


@dataclass(frozen=True)
class Wire:
    """A line through places; `style` is frame, still (as it was), moved or tie."""

    points: tuple[Place, ...]
    style: str = "frame"


@dataclass(frozen=True)
class Arrow:
    """A force that acts at a place. It is drawn leaving it, or pushing onto it; `applied` ones are heavier."""

    at: Place
    force: Place  # any one unit
    label: str
    pushes: bool = False
    applied: bool = False


@dataclass(frozen=True)
class Panel:
    title: str
    wires: tuple[Wire, ...]
    arrows: tuple[Arrow, ...] = ()
    dots: tuple[tuple[Place, str], ...] = ()


def panels_svg(panels: Sequence[Panel], columns: int, high: float, alt: str) -> str:
    """The panels in rows of so many, each `high` mm, as one standalone SVG text."""
    rows = -(-len(panels) // columns)
    cell = WIDE / columns
    sheet = Sheet(WIDE, rows * (high + 5), alt)
    largest = max((_size(a.force) for p in panels for a in p.arrows), default=0.0) or 1.0
    reach = _reach(panels)
    flat = [_flat(panel, largest, reach) for panel in panels]
    points = [xy for lines, arrows, dots in flat for group in (*lines, *arrows, dots) for xy in group]
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    low, top = min(y for _, y in points), max(y for _, y in points)
    scale = min((cell - 16) / (right - left), (high - 10) / (top - low))
    for n, (panel, shapes) in enumerate(zip(panels, flat, strict=True)):
        x, y = (n % columns) * cell, (n // columns) * (high + 5)
        middle = (x + cell / 2, y + 5 + high / 2)
        sheet.text((x + 1, y + 3.4), panel.title, 2.6, bold=True)

        def at(xy: XY, middle: XY = middle) -> XY:
            return (
                middle[0] + (xy[0] - (left + right) / 2) * scale,
                middle[1] - (xy[1] - (low + top) / 2) * scale,
            )

        _draw(sheet, panel, shapes, at, (x, y + 5, x + cell, y + 5 + high))
    return sheet.svg()


Flat = tuple[list[list[XY]], list[tuple[XY, XY]], list[XY]]


def _flat(panel: Panel, largest: float, reach: float) -> Flat:
    lines = [[ISOMETRIC.project(p) for p in wire.points] for wire in panel.wires]
    arrows = []
    for arrow in panel.arrows:
        share = LONGEST * reach / largest
        run = tuple(f * share for f in arrow.force)
        far = tuple(p - r if arrow.pushes else p + r for p, r in zip(arrow.at, run, strict=True))
        ends = (far, arrow.at) if arrow.pushes else (arrow.at, far)
        arrows.append((ISOMETRIC.project(ends[0]), ISOMETRIC.project(ends[1])))
    return lines, arrows, [ISOMETRIC.project(place) for place, _ in panel.dots]


def _draw(
    sheet: Sheet, panel: Panel, shapes: Flat, at: object, room: tuple[float, float, float, float]
) -> None:
    assert callable(at)
    lines, arrows, dots = shapes
    taken: list[tuple[float, float, float, float]] = []
    for wire, points in zip(panel.wires, lines, strict=True):
        width, dash, colour = STYLES[wire.style]
        sheet.poly([at(p) for p in points], width, closed=False, colour=colour, dash=dash)
    words: list[tuple[XY, XY, str, bool]] = []
    for arrow, (tail, tip) in zip(panel.arrows, arrows, strict=True):
        a, b = at(tail), at(tip)
        sheet.arrow(
            a, b, 0.7 if arrow.applied else 0.3, 3.2 if arrow.applied else 2.2, 2.0 if arrow.applied else 1.3
        )
        far, near = (a, b) if arrow.pushes else (b, a)
        words.append((far, near, arrow.label, arrow.applied))
        taken += _along(a, b)
    for place, (_, label) in zip(dots, panel.dots, strict=True):
        sheet.disc(at(place), 1.0, THIN, "#fff")
        sheet.disc(at(place), 0.35, THIN, "#000")
        taken.append((at(place)[0] - 1.5, at(place)[1] - 1.5, at(place)[0] + 1.5, at(place)[1] + 1.5))
        words.append((at(place), (at(place)[0] - 1, at(place)[1] + 1), label, False))
    for far, near, label, bold in words:
        if label:
            taken.append(_label(sheet, far, near, label, bold, taken, room))
    _triad(sheet, (room[0] + 8, room[3] - 6))


def _along(a: XY, b: XY) -> list[tuple[float, float, float, float]]:
    """Small boxes that cover an arrow, so that a slanting one takes no more room than it has."""
    parts = max(1, int(hypot(b[0] - a[0], b[1] - a[1]) / 1.5))
    points = [(a[0] + (b[0] - a[0]) * n / parts, a[1] + (b[1] - a[1]) * n / parts) for n in range(parts + 1)]
    return [(x - 0.6, y - 0.6, x + 0.6, y + 0.6) for x, y in points]


def _label(
    sheet: Sheet, far: XY, near: XY, label: str, bold: bool,
    taken: Sequence[tuple[float, float, float, float]], room: tuple[float, float, float, float],
) -> tuple[float, float, float, float]:  # fmt: skip
    """Words beyond an arrow's far end, where they cover nothing; a thin leader where they had to move."""
    wide = text_width(label, SIZE)
    run = hypot(far[0] - near[0], far[1] - near[1]) or 1.0
    way = ((far[0] - near[0]) / run, (far[1] - near[1]) / run)
    best = None
    for distance in (1.6, 3.5, 6.0, 9.0, 12.0, 15.0):
        for turn in (0.0, 0.5, -0.5, 1.0, -1.0, 1.6, -1.6, 2.4, -2.4, 3.1):
            c, s = _turned(way, turn)
            x = far[0] + c * (distance + wide / 2 * abs(c)) - wide / 2
            y = far[1] + s * (distance + SIZE / 2)
            box = (x - 0.4, y - SIZE * 0.6, x + wide + 0.4, y + SIZE * 0.6)
            inside = room[0] < box[0] and box[2] < room[2] and room[1] < box[1] and box[3] < room[3]
            clear = not any(_meet(box, other) for other in taken)
            if inside and (clear or best is None):
                best = (box, x, y, distance, clear)
            if inside and clear:
                break
        if best is not None and best[4]:
            break
    if best is None:
        return (0, 0, 0, 0)
    box, x, y, distance, _ = best
    if distance > 3.5:
        edge = (min(max(far[0], box[0]), box[2]), box[1] if far[1] < box[1] else box[3])
        sheet.line(far, edge, 0.08, colour=QUIET)
    sheet.poly(
        [(box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3])], 0.01, "#fff", colour="#fff"
    )
    sheet.text((x, y + SIZE * 0.36), label, SIZE, bold=bold)
    return box


def _turned(way: XY, angle: float) -> XY:
    from math import cos, sin

    return way[0] * cos(angle) - way[1] * sin(angle), way[0] * sin(angle) + way[1] * cos(angle)


def _meet(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _triad(sheet: Sheet, at: XY) -> None:
    for way, word in (((1, 0, 0), "x"), ((0, 1, 0), "y"), ((0, 0, 1), "z")):
        dx, dy = ISOMETRIC.project(way)
        sheet.arrow(at, (at[0] + 5 * dx, at[1] - 5 * dy), 0.14, 1.2, 0.7)
        sheet.text((at[0] + 6.9 * dx - 0.6, at[1] - 6.9 * dy + 0.7), word, 1.9, colour=QUIET)


def _size(force: Place) -> float:
    return hypot(*force)


def _reach(panels: Sequence[Panel]) -> float:
    """The largest side of the box around the lines."""
    points = [p for panel in panels for wire in panel.wires for p in wire.points]
    return max(max(p[i] for p in points) - min(p[i] for p in points) for i in range(3)) or 1.0
