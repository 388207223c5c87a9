"""Pictures of flat shapes, to scale: a blank with its bend line and holes, and a plate with its blanks.

Distances along a blank are ordinates from its square end, so that no tolerance adds up. x is along the grain.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, hypot, pi, sin

import shapely

from rackwright.making.flat import Flat, Point2, Segment
from rackwright.making.nest import Layout, Outline
from rackwright.making.nest.distance import inside
from rackwright.papers.lengths import dimension, inches
from rackwright.papers.sheet_frame import datum_mark, place_apart, span_dimension
from rackwright.papers.sketch import ACCENT, CHAIN, DASHED, QUIET, THICK, THIN, XY, Sheet

__all__ = ["blank_svg", "nest_svg"]

WIDE = 172.0  # mm, the width of running text
SCALES = (0.5, 1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 30, 40)


def blank_svg(
    flat: Flat, bend_at: int, zone: tuple[int, int], words: str, numbers: dict[str, str] | None = None
) -> str:
    """A blank with its bend line, dimensioned from the square end; `words` say how it is bent."""
    (x0, y0), (x1, y1) = flat.box
    scale = next(n for n in SCALES if (x1 - x0) / 1e6 / n <= WIDE - 62 or n == SCALES[-1])
    unit = 1e6 * scale
    tall = (y1 - y0) / unit
    sheet = Sheet(WIDE, tall + 52, f"flat blank {flat.part}, {words}")
    left, top = 34.0, 18.0

    def at(point: Sequence[float]) -> XY:
        return left + (point[0] - x0) / unit, top + (y1 - point[1]) / unit

    sheet.poly([at(point) for point in _path(flat.outline)], THICK)
    middle = at((0, 0))[1]
    sheet.line((left - 3, middle), (at((x1, 0))[0] + 3, middle), 0.13, CHAIN)
    for edge in zone:
        sheet.line(at((edge, y0)), at((edge, y1)), 0.13, DASHED, QUIET)
    (bx, low), (_, high) = at((bend_at, y0)), at((bend_at, y1))
    sheet.line((bx, low + 2), (bx, high - 4), THICK, CHAIN, ACCENT)
    sheet.text((bx, high - 5.5), words, 2.5, "middle", colour=ACCENT, bold=True)
    for hole in flat.holes:
        cx, cy = at(hole.at)
        radius = hole.diameter / unit / 2
        sheet.disc((cx, cy), radius, THICK)
        if 0 < hole.cut < hole.diameter:
            sheet.disc((cx, cy), hole.cut / unit / 2, 0.13)
        sheet.line((cx - radius - 1, cy), (cx + radius + 1, cy), 0.13)
        sheet.line((cx, cy - radius - 1), (cx, cy + radius + 1), 0.13)
        sheet.text(
            (cx + radius + 0.7, cy - radius * 0.6 - 0.7), (numbers or {}).get(hole.name, hole.name), 2.2
        )
    _ordinates(sheet, [0, *(hole.at[0] for hole in flat.holes), bend_at, x1], at, low)
    span_dimension(sheet, at((x0, y1)), at((x0, y0)), 14.0, dimension(y1 - y0, True))
    datum_mark(sheet, (left, low + 18), "A")
    _grain(sheet, (left + 8, low + 24))
    sheet.text((WIDE - 2, low + 25), f"scale {_scale(scale)}, do not scale", 2.2, "end", colour=QUIET)
    return sheet.svg()


def _ordinates(sheet: Sheet, xs: Sequence[int], at: object, low: float) -> None:
    """Distances from the square end, written upright below the shape."""
    assert callable(at)
    values = sorted(set(xs))
    places = [at((x, 0))[0] for x in values]
    for x, px, row in zip(values, places, place_apart(places, 3.2), strict=True):
        sheet.poly(((px, low + 1), (px, low + 3), (row, low + 5), (row, low + 6)), closed=False)
        sheet.text((row + 0.9, low + 17), inches(x), 2.4, turn=-90)


def _widest_spot(flat: Flat, bend: int | None) -> tuple[Point2, float]:
    """The middle and the radius, in nm, of the largest circle clear of edge, holes and bend line."""
    spot = shapely.Polygon(_path(flat.outline))
    for hole in flat.holes:
        spot = spot.difference(shapely.Point(hole.at).buffer(hole.cut / 2))
    if bend is not None:
        (_, low), (_, high) = flat.box
        spot = spot.difference(shapely.LineString([(bend, low), (bend, high)]).buffer(1))
    radius = shapely.maximum_inscribed_circle(spot, tolerance=100_000)
    x, y = radius.coords[0]
    return (round(x), round(y)), radius.length


def _path(outline: Sequence[Segment]) -> list[XY]:
    """Corners of the outline, arcs as short chords."""
    points: list[XY] = []
    for one in outline:
        points.append(one.start)
        if one.centre is not None:
            start = atan2(one.start[1] - one.centre[1], one.start[0] - one.centre[0])
            count = max(8, round(one.turn / (pi / 48)))
            points += [
                (one.centre[0] + one.radius * cos(start + one.turn * k / count),
                 one.centre[1] + one.radius * sin(start + one.turn * k / count))
                for k in range(1, count)
            ]  # fmt: skip
    return points


def _widest(rest: Outline) -> tuple[Point2, Point2]:
    """The largest box that a remnant of straight sides along and across the grain holds: where its name is read."""
    xs, ys = (sorted({point[i] for point in rest}) for i in (0, 1))
    ring = [Segment(a, b) for a, b in zip(rest, (*rest[1:], rest[0]), strict=True)]
    cells = {
        (i, j): inside(((xs[i] + xs[i + 1]) / 2, (ys[j] + ys[j + 1]) / 2), ring)
        for i in range(len(xs) - 1) for j in range(len(ys) - 1)
    }  # fmt: skip
    boxes = [
        ((xs[i] - xs[k + 1]) * (ys[j] - ys[m + 1]), (xs[i], ys[j]), (xs[k + 1], ys[m + 1]))
        for i, j in cells for k in range(i, len(xs) - 1) for m in range(j, len(ys) - 1)
        if all(cells[a, b] for a in range(i, k + 1) for b in range(j, m + 1))
    ]  # fmt: skip
    return max(boxes)[1:] if boxes else (min(rest), max(rest))


def _grain(sheet: Sheet, at: XY) -> None:
    sheet.arrow(at, (at[0] + 16, at[1]), 0.3, 2.4, 1.4)
    sheet.arrow((at[0] + 16, at[1]), at, 0.3, 2.4, 1.4)
    sheet.text((at[0] + 18, at[1] + 0.9), "grain (rolling direction)", 2.3)


def _scale(n: float) -> str:
    return f"1:{n:g}" if n >= 1 else f"{1 / n:g}:1"


# --- plates --------------------------------------------------------------------------------------


def nest_svg(layout: Layout, flats: dict[str, Flat], bends: dict[str, int]) -> str:
    """A plate with its blanks numbered in the order of cutting, the grain, and what goes back."""
    long, wide = layout.size
    scale = next(
        n for n in SCALES[1:] if (long / 1e6 / n <= WIDE - 30 and wide / 1e6 / n <= 80) or n == SCALES[-1]
    )
    unit = 1e6 * scale
    tall = wide / unit
    sheet = Sheet(WIDE, tall + 30, f"plate {layout.item} with {len(layout.placed)} blanks")
    left, top = 22.0, 4.0

    def at(point: Sequence[float]) -> XY:
        return left + point[0] / unit, top + tall - point[1] / unit

    free: dict[str, tuple[Point2, float]] = {}
    sheet.poly([at(p) for p in layout.border], THICK)
    for rest in layout.rests:
        sheet.poly([at(p) for p in rest], THIN, dash=DASHED)
    for number, one in enumerate(layout.placed, start=1):
        flat = flats[one.slot.part]
        low, high = flat.box
        move = one.mover(flat)
        sheet.poly([at(point) for point in _path(one.outline(flat))], THIN, "#eef3f7")
        for hole in one.holes(flat):
            sheet.disc(at(hole.at), hole.cut / unit / 2, 0.13, "#fff")
        bend = bends.get(one.slot.part)
        if bend is not None:
            sheet.line(at(move((bend, low[1]))), at(move((bend, high[1]))), 0.13, CHAIN, ACCENT)
        if one.slot.part not in free:
            free[one.slot.part] = _widest_spot(flat, bend)
        place, radius = free[one.slot.part]
        middle, size = at(move(place)), min(3.0, radius / unit / hypot(0.35, 0.3 * len(str(number))))
        sheet.text((middle[0], middle[1] + size * 0.35), str(number), size, "middle", bold=True)
    for letter, rest in zip("ABCDEFGH", layout.rests, strict=False):
        (x0, y0), (x1, y1) = _widest(rest)
        (left_x, low_y), (right_x, high_y) = at((x0, y0)), at((x1, y1))
        words = f"{letter} goes back"
        sheet.fit(
            ((left_x + right_x) / 2, (low_y + high_y) / 2 + 1), words, right_x - left_x - 2, 2.6, "middle"
        )
    corner, end = at((0, 0)), at((long, 0))
    span_dimension(sheet, corner, end, corner[1] + 8, dimension(long, True))
    span_dimension(sheet, at((0, wide)), corner, 9.0, inches(wide))
    _grain(sheet, (left, corner[1] + 18))
    sheet.text((WIDE - 2, corner[1] + 19), f"scale {_scale(scale)}, do not scale", 2.2, "end", colour=QUIET)
    return sheet.svg()
