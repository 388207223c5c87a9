"""The drawing with its characteristics numbered: the rack, its rings, every sawn piece, corner block and plate.

The number in a balloon is the one of the inspection sheet and of the record. Where several pieces share a part number,
the balloon holds the number of each. On the rack: overall sizes, the pairs of diagonals that are compared, bond pads.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from rackwright.papers.block_sheet import BlockSketch, block_sheets
from rackwright.papers.house import Head
from rackwright.papers.lengths import dimension, inches
from rackwright.papers.piece_sheet import piece_sheets
from rackwright.papers.plate_part import PlateSketch, pages, plate_part_sheets
from rackwright.papers.prisms import draw_prisms
from rackwright.papers.rack_views import (
    BELOW,
    CAPTION,
    GAP,
    NM_PER_MM,
    Model,
    Placed,
    draw_rings,
    draw_view,
    pick_scale,
    third_angle,
)
from rackwright.papers.shapes import PieceSketch, Point, RackDrawing
from rackwright.papers.sheet_frame import balloon, column, grid, new_sheet, pill, span_dimension
from rackwright.papers.sketch import ACCENT, CHAIN, THICK, XY, Sheet

__all__ = ["Numbered", "NumberedRing", "numbered_sheets"]


@dataclass(frozen=True)
class NumberedRing:
    """The ring from the side and its leg square to the face: sizes nm, bend rad; by ring its name and the numbers of
    its angle, reach, width, eye, and the eye's centre to the end."""

    flat_reach: int
    leg_reach: int
    edge: int
    thickness: int
    width: int
    eye: int
    bend: float
    words: str  # the angle with its limits
    numbers: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Numbered:
    """`sizes` maps width, depth, height and the diagonals of front, side and top to their numbers ("" = none);
    `bond` is the number of the bond path and the points of its pads; `rows` the table of the rack."""

    head: Head
    rack: RackDrawing
    sizes: dict[str, str]
    bond: tuple[str, tuple[Point, ...]]
    rows: tuple[tuple[str, ...], ...]
    ring: NumberedRing | None
    pieces: tuple[PieceSketch, ...]
    blocks: tuple[BlockSketch, ...]
    plates: tuple[PlateSketch, ...]


def numbered_sheets(drawing: Numbered, digest: str) -> list[Sheet]:
    """The rack, the rings where there are some, pieces, blocks, plates. Raises ValueError without solids."""
    own = 2 if drawing.ring else 1
    plates = [page for plate in drawing.plates for page in pages(drawing.head, plate)]
    of = own + len(drawing.pieces) + len(drawing.blocks) + len(plates)
    sheets = [_rack(drawing, of, digest)]
    if drawing.ring is not None:
        sheets.append(_ring(drawing.head, drawing.ring, drawing.rack.tolerances, of, digest))
    sheets += piece_sheets(drawing.head, drawing.pieces, digest, own + 1, of)
    sheets += block_sheets(drawing.head, drawing.blocks, digest, len(sheets) + 1, of)
    return sheets + plate_part_sheets(drawing.head, plates, digest, len(sheets) + 1, of)


# --- the rack ------------------------------------------------------------------------------------


def _rack(drawing: Numbered, of: int, digest: str) -> Sheet:
    model, rack = Model(drawing.rack), drawing.rack
    lo, hi = model.rack
    probe = new_sheet(drawing.head, "", "", 1, 1, "", (), "")[1]
    wide, deep, high = ((b - a) / NM_PER_MM for a, b in zip(lo, hi, strict=True))
    scale = pick_scale(wide + deep, high + deep, probe.right - probe.left - 220,
                       probe.bottom - probe.top - CAPTION - GAP - BELOW - 14)  # fmt: skip
    sheet, frame = new_sheet(drawing.head, "characteristics of the rack", f"1:{scale}", 1, of, digest, rack.tolerances,
                             "Dimensions in inches [millimetres].")  # fmt: skip
    placed = third_angle(lo, hi, scale, frame.left + 34, frame.top + CAPTION, 34.0)
    for where in placed:
        draw_view(sheet, model, where, lo, hi)
        draw_prisms(sheet, where, rack.prisms, model.boxes, THICK)
        draw_rings(sheet, model, where)
    front, right, top = placed
    a, b = model.frame
    floor, sizes = front.paper(lo)[1], drawing.sizes
    for where, axis, name in ((front, 0, "width"), (right, 1, "depth")):
        start, end = where.paper(a), where.paper(b)
        span_dimension(
            sheet, (start[0], start[1]), (end[0], start[1]), floor + 10, dimension(b[axis] - a[axis], True)
        )
        pill(sheet, (end[0] + 6, floor + 10), sizes.get(name, ""))
    x, (_, y0), (_, y1) = front.paper(lo)[0] - 16, front.paper(a), front.paper(b)
    left = front.paper(a)[0]
    span_dimension(sheet, (left, y0), (left, y1), x, dimension(b[2] - a[2], True))
    pill(sheet, (x, y1 - 5), sizes.get("height", ""))
    for where, name, u, v in ((front, "front", 0, 2), (right, "side", 1, 2), (top, "top", 0, 1)):
        _diagonals(sheet, where, (a, b), (u, v), sizes.get(f"{name} diagonals differ", ""))
    number, pads = drawing.bond
    for point in pads:
        at = top.paper(point)
        if number:
            balloon(sheet, (at[0] - 8, at[1] + 8), number, at)
    columns = (("no.", 12.0), ("characteristic", 62.0), ("nominal", 26.0), ("limits", 46.0), ("gauge", 28.0))
    x = frame.right - sum(width for _, width in columns)
    sheet.text((x, frame.top + 9), "Characteristics of the assembled rack", 2.8, bold=True)
    y, _ = grid(sheet, x, frame.top + 11, frame.bottom, columns, drawing.rows, size=2.3)
    column(sheet, x, y + 9, 170, "Notes", [
        "Balloons are the numbers of the inspection sheet and of the record.",
        "Diagonals are compared in pairs: the characteristic is how far the two of a face differ.",
        "Bond resistance is between any two of the ballooned pads, four-wire.",
    ])  # fmt: skip
    return sheet


def _diagonals(
    sheet: Sheet, where: Placed, box: tuple[Point, Point], axes: tuple[int, int], number: str
) -> None:
    if not number:
        return
    corners: list[XY] = []
    for first, second in ((0, 0), (1, 1), (0, 1), (1, 0)):
        point = [(p + q) / 2 for p, q in zip(*box, strict=True)]
        point[axes[0]], point[axes[1]] = box[first][axes[0]], box[second][axes[1]]
        corners.append(where.paper(point))
    sheet.line(corners[0], corners[1], 0.18, CHAIN, ACCENT)
    sheet.line(corners[2], corners[3], 0.18, CHAIN, ACCENT)
    middle = ((corners[0][0] + corners[1][0]) / 2, (corners[0][1] + corners[1][1]) / 2)
    pill(sheet, middle, number)


# --- rings ---------------------------------------------------------------------------------------


def _ring(head: Head, ring: NumberedRing, tolerances: Sequence[str], of: int, digest: str) -> Sheet:
    """The ring from the side, at full size, and the numbers of each ring in a table."""
    sheet, frame = new_sheet(head, "tie-down rings", "1:1", 2, of, digest, tolerances,
                             "Dimensions in inches [millimetres], on the middle of the thickness.")  # fmt: skip
    x, y = frame.left + 30, frame.top + 110
    unit, half = NM_PER_MM, ring.thickness / 2e6
    long, leg = (ring.edge + ring.flat_reach) / unit, (ring.leg_reach + ring.edge) / unit
    bend = (x + long, y)

    def along(reach: float, off: float) -> XY:
        return (bend[0] + reach * cos(ring.bend) + off * sin(ring.bend),
                bend[1] - reach * sin(ring.bend) + off * cos(ring.bend))  # fmt: skip

    shift = half * (1 - cos(ring.bend)) / max(sin(ring.bend), 1e-9)
    sheet.poly(((x, y - half), (bend[0] - shift, y - half), along(leg, -half), along(leg, half),
                (bend[0] + shift, y + half), (x, y + half)), THICK)  # fmt: skip
    for a, b in (((x - 3, y), (bend[0] + 34, y)), (along(-4, 0), along(leg + 6, 0))):
        sheet.line(a, b, 0.13, CHAIN)
    eye = along(ring.leg_reach / unit, 0)
    for off in (-1.0, 1.0):
        sheet.line(
            along(ring.leg_reach / unit, off * (half + 2)), along(ring.leg_reach / unit, 0), 0.13, CHAIN
        )
    sheet.text((eye[0] + 6, eye[1] - 8), "eye", 2.6)
    arc = [
        (bend[0] + 28 * cos(ring.bend * k / 12), bend[1] - 28 * sin(ring.bend * k / 12)) for k in range(13)
    ]
    sheet.poly(arc, 0.18, closed=False)
    middle = arc[6]
    sheet.text((middle[0] + 3, middle[1]), ring.words, 2.7)
    pill(sheet, (middle[0] + 7, middle[1] + 5), "angle")
    start, end = along(0, half + 8), along(ring.leg_reach / unit, half + 8)
    sheet.line(along(0, half + 1), along(0, half + 9.5), 0.18)
    sheet.line(along(ring.leg_reach / unit, half + 1), along(ring.leg_reach / unit, half + 9.5), 0.18)
    sheet.arrow(start, end, 0.18, 2.2, 0.75)
    sheet.arrow(end, start, 0.18, 2.2, 0.75)
    word = ((start[0] + end[0]) / 2 + 16, (start[1] + end[1]) / 2 + 12)
    sheet.line(((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), (word[0] - 1, word[1] - 1), 0.13)
    sheet.text(word, dimension(ring.leg_reach, True), 2.7)
    pill(sheet, (word[0] + 7, word[1] + 4), "reach")
    span_dimension(sheet, (x, y), (bend[0], y), y + 26, inches(ring.edge + ring.flat_reach))
    _leg(sheet, ring, (frame.left + 262, frame.top + 146))
    columns = (
        ("ring", 52.0),
        ("no. of angle", 24.0),
        ("reach", 18.0),
        ("width", 18.0),
        ("eye", 18.0),
        ("eye to end", 24.0),
    )
    left = frame.right - sum(width for _, width in columns) - 6
    sheet.text(
        (left, frame.top + 9),
        "Bend angle, leg reach and, as cut, the outline at the eye of each ring",
        2.8,
        bold=True,
    )
    grid(sheet, left, frame.top + 11, frame.bottom, columns, ring.numbers, size=2.3)
    return sheet


def _leg(sheet: Sheet, ring: NumberedRing, eye: XY) -> None:
    """The leg, square to its face, with its rounded end at the right; `eye`: where its centre stands."""
    half, end, back = ring.width / 2e6, ring.edge / NM_PER_MM, ring.leg_reach / NM_PER_MM
    x, y = eye
    turns = [(k - 12) * pi / 24 for k in range(25)]
    outline = [(x + end * cos(turn), y + half * sin(turn)) for turn in turns]
    sheet.poly([(x - back, y + half), (x - back, y - half), *outline], THICK, closed=False)
    radius = ring.eye / 2e6
    sheet.poly([(x + radius * cos(turn * 2), y + radius * sin(turn * 2)) for turn in turns], THICK)
    sheet.line((x - back - 4, y), (x + end + 4, y), 0.13, CHAIN)
    sheet.line((x, y - half - 4), (x, y + half + 4), 0.13, CHAIN)
    sheet.text((x - back, y - half - 7), "leg, square to its face", 2.6)
    span_dimension(sheet, (x, y + half), (x + end, y + half), y + half + 12, dimension(ring.edge, True))
    pill(sheet, (x + end + 38, y + half + 12), "eye to end")
    span_dimension(
        sheet, (x - back, y - half), (x - back, y + half), x - back - 24, dimension(ring.width, True)
    )
    pill(sheet, (x - back - 24, y + half + 8), "width")
    word = (x + end + 14, y - half + 2)
    sheet.line((x + radius * cos(pi / 4), y - radius * sin(pi / 4)), (word[0] - 1, word[1] - 1), 0.13)
    sheet.text(word, f"\u2300{dimension(ring.eye, True)}", 2.7)
    pill(sheet, (word[0] + 7, word[1] + 5), "eye")
