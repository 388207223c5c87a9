"""A flat part's sheets: every hole stands in a table once, whatever the number of holes and of pieces alike."""

from __future__ import annotations

import pytest

from rackwright.papers.house import PAPERS, Head
from rackwright.papers.plate_part import PlateHole, PlateSketch, pages, plate_part_sheets
from rackwright.papers.sheet_frame import BLOCK_HIGH, EDGE

MM = 10**6
HEAD = Head("a shop", "Drawing", "D-1", "A", "2026-03-02", "0" * 64, paper="us-tabloid")
NOTES = (
    "Datum A: the face that it lies on. Along from B, its left edge; across from C, its front edge.",
    f"Seen from the top. 8 a rack: {', '.join(f'gusset.front-left.high.{n}' for n in range(8))}.",
    "Numbers in the view are those of the first; in the tables those of each piece, in that order.",
    "Across counts to the left of the way along: a minus sign stands for the right.",
    "Thickness 0.1250 in, by its specification.",
)


def sketch(holes: int, alike: int, high: int = 100) -> PlateSketch:
    def numbers(first: int) -> str:
        return ", ".join(str(1000 + first + 200 * n) for n in range(alike))

    drilled = tuple(
        PlateHole(
            (5 + 5 * (n % 20)) * MM,
            (5 + 5 * (n // 20)) * MM,
            3 * MM,
            numbers(2 * n),
            numbers(2 * n + 1),
            "",
            "",
        )
        for n in range(holes)
    )
    rows = tuple((numbers(900 + n), f"size {n}", "1.0000", "0.9900 to 1.0100", "caliper") for n in range(5))
    outline = ((0, 0), (110 * MM, 0), (110 * MM, high * MM), (0, high * MM))
    return PlateSketch("panel.low", "P-1", "panel", outline, (110 * MM, high * MM), ("1", "2"), drilled, 1, False, rows,
                       NOTES, ("as stated",))  # fmt: skip


@pytest.mark.parametrize(("holes", "alike"), [(0, 1), (4, 1), (80, 1), (80, 3), (80, 8), (300, 4)])
def test_a_part_has_sheets_enough_for_all_its_holes(holes: int, alike: int) -> None:
    whole = sketch(holes, alike)
    parts = list(pages(HEAD, whole))
    assert [hole for one in parts for hole in one.holes] == list(whole.holes)
    assert [one.first for one in parts] == [
        1 + sum(len(p.holes) for p in parts[:n]) for n in range(len(parts))
    ]
    assert [bool(one.rows) for one in parts] == [True] + [False] * (len(parts) - 1)
    sheets = plate_part_sheets(HEAD, parts, "0" * 64, 1, len(parts))
    for sheet, one in zip(sheets, parts, strict=True):
        drawn = sheet.svg()
        assert all(f">{hole.number_along.split(',')[0]}" in drawn for hole in one.holes)


@pytest.mark.parametrize("high", [100, 150, 168, 300, 600])
def test_notes_stand_above_the_title_block(high: int) -> None:
    (sheet,) = plate_part_sheets(HEAD, [sketch(2, 2, high)], "0" * 64, 1, 1)
    top = PAPERS["us-tabloid"][0] - EDGE - BLOCK_HIGH
    place = sheet.svg().split(">Thickness 0.1250 in")[0].rpartition('y="')[2]
    assert float(place.partition('"')[0]) < top
