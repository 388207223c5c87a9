"""A small picture of a clamping: jaws, blank dashed, finished block, the sides the spindle looks at, zero, grain.

Seen along y with the post's length upright in the first setup and upside down in the second, as the block stands.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.papers.sheet_frame import datum_mark
from rackwright.papers.sketch import ACCENT, DASHED, QUIET, THICK, XY, Sheet

__all__ = ["SetupSketch", "setup_svg"]

WIDE, UNIT = 172.0, 2.4e6  # mm of paper, the width of running text; nm a mm


@dataclass(frozen=True)
class SetupSketch:
    """Sizes in nm: cube, spigot, blank along the post and across, jaws' grip. `over`: turned over."""

    side: int
    length: int
    width: int
    stock: tuple[int, int]
    grip: int
    over: bool
    up: str  # the face that looks up, and those at the left and right
    left: str
    right: str
    words: str


def setup_svg(one: SetupSketch) -> str:
    """The picture as SVG text."""
    whole = one.side + one.length
    tall = one.stock[0] / UNIT
    sheet = Sheet(WIDE, tall + 24, one.words)
    skin = (one.stock[1] - whole) / 2
    left, floor = WIDE / 2 - one.stock[1] / UNIT / 2, tall + 13

    def at(x: float, z: float) -> XY:
        """From the block's outer corner, inward; up on paper as it stands."""
        up = whole + (one.stock[0] - whole - one.grip) - z if one.over else z + one.grip
        return left + (x + skin) / UNIT, floor - up / UNIT

    def box(x0: float, z0: float, x1: float, z1: float, width: float, dash: tuple[float, ...] = ()) -> None:
        sheet.poly([at(x0, z0), at(x1, z0), at(x1, z1), at(x0, z1)], width, dash=dash)

    _jaws(sheet, one, at)
    top = one.stock[0] - one.grip
    if one.over:
        box(0, -one.grip, whole, 0, 0.2, DASHED)
    else:
        box(-skin, -one.grip, one.stock[1] - skin, top, 0.2, DASHED)
    low, high = (one.side - one.width) / 2, (one.side + one.width) / 2
    box(0, 0, one.side, one.side, THICK)
    box(low, one.side, high, whole, THICK)
    box(one.side, low, whole, high, THICK)
    box(low, low, high, high, 0.13, DASHED)  # the spigot along y, end on
    _spindles(sheet, one, at, top)
    datum_mark(sheet, at(0, one.side if one.over else 0), "0")
    x = left + one.stock[1] / UNIT + 12
    ends = (x, floor - tall * 0.75), (x, floor - tall * 0.25)
    sheet.arrow(*ends, 0.3, 2.4, 1.4)
    sheet.arrow(ends[1], ends[0], 0.3, 2.4, 1.4)
    sheet.text((x + 2, floor - tall / 2), "grain", 2.3, colour=QUIET)
    return sheet.svg()


def _jaws(sheet: Sheet, one: SetupSketch, at: object) -> None:
    """Two jaws with what they stand on: around the grip, or under the shoulder beside the post's spigot."""
    assert callable(at)
    whole = one.side + one.length
    top: float
    floor: float
    pairs: tuple[tuple[float, float], tuple[float, float]]
    if one.over:
        low, high, top, floor = (
            (one.side - one.width) / 2,
            (one.side + one.width) / 2,
            one.side,
            whole + one.length / 8,
        )
        pairs = ((-one.side / 3, low), (high, whole))
    else:
        top, floor = 0, -one.grip - one.length / 8
        skin = (one.stock[1] - whole) / 2
        pairs = ((-skin - one.side / 3, -skin), (one.stock[1] - skin, one.stock[1] - skin + one.side / 3))
    for a, b in pairs:
        sheet.poly([at(a, top), at(b, top), at(b, floor), at(a, floor)], THICK, "#d9dfe5")
    ends = sorted((at(pairs[0][0], floor), at(pairs[1][1], floor)))
    sheet.line((ends[0][0] - 4, ends[0][1]), (ends[1][0] + 4, ends[1][1]), 0.7)


def _spindles(sheet: Sheet, one: SetupSketch, at: object, top: float) -> None:
    """An arrow for each side that the spindle looks at in this plane."""
    assert callable(at)
    whole = one.side + one.length
    middle = one.side / 2
    x, y = at(middle, -one.grip if one.over else top)
    sheet.arrow((x, y - 9), (x, y - 1), 0.35, 2.4, 1.6)
    sheet.text((x + 2, y - 5), one.up, 2.6, bold=True, colour=ACCENT)
    if one.over:
        return
    skin = (one.stock[1] - whole) / 2
    for edge, sign, words in ((-skin, -1, one.left), (one.stock[1] - skin, 1, one.right)):
        x, y = at(edge, middle)
        sheet.arrow((x + sign * 9, y), (x + sign, y), 0.35, 2.4, 1.6)
        sheet.text((x + sign * 6, y - 2), words, 2.6, "middle", bold=True, colour=ACCENT)
