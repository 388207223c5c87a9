"""A plate with its blanks: where each lies, how it is turned, and the shapes that go back, in whole nanometres.

x is along the rolling direction. Blanks are turned by quarters only: their corners stay whole nanometres, and a free
angle packed no closer in trials (rings and gussets, common practice to avoid it for the grain's sake).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from rackwright.making.flat import Flat, FlatHole, Point2, Segment
from rackwright.making.sawing.cutting import Slot
from rackwright.shop import StockItem

__all__ = ["Layout", "Outline", "Placed", "outline_area", "outline_nm2", "plate_outline", "turned_point"]

N = TypeVar("N", int, float)
Outline = tuple[Point2, ...]
_TURN = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}  # cosine and sine


@dataclass(frozen=True)
class Placed:
    """A blank on a plate: which physical piece, the low corner of its box as it lies, the box, degrees turned."""

    slot: Slot
    at: Point2
    size: Point2
    turned: int = 0

    @property
    def end(self) -> Point2:
        return self.at[0] + self.size[0], self.at[1] + self.size[1]

    def mover(self, flat: Flat) -> Callable[[Point2], Point2]:
        """Takes a point of the flat to the plate."""
        low, high = flat.box
        corners = [turned_point(corner, self.turned) for corner in (low, high)]
        dx, dy = (self.at[i] - min(corner[i] for corner in corners) for i in (0, 1))

        def move(point: Point2) -> Point2:
            x, y = turned_point(point, self.turned)
            return x + dx, y + dy

        return move

    def outline(self, flat: Flat) -> tuple[Segment, ...]:
        move = self.mover(flat)
        return tuple(
            Segment(move(one.start), move(one.end), None if one.centre is None else move(one.centre))
            for one in flat.outline
        )

    def holes(self, flat: Flat) -> tuple[FlatHole, ...]:
        move = self.mover(flat)
        return tuple(FlatHole(h.name, move(h.at), h.diameter, h.cut, h.clear) for h in flat.holes)


@dataclass(frozen=True)
class Layout:
    """An opened plate with its blanks. `rests` go back as shapes; `outline` is None of a rectangular plate."""

    item: str
    number: int  # which one of the item, from 1
    heat: str
    size: Point2
    placed: tuple[Placed, ...]
    rests: tuple[Outline, ...] = ()
    outline: Outline | None = None

    @property
    def border(self) -> Outline:
        """Corners of the plate, anticlockwise."""
        return self.outline or _rectangle(self.size)

    @property
    def area(self) -> float:
        """m²."""
        return outline_area(self.border)

    @property
    def rest_area(self) -> float:
        return sum(outline_area(rest) for rest in self.rests)


def outline_area(outline: Outline) -> float:
    """m², exact before the last rounding."""
    return _twice(outline) / 2 * 1e-18


def outline_nm2(outline: Outline) -> int:
    """nm², an odd half rounded down, as the record books it."""
    return _twice(outline) // 2


def _twice(outline: Outline) -> int:
    pairs = zip(outline, (*outline[1:], outline[0]), strict=True)
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairs)


def plate_outline(item: StockItem) -> Outline:
    """Corners of one plate of an item, anticlockwise from its low corner."""
    return item.corners


def _rectangle(size: Point2) -> Outline:
    return (0, 0), (size[0], 0), size, (0, size[1])


def turned_point(point: tuple[N, N], turned: int) -> tuple[N, N]:
    c, s = _TURN[turned]
    return point[0] * c - point[1] * s, point[0] * s + point[1] * c
