"""What a customer is offered and what they ordered at: revisions of a quote, and the one that was agreed.

A price with a question open that blocks the quote, or with a line that is still asked for, is refused: it is shown
as PRELIMINARY by `rackwright plan` and is not offered. The hours and costs that the quote was made of go into the
record, so that what the order took is compared with them (`work/office/spent.py`) without this year's program.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from rackwright.making.price import KINDS, Price
from rackwright.plan import Plan, money
from rackwright.record import Appended, State
from rackwright.record.office import Quote
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, order_known, person_may
from rackwright.work.office.contracts import nothing_blocks_the_quote
from rackwright.work.office.lines import as_ordered
from rackwright.work.people.founding import LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = ["agree", "offer"]


def offer(station: Station, quote: str, customer: str, plan: Plan, until: str, act_id: str = "") -> Appended:
    """The next revision of a quote, at the price of the plan with its band. Raises Stopped with the refusal."""

    def decide(state: State) -> list[Draft] | Refusal:
        before = state.quotes.get(quote, ())
        refused = first(
            person_may(state, station.person, LEAD, station.today),
            _to_another(quote, before, customer),
            _not_complete(quote, plan.price),
            nothing_blocks_the_quote(state, _variations(plan)),
            _agreed_already(quote, before),
        )
        body = _body(plan, quote, chr(ord("A") + len(before)), customer) | ({"until": until} if until else {})
        return refused or [Draft("quote", body)]

    return perform(station, "quote", decide, act_id)


def agree(station: Station, quote: str, revision: str, order: str, act_id: str = "") -> Appended:
    """The customer ordered at this revision of the quote. A later revision, or one past its last day, is refused."""

    def decide(state: State) -> list[Draft] | Refusal:
        rows = state.quotes.get(quote, ())
        refused = first(
            person_may(state, station.person, LEAD, station.today),
            order_known(state, order),
            _may_be_agreed(quote, revision, rows, station.today),
            _of_another_customer(state, order, rows),
            as_ordered(state, order, rows[-1]) if rows else None,
        )  # fmt: skip
        return refused or [Draft("agree", {"quote": quote, "revision": revision, "order": order})]

    return perform(station, "agree", decide, act_id)


def _body(plan: Plan, quote: str, revision: str, customer: str) -> dict[str, object]:
    price, band, currency = plan.price, plan.band, plan.shop.currency
    body: dict[str, object] = {
        "quote": quote, "revision": revision, "customer": customer, "price": money(price.total, currency),
        "variations": list(_variations(plan)), "racks": plan.racks, "lines": _lines(plan), "hours": _hours(price),
        "costs": {kind: money(price.sum_of(kind), currency) for kind in KINDS},
    }  # fmt: skip
    if band is not None and band.deviations:
        body |= {"low": money(band.low, currency), "high": money(band.high, currency)}
    return body


def _variations(plan: Plan) -> tuple[str, ...]:
    """The parts that are quoted."""
    return tuple(sorted({design.rack.definition.part for design, _ in plan.demand}))


def _lines(plan: Plan) -> list[dict[str, object]]:
    """How many racks of each part."""
    racks: Counter[str] = Counter()
    for design, quantity in plan.demand:
        racks[design.rack.definition.part] += quantity
    return [{"variation": part, "quantity": number} for part, number in sorted(racks.items())]


def _hours(price: Price) -> dict[str, str]:
    """Hours by operation, to a thousandth."""
    rows = [line for line in price.lines if line.kind == "labour" and line.quantity is not None]
    return {line.name: f"{float(line.quantity or Fraction()):.3f}" for line in rows}


def _to_another(quote: str, before: tuple[Quote, ...], customer: str) -> Refusal | None:
    if not before or before[-1].customer == customer:
        return None
    return no("RW517", quote, f"{quote} is offered to {before[-1].customer}", "give this one its own number")


def _not_complete(quote: str, price: Price) -> Refusal | None:
    for question in price.questions:
        return no("RW513", quote, f"question {question.id} blocks the quote: {question.text}",
                  "answer it in the definition, with its document")  # fmt: skip
    for asked in price.asked:
        return no(
            "RW547", quote, f"the price lacks a line: {asked}", "give it in shop.toml or the stock file"
        )
    return None


def _agreed_already(quote: str, before: tuple[Quote, ...]) -> Refusal | None:
    agreed = next((row for row in before if row.agreed), None)
    if agreed is None:
        return None
    found = f"{quote} revision {agreed.revision} is agreed for {agreed.order}"
    return no("RW517", quote, found, "quote what is new under its own number")


def _may_be_agreed(quote: str, revision: str, rows: tuple[Quote, ...], today: str) -> Refusal | None:
    if not any(row.revision == revision for row in rows):
        return no("RW503", quote, f"{quote} revision {revision} was not offered", "check number and revision")
    last = rows[-1]
    if last.revision != revision:
        return no("RW517", quote, f"revision {last.revision} of {quote} is the newest", "agree to that one")
    if last.agreed:
        return no("RW517", quote, f"{quote} is agreed for {last.order}", "a quote is agreed once")
    if last.until and last.until < today:
        found = f"{quote} revision {revision} held until {last.until}, today is {today}"
        return no("RW517", quote, found, "offer a new revision")
    return None


def _of_another_customer(state: State, order: str, rows: tuple[Quote, ...]) -> Refusal | None:
    if not rows or order not in state.orders or state.orders[order].customer == rows[-1].customer:
        return None
    found = f"{order} is of {state.orders[order].customer}, the quote of {rows[-1].customer}"
    return no("RW517", order, found, "check the numbers")
