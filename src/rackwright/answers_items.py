"""What a person sees of a rack's items and of the tests that stand for it: parts of `prove`'s document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from rackwright.pieces.model import AXES
from rackwright.pieces.near_edges import NearEdge, said_of
from rackwright.pieces.oven_time import KnockDown
from rackwright.rack.model import Rack
from rackwright.rack.questions import ASKED_OF_A_TEST
from rackwright.strength.analyse import Strength
from rackwright.strength.evidence import counted_load, covered, needed

__all__ = [
    "after_oven_json", "clearance_json", "evidence_json", "heat_json", "isolators_json", "near_edges_json",
    "needed_json",
]  # fmt: skip

COOLING = "Heat is summed as stated. Whether the rack is cooled, and how warm it gets, is not computed."


def heat_json(rack: Rack) -> dict[str, Any]:
    """Heat of the items, those that state none by name."""
    items = rack.definition.equipment
    return {
        "total_W": sum(item.power or 0.0 for item in items),
        "items_W": {item.name: item.power for item in items if item.power is not None},
        "not_stated": [item.name for item in items if item.power is None],
        "caution": COOLING,
    }


def after_oven_json(left: Sequence[KnockDown]) -> dict[str, Any]:
    """What the oven leaves of each material's strengths, as all margins count it: Pa and shares of 1."""
    found: dict[str, Any] = {}
    for one in left:
        found.setdefault(one.material, {})[one.name] = {
            "share": one.share, "left_Pa": one.left, "why": one.why, "marks": list(one.marks),
        }  # fmt: skip
    return found


def near_edges_json(near: Sequence[NearEdge]) -> dict[str, Any]:
    """Holes that may be read within their limits where there is no bearing strength, in diameters from the edge."""
    holes = {
        f"{one.piece}/{one.hole}": {"drawn": round(one.drawn, 4), "at_tolerance": round(one.worst, 4)}
        for one in near
    }
    return {"holes": holes, "said": said_of(near)}


def evidence_json(rack: Rack, strength: Strength) -> dict[str, Any]:
    """Every test with the margins that it names and the load it counts with."""
    names = covered(rack, strength.margins)
    return {
        test.name: {
            "covers": list(names[test.name]),
            "article": f"{test.article} revision {test.article_revision}",
            "result": test.result,
            "counts_with": counted_load(test) if test.metal_ratio is not None else None,
            "unit": "N" if test.force is not None else "N*m",
            "report": test.report,
            "not_stated": [name for name in ASKED_OF_A_TEST if getattr(test, name) is None],
        }
        for test in rack.definition.evidence
    }


def clearance_json(strength: Strength) -> dict[str, Any]:
    """What is left between each item and what comes nearest by load, in the deflected rack."""
    rows: dict[str, Any] = {}
    for one in strength.margins:
        if "/clearance" in one.id and one.applied is not None and one.allowable is not None:
            rows.setdefault(one.piece.removeprefix("equipment."), {})[one.level] = {
                "between": one.place, "nominal_m": one.allowable, "closing_m": one.applied,
                "remaining_m": one.allowable - one.applied, "case": one.case, "pretension": one.pretension,
            }  # fmt: skip
    return rows


def isolators_json(strength: Strength) -> dict[str, Any]:
    """Where each item on isolators comes to in each case, past its seat, beside its sway space: told, and no margin.

    The most over all variants, rack axes.
    """
    rows: dict[str, Any] = {}
    run, loose = strength.run, dict(strength.loose)
    for name, one in {} if run is None else run.on_isolators.items():
        stated = np.isfinite(one.sway).all()
        cases: dict[str, Any] = {}
        rows[name] = {
            "sway_m": dict(zip(AXES, one.sway.tolist(), strict=True)) if stated else None,
            "cases": cases,
        }
        for c, case in enumerate(strength.cases):
            if case.id in loose or np.isnan(one.shift[:, c]).any():
                continue
            turn = np.arccos(np.clip(np.trace(one.tilt[:, c], axis1=1, axis2=2) / 2 + 1, -1, 1)).max()
            cases[case.id] = {
                "travel_m": dict(zip(AXES, np.abs(one.stretch[:, c]).max(axis=(0, 1)).tolist(), strict=True)),
                "on_its_stop": [axis for n, axis in enumerate(AXES) if one.on_stop[:, c, :, n].any()],
                "turns_deg": float(np.degrees(turn)),
                "centre_moves_m": float(np.linalg.norm(one.shift[:, c], axis=-1).max()),
                "isolator_holds_N": float(np.linalg.norm(one.force[:, c], axis=-1).max()),
            }  # fmt: skip
    return rows


def needed_json(strength: Strength) -> dict[str, Any]:
    """What a test would have to show, for every margin that is missing for want of a value."""
    return {
        one.margin.id: {
            "why": one.why, "load": one.load, "unit": one.unit, "factor": one.factor,
            "load_with_factor": None if one.load is None else one.load * one.factor,
            "case": one.margin.case, "pretension": one.margin.pretension, "place": one.margin.place,
        }
        for one in needed(strength.margins)
    }  # fmt: skip
