"""What an order took, beside what was quoted: hours as people recorded them, invoices, metal as it was cut.

The quote's hours and costs stand in the record, so nothing is computed anew and no engineering library is needed. What
nobody recorded is not there: an operation without hours is shown as such, never as zero.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rackwright.record import Appended, Refs, State
from rackwright.record.office import Quote
from rackwright.trouble import Refusal
from rackwright.work.gates import agreed_quote, first, no, of_the_shop, order_known, person_may
from rackwright.work.people.founding import LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = ["BOUGHT", "Beside", "invoice", "log_hours", "spent"]

BOUGHT = ("material", "hardware", "outside")  # what invoices are for
_MONEY = re.compile(r"\d+(\.\d{1,2})? [A-Z]{3}", re.ASCII)
MOST = 24 * 31  # hours of one entry


@dataclass(frozen=True)
class Beside:
    """One line: what was quoted and what is recorded, in `unit`; None where nothing was."""

    name: str
    unit: str  # h, or a currency
    quoted: Fraction | None
    recorded: Fraction | None

    @property
    def share(self) -> Fraction | None:
        """Recorded over quoted."""
        if self.quoted is None or self.recorded is None or not self.quoted:
            return None
        return self.recorded / self.quoted


def log_hours(
    station: Station, order: str, operation: str, hours: str, serials: Sequence[str] = (), day: str = "",
    act_id: str = "",
) -> Appended:  # fmt: skip
    """What an operation took, in hours (decimal text), by the person who did it; for serials or the whole order."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(of_the_shop(state, station.person), order_known(state, order))
        strange = [
            name for name in serials if name not in state.serials or state.serials[name].order != order
        ]
        if refused is None and strange:
            refused = no("RW503", strange[0], f"{strange[0]} is no serial of {order}", "check the numbers")
        known = _operations()
        if refused is None and operation not in known:
            refused = no("RW517", operation, f"no operation {operation!r}", f"one of {', '.join(known)}")
        if refused is None and not _is_hours(hours):
            refused = no("RW517", operation, f"{hours!r} hours", f"a decimal number above 0, up to {MOST}")
        body: dict[str, object] = {"order": order, "operation": operation, "hours": hours}
        body |= ({"serials": list(serials)} if serials else {}) | ({"day": day} if day else {})
        return refused or [Draft("hours", body, Refs.of(serials=serials))]

    return perform(station, "hours", decide, act_id)


def invoice(
    station: Station, order: str, kind: str, amount: str, document: str, supplier: str = "", act_id: str = ""
) -> Appended:
    """What was paid for an order, as in "812.50 USD"."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(person_may(state, station.person, LEAD, station.today), order_known(state, order))
        if refused is None and kind not in BOUGHT:
            refused = no("RW517", order, f"{kind!r} is not bought", f"one of {', '.join(BOUGHT)}")
        if refused is None and not _MONEY.fullmatch(amount):
            do = 'an amount and a currency code, as in "812.50 USD"'
            refused = no("RW517", order, f"{amount!r} is no amount", do)
        quote = agreed_quote(state, order)
        if refused is None and quote and amount.split()[1] != quote.price.split()[1]:
            refused = no("RW517", order, f"{amount} beside a quote in {quote.price.split()[1]}", "convert it")
        body = {"order": order, "kind": kind, "amount": amount, "document": document}
        return refused or [Draft("invoice", body | ({"supplier": supplier} if supplier else {}))]

    return perform(station, "invoice", decide, act_id)


def spent(state: State, order: str) -> tuple[Beside, ...]:
    """Line by line: hours of each operation, then money of each kind, and the sum of what was bought."""
    quote = agreed_quote(state, order)
    quoted_hours = dict(quote.hours) if quote else {}
    hours: dict[str, list[str]] = {}
    for row in state.hours:
        if row.order == order:
            hours.setdefault(row.operation, []).append(row.hours)
    lines = [
        Beside(name, "h", _one(quoted_hours.get(name)), _sum(hours.get(name)))
        for name in dict.fromkeys((*quoted_hours, *hours))
    ]
    if hours:  # over those alone that somebody recorded, else what is missing would look like time won
        quoted = _sum(text for name, text in quoted_hours.items() if name in hours)
        lines.append(
            Beside("all of these recorded", "h", quoted, _sum(n for rows in hours.values() for n in rows))
        )
    return (*lines, *_bought(state, order, quote))


def _bought(state: State, order: str, quote: Quote | None) -> Iterable[Beside]:
    paid = [row for row in state.invoices if row.order == order]
    currency = next(
        (text.split()[1] for text in [*(r.amount for r in paid), *([quote.price] if quote else [])]), ""
    )
    costs = dict(quote.costs) if quote else {}
    for kind in BOUGHT:
        mine = [row.amount.split()[0] for row in paid if row.kind == kind]
        if kind in costs or mine:
            yield Beside(kind, currency, _one(costs[kind].split()[0]) if kind in costs else None, _sum(mine))


def _operations() -> tuple[str, ...]:
    from rackwright.shop.labour import OPERATIONS

    return OPERATIONS


def _is_hours(text: str) -> bool:
    return bool(re.fullmatch(r"\d{1,4}(\.\d{1,3})?", text, re.ASCII)) and 0 < Fraction(text) <= MOST


def _one(text: str | None) -> Fraction | None:
    return None if text is None else Fraction(text)


def _sum(texts: Iterable[str] | None) -> Fraction | None:
    rows = list(texts or ())
    return sum(map(Fraction, rows), Fraction()) if rows else None
