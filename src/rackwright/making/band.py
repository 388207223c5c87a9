"""How far the price may lie off: the band that the shop's own spreads leave.

The shop states for a kind of line (or one line by name) by which shares what was paid has lain below and above what
was quoted, with the document of its orders. Lines of one kind miss together (a bad time study is bad for every
rack), kinds miss each for itself: the band is the root of the sum of the squared deviations of the kinds, each side for
itself; beside it stands what all of them at their worst at once would come to. For independent quantities the
variances add (ISO/IEC Guide 98-3, 5.1.2); that kinds are independent and lines of a kind are not is the model here
(common practice, no source). Overhead follows labour, profit follows everything, as in the price itself. A kind without
a stated spread is taken at its value and named.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import sqrt

from rackwright.making.price import Price, PriceLine
from rackwright.shop import Shop
from rackwright.shop.labour import Spread

__all__ = ["Band", "band"]

COSTS = ("material", "hardware", "labour", "outside")


@dataclass(frozen=True)
class Band:
    """Amounts of the whole order. `without` are the kinds of cost whose spread nobody stated."""

    low: Fraction
    high: Fraction
    worst_low: Fraction
    worst_high: Fraction
    deviations: tuple[tuple[str, Fraction, Fraction], ...]  # kind, below, above
    without: tuple[str, ...]


def band(price: Price, shop: Shop) -> Band | None:
    """The band round the price of an order; None while it has no total."""
    if price.total is None or shop.pricing is None:
        return None
    deviations, without = [], []
    for kind in COSTS:
        lines = [(line, _spread(line, shop)) for line in price.lines if line.kind == kind and line.cost]
        if any(spread is None for _, spread in lines):
            without.append(kind)
        below, above = (
            sum(((line.cost or 0) * Fraction(str(getattr(spread, side))) for line, spread in lines if spread),
                Fraction()) * _laid_on(kind, shop)
            for side in ("below", "above")
        )  # fmt: skip
        if below or above:
            deviations.append((kind, below, above))
    lows, highs = [below for _, below, _ in deviations], [above for _, _, above in deviations]
    return Band(
        price.total - _root(lows), price.total + _root(highs), price.total - sum(lows), price.total + sum(highs),
        tuple(deviations), tuple(without),
    )  # fmt: skip


def _spread(line: PriceLine, shop: Shop) -> Spread | None:
    """The spread stated for this very line, else that of its kind."""
    rows = [row for row in shop.spread if row.kind == line.kind]
    named = next((row for row in rows if row.name == line.name), None)
    return named or next((row for row in rows if row.name is None), None)


def _laid_on(kind: str, shop: Shop) -> Fraction:
    """By how much a unit of this cost raises the price."""
    assert shop.pricing is not None
    overhead = Fraction(str(shop.pricing.overhead_share)) if kind == "labour" else Fraction()
    return (1 + overhead) * (1 + Fraction(str(shop.pricing.profit_share)))


def _root(amounts: list[Fraction]) -> Fraction:
    """The root of the sum of squares; one alone stays exact."""
    if len(amounts) == 1:
        return amounts[0]
    return Fraction(sqrt(sum(float(each) ** 2 for each in amounts)))
