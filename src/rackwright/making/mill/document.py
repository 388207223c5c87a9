"""The mill's part of the plan, as a document."""

from __future__ import annotations

from rackwright.making.check import check_json
from rackwright.making.mill.block import BlockLine
from rackwright.making.mill.operation import Operation
from rackwright.making.mill.plan import CAUTIONS, MillPlan
from rackwright.making.mill.setups import Setup
from rackwright.making.mill.spigot_fit import SpigotFit
from rackwright.pieces.characteristics import shown
from rackwright.shop import Shop

__all__ = ["mill_json"]


def mill_json(plan: MillPlan, shop: Shop) -> dict[str, object]:
    """The mill's part of the plan. Hole positions inward from the block's outer faces."""
    return {
        "machine": shop.mill.name if shop.mill else None,
        "rates_from": shop.mill.document if shop.mill else None,
        "time_s": plan.time,
        "time_from": plan.time_from or None,
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
                   "diameter_nm": hole.diameter, "bolt": hole.bolt,
                   "drilled_on": "mill" if hole in line.milled else "jig"} for hole in line.holes],
        "time_from": line.time_from or None,
        "setups": [_setup_json(setup) for setup in line.setups],
        "checks": {check.name: check_json(check) for check in line.checks},
        "fit": None if line.fit is None else _fit_json(line.fit),
        "first_piece": [
            {"characteristic": one.id, "number": one.number, "nominal": shown(one, one.nominal),
             "low": shown(one, one.low), "high": shown(one, one.high), "gauge": one.gauge}
            for one in line.first_piece
        ],
        "steps": [{"formula": name, "values_si": values} for name, values in line.steps],
    }  # fmt: skip


def _setup_json(setup: Setup) -> dict[str, object]:
    return {
        "number": setup.number, "held": setup.held, "located_on": setup.located, "zero": setup.zero,
        "sides": list(setup.sides), "tool_changes": setup.changes, "index_moves": setup.turns,
        "operations": [_operation_json(one) for one in setup.operations],
    }  # fmt: skip


def _operation_json(one: Operation) -> dict[str, object]:
    return {
        "number": one.number, "operation": one.task.kind, "side": one.task.side, "on": one.task.on,
        "tool": one.tool.id if one.tool else None, "spindle_rpm": None if one.speed is None else one.speed * 60,
        "slowed_by_machine": one.slowed, "feed_m_s": one.feed, "axial_m": one.axial, "radial_m": one.radial,
        "layers": one.layers, "removed_m3": one.task.removed, "removal_rate_m3_s": one.rate, "power_W": one.power,
        "motor_W": one.motor, "time_s": one.time,
        "steps": [{"formula": name, "values_si": values} for name, values in one.steps],
    }  # fmt: skip


def _fit_json(fit: SpigotFit) -> dict[str, object]:
    def pair(limits: tuple[float, float] | None) -> list[float] | None:
        return None if limits is None else list(limits)

    return {
        "nominal_inside_m": fit.nominal, "spigot_as_defined_m": pair(fit.defined), "class": fit.fit or None,
        "spigot_as_worked_m": pair(fit.worked), "tube_inside_m": pair(fit.inside), "inside_from": fit.inside_from,
        "clearance_m": pair(fit.clearance), "spigot_edges_broken_m": fit.edges, "tube_edge_broken_m": fit.tube_edge,
        "spigot_to_mill_m": pair(fit.to_mill),
        "bars": {one.bar.bar: {
            "heat": one.bar.heat, "pieces": list(one.bar.pieces), "measured": bool(one.bar.widths),
            "gauge": one.bar.gauge or None, "widths_m": list(one.bar.widths), "corner_radius_m": one.bar.corner,
            "uncertainty_m": one.bar.uncertainty, "inside_m": pair(one.inside), "spigot_to_mill_m": pair(one.to_mill),
            "clearance_m": pair(one.clearance), "spigot_edges_broken_m": one.edges} for one in fit.bars},
        "checks": {check.name: check_json(check) for check in fit.checks}, "marks": list(fit.marks),
        "steps": [{"formula": name, "values_si": values} for name, values in fit.steps],
    }  # fmt: skip
