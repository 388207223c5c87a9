"""What no layout undercuts, and what must be bought where blanks find no room.

Blanks a web apart stay apart when each is grown by half of it. A shape of area S, grown by r, covers at least
(√S + r √π)² (Brunn-Minkowski, textbook), a convex one S + r P + π r² (Steiner, textbook); the plate they lie in, less
its border, grows by r too. Areas then bound the plates. A cut-out in which a blank may lie counts as free.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import pi, sqrt

from rackwright.making.flat import Flat, Point2
from rackwright.making.nest.fit import lay_out
from rackwright.making.nest.layout import outline_area, plate_outline
from rackwright.making.sawing.cutting import Slot
from rackwright.shop import StockItem
from rackwright.shop.machines import PlateCut

__all__ = ["Short", "area_bound", "plates_bound", "room", "short"]


def area_bound(blanks: Sequence[Slot], flats: Mapping[str, Flat], cut: PlateCut) -> float:
    """Least plate inside its grown border that the blanks with their webs use up, m²."""
    r = cut.gap / 2 * 1e-9
    smallest = min((min(flat.size) for flat in flats.values()), default=0)
    need = {part: _grown(flat, r, smallest) for part, flat in flats.items()}
    return sum(need[slot.part] for slot in blanks)


def _grown(flat: Flat, r: float, smallest: int) -> float:
    open_area = sum(pi * hole.cut**2 / 4 * 1e-18 for hole in flat.holes if hole.cut > smallest)
    area = flat.area - open_area
    if flat.convex and not open_area:
        return area + r * flat.perimeter + pi * r * r
    return (sqrt(area) + r * sqrt(pi)) ** 2


def plates_bound(
    blanks: Sequence[Slot], flats: Mapping[str, Flat], plates: Sequence[StockItem], cut: PlateCut
) -> int:
    """Least number of plates by area, the largest first."""
    need, count = area_bound(blanks, flats, cut), 0
    for free in sorted((room(item, cut) for item in plates for _ in range(item.count)), reverse=True):
        if need <= 1e-12:
            break
        need -= free
        count += 1
    return count


def room(item: StockItem, cut: PlateCut) -> float:
    """Of one plate inside its border, grown by half a web, m²."""
    if item.outline is None:
        sides = [max(0, (side or 0) - 2 * cut.edge + cut.gap) for side in (item.length_nm, item.width_nm)]
        return sides[0] * sides[1] * 1e-18
    outline = plate_outline(item)
    beyond = max(0.0, cut.gap / 2 - cut.edge) * 1e-9
    return outline_area(outline) + (
        4 * beyond * (item.length_nm or 0) * 1e-9 + pi * beyond**2 if beyond else 0.0
    )


@dataclass(frozen=True)
class Short:
    """Blanks of a part without a plate: how many, the least plate that holds one, and what to buy for all missing."""

    part: str
    count: int
    least: Point2  # nm, along the grain and across it, borders included
    buy: int | None  # plates of `like`; None: no plate known is large enough
    like: Point2 | None


def short(
    missing: Sequence[Slot], flats: Mapping[str, Flat], known: Sequence[StockItem], cut: PlateCut
) -> tuple[Short, ...]:
    """By part, what to buy: plates of the largest size known, as many as our packer needs for all that is missing."""
    rows = []
    largest = max(known, key=lambda item: (item.length_nm or 0) * (item.width_nm or 0), default=None)
    for part, count in sorted(Counter(slot.part for slot in missing).items()):
        long, wide = flats[part].size
        least = (long + 2 * cut.edge, wide + 2 * cut.edge)
        size, buy = None, None
        if largest is not None:
            size = (largest.length_nm or 0, largest.width_nm or 0)
            buy = _how_many([slot for slot in missing if slot.part == part], flats, largest, cut)
        rows.append(Short(part, count, least, buy, size))
    return tuple(rows)


def _how_many(
    blanks: Sequence[Slot], flats: Mapping[str, Flat], like: StockItem, cut: PlateCut
) -> int | None:
    whole = replace(like, outline=None, count=1)
    layouts, _ = lay_out(blanks, flats, [whole], cut)
    on_one = sum(len(layout.placed) for layout in layouts)
    return -(-len(blanks) // on_one) if on_one else None
