"""A rack's geometry and how one view of it is put on paper: edges, keep-outs, caption, rings, names."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import dist, hypot

from rackwright.papers.shapes import Point, RackDrawing, Solid
from rackwright.papers.sheet_frame import Frame, datum_mark
from rackwright.papers.sketch import DASHED, QUIET, THICK, THIN, XY, Sheet, text_width
from rackwright.papers.views import FRONT, RIGHT, TOP, Box, View, visible_edges

#: one over the scale
SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 16, 18, 20, 24, 25, 30, 32, 36, 40, 48, 50, 60, 64, 80, 100)

CAPTION, GAP, BELOW = 12.0, 19.0, 10.5  # mm above a view, between views, below the lowest
KEEP_OUT = "keep-out"
TOO_NEAR = 3.0  # mm on paper between two names
NM_PER_MM = 1e6


@dataclass(frozen=True)
class Placed:
    """A view at its place on paper: `at` is where view coordinates (0, 0) fall."""

    view: View
    at: XY
    scale: int

    def paper(self, point: Sequence[float]) -> XY:
        return self.flat(self.view.project(point))

    def flat(self, xy: XY) -> XY:
        unit = NM_PER_MM * self.scale
        return self.at[0] + xy[0] / unit, self.at[1] - xy[1] / unit


Anchor = tuple[float, tuple[float, ...], bool]  # seen area, point in rack axes, whether it is seen


class Model:
    """A drawing's geometry with what several sheets need of it, computed once."""

    def __init__(self, drawing: RackDrawing) -> None:
        self.drawing = drawing
        self.firm = [s for s in drawing.solids if s.kind != KEEP_OUT]
        self.boxes: list[Box] = [(s.lo_nm, s.hi_nm) for s in self.firm]
        self.anchors: dict[str, list[Anchor]] = {}  # item -> places for its balloon, filled when asked for
        self._edges: dict[str, list[tuple[XY, XY]]] = {}

    def edges(self, view: View) -> list[tuple[XY, XY]]:
        if view.name not in self._edges:
            self._edges[view.name] = visible_edges(view, self.boxes, self.boxes)
        return self._edges[view.name]

    @cached_property
    def rack(self) -> tuple[Point, Point]:
        """The box round the solids and rings."""
        solids = self.drawing.solids
        return _round(
            [s.lo_nm for s in solids] + [s.hi_nm for s in solids] + [r.at_nm for r in self.drawing.rings]
        )

    @cached_property
    def frame(self) -> tuple[Point, Point]:
        """The box that the overall dimensions give: the firm solids without pads and rings."""
        solids = [s for s in self.firm if s.kind not in ("pad", "ring")] or list(self.drawing.solids)
        return _round([s.lo_nm for s in solids] + [s.hi_nm for s in solids])

    @cached_property
    def tied(self) -> tuple[Point, Point]:
        """The box round everything, straps and fittings too."""
        ends = [p for s in self.drawing.straps for p in (s.from_nm, s.to_nm)]
        return _round([*self.rack, *ends, *(f.at_nm for f in self.drawing.fittings)])


def pick_scale(wide_mm: float, high_mm: float, room_wide: float, room_high: float) -> int:
    """One over the largest usual scale at which the picture finds room."""
    need = max(wide_mm / max(room_wide, 1), high_mm / max(room_high, 1))
    return next((n for n in SCALES if n >= need), SCALES[-1])


Begin = Callable[[str, str], tuple[Sheet, Frame]]


def third_angle(lo: Point, hi: Point, scale: int, x: float, y: float, between: float) -> tuple[Placed, ...]:
    """Front, right and top view placed to each other; (x, y) is the upper left corner of the top view."""
    unit = NM_PER_MM * scale
    wide, deep, high = ((b - a) / unit for a, b in zip(lo, hi, strict=True))
    floor = y + deep + GAP + high
    between = max(between, 52.0 - wide)  # the front view's caption needs its room
    return (
        Placed(FRONT, (x - lo[0] / unit, floor + lo[2] / unit), scale),
        Placed(RIGHT, (x + wide + between - lo[1] / unit, floor + lo[2] / unit), scale),
        Placed(TOP, (x - lo[0] / unit, y + deep + lo[1] / unit), scale),
    )


def draw_view(
    sheet: Sheet, model: Model, where: Placed, lo: Point, hi: Point, pen: float = THICK, names: bool = True
) -> None:
    """Edges, keep-outs, caption with the forward sign, and the datum mark."""
    drawing = model.drawing
    for solid in drawing.solids:
        if solid.kind == KEEP_OUT:
            _keep_out(sheet, where, solid, names and where.view is FRONT)
    for a, b in model.edges(where.view):
        sheet.line(where.flat(a), where.flat(b), pen)
    corners = [where.paper(p) for p in (lo, hi)]
    left, top = min(x for x, _ in corners), min(y for _, y in corners)
    _caption(sheet, where.view, drawing.forward, left, top)
    datum_mark(sheet, where.paper(drawing.datum_nm), drawing.datum_label)


def _keep_out(sheet: Sheet, where: Placed, solid: Solid, named: bool) -> None:
    a, b = where.paper(solid.lo_nm), where.paper(solid.hi_nm)
    (x0, x1), (y0, y1) = sorted((a[0], b[0])), sorted((a[1], b[1]))
    sheet.poly(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), THIN, dash=DASHED, colour=QUIET)
    if named and y1 - y0 > 4 and x1 - x0 > 8:
        size = min(2.2, 2.2 * (x1 - x0 - 2) / max(text_width(solid.label, 2.2), 1e-9))
        if size > 1.2:
            sheet.text(((x0 + x1) / 2, (y0 + y1) / 2 + 0.8), solid.label, size, "middle", colour=QUIET)


def _caption(sheet: Sheet, view: View, forward: Sequence[float] | None, left: float, top: float) -> None:
    """The view's name and where the aircraft's nose is: an arrow, or the point or feathers of one."""
    sheet.text((left, top - 9.6), view.name, 3.2, bold=True)
    if forward is None:
        sheet.text((left, top - 4.6), "FORWARD is not stated", 2.3, bold=True)
        return
    long = hypot(*forward)
    right, up = (value / long for value in view.project(forward))
    near = sum(f * t for f, t in zip(forward, view.toward, strict=True)) / long
    centre = (left + 4.0, top - 5.4)
    words = "FORWARD (aircraft)"
    if hypot(right, up) > 0.35:
        half = 3.0
        sheet.arrow(
            (centre[0] - half * right, centre[1] + half * up),
            (centre[0] + half * right, centre[1] - half * up),
            0.6,
        )
    else:
        sheet.disc(centre, 1.9, THICK)
        if near > 0:
            sheet.disc(centre, 0.5, THICK, "#000")
            words += " toward you"
        else:
            for way in (1, -1):
                sheet.line(
                    (centre[0] - 1.3, centre[1] - 1.3 * way), (centre[0] + 1.3, centre[1] + 1.3 * way), THICK
                )
            words += " away from you"
    sheet.text((left + 8.6, top - 4.6), words, 2.3, bold=True)


def draw_rings(sheet: Sheet, model: Model, where: Placed) -> None:
    rings = [(where.paper(r.at_nm), where.view.project(r.direction), r.id) for r in model.drawing.rings]
    for (x, y), (dx, dy), _ in rings:
        sheet.disc((x, y), 1.3, THICK, "#fff")
        if hypot(dx, dy) > 0.05:
            sheet.arrow((x, y), (x + 6 * dx, y - 6 * dy), THIN, 2.2, 1.1)
    for (x, y), (_, dy), names in gathered(rings):
        beside(sheet, model, where, (x, y + 3.6 if dy > 0.2 else y - 1.7), names)  # clear of the arrow


def beside(sheet: Sheet, model: Model, where: Placed, at: XY, words: str) -> None:
    """A name on the side of a point that is away from the middle of the rack."""
    lo, hi = model.rack
    outside = at[0] < where.paper([(a + b) / 2 for a, b in zip(lo, hi, strict=True)])[0]
    sheet.text(
        (at[0] + (-2.0 if outside else 2.0), at[1]), words, 2.2, "end" if outside else "start", bold=True
    )


def gathered(things: Sequence[tuple[XY, XY, str]]) -> list[tuple[XY, XY, str]]:
    """Things so near to one another in a view that their names would overprint, with all their names in one."""
    groups: list[list[tuple[XY, XY, str]]] = []
    for thing in things:
        near = (group for group in groups if dist(group[0][0], thing[0]) < TOO_NEAR)
        group = next(near, None)
        if group is None:
            groups.append([thing])
        else:
            group.append(thing)
    return [(group[0][0], group[0][1], ", ".join(name for *_, name in group)) for group in groups]


def _round(points: Sequence[Sequence[int]]) -> tuple[Point, Point]:
    lows = [min(p[axis] for p in points) for axis in range(3)]
    highs = [max(p[axis] for p in points) for axis in range(3)]
    return (lows[0], lows[1], lows[2]), (highs[0], highs[1], highs[2])
