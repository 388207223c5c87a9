"""The blocks of an order, by part number: each with its setups and time, its checks and its fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rackwright.making.asked import Asked
from rackwright.making.inspected import characteristics_of
from rackwright.making.mill.bars_in_hand import BarInside
from rackwright.making.mill.block import BlockLine, block_line
from rackwright.making.mill.checks import block_checks, root_radius
from rackwright.making.mill.hands import handed, shape_of
from rackwright.making.mill.rates import timed_by_rates
from rackwright.making.mill.setups import Drilled, setups_of, time_of
from rackwright.making.mill.spigot_fit import spigot_fit
from rackwright.making.sawing.cutting import Demand, Racked
from rackwright.pieces.model import axis_index
from rackwright.shop import Shop, StockItem
from rackwright.shop.machines import Mill

__all__ = ["CAUTIONS", "MillPlan", "mill_plan"]

CAUTIONS = (
    "Interlock shut; fine aluminium chips burn; no compressed air towards eyes.",
    "Handed blocks: check part number and program against the drawing before the first chip.",
    "Measure the first piece before the second is loaded.",
)


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

    @property
    def time_from(self) -> str:
        """What the time is from, in words; "" without one."""
        how = {line.time_from for line in self.lines if line.time is not None}
        if not how:
            return ""
        return (
            "operations with the shop's tools" if how == {"operations"} else "logged rates, a coarse estimate"
        )


def mill_plan(
    demand: Demand, items: Sequence[StockItem] | None, shop: Shop, bars: Sequence[BarInside] = ()
) -> MillPlan:
    """The blocks of an order, by part number; `bars`: those in hand for its tubes."""
    made: dict[str, BlockLine] = {}
    shapes: dict[str, object] = {}
    asked: list[Asked] = []
    for design, quantity in demand:
        every = characteristics_of(design, shop)
        for piece in design.pieces.made:
            if piece.kind != "block":
                continue
            if piece.part in made:
                made[piece.part] = replace(made[piece.part], quantity=made[piece.part].quantity + quantity)
                continue
            measured = tuple(one for one in every if one.piece == piece.id)
            line = block_line(design, piece, quantity, items, shop, measured, asked)
            shapes[piece.part] = shape_of(piece, line)
            made[piece.part] = (
                line if shop.mill is None else _planned(line, design, shop, shop.mill, asked, bars)
            )
    if made and shop.mill is None:
        asked.append(
            Asked("mill", "blocks are milled: cutter, rates, changes, clampings and power of the mill")
        )
    lines = handed(list(made.values()), shapes)
    power = None
    if shop.mill is not None and lines:
        power = all((line.power or 0.0) <= shop.mill.spindle_power for line in lines)
    factor = shop.mill.first_piece if shop.mill else None
    return MillPlan(lines, tuple(dict.fromkeys(asked)), power, factor)


def _planned(
    line: BlockLine, design: Racked, shop: Shop, mill: Mill, asked: list[Asked], bars: Sequence[BarInside]
) -> BlockLine:
    """With its setups; its time from them, or from rates while one of them has none."""
    d = design.rack.definition
    setups = setups_of(line.corner, line.stock_size, _drilled(line), d.block.fillet, mill, asked)
    line = replace(line, setups=setups)
    asked += _nuts(line, design)
    time = time_of(setups, mill)
    if time is None:
        line = timed_by_rates(line, mill)
    else:
        every = [one for setup in setups for one in setup.operations]
        most = max(every, key=lambda one: one.motor or one.power or 0.0)
        steps = tuple({repr(step): step for one in every for step in one.steps}.values())
        line = replace(line, time=time, time_from="operations", power=most.motor or most.power, speed=most.speed,
                       feed=most.feed, steps=steps)  # fmt: skip
    checks = tuple(block_checks(line, d.tube, d.block, mill, asked))
    sections = {
        (one.section, one.stock) for one in design.pieces.made if one.kind in ("post", "width", "depth")
    }
    ours = [bar for bar in bars if (bar.section, bar.stock) in sections]
    return replace(line, checks=checks, fit=spigot_fit(d, root_radius(setups), shop, asked, ours))


def _drilled(line: BlockLine) -> list[Drilled]:
    corner = line.corner
    return [
        Drilled(
            corner.outer(axis_index(hole.axis)),
            hole.bolt,
            hole.depth * 1e-9,
            hole.diameter * 1e-9,
            hole.thread,
        )
        for hole in line.milled
    ]


def _nuts(line: BlockLine, design: Racked) -> list[Asked]:
    """A nut inside the block stands in a counterbore that no definition states."""
    inside = {hole.bolt for hole in line.milled}
    if not any(bolt.id in inside and bolt.nut for bolt in design.pieces.bolts):
        return []
    return [Asked("pad.hardware", "its nut stands inside the block: the counterbore, and from which side a wrench "
                                  "reaches it; a tapped hole or an insert needs none")]  # fmt: skip
