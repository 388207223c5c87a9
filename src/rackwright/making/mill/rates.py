"""The time of a block from rates that the shop logged for this family of parts: what stands in where no tool list is.

One cutter takes all metal off at one engagement, the surface is finished at one rate, and all holes, those of the jig
with them, are drilled at one feed. A spindle speed over the machine's limit is the limit.
"""

from __future__ import annotations

from dataclasses import replace

from rackwright.formulas.machining import block_time, cutting_power, feed_rate, removal_rate, spindle_speed
from rackwright.making.blank import Step
from rackwright.making.mill.block import BlockLine
from rackwright.shop.machines import Mill

__all__ = ["timed_by_rates"]


def timed_by_rates(line: BlockLine, mill: Mill) -> BlockLine:
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
        time_from="rates",
    )
