"""The block drawing: a sheet for each part number of corner block, with stock, grain, hands, time and first piece."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rackwright.design import Design
from rackwright.making.mill import CAUTIONS, BlockLine
from rackwright.papers.block_sheet import BlockHoleMark, BlockSketch
from rackwright.papers.drawing import draw_blocks
from rackwright.papers.lengths import inches
from rackwright.pieces.model import Piece, axis_index
from rackwright.plan import Plan
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.papers.saw import order_head
from rackwright.work.papers.words import axis, in_unit, number

__all__ = ["block_drawing", "block_sketches"]

INCH = 0.0254


def block_drawing(plan: Plan, order: str, date: str, demo: bool = False) -> bytes:
    """The drawing, PDF. Raises Stopped: a design's faults; RW701 where the order has no blocks."""
    head = order_head(plan, "Corner blocks", f"{order}-BLOCKS" if order else "BLOCKS", order, date, demo)
    if not plan.mill.lines:
        raise Stopped([Refusal("RW701", Where("blocks"), "the order has no corner blocks", "see the plan")])
    return draw_blocks(replace(head, paper="us-tabloid"), block_sketches(plan))


def block_sketches(plan: Plan) -> tuple[BlockSketch, ...]:
    """What the sheets show, as plain data, in the order of part numbers."""
    pieces = {piece.part: (design, piece) for design, _ in plan.demand for piece in design.pieces.made}
    return tuple(_sketch(plan, line, *pieces[line.part]) for line in plan.mill.lines)


def _sketch(plan: Plan, line: BlockLine, design: object, piece: Piece) -> BlockSketch:
    assert isinstance(design, Design)
    cube = piece.boxes[0]
    spigots = [wall for wall in piece.walls if wall not in piece.boxes]
    ways = [1, 1, 1]
    for spigot in spigots:
        i = next(k for k in range(3) if spigot.lo[k] >= cube.hi[k] or spigot.hi[k] <= cube.lo[k])
        ways[i] = 1 if spigot.lo[i] >= cube.hi[i] else -1
    outer = [cube.lo[i] if ways[i] > 0 else cube.hi[i] for i in range(3)]
    marks = []
    for hole in line.holes:
        centre = [outer[i] + ways[i] * hole.at[i] for i in range(3)]
        i = axis_index(hole.axis)
        centre[i] += ways[i] * hole.depth // 2
        marks.append(BlockHoleMark(i, (centre[0], centre[1], centre[2]), hole.diameter))
    holes = tuple(
        (
            str(n),
            hole.axis,
            ", ".join(inches(nm) for nm in hole.at),
            inches(hole.depth),
            inches(hole.diameter, 4) + (f", tap {hole.thread}" if hole.thread else ""),
        )
        for n, hole in enumerate(line.holes, start=1)
    )
    first = tuple(
        (
            str(one.number),
            one.name,
            "–" if one.by_gauge else _in(one.nominal),
            one.asks or f"{_in(one.low)} to {_in(one.high)}",
            one.gauge,
            "",
        )
        for one in line.first_piece
    )
    balloons = []
    for one in line.first_piece:
        i = "xyz".find(one.name[-1])
        spigot_of = [s for s in spigots if s.lo[i] >= cube.hi[i] or s.hi[i] <= cube.lo[i]]
        if one.name.startswith("spigot") and spigot_of:
            box = spigot_of[0]
            middle = [(a + b) // 2 for a, b in zip(box.lo, box.hi, strict=True)]
            balloons.append((str(one.number), (middle[0], middle[1], middle[2])))
    return BlockSketch(
        line.part, line.title, tuple((box.lo, box.hi) for box in (cube, *spigots)), (outer[0], outer[1], outer[2]),
        tuple(marks), axis_index(line.grain), tuple(_facts(plan, line)), holes, tuple(_times(plan, line)), first,
        tuple(balloons), tuple(_tolerances(design)),
    )  # fmt: skip


def _cubic(value: float) -> str:
    return number(value / INCH**3, 2)


def _in(value: object) -> str:
    return "none" if value is None else inches(round(float(value) * 1e9), 4)  # type: ignore[arg-type]


def _facts(plan: Plan, line: BlockLine) -> Iterator[str]:
    long, a, b = (inches(nm) for nm in line.stock_size)
    yield (
        f"Blank {long} × {a} × {b} in of {line.stock}{f', stock {line.item}' if line.item else ''}; grain along "
        f"{line.grain}, the post."
    )
    yield f"{line.quantity} in the order. Finished {_cubic(line.finished)} of {_cubic(line.stock_volume)} in³."
    if line.same_as != line.part:
        yield f"Same piece and program as {line.same_as}."
    if line.mirror:
        yield f"HANDED: mirror image of {', '.join(line.mirror)}; another program."
    yield (
        f"First clamping: sides {', '.join(axis(side) for side in line.sides[:-1])}; next: {axis(line.sides[-1])}. "
        "Deburr; holes in the spigots are drilled with the tubes on the jig."
    )
    if line.time_from == "operations":
        yield "Setups, operations, tools and the spigots' fit: mill sheet."
    elif line.speed is not None and line.feed is not None and plan.shop.mill is not None:
        mill = plan.shop.mill
        yield (
            f"{mill.name}: cutter {inches(mill.cutter)} in, {number(line.speed * 60, 0)} rpm, feed "
            f"{in_unit(line.feed, 'in/min', 1)}, {in_unit(line.power or 0.0, 'hp', 2)} of "
            f"{in_unit(mill.spindle_power, 'hp', 1)} at the spindle; rates from {mill.document}."
        )
    yield from CAUTIONS
    for asked in plan.mill.asked:
        yield f"Asked for: {asked}"


def _times(plan: Plan, line: BlockLine) -> Iterator[tuple[str, str, str]]:
    """The terms of the block's time, as its formula adds them."""
    terms = _by_operations(plan, line) if line.time_from == "operations" else _by_rates(line)
    if not terms or line.time is None:
        yield "time", "rates of the mill are asked for", "–"
        return
    for name, how, seconds in terms:
        yield name, how, number(seconds / 60, 2)
    yield "one block", "sum", number(line.time / 60, 2)
    if plan.mill.first_piece_factor is not None:
        yield "first piece of a program", f"× {number(plan.mill.first_piece_factor, 2)}", number(
            line.time * plan.mill.first_piece_factor / 60, 2)  # fmt: skip


Terms = tuple[tuple[str, str, float], ...]


def _by_operations(plan: Plan, line: BlockLine) -> Terms:
    mill = plan.shop.mill
    assert mill is not None
    kinds: dict[str, list[float]] = {}
    for one in (one for setup in line.setups for one in setup.operations):
        kinds.setdefault(one.task.kind, []).append(one.time or 0.0)
    changes, turns = sum(setup.changes for setup in line.setups), sum(setup.turns for setup in line.setups)
    return (
        *(
            (kind, f"{len(times)} operation{'s' if len(times) > 1 else ''}", sum(times))
            for kind, times in kinds.items()
        ),
        ("tool changes", f"{changes} of {number(mill.tool_change, 0)} s", changes * mill.tool_change),
        ("sides", f"{turns} turns of {number(mill.index, 0)} s", turns * mill.index),
        ("loading", f"{len(line.setups)} setups", len(line.setups) * mill.load),
    )


def _by_rates(line: BlockLine) -> Terms:
    v = next((values for name, values in line.steps if name == "block_time"), None)
    if v is None:
        return ()
    return (
        ("roughing", f"{_cubic(v['V'])} in³ at {_cubic(v['Q'] * 60)} in³/min, engaged {number(v['eng'], 2)}",
         v["V"] / (v["Q"] * v["eng"])),
        ("finishing", f"{number(v['S'] / INCH**2, 1)} in² of surface", v["S"] / v["Qs"]),
        ("holes", f"{in_unit(v['h'], 'in', 2)} with approach", v["h"] / v["vh"]),
        ("tool changes", f"{number(v['nc'], 0)} of {number(v['tc'], 0)} s", v["nc"] * v["tc"]),
        ("sides", f"{number(v['ni'], 0)} turns of {number(v['ti'], 0)} s", v["ni"] * v["ti"]),
        ("loading", "clampings", v["tl"]),
    )  # fmt: skip


def _tolerances(design: Design) -> Iterator[str]:
    given = design.rack.definition.tolerance
    if given is None:
        yield "No tolerance is given: dimensions are nominal, and none is measured."
        return
    yield f"Spigots ± {inches(given.block, 4)} in; holes along a spigot ± {inches(given.hole_position)} in."
