"""A sheet for each corner block: three views, third angle, with ordinates from its outer faces, holes and grain.

Every block is drawn as it stands in the rack, so a mirror image looks like one. Ordinates run inward from the outer
corner of the cube, so that no tolerance adds up; circles are holes seen end on, dashed where metal hides them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from rackwright.papers.house import Head
from rackwright.papers.lengths import inches
from rackwright.papers.rack_views import Placed, third_angle
from rackwright.papers.shapes import Point
from rackwright.papers.sheet_frame import Frame, balloon, column, grid, new_sheet, place_apart
from rackwright.papers.sketch import ACCENT, THICK, XY, Sheet
from rackwright.papers.views import hides, visible_edges

__all__ = ["BlockHoleMark", "BlockSketch", "block_sheets"]


@dataclass(frozen=True)
class BlockHoleMark:
    """A hole along an axis (0, 1, 2), centred at the middle of its length, in rack axes, nm."""

    axis: int
    centre: Point
    diameter: int


@dataclass(frozen=True)
class BlockSketch:
    """One block. `boxes` are the cube first, then its spigots; `outer` its outer corner; `balloons` (number, point).

    `facts` are printed as lines, `holes` and `times` as tables of their named columns.
    """

    part: str
    title: str
    boxes: tuple[tuple[Point, Point], ...]
    outer: Point
    marks: tuple[BlockHoleMark, ...]
    grain: int
    facts: tuple[str, ...]
    holes: tuple[tuple[str, ...], ...]
    times: tuple[tuple[str, str, str], ...]
    first_piece: tuple[tuple[str, ...], ...]
    balloons: tuple[tuple[str, Point], ...] = ()
    tolerances: tuple[str, ...] = ()


def block_sheets(
    head: Head, blocks: Sequence[BlockSketch], digest: str, first: int = 1, of: int = 0
) -> list[Sheet]:
    """One sheet a block, on tabloid or A3. `first` and `of` number them where they follow others."""
    return [_sheet(head, block, n, of or len(blocks), digest) for n, block in enumerate(blocks, start=first)]


def _sheet(head: Head, block: BlockSketch, number: int, of: int, digest: str) -> Sheet:
    lo, hi = (
        tuple(f(box[side][i] for box in block.boxes) for i in range(3)) for side, f in ((0, min), (1, max))
    )
    size = max(b - a for a, b in zip(lo, hi, strict=True)) / 1e6
    scale = next(n for n in (1, 2, 3, 4, 5, 10) if size / n <= 92 or n == 10)
    sheet, frame = new_sheet(head, f"block {block.part}", f"1:{scale}", number, of, digest, block.tolerances,
                             "Dimensions in inches, inward from the outer faces of the block.")  # fmt: skip
    column(sheet, frame.left, frame.top + 4, 220, f"{block.part}  {block.title}", [])
    views = third_angle(
        (lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]), scale, frame.left + 26, frame.top + 12, 34.0
    )
    for where in views:
        _view(sheet, block, where)
    _ordinates(sheet, block, views)
    for text, point in block.balloons:
        low, high = block.boxes[0]
        behind = not low[1] <= point[1] <= high[1]  # a spigot to the rear shows from the side
        at = views[1 if behind else 0].paper(point)
        balloon(sheet, (at[0] + 9, at[1] - 9), text, at)
    _grain(sheet, block, views[0])
    _tables(sheet, frame, block)
    return sheet


def _view(sheet: Sheet, block: BlockSketch, where: Placed) -> None:
    view = where.view
    edges = [(where.flat(a), where.flat(b)) for a, b in visible_edges(view, block.boxes, block.boxes)]
    for a, b in edges:
        sheet.line(a, b, THICK)
    left, top = min(a[0] for a, _ in edges), min(min(a[1], b[1]) for a, b in edges)
    sheet.text((left, top - 5), view.name, 2.6, bold=True)
    for mark in block.marks:
        if abs(view.toward[mark.axis]) < 0.5:
            continue
        x, y = where.paper(mark.centre)
        radius = mark.diameter / 1e6 / where.scale / 2
        hidden = any(hides(view, box, mark.centre) for box in block.boxes if not _inside(box, mark))
        ring = [(x + radius * cos(k * pi / 24), y + radius * sin(k * pi / 24)) for k in range(48)]
        sheet.poly(ring, 0.3, dash=(0.9, 0.6) if hidden else ())
        for dx, dy in ((radius + 1.2, 0.0), (0.0, radius + 1.2)):
            sheet.line((x - dx, y - dy), (x + dx, y + dy), 0.13)


def _inside(box: tuple[Point, Point], mark: BlockHoleMark) -> bool:
    return all(box[0][i] <= mark.centre[i] <= box[1][i] for i in range(3))


# --- dimensions ----------------------------------------------------------------------------------


def _ordinates(sheet: Sheet, block: BlockSketch, views: Sequence[Placed]) -> None:
    """x and z at the front view, y at the right one."""
    front, right, _ = views
    _level(sheet, block, front, 0)
    _level(sheet, block, right, 1)
    _upright(sheet, block, front)


def _values(block: BlockSketch, axis: int) -> list[int]:
    faces = {box[side][axis] for box in block.boxes for side in (0, 1)}
    return sorted(faces | {mark.centre[axis] for mark in block.marks if mark.axis != axis})


def _level(sheet: Sheet, block: BlockSketch, where: Placed, axis: int) -> None:
    floor = max(where.paper(corner)[1] for box in block.boxes for corner in box)
    values = _values(block, axis)
    xs = [where.paper(_point(block, axis, value))[0] for value in values]
    for value, x, place in zip(values, xs, place_apart(xs, 3.4), strict=True):
        sheet.poly(((x, floor + 1), (x, floor + 3), (place, floor + 5.5), (place, floor + 6.5)), closed=False)
        sheet.text((place + 0.9, floor + 16), inches(abs(value - block.outer[axis])), 2.4, turn=-90)


def _upright(sheet: Sheet, block: BlockSketch, where: Placed) -> None:
    left = min(where.paper(corner)[0] for box in block.boxes for corner in box)
    values = _values(block, 2)
    ys = [where.paper(_point(block, 2, value))[1] for value in values]
    for value, y, place in zip(values, ys, place_apart(ys, 3.4), strict=True):
        sheet.poly(((left - 1, y), (left - 3, y), (left - 5.5, place), (left - 6.5, place)), closed=False)
        sheet.text((left - 7.2, place + 0.9), inches(abs(value - block.outer[2])), 2.4, "end")


def _point(block: BlockSketch, axis: int, value: int) -> Point:
    point = list(block.outer)
    point[axis] = value
    return point[0], point[1], point[2]


def _grain(sheet: Sheet, block: BlockSketch, where: Placed) -> None:
    """A double arrow along the grain beside the front view."""
    corners = [where.paper(corner) for box in block.boxes for corner in box]
    x, y0, y1 = max(c[0] for c in corners) + 9, min(c[1] for c in corners), max(c[1] for c in corners)
    ends: tuple[XY, XY] = ((x, y0 + 8), (x, y1 - 8)) if block.grain == 2 else ((x, y1), (x + 16, y1))
    sheet.arrow(*ends, 0.3, 2.4, 1.4)
    sheet.arrow(ends[1], ends[0], 0.3, 2.4, 1.4)
    sheet.text((x + 2.4, (y0 + y1) / 2), "grain", 2.4, "middle", turn=-90, colour=ACCENT)


# --- tables --------------------------------------------------------------------------------------


def _tables(sheet: Sheet, frame: Frame, block: BlockSketch) -> None:
    x = frame.right - 158
    y = column(sheet, x, frame.top + 9, 156, "Stock and set-up", list(block.facts), 2.3) + 4
    for title, shares, rows in (
        ("Holes, in",
         (("hole", 12.0), ("axis", 12.0), ("enters at x, y, z", 60.0), ("depth", 18.0), ("diameter", 24.0)),
         block.holes),
        ("Machining time of one block", (("what", 66.0), ("from", 66.0), ("min", 20.0)), block.times),
        ("First piece, measured before the second is loaded",
         (("no.", 10.0), ("characteristic", 34.0), ("nominal", 24.0), ("limits", 44.0), ("gauge", 24.0),
          ("found", 20.0)),
         block.first_piece),
    ):  # fmt: skip
        if rows:
            sheet.text((x, y), title, 2.6, bold=True)
            y, _ = grid(sheet, x, y + 2, frame.bottom, shares, rows, size=2.15)
            y += 7
