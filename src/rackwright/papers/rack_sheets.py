"""The sheets of a rack's drawing: general arrangement, isometric with parts, tie-down.

Third angle: the top view stands above the front view, the right side view to its right, all at one scale.
Heights are ordinates from the datum, so that shelves never crowd each other's dimension lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import asin, degrees, dist, hypot

from rackwright.papers.house import content_hash
from rackwright.papers.lengths import dimension, inches
from rackwright.papers.prisms import draw_prisms
from rackwright.papers.rack_isometric import isometric_sheet
from rackwright.papers.rack_views import (
    BELOW,
    CAPTION,
    GAP,
    NM_PER_MM,
    Begin,
    Model,
    Placed,
    beside,
    draw_rings,
    draw_view,
    gathered,
    pick_scale,
    third_angle,
)  # fmt: skip
from rackwright.papers.shapes import Fitting, Point, RackDrawing, Ring
from rackwright.papers.sheet_frame import Frame, column, long_table, new_sheet, ordinates, span_dimension
from rackwright.papers.sketch import ACCENT, CHAIN, DASHED, QUIET, THICK, THIN, Sheet, text_width

__all__ = ["rack_sheets"]


def rack_sheets(drawing: RackDrawing) -> list[Sheet]:
    """All sheets; a drawing without solids raises ValueError."""
    if not drawing.solids:
        raise ValueError("a drawing needs at least one solid")
    return list(_sheets(drawing, content_hash(drawing)))


@lru_cache(maxsize=4)  # one drawing stands in several papers of a job
def _sheets(drawing: RackDrawing, digest: str) -> tuple[Sheet, ...]:
    """`digest` tells drawings apart that are equal and not the same text: 0 and 0.0 have hashes of their own."""
    model = Model(drawing)
    return tuple(_paint(model, digest, len(_paint(model, digest, 0))))


def _paint(model: Model, digest: str, of: int) -> list[Sheet]:
    sheets: list[Sheet] = []
    drawing = model.drawing
    units = "Dimensions in inches" + (" [millimetres]." if drawing.secondary_mm else ".")

    def begin(name: str, scale: str) -> tuple[Sheet, Frame]:
        made = new_sheet(drawing.head, name, scale, len(sheets) + 1, of, digest, drawing.tolerances, units)
        sheets.append(made[0])
        return made

    _arrangement(model, begin)
    isometric_sheet(model, begin)
    if drawing.straps or drawing.fittings:
        _tie_down(model, begin)
    return sheets


# --- general arrangement ---------------------------------------------------------------------------


def _arrangement(model: Model, begin: Begin) -> None:
    drawing = model.drawing
    lo, hi = model.rack
    heights = [(drawing.datum_nm[2], f"datum {drawing.datum_label}  0")] + [
        (level.z_nm, f"{level.label}  {dimension(level.z_nm - drawing.datum_nm[2], drawing.secondary_mm)}")
        for level in drawing.levels
    ]
    words = min(70.0, max(text_width(text, 2.7) for _, text in heights))
    notes_wide = 62.0 if drawing.notes else 0.0
    room = (words + 14, 24.0, 24.0)  # left of the front view, between, right of the side view
    probe = new_sheet(drawing.head, "", "", 1, 1, "", (), "")[1]
    wide, deep, high = ((b - a) / NM_PER_MM for a, b in zip(lo, hi, strict=True))
    scale = pick_scale(
        wide + deep, high + deep,
        probe.right - probe.left - sum(room) - notes_wide, probe.bottom - probe.top - CAPTION - GAP - BELOW,
    )  # fmt: skip
    sheet, frame = begin("general arrangement", f"1:{scale}")
    placed = third_angle(lo, hi, scale, frame.left + room[0], frame.top + CAPTION, room[1])
    for where in placed:
        draw_view(sheet, model, where, lo, hi)
        draw_prisms(sheet, where, drawing.prisms, model.boxes, THICK)
        draw_rings(sheet, model, where)
    front, right, _ = placed
    (a, b), second = model.frame, drawing.secondary_mm
    (x0, y0), (x1, _), floor = front.paper(a), front.paper(b), front.paper(lo)[1]
    ordinates(
        sheet, x0, frame.left + words + 2, [(front.paper((a[0], a[1], z))[1], text) for z, text in heights]
    )
    span_dimension(sheet, (x0, y0), (x1, y0), floor + 8, dimension(b[0] - a[0], second))
    (u0, v0), (u1, v1) = right.paper(a), right.paper(b)
    span_dimension(sheet, (u0, v0), (u1, v0), floor + 8, dimension(b[1] - a[1], second))
    tall, edge = dimension(b[2] - a[2], second), right.paper(hi)[0]
    span_dimension(sheet, (u1, v0), (u1, v1), edge + 8 + text_width(tall, 2.7) / 2, tall)
    u1 = edge + 5
    side = u1 + 8 + text_width(tall, 2.7)
    y = column(sheet, side, frame.top + 9, frame.right - side, "Notes", [
        f"{n}. {text}" for n, text in enumerate((*_standing_notes(drawing), *drawing.notes), 1)
    ])  # fmt: skip
    _legend(sheet, side, y + 4)


def _standing_notes(drawing: RackDrawing) -> tuple[str, ...]:
    return (
        f"Heights from datum {drawing.datum_label}. Rack axes: x right, y rear, z up, seen from the front.",
        f"Aircraft forward is {_in_axes(drawing.forward)} of the rack."
        if drawing.forward
        else "Aircraft forward is not stated.",
        "Hidden edges are omitted.",
    )


def _in_axes(way: Sequence[float]) -> str:
    for axis, word in enumerate("xyz"):
        if abs(way[axis]) > 0.9999 * hypot(*way):
            return f"{'+' if way[axis] > 0 else '−'}{word}"
    return "(" + ", ".join(f"{value:.3f}" for value in way) + ")"


def _legend(sheet: Sheet, x: float, y: float) -> None:
    for dash, colour, word in ((DASHED, QUIET, "equipment keep-out"), ((), "#000", "visible edge")):
        sheet.line((x, y), (x + 12, y), THIN if dash else THICK, dash, colour)
        sheet.text((x + 14, y + 0.8), word, 2.3)
        y += 4.4
    sheet.disc((x + 3, y), 1.3, THICK)
    sheet.arrow((x + 3, y), (x + 10, y), THIN, 2.2, 1.1)
    sheet.text((x + 14, y + 0.8), "ring, strap direction", 2.3)


# --- tie-down --------------------------------------------------------------------------------------


def _tie_down(model: Model, begin: Begin) -> None:
    drawing = model.drawing
    lo, hi = model.tied
    probe = new_sheet(drawing.head, "", "", 1, 1, "", (), "")[1]
    wide, deep, high = ((b - a) / NM_PER_MM for a, b in zip(lo, hi, strict=True))
    tables = 0.36 * (probe.right - probe.left)
    scale = pick_scale(
        wide + deep, high + deep,
        probe.right - probe.left - tables - 46, probe.bottom - probe.top - CAPTION - GAP - BELOW,
    )  # fmt: skip
    sheet, frame = begin("tie-down", f"1:{scale}")
    for where in third_angle(lo, hi, scale, frame.left + 14, frame.top + CAPTION, 28.0):
        draw_view(sheet, model, where, lo, hi, THIN, names=False)
        _straps(sheet, model, where)
    top = (frame.right - tables, frame.top + 8)
    sheet, frame, after = long_table(
        sheet,
        frame,
        top,
        f"FLOOR FITTINGS, from datum {drawing.datum_label}",
        _FITTING,
        _fitting_rows(drawing),
        begin,
    )
    long_table(sheet, frame, after, "STRAPS, ring eye to fitting", _STRAP, _strap_rows(model), begin)


_FITTING = (("id", 0.1), ("x, in", 0.14), ("y, in", 0.14), ("z, in", 0.13), ("rating, document", 0.49))
_STRAP = (("id", 0.12), ("from", 0.18), ("to", 0.18), ("run", 0.34), ("below level", 0.18))


def _straps(sheet: Sheet, model: Model, where: Placed) -> None:
    for strap in model.drawing.straps:
        sheet.line(where.paper(strap.from_nm), where.paper(strap.to_nm), 0.3, CHAIN, ACCENT)
    rings = [(where.paper(r.at_nm), (0.0, 0.0), r.id) for r in model.drawing.rings]
    for at, _, _ in rings:
        sheet.disc(at, 0.9, THIN, "#fff")
    for at, _, names in gathered(rings):
        beside(sheet, model, where, (at[0], at[1] - 0.6), names)
    for at, _, names in gathered([(where.paper(f.at_nm), (0.0, 0.0), f.id) for f in model.drawing.fittings]):
        sheet.box(at[0] - 0.9, at[1] - 0.9, 1.8, 1.8, 0.1, "#000")
        beside(sheet, model, where, (at[0], at[1] + 0.8), names)


def _fitting_rows(drawing: RackDrawing) -> list[tuple[str, ...]]:
    return [
        (f.id, *(inches(p - d) for p, d in zip(f.at_nm, drawing.datum_nm, strict=True)), f.note)
        for f in drawing.fittings
    ]


def _strap_rows(model: Model) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for strap in model.drawing.straps:
        run = dist(strap.from_nm, strap.to_nm)
        fall = degrees(asin((strap.from_nm[2] - strap.to_nm[2]) / run)) if run else 0.0
        ends = (_name_at(model, strap.from_nm), _name_at(model, strap.to_nm))
        rows.append((strap.id, *ends, dimension(round(run), model.drawing.secondary_mm), f"{fall:.1f}°"))
    return rows


def _name_at(model: Model, point: Point) -> str:
    named: list[Ring | Fitting] = [*model.drawing.rings, *model.drawing.fittings]
    near = min(named, key=lambda thing: dist(thing.at_nm, point), default=None)
    return near.id if near is not None and dist(near.at_nm, point) < 1e6 else "–"
