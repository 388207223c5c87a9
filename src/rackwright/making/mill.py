"""Corner blocks on the mill: stock with its grain, metal to take off, time from the shop's rates, hands, first piece.

The grain of the stock lies along the post. In the first clamping the block is held at its outer end along the post and
cut on the five other sides; in the next that end is finished. The time is computed from what is removed, the surface,
and the holes, with rates that are the shop's own (`[mill]`); a spindle speed over the machine's limit is the limit.
Blocks are handed: a mirror image has another program. With the grain along the post two blocks are the same piece only
when a half turn about the post brings one into the other; a reflection makes a mirror image.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from rackwright.formulas.machining import block_time, cutting_power, feed_rate, removal_rate, spindle_speed
from rackwright.making.asked import Asked
from rackwright.making.blank import Step, usable
from rackwright.making.sawing.cutting import Demand, Racked
from rackwright.pieces.characteristics import Characteristic, characteristics, shown
from rackwright.pieces.model import Box, Piece, axis_index
from rackwright.shop import Shop, StockItem
from rackwright.shop.machines import Mill

__all__ = ["CAUTIONS", "BlockHole", "BlockLine", "MillPlan", "mill_json", "mill_plan"]

CAUTIONS = (
    "Interlock shut; fine aluminium chips burn; no compressed air towards eyes.",
    "Handed blocks: check part number and program against the drawing before the first chip.",
    "Measure the first piece before the second is loaded.",
)


@dataclass(frozen=True, order=True)
class BlockHole:
    """A hole in a block: where it enters, measured inward from the block's outer faces along x, y, z (nm)."""

    axis: str
    at: tuple[int, int, int]
    depth: int
    diameter: int
    thread: str = ""  # tapped into it


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
    sides: tuple[str, ...]  # outward faces reached in the first clamping, then those of the next
    holes: tuple[BlockHole, ...]
    same_as: str  # part number of the same piece, its own when it is the first
    mirror: tuple[str, ...]
    first_piece: tuple[Characteristic, ...]
    time: float | None = None  # of the machine for one block
    power: float | None = None  # W at the spindle
    speed: float | None = None  # 1/s
    feed: float | None = None  # m/s
    steps: tuple[Step, ...] = ()

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


@dataclass(frozen=True)
class MillPlan:
    lines: tuple[BlockLine, ...]
    asked: tuple[Asked, ...]
    power_ok: bool | None
    first_piece_factor: float | None

    @property
    def time(self) -> float | None:
        """Of the machine for the order, s: the first piece of each program takes longer."""
        times = [line.time for line in self.lines]
        if self.first_piece_factor is None or not self.lines or any(time is None for time in times):
            return None
        programs = {line.same_as: line for line in self.lines}
        more = sum((self.first_piece_factor - 1) * (line.time or 0.0) for line in programs.values())
        return more + sum((line.time or 0.0) * line.quantity for line in self.lines)


def mill_plan(demand: Demand, items: Sequence[StockItem] | None, shop: Shop) -> MillPlan:
    """The blocks of an order, by part number."""
    made: dict[str, BlockLine] = {}
    shapes: dict[str, object] = {}
    asked: list[Asked] = []
    for design, quantity in demand:
        every = characteristics(design.rack, design.pieces, shop.saw.cut_tolerance)
        for piece in design.pieces.made:
            if piece.kind != "block":
                continue
            if piece.part in made:
                made[piece.part] = replace(made[piece.part], quantity=made[piece.part].quantity + quantity)
                continue
            measured = tuple(one for one in every if one.piece == piece.id)
            line = _line(design, piece, quantity, items, shop, measured, asked)
            made[piece.part], shapes[piece.part] = line, _shape(piece, line)
    if made and shop.mill is None:
        asked.append(
            Asked("mill", "blocks are milled: cutter, rates, changes, clampings and power of the mill")
        )
    timed = [line if shop.mill is None else _timed(line, shop.mill) for line in made.values()]
    lines = _handed(timed, shapes)
    power = None
    if shop.mill is not None and lines:
        power = all((line.power or 0.0) <= shop.mill.spindle_power for line in lines)
    factor = shop.mill.first_piece if shop.mill else None
    return MillPlan(lines, tuple(dict.fromkeys(asked)), power, factor)


def _line(
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
    return BlockLine(
        piece.part, d.part, piece.title, quantity, piece.stock, blank.id if blank else "", size, "z",
        piece.mass / density if density else 0.0, _surface(piece.boxes[0], spigots), _sides(piece, spigots),
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


def _inward(piece: Piece) -> tuple[int, int, int]:
    """+1 or -1 for each axis: where the spigot of that axis points."""
    cube, ways = piece.boxes[0], [1, 1, 1]
    for wall in piece.walls:
        if wall not in piece.boxes:
            i = _along(cube, wall)
            ways[i] = 1 if wall.lo[i] >= cube.hi[i] else -1
    return ways[0], ways[1], ways[2]


def _sides(piece: Piece, spigots: Sequence[Box]) -> tuple[str, ...]:
    """All sides, the one that the first clamping holds last: the outer end along the post."""
    held = "-z" if _inward(piece)[2] > 0 else "+z"
    return (*(side for side in ("+x", "-x", "+y", "-y", "+z", "-z") if side != held), held)


def _holes(design: Racked, piece: Piece) -> list[BlockHole]:
    cube, ways, found = piece.boxes[0], _inward(piece), []
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
                    )
                )
    return found


# --- hands ---------------------------------------------------------------------------------------


def _shape(piece: Piece, line: BlockLine) -> tuple[object, ...]:
    """The block in a right-handed frame of its own: z along the post, inward; x and y change places if they must."""
    ways, cube = _inward(piece), piece.boxes[0]
    order = (0, 1, 2) if ways[0] * ways[1] * ways[2] > 0 else (1, 0, 2)

    def span(box: Box) -> tuple[tuple[int, int], ...]:
        ends = [(box.lo[i] - cube.lo[i], box.hi[i] - cube.lo[i]) if ways[i] > 0
                else (cube.hi[i] - box.hi[i], cube.hi[i] - box.lo[i]) for i in range(3)]  # fmt: skip
        return tuple(ends[i] for i in order)

    names = dict(zip((("x", "y", "z")[i] for i in order), "xyz", strict=True))
    holes = sorted(
        (names[hole.axis], tuple(hole.at[i] for i in order), hole.depth, hole.diameter) for hole in line.holes
    )
    return line.design, line.stock, tuple(sorted(span(box) for box in piece.walls)), tuple(holes)


def _mirrored(shape: object) -> tuple[object, ...]:
    """The shape with x and y changed."""
    assert isinstance(shape, tuple)
    design, stock, boxes, holes = shape
    swap = {"x": "y", "y": "x", "z": "z"}
    flipped = sorted((swap[axis], (at[1], at[0], at[2]), depth, wide) for axis, at, depth, wide in holes)
    return design, stock, tuple(sorted((box[1], box[0], box[2]) for box in boxes)), tuple(flipped)


def _handed(lines: Sequence[BlockLine], shapes: dict[str, object]) -> tuple[BlockLine, ...]:
    found: list[BlockLine] = []
    first: dict[object, str] = {}
    for line in sorted(lines, key=lambda one: one.part):
        shape = shapes[line.part]
        first.setdefault(shape, line.part)
        over = _mirrored(shape)
        mirror = tuple(part for part in sorted(shapes) if shapes[part] == over and over != shape)
        found.append(replace(line, same_as=first[shape], mirror=mirror))
    return tuple(found)


# --- time ----------------------------------------------------------------------------------------


def _timed(line: BlockLine, mill: Mill) -> BlockLine:
    cutter = mill.cutter * 1e-9
    turns = {"v": mill.surface_speed, "D": cutter}
    speed = min(float(spindle_speed(**turns)), mill.most_spindle)
    feeding = {"n": speed, "z": float(mill.teeth), "fz": mill.chip * 1e-9}
    feed = float(feed_rate(**feeding))
    cutting = {"ae": mill.radial * 1e-9, "ap": mill.axial * 1e-9, "vf": feed}
    Q = float(removal_rate(**cutting))
    cycle = {
        "V": line.removed,
        "Q": Q,
        "eng": mill.engagement,
        "S": line.surface,
        "Qs": mill.finish_step * 1e-9 * mill.finish_feed,
        "h": line.hole_depth + len(line.holes) * mill.drill_approach * 1e-9,
        "vh": mill.drill_feed,
        "nc": float(mill.tool_changes),
        "tc": mill.tool_change,
        "ni": float(len(line.sides) - 1),
        "ti": mill.index,
        "tl": mill.clampings * mill.load,
    }
    power = {"Q": Q, "kc": mill.cutting_force}
    steps: tuple[Step, ...] = (
        ("spindle_speed", turns), ("feed_rate", feeding), ("removal_rate", cutting), ("cutting_power", power),
        ("block_time", cycle),
    )  # fmt: skip
    return replace(
        line,
        time=float(block_time(**cycle)),
        power=float(cutting_power(**power)),
        speed=speed,
        feed=feed,
        steps=steps,
    )


# --- as a document -------------------------------------------------------------------------------


def mill_json(plan: MillPlan, shop: Shop) -> dict[str, object]:
    """The mill's part of the plan. Hole positions inward from the block's outer faces."""
    return {
        "machine": shop.mill.name if shop.mill else None,
        "rates_from": shop.mill.document if shop.mill else None,
        "time_s": plan.time,
        "power_ok": plan.power_ok,
        "spindle_power_W": shop.mill.spindle_power if shop.mill else None,
        "blocks": {line.part: _line_json(line) for line in plan.lines},
        "asked": [one.to_json() for one in plan.asked],
        "cautions": list(CAUTIONS),
    }


def _line_json(line: BlockLine) -> dict[str, object]:
    return {
        "design": line.design, "title": line.title, "quantity": line.quantity, "stock": line.stock,
        "item": line.item or None, "stock_size_nm": list(line.stock_size), "grain": f"along {line.grain}",
        "stock_volume_m3": line.stock_volume, "finished_volume_m3": line.finished, "removed_volume_m3": line.removed,
        "surface_m2": line.surface, "sides": {"first_clamping": list(line.sides[:-1]), "next": [line.sides[-1]]},
        "same_as": line.same_as, "mirror_of": list(line.mirror), "time_s": line.time, "power_W": line.power,
        "spindle_rpm": None if line.speed is None else line.speed * 60,
        "feed_m_s": line.feed,
        "holes": [{"axis": hole.axis, "enters_at_nm": list(hole.at), "depth_nm": hole.depth,
                   "diameter_nm": hole.diameter} for hole in line.holes],
        "first_piece": [
            {"characteristic": one.id, "number": one.number, "nominal": shown(one, one.nominal),
             "low": shown(one, one.low), "high": shown(one, one.high), "gauge": one.gauge}
            for one in line.first_piece
        ],
        "steps": [{"formula": name, "values_si": values} for name, values in line.steps],
    }  # fmt: skip
