"""What of a plate goes back, as a shape: what lies beyond the blanks, nowhere narrower than the least remnant.

Left of a blank all is skeleton: a remnant is what can be cut off whole, its sides along and across the grain. It is the
union of all free boxes whose sides are at least the shop's least remnant (an opening by a square: Serra, mathematical
morphology, memory). Whole numbers throughout: bands between the heights where anything begins or ends.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from rackwright.making.nest.layout import Layout, Outline
from rackwright.shop import StockItem
from rackwright.shop.machines import PlateCut

__all__ = ["free_boxes", "remnants"]

Interval = tuple[int, int]
Box = tuple[int, int, int, int]


def remnants(layout: Layout, plate: StockItem, cut: PlateCut) -> Layout:
    """The layout with its remnants, largest first; of a sheet that is only counted none, for no book takes them."""
    if not plate.by_shape:
        return layout
    from shapely import box, get_parts, unary_union
    from shapely.geometry import polygon

    left = min(x for x, _ in layout.border)
    used = [
        (left, one.at[1] - cut.gap, one.end[0] + cut.gap, one.end[1] + cut.gap) for one in layout.placed
    ]  # fmt: skip
    boxes = [box(*one) for one in free_boxes(layout.border, used, cut.remnant_min)]
    shapes = []
    for part in get_parts(unary_union(boxes)) if boxes else ():
        corners = polygon.orient(part.simplify(0)).exterior.coords[:-1]
        ring = tuple((round(x), round(y)) for x, y in corners)
        first = ring.index(min(ring))
        shapes.append((part.area, ring[first:] + ring[:first]))
    return replace(layout, rests=tuple(ring for _, ring in sorted(shapes, key=lambda one: (-one[0], one[1]))))


def free_boxes(border: Outline, used: Sequence[Box], least: int) -> Iterator[Box]:
    """Boxes inside the border clear of the used ones, as wide as they may be, with sides of `least` or more."""
    low, high = min(y for _, y in border), max(y for _, y in border)
    marks = {y for _, y in border} | {y for one in used for y in (one[1], one[3]) if low < y < high}
    ys = sorted(marks)
    bands = [list(_free(border, used, a, b)) for a, b in pairwise(ys)]
    for i in range(len(bands)):
        open_here = bands[i]
        for j in range(i, len(bands)):
            open_here = [
                (max(a, c), min(b, d)) for a, b in open_here for c, d in bands[j]
                if min(b, d) - max(a, c) >= least
            ]  # fmt: skip
            if not open_here:
                break
            if ys[j + 1] - ys[i] >= least:
                for a, b in open_here:
                    yield a, ys[i], b, ys[j + 1]


def _free(border: Outline, used: Sequence[Box], low: int, high: int) -> Iterator[Interval]:
    """Where a band is inside the border at all its heights, less what is used."""
    for start, end in _inside(border, low, high):
        taken = sorted((a, c) for a, b, c, d in used if b < high and d > low)
        at = start
        for a, c in taken:
            if a > at:
                yield at, min(a, end)
            at = max(at, c)
        if at < end:
            yield at, end


def _inside(border: Outline, low: int, high: int) -> Iterator[Interval]:
    sides = []
    for (ax, ay), (bx, by) in zip(border, (*border[1:], border[0]), strict=True):
        if min(ay, by) <= low and max(ay, by) >= high and ay != by:
            ends = [ax + (bx - ax) * (y - ay) / (by - ay) if ax != bx else ax for y in (low, high)]
            sides.append((sum(ends), ends))
    sides.sort()
    for (_, enter), (_, leave) in zip(sides[::2], sides[1::2], strict=True):
        start, end = -int(-max(enter) // 1), int(min(leave) // 1)
        if start < end:
            yield start, end
