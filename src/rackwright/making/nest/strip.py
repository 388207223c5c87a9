"""A job as the strips that a general-purpose nesting library packs: fixed height, least length.

The library keeps the web from the strip's sides too, so that a plate less its border is entered a web larger all round.
Its strip has no end: what reaches beyond the plate goes to the next one. Its answers are floats; they are rounded to
whole nanometres, two more than the web apart, and then checked like any other layout.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rackwright.making.flat import Flat
from rackwright.making.nest.fit import wrapped
from rackwright.making.nest.layout import Layout, Placed, turned_point
from rackwright.making.nest.remnant import remnants
from rackwright.making.sawing.cutting import Slot
from rackwright.shop import StockItem
from rackwright.shop.machines import PlateCut

__all__ = ["Pack", "Strip", "laid", "strip_of", "usable_length"]

SAFE = 4  # nm
INCH = 25_400_000  # the library's floats are inches


@dataclass(frozen=True)
class Strip:
    """Inches: the height, the web, and of each part its polygon, how many, and the turns its grain allows."""

    height: float
    gap: float
    parts: tuple[tuple[str, tuple[tuple[float, float], ...], int, tuple[int, ...]], ...]


@dataclass(frozen=True)
class Pack:
    """An answer: the length of strip, and each blank's part, turn, and shift after turning about the origin, in."""

    length: float
    placed: tuple[tuple[str, int, tuple[float, float]], ...]


def strip_of(blanks: Sequence[Slot], flats: Mapping[str, Flat], plate: StockItem, cut: PlateCut) -> Strip:
    height = (plate.width_nm or 0) - 2 * cut.edge + 2 * (cut.gap + SAFE) + SAFE
    parts = tuple(
        (part, tuple((x / INCH, y / INCH) for x, y in wrapped(flats[part].outline)), count, flats[part].turns)
        for part, count in sorted(Counter(slot.part for slot in blanks).items())
    )
    return Strip(height / INCH, (cut.gap + SAFE) / INCH, parts)


def usable_length(plate: StockItem, cut: PlateCut) -> float:
    """Length of strip that the plate holds, in."""
    return ((plate.length_nm or 0) - 2 * cut.edge + 2 * (cut.gap + SAFE)) / INCH


def laid(
    pack: Pack,
    blanks: Sequence[Slot],
    flats: Mapping[str, Flat],
    plate: StockItem,
    number: int,
    cut: PlateCut,
) -> tuple[Layout, tuple[Slot, ...]]:
    """The blanks of a pack that lie wholly on the plate, and those that do not."""
    left = {
        part: sorted((s for s in blanks if s.part == part), reverse=True) for part in {s.part for s in blanks}
    }
    shift = cut.edge - cut.gap - SAFE
    placed = []
    for part, turned, (dx, dy) in sorted(pack.placed, key=lambda one: (one[2], one[:2])):
        flat = flats[part]
        corners = [turned_point(corner, turned) for corner in flat.box]
        low = [min(corner[i] for corner in corners) for i in (0, 1)]
        high = [max(corner[i] for corner in corners) for i in (0, 1)]
        at = (round(dx * INCH) + low[0] + shift, round(dy * INCH) + low[1] + shift)
        size = (high[0] - low[0], high[1] - low[1])
        if at[0] + size[0] <= (plate.length_nm or 0) - cut.edge:
            placed.append(Placed(left[part].pop(), at, size, turned))
    there = {one.slot for one in placed}
    layout = Layout(plate.id, number, plate.heat, (plate.length_nm or 0, plate.width_nm or 0), tuple(placed))
    rest = tuple(slot for slot in blanks if slot not in there)
    return (remnants(layout, plate, cut) if placed else layout), rest
