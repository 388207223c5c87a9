"""The rack on the scales: readings under its four pads beside the mass that was computed for it.

How far the two may be apart is common practice, without a source: one percent of the computed mass.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from rackwright.design import Design
from rackwright.pieces.weight import pad_places
from rackwright.rack.model import CORNERS
from rackwright.record import Appended, Refs, State
from rackwright.trouble import Fault, Refusal, Stopped, Where
from rackwright.units import QuantityError, parse_quantity, write_quantity
from rackwright.work.controlled import reads
from rackwright.work.gates import gauge_may_measure, not_the_assembler, person_may
from rackwright.work.keeping.judges.verdicts import AGREEMENT
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import rack_here, rack_may_be_weighed

__all__ = ["AGREEMENT", "Weighing", "from_scales", "weigh"]


@dataclass(frozen=True)
class Weighing:
    """Readings under the four pads (text with unit) and what they come to beside the computed values."""

    readings: Mapping[str, str]
    mass: Fraction  # kg
    computed: Fraction  # kg
    allowed: Fraction  # kg, how far apart they may be
    centre: Mapping[str, str] = field(default_factory=dict)  # as found, and as computed


def from_scales(design: Design, readings: Mapping[str, str]) -> Weighing:
    """The readings of a bare rack, one for each pad. Raises Stopped (RW504, or a quantity's own) with every fault."""
    faults, mass = [], Fraction(0)
    for name in (*CORNERS, *(name for name in readings if name not in CORNERS)):
        where = Where("reading", 0, name)
        if name not in CORNERS:
            faults.append(Fault("RW504", where, f"{name!r:.60} is no pad", f"pads are {', '.join(CORNERS)}"))
        elif name not in readings:
            faults.append(Fault("RW504", where, f"pad {name} has no reading", "read all four scales"))
        else:
            try:
                mass += parse_quantity(readings[name], "mass")
            except QuantityError as error:
                faults.append(Fault(error.code, where, error.found, error.do))
    if faults:
        raise Stopped(faults)
    computed = Fraction(design.bare.mass)
    return Weighing(dict(readings), mass, computed, AGREEMENT * computed, _centre(design, readings, mass))


def _centre(design: Design, readings: Mapping[str, str], mass: Fraction) -> dict[str, str]:
    """The centre of gravity across the pads by the rule of levers, beside the computed one; none of nothing."""
    found, pads = dict[str, str](), pad_places(design.rack)
    for i, axis in enumerate("xy" if mass else ""):
        at = sum(
            float(parse_quantity(text, "mass")) * pads[pad][i] for pad, text in readings.items()
        ) / float(mass)
        found |= {axis: f"{at:.5f} m", f"computed {axis}": f"{float(design.bare.cg[i]):.5f} m"}
    return found


def weigh(station: Station, serial: str, weighing: Weighing, gauge: str, act_id: str = "") -> Appended:
    """Record a weighing; whether it agrees with the computed mass is kept with it.

    Refused while a piece of the rack is not assembled: half a rack weighs something else.
    """

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, "inspector", station.today)
        refused = (
            refused or gauge_may_measure(state, gauge, station.today) or reads(state, gauge, "mass", "scale")
        )
        refused = refused or rack_here(state, serial)
        refused = (
            refused or not_the_assembler(state, station.person, serial) or rack_may_be_weighed(state, serial)
        )
        if refused is not None:
            return refused
        body = {
            "serial": serial, "gauge": gauge, "readings": dict(weighing.readings), "cg": dict(weighing.centre),
            "mass": _kg(weighing.mass), "computed": _kg(weighing.computed),
            "within": abs(weighing.mass - weighing.computed) <= weighing.allowed,
        }  # fmt: skip
        return [Draft("weigh", body, Refs.of(serials=[serial], gauges=[gauge]))]

    return perform(station, "weigh", decide, act_id)


def _kg(value: Fraction) -> str:
    return write_quantity(Fraction(round(value * 10_000), 10_000), "kg", "mass")
