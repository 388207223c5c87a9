"""The lines of an order: one comes, changes or goes by the customer's document, and what racks are numbered in it.

An order begins with its first line. Each later one, a changed quantity, date or price, and a line that is withdrawn is
an event of its own that says how the line stands from then on; the contract is reviewed again before metal is signed
out or a rack released. Racks that are no longer to be made are named, or are all of the line that were not released:
they stay in the record as cancelled. What has been released is not taken back by an amendment.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rackwright.record import Appended, Refs, State
from rackwright.record.office import Line, Order, Quote
from rackwright.record.state import Serial
from rackwright.trouble import Refusal
from rackwright.work.gates import agreed_quote, first, no, order_known, person_may
from rackwright.work.people.founding import LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = [
    "LineChange", "as_ordered", "has_line", "line_json", "line_may_stand", "line_of", "may_be_numbered",
    "order_line", "otherwise_quoted", "serials_fit",
]  # fmt: skip


@dataclass(frozen=True)
class LineChange:
    """What an amendment says of a line; what it does not say (None, "", ()) stays. A new line says variation, quantity
    and due."""

    document: str
    reason: str = ""
    variation: str = ""
    quantity: int | None = None
    due: str = ""
    price: str = ""
    aircraft_serials: Sequence[str] = ()
    withdrawn: bool = False
    without: Sequence[str] = ()


def order_line(station: Station, order: str, line: str, change: LineChange, act_id: str = "") -> Appended:
    """A line of an order as it stands from now on, by the lead."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(person_may(state, station.person, LEAD, station.today), order_known(state, order))
        before = state.orders[order].lines.get(line) if order in state.orders else None
        body = _body(order, line, before, change)
        refused = refused or _whole(line, before, body) or line_may_stand(state, body)
        return refused or [Draft("order_line", body, Refs.of(serials=change.without))]

    return perform(station, "order_line", decide, act_id)


def _body(order: str, line: str, before: Line | None, change: LineChange) -> dict[str, Any]:
    """The whole line: as it stood, with what is changed."""
    held = before or Line(line, "", 0, "", 0)
    quantity = held.quantity if change.quantity is None else change.quantity
    body: dict[str, Any] = {
        "line": line, "order": order, "variation": change.variation or held.variation, "quantity": quantity,
        "document": change.document,
    }  # fmt: skip
    more = {
        "due": change.due or held.due, "price": change.price or held.price, "reason": change.reason,
        "aircraft_serials": [*(change.aircraft_serials or held.aircraft_serials)], "withdrawn": change.withdrawn,
        "without": [*change.without],
    }  # fmt: skip
    return body | {name: value for name, value in more.items() if value}


def _whole(line: str, before: Line | None, body: Mapping[str, Any]) -> Refusal | None:
    """A new line is given whole; a change changes something."""
    if body.get("withdrawn") and before is None:
        return None  # asked by the gate
    if before is None:
        missing = [name for name in ("variation", "quantity", "due") if not body.get(name)]
        return no("RW517", line, f"line {line} is new and has no {', '.join(missing)}",
                  "give its definition's file, quantity and due") if missing else None  # fmt: skip
    now = Line(line, body["variation"], body["quantity"], body.get("due", ""), before.seq,
               tuple(body.get("aircraft_serials", ())), before.document, body.get("price", ""),
               body.get("withdrawn", False), before.reason)  # fmt: skip
    if now == before and not body.get("without"):
        return no("RW517", line, f"line {line} stands so already", "say what is changed")
    return None


# --- gates, asked again by the judge ---------------------------------------------------------------


def line_may_stand(state: State, body: Mapping[str, Any]) -> Refusal | None:
    """The amendment has its document, and its reason where the line was there; nothing released falls out of it."""
    if refused := order_known(state, body["order"]):
        return refused
    name, before = body["line"], state.orders[body["order"]].lines.get(body["line"])
    if not body["document"].strip():
        return no("RW517", name, "no document is named", "name the customer's document that says so")
    if before is not None and not body.get("reason", "").strip():
        return no("RW517", name, f"line {name} is there, and no reason is given", "say why it is changed")
    racks = state.racks(body["order"], name)
    if body.get("withdrawn"):
        return _not_there(name, before) or _nothing_gone(name, racks)
    if not body["quantity"]:
        return no("RW517", name, f"line {name} is for no rack", "give its quantity, or withdrawn=yes")
    return first(_its_variation(name, before, body, racks), *_may_fall_out(name, body, racks),
                 _room(name, body, racks))  # fmt: skip


def _not_there(name: str, before: Line | None) -> Refusal | None:
    if before is not None and not before.withdrawn:
        return None
    return no("RW503", name, f"there is no line {name} to withdraw", "check its name")


def _nothing_gone(name: str, racks: Sequence[Serial]) -> Refusal | None:
    gone = [rack.serial for rack in racks if rack.state != "planned"]
    if not gone:
        return None
    found = f"{', '.join(gone)} of line {name} {'is' if len(gone) == 1 else 'are'} released"
    return no("RW517", name, found, f"change its quantity to {len(gone)} and name the racks that fall out")


def _its_variation(
    name: str, before: Line | None, body: Mapping[str, Any], racks: Sequence[Serial]
) -> Refusal | None:
    if before is None or not racks or before.variation == body["variation"]:
        return None
    found = f"line {name} has racks of {before.variation}, not of {body['variation']}"
    return no("RW517", name, found, "withdraw the line and add one, or let these racks fall out first")


def _may_fall_out(name: str, body: Mapping[str, Any], racks: Sequence[Serial]) -> list[Refusal | None]:
    states = {rack.serial: rack.state for rack in racks}
    return [
        no("RW517", one, f"{one} is {states.get(one, f'no rack of line {name}')}",
           "name racks of the line that are not released")
        for one in body.get("without", ())
        if states.get(one) != "planned"
    ]  # fmt: skip


def _room(name: str, body: Mapping[str, Any], racks: Sequence[Serial]) -> Refusal | None:
    left = len(racks) - len(set(body.get("without", ())))
    if left <= body["quantity"]:
        return None
    found = f"{left} racks of line {name} have their serials, for {body['quantity']}"
    return no("RW517", name, found, "name the racks that fall out: without=SERIAL,...")


def may_be_numbered(state: State, order: str, line: str, revision: str) -> Refusal | None:
    """One more rack of this line may get its number, by this revision."""
    known = state.orders.get(order)
    if known is None:
        return order_known(state, order)
    of = known.lines.get(line)
    if of is None or of.withdrawn:
        there = ", ".join(one.line for one in known.standing) or "none"
        return no("RW503", order, f"{order} has no line {line} to be made", f"its lines are {there}")
    frozen = state.revisions.get(revision)
    if frozen is None:
        return no("RW514", revision, f"revision {revision} is not frozen", "freeze it first")
    if frozen.variation not in ("", of.variation):
        found = f"line {line} of {order} is for {of.variation}, {revision} is of {frozen.variation}"
        return no("RW514", order, found, "number them by a revision of the line's variation")
    return None


def serials_fit(state: State, order: str, line: str, names: Sequence[str]) -> Refusal | None:
    """As many new serials as the line has racks without one."""
    of, there = state.orders[order].lines[line], [rack.serial for rack in state.racks(order, line)]
    what = state.orders[order].named(line)
    if there and len(there) >= of.quantity:
        return no("RW517", order, f"{what} has its serials: {', '.join(there)}", "use these")
    if len(names) != of.quantity - len(there):
        found = f"{len(names)} serials for {of.quantity - len(there)} racks"
        return no("RW517", order, f"{found} of {what}", "give one serial a rack")
    taken = [name for n, name in enumerate(names) if name in state.serials or name in names[:n]]
    return no("RW517", taken[0], f"serial {taken[0]} is used", "give a new serial") if taken else None


def line_of(state: State, order: str, line: str) -> str | Refusal:
    """The line named, or the only one that stands."""
    known = state.orders.get(order)
    standing = [one.line for one in known.standing] if known else []
    if line or len(standing) == 1:
        return line or standing[0]
    refused = order_known(state, order)
    do = f"name the line: line={standing[0]}" if standing else "add a line: rackwright log order_line"
    return refused or no("RW517", order, f"{order} has {len(standing)} lines", do)


def has_line(state: State, order: str, line: str) -> Refusal | None:
    """Is there such a line, whether it stands or not?"""
    known = state.orders.get(order)
    if known is not None and line in known.lines:
        return None
    there = f"its lines are {', '.join(known.lines)}" if known else "name the order"
    return no("RW503", line, f"{order or 'no order'} has no line {line}", there)


def line_json(line: Line) -> dict[str, Any]:
    """A line as it stands, as plain data."""
    return {
        "line": line.line, "variation": line.variation, "quantity": line.quantity, "due": line.due,
        "price": line.price or None, "document": line.document, "withdrawn": line.withdrawn,
        "reason": line.reason or None, "aircraft_serials": list(line.aircraft_serials), "seq": line.seq,
    }  # fmt: skip


# --- beside the quote ------------------------------------------------------------------------------


def as_ordered(state: State, order: str, quote: Quote) -> Refusal | None:
    """The lines of an order are what this quote offers, alone or with the quotes agreed before. A quote by an older
    program does not say."""
    if not quote.lines or order not in state.orders:
        return None
    ordered, offered = _racks(state.orders[order]), Counter(dict(quote.lines))
    before = [
        row
        for rows in state.quotes.values()
        for row in rows
        if row.agreed and row.order == order and row.seq != quote.seq
    ]
    together = sum((Counter(dict(row.lines)) for row in before), offered)
    if ordered in (offered, together):
        return None
    found = (
        f"{order} is for {_words(ordered)}, {quote.quote} revision {quote.revision} offers {_words(offered)}"
    )
    return no("RW517", order, found, "quote what is ordered, or record its lines: rackwright log order_line")


def otherwise_quoted(state: State, order: str) -> str:
    """How the order as it stands differs from the newest quote that was agreed for it; "" where it does not."""
    quote = agreed_quote(state, order)
    refused = as_ordered(state, order, quote) if quote else None
    return refused.found if refused else ""


def _racks(order: Order) -> Counter[str]:
    found: Counter[str] = Counter()
    for line in order.standing:
        found[line.variation] += line.quantity
    return found


def _words(racks: Mapping[str, int]) -> str:
    return ", ".join(f"{number} x {variation}" for variation, number in sorted(racks.items())) or "nothing"
