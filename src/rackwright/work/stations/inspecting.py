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
from rackwright.work.gates import (
    first,
    gauge_may_measure,
    not_the_assembler,
    person_may,
    serial_known,
    within,
)
from rackwright.work.metal.sawing import piece_id
from rackwright.work.people.founding import INSPECTOR
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import not_its_maker

__all__ = ["INSPECTOR", "measure", "not_the_maker"]

Readings = Mapping[Characteristic, str]  # `number unit` as read, unrounded


def measure(station: Station, serial: str, readings: Readings, gauge: str, act_id: str = "") -> Appended:
    """Record what one gauge read on one piece (or on the assembled rack), each with whether it lies within.

    Raises Stopped: a reading that is no quantity (RW104, RW105) or, by a GO/NO-GO gauge, neither yes nor no (RW106);
    or the gate's refusal.
    """
    exact = _exact(readings)
    names = {one.piece for one in readings}
    if len(names) != 1:
        raise ValueError("the readings of one act are of one piece")
    name = names.pop()
    piece = "" if name == RACK else piece_id(serial, name)

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, INSPECTOR, station.today, "measure"),
            gauge_may_measure(state, gauge, station.today),
            not_the_maker(state, station, serial, piece),
        )
        if refused is not None:
            return refused
        refs = Refs.of(pieces=[piece], serials=[serial], gauges=[gauge])
        return [_draft(one, text, exact, serial, piece, gauge, refs) for one, text in readings.items()]

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
    """Who made a piece, or tightened a joint of a rack (`piece` ""), does not measure it."""
    if not piece:
        return serial_known(state, serial) or not_the_assembler(state, station.person, serial)
    return not_its_maker(state, station.person, piece)


def _draft(
    one: Characteristic, text: str, exact: Mapping[Characteristic, Fraction], serial: str, piece: str, gauge: str,
    refs: Refs,
) -> Draft:  # fmt: skip
    if not one.by_gauge:
        return Draft("measure", _body(one, text, exact[one], serial, piece, gauge), refs)
    body: dict[str, object] = {
        "serial": serial, "characteristic": one.name, "asked": one.asks, "passed": text.strip() == YES, "gauge": gauge,
    }  # fmt: skip
    return Draft("gauge_check", body | ({"piece": piece} if piece else {}), refs)


def _body(
    one: Characteristic, text: str, value: Fraction, serial: str, piece: str, gauge: str
) -> dict[str, object]:
    body: dict[str, object] = {
        "serial": serial, "characteristic": one.name, "value": text.strip(), "gauge": gauge,
        "within": within(value, one.low, one.high),
    }  # fmt: skip
    if piece:
        body["piece"] = piece
    for name, limit in (("nominal", one.nominal), ("lower", one.low), ("upper", one.high)):
        if limit is not None:
            body[name] = shown(one, limit)
    return body
