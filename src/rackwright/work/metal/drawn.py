"""For whom metal goes out, is it the metal drawn, is it cut as drawn: pure gates beside those of `gates.py`.

A piece is SERIAL/name; one made in another's place is name.2, name.3 .... The frozen revision says of which section and
stock specification each of its pieces is; other metal goes in only where a lead recorded a substitution with the
document in which the holder of the design approval accepts it. A name that the definition does not have (a trial, a
spare) may be made of anything: no rack is released with it. A revision frozen before these were kept is not compared.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, order_known, person_may, serial_known
from rackwright.work.people.founding import LEAD
from rackwright.work.quality.nonconforming import Acceptance, is_written
from rackwright.work.station import Draft, Station, perform

__all__ = ["as_drawn", "as_long_as_drawn", "goes_to", "in_place", "of_serials", "role", "substitute"]


def goes_to(
    state: State, stock_id: str, order: str, revision: str, pieces: Sequence[str], serials: Sequence[str]
) -> Refusal | None:
    """The pieces are named, once each; their serials are of this order and revision; the stock is what is drawn."""
    if not pieces:
        return no("RW517", stock_id, "no piece is named", "name the pieces that it is for")
    twice = next((piece for n, piece in enumerate(pieces) if piece in pieces[:n]), None)
    if twice is not None:
        return no("RW517", twice, f"{twice} is named twice", "name each piece once")
    of = [piece.partition("/")[0] for piece in pieces if "/" in piece]
    wanted = sorted({*serials, *of} - {""})
    return of_serials(state, order, revision, wanted) or as_drawn(state, stock_id, revision, pieces)


def of_serials(state: State, order: str, revision: str, serials: Sequence[str]) -> Refusal | None:
    """The serials are racks of this order and revision."""
    for serial in serials:
        rack = state.serials.get(serial)
        if rack is None:
            return serial_known(state, serial)
        if (rack.order, rack.revision) != (order, revision):
            found = f"{serial} is of {rack.order}, {rack.revision}, not of {order}, {revision}"
            return no("RW514", serial, found, "sign it out for the rack's own order and revision")
        if rack.state in ("cancelled", "scrapped"):
            why = f": {rack.order} no longer asks for it" if rack.state == "cancelled" else ""
            found = f"{serial} is {rack.state}{why}"
            return no("RW517", serial, found, "sign it out for a rack that is to be made")
    return order_known(state, order)


def as_drawn(state: State, stock_id: str, revision: str, pieces: Sequence[str]) -> Refusal | None:
    """The stock is of the section and specification of each of these pieces, or is let in its place."""
    stock, drawn = state.stock.get(stock_id), _metal(state, revision)
    if stock is None:
        return None  # which stock may be issued is another gate's question
    for piece in pieces:
        section, spec = drawn.get(role(state, revision, piece)) or (stock.section, stock.stock_spec)
        if (section, spec) != (stock.section, stock.stock_spec) and piece not in stock.instead:
            found = (
                f"{piece} is drawn of {section}, {spec}; {stock_id} is {stock.section}, {stock.stock_spec}"
            )
            do = "issue the metal drawn, or record its substitution with the holder's document: "
            return no("RW511", piece, found, f"{do}rackwright log substitute")
    return None


def as_long_as_drawn(state: State, revision: str, cut: Iterable[tuple[str, int]]) -> Refusal | None:
    """Each sawn piece (id, nm) is as long as its frozen revision draws it, within what the saw may be off. One frozen
    before lengths were kept, or without its shop's text, is not compared; nor is a name of no definition."""
    frozen = state.revisions.get(revision)
    drawn: Mapping[str, Any] = frozen.values.get("lengths", {}) if frozen else {}
    for piece, length in cut if drawn else ():
        nominal, off = drawn.get(role(state, revision, piece), (length, 0))
        if abs(length - nominal) > off:
            found = f"{piece} is drawn {_in(nominal)} long, within {_in(off)}; it is cut {_in(length)}"
            do = "measure it again; a piece so cut is no piece of this rack: book its length with the rest or the scrap"
            return no("RW517", piece, found, do)
    return None


def _in(nm: int) -> str:
    return f"{nm / 25_400_000:.4f}".rstrip("0").rstrip(".") + " in"


def role(state: State, revision: str, piece: str) -> str:
    """The name that a definition has for a piece: without its serial, and without the number of a replacement."""
    name = piece.partition("/")[2]
    return name if name in _metal(state, revision) else re.sub(r"\.\d+$", "", name)


def in_place(state: State, serial: str, name: str) -> str:
    """The id of what stands where the definition has this name: of a rack that was mended, what took the place of the
    first; a spare that is not in the rack does not."""
    rack = state.serials.get(serial)
    there = [one for one in rack.pieces if role(state, rack.revision, one) == name] if rack else []
    fitted = [one for one in there if one in state.pieces and state.pieces[one].state == "assembled"]
    return next(iter(fitted or there), f"{serial}/{name}")


def _metal(state: State, revision: str) -> Mapping[str, Any]:
    """By piece: section and stock specification, as the revision was frozen."""
    frozen = state.revisions.get(revision)
    return frozen.values.get("metal", {}) if frozen else {}


def substitute(
    station: Station, stock_id: str, revision: str, pieces: Sequence[str], reason: str, accepted: Acceptance,
    act_id: str = "",
) -> Appended:  # fmt: skip
    """A lead lets this stock go into these pieces in place of the metal drawn: why, and where the holder of the design
    approval accepts it. Margins as built are then those of this metal (`engineering/metal_as_made.py`)."""

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        refused = first(
            person_may(state, station.person, LEAD, station.today), _there(state, stock_id, revision)
        )
        if refused is None and not (pieces and reason.strip()):
            refused = no("RW517", stock_id, "no piece or no reason is given", "name the pieces and say why")
        if refused is None and not accepted.whole:
            found = f"the substitution of {stock_id} has no acceptance by the holder of the design approval"
            refused = no(
                "RW520", stock_id, found, "record its document, signer and date; or use the metal drawn"
            )
        refused = refused or is_written(stock_id, accepted.document, accepted.date, station.today)
        if refused is not None or stock is None:
            return refused or []
        body: dict[str, object] = {
            "stock_id": stock_id, "revision": revision, "pieces": list(pieces), "reason": reason,
            "document": accepted.document, "signer": accepted.signer, "date": accepted.date,
        }  # fmt: skip
        return [Draft("substitute", body, Refs.of(heats=[stock.heat], lots=[stock.lot], pieces=pieces))]

    return perform(station, "substitute", decide, act_id)


def _there(state: State, stock_id: str, revision: str) -> Refusal | None:
    stock = state.stock.get(stock_id)
    if stock is None:
        return no("RW503", stock_id, f"{stock_id} is not in the record", "check the id on the label")
    if stock.state != "accepted":
        return no("RW511", stock_id, f"{stock_id} is {stock.state}", "accept it first; what is cut is cut")
    if revision not in state.revisions:
        return no("RW514", revision, f"revision {revision} is not frozen", "freeze the definition first")
    return None
