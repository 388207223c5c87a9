"""The question turned round: how much may a shelf carry, where may a strap end, which tube is enough?

    stretch.py      how far one number may go while every margin holds, to 0.1 %, on the safe side
    payload.py      largest masses, all together, and mass against the place of the centre of gravity
    straps.py       where a floor fitting may lie and the cone of its straps
    tubes.py        the smallest tube of a list

Each answer is found with the computation that proves the rack (`strength/vary.py`) and names the check that governs
at its boundary. May import: what `strength` may.
"""

from rackwright.strength.inverse.payload import (
    Boundary,
    Payload,
    Together,
    asked,
    envelope,
    payloads,
    places,
    together,
)
from rackwright.strength.inverse.straps import Cone, FittingRange, fitting_ranges
from rackwright.strength.inverse.stretch import CLOSE, Stretch
from rackwright.strength.inverse.tubes import TubeTried, tubes_tried

__all__ = [
    "CLOSE",
    "Boundary",
    "Cone",
    "FittingRange",
    "Payload",
    "Stretch",
    "Together",
    "TubeTried",
    "asked",
    "envelope",
    "fitting_ranges",
    "payloads",
    "places",
    "together",
    "tubes_tried",
]
