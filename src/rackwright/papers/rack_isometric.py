"""The isometric sheet: the rack with numbered balloons beside its parts table."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from rackwright.papers.prisms import draw_prisms, middle_of
from rackwright.papers.rack_views import KEEP_OUT, NM_PER_MM, Anchor, Begin, Model, Placed, pick_scale
from rackwright.papers.shapes import RackDrawing, Solid
from rackwright.papers.sheet_frame import Frame, balloon, long_table, new_sheet, place_apart
from rackwright.papers.sketch import DASHED, QUIET, THICK, THIN, XY, Sheet
from rackwright.papers.views import ISOMETRIC, Box, hides, visible_edges

__all__ = ["isometric_sheet"]


def isometric_sheet(model: Model, begin: Begin) -> None:
    drawing = model.drawing
    lo, hi = model.rack
    corners = [
        ISOMETRIC.project((x, y, z)) for x in (lo[0], hi[0]) for y in (lo[1], hi[1]) for z in (lo[2], hi[2])
    ]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    low, top = min(y for _, y in corners), max(y for _, y in corners)
    probe = new_sheet(drawing.head, "", "", 1, 1, "", (), "")[1]
    picture = 0.44 * (probe.right - probe.left)
    scale = pick_scale(
        (right - left) / NM_PER_MM, (top - low) / NM_PER_MM, picture - 24, probe.bottom - probe.top - 10
    )
    sheet, frame = begin("isometric and parts", f"1:{scale}")
    unit = NM_PER_MM * scale
    middle_x, middle_y = frame.left + picture / 2, (frame.top + frame.bottom) / 2 + 3
    where = Placed(
        ISOMETRIC, (middle_x - (left + right) / 2 / unit, middle_y + (low + top) / 2 / unit), scale
    )
    for solid in drawing.solids:
        if solid.kind == KEEP_OUT:
            box = (solid.lo_nm, solid.hi_nm)
            for a, b in visible_edges(ISOMETRIC, [box], [*model.boxes, box]):
                sheet.line(where.flat(a), where.flat(b), THIN, DASHED, QUIET)
    for a, b in model.edges(ISOMETRIC):
        sheet.line(where.flat(a), where.flat(b), 0.26)
    draw_prisms(sheet, where, drawing.prisms, model.boxes, 0.26)
    for ring in drawing.rings:
        sheet.disc(where.paper(ring.at_nm), 1.1, THICK, "#fff")
    _balloons(sheet, model, where, (frame.left + 5, frame.left + picture - 5), frame)
    sheet.text((frame.left, frame.top + 3), "ISOMETRIC", 3.2, bold=True)
    _triad(sheet, drawing.forward, (frame.left + 13, frame.top + 21))
    _parts(sheet, frame, drawing, picture, begin)


def _triad(sheet: Sheet, forward: Sequence[float] | None, at: XY) -> None:
    for way, word in (((1, 0, 0), "x"), ((0, 1, 0), "y"), ((0, 0, 1), "z")):
        dx, dy = ISOMETRIC.project(way)
        sheet.arrow(at, (at[0] + 8 * dx, at[1] - 8 * dy), THIN, 1.8, 1.0)
        sheet.text((at[0] + 10.5 * dx - 0.7, at[1] - 10.5 * dy + 0.8), word, 2.3, colour=QUIET)
    if forward is None:
        sheet.text((at[0] - 12, at[1] + 12), "FORWARD is not stated", 2.3, bold=True)
        return
    dx, dy = (14 * value / hypot(*forward) for value in ISOMETRIC.project(forward))
    sheet.arrow(at, (at[0] + dx, at[1] - dy), 0.6)
    sheet.text((at[0] - 12, max(at[1], at[1] - dy) + 6.5), "FORWARD (aircraft)", 2.3, bold=True)


def _balloons(sheet: Sheet, model: Model, where: Placed, sides: tuple[float, float], frame: Frame) -> None:
    """One balloon an item, in two columns, at the places where the items are seen best."""
    middle = sum(sides) / 2
    columns: dict[bool, list[tuple[XY, str, bool]]] = {False: [], True: []}
    for row in model.drawing.parts:
        if row.item not in model.anchors:
            model.anchors[row.item] = _anchors(model, row.item)
        found = [(area, where.paper(point), seen) for area, point, seen in model.anchors[row.item]]
        if not found:
            continue
        most = max(area for area, *_ in found)
        best = {side: max((f for f in found if (f[1][0] > middle) == side), default=None) for side in columns}
        usable = [side for side, f in best.items() if f is not None and f[0] >= 0.4 * most]
        side = min(usable, key=lambda side: len(columns[side]))
        chosen = best[side]
        assert chosen is not None
        columns[side].append((chosen[1], row.item, chosen[2]))
    for on_right, column_of in columns.items():
        low = frame.top + (8 if on_right else 38)
        ys = place_apart([xy[1] for xy, _, _ in column_of], 7.6, low, frame.bottom - 5)
        for (xy, item, seen), y in zip(column_of, ys, strict=True):
            balloon(sheet, (sides[on_right], y), item, xy, seen)


def _anchors(model: Model, item: str) -> list[Anchor]:
    """(seen area, point, seen) on faces toward the viewer that nothing hides; else one hidden point."""
    rings = [(1.0, tuple(map(float, r.at_nm)), True) for r in model.drawing.rings if r.item == item]
    rings += [(1.0, middle_of(one), True) for one in model.drawing.prisms if one.item == item]
    candidates = [
        (area, point, [box for box in model.boxes if box != (solid.lo_nm, solid.hi_nm)])
        for solid in model.drawing.solids if solid.item == item
        for area, point in _face_points(solid)
    ]  # fmt: skip
    for rim in (8e6, 0.0):  # nm: first well clear of what is in front, then just clear
        clear = [
            (area, point, True)
            for area, point, others in candidates
            if not any(hides(ISOMETRIC, _grown(box, rim), point) for box in others)
        ]
        if clear:
            return clear
    return rings or [(area, point, False) for area, point, _ in candidates[:1]]


def _grown(box: Box, rim: float) -> Box:
    return [v - rim for v in box[0]], [v + rim for v in box[1]]


def _face_points(solid: Solid) -> list[tuple[float, tuple[float, ...]]]:
    """(seen area, point) for points on the three faces toward the viewer, middle points first."""
    lo, hi = solid.lo_nm, solid.hi_nm
    points = []
    for axis in range(3):
        one, two = (axis + 1) % 3, (axis + 2) % 3
        area = float(hi[one] - lo[one]) * (hi[two] - lo[two])
        for n, (a, b) in enumerate(
            ((0.5, 0.5), (0.35, 0.5), (0.65, 0.5), (0.5, 0.35), (0.5, 0.65), (0.2, 0.8), (0.8, 0.2))
        ):
            point = [0.0, 0.0, 0.0]
            point[axis] = hi[axis] if ISOMETRIC.toward[axis] > 0 else lo[axis]
            point[one] = lo[one] + a * (hi[one] - lo[one])
            point[two] = lo[two] + b * (hi[two] - lo[two])
            points.append((area * (1 - 0.01 * n), tuple(point)))
    return points


def _parts(sheet: Sheet, frame: Frame, drawing: RackDrawing, picture: float, begin: Begin) -> None:
    left = frame.left + picture + 3
    shares = (
        ("item", 0.075), ("qty", 0.07), ("part no.", 0.2), ("description", 0.255), ("stock", 0.235),
        ("cut length", 0.165),
    )  # fmt: skip
    rows = [(p.item, p.quantity, p.part, p.description, p.stock, p.cut_length) for p in drawing.parts]
    long_table(sheet, frame, (left, frame.top + 6), "PARTS", shares, rows, begin)
