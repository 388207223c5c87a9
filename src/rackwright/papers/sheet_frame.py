"""What every drawing sheet has around its views: border, title block, projection symbol, tables, marks.

The line to sign for the approval person is always empty: no computed state may fill it. The field list
follows ISO 7200 (memory), the look is the house's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rackwright.papers.house import PAPERS, Head
from rackwright.papers.sketch import ACCENT, QUIET, THICK, THIN, XY, Sheet, text_width, wrap
from rackwright.trouble import DEFERENCE

__all__ = [
    "Frame", "balloon", "column", "datum_mark", "grid", "long_table", "new_sheet", "ordinates", "pill", "place_apart",
    "span_dimension",
]  # fmt: skip

EDGE, BLOCK_HIGH = 8.0, 32.0
DIMENSION = 2.7  # size of lettering of dimensions


@dataclass(frozen=True)
class Frame:
    """The free area inside the border and above the title block, in mm."""

    left: float
    top: float
    right: float
    bottom: float


def new_sheet(
    head: Head,
    name: str,
    scale: str,
    number: int,
    of: int,
    digest: str,
    tolerances: Sequence[str],
    units: str,
) -> tuple[Sheet, Frame]:
    """A landscape sheet with its border and title block."""
    high, wide = PAPERS[head.paper]
    sheet = Sheet(
        wide, high, f"{head.title} {head.number} revision {head.revision}, {name}, sheet {number} of {of}"
    )
    sheet.box(EDGE, EDGE, wide - 2 * EDGE, high - 2 * EDGE, THICK)
    top = high - EDGE - BLOCK_HIGH
    sheet.line((EDGE, top), (wide - EDGE, top), THICK)
    block = wide - EDGE - 138.0
    sheet.line((block, top), (block, high - EDGE), THICK)
    _left_cell(sheet, EDGE + 2.5, top, block - EDGE - 5, tolerances, units)
    _title_block(sheet, block, top, head, name, scale, f"{number} of {of}", digest)
    _marks(sheet, wide - EDGE - 2, EDGE + 2, head.marks)
    return sheet, Frame(EDGE + 4, EDGE + 3, wide - EDGE - 4, top - 3)


def _left_cell(
    sheet: Sheet, x: float, top: float, wide: float, tolerances: Sequence[str], units: str
) -> None:
    y = top + 4.2
    for line in (units, *tolerances):
        for part in wrap(line, wide, 2.1):
            sheet.text((x, y), part, 2.1)
            y += 2.9
    size = 1.95
    lines = wrap(DEFERENCE, wide, size)
    y = max(y + 1.2, top + BLOCK_HIGH - 2.0 - 2.7 * (len(lines) - 1))
    for part in lines:
        sheet.text((x, y), part, size, colour=QUIET)
        y += 2.7


def _title_block(
    sheet: Sheet, x: float, top: float, head: Head, name: str, scale: str, number: str, digest: str
) -> None:
    """Three rows of cells, 138 mm wide."""
    wide, row = 138.0, BLOCK_HIGH / 3
    for n in (1, 2):
        sheet.line((x, top + n * row), (x + wide, top + n * row))

    def cell(
        at: float, line: int, width: float, word: str, value: str, size: float = 3.0, bold: bool = False
    ) -> None:
        if at:
            sheet.line((x + at, top + line * row), (x + at, top + (line + 1) * row))
        sheet.text((x + at + 1.4, top + line * row + 2.8), word, 1.7, colour=QUIET)
        sheet.fit((x + at + 1.4, top + line * row + 8.0), value, width - 2.8, size, bold=bold)

    cell(0, 0, 46, "shop", head.shop, 3.0)
    cell(46, 0, 92, "title", f"{head.title}: {name}", 3.6, bold=True)
    cell(0, 1, 46, "drawing no.", head.number, 3.6, bold=True)
    cell(46, 1, 14, "rev", head.revision, 3.6, bold=True)
    cell(60, 1, 22, "sheet", number, 3.0)
    cell(82, 1, 20, "scale", scale, 3.0)
    cell(102, 1, 36, "third angle", "", 3.0)
    _third_angle(sheet, x + 125, top + 1.5 * row + 0.3)
    cell(0, 2, 60, "approval person: sign here", "")
    sheet.line((x + 3, top + 3 * row - 2.2), (x + 42, top + 3 * row - 2.2), THIN)
    sheet.text((x + 44, top + 3 * row - 2.2), "date", 1.7, colour=QUIET)
    cell(60, 2, 22, "drawn", head.date, 2.4)
    cell(82, 2, 56, "DO NOT SCALE THIS DRAWING", "", 2.0)
    sheet.fit((x + 83.4, top + 2 * row + 6.4), f"definition {head.definition[:16]}", 53, 2.0)
    sheet.fit((x + 83.4, top + 2 * row + 9.4), f"content    {digest[:16]}", 53, 2.0)


def _third_angle(sheet: Sheet, x: float, y: float) -> None:
    """The circles stand on the left of the cone, whose small end is toward them."""
    sheet.disc((x - 5, y), 2.9)
    sheet.disc((x - 5, y), 1.5)
    sheet.poly(((x + 2, y - 1.5), (x + 10, y - 2.9), (x + 10, y + 2.9), (x + 2, y + 1.5)))
    for a, b in (((x - 9, y), (x - 1, y)), ((x - 5, y - 4), (x - 5, y + 4)), ((x + 0.5, y), (x + 11.5, y))):
        sheet.line(a, b, 0.13, (1.6, 0.5, 0.4, 0.5))


def _marks(sheet: Sheet, right: float, top: float, marks: Sequence[str]) -> None:
    for word in reversed(marks):
        wide = text_width(word, 2.5) + 3
        sheet.box(right - wide, top, wide, 4.4, THICK, "#fff")
        sheet.text((right - wide / 2, top + 3.1), word, 2.5, "middle", bold=True)
        right -= wide + 2


# --- dimensions and signs ------------------------------------------------------------------------


def span_dimension(sheet: Sheet, a: XY, b: XY, at: float, text: str) -> None:
    """A dimension between two points of a horizontal (at = y of the line) or vertical (at = x) feature."""
    level = a[1] == b[1]
    if level:
        ends = ((a[0], at), (b[0], at))
        for point, end in zip((a, b), ends, strict=True):
            step = 1.2 if at > point[1] else -1.2
            sheet.line((point[0], point[1] + step), (end[0], end[1] + step))
    else:
        ends = ((at, a[1]), (at, b[1]))
        for point, end in zip((a, b), ends, strict=True):
            step = 1.2 if at > point[0] else -1.2
            sheet.line((point[0] + step, point[1]), (end[0] + step, end[1]))
    (x1, y1), (x2, y2) = ends
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    run, wide = abs(x2 - x1) + abs(y2 - y1), text_width(text, DIMENSION)
    if run < wide + 8 and level:  # no room between the arrows: they come from outside, the words beside
        for end, other in (((x1, y1), (x2, y2)), ((x2, y2), (x1, y1))):
            way = 1 if end[0] > other[0] else -1
            sheet.line((end[0] + 6 * way, at), end)
            sheet.arrow_head(end, (-way, 0))
        sheet.text((max(x1, x2) + 7, at + 0.95), text, DIMENSION)
        return
    gap = (wide / 2 + 1) / run if level else 1.9 / run
    for end, share in ((ends[0], 0.5 - gap), (ends[1], 0.5 + gap)):
        sheet.line(end, (x1 + (x2 - x1) * share, y1 + (y2 - y1) * share))
        sheet.arrow_head(end, (end[0] - middle[0], end[1] - middle[1]))
    sheet.text((middle[0], middle[1] + 0.95), text, DIMENSION, "middle")


def ordinates(
    sheet: Sheet, x_from: float, x_to: float, heights: Sequence[tuple[float, str]], step: float = 3.5
) -> None:
    """Heights from the datum, written at the left of a view: (y on paper, text); kinked where they crowd."""
    rows = place_apart([y for y, _ in heights], step)
    for (y, text), row in zip(heights, rows, strict=True):
        sheet.poly(((x_from - 1.2, y), (x_from - 4, y), (x_to + 3, row), (x_to, row)), closed=False)
        sheet.text((x_to - 1, row + 0.95), text, DIMENSION, "end")


def place_apart(values: Sequence[float], step: float, low: float = -1e9, high: float = 1e9) -> list[float]:
    """The values moved apart to at least `step`, as little as need be, in their order, inside low..high.

    Where the range is too short for all, they stand evenly in it.
    """
    order = sorted(range(len(values)), key=lambda i: values[i])
    step = min(step, (high - low) / max(len(values) - 1, 1))
    groups: list[tuple[float, int]] = []  # centre and number of members
    for i in order:
        groups.append((_inside(values[i], 1, step, low, high), 1))
        while len(groups) > 1 and groups[-1][0] - groups[-2][0] < step * (groups[-1][1] + groups[-2][1]) / 2:
            (a, m), (b, n) = groups[-2:]
            groups[-2:] = [(_inside((a * m + b * n) / (m + n), m + n, step, low, high), m + n)]
    places = [c + step * (k - (n - 1) / 2) for c, n in groups for k in range(n)]
    out = [0.0] * len(values)
    for i, place in zip(order, places, strict=True):
        out[i] = place
    return out


def _inside(centre: float, members: int, step: float, low: float, high: float) -> float:
    half = step * (members - 1) / 2
    return min(max(centre, low + half), high - half)


def balloon(sheet: Sheet, centre: XY, text: str, anchor: XY, seen: bool = True) -> None:
    """A ringed item number with a leader that ends in a dot on the item."""
    sheet.line(centre, anchor, 0.15, () if seen else (1.0, 0.8), ACCENT)
    sheet.disc(anchor, 0.45, 0.1, ACCENT)
    sheet.disc(centre, 3.1, 0.28, "#fff")
    sheet.fit((centre[0], centre[1] + 1.0), text, 5.2, 2.7, "middle", bold=True)


def pill(sheet: Sheet, centre: XY, text: str, upright: bool = False) -> None:
    """A characteristic's number in a box with its own width; `upright` is turned to read from the right."""
    if not text:
        return
    long, wide = text_width(text, 2.3) + 2.2, 3.6
    w, h = (wide, long) if upright else (long, wide)
    sheet.box(centre[0] - w / 2, centre[1] - h / 2, w, h, 0.28, "#fff")
    if upright:
        sheet.text((centre[0] + 0.85, centre[1]), text, 2.3, "middle", bold=True, turn=-90)
    else:
        sheet.text((centre[0], centre[1] + 0.85), text, 2.3, "middle", bold=True)


def datum_mark(sheet: Sheet, at: XY, label: str) -> None:
    """A filled triangle hanging from the datum point, and the boxed letter."""
    x, y = at
    sheet.poly(((x, y), (x - 1.2, y + 2.0), (x + 1.2, y + 2.0)), 0.1, "#000")
    sheet.line((x, y + 2.0), (x, y + 3.0))
    sheet.box(x - 1.8, y + 3.0, 3.6, 3.6, THIN, "#fff")
    sheet.text((x, y + 5.75), label, 2.5, "middle", bold=True)


# --- tables and columns of words -----------------------------------------------------------------


def long_table(
    sheet: Sheet, frame: Frame, at: XY, title: str, shares: Sequence[tuple[str, float]],
    rows: Sequence[Sequence[str]], begin: Callable[[str, str], tuple[Sheet, Frame]],
) -> tuple[Sheet, Frame, XY]:  # fmt: skip
    """A titled table from `at` to the right border that goes on over fresh sheets for as long as it must.

    `shares` are (name, share of the width); returns where the next table may begin.
    """
    x, y = at
    fresh = False
    while True:
        columns = [(name, share * (frame.right - x)) for name, share in shares]
        end, done = y, 0
        if fresh or frame.bottom - y > 20:
            sheet.text((x, y), title, 2.8, bold=True)
            end, done = grid(sheet, x, y + 2, frame.bottom, columns, rows, fresh)
        rows = rows[done:]
        if not rows:
            return sheet, frame, (x, end + 9)
        sheet.text((frame.right, frame.bottom + 2.2), f"{title.split(',')[0].lower()}: continued", 2.1, "end")
        sheet, frame = begin(f"{title.split(',')[0].lower()}, continued", "none")
        x, y, fresh = frame.left, frame.top + 8, True


def grid(
    sheet: Sheet, x: float, y: float, bottom: float, columns: Sequence[tuple[str, float]],
    rows: Sequence[Sequence[str]], force: bool = False, size: float = 2.15,
) -> tuple[float, int]:  # fmt: skip
    """A table of (name, width) columns; returns where it ends and how many rows found room.

    `force` sets the first row even where it is too tall for the room, so that a caller makes headway.
    """
    step, wide = size * 1.35, sum(width for _, width in columns)

    def put(cells: Sequence[list[str]], top: float, bold: bool) -> float:
        at = x
        for (_, width), lines in zip(columns, cells, strict=True):
            for n, line in enumerate(lines):
                sheet.text((at + 0.8, top + size + 0.5 + n * step), line, size, bold=bold)
            at += width
        return top + max(len(lines) for lines in cells) * step + 1.0

    sheet.line((x, y), (x + wide, y), THICK, colour=ACCENT)
    y = put([wrap(name, width - 1.6, size) for name, width in columns], y, bold=True)
    sheet.line((x, y), (x + wide, y), THIN, colour=ACCENT)
    for count, row in enumerate(rows):
        cells = [wrap(word, width - 1.6, size) for word, (_, width) in zip(row, columns, strict=True)]
        if y + max(len(lines) for lines in cells) * step + 1.0 > bottom and not (force and count == 0):
            return y, count
        y = put(cells, y, bold=False)
        sheet.line((x, y), (x + wide, y), 0.09, colour="#9aa5ad")
    return y, len(rows)


def column(
    sheet: Sheet, x: float, y: float, wide: float, title: str, lines: Sequence[str], size: float = 2.3
) -> float:
    """A title and paragraphs below each other; returns where they end."""
    if title:
        sheet.text((x, y), title, 2.6, bold=True)
        y += 4.2
    for line in lines:
        for part in wrap(line, wide, size):
            sheet.text((x, y), part, size)
            y += size * 1.4
        y += 0.9
    return y
