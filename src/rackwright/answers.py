"""What a person sees of a Design or a Plan: one JSON document each, with stable keys and units in the keys.

`prove_json` and `changes_json` answer for one rack, `plan_json` for the making of many. The command line, the
dossier and the record's freeze all take theirs from here, so that they cannot differ.
"""

from __future__ import annotations

from fractions import Fraction
from math import degrees
from typing import Any

import numpy as np

from rackwright.answers_items import (
    after_oven_json,
    clearance_json,
    evidence_json,
    heat_json,
    isolators_json,
    near_edges_json,
    needed_json,
)
from rackwright.design import Design
from rackwright.making.brake import brake_json
from rackwright.making.coat import coat_json
from rackwright.making.jig import jig_json
from rackwright.making.mill import mill_json
from rackwright.making.order_json import assembly_json, price_json, route_json
from rackwright.making.oven.load import oven_json
from rackwright.making.plate import plate_json
from rackwright.making.saw import Levels
from rackwright.making.sawing.cut_sheet import Balance, Cut, CutBar, CuttingPlan
from rackwright.making.sawing.purchase import lacking_json
from rackwright.pieces.model import Bolt, Piece
from rackwright.pieces.weight import Mass
from rackwright.plan import PartLine, Plan, money
from rackwright.rack.orient import SIGNS, station_of
from rackwright.reference.rows import Row
from rackwright.shop.model import Saw
from rackwright.strength.analyse import Strength
from rackwright.strength.cases import NO_LIMIT_CASE, no_limit_case
from rackwright.strength.interface import chain_json, interface_json
from rackwright.strength.joint_springs import slip_travel
from rackwright.strength.margin import Margin
from rackwright.strength.own_rows import replaced
from rackwright.strength.support import keeps_from_release
from rackwright.strength.vibration.to_json import vibration_json
from rackwright.trouble import DEFERENCE
from rackwright.units import NM_PER_M, unit_factor

__all__ = ["PLAN_FORMAT", "changes_json", "motion_json", "plan_json", "prove_json"]

PLAN_FORMAT = "rackwright/plan/1"


# --- one rack ------------------------------------------------------------------------------------


def prove_json(design: Design) -> dict[str, Any]:
    """The whole answer of `prove` with stable keys."""
    rack, strength = design.rack, design.strength
    d = rack.definition
    return {
        "format": "rackwright/prove/1",
        "caution": DEFERENCE,
        "identity": {"part": d.part, "revision": d.revision, "drawing": d.drawing, "standard": rack.standard},
        "marks": list(design.marks),
        "orientation": _orientation(design),
        "changes": {change.path: {"before": change.before, "after": change.after, "why": change.why}
                    for change in rack.changes},
        "questions": {q.id: {"text": q.text, "blocks": list(q.blocks)} for q in design.questions},
        "mass": {"bare": _mass(design.bare), "loaded": _mass(design.loaded)},
        "pieces": {piece.id: _piece(design, piece) for piece in design.pieces.made},
        "bolts": {bolt.id: _bolt(bolt) for bolt in design.pieces.bolts},
        "cases": {case.id: {"kind": case.kind, "aircraft_g": case.aircraft.tolist(), "rack_g": case.rack.tolist(),
                            "source": case.source} for case in strength.cases},
        "idle": {case: {p: list(names) for c, p, names in strength.slack if c == case}
                 for case in dict.fromkeys(c for c, _, _ in strength.slack) if case not in dict(strength.loose)},
        "no_equilibrium": dict(strength.loose),
        "deflection_m": {case: value if np.isfinite(value) else None for case, value in strength.deflection},
        "motion": motion_json(strength),
        "limit_cases": not no_limit_case(strength.cases),
        "limit_statement": NO_LIMIT_CASE if no_limit_case(strength.cases) else None,
        "joint_slip": _slip(design),
        "buckling": _buckling(strength),
        "reactions_aircraft_N": _reactions(strength),
        "interface": interface_json(rack, strength),
        "chains": {one.strap: chain_json(one) for one in strength.chains},
        "modes_hz": list(design.modes_hz),
        "vibration": vibration_json(design.vibration),
        "margins": {margin.id: _margin(margin) for margin in strength.margins},
        "own_rows": [_own_row(row) for row in replaced(rack)],
        "heat": heat_json(rack),
        "after_oven": after_oven_json(design.left),
        "near_edges": near_edges_json(design.near_edges),
        "clearance": clearance_json(strength),
        "isolators": isolators_json(strength),
        "evidence": evidence_json(rack, strength),
        "evidence_needed": needed_json(strength),
        "governing": [margin.id for margin in strength.governing],
        "holds": strength.holds,
        "keeps_from_release": [{"kind": one.kind, "about": one.about, "text": one.text}
                               for one in keeps_from_release(rack, strength)],
    }  # fmt: skip


def _own_row(row: Row) -> dict[str, Any]:
    return {"row": row.id, "kind": type(row).__name__, "file": row.own.file if row.own else "",
            "known": str(row.known), "in_place_of": str(row.replaces)}  # fmt: skip


def motion_json(strength: Strength) -> dict[str, Any]:
    """How far the rack turns in each case, and its straps turn and stretch: the most over all variants."""
    run, found = strength.run, {}
    for c, case in enumerate(strength.cases):
        if run is None or case.id in dict(strength.loose):
            continue
        settled = run.settled
        turn = np.arccos(np.clip((np.trace(settled.turn[:, c], axis1=1, axis2=2) - 1) / 2, -1, 1)).max()
        found[case.id] = {
            "rack_turns_deg": float(np.degrees(turn)),
            "straps": {name: {"turns_deg": float(np.degrees(settled.swing[:, c, n].max())),
                              "stretch_m": float(settled.stretch[:, c, n].max())}
                       for n, name in enumerate(strength.model.straps)},
        }  # fmt: skip
    return found


def changes_json(design: Design, standard: Design) -> dict[str, Any]:
    """What became of mass and margins against the standard: governing margins of both, by kind of check."""
    now, then = ({m.mode: m for m in one.strength.governing} for one in (design, standard))
    rows = {}
    for mode in sorted(now.keys() | then.keys()):
        a, b = then.get(mode), now.get(mode)
        rows[mode] = {"before": a.margin if a else None, "before_at": a.id if a else None,
                      "after": b.margin if b else None, "after_at": b.id if b else None}  # fmt: skip
    return {
        "against": standard.rack.standard,
        "mass_bare_kg": {"before": standard.bare.mass, "after": design.bare.mass},
        "mass_loaded_kg": {"before": standard.loaded.mass, "after": design.loaded.mass},
        "modes_hz": {"before": list(standard.modes_hz), "after": list(design.modes_hz)},
        "margins": rows,
    }


def _orientation(design: Design) -> dict[str, Any]:
    aircraft = design.rack.definition.aircraft
    if aircraft is None:
        return {"signs": SIGNS, "forward": None}
    at = station_of(aircraft, design.loaded.cg)
    return {
        "signs": SIGNS,
        "aircraft": aircraft.type,
        "forward": aircraft.forward,
        "document": aircraft.document,
        "loaded_cg_station_buttock_waterline_m": None if at is None else at.tolist(),
    }


def _mass(mass: Mass) -> dict[str, Any]:
    return {
        "mass_kg": mass.mass,
        "tolerance_kg": mass.tolerance,
        "cg_rack_m": mass.cg.tolist(),
        "inertia_about_cg_kg_m2": mass.inertia.tolist(),
    }


def _piece(design: Design, piece: Piece) -> dict[str, Any]:
    holes: dict[str, list[dict[str, Any]]] = {}
    for hole in piece.holes:
        holes.setdefault(hole.face, []).append({"at_nm": list(hole.centre), "diameter_nm": hole.diameter})
    return {
        "part": piece.part,
        "kind": piece.kind,
        "quantity_of_part": design.pieces.quantity(piece.part),
        "section": piece.section,
        "stock": piece.stock,
        "cut_length_nm": piece.length,
        "mass_kg": piece.mass,
        "cg_rack_m": list(piece.cg),
        "box_nm": [list(piece.lo), list(piece.hi)],
        "holes": holes,
    }


def _bolt(bolt: Bolt) -> dict[str, Any]:
    return {
        "joins": list(bolt.joins),
        "bolt": f"{bolt.row}-{bolt.dash}",
        "nut": bolt.nut or None,
        "anchor": bolt.anchor.label if bolt.anchor else None,
        "washers": f"{bolt.washers} {bolt.washer}",
        "grip_nm": bolt.grip,
        "spacer_nm": bolt.spacer or None,
        "hole_nm": bolt.hole,
        "axis": bolt.axis,
        "at_nm": list(bolt.point),
        "mass_kg": bolt.mass,
    }


def _slip(design: Design) -> dict[str, Any] | None:
    """Travel before the joints' bolts bear; None where it was not measured."""
    slip, found = design.rack.definition.joint.slip, slip_travel(design.rack)
    if slip is None or found is None:
        return None
    return {"document": slip.document, "free_turn_rad": found[0], "top_travel_m": found[1]}


def _buckling(strength: Strength) -> dict[str, Any]:
    """Of every case with an equilibrium the multiple at which its worst variant buckles; null: at none."""
    return {one.case: {"factor": one.factor if np.isfinite(one.factor) else None, "pretension": one.variant,
                       "mode": one.mode} for one in strength.buckling}  # fmt: skip


def _reactions(strength: Strength) -> dict[str, Any]:
    rows: dict[str, Any] = {}
    for one in strength.reactions:
        found = one.force.tolist() if bool(np.isfinite(one.force).all()) else None  # no equilibrium
        rows.setdefault(one.place, {}).setdefault(one.case, {})[one.pretension] = found
    return rows


def _margin(margin: Margin) -> dict[str, Any]:
    return {
        "margin": margin.margin,
        "mode": margin.mode,
        "level": margin.level,
        "case": margin.case,
        "pretension": margin.pretension,
        "place": margin.place,
        "applied": margin.applied,
        "allowable": margin.allowable,
        "unit": margin.unit,
        "factor": margin.factor,
        "source": margin.source,
        "marks": list(margin.marks),
        "missing": margin.why_missing or None,
        "basis": margin.basis,
        "superseded": margin.superseded or None,
    }


# --- the making of many --------------------------------------------------------------------------


def plan_json(plan: Plan) -> dict[str, Any]:
    """The plan as one JSON document. Lengths end in `_nm` or `_in`, amounts are texts with their currency."""
    return {
        "format": PLAN_FORMAT,
        "caution": DEFERENCE,
        "marks": list(plan.marks),
        "shop": plan.shop.name,
        "demand": [
            {
                "part": design.rack.definition.part,
                "revision": design.rack.definition.revision,
                "quantity": quantity,
            }
            for design, quantity in plan.demand
        ],
        "pieces": [_part(line) for line in plan.parts],
        "feasible": plan.feasible,
        "search": {
            "effort": plan.effort if plan.answers is None else None,
            "stopped_by_clock": plan.stopped_by_clock,
        },
        "saw": {
            name: _section(plan, section, least)
            for (name, section), least in zip(_named(plan), plan.least_levels, strict=True)
        },
        "buy": [
            {"section": section.section, "stock": section.stock, "length_nm": nm, "length_in": _in(nm), "count": n}
            for section in plan.saw
            for nm, n in section.buy
        ],
        "lacking": [
            lacking_json(one, plan.shop, lambda amount, down: money(amount, plan.shop.currency, down))
            for one in plan.lacking
        ],
        "left_out": [
            {
                "bar": one.bar.id, "section": one.bar.section, "stock": one.bar.stock, "heat": one.bar.heat,
                "length_nm": one.bar.length_nm,
                "failed": [
                    {"check": check.name, "required": check.required, "found": check.found} for check in one.failed
                ],
            }
            for one in plan.left_out
        ],
        "balance": _balance(plan.balance),
        "brake": brake_json(plan.blanks, plan.brake, plan.shop),
        "plate": plate_json(plan.plate, plan.shop),
        "mill": mill_json(plan.mill, plan.shop),
        "jig": [jig_json(sheet) for sheet in plan.jig],
        "coat": [coat_json(sheet) for sheet in plan.coat],
        "oven": oven_json(plan.oven),
        "assembly": assembly_json(
            [(design.rack.definition.part, made) for (design, _), made in zip(plan.demand, plan.assembly, strict=True)],
            plan.hardware,
        ),
        "route": route_json(plan.route, plan.shop),
        "price": price_json(plan.price, plan.band, lambda amount: money(amount, plan.shop.currency)),
    }  # fmt: skip


def _named(plan: Plan) -> list[tuple[str, CuttingPlan]]:
    """Sections by name; with the specification where one section is needed in two."""
    names = [section.section for section in plan.saw]
    return [
        (f"{one.section} ({one.stock})" if names.count(one.section) > 1 else one.section, one)
        for one in plan.saw
    ]


def _part(line: PartLine) -> dict[str, Any]:
    return {
        "part_number": line.part, "design": line.design, "title": line.title, "quantity": line.quantity,
        "section": line.section, "stock": line.stock, "sawn": line.length_nm is not None,
        "cut_length_nm": line.length_nm,
        "cut_length_in": None if line.length_nm is None else _in(line.length_nm),
    }  # fmt: skip


def _section(plan: Plan, section: CuttingPlan, least: Levels) -> dict[str, Any]:
    currency, answer = plan.shop.currency, section.answer
    cost, bound, first = section.objective, section.lower_bound, section.first_fit
    proven = answer.optimal
    paid = section.level_price
    value = None if cost is None or paid is None else cost - paid
    return {
        "stock": section.stock,
        "status": section.status,
        "objective": money(cost, currency),
        "lower_bound": money(value, currency) if proven else money(bound, currency, down=True),
        "lower_bound_of": "the problem on the planning grid, with the kerf at its upper value",
        "bound_how": answer.bound_how,
        "gap": section.gap,
        "slack": money(None if value is None or bound is None else value - bound, currency),
        "paid_for_fewer_bars_and_stop_moves": money(paid, currency),
        "first_fit": money(first, currency),
        "first_fit_more": money(None if cost is None or first is None else first - cost, currency),
        "objective_units": answer.objective,
        "lower_bound_units": answer.lower_bound,
        "first_fit_units": answer.first_objective,
        "grid_nm": plan.shop.style.grid,
        "kerf_nm": section.job.kerf_nm,
        "bars_opened": answer.bars_opened,
        "bars_at_least": least.bars,
        "stop_moves": answer.stop_moves,
        "stop_moves_at_least": least.stop_moves,
        "heats_at_least_by_rack": 1,
        "heats_by_rack": {str(rack): list(heats) for rack, heats in section.heats.items()},
        "bars": [_bar(bar, plan.shop.saw) for bar in section.bars],
        "missing": [
            {"rack": slot.rack, "design": slot.design, "piece": slot.piece, "part_number": slot.part}
            for slot in section.missing
        ],
        "balance": _balance(section.balance),
    }


def _bar(bar: CutBar, saw: Saw) -> dict[str, Any]:
    return {
        "bar": bar.bar, "kind": bar.kind, "heat": bar.heat, "certificate": bar.certificate, "location": bar.location,
        "measured_nm": bar.measured_nm, "trim_nm": bar.trim_nm,
        "cuts": [
            {
                "rack": cut.slot.rack, "design": cut.slot.design, "piece": cut.slot.piece,
                "part_number": cut.slot.part, "length_nm": cut.length_nm, "stop_nm": cut.stop_nm,
                "kerf_nm": cut.kerf_nm, "left_nm": cut.left_nm,
            } | _mitred(cut)
            for cut in bar.cuts
        ],
        "rest": "remnant" if bar.keeps_rest else "scrap", "rest_nm": bar.rest_nm,
        "slack_nm": bar.rest_nm - saw.bar_length_uncertainty - saw.clamp_tail,
    }  # fmt: skip


def _mitred(cut: Cut) -> dict[str, Any]:
    """Ends of a mitred piece; nothing of a square one."""
    if cut.mitre is None:
        return {}
    return {
        "mitre_deg": [round(degrees(angle), 6) for angle in cut.mitre.angles], "long_nm": cut.mitre.long,
        "short_nm": cut.mitre.short, "ends_lean_one_way": cut.mitre.same_way,
    }  # fmt: skip


def _balance(balance: Balance) -> dict[str, int]:
    return {
        "received_nm": balance.received, "pieces_nm": balance.pieces, "kerf_nm": balance.kerf,
        "trim_nm": balance.trim, "remnant_nm": balance.remnant, "scrap_nm": balance.scrap,
    }  # fmt: skip


def _in(nm: int) -> float:
    return round(float(Fraction(nm, NM_PER_M) / unit_factor("in")), 6)
