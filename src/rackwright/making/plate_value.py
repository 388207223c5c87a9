"""What the plate of an order is worth: opened plates at full, less what goes back to store.

As at the saw, stock is booked by the price of new material: a plate at it, a remnant at the shop's `credit_share` of
it, and what goes back is credited at that same share. Goes back: what can be cut off a plate with a label of its own
as a shape nowhere narrower than the jet's `remnant_min`. So blanks are priced by what they take from the plate, with
the webs, the kerf and the scrap between them. Amounts are exact from whole square nanometres and printed prices.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from rackwright.making.nest import Layout, outline_nm2
from rackwright.making.plate import PlateJob
from rackwright.shop import Shop

__all__ = ["PlateValue", "plate_value"]

NM3 = 10**27  # in a cubic metre


@dataclass(frozen=True)
class PlateValue:
    """Of the opened plates of one section and stock: masses in kg, amounts in the shop's currency."""

    name: str
    plates: int
    opened: Fraction  # kg
    back: Fraction  # kg that goes back
    full: Fraction  # what the opened plates are booked at
    credit: Fraction  # for what goes back
    rate: Fraction  # of new material, a kg
    share: Fraction  # of it, for a remnant

    @property
    def net(self) -> Fraction:
        return self.full - self.credit


def plate_value(job: PlateJob, density: float, shop: Shop) -> PlateValue | None:
    """None without a price of the stock. `density` in kg/m³."""
    quoted = shop.price_of(job.stock)
    if quoted is None:
        return None
    thickness = next(iter(job.flats.values())).thickness
    rate, share = quoted.per_kilogram, Fraction(str(shop.stock_value.credit_share))
    used = {item.id: share if item.remnant else Fraction(1) for item in job.plates}
    each = [(layout, _masses(layout, thickness, density)) for layout in job.layouts]
    return PlateValue(
        f"{job.section}, {job.stock}", len(each),
        _sum(opened for _, (opened, _) in each), _sum(back for _, (_, back) in each),
        _sum(opened * rate * used[layout.item] for layout, (opened, _) in each),
        _sum(back * rate * share for _, (_, back) in each), rate, share,
    )  # fmt: skip


def _masses(layout: Layout, thickness: int, density: float) -> tuple[Fraction, Fraction]:
    """Of the plate and of what goes back, kg."""
    weigh = Fraction(thickness, NM3) * Fraction(density)
    return outline_nm2(layout.border) * weigh, sum(map(outline_nm2, layout.rests)) * weigh


def _sum(amounts: Iterable[Fraction]) -> Fraction:
    return sum(amounts, Fraction())
