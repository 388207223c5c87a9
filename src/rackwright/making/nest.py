"""Flat shapes laid on plates in rows, and a checker that proves a layout from its numbers alone.

Shapes are laid as the boxes around them, widest first, each into the first row that has room (first fit, decreasing),
in whole nanometres. The grain allows a shape to lie along the plate only, turned by 0 or 180 degrees, so that a
bend line lies across the rolling direction. No layout opens fewer plates than the area bound: every box with its web
must lie inside the plates less their border. The rest of a plate goes back when its shorter side is worth it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rackwright.making.cutting import Slot
from rackwright.shop import StockItem
from rackwright.shop.machines import PlateCut

__all__ = ["GRAIN", "Layout", "Placed", "check_layout", "lay_out", "plates_bound"]

GRAIN = (0, 180)  # degrees that a shape may be turned against the plate


@dataclass(frozen=True)
class Placed:
    """A blank on a plate: which physical piece, the low corner of its box, its size, and how it is turned."""

    slot: Slot
    at: tuple[int, int]
    size: tuple[int, int]
    turned: int = 0

    @property
    def end(self) -> tuple[int, int]:
        return self.at[0] + self.size[0], self.at[1] + self.size[1]


@dataclass(frozen=True)
class Layout:
    """An opened plate with its blanks, x along the rolling direction. `rest`: corner and size of what goes back."""

    item: str
    number: int  # which one of the item, from 1
    heat: str
    size: tuple[int, int]
    placed: tuple[Placed, ...]
    rest: tuple[tuple[int, int], tuple[int, int]] | None

    @property
    def area(self) -> float:
        """m²."""
        return self.size[0] * self.size[1] * 1e-18

    @property
    def rest_area(self) -> float:
        return 0.0 if self.rest is None else self.rest[1][0] * self.rest[1][1] * 1e-18


# --- laying out ----------------------------------------------------------------------------------


@dataclass
class _Row:
    plate: int
    y: int
    height: int
    x: int  # where the next blank may start


def lay_out(
    blanks: Sequence[tuple[Slot, tuple[int, int]]], plates: Sequence[StockItem], cut: PlateCut
) -> tuple[tuple[Layout, ...], tuple[Slot, ...]]:
    """Blanks (slot, box size) in rows on the plates in turn: the layouts, and the blanks that found no room."""
    each = [(item, n) for item in plates for n in range(1, item.count + 1)]
    rows: list[_Row] = []
    tops: list[int] = []  # of each opened plate, where the next row may start
    placed: list[list[Placed]] = []
    missing = []
    order = sorted(blanks, key=lambda one: (-one[1][1], -one[1][0], one[0]))
    for slot, (long, wide) in order:
        row = next(
            (row for row in rows if wide <= row.height and row.x + long <= _far(each[row.plate][0], cut)),
            None,
        )
        row = row or _new_row(each, tops, rows, placed, long, wide, cut)
        if row is None:
            missing.append(slot)
            continue
        placed[row.plate].append(Placed(slot, (row.x, row.y), (long, wide)))
        row.x += long + cut.gap
    layouts = []
    for (item, number), ones in zip(each, placed, strict=False):
        size = (item.length_nm or 0, item.width_nm or 0)
        if ones:
            layouts.append(Layout(item.id, number, item.heat, size, tuple(ones), _rest(size, ones, cut)))
    return tuple(layouts), tuple(sorted(missing))


def _far(item: StockItem, cut: PlateCut, axis: int = 0) -> int:
    """The last coordinate inside the border."""
    return ((item.length_nm, item.width_nm)[axis] or 0) - cut.edge


def _new_row(
    each: Sequence[tuple[StockItem, int]],
    tops: list[int],
    rows: list[_Row],
    placed: list[list[Placed]],
    long: int,
    wide: int,
    cut: PlateCut,
) -> _Row | None:
    for plate, (item, _) in enumerate(each):
        top = tops[plate] if plate < len(tops) else cut.edge
        if top + wide > _far(item, cut, 1) or cut.edge + long > _far(item, cut):
            if plate == len(tops):  # too small for this blank; kept closed, so that the count stays in order
                tops.append(top)
                placed.append([])
            continue
        if plate == len(tops):
            tops.append(top)
            placed.append([])
        tops[plate] = top + wide + cut.gap
        rows.append(_Row(plate, top, wide, cut.edge))
        return rows[-1]
    return None


def _rest(
    size: tuple[int, int], placed: Sequence[Placed], cut: PlateCut
) -> tuple[tuple[int, int], tuple[int, int]] | None:
    """The larger of the strip beyond all blanks along the plate and the one beside them, a web away."""
    if not placed:
        return None
    x, y = (max(one.end[i] for one in placed) + cut.gap for i in (0, 1))
    strips = [((x, 0), (size[0] - x, size[1])), ((0, y), (size[0], size[1] - y))]
    good = [strip for strip in strips if min(strip[1]) >= cut.remnant_min]
    return max(good, key=lambda strip: strip[1][0] * strip[1][1]) if good else None


def plates_bound(sizes: Sequence[tuple[int, int]], plates: Sequence[StockItem], cut: PlateCut) -> int:
    """Least number of plates by area, the largest first: each blank takes its box and one web along two sides."""
    need = sum((long + cut.gap) * (wide + cut.gap) for long, wide in sizes)
    rooms = sorted(
        (max(0, _far(item, cut) - cut.edge + cut.gap) * max(0, _far(item, cut, 1) - cut.edge + cut.gap)
         for item in plates for _ in range(item.count)),
        reverse=True,
    )  # fmt: skip
    count = 0
    for room in rooms:
        if need <= 0:
            break
        need -= room
        count += 1
    return count


# --- the checker ---------------------------------------------------------------------------------


def check_layout(layout: Layout, cut: PlateCut) -> list[str]:
    """What is wrong with a layout, from its numbers alone: border, web, grain, rest. Empty when it is sound."""
    wrong = []
    for one in layout.placed:
        inside = all(cut.edge <= one.at[i] and one.end[i] <= layout.size[i] - cut.edge for i in (0, 1))
        if not inside:
            wrong.append(f"{one.slot.piece} of rack {one.slot.rack} reaches into the border of {layout.item}")
        if one.turned not in GRAIN:
            wrong.append(f"{one.slot.piece} of rack {one.slot.rack} lies across the grain")
    boxes = [(one.at, one.end, cut.gap) for one in layout.placed]
    if layout.rest is not None:
        (x, y), (long, wide) = layout.rest
        boxes.append(((x, y), (x + long, y + wide), cut.gap))
        if x < 0 or y < 0 or x + long > layout.size[0] or y + wide > layout.size[1]:
            wrong.append(f"the rest of {layout.item} reaches beyond the plate")
    for n, (low, high, gap) in enumerate(boxes):
        for other_low, other_high, _ in boxes[:n]:
            apart = max(max(low[i] - other_high[i], other_low[i] - high[i]) for i in (0, 1))
            if apart < gap:
                wrong.append(f"two shapes on {layout.item} are {apart} nm apart, {gap} are needed")
    return wrong
