"""A sheet for each flat part: its outline with datums, every hole with its numbers, and the tables of both.

Ordinates run from the datums, so that no tolerance adds up. The first number at a hole is that of its distance along,
the second that of its distance across. Where the lines of all holes find no room on one sheet, the part has more.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rackwright.papers.house import Head
from rackwright.papers.lengths import dimension, inches
from rackwright.papers.sheet_frame import Frame, column, grid, new_sheet, pill, span_dimension
from rackwright.papers.sketch import ACCENT, CHAIN, THICK, THIN, XY, Sheet, text_width

__all__ = ["PlateHole", "PlateSketch", "pages", "plate_part_sheets"]

_SCALES = (0.25, 0.5, 1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20)
_WIDE, _HIGH, _LEFT, _ABOVE = 125.0, 150.0, 34.0, 24.0  # mm: room for the view, and beside and above it
_COLUMNS = (("hole", 9.0), ("no.", 15.0), ("along, in", 17.0), ("no.", 15.0), ("across, in", 17.0),
            ("dia, in", 13.0), ("for", 27.0))  # fmt: skip


@dataclass(frozen=True)
class PlateHole:
    """A hole from the datums, nm; numbers as texts, "" where nothing is measured; `mark` is what stands at it."""

    along: int
    across: int
    diameter: int
    number_along: str
    number_across: str
    use: str
    mark: str
    edge: str = ""  # number of its distance from the edge


@dataclass(frozen=True)
class PlateSketch:
    """One part. `size` and `sizes`: nm along and across, and their numbers; `line`: datum C is a line through holes.

    `rows` are (no., characteristic, nominal, limits, gauge) of all but the holes' places.
    """

    piece: str
    part: str
    title: str
    outline: tuple[tuple[int, int], ...]
    size: tuple[int, int]
    sizes: tuple[str, str]
    holes: tuple[PlateHole, ...]
    first: int  # number of its first hole, where others stand on a sheet before
    line: bool
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]
    tolerances: tuple[str, ...]


def pages(head: Head, plate: PlateSketch) -> Iterator[PlateSketch]:
    """The part on as many sheets as the lines of its holes need; what is no hole is told on the first."""
    blank, frame = new_sheet(head, "", "", 1, 1, "", (), "")
    while True:
        room = _tables(blank, frame, plate)
        yield replace(plate, holes=plate.holes[:room])
        if room == len(plate.holes):
            return
        plate = replace(plate, holes=plate.holes[room:], first=plate.first + room, rows=(), sizes=("", ""))


def plate_part_sheets(
    head: Head, plates: Sequence[PlateSketch], digest: str, first: int, of: int
) -> list[Sheet]:
    """One sheet a sketch; `first` and `of` number them."""
    return [_sheet(head, one, n, of, digest) for n, one in enumerate(plates, start=first)]


def _sheet(head: Head, plate: PlateSketch, number: int, of: int, digest: str) -> Sheet:
    wide, high = (nm / 1e6 for nm in plate.size)
    scale = next((n for n in _SCALES if wide / n <= _WIDE and high / n <= _HIGH), _SCALES[-1])
    words = f"1:{scale}" if scale >= 1 else f"{round(1 / scale)}:1"
    sheet, frame = new_sheet(head, f"{plate.piece}, {plate.part}", words, number, of, digest, plate.tolerances,
                             "Dimensions in inches [millimetres], from the datums.")  # fmt: skip
    column(sheet, frame.left, frame.top + 4, 180, f"{plate.part}  {plate.title}", [])
    unit = scale * 1e6
    left, low = (min(point[i] for point in plate.outline) for i in (0, 1))
    floor = frame.top + _ABOVE + high / scale

    def paper(at: tuple[int, int]) -> XY:
        return frame.left + _LEFT + (at[0] - left) / unit, floor - (at[1] - low) / unit

    sheet.poly([paper(point) for point in plate.outline], THICK)
    corner, top = paper((left, low)), (frame.left + _LEFT + wide / scale, floor - high / scale)
    span_dimension(sheet, corner, (top[0], corner[1]), floor + 14, dimension(plate.size[0], True))
    pill(sheet, (top[0] + 3 + text_width(plate.sizes[0], 1.2), floor + 14), plate.sizes[0])
    span_dimension(sheet, corner, (corner[0], top[1]), corner[0] - 16, dimension(plate.size[1], True))
    pill(sheet, (corner[0] - 16, top[1] - 5), plate.sizes[1])
    _datums(sheet, plate, paper, corner, top)
    places = [paper((hole.along, hole.across)) for hole in plate.holes]
    taken = [(x - 3, y - 2.4, x + 1.5, y + 1.5) for x, y in places]  # each with its number
    for n, (hole, at) in enumerate(zip(plate.holes, places, strict=True), start=plate.first):
        _hole(sheet, hole, n, at, hole.diameter / unit / 2, taken)
    _tables(sheet, frame, plate)
    column(sheet, frame.left, floor + 24, 150, "", plate.notes)
    return sheet


def _datums(sheet: Sheet, plate: PlateSketch, paper: object, corner: XY, top: XY) -> None:
    """Edges bear their letter; where bolts are the datums, a chain line runs through them."""
    assert callable(paper)
    zero = paper((0, 0))
    if plate.line:
        sheet.line((corner[0] - 4, zero[1]), (top[0] + 6, zero[1]), 0.18, CHAIN, ACCENT)
        marks = (("B", (zero[0], zero[1] - 9), zero), ("C", (top[0] + 9, zero[1]), (top[0] + 6, zero[1])))
    else:
        up, along = corner[1] - (corner[1] - top[1]) * 0.12, corner[0] + (top[0] - corner[0]) * 0.12
        marks = (
            ("B", (corner[0] - 5, up), (corner[0], up)),
            ("C", (along, corner[1] + 5), (along, corner[1])),
        )
    for letter, at, anchor in marks:
        sheet.line(anchor, at, THIN)
        sheet.disc(anchor, 0.5, 0.1, "#000")
        sheet.box(at[0] - 1.8, at[1] - 1.8, 3.6, 3.6, THIN, "#fff")
        sheet.text((at[0], at[1] + 0.9), letter, 2.5, "middle", bold=True)


def _hole(
    sheet: Sheet,
    hole: PlateHole,
    n: int,
    at: XY,
    radius: float,
    taken: list[tuple[float, float, float, float]],
) -> None:
    x, y = at
    sheet.disc(at, radius, THIN)
    sheet.line((x, y - radius - 0.8), (x, y + radius + 0.8), 0.13)
    sheet.line((x - radius - 0.8, y), (x + radius + 0.8, y), 0.13)
    sheet.text((x - radius - 1.0, y - radius - 0.4), str(n), 1.9, "end")
    text = f"{hole.mark} e {hole.edge}".strip() if hole.edge else hole.mark
    if not text:
        return
    half = text_width(text, 2.3) / 2 + 1.1
    away = radius + 1.6
    around = [(x + away + half, y), (x - away - half, y + 3), (x, y + away + 1.8), (x, y - away - 3.2),
              (x + away + half, y + 4.2), (x + away + half, y - 4.2)]  # fmt: skip
    free = [place for place in around if not any(_meet(place, half, other) for other in taken)]
    place = (free or around)[0]
    taken.append((place[0] - half, place[1] - 1.8, place[0] + half, place[1] + 1.8))
    pill(sheet, place, text)


def _meet(centre: XY, half: float, other: tuple[float, float, float, float]) -> bool:
    a, b, c, d = other
    return a < centre[0] + half and centre[0] - half < c and b < centre[1] + 1.8 and centre[1] - 1.8 < d


def _tables(sheet: Sheet, frame: Frame, plate: PlateSketch) -> int:
    """Beside the view: what is no hole, then the holes; returns how many of them found room, one at least."""
    others = (("no.", 24.0), ("characteristic", 34.0), ("nominal", 17.0), ("limits", 34.0), ("gauge", 22.0))
    x, y = frame.left + _LEFT + _WIDE + 16, frame.top + 8
    if plate.rows:
        y, done = grid(sheet, x, y, frame.bottom, others, plate.rows, size=2.0)
        assert done == len(plate.rows)
        y += 5
    rows: Sequence[tuple[str, ...]] = [
        (str(n), one.number_along, _exact(one.along), one.number_across, _exact(one.across),
         _exact(one.diameter), one.use)
        for n, one in enumerate(plate.holes, start=plate.first)
    ]  # fmt: skip
    wide, told = sum(width for _, width in _COLUMNS), 0
    while told < len(rows) and x + wide <= frame.right + 0.1:
        _, done = grid(sheet, x, y, frame.bottom, _COLUMNS, rows[told:], force=not told, size=2.0)
        told, x = told + done, x + wide + 4
    return told


def _exact(nm: int) -> str:
    return inches(nm, 4 if nm % 25_400 else 3)
