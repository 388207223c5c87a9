"""The two setups of a corner block, their tasks in order, and the time of the whole.

First the blank stands in jaws by its outer end along the post: the five other sides are reached. It is squared, then
roughed around each spigot down to the cube, walls and shoulders are finished, edges broken. Then the block is turned
over and stands with the shoulder of the post's spigot on soft jaws: the outer end is faced to the cube's length, and
what enters there is drilled. Length along the post is thus made from the shoulder that the tube will stand on.

What the tasks take off together is the blank less the finished solid (a test holds it): with a the cube's side, L the
spigot, s its width and f the finishing stock, squaring leaves a cube of a + L; roughing from z, x and y leaves a cube
of a + f with three spigots s + 2f wide.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from rackwright.making.asked import Asked
from rackwright.making.mill.operation import Operation, Task, operation
from rackwright.making.mill.tooling import hole_tasks, tool_for
from rackwright.shop.machines import Mill

__all__ = ["Corner", "Drilled", "Setup", "setups_of", "time_of"]

AXES = "xyz"
IN = 25_400_000


@dataclass(frozen=True)
class Corner:
    """The solid of a corner block, nm: cube, spigots' length and width; +1 or -1 where each spigot points."""

    side: int
    length: int
    width: int
    inward: tuple[int, int, int]

    @property
    def inset(self) -> float:
        """Width of the shoulder around a spigot, m."""
        return (self.side - self.width) * 0.5e-9

    def inner(self, i: int) -> str:
        """The outward face that looks along a spigot."""
        return ("+" if self.inward[i] > 0 else "-") + AXES[i]

    def outer(self, i: int) -> str:
        return ("-" if self.inward[i] > 0 else "+") + AXES[i]


@dataclass(frozen=True)
class Drilled:
    """A hole of the cube for the mill: the face it enters, lengths m."""

    side: str
    name: str
    depth: float
    diameter: float
    thread: str


@dataclass(frozen=True)
class Setup:
    """One clamping: what is held and located on, where zero is, which sides are reached, and what is done."""

    number: int
    held: str
    located: str
    zero: str
    sides: tuple[str, ...]
    operations: tuple[Operation, ...]

    @property
    def changes(self) -> int:
        """Tools taken, the first among them."""
        tools = [one.tool.id if one.tool else "" for one in self.operations]
        return sum(a != b for a, b in pairwise(("", *tools)))

    @property
    def turns(self) -> int:
        """Index moves from side to side."""
        return sum(a.task.side != b.task.side for a, b in pairwise(self.operations))


def setups_of(
    corner: Corner, stock: tuple[int, int, int], holes: Sequence[Drilled], fillet: int | None, mill: Mill,
    asked: list[Asked],
) -> tuple[Setup, ...]:  # fmt: skip
    """The setups; none while the tool list, the grip or the finishing stock is asked for."""
    wanted = {
        "tool": "tools with speed, chip and engagement as measured: without them time is a coarse estimate by rates",
        "grip": "how deep the jaws of the first setup hold the blank",
        "finish_stock": "how much is left on walls and floors for the finishing cut",
    }
    gone = [name for name in wanted if not getattr(mill, name)]
    asked += [Asked(f"mill.{name}", wanted[name]) for name in gone]
    if gone or mill.grip is None or mill.finish_stock is None:
        return ()
    over = corner.side + corner.length
    if stock[0] - mill.grip <= over or min(stock[1:]) <= over:
        need = f"{(over + mill.grip) / IN:g} in along the post with the jaws' {mill.grip / IN:g} in"
        asked.append(
            Asked("item.length", f"a blank over {need}, over {over / IN:g} in across: no skin is left")
        )
        return ()
    first = [
        *_square(corner, stock, mill.grip),
        *_rough(corner, mill.finish_stock),
        *_finish(corner, mill.finish_stock),
    ]
    last = corner.outer(2)
    drilled = [*_holes([hole for hole in holes if hole.side != last], mill, asked)]
    end = [
        _end(corner, stock, mill.grip),
        *_holes([hole for hole in holes if hole.side == last], mill, asked),
    ]
    made = []
    number = 0
    for where, tasks in ((1, [*first, *drilled]), (2, end)):
        operations = []
        for task in tasks:
            number += 10
            operations.append(operation(number, task, tool_for(task, mill.tool, fillet, asked), mill))
        made.append(_setup(where, corner, mill.grip, tuple(operations)))
    return tuple(made)


def time_of(setups: Sequence[Setup], mill: Mill) -> float | None:
    """Of the machine for one block, s; None while an operation has none."""
    times = [one.time for setup in setups for one in setup.operations]
    if not times or any(time is None for time in times):
        return None
    idle = sum(one.changes * mill.tool_change + one.turns * mill.index + mill.load for one in setups)
    return sum(time or 0.0 for time in times) + idle


def _setup(number: int, corner: Corner, grip: int, operations: tuple[Operation, ...]) -> Setup:
    held = corner.outer(2)
    sides = tuple(dict.fromkeys(one.task.side for one in operations))
    if number == 1:
        return Setup(1, f"outer end {held}, {grip / 25_400_000:g} in deep in the jaws; grain upright",
                     "sawn end on the jaws' floor, two sawn sides",
                     f"x and y: the outer faces {corner.outer(0)} and {corner.outer(1)} as milled; z: jaws' top",
                     sides, operations)  # fmt: skip
    return Setup(2, f"cube and spigots in soft jaws, {held} up",
                 "shoulder of the post's spigot on the jaws, outer faces of x and y against the stops",
                 "z: that shoulder; x and y: the outer faces", sides, operations)  # fmt: skip


# --- tasks ---------------------------------------------------------------------------------------


def _square(corner: Corner, stock: tuple[int, int, int], grip: int) -> Iterator[Task]:
    """To a cube of a + L above the jaws."""
    whole, W = (corner.side + corner.length) * 1e-9, stock[1] * 1e-9
    skin = (W - whole) / 2
    yield Task(
        "face", corner.inner(2), "end of the post's spigot", (stock[0] - grip) * 1e-9 - whole, area=W * W
    )
    for i, wide in ((0, W), (1, whole)):
        for side, on in (
            (corner.inner(i), f"end of spigot {AXES[i]}"),
            (corner.outer(i), f"outer face {AXES[i]}"),
        ):
            yield Task("face", side, on, skin, area=wide * whole)


def _rough(corner: Corner, finish: int) -> Iterator[Task]:
    """Around each spigot down to its shoulder, from z, x and y."""
    a, L, s, f = corner.side * 1e-9, corner.length * 1e-9, corner.width * 1e-9, finish * 1e-9
    for i, area in ((2, (a + L) ** 2), (0, (a + L) * (a + f)), (1, (a + f) ** 2)):
        yield Task(
            "rough",
            corner.inner(i),
            f"around spigot {AXES[i]}",
            L - f,
            area=area - (s + 2 * f) ** 2,
            shoulder=L,
        )


def _finish(corner: Corner, finish: int) -> Iterator[Task]:
    """Walls, then shoulder of each spigot; then the edges of the spigots' ends."""
    a, L, s, f = corner.side * 1e-9, corner.length * 1e-9, corner.width * 1e-9, finish * 1e-9
    wall = ((s + 2 * f) ** 2 - s * s) * (L - f)
    shoulder = ((a + f) ** 3 - a**3) / 3 - s * s * f
    for i in (2, 0, 1):
        side, on = corner.inner(i), f"spigot {AXES[i]}"
        yield Task("finish wall", side, on, L - f, square=s, width=f, volume=wall, shoulder=L)
        yield Task("finish shoulder", side, on, f, square=s, width=corner.inset, volume=shoulder,
                   shoulder=L)  # fmt: skip
    for i in (2, 0, 1):
        yield Task(
            "chamfer", corner.inner(i), f"end edges of spigot {AXES[i]}", f, square=s, width=f, volume=0.0
        )


def _end(corner: Corner, stock: tuple[int, int, int], grip: int) -> Task:
    W = stock[1] * 1e-9
    return Task("face", corner.outer(2), "outer end, to the cube's length", grip * 1e-9, area=W * W)


def _holes(holes: Sequence[Drilled], mill: Mill, asked: list[Asked]) -> list[Task]:
    """Tool by tool over all holes of a side."""
    done = []
    for hole in holes:
        task = Task("drill", hole.side, hole.name, hole.depth, diameter=hole.diameter, thread=hole.thread)
        done += hole_tasks(task, mill.tool, asked)
    order = ("spot", "drill", "ream", "tap")
    return sorted(done, key=lambda task: (task.side, order.index(task.kind), -task.diameter))
