"""One part number of corner block: its blank with the grain along the post, its solid, and its holes.

Positions are inward from the block's outer faces along x, y, z, so that every corner of the rack reads alike. Holes in
a spigot are drilled with its tube on the jig; those in the cube are the mill's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from rackwright.making.asked import Asked
from rackwright.making.blank import Step, usable
from rackwright.making.check import Check
from rackwright.making.mill.setups import Corner, Setup
from rackwright.making.mill.spigot_fit import SpigotFit
from rackwright.making.sawing.cutting import Racked
from rackwright.pieces.characteristics import Characteristic
from rackwright.pieces.model import Box, Piece, axis_index
from rackwright.shop import Shop, StockItem

__all__ = ["BlockHole", "BlockLine", "block_line", "inward"]


@dataclass(frozen=True, order=True)
class BlockHole:
    """A hole in a block: where it enters, measured inward from the block's outer faces along x, y, z (nm)."""

    axis: str
    at: tuple[int, int, int]
    depth: int
    diameter: int
    thread: str = ""  # tapped into it
    bolt: str = ""

    def in_cube(self, side: int) -> bool:
        """Does it lie in the cube of this side, whole? Then the mill drills it, else the jig with the tube."""
        return all(
            at + (self.depth if i == axis_index(self.axis) else 0) <= side for i, at in enumerate(self.at)
        )


@dataclass(frozen=True)
class BlockLine:
    """One part number of block. Volumes m³, areas m², times s; None while a value is asked for."""

    part: str
    design: str
    title: str
    quantity: int
    stock: str
    item: str
    stock_size: tuple[int, int, int]  # along the post (the grain), and across it twice
    grain: str  # rack axis
    finished: float
    surface: float
    corner: Corner
    sides: tuple[str, ...]  # outward faces reached in the first setup, then those of the next
    holes: tuple[BlockHole, ...]
    same_as: str  # part number of the same piece, its own when it is the first
    mirror: tuple[str, ...]
    first_piece: tuple[Characteristic, ...]
    time: float | None = None  # of the machine for one block
    time_from: str = ""  # operations, or rates: the coarse estimate
    power: float | None = (
        None  # W: of the operation that takes most, at the motor where the efficiency is known
    )
    speed: float | None = None  # 1/s
    feed: float | None = None  # m/s
    steps: tuple[Step, ...] = ()
    setups: tuple[Setup, ...] = ()
    checks: tuple[Check, ...] = ()
    fit: SpigotFit | None = field(default=None)

    @property
    def stock_volume(self) -> float:
        a, b, c = self.stock_size
        return a * b * c * 1e-27

    @property
    def removed(self) -> float:
        return self.stock_volume - self.finished

    @cached_property
    def hole_depth(self) -> float:
        """All holes together, m."""
        return sum(hole.depth for hole in self.holes) * 1e-9

    @property
    def milled(self) -> tuple[BlockHole, ...]:
        """The holes that the mill drills."""
        return tuple(hole for hole in self.holes if hole.in_cube(self.corner.side))


def block_line(
    design: Racked,
    piece: Piece,
    quantity: int,
    items: Sequence[StockItem] | None,
    shop: Shop,
    measured: tuple[Characteristic, ...],
    asked: list[Asked],
) -> BlockLine:
    d = design.rack.definition
    over = d.tube.side + d.block.spigot_length
    blank = next((item for item in usable(items, piece.section, piece.stock, shop)
                  if item.length_nm and item.width_nm), None)  # fmt: skip
    size = (over, over, over)
    if blank is not None and blank.length_nm and blank.width_nm:
        size = (blank.length_nm, blank.width_nm, blank.width_nm)
    if min(size) < over:
        asked.append(
            Asked(
                "item.length", f"{piece.section} needs {over / 25_400_000:g} in each way, the blank is less"
            )
        )
    elif min(size) == over:
        asked.append(
            Asked(
                "item.length", f"size of the blanks for {piece.section}: without it no skin is left to mill"
            )
        )
    density = design.rack.rows.materials[piece.material].density or 0.0
    spigots = [wall for wall in piece.walls if wall not in piece.boxes]
    inset = d.tube.wall + d.block.spigot_gap // 2
    return BlockLine(
        piece.part, d.part, piece.title, quantity, piece.stock, blank.id if blank else "", size, "z",
        piece.mass / density if density else 0.0, _surface(piece.boxes[0], spigots),
        Corner(d.tube.side, d.block.spigot_length, d.tube.side - 2 * inset, inward(piece)), _sides(piece),
        tuple(sorted(_holes(design, piece))), piece.part, (), measured,
    )  # fmt: skip


def _surface(cube: Box, spigots: Sequence[Box]) -> float:
    """Of cube and spigots, holes not counted: what a spigot covers comes back at its end."""
    sides = [cube.size(i) * 1e-9 for i in range(3)]
    area = 2 * (sides[0] * sides[1] + sides[1] * sides[2] + sides[0] * sides[2])
    for spigot in spigots:
        long = _along(cube, spigot)
        a, b = (spigot.size(i) * 1e-9 for i in range(3) if i != long)
        area += 2 * (a + b) * spigot.size(long) * 1e-9
    return area


def _along(cube: Box, spigot: Box) -> int:
    """The axis a spigot points along: where it lies outside the cube."""
    return next(i for i in range(3) if spigot.lo[i] >= cube.hi[i] or spigot.hi[i] <= cube.lo[i])


def inward(piece: Piece) -> tuple[int, int, int]:
    """+1 or -1 for each axis: where the spigot of that axis points."""
    cube, ways = piece.boxes[0], [1, 1, 1]
    for wall in piece.walls:
        if wall not in piece.boxes:
            i = _along(cube, wall)
            ways[i] = 1 if wall.lo[i] >= cube.hi[i] else -1
    return ways[0], ways[1], ways[2]


def _sides(piece: Piece) -> tuple[str, ...]:
    """All sides, the one that the first setup holds last: the outer end along the post."""
    held = "-z" if inward(piece)[2] > 0 else "+z"
    return (*(side for side in ("+x", "-x", "+y", "-y", "+z", "-z") if side != held), held)


def _holes(design: Racked, piece: Piece) -> list[BlockHole]:
    cube, ways, found = piece.boxes[0], inward(piece), []
    for bolt in design.pieces.bolts:
        i = axis_index(bolt.axis)
        for layer in bolt.layers:
            if layer.piece == piece.id:
                point = list(bolt.point)
                point[i] = layer.low if ways[i] > 0 else layer.high
                local = [p - cube.lo[k] if ways[k] > 0 else cube.hi[k] - p for k, p in enumerate(point)]
                found.append(
                    BlockHole(
                        bolt.axis,
                        (local[0], local[1], local[2]),
                        layer.high - layer.low,
                        bolt.hole_in(piece.id),
                        bolt.thread_in(piece.id),
                        bolt.id,
                    )
                )
    return found
