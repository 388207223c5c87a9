"""Inspection: characteristics are measured with a gauge in calibration, by someone who did not make the piece.

What a GO/NO-GO gauge answers is yes or no, written out: a blank is not yes.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from rackwright.pieces.characteristics import NO, RACK, YES, Characteristic, shown
from rackwright.record import Appended, Refs, State
from rackwright.trouble import Fault, Refusal, Stopped, Where
from rackwright.units import QuantityError, parse_quantity
from rackwright.work.controlled import by_the_rule, reads, rule_of
from rackwright.work.gates import (
    first,
    gauge_may_measure,
    no,
    not_the_assembler,
    person_may,
    within,
)
from rackwright.work.guard_band import guarded, written
from rackwright.work.hold_points import rack_points_signed
from rackwright.work.metal.sawing import piece_id
from rackwright.work.people.founding import INSPECTOR
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import not_its_maker, rack_here

__all__ = ["INSPECTOR", "measure", "not_the_maker"]

Readings = Mapping[Characteristic, str]  # `number unit` as read, unrounded


def measure(
    station: Station,
    serial: str,
    readings: Readings,
    gauge: str,
    act_id: str = "",
    guard_band: float | None = None,
) -> Appended:
    """Record what one gauge read on one piece (or on the assembled rack), each with whether it lies within by the
    shop's decision rule: its limits moved inward by r times the gauge's uncertainty. r is that of the shop as frozen
    with the rack's revision (0 where that states none); a `guard_band` that is another is refused.

    Raises Stopped: a reading that is no quantity (RW104, RW105) or, by a GO/NO-GO gauge, neither yes nor no (RW106);
    a gauge whose uncertainty is not stated where the rule needs it (RW512); or the gate's refusal.
    """
    exact = _exact(readings)
    names = {one.piece for one in readings}
    if len(names) != 1:
        raise ValueError("the readings of one act are of one piece")
    name = names.pop()
    piece = "" if name == RACK else piece_id(serial, name)

    def decide(state: State) -> list[Draft] | Refusal:
        r = float(rule_of(state, serial) or 0) if guard_band is None else guard_band
        refused = first(
            person_may(state, station.person, INSPECTOR, station.today),
            gauge_may_measure(state, gauge, station.today),
            not_the_maker(state, station, serial, piece),
            by_the_rule(state, serial, written(r)),
            *(_can_decide(state, gauge, one, r) for one in exact),
            *(reads(state, gauge, one.dimension, one.gauge, one.name) for one in exact if not one.by_gauge),
        )
        if refused is not None:
            return refused
        refs = Refs.of(pieces=[piece], serials=[serial], gauges=[gauge])
        made, known = [], state.gauges.get(gauge)
        for one, text in readings.items():
            if one.by_gauge:
                body = _checked(one, text, serial, gauge)
            else:
                body = _body(one, text, serial, gauge)
                body |= _decided(one, exact[one], r, known.uncertainty if known else "")
            about = {"piece": piece} if piece else {}
            made.append(Draft("gauge_check" if one.by_gauge else "measure", body | about, refs))
        return made

    return perform(station, "measure", decide, act_id)


def _exact(readings: Readings) -> dict[Characteristic, Fraction]:
    values, faults = {}, []
    for one, text in readings.items():
        if one.by_gauge:
            if text.strip() not in (YES, NO):
                do = "write yes where GO entered and NO-GO did not in every one, else no; a blank is not yes"
                faults.append(
                    Fault("RW106", Where("reading", 0, one.id), f"{text!r:.60} is neither yes nor no", do)
                )
            continue
        try:
            values[one] = parse_quantity(text, one.dimension)
        except QuantityError as error:
            faults.append(Fault(error.code, Where("reading", 0, one.id), error.found, error.do))
    if faults:
        raise Stopped(faults)
    return values


def not_the_maker(state: State, station: Station, serial: str, piece: str) -> Refusal | None:
    """Who made a piece, or tightened a joint of a rack (`piece` ""), does not measure it; nor is a rack measured before
    its assembly is signed off."""
    if not piece:
        known = rack_here(state, serial) or not_the_assembler(state, station.person, serial)
        return known or rack_points_signed(state, serial, ("assemble",))
    return not_its_maker(state, station.person, piece)


def _can_decide(state: State, gauge: str, one: Characteristic, guard_band: float) -> Refusal | None:
    """With a guard band, a gauge without stated uncertainty decides nothing."""
    known = state.gauges.get(gauge)
    if not guard_band or known is None or guarded(one, guard_band, known.uncertainty) is not None:
        return None
    found = (
        f"gauge {gauge} states no uncertainty in a unit of {one.dimension}, and {one.name} is decided with it"
    )
    do = f"record its calibration with it, as uncertainty='0.001 {one.unit}'; or use another gauge"
    return no("RW512", gauge, found, do)


def _checked(one: Characteristic, text: str, serial: str, gauge: str) -> dict[str, object]:
    return {"serial": serial, "characteristic": one.name, "asked": one.asks, "passed": text.strip() == YES,
            "gauge": gauge}  # fmt: skip


def _body(one: Characteristic, text: str, serial: str, gauge: str) -> dict[str, object]:
    limits = {"nominal": one.nominal, "lower": one.low, "upper": one.high}
    said: dict[str, object] = {
        "serial": serial,
        "characteristic": one.name,
        "value": text.strip(),
        "gauge": gauge,
    }
    return said | {name: shown(one, limit) for name, limit in limits.items() if limit is not None}


def _decided(one: Characteristic, value: Fraction, guard_band: float, uncertainty: str) -> dict[str, object]:
    """The verdict with the rule of now; what lies within the limits alone is undecided, and not within."""
    inside = within(value, one.low, one.high)
    limits = guarded(one, guard_band, uncertainty) if guard_band else None
    if limits is None:
        return {"within": inside, "guard": {"r": "0"}}
    guard: dict[str, object] = {"r": written(guard_band), "uncertainty": limits.uncertainty}
    guard |= {name: text for name, text in (("lower", limits.lower), ("upper", limits.upper)) if text}
    held = limits.holds(value, one.dimension)
    return {"within": held, "guard": guard | ({"undecided": True} if inside and not held else {})}
