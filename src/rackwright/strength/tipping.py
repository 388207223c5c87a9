"""A case that nothing holds, in the words of someone who has to hold it: at how many g it lets go, and over what.

The rack stands under its own weight, 1 g down, and the case grows on top of that. The last multiple that straps and
pads can balance is enclosed by solving many at once and again between two of them. What presses just before it goes
says what it tips about. Without friction a rack on pads alone slides at nothing; then there is no such multiple, and
the loose motion itself is told.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.loads import G0
from rackwright.rack import aircraft_axes
from rackwright.rack.model import Rack
from rackwright.strength.cases import LoadCase
from rackwright.strength.frame import Cases, solve
from rackwright.strength.rack_frame import RackFrame

__all__ = ["lets_go"]

AT_ONCE = 32
ROUNDS = 3  # each narrows by AT_ONCE


def lets_go(rack: Rack, model: RackFrame, case: LoadCase) -> str:
    """When a case without equilibrium lets go, at low pretension; nothing where its weight alone is not held, or where
    the case beside its weight is."""
    frame, weight = model.frame.variant(0), np.array([0.0, 0.0, -G0])
    low, high = 0.0, 1.0
    pressed = np.zeros(0)
    for _ in range(ROUNDS):
        by = np.linspace(low, high, AT_ONCE + 1)
        found = solve(frame, Cases(weight + by[:, None] * case.inertia))
        stands = np.array([why is None for why in found.loose[0]])
        if not stands[0] or stands.all():
            return ""
        first = int(np.argmin(stands))
        low, high, pressed = float(by[first - 1]), float(by[first]), found.pad_force[0, first - 1]
    at = low * float(np.linalg.norm(case.rack))
    return f"with its own weight on it, it {_over(rack, model, pressed)} at {at:.3g} g"


def _over(rack: Rack, model: RackFrame, pressed: np.ndarray) -> str:
    """What it tips about: the pads that still press."""
    aircraft = rack.definition.aircraft
    most = float(pressed.max(initial=0.0))
    if most <= 0 or aircraft is None:
        return "lifts off its pads"
    places = model.frame.xyz[0, model.frame.pads.node] @ aircraft_axes(aircraft.forward).T
    side = places - places.mean(axis=0)
    on = pressed > 1e-3 * most
    for axis, names in ((0, ("forward", "aft")), (1, ("left", "right"))):
        for sign, name in zip((1, -1), names, strict=True):
            if on.any() and (sign * side[on, axis] > 0).all() and not on.all():
                return f"tips about its {name} pads"
    return "lets go of its pads"
