"""The contract behind an order: its clauses, who meets each, the evidence that they did, and the review of it all.

A clause names its document and who meets it; where it says what waits for its evidence (sign_out, release, ship), that
gate refuses until the evidence is recorded. One before `disposition` asks the customer's own acceptance of each "use as
is" and "repair" (`quality/nonconforming.py`). A review by the lead names lines and clauses as they stand and the agreed
quote; a clause, quote or amended line (`lines.py`) that comes after it needs a new review before metal is signed out.
Reading the clauses is a person's: nothing here judges whether one is met.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.record import Appended, Refs, State
from rackwright.record.office import Question
from rackwright.trouble import Refusal
from rackwright.work.gates import (
    agreed_quote,
    clauses_met,
    contract_reviewed,
    first,
    no,
    of_the_shop,
    order_known,
    person_may,
)
from rackwright.work.people.founding import LEAD
from rackwright.work.quality.nonconforming import CUSTOMER
from rackwright.work.station import Draft, Station, perform

__all__ = ["BEFORE", "clause", "contract_faults", "meet_clause", "review"]

BEFORE = ("sign_out", "release", "ship")  # what waits for evidence of a clause
WAITS = (*BEFORE, CUSTOMER)


def clause(
    station: Station, order: str, name: str, text: str, met_by: str, document: str, before: str = "",
    withdrawn: bool = False, act_id: str = "",
) -> Appended:  # fmt: skip
    """A clause of an order as it stands from now on; recorded anew it loses its evidence."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(person_may(state, station.person, LEAD, station.today), order_known(state, order))
        if refused is None and before and before not in WAITS:
            refused = no("RW517", name, f"{before!r} waits for no clause", f"one of {', '.join(WAITS)}")
        if refused is None and not (text.strip() and met_by.strip()):
            refused = no("RW517", name, "no text, or nobody meets it", "give the clause and who meets it")
        body: dict[str, object] = {"order": order, "clause": name, "text": text, "met_by": met_by,
                                   "document": document}  # fmt: skip
        body |= ({"before": before} if before else {}) | ({"withdrawn": True} if withdrawn else {})
        return refused or [Draft("clause", body)]

    return perform(station, "clause", decide, act_id)


def meet_clause(
    station: Station, order: str, name: str, document: str, serials: Sequence[str] = (), act_id: str = ""
) -> Appended:
    """The evidence that a clause is met, by a person of the shop."""

    def decide(state: State) -> list[Draft] | Refusal:
        held = state.clauses.get(order, {})
        refused = first(of_the_shop(state, station.person), order_known(state, order))
        if refused is None and (name not in held or held[name].withdrawn):
            there = ", ".join(each for each, one in held.items() if not one.withdrawn) or "none"
            refused = no("RW503", name, f"{order} has no clause {name}", f"its clauses are {there}")
        body: dict[str, object] = {"order": order, "clause": name, "document": document}
        body |= {"serials": list(serials)} if serials else {}
        return refused or [Draft("clause_met", body, Refs.of(serials=serials))]

    return perform(station, "clause_met", decide, act_id)


def review(station: Station, order: str, document: str, remarks: str = "", act_id: str = "") -> Appended:
    """The review of an order as it stands now: its lines, every clause that is not withdrawn, and the agreed quote."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(person_may(state, station.person, LEAD, station.today), order_known(state, order))
        clauses = [name for name, one in state.clauses.get(order, {}).items() if not one.withdrawn]
        body: dict[str, object] = {"order": order, "document": document, "clauses": clauses}
        body |= {"lines": [one.line for one in state.orders[order].standing]} if order in state.orders else {}
        quote = agreed_quote(state, order)
        body |= {"quote": quote.quote, "quote_revision": quote.revision} if quote else {}
        body |= {"remarks": remarks} if remarks else {}
        return refused or [Draft("contract_review", body)]

    return perform(station, "contract_review", decide, act_id)


def contract_faults(state: State, order: str) -> tuple[Refusal, ...]:
    """What of an order's contract is still open, whatever waits for it."""
    found = [contract_reviewed(state, order), *(clauses_met(state, what, order) for what in BEFORE)]
    return tuple(dict.fromkeys(each for each in found if each is not None))


def nothing_blocks_the_quote(state: State, variations: Sequence[str]) -> Refusal | None:
    """No open question of these variations, or of an order for one of them, blocks a quote."""
    for asked in state.questions.values():
        if asked.open and "quote" in asked.blocks and _of(state, asked) & {"", *variations}:
            found = f"question {asked.question} is open ({asked.owner}): {asked.text}"
            return no("RW513", asked.question, found, "record its answer with the document")
    return None


def _of(state: State, asked: Question) -> set[str]:
    """The variations that a question is about; "" is every one."""
    order = state.orders.get(asked.order)
    lines = [one for one in order.lines.values() if asked.line in ("", one.line)] if order else []
    return {asked.variation} if asked.variation or not order else {one.variation for one in lines}
