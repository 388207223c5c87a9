"""Inspection: a characteristic is measured with a gauge in calibration, by someone who did not make it."""

from __future__ import annotations

from fractions import Fraction

from rackwright.pieces.characteristics import Characteristic
from rackwright.record import Appended, Refs, State
from rackwright.trouble import Fault, Refusal, Stopped, Where
from rackwright.units import NM_PER_M, QuantityError, parse_quantity, write_quantity
from rackwright.work.gates import first, gauge_may_measure, no, person_may, within
from rackwright.work.sawing import piece_id
from rackwright.work.station import Draft, Station, perform

__all__ = ["INSPECTOR", "measure"]

INSPECTOR = "inspector"


def measure(
    station: Station,
    serial: str,
    characteristic: Characteristic,
    value: str,
    gauge: str,
    unit: str = "in",
    act_id: str = "",
) -> Appended:
    """Record a measured value (`number unit`), unrounded, with whether it lies within the limits."""
    try:
        exact = parse_quantity(value, "length")
    except QuantityError as error:
        raise Stopped([Fault(error.code, Where("value"), error.found, error.do)]) from None
    piece = piece_id(serial, characteristic.piece)
    low, high, nominal = (
        write_quantity(_metres(nm), unit, "length")
        for nm in (characteristic.low, characteristic.high, characteristic.nominal)
    )

    def decide(state: State) -> list[Draft] | Refusal:
        made = state.pieces.get(piece)
        refused = first(person_may(state, station.person, INSPECTOR, station.today),
                        gauge_may_measure(state, gauge, station.today))  # fmt: skip
        if refused is None and made is None:
            refused = no("RW503", piece, f"{piece} is not in the record", "check the label")
        if refused is None and made is not None and station.person in made.makers:
            refused = no(
                "RW516", piece, f"{station.person} made {piece}", "another inspector must measure it"
            )
        if refused is not None:
            return refused
        body = {"piece": piece, "serial": serial, "characteristic": characteristic.name, "value": value.strip(),
                "nominal": nominal, "lower": low, "upper": high, "gauge": gauge,
                "within": within(exact, _metres(characteristic.low), _metres(characteristic.high))}  # fmt: skip
        return [Draft("measure", body, Refs.of(pieces=[piece], serials=[serial], gauges=[gauge]))]

    return perform(station, "measure", decide, act_id)


def _metres(nm: int) -> Fraction:
    return Fraction(nm, NM_PER_M)
