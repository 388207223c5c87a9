"""Load cases: which inertia acts on the rack, from the basis a person entered and the customer's own cases.

Emergency-landing factors are ultimate and act separately, one direction at a time; gravity is not added to
them. The mass is thrown in the direction that the rule names. A customer's flight, ground or handling case at limit is
run at limit for yield, and times the factor of safety of the basis at ultimate; limit and ultimate are never mixed.
Directions are the aircraft's; one function turns them into rack axes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas.loads import G0
from rackwright.rack import aircraft_axes
from rackwright.rack.model import Rack
from rackwright.reference.rows import Factor
from rackwright.strength.factors import safety_row

__all__ = ["NO_LIMIT_CASE", "LoadCase", "load_cases", "no_limit_case"]

NO_LIMIT_CASE = (
    "Only ultimate cases are given. No limit case exists here, so no margin at yield is shown; limit cases (gust, "
    "manoeuvre, landing) come from the aircraft's own data."
)
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
    safety = safety_row(rack)
    cases: list[LoadCase] = []
    if d.basis is not None:
        rule = rack.rows.load_rules[f"{d.basis.rule}@{d.basis.amendment}"]
        source = f"{rule.cited}, entered by {d.basis.document}"
        for direction, factor in rule.factors().items():
            for name, way in DIRECTIONS[direction]:
                if factor is not None:
                    g = np.array(way) * factor
                    kind = "ultimate" if rule.ultimate else "limit"
                    cases += _runs(f"emergency/{name}", kind, g, turn, source, rule.unconfirmed, safety)
    for case in d.case:
        g = np.array([case.forward, case.left, case.up])
        stage = f"{case.stage} case, " if case.stage else ""
        cases += _runs(f"customer/{case.name}", case.kind, g, turn, stage + case.document, False, safety)
    return tuple(cases)


def no_limit_case(cases: tuple[LoadCase, ...]) -> bool:
    return not any(case.kind == "limit" for case in cases)


def _runs(
    id: str, kind: str, g: Vector, turn: Vector, source: str, unconfirmed: bool, safety: Factor | None
) -> list[LoadCase]:
    if kind == "ultimate":
        return [LoadCase(id, "ultimate", g, turn @ g, source, unconfirmed)]
    runs = [LoadCase(f"{id}/limit", "limit", g, turn @ g, source, unconfirmed)]
    if safety is not None and safety.value is not None:
        most = safety.value * g
        said = f"{source}; times {safety.value:g} by {safety.id}"
        doubt = unconfirmed or safety.unconfirmed
        runs.append(LoadCase(f"{id}/ultimate", "ultimate", most, turn @ most, said, doubt))
    return runs
