"""Our packer: each blank into the lowest free corner, largest first, in cut-outs before plates.

Where the low corner of a blank may lie follows from the no-fit polygon: the other shape grown by the web, and every
edge of the plate, swept by the blank turned through the origin (Minkowski difference; Art 1966, memory). What is left
free is a region; its leftmost, then lowest, corner is taken. Blanks are swept as their convex hulls with arcs outside
the true ones, so that the web is safe. A few orders of blanks and plates are tried, always the same ones: the same
order of the same stock gives the same layout.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import atan2, ceil, cos, pi, sin
from typing import Any

import numpy as np

from rackwright.making.flat import Flat, Point2, Segment
from rackwright.making.nest.layout import Layout, Outline, Placed, outline_area, plate_outline, turned_point
from rackwright.making.nest.remnant import remnants
from rackwright.making.sawing.cutting import Slot
from rackwright.shop import StockItem
from rackwright.shop.machines import PlateCut

__all__ = ["Answer", "best_of", "lay_out", "wrapped"]

NEAR = 0.05  # of the plate used up: worth less than a whole plate kept closed (common practice, no source)
STEP = pi / 24  # of an arc's polygon
HAIR = (
    0.25  # nm: shapes that just fit leave a region of some width; rounding to whole nanometres takes it back
)
SAFE = 1  # nm, of shapes that are not all along and across, for that rounding

Ring = tuple[tuple[float, float], ...]
Answer = tuple[tuple[Layout, ...], tuple[Slot, ...]]  # layouts, and blanks that found no room


def lay_out(
    blanks: Sequence[Slot], flats: Mapping[str, Flat], plates: Sequence[StockItem], cut: PlateCut
) -> Answer:
    """The best of the orders tried."""
    answers = [
        _pack(order, flats, stock, cut)
        for stock in _unlike(plates, sorted(plates, key=_area))
        for order in _unlike(*(sorted(blanks, key=key) for key in _orders(flats)))
    ]
    return best_of(answers)


def best_of(answers: Sequence[Answer]) -> Answer:
    """Fewest blanks missing, least plate used up; near that the least opened, so that remnants go first."""
    missing = min(len(missing) for _, missing in answers)
    full = [one for one in answers if len(one[1]) == missing]
    least = min(map(_used, full))
    near = [one for one in full if _used(one) <= least * (1 + NEAR)]
    return min(
        near, key=lambda one: (round(sum(layout.area for layout in one[0]), 9), _used(one), len(one[0]))
    )


def _used(answer: Answer) -> float:
    return round(sum(one.area - one.rest_area for one in answer[0]), 9)


def _orders(flats: Mapping[str, Flat]) -> Iterator[Callable[[Slot], tuple[Any, ...]]]:
    size = {part: flat.size for part, flat in flats.items()}
    yield lambda slot: (-flats[slot.part].area, slot.part, slot)
    yield lambda slot: (-size[slot.part][1], -size[slot.part][0], slot.part, slot)
    yield lambda slot: (-max(size[slot.part]), slot.part, slot)


def _unlike(*many: Any) -> list[Any]:
    return [list(one) for one in dict.fromkeys(tuple(one) for one in many)]


def _area(item: StockItem) -> float:
    return outline_area(plate_outline(item))


# --- one order -----------------------------------------------------------------------------------


@dataclass
class _Room:
    """A plate, or a cut-out in a blank on one: where its low corners may not lie, by part and turn."""

    plate: int
    border: Ring  # blanks stay inside
    hulls: list[tuple[Any, Point2]] = field(
        default_factory=list
    )  # placed shapes grown by the web, and their places
    free: dict[tuple[str, int], tuple[Any, int]] = field(
        default_factory=dict
    )  # region, and how many hulls it knows


def _pack(
    order: Sequence[Slot], flats: Mapping[str, Flat], plates: Sequence[StockItem], cut: PlateCut
) -> Answer:
    each = [(item, n) for item in plates for n in range(1, item.count + 1)]
    shapes = _Shapes(flats, cut)
    rooms = [_Room(n, border) for n, (item, _) in enumerate(each) for border in shapes.kept(item)]
    cut_outs: list[_Room] = []
    placed: list[list[Placed]] = [[] for _ in each]
    missing = []
    for slot in order:
        for room in [*cut_outs, *rooms]:
            found = shapes.lowest(room, slot.part)
            if found is not None:
                turned, at = found
                one = Placed(slot, at, shapes.size(slot.part, turned), turned)
                placed[room.plate].append(one)
                room.hulls.append((shapes.grown(slot.part, turned), at))
                cut_outs += shapes.cut_outs(room.plate, one)
                break
        else:
            missing.append(slot)
    layouts = []
    for (item, number), ones in zip(each, placed, strict=True):
        if ones:
            layout = Layout(item.id, number, item.heat, (item.length_nm or 0, item.width_nm or 0), tuple(ones),
                            outline=item.outline)  # fmt: skip
            layouts.append(remnants(layout, item, cut))
    return tuple(layouts), tuple(sorted(missing))


class _Shapes:
    """The polygons of each part as it lies, made once: hulls with their low corner at the origin."""

    def __init__(self, flats: Mapping[str, Flat], cut: PlateCut) -> None:
        self.flats, self.cut = flats, cut
        self.smallest = min((min(flat.size) for flat in flats.values()), default=0)
        self._hulls: dict[tuple[str, int], Any] = {}
        self._grown: dict[tuple[str, int], Any] = {}

    def size(self, part: str, turned: int) -> Point2:
        long, wide = self.flats[part].size
        return (long, wide) if turned in (0, 180) else (wide, long)

    def hull(self, part: str, turned: int) -> Any:
        if (part, turned) not in self._hulls:
            flat = self.flats[part]
            corners = [turned_point(corner, turned) for corner in flat.box]
            x, y = (min(corner[i] for corner in corners) for i in (0, 1))
            points = [turned_point(point, turned) for point in wrapped(flat.outline)]
            made = _hull(np.array([(a - x, b - y) for a, b in points], dtype=float))
            straight = all(
                a == c or b == d for (a, b), (c, d) in zip(points, [*points[1:], points[0]], strict=True)
            )
            self._hulls[part, turned] = made if straight else made.buffer(SAFE, join_style="mitre")
        return self._hulls[part, turned]

    def grown(self, part: str, turned: int) -> Any:
        if (part, turned) not in self._grown:
            hull = self.hull(part, turned)
            self._grown[part, turned] = hull.buffer(self.cut.gap - HAIR, join_style="mitre", mitre_limit=1.5)
        return self._grown[part, turned]

    def kept(self, item: StockItem) -> Iterator[Ring]:
        """The plate less its border."""
        yield from _inner(plate_outline(item), self.cut.edge)

    def cut_outs(self, plate: int, one: Placed) -> Iterator[_Room]:
        """Holes of a placed blank in which another may lie."""
        for hole in one.holes(self.flats[one.slot.part]):
            radius = hole.cut / 2 - self.cut.gap - SAFE
            if 2 * radius > self.smallest:
                x, y = hole.at
                yield _Room(
                    plate, tuple((x + radius * cos(k * STEP), y + radius * sin(k * STEP)) for k in range(48))
                )

    def lowest(self, room: _Room, part: str) -> tuple[int, Point2] | None:
        """The leftmost, then lowest, place for a part, over the turns that its grain allows."""
        found = []
        for turned in self.flats[part].turns:
            corners = self._free(room, part, turned)
            if corners:
                x, y = min(corners)
                found.append((x + self.size(part, turned)[0], x, y, turned))
        if not found:
            return None
        _, x, y, turned = min(found)
        return turned, (x, y)

    def _free(self, room: _Room, part: str, turned: int) -> list[Point2]:
        from shapely import Polygon, get_coordinates, unary_union

        key = (part, turned)
        hull = self.hull(part, turned)
        known = room.free.get(key)
        if known is None:
            edges = zip(room.border, (*room.border[1:], room.border[0]), strict=True)
            x, y = hull.exterior.coords[
                0
            ]  # this point of the blank is on the plate, and no edge runs through it
            there = Polygon([(a - x, b - y) for a, b in room.border])
            region = there.difference(unary_union([_swept(edge, hull) for edge in edges]))
            known = (region, 0)
        region, count = known
        news = [_swept(get_coordinates(grown) + at, hull) for grown, at in room.hulls[count:]]
        if news and not region.is_empty:
            region = region.difference(unary_union(news))
        room.free[key] = (region, len(room.hulls))
        return [(round(x), round(y)) for x, y in get_coordinates(region).tolist()]


def _swept(shape: Any, hull: Any) -> Any:
    """Where the hull's low corner may not lie if the hull is to stay clear of a convex shape."""
    from shapely import get_coordinates

    mine = get_coordinates(hull)
    return _hull((np.asarray(shape)[:, None, :] - mine[None, :, :]).reshape(-1, 2))


def _hull(points: Any) -> Any:
    from shapely import linestrings

    return linestrings(points).convex_hull


def _inner(outline: Outline, edge: int) -> Iterator[Ring]:
    from shapely import Polygon, get_parts
    from shapely.geometry import polygon

    inner = Polygon(outline).buffer(HAIR - edge, join_style="mitre", mitre_limit=20)
    for part in get_parts(inner):
        yield tuple(polygon.orient(part).exterior.coords[:-1])


def wrapped(outline: Sequence[Segment]) -> Iterator[tuple[float, float]]:
    """Corners of a polygon round an outline: arcs by the tangents that touch them, so that it holds the true shape."""
    for one in outline:
        yield one.start
        if one.centre is not None:
            count = max(1, ceil(one.turn / STEP))
            start = atan2(one.start[1] - one.centre[1], one.start[0] - one.centre[0])
            far = one.radius / cos(one.turn / count / 2)
            for k in range(count):
                angle = start + one.turn * (k + 0.5) / count
                yield one.centre[0] + far * cos(angle), one.centre[1] + far * sin(angle)
