"""What must hold before the first chip: reach, roots, drills, power, skin, and the metal left beside holes.

Holes in the spigots count here as well, though the jig drills them: what they leave is the same block. Walls are the
least distance of cylinder and face, or of two cylinders; a cylinder's end counts as round, which errs to the safe side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from rackwright.making.asked import Asked
from rackwright.making.check import Check
from rackwright.making.mill.block import BlockHole, BlockLine
from rackwright.making.mill.operation import Operation
from rackwright.making.mill.setups import Setup
from rackwright.pieces.crossing import Cylinder, wall_between
from rackwright.pieces.model import axis_index
from rackwright.rack.model import Block, Tube
from rackwright.shop.machines import Mill

__all__ = ["block_checks", "root_radius"]


def block_checks(
    line: BlockLine, tube: Tube, block: Block, mill: Mill, asked: list[Asked]
) -> Iterator[Check]:
    """Every check of one part number; what they need and is not there is asked for."""
    yield from _tools(line.setups)
    yield from _steps(line.setups)
    yield from _root(line, tube, block)
    yield from _skin(line, mill)
    yield from _power(line.setups, mill, asked)
    yield from _walls(line, block, mill, asked)


def root_radius(setups: Sequence[Setup]) -> int | None:
    """The radius that the finishing tool leaves at the spigots' roots, nm."""
    tools = [one.tool for setup in setups for one in setup.operations if one.task.kind == "finish shoulder"]
    return (tools[0].corner_radius or 0) if tools and tools[0] is not None else None


def _tools(setups: Sequence[Setup]) -> Iterator[Check]:
    """Each tool at the deepest it goes: to its holder, and a drill to the end of its flutes."""
    deepest: dict[str, float] = {}
    for setup in setups:
        for one in setup.operations:
            if one.tool is not None:
                deepest[one.tool.id] = max(deepest.get(one.tool.id, 0.0), one.travel)
    tools = {one.tool.id: one.tool for setup in setups for one in setup.operations if one.tool}
    for id, travel in sorted(deepest.items()):
        tool = tools[id]
        yield Check(f"depth of {id} against its reach", travel, tool.reaches * 1e-9, "m", True, tool.document)
        if tool.kind in ("drill", "reamer", "tap"):
            yield Check(f"depth of {id} against its flutes", travel, tool.flute_length * 1e-9, "m", True,
                        tool.document)  # fmt: skip


def _steps(setups: Sequence[Setup]) -> Iterator[Check]:
    """A finishing cut has the width that it has: against the widest that its tool was found to stand."""
    widest: dict[str, Operation] = {}
    for one in (one for setup in setups for one in setup.operations if one.task.kind.startswith("finish")):
        if one.tool is not None and one.tool.radial is not None:
            before = widest.get(one.tool.id)
            widest[one.tool.id] = one if before is None or one.task.width > before.task.width else before
    for id, one in sorted(widest.items()):
        if one.tool is not None and one.tool.radial is not None:
            yield Check(f"width of cut of {id}, operation {one.number}", one.task.width, one.tool.radial * 1e-9, "m",
                        True, one.tool.document)  # fmt: skip


def _root(line: BlockLine, tube: Tube, block: Block) -> Iterator[Check]:
    """Where the definition states no fillet; where it does, no tool of another radius is taken."""
    radius = root_radius(line.setups)
    if radius is not None and block.fillet is None:
        yield Check("radius at the spigots' roots", radius * 1e-9, tube.wall * 1e-9, "m", True,
                    "the tube's end stands on the shoulder beside it")  # fmt: skip


def _skin(line: BlockLine, mill: Mill) -> Iterator[Check]:
    if not line.setups or mill.grip is None or mill.finish_stock is None:
        return
    over, source = line.corner.side + line.corner.length, "mill.finish_stock: a skin that one cut takes clean"
    along, across = line.stock_size[0] - mill.grip - over, (min(line.stock_size[1:]) - over) / 2
    for name, skin in (("skin of the blank along the post", along), ("skin of the blank across", across)):
        yield Check(name, skin * 1e-9, mill.finish_stock * 1e-9, "m", False, source)


def _power(setups: Sequence[Setup], mill: Mill, asked: list[Asked]) -> Iterator[Check]:
    made = [one for setup in setups for one in setup.operations if one.power is not None]
    if made and mill.efficiency is None:
        asked.append(
            Asked("mill.efficiency", "of the spindle's drive: what the motor gives against what a cut takes")
        )
    drawn = [one for one in made if one.motor is not None]
    if drawn:
        most = max(drawn, key=lambda one: one.motor or 0.0)
        name = f"power of operation {most.number}"
        yield Check(name, most.motor or 0.0, mill.spindle_power, "W", True, f"{mill.name}, {mill.document}")


# --- metal beside holes --------------------------------------------------------------------------


def _walls(line: BlockLine, block: Block, mill: Mill, asked: list[Asked]) -> Iterator[Check]:
    """The thinnest of each kind."""
    if not line.holes:
        return
    radius = block.fillet if block.fillet is not None else root_radius(line.setups) or 0
    walls = {"face": [], "root": []}  # type: dict[str, list[tuple[float, str]]]
    for hole in line.holes:
        for kind, left in _beside(hole, line):
            walls[kind].append((left, hole.bolt))
    if walls["root"]:
        left, bolt = min(walls["root"])
        yield Check(f"hole {bolt} from its spigot's root", left * 1e-9, radius * 1e-9, "m", False,
                    "clear of the radius at the root")  # fmt: skip
    between = [
        (wall_between(_cylinder(a), _cylinder(b)), f"{a.bolt} and {b.bolt}")
        for a, b in combinations(line.holes, 2)
    ]
    if mill.least_wall is None:
        asked.append(Asked("mill.least_wall", "the thinnest wall of the block's metal that stands the cut"))
        return
    for name, found in (("wall beside hole", walls["face"]), ("wall between holes", between)):
        if found:
            left, where = min(found)
            yield Check(f"{name} {where}", left * 1e-9, mill.least_wall * 1e-9, "m", False, mill.document)


def _cylinder(hole: BlockHole) -> Cylinder:
    i = axis_index(hole.axis)
    lo, hi = list(hole.at), list(hole.at)
    hi[i] += hole.depth
    return Cylinder((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]), hole.diameter)


def _beside(hole: BlockHole, line: BlockLine) -> Iterator[tuple[str, float]]:
    """Metal to the faces beside the hole (nm), and along its spigot to the root."""
    corner, i = line.corner, axis_index(hole.axis)
    low, high = (corner.side - corner.width) / 2, (corner.side + corner.width) / 2
    spigot = next((k for k in range(3) if k != i and hole.at[k] > corner.side), None)
    for k in range(3):
        if k == i:
            continue
        if spigot is None:
            yield "face", min(hole.at[k], corner.side - hole.at[k]) - hole.diameter / 2
        elif k == spigot:
            yield "face", corner.side + corner.length - hole.at[k] - hole.diameter / 2
            yield "root", hole.at[k] - corner.side - hole.diameter / 2
        else:
            yield "face", min(hole.at[k] - low, high - hole.at[k]) - hole.diameter / 2
