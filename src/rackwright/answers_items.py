"""What a person sees of a rack's items and of the tests that stand for it: parts of `prove`'s document."""

from __future__ import annotations

from typing import Any

from rackwright.rack.model import Rack
from rackwright.rack.questions import ASKED_OF_A_TEST
from rackwright.strength.analyse import Strength
from rackwright.strength.evidence import counted_load, covered, needed

__all__ = ["clearance_json", "evidence_json", "heat_json", "needed_json"]

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
