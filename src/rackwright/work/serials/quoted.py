"""What the order accepted, beside what the same racks cost by today's program.

The agreed revision of the quote is of so many racks of each part; the same numbers are priced anew, of the frozen
definitions, by the shop's file as frozen or else as it is today, with everything bought new: the stock that lay there
on the day of the quote is not known any more. So a difference is the stock's too, and it is said.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from rackwright.making.price import KINDS
from rackwright.plan import Plan, money
from rackwright.record import Record, State
from rackwright.record.office import Quote
from rackwright.shop import Shop
from rackwright.trouble import Stopped
from rackwright.work.engineering.frozen import frozen
from rackwright.work.engineering.numbers import EFFORT
from rackwright.work.gates import agreed_quote

__all__ = ["Quoted", "quoted"]


@dataclass(frozen=True)
class Quoted:
    """`rows`: what, as agreed, as computed now; texts with currency or hours. `why_not`: why nothing is computed."""

    quote: str
    revision: str
    agreed: int  # the event
    racks: int
    price: str
    low: str
    high: str
    rows: tuple[tuple[str, str, str], ...]
    by: str
    why_not: str = ""


def quoted(record: Record, state: State, serial: str, shop: Shop) -> Quoted | None:
    """None where the order came of no quote. `shop` where none was frozen with the serial's revision."""
    rack = state.serials[serial]
    quote = agreed_quote(state, rack.order)
    if quote is None:
        return None
    mine = frozen(record, rack.revision, state)
    house, part = mine.shop or shop, mine.design.rack.definition.part
    by = "the shop's file as frozen" if mine.shop else "the shop's file of today: none was frozen"
    demand, why = [], ""
    for variation, number in quote.lines or ((part, quote.racks),):
        revision = rack.revision if variation == part else _newest(state, rack.order, variation)
        try:
            demand.append((frozen(record, revision, state).design.drawn, number))
        except Stopped:
            why = f"no revision of {variation}, which the quote is of too, is frozen for {rack.order}"
    rows = () if why else tuple(_beside(quote, Plan(tuple(demand), None, house, EFFORT), house.currency))
    return Quoted(quote.quote, quote.revision, quote.agreed_seq, quote.racks, quote.price, quote.low, quote.high, rows,
                  f"{by}, everything bought new", why)  # fmt: skip


def _newest(state: State, order: str, variation: str) -> str:
    every = [one for one in state.revisions.values() if (one.order, one.variation) == (order, variation)]
    return max(every, key=lambda one: one.seq).revision if every else ""


def _beside(quote: Quote, plan: Plan, currency: str) -> Iterator[tuple[str, str, str]]:
    price = plan.price
    yield "price", quote.price, money(price.total, currency) or "not computed: a line is asked for"
    for kind in KINDS:
        yield kind, quote.costs.get(kind, "not stated"), money(price.sum_of(kind), currency) or ""
    now = {one.name: one.quantity for one in price.lines if one.kind == "labour" and one.quantity is not None}
    for name in dict.fromkeys((*quote.hours, *now)):
        hours = f"{float(now[name] or Fraction()):.3f} h" if name in now else "none"
        yield f"hours of {name}", f"{quote.hours[name]} h" if name in quote.hours else "none", hours
