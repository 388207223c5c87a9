"""What a gauge decided since it was last good: every value it gave, the one nearest to a limit first.

Last good is the day stated when it was found bad, else that of its last calibration in the record. How near is the
distance to the nearer limit over the width between both, or over the limit itself where there is one: the smaller, the
less of an error of the gauge turns the verdict. A GO/NO-GO answer has no distance and stands first.
"""

from __future__ import annotations

from collections.abc import Container, Iterable
from fractions import Fraction

from rackwright.record import Event, State
from rackwright.record.state import Measurement
from rackwright.units import QuantityError, parse_quantity

__all__ = ["last_good", "near", "readings_of", "steps_by"]

DIMENSIONS = ("length", "angle", "resistance", "mass", "moment")


def last_good(state: State, gauge: str) -> str:
    """The day from which its values are in doubt, "" for a gauge that was not found bad: then it is all of them."""
    known = state.gauges.get(gauge)
    return known.bad_since if known else ""


def readings_of(state: State, gauge: str) -> list[tuple[Measurement, float | None]]:
    """Its readings from that day on, each with its share of the tolerance left; None where that has no number."""
    since = last_good(state, gauge)
    rows = [(one, near(one)) for one in state.measurements if one.gauge == gauge and one.at[:10] >= since]
    return sorted(rows, key=lambda row: (row[1] is not None, row[1] or 0.0, row[0].seq))


def steps_by(events: Iterable[Event], state: State, gauge: str) -> list[tuple[Event, float | None]]:
    """Every step since then that it decided without giving a reading (a stop, a die, a wrench), each with the
    least share of tolerance left of any reading on its pieces; first those of which nothing was measured."""
    since, told = (
        last_good(state, gauge),
        ("measure", "gauge_check", "gauge", "gauge_bad", "refusal", "correction"),
    )
    done = [
        one for one in events if gauge in one.refs.gauges and one.type not in told and one.at[:10] >= since
    ]
    rows = [
        (one, _nearest(state, {*one.refs.pieces, *([] if one.refs.pieces else one.refs.serials)}))
        for one in done
    ]
    return sorted(rows, key=lambda row: (row[1] is not None, row[1] or 0.0, row[0].seq))


def _nearest(state: State, names: Container[str]) -> float | None:
    found = [near(one) for one in state.measurements if (one.piece or one.serial) in names]
    return min((share for share in found if share is not None), default=None)


def near(one: Measurement) -> float | None:
    """The distance of a reading to its nearer limit as a share of its tolerance, below zero outside of it."""
    value, low, high = (_number(text) for text in (one.value, one.lower, one.upper))
    if value is None or (low is None and high is None):
        return None
    ways = [
        way
        for way in (None if low is None else value - low, None if high is None else high - value)
        if way is not None
    ]
    width = abs((high or Fraction(0)) - (low or Fraction(0)))
    return float(min(ways) / width) if width else None


def _number(text: str) -> Fraction | None:
    for dimension in DIMENSIONS if text else ():
        try:
            return parse_quantity(text, dimension)
        except QuantityError:
            continue
    return None
