"""Load cases: which inertia acts on the rack, from the basis a person entered and the customer's own cases.

Emergency-landing factors are ultimate and act separately, one direction at a time; gravity is not added to
them. The mass is thrown in the direction that the rule names. A customer's limit case is run at limit for
yield and times the factor of safety 1.5 at ultimate; limit and ultimate are never mixed. Directions are the
aircraft's; one function turns them into rack axes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas.loads import G0
from rackwright.rack import aircraft_axes
from rackwright.rack.model import Rack
from rackwright.reference import factors, load_rules

__all__ = ["FACTOR_OF_SAFETY", "LoadCase", "fitting_factor", "load_cases"]

FACTOR_OF_SAFETY = "29.303"  # the row of the factor of safety on limit loads
Vector = NDArray[np.float64]

#: direction of a rule -> cases: name and aircraft axes (forward, left, up)
DIRECTIONS: dict[str, tuple[tuple[str, tuple[int, int, int]], ...]] = {
    "forward": (("forward", (1, 0, 0)),),
    "aft": (("aft", (-1, 0, 0)),),
    "side": (("left", (0, 1, 0)), ("right", (0, -1, 0))),
    "up": (("up", (0, 0, 1)),),
    "down": (("down", (0, 0, -1)),),
}


@dataclass(frozen=True, eq=False)
class LoadCase:
    """One case: factors of g in aircraft axes, the same in rack axes, and who says so."""

    id: str
    kind: str  # "limit" or "ultimate"
    aircraft: Vector  # (3,) multiples of g, forward, left, up
    rack: Vector  # (3,) multiples of g, rack axes
    source: str
    unconfirmed: bool

    @property
    def inertia(self) -> Vector:
        """N/kg in rack axes."""
        return np.asarray(self.rack * G0)


def load_cases(rack: Rack) -> tuple[LoadCase, ...]:
    """Every case that can be computed; none without an orientation."""
    d = rack.definition
    if d.aircraft is None:
        return ()
    turn = aircraft_axes(d.aircraft.forward).T
    cases: list[LoadCase] = []
    if d.basis is not None:
        rule = load_rules()[f"{d.basis.rule}@{d.basis.amendment}"]
        source = f"14 CFR {d.basis.rule} as amended by {d.basis.amendment}, entered by {d.basis.document}"
        for direction, factor in rule.factors().items():
            for name, way in DIRECTIONS[direction]:
                if factor is not None:
                    g = np.array(way) * factor
                    kind = "ultimate" if rule.ultimate else "limit"
                    cases += _runs(f"emergency/{name}", kind, g, turn, source, rule.unconfirmed)
    for case in d.case:
        g = np.array([case.forward, case.left, case.up])
        cases += _runs(f"customer/{case.name}", case.kind, g, turn, case.document, False)
    return tuple(cases)


def _runs(id: str, kind: str, g: Vector, turn: Vector, source: str, unconfirmed: bool) -> list[LoadCase]:
    if kind == "ultimate":
        return [LoadCase(id, "ultimate", g, turn @ g, source, unconfirmed)]
    row = factors()[FACTOR_OF_SAFETY]
    doubt = unconfirmed or row.unconfirmed
    return [
        LoadCase(f"{id}/limit", "limit", g, turn @ g, source, unconfirmed),
        LoadCase(f"{id}/ultimate", "ultimate", row.value * g, turn @ (row.value * g), source, doubt),
    ]


def fitting_factor(rack: Rack) -> tuple[float | None, str]:
    """The fitting factor of the basis, and its source; None without a basis."""
    basis = rack.definition.basis
    if basis is None:
        return None, "no certification basis is entered"
    row = factors()[basis.fitting_rule]
    return row.value, f"14 CFR {row.id}, {row.known.how_known}"
