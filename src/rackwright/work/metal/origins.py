"""The papers between mill and shop: mill, distributor and purchase order are separate documents.

The mill's (or maker's) certificate says what the metal is, the distributor's certificate or packing slip that it is
this metal that was sold, the shop's own purchase order what was asked for. Which of them stock must come with is the
shop's rule, by its specification row (`papers` in shop.toml); what is missing is a row of the acceptance that says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from rackwright.record import Appended, Refs, State, Stock
from rackwright.record.fold_stock import ORIGIN
from rackwright.record.metal import slip_of
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, person_may
from rackwright.work.people.founding import RECEIVING
from rackwright.work.station import Draft, Station, perform

if TYPE_CHECKING:
    from rackwright.shop import Shop

__all__ = ["enter_origin", "may_be_entered", "origin_rows"]

#: paper -> what it is called, and which fields say that it is there
SOLD = {
    "distributor": ("distributor's certificate or packing slip", ("distributor", "slip", "slip_file")),
    "purchase_order": ("purchase order", ("purchase_order",)),
}
Row = tuple[str, str, str, bool]  # of an acceptance: name, required, found, will it do
WORDS = {"slip": "number", "slip_file": "file", "purchase_order": "number"}


def enter_origin(
    station: Station,
    stock_id: str,
    said: Mapping[str, str],
    slip: bytes = b"",
    order: bytes = b"",
    act_id: str = "",
) -> Appended:
    """`said`: distributor, slip (its number), purchase_order (the shop's own). `slip`, `order`: the papers, kept by
    their hash. What is entered later stands beside what was entered before, or in its place."""
    body: dict[str, Any] = {"stock_id": stock_id, **said}
    for name, paper in (("slip_file", slip), ("order_file", order)):
        if paper:
            body[name] = station.record.put_file(paper)
    files = [body[name] for name in ("slip_file", "order_file") if name in body]

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, RECEIVING, station.today), may_be_entered(state, body)
        )
        stock = state.stock.get(stock_id)
        if refused is not None or stock is None:
            return refused or []
        return [Draft("origin", body, Refs.of(heats=[stock.heat], lots=[stock.lot], files=files))]

    return perform(station, "origin", decide, act_id, evidence=files)


def may_be_entered(state: State, body: Mapping[str, Any]) -> Refusal | None:
    """Of stock that is not accepted yet; one number of a distributor is one paper, whatever stock it came with."""
    stock_id = body["stock_id"]
    stock = state.stock.get(stock_id)
    if stock is None:
        return no("RW503", stock_id, f"{stock_id} is not in the record", "receive it first")
    if stock.state not in ("received", "quarantined"):
        return no("RW517", stock_id, f"{stock_id} is {stock.state}", "quarantine it first")
    if not body.keys() & set(ORIGIN):
        return no("RW517", stock_id, "no paper is named", "name distributor and slip, or the purchase order")
    slip, file = slip_of(body), body.get("slip_file")
    for other in state.stock.bearing("slip", *slip) if all(slip) and file else ():
        if other.stock_id != stock_id and other.origin.get("slip_file", file) != file:
            found = f"{body['slip']} of {body['distributor']} is another file with {other.stock_id}"
            return no("RW510", body["slip"], found, "compare the two papers: one is not it")
    return None


def origin_rows(shop: Shop, stock: Stock) -> Iterator[Row]:
    """Rows of an acceptance: each paper that the shop's specification row asks for, and what of it is missing."""
    asked = next((row.papers for row in shop.specification if row.stock == stock.stock_spec), ())
    if "mill" in asked and stock.certificate:  # without any, its own row says so
        yield _there("mill certificate", stock.certificate, ("mill", "number", "file"))
    for paper, (name, fields) in SOLD.items():
        if paper in asked:
            yield _there(name, stock.origin, fields)


def _there(name: str, held: Mapping[str, Any], fields: tuple[str, ...]) -> Row:
    missing = [WORDS.get(field, field) for field in fields if not held.get(field)]
    said = " ".join(str(held[field]) for field in fields if held.get(field) and "file" not in field)
    found = f"{said or 'none'}: no {', no '.join(missing)}" if missing else said
    return (name, ", ".join(WORDS.get(field, field) for field in fields), found, not missing)
