"""The checks put to a vibrating rack: peak strength, not fatigue.

Ranges are those of `in_vibration`. Metal is held to ultimate at the factor of safety of the basis, and to yield at
the peaks themselves. Judged are the checks whose demand is linear in the motion; prying is taken at its most and
stays proportional. Not judged here are the strap's chain to the floor and the floor, stability of the whole frame, and
room: room has its own rows, and strap and chain no rating in vibration by any document but that of the strap.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from rackwright.pieces.build import Pieces
from rackwright.rack.model import Rack
from rackwright.reference.rows import Factor
from rackwright.strength.analyse import solved
from rackwright.strength.cases import LoadCase
from rackwright.strength.checks.equipment import equipment
from rackwright.strength.checks.feet import feet
from rackwright.strength.checks.gusset import gussets
from rackwright.strength.checks.isolators import isolators
from rackwright.strength.checks.joint import joints
from rackwright.strength.checks.legs import legs
from rackwright.strength.checks.panel import panels
from rackwright.strength.checks.panel_screws import panel_screws
from rackwright.strength.checks.rail import rails
from rackwright.strength.checks.rings import rings
from rackwright.strength.checks.shelf import shelves
from rackwright.strength.checks.spigot import spigots
from rackwright.strength.checks.tube import tubes
from rackwright.strength.evidence import covers
from rackwright.strength.factors import safety_row
from rackwright.strength.margin import Margin
from rackwright.strength.own_rows import marked
from rackwright.strength.rack_frame import RackFrame
from rackwright.strength.run import Run
from rackwright.strength.vibration.in_vibration import CASE, AtRest, Shakes, in_vibration

__all__ = ["SHAKEN_CHECKS", "at_rest", "vibration_margins"]

STATIC = (
    "test {} is one static pull, evidence of what load cases ask and of no load that comes again and again"
)
SHAKEN_CHECKS: tuple[Callable[[Run], Iterator[Margin]], ...] = (
    tubes, joints, gussets, spigots, shelves, panels, panel_screws, legs, equipment, isolators, rails, rings, feet,
)  # fmt: skip


def vibration_margins(rest: AtRest, shakes: Sequence[Shakes]) -> tuple[tuple[Margin, ...], str]:
    """The margins of every check under the floor's motion; none, and why."""
    safety = safety_row(rest.rack)
    if safety is None or safety.value is None:
        return (), "the basis names no factor of safety on limit loads"
    loose = next((why for (why,) in rest.response.loose if why is not None), None)
    if loose is not None:
        return (), f"the rack is loose at rest: {loose}"
    run = in_vibration(rest, shakes, safety.value, safety.unconfirmed)
    if isinstance(run, str):
        return (), run
    if run.why_not_linear:
        return (), f"{run.why_not_linear}, and the linear model does not hold"
    judged = [margin for check in SHAKEN_CHECKS for margin in check(run)]
    return marked(rest.rack, [_explained(rest.rack, safety, _one_case(margin)) for margin in judged]), ""


def at_rest(rack: Rack, pieces: Pieces, model: RackFrame) -> AtRest:
    """The rack under its weight, at every pretension, with every joint and at every corner of its tolerances."""
    down = np.array([0.0, 0.0, -1.0])
    case = LoadCase(CASE, "limit", down, down, "", False)
    run = solved(rack, pieces, model, (case,))
    return AtRest(
        run.rack, run.pieces, run.model, run.cases, run.solution, run.fitting_factor, run.factor_source
    )


def _explained(rack: Rack, safety: Factor, margin: Margin) -> Margin:
    """An ultimate one names the factor of safety that it rests on; a missing one the tests that say nothing here."""
    if margin.margin is not None:
        factor = f"; factor of safety {safety.id}" if margin.level == "ultimate" else ""
        return replace(margin, source=f"{margin.source}{factor}")
    tests = ", ".join(test.name for test in rack.definition.evidence if covers(test, margin))
    return replace(margin, why_missing=f"{margin.why_missing}; {STATIC.format(tests)}") if tests else margin


def _one_case(margin: Margin) -> Margin:
    """Both ends of the range are one case."""
    least = min((value for _, value in margin.by_case), default=None)
    return replace(margin, by_case=() if least is None else ((CASE, least),))
