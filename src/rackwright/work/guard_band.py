"""The decision rule: a reading is within when it lies within its limits, each moved inward by the guard band w = r * U.

U is the expanded uncertainty (k = 2) of the gauge as its calibration in the record states it; r is the shop's
(`[inspection] guard_band` in shop.toml), agreed before anything is measured. r = 0 is simple acceptance, r = 1 the
usual guarded one. What lies between a limit moved and the limit is neither in nor out, and does not count as within.
Read: ILAC-G8:09/2019, 4.1 (w is tolerance limit less acceptance limit, at both limits of a two-sided tolerance; w = 0
is simple acceptance) and 4.2.3 (what lies between both is told apart from pass and fail; the rule is agreed first).
From memory: JCGM 106:2012, 8.3.2 (w = r * U).

Limits moved are texts of four decimals, rounded inward: the limit that is printed and recorded is the one that decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

from rackwright.pieces.characteristics import Characteristic
from rackwright.record.state import Gauge
from rackwright.units import QuantityError, parse_quantity, unit_factor
from rackwright.work.outcome import BETTER, PLACES

__all__ = ["Guarded", "guarded", "of_kind", "rule_words", "unable", "written"]

NOISE = 10**9  # steps of its unit that an angle, kept as a float of radians, is rounded to first


@dataclass(frozen=True)
class Guarded:
    """The limits that decide, as texts in the characteristic's unit; "" for none."""

    uncertainty: str
    lower: str
    upper: str

    def holds(self, value: Fraction, dimension: str) -> bool:
        """Does a reading (SI) lie within them? One equal to a limit does."""
        low, high = (parse_quantity(text, dimension) if text else None for text in (self.lower, self.upper))
        return (low is None or value >= low) and (high is None or value <= high)


def guarded(one: Characteristic, r: float, uncertainty: str) -> Guarded | None:
    """The limits of a characteristic moved inward by r * U; None where the gauge states no U in its dimension."""
    try:
        band = Fraction(repr(r)) * parse_quantity(uncertainty, one.dimension)
    except QuantityError:
        return None
    low = "" if one.low is None else _text(one, one.low + band, ceil)
    high = "" if one.high is None else _text(one, one.high - band, floor)
    return Guarded(uncertainty, low, high)


def _text(one: Characteristic, limit: Fraction, inward: Callable[[Fraction], int]) -> str:
    steps = Fraction(round(limit / unit_factor(one.unit) * NOISE), NOISE) * 10**PLACES
    return f"{Decimal(inward(steps)).scaleb(-PLACES):.{PLACES}f} {one.unit}"


def written(r: float) -> str:
    """r as the record keeps it: 1, 0.5, 0."""
    return f"{Decimal(repr(r)).normalize():f}"


def rule_words(r: float) -> str:
    """The rule as papers print it."""
    if not r:
        return "a reading is within when it lies within the limits as read, without rounding or guard band (r = 0)"
    return (
        f"a reading is within when it lies within the limits moved inward by {written(r)} × the gauge's expanded "
        f"uncertainty (k = 2), without rounding; between these and the limits: {BETTER}. "
        "A GO/NO-GO gauge says yes or no"
    )


def unable(
    one: Characteristic, r: float, gauges: Iterable[Gauge]
) -> tuple[tuple[str, ...], tuple[str, ...]] | None:
    """Of the gauges of its kind, those whose guard bands take the whole tolerance (2 w >= it), and the gauges in use
    that would do. None where one of its kind leaves something, or none of its kind is there to be judged."""
    if one.by_gauge or not r or one.high is None:
        return None
    width = one.high - (one.low or Fraction(0))
    every = tuple(gauges)
    able = [gauge for gauge in every if gauge.state == "in_use" and _leaves(one, width, r, gauge)]
    asked = [gauge for gauge in every if of_kind(gauge, one)]
    if not asked or any(gauge in able for gauge in asked):
        return None
    return tuple(gauge.gauge for gauge in asked), tuple(gauge.gauge for gauge in able)


def of_kind(gauge: Gauge, one: Characteristic) -> bool:
    """Is it in use, and of the kind that the characteristic asks for, as "caliper, 40 in" is a caliper?"""
    return gauge.state == "in_use" and gauge.kind.partition(",")[0] == one.gauge


def _leaves(one: Characteristic, width: Fraction, r: float, gauge: Gauge) -> bool:
    """One-sided: only one limit moves."""
    try:
        band = Fraction(repr(r)) * parse_quantity(gauge.uncertainty, one.dimension)
    except QuantityError:
        return False
    return (2 if one.low is not None else 1) * band < width
