"""At the saw: sign metal out to an order, cut it, and account for every nanometre.

A bar or plate is issued whole, for named pieces of named serials (what is cut from a plate: `plates.py`). When a bar
is cut, pieces, kerf, trim, remnant and scrap add up to what was issued; pieces and remnant inherit the heat. The bar
leaves the saw only with its remnant's label.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rackwright.record import Appended, Refs, State, Stock
from rackwright.trouble import Refusal
from rackwright.work.controlled import controlled, means_named
from rackwright.work.gates import (
    first,
    no,
    person_may,
    pieces_are_new,
    stock_may_be_cut,
    stock_may_be_issued,
)
from rackwright.work.metal.drawn import as_long_as_drawn, goes_to
from rackwright.work.metal.labelling import as_read, as_they_came_off, is_this_metal, its_own_label
from rackwright.work.people.founding import MACHINING, SAW
from rackwright.work.people.scopes import in_scope
from rackwright.work.station import Draft, Station, perform

__all__ = [
    "CutPiece",
    "Visit",
    "cut",
    "issue",
    "make_from",
    "piece_id",
    "pieces_not_planned",
    "return_stock",
    "taken_whole",
]


def piece_id(serial: str, piece: str) -> str:
    """The id of a physical piece: which rack's, and its role there."""
    return f"{serial}/{piece}"


@dataclass(frozen=True)
class CutPiece:
    """One piece as cut: its id, its serial, its length."""

    piece: str
    serial: str
    length_nm: int


@dataclass(frozen=True)
class Visit:
    """One bar's visit to the saw: what was cut, what the blade and the squaring took, what is left.

    `remnant` is the id of what goes back to the rack, "" when the rest is scrap.
    """

    stock_id: str
    pieces: tuple[CutPiece, ...]
    kerf_nm: int
    trim_nm: int
    rest_nm: int
    remnant: str
    label: str
    machine: str
    gauges: tuple[str, ...] = ()  # the stop that set the lengths


def issue(
    station: Station, stock_id: str, order: str, revision: str, pieces: Sequence[str], serials: Sequence[str],
    act_id: str = "", label: str = "",
) -> Appended:  # fmt: skip
    """Sign a bar, or a plate, out to an order for these pieces. `label`: as read off the metal, "" where none was."""
    read = as_read(label) if label.strip() else None

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(person_may(state, station.person, _role(state, stock_id), station.today),
                        stock_may_be_issued(state, stock_id, order, revision, station.today,
                                            (*serials, *pieces)),
                        taken_whole(state, stock_id), pieces_not_planned(state, pieces),
                        goes_to(state, stock_id, order, revision, pieces, serials),
                        is_this_metal(state, stock_id, read))  # fmt: skip
        if refused is not None:
            return refused
        stock, frozen = state.stock[stock_id], state.revisions[revision]
        body = {"stock_id": stock_id, "job": order, "revision": revision, "pieces": list(pieces),
                **_whole(stock), "serials": sorted(set(serials)),
                "at_risk": not frozen.approvals, **(read.to_json() if read else {})}  # fmt: skip
        return [Draft("issue", body, Refs.of(heats=[stock.heat], pieces=pieces, serials=serials))]

    return perform(station, "issue", decide, act_id)


def _role(state: State, stock_id: str) -> str:
    """Plates are the machinist's."""
    return MACHINING if stock_id in state.stock and state.stock[stock_id].outline else SAW


def _whole(stock: Stock) -> dict[str, object]:
    """All of a bar or plate, as events keep it."""
    return {"area_nm2": str(stock.area_nm2)} if stock.outline else {"length_nm": stock.length_nm}


def taken_whole(state: State, stock_id: str) -> Refusal | None:
    """A bar or a plate, not what is counted."""
    stock = state.stock.get(stock_id)
    if stock is None or stock.length_nm or stock.outline:
        return None  # which stock may be issued is another gate's question
    return no("RW511", stock_id, f"{stock_id} is counted, not cut to length", "take a number of it")


def pieces_not_planned(state: State, pieces: Sequence[str]) -> Refusal | None:
    """No other bar or plate is out for one of these pieces."""
    for piece in pieces:
        for stock in state.stock.bearing("planned", piece):
            found = f"{piece} is already planned from {stock.stock_id}"
            return no("RW511", piece, found, "return that first")
    return None


def return_stock(station: Station, stock_id: str, order: str, act_id: str = "") -> Appended:
    """An issued bar or plate goes back unused."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, _role(state, stock_id), station.today)
        stock = state.stock.get(stock_id)
        if refused is None and (stock is None or stock.state != "issued" or stock.job != order):
            refused = no("RW511", stock_id, f"{stock_id} is not issued to {order}", "check the label")
        if refused is None and stock is not None and stock.off:
            found = f"{stock.off[0]} came off {stock_id}"
            refused = no("RW511", stock_id, found, "book the visit; what is left goes back as its remnant")
        if refused is not None or stock is None:
            return refused or []
        body = {"stock_id": stock_id, "job": order, **_whole(stock)}
        return [Draft("return", body, Refs.of(heats=[stock.heat]))]

    return perform(station, "return", decide, act_id)


def cut(station: Station, order: str, visit: Visit, act_id: str = "") -> Appended:
    """Record a visit to the saw. Refused unless it balances to the nanometre and its remnant has a label."""

    def decide(state: State) -> list[Draft] | Refusal:
        names, kinds = [piece.piece for piece in visit.pieces], controlled(state, "cut")
        refused = first(person_may(state, station.person, SAW, station.today),
                        stock_may_be_cut(state, visit.stock_id, order, names), _balanced(state, visit),
                        _of_its_rack(visit.pieces), _as_long_as_drawn(state, visit),
                        as_they_came_off(state.stock.get(visit.stock_id), names),
                        means_named(state, "cut", kinds, visit.gauges, station.today))  # fmt: skip
        if refused is not None:
            return refused
        heat = state.stock[visit.stock_id].heat
        body: dict[str, object] = {
            "stock_id": visit.stock_id, "job": order, "kerf_nm": visit.kerf_nm, "trim_nm": visit.trim_nm,
            "pieces": [{"piece": p.piece, "serial": p.serial, "length_nm": p.length_nm} for p in visit.pieces],
            "scrap_nm": 0 if visit.remnant else visit.rest_nm, "machine": visit.machine, "gauges": list(visit.gauges),
            "controlled": list(kinds),
        }  # fmt: skip
        if visit.remnant:
            body["remnant"] = {
                "stock_id": visit.remnant,
                "length_nm": visit.rest_nm,
                **as_read(visit.label).to_json(),
            }
        serials = [piece.serial for piece in visit.pieces]
        return [Draft("cut", body, Refs.of(heats=[heat], pieces=names, serials=serials, gauges=visit.gauges))]

    return perform(station, "cut", decide, act_id)


def _as_long_as_drawn(state: State, visit: Visit) -> Refusal | None:
    bar = state.stock.get(visit.stock_id)
    cut = ((one.piece, one.length_nm) for one in visit.pieces)
    return as_long_as_drawn(state, bar.revision, cut) if bar else None


def _of_its_rack(pieces: Sequence[CutPiece]) -> Refusal | None:
    """A piece SERIAL/name is booked to that serial."""
    for one in pieces:
        rack, slash, _ = one.piece.partition("/")
        if slash and rack != one.serial:
            found = f"{one.piece} is booked to {one.serial or 'no rack'}"
            return no("RW517", one.piece, found, "book it to the rack that its id names")
    return None


def _balanced(state: State, visit: Visit) -> Refusal | None:
    if visit.stock_id not in state.stock:
        return None  # which stock may be cut is another gate's question
    have = state.stock[visit.stock_id].length_nm
    if not have:
        found = f"{visit.stock_id} is no bar"
        return no("RW517", visit.stock_id, found, "what is cut from a plate is recorded as its profile_cut")
    used = sum(piece.length_nm for piece in visit.pieces) + visit.kerf_nm + visit.trim_nm + visit.rest_nm
    if used != have:
        return no("RW517", visit.stock_id, f"pieces, kerf, trim and rest are {used} nm, the bar is {have} nm",
                  "measure the rest again and correct the entry")  # fmt: skip
    if visit.remnant in state.stock:
        return no("RW517", visit.remnant, f"{visit.remnant} is in the record already", "give it its own id")
    if visit.remnant and not visit.label.strip():
        return no(
            "RW517", visit.remnant, "the remnant has no label", "label it before the bar leaves the saw"
        )
    heat = state.stock[visit.stock_id].heat
    return its_own_label(state, visit.remnant, heat, as_read(visit.label)) if visit.remnant else None


def make_from(station: Station, stock_id: str, order: str, revision: str, pieces: Sequence[CutPiece],
              act_id: str = "", taken: int | None = None) -> Appended:  # fmt: skip
    """Pieces made from counted stock (blanks, plate, sheet): the stock is issued and each piece gets its heat.

    `taken` of it are opened (plates that give several pieces); without it one for each piece.
    """
    wanted = len(pieces) if taken is None else taken

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        refused = first(person_may(state, station.person, MACHINING, station.today),
                        in_scope(state, station.person, "piece"),
                        stock_may_be_issued(state, stock_id, order, revision, station.today,
                                            [piece.serial for piece in pieces]),
                        *pieces_are_new(state, [piece.piece for piece in pieces]), _of_its_rack(pieces))  # fmt: skip
        if refused is None and stock is not None and stock.outline:
            refused = no("RW511", stock_id, f"{stock_id} is a plate that is kept by its shape",
                         "issue it for the pieces, then record its profile_cut")  # fmt: skip
        if refused is None and stock is not None and stock.quantity < wanted:
            refused = no("RW511", stock_id, f"{stock.quantity} of {stock_id} are left, {wanted} are needed",
                         "receive more of it")  # fmt: skip
        names, serials = [piece.piece for piece in pieces], [piece.serial for piece in pieces]
        refused = refused or goes_to(state, stock_id, order, revision, names, serials)
        if refused is not None or stock is None:
            return refused or []
        body = {
            "stock_id": stock_id,
            "job": order,
            "revision": revision,
            "quantity": wanted,
            "pieces": names,
        }
        refs = Refs.of(heats=[stock.heat], pieces=names, serials=serials)
        made = [Draft("piece", {"piece": piece.piece, "stock_id": stock_id, "serial": piece.serial, "job": order},
                      Refs.of(heats=[stock.heat], pieces=[piece.piece], serials=[piece.serial]))
                for piece in pieces]  # fmt: skip
        return [Draft("issue", body, refs), *made]

    return perform(station, "issue", decide, act_id)
