"""What a person finds on the rack, and what is thrown away.

A count is a fact about one moment: it changes no book (what the audit makes of it: `counts.py`). Scrap is made by a
named person with a reason, of stock that is there or of a piece that is in no rack; it is made unusable before the
eyes of another person who may inspect, so that nobody takes it for good metal later, and who signs it
(`witnessing.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rackwright.record import Appended, Refs, State, Stock
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, not_held, person_may
from rackwright.work.people.founding import INSPECTOR, LEAD, RECEIVING, SAW
from rackwright.work.station import Draft, Station, perform

__all__ = [
    "COUNTERS",
    "SCRAPPERS",
    "Unusable",
    "count",
    "may_be_counted",
    "one_of",
    "piece_may_be_scrapped",
    "scrap_piece",
    "scrap_stock",
    "stock_may_be_scrapped",
    "was_made_unusable",
]

COUNTERS, SCRAPPERS = (RECEIVING, SAW, LEAD, INSPECTOR), (RECEIVING, SAW, LEAD)
THERE = ("received", "quarantined", "accepted")  # on the rack, not with anybody


@dataclass(frozen=True)
class Unusable:
    """How scrap was made unusable, in words ("sawn through"), and the name of who saw it."""

    how: str
    witness: str

    def to_json(self) -> dict[str, str | bool]:
        return {"unusable": self.how.strip(), "witness": self.witness, "awaits": True}


def count(
    station: Station, stock_id: str, length_nm: int | None = None, quantity: int | None = None,
    uncertainty_nm: int = 0, act_id: str = "",
) -> Appended:  # fmt: skip
    """What was measured of a bar (nm, with the tape's uncertainty) or counted of a lot."""

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        refused = first(
            one_of(state, station.person, COUNTERS, station.today),
            may_be_counted(state, stock_id, length_nm, quantity),
        )
        if refused is not None or stock is None:
            return refused or []
        body: dict[str, object] = {"stock_id": stock_id}
        if length_nm is not None:
            body |= {"length_nm": length_nm, "expected_nm": stock.length_nm, "uncertainty_nm": uncertainty_nm}
        else:
            body |= {"quantity": quantity, "expected": stock.quantity}
        return [Draft("count", body, _refs(stock))]

    return perform(station, "count", decide, act_id)


def scrap_stock(
    station: Station, stock_id: str, reason: str, gone: Unusable, length_nm: int | None = None,
    quantity: int | None = None, act_id: str = "",
) -> Appended:  # fmt: skip
    """A bar or lot is thrown away, or so much of it; a plate whole; it stays what it was in the books, heat and all."""

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        refused = first(
            one_of(state, station.person, SCRAPPERS, station.today),
            stock_may_be_scrapped(state, stock_id, reason, length_nm, quantity),
            was_made_unusable(state, station.person, stock_id, gone, station.today),
        )
        if refused is not None or stock is None:
            return refused or []
        body: dict[str, object] = {"stock_id": stock_id, "reason": reason, **gone.to_json()}
        if stock.outline:
            body["area_nm2"] = str(stock.area_nm2)
        elif stock.length_nm:
            body["length_nm"] = stock.length_nm if length_nm is None else length_nm
        else:
            body["quantity"] = stock.quantity if quantity is None else quantity
        return [Draft("scrap", body, _refs(stock))]

    return perform(station, "scrap", decide, act_id)


def scrap_piece(station: Station, piece: str, reason: str, gone: Unusable, act_id: str = "") -> Appended:
    """A piece is thrown away. One that is in a rack is replaced first; one in doubt is dispositioned."""

    def decide(state: State) -> list[Draft] | Refusal:
        made = state.pieces.get(piece)
        refused = first(
            person_may(state, station.person, LEAD, station.today),
            piece_may_be_scrapped(state, piece, reason),
            was_made_unusable(state, station.person, piece, gone, station.today),
        )
        if refused is not None or made is None:
            return refused or []
        refs = Refs.of(heats=[made.heat], lots=[made.lot], pieces=[piece], serials=[made.serial])
        return [Draft("scrap", {"piece": piece, "reason": reason, **gone.to_json()}, refs)]

    return perform(station, "scrap", decide, act_id)


def _refs(stock: Stock) -> Refs:
    return Refs.of(heats=[stock.heat], lots=[stock.lot])


def one_of(state: State, person: str, roles: Sequence[str], today: str) -> Refusal | None:
    """A person who holds one of these roles."""
    answers = [person_may(state, person, role, today) for role in roles]
    return answers[0] if all(answers) else None


def may_be_counted(
    state: State, stock_id: str, length_nm: int | None, quantity: int | None
) -> Refusal | None:
    """It is there, and counted in its unit."""
    return _there(state, stock_id) or _its_unit(state.stock.get(stock_id), length_nm, quantity)


def stock_may_be_scrapped(
    state: State, stock_id: str, reason: str, length_nm: int | None, quantity: int | None
) -> Refusal | None:
    """It is there, as much of it, not held, and a reason is given."""
    stock = state.stock.get(stock_id)
    return first(_said(stock_id, reason), _there(state, stock_id),
                 not_held(state, stock_id=stock_id, heat=stock.heat if stock else ""),
                 _some(stock, length_nm, quantity))  # fmt: skip


def piece_may_be_scrapped(state: State, piece: str, reason: str) -> Refusal | None:
    """In the shop and in no rack, not held, and a reason is given."""
    made = state.pieces.get(piece)
    if refused := _said(piece, reason):
        return refused
    if made is None:
        return no("RW503", piece, f"{piece} is not in the record", "check the label")
    if made.state != "made":
        return no(
            "RW517", piece, f"{piece} is {made.state}", "only a piece that lies in the shop is scrapped"
        )
    return not_held(state, piece=piece)


def was_made_unusable(state: State, by: str, about: str, gone: Unusable | None, today: str) -> Refusal | None:
    """How is said, and another person than who scraps it saw it, who may inspect."""
    if gone is None or not gone.how.strip():
        found, do = (
            f"it is not said how {about} was made unusable",
            "say how, as in 'sawn through', and who saw it",
        )
        return no("RW517", about, found, do)
    if gone.witness == by:
        found = f"{by} scraps {about} and cannot be its witness"
        return no("RW516", by, found, f"another person with the role {INSPECTOR} sees it made unusable")
    return person_may(state, gone.witness, INSPECTOR, today)


def _said(about: str, reason: str) -> Refusal | None:
    return None if reason.strip() else no("RW517", about, "no reason is given", "give the reason")


def _there(state: State, stock_id: str) -> Refusal | None:
    stock = state.stock.get(stock_id)
    if stock is None:
        return no("RW503", stock_id, f"{stock_id} is not in the record", "check the id on the label")
    if stock.state not in THERE:
        taken = f" to {stock.job}" if stock.job else ""
        return no(
            "RW511", stock_id, f"{stock_id} is {stock.state}{taken}", "return it first; what is gone is gone"
        )
    return None


def _its_unit(stock: Stock | None, length_nm: int | None, quantity: int | None) -> Refusal | None:
    """A bar is measured, a lot is counted; a plate is what its label says."""
    if stock is None:
        return None
    if stock.outline:
        found = f"{stock.stock_id} is a plate, neither measured by its length nor counted"
        return no("RW517", stock.stock_id, found, "scrap it whole where it is not what its label says, and receive it "
                  "anew")  # fmt: skip
    if (length_nm is None) == (quantity is None):
        return no(
            "RW517", stock.stock_id, "neither or both of length and quantity are given", "give one of them"
        )
    if (length_nm is not None) != bool(stock.received_nm):
        unit = "measured by its length" if stock.received_nm else "counted"
        return no("RW517", stock.stock_id, f"{stock.stock_id} is {unit}", "give it so")
    return None


def _some(stock: Stock | None, length_nm: int | None, quantity: int | None) -> Refusal | None:
    """Not nothing, and not more than there is."""
    if stock is None:
        return None
    if length_nm is None and quantity is None:
        nothing = not (stock.length_nm or stock.quantity or stock.area_nm2)
        return no("RW517", stock.stock_id, f"nothing of {stock.stock_id} is left", "-") if nothing else None
    wrong = _its_unit(stock, length_nm, quantity)
    if wrong is not None:
        return wrong
    some, have = (length_nm, stock.length_nm) if length_nm is not None else (quantity or 0, stock.quantity)
    if not 0 < some <= have:
        return no(
            "RW517",
            stock.stock_id,
            f"{some} of {stock.stock_id}, of which there are {have}",
            "measure it again",
        )
    return None
