"""Acts on stock: received, issued, cut, scrapped, counted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from rackwright.record import Event, State, Stock
from rackwright.work import gates as g
from rackwright.work.gates import first, no
from rackwright.work.keeping.judges.past import Judge, Maybe, Past, means, new
from rackwright.work.metal import counting, origins, storage
from rackwright.work.metal.certified import one_certificate
from rackwright.work.metal.drawn import as_long_as_drawn, goes_to, of_serials
from rackwright.work.metal.examining import may_be_decided, may_be_examined
from rackwright.work.metal.labelling import (
    AsRead,
    as_they_came_off,
    came_off,
    is_this_metal,
    its_own_label,
    may_be_labelled,
)
from rackwright.work.metal.sawing import pieces_not_planned, taken_whole

__all__ = ["JUDGES"]


def _certificate(past: Past, event: Event, state: State, today: str) -> Maybe:
    """Of stock that is not accepted yet; one number of a mill is one paper, with whatever stock it is entered."""
    body, stock = event.body, state.stock.get(event.body["stock_id"])
    if event.type == "certificate" and stock is not None and stock.state not in ("received", "quarantined"):
        return no("RW517", stock.stock_id, f"{stock.stock_id} was {stock.state}", "see its events")
    return one_certificate(state, body.get("certificate", {}), but=body["stock_id"])


def _receive(past: Past, event: Event, state: State, today: str) -> Maybe:
    return new("stock", "stock_id")(past, event, state, today) or _certificate(past, event, state, today)


def _opened(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, stock = event.body, state.stock.get(event.body["stock_id"])
    if stock is None or (stock.lot and stock.state == "accepted" and body["until"] >= today):
        return None
    found = f"{stock.stock_id} is {stock.state} {stock.form}, opened as good until {body['until']}"
    return no("RW511", stock.stock_id, found, "see its events")


def _accept(past: Past, event: Event, state: State, today: str) -> Maybe:
    checks = [(c["name"], c["required"], c["found"], c["ok"]) for c in event.body["checks"]]
    name = event.body["stock_id"]
    asked = "entered_by" in event.body  # an older program asked for no second person
    entered = g.not_who_entered(state, event.by, name) if asked else None
    stock = state.stock.get(name)
    kept = [*storage.storage_rows(stock)] if stock else []
    return first(g.stock_may_be_accepted(state, name, [*checks, *kept]), entered)


def _origin(past: Past, event: Event, state: State, today: str) -> Maybe:
    return origins.may_be_entered(state, event.body)


def _storage(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    may = storage.may_be_stated(state, body, today)
    if may is None and body["within"] != storage.within(body):
        found = f"{body['stock_id']} was stored at {body['lowest']} to {body['highest']}, and `within` says otherwise"
        return no("RW517", body["stock_id"], found, "see its events")
    return may


def _storage_decided(past: Past, event: Event, state: State, today: str) -> Maybe:
    return storage.may_be_decided(state, event.body["stock_id"])


def _there(past: Past, event: Event, state: State, today: str) -> Maybe:
    stock = state.stock.get(event.body["stock_id"])
    if stock is None or stock.state in counting.THERE:
        return None  # what is not known at all, the fold finds odd
    return no("RW517", stock.stock_id, f"{stock.stock_id} was {stock.state}", "see its events")


def _issue(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    name = body["stock_id"]
    racks = (*body.get("serials", ()), *body.get("pieces", ()))
    may = g.stock_may_be_issued(state, name, body["job"], body["revision"], today, racks)
    if "quantity" in body:
        pieces, serials = body.get("pieces", ()), body.get("serials", ())
        if not pieces and not (body["quantity"] > 0 and serials):
            found = f"{body['quantity']} of {name} for {len(serials)} racks"
            return may or no("RW517", name, found, "see its events")
        drawn = goes_to(state, name, body["job"], body["revision"], pieces, ()) if pieces else None
        return first(may, drawn, of_serials(state, body["job"], body["revision"], serials))
    asked = "label" in body or past.labels
    read = is_this_metal(state, name, AsRead.of(body) if "label" in body else None) if asked else None
    return first(
        may, taken_whole(state, name), pieces_not_planned(state, body.get("pieces", ())),
        goes_to(state, name, body["job"], body["revision"], body.get("pieces", ()), body.get("serials", ())), read,
    )  # fmt: skip


def _return(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, stock = event.body, state.stock.get(event.body["stock_id"])
    if stock is None or "quantity" in body:
        return None  # more than was drawn, the fold finds odd
    if stock.off:
        return no("RW511", stock.stock_id, f"{stock.off[0]} had come off {stock.stock_id}", "see its events")
    if stock.state == "issued" and stock.job == body["job"]:
        return None
    return no("RW511", stock.stock_id, f"{stock.stock_id} was not issued to {body['job']}", "see its events")


def _cut(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    names = [each["piece"] for each in body["pieces"]]
    rests = body.get("remnants", ()) or ([body["remnant"]] if body.get("remnant") else [])
    stock, off, long = state.stock.get(body["stock_id"]), None, None
    if event.type == "cut" and stock is not None:
        off = as_they_came_off(stock, names)
        long = as_long_as_drawn(
            state, stock.revision, ((one["piece"], one["length_nm"]) for one in body["pieces"])
        )
    return first(
        g.stock_may_be_cut(state, body["stock_id"], body["job"], names),
        _bar_or_plate(stock, event.type == "profile_cut"),
        off,
        long,
        means(event, state, "cut", today) if event.type == "cut" else None,
        *_remnants(state, stock, rests),
        *_of_its_rack(body["pieces"]),
    )


def _bar_or_plate(stock: Stock | None, at_the_table: bool) -> Maybe:
    """A bar at the saw, a plate at the table."""
    if stock is None or bool(stock.outline) == at_the_table:
        return None
    return no(
        "RW517",
        stock.stock_id,
        f"{stock.stock_id} is no {'plate' if at_the_table else 'bar'}",
        "see its events",
    )


def _of_its_rack(rows: Iterable[Any]) -> Iterator[Maybe]:
    """A piece SERIAL/name is booked to that serial."""
    for one in rows:
        rack, slash, _ = one["piece"].partition("/")
        if slash and rack != one.get("serial", ""):
            found = f"{one['piece']} is booked to {one.get('serial') or 'no rack'}"
            yield no("RW517", one["piece"], found, "see its events")


def _remnants(state: State, of: Stock | None, rests: Iterable[Any]) -> Iterator[Maybe]:
    """Each under an id and a label of its own: one that was given before would take another's place."""
    seen: set[str] = set()
    labels: set[str] = set()
    for one in rests:
        name, read = one["stock_id"], AsRead.of(one)
        if name in state.stock or name in seen:
            yield no("RW517", name, f"{name} was in the record already", "see its events")
        if read.said in labels:
            yield no("RW517", name, f"label {read.said} is on another remnant", "see its events")
        yield its_own_label(state, name, of.heat if of else "", read)
        seen.add(name)
        labels.add(read.said)


def _label(past: Past, event: Event, state: State, today: str) -> Maybe:
    """Of a piece that its bar is out for."""
    body, bar = event.body, state.stock.get(event.body.get("stock_id", ""))
    piece = body.get("piece", "")
    if not piece or bar is None:
        return None  # an older layout's label of stock; what is not known, the fold finds odd
    if bar.state != "issued" or piece not in bar.planned:
        return no("RW511", piece, f"{bar.stock_id} was not signed out for {piece}", "see its events")
    return came_off(state, bar, piece, AsRead.of(body))


def _stock_label(past: Past, event: Event, state: State, today: str) -> Maybe:
    return may_be_labelled(state, event.body["stock_id"], AsRead.of(event.body))


def _examine(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    read = {name: body[name] for name in ("conductivity", "hardness", "weight") if name in body}
    return may_be_examined(state, body["stock_id"], bool(read or body.get("walls")), body["gauges"], today)


def _piece(past: Past, event: Event, state: State, today: str) -> Maybe:
    """Of stock that was taken for it in the same act."""
    body = event.body
    if body["piece"] in past.opened.get(body["stock_id"], ()):
        return first(*g.pieces_are_new(state, [body["piece"]]), *_of_its_rack([body]))
    return no(
        "RW511", body["piece"], f"{body['stock_id']} was not issued for {body['piece']}", "see its events"
    )


def _scrap(past: Past, event: Event, state: State, today: str) -> Maybe:
    return _may_be_scrapped(past, event, state) or _made_unusable(event, state, today)


def _may_be_scrapped(past: Past, event: Event, state: State) -> Maybe:
    body = event.body
    if body.get("piece") in past.condemned:
        return None
    if "piece" in body:
        return counting.piece_may_be_scrapped(state, body["piece"], body["reason"])
    stock, length = state.stock.get(body.get("stock_id", "")), body.get("length_nm")
    if stock is None or (stock.outline and stock.state in counting.THERE):
        return None
    return counting.stock_may_be_scrapped(state, stock.stock_id, body["reason"], length, body.get("quantity"))


def _made_unusable(event: Event, state: State, today: str) -> Maybe:
    """Asked of scrap since its second layout; of an older one neither was stated, and both are empty."""
    body = event.body
    gone = counting.Unusable(body["unusable"], body["witness"])
    if gone == counting.Unusable("", ""):
        return None
    about = body.get("piece") or body.get("stock_id", "")
    return counting.was_made_unusable(state, event.by, about, gone, today)


def _count(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    return counting.may_be_counted(state, body["stock_id"], body.get("length_nm"), body.get("quantity"))


def _by_gauge(past: Past, event: Event, state: State, today: str) -> Maybe:
    return g.gauge_may_measure(state, event.body["gauge"], today)


def _test_bend(past: Past, event: Event, state: State, today: str) -> Maybe:
    return new("test_bends", "bend", "RW503")(past, event, state, today) or _by_gauge(
        past, event, state, today
    )


def _reading_decided(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, stock = event.body, state.stock.get(event.body["stock_id"])
    may = may_be_decided(state, body["stock_id"], body["reading"])
    if may is None and stock is not None and stock.examined[body["reading"]] != body["value"]:
        found = f"{body['reading']} of {stock.stock_id} was {stock.examined[body['reading']]}, not {body['value']}"
        return no("RW517", stock.stock_id, found, "see its events")
    return may


JUDGES: dict[str, Judge] = {
    "receive": _receive, "certificate": _certificate, "accept": _accept, "quarantine": _there, "opened": _opened,
    "origin": _origin, "storage": _storage, "storage_decided": _storage_decided,
    "issue": _issue, "return": _return, "cut": _cut, "profile_cut": _cut, "piece": _piece, "scrap": _scrap,
    "count": _count, "label": _label, "stock_label": _stock_label, "examine": _examine, "inside": _by_gauge,
    "test_bend": _test_bend, "reading_decided": _reading_decided,
}  # fmt: skip
