"""A rack warmer or colder than when it was fixed: what then does not fit.

Floor, frame and straps are each at one temperature T, T₀ as the rack was fixed. Had all of them the floor's expansion
α, everything would grow to scale and nothing be pressed; so everything is seen from a floor that keeps its size, and
only differences of strain count (Boley & Weiner, Theory of Thermal Stresses, ch. 1: a free strain that is linear in
place is without stress):
    frame (αframe - αfloor)(T - T₀),    strap (αstrap - αfloor)(T - T₀).
Members grow with their stiff ends, the eye of a strap with its ring, a pad and a foot with the block over it. Floor
fittings are taken to grow as the floor does, up as well as across.

Each state is a variant beside those of pretension and joints, so that every case is met as fixed, hot and cold.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.rack.model import Rack
from rackwright.rack.temperature import ROOM

__all__ = ["State", "share_left", "states"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class State:
    """One temperature: its name as it follows a variant's, and free strains beyond the floor's."""

    name: str
    kelvin: float
    frame: float
    straps: Array  # (straps,)


def states(rack: Rack) -> tuple[State, ...]:
    """As fixed first, then hot and cold where they differ from it; as fixed alone where no temperature is given."""
    d, given = rack.definition, rack.definition.temperature
    if given is None:
        return (State("", np.nan, 0.0, np.zeros(len(d.strap))),)
    floor, frame = (one.per_kelvin(rack.rows) for one in (given.floor, given.frame))
    own = {
        kind.name: kind.expansion.per_kelvin(rack.rows) if kind.expansion else 0.0 for kind in d.strap_type
    }
    straps = np.array([own[strap.type] for strap in d.strap])
    found = [State("", given.fixed.at, 0.0, 0.0 * straps)]
    for name, kelvin in (("hot", given.hot.at), ("cold", given.cold.at)):
        if kelvin != given.fixed.at:
            by = kelvin - given.fixed.at
            found.append(State(f", {name}", kelvin, (frame - floor) * by, (straps - floor) * by))
    return tuple(found)


def share_left(rack: Rack, kelvin: float) -> float:
    """Share of the reference rows' strength at a temperature, 1 up to `ROOM`; not a number where none is stated."""
    given = rack.definition.temperature
    if given is None or kelvin <= ROOM:
        return 1.0
    return given.left.share if given.left is not None else np.nan
