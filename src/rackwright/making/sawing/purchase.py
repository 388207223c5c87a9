"""What an order lacks, by section, heat and length, and the cheapest purchase that would serve it.

The cutting plan weighs what stock is worth, so that it may buy bars where stock would do. Here only money that leaves
the shop counts: bars on the shelf cost nothing, those of the shop's purchase list their whole length at its price
and surcharge. Bought bars of a section count as one heat. A specification without a purchase list is asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from rackwright.making.saw import Purchase, Shortage, cheapest_purchase, shortage
from rackwright.making.sawing.cutting import SawJob, purchase_units
from rackwright.shop import Shop

__all__ = ["Lacking", "lacking", "lacking_json"]


@dataclass(frozen=True)
class Lacking:
    """A section that the stock does not suffice for. `purchase` is None where nothing on offer serves: `asked` says
    what must be known then."""

    job: SawJob
    shortage: Shortage
    purchase: Purchase | None
    asked: str

    @property
    def buy(self) -> tuple[tuple[int, int], ...]:
        """Length in nm and how many, of the cheapest purchase."""
        bars = self.purchase.bars if self.purchase else ()
        return tuple(sorted((self.job.purchase[id], number) for id, number in bars))

    @property
    def cost(self) -> Fraction | None:
        """Of the cheapest purchase; None without one or without a density."""
        return self.job.money(self.purchase.cost) if self.purchase else None

    @property
    def least_cost(self) -> Fraction | None:
        return self.job.money(self.purchase.least_cost) if self.purchase else None


def lacking(jobs: Sequence[SawJob], shop: Shop, effort: int) -> tuple[Lacking, ...]:
    """Every section that its bars on the shelf do not suffice for."""
    found = []
    for job in jobs:
        on_shelf = replace(job.problem, bars=tuple(bar for bar in job.problem.bars if bar.id in job.bars))
        short = shortage(on_shelf, effort)
        if short.pieces:
            units = purchase_units(job, shop)
            offered = [replace(bar, cost=units[bar.id]) for bar in job.problem.bars if bar.id in units]
            purchase = cheapest_purchase(on_shelf, offered, effort) if offered else None
            found.append(Lacking(job, short, purchase, "" if purchase else _asked(job, short, bool(offered))))
    return tuple(found)


def _asked(job: SawJob, short: Shortage, offered: bool) -> str:
    heats = sorted({job.needs[one.piece].heat or "" for one in short.pieces} - {""})
    if heats:
        named = ", ".join(heats)
        return f"metal of heat {named}, of which a rack's other posts are, or all posts of that rack scrapped"
    if offered:
        return f"a length of {job.stock} that can be bought and is long enough (shop.toml, purchase_lengths)"
    return f"price and purchase_lengths of {job.stock} (shop.toml, price)"


def lacking_json(
    one: Lacking, shop: Shop, money: Callable[[Fraction | None, bool], str | None]
) -> dict[str, Any]:
    """What a section lacks and the cheapest purchase; `money` writes an amount, True: rounded down, as a bound is."""
    grid, purchase = shop.style.grid, one.purchase
    short = [(one.job.needs[each.piece], each) for each in one.shortage.pieces]
    return {
        "section": one.job.section, "stock": one.job.stock,
        "short": [
            {
                "length_nm": need.length_nm, "count": each.number,
                "from_one_heat": need.same_heat, "most_by_heat": dict(each.by_heat),
            }
            for need, each in short
        ],
        "short_nm": one.shortage.use * grid, "short_at_least_nm": one.shortage.least_use * grid,
        "cheapest_purchase": purchase and {
            "buy": [{"length_nm": nm, "count": number} for nm, number in one.buy],
            "cost": money(one.cost, False), "at_least": money(one.least_cost, not purchase.proven),
            "proven": purchase.proven,
        },
        "asked_for": one.asked or None,
    }  # fmt: skip
