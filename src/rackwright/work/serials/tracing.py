"""Trace: where a thing came from and where it went."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from rackwright.record import (
    Event,
    Record,
    State,
    area_of,
    corrected,
    project,
    where_gauge_went,
    where_heat_went,
)
from rackwright.record.mentions import Name, mentions
from rackwright.trouble import Stopped
from rackwright.work.gates import no
from rackwright.work.metal.lookalike import alike
from rackwright.work.office.contracts import contract_faults
from rackwright.work.office.lines import line_json, otherwise_quoted
from rackwright.work.office.spent import spent
from rackwright.work.quality.amending import Amended, amendments
from rackwright.work.serials.doubtful import last_good, readings_of, steps_by
from rackwright.work.serials.evidence import standing_of

__all__ = ["trace", "trace_in"]

MAKING = ("cut", "profile_cut", "piece")  # events that make pieces and remnants of stock


def trace_in(record: Record, kind: str, id: str) -> dict[str, Any]:
    """`trace`, of a heat by what the record's index names for it alone: the rest of the history is not read."""
    events = _about_heat(record, id) if kind == "heat" else ()
    return trace(events or record.events(), kind, id)


def _about_heat(record: Record, heat: str) -> Sequence[Event]:
    """Every event that decides what `trace` says of a heat, in order; none where it is not known.

    What names the heat or is of its stock, pieces and serials as far as they are known, and of the stock that such a
    piece was made of anew, until nothing is added; and the frozen revisions, by whose values strengths are compared.
    """
    wanted, known = {("heat", heat), ("lot", heat), ("type", "freeze")}, dict[int, Event]()
    while True:
        known = record.naming(wanted, known)
        events = [known[seq] for seq in sorted(known)]
        state = project(events)
        went = where_heat_went(state, heat)
        found = {("stock", each) for each in went.stock} | {("piece", each) for each in went.pieces}
        found |= {("serial", each) for each in went.serials} | _made_of_other_metal(events, state, wanted)
        if found <= wanted:
            return events if went.stock else ()
        wanted |= found


def _made_of_other_metal(events: Sequence[Event], state: State, wanted: set[Name]) -> set[Name]:
    """The stock of other heats that a piece (or a remnant) in question came from: one that was scrapped is made anew of
    whatever stock is there, and is of its heat then."""
    made = (each for each in events if each.type in MAKING and each.body["stock_id"] not in state.stock)
    of_these = {name for name in wanted if name[0] in ("piece", "stock")}
    return {("stock", each.body["stock_id"]) for each in made if mentions(each) & of_these}


def trace(events: Sequence[Event], kind: str, id: str) -> dict[str, Any]:
    """What the record knows of a heat, piece, serial, gauge or order. Raises Stopped (RW503) for an unknown id."""
    state = project(events)
    found = {"heat": _heat, "piece": _piece, "serial": _serial, "gauge": _gauge, "order": _order}[kind](
        state, id
    )
    if found is None:
        near = alike(id, _names(state, kind))
        do = f"did you mean {', '.join(near)}?" if near else "check the id on the label"
        raise Stopped([no("RW503", id, f"{kind} {id} is not known to the record", do)])
    if kind == "gauge":
        found["steps"] = [_decided(one, near) for one, near in steps_by(corrected(events), state, id)]
    touched = [event for event in events if id in _touched(event, kind)]
    rows = [{"seq": e.seq, "at": e.at, "type": e.type, "by": e.by} for e in touched]
    there = {event.seq for event in touched}
    return {"kind": kind, "id": id, **found, "corrections": [_corrected(one) for one in amendments(events)
            if one.target.seq in there or one.event.seq in there], "events": rows}  # fmt: skip


def _decided(one: Event, near: float | None) -> dict[str, Any]:
    return {"seq": one.seq, "at": one.at, "type": one.body.get("step", one.type), "by": one.by,
            "pieces": list(one.refs.pieces), "serials": list(one.refs.serials),
            "to_limit": None if near is None else f"{near:.4f}"}  # fmt: skip


def _corrected(one: Amended) -> dict[str, Any]:
    return {"seq": one.event.seq, "at": one.event.at, "by": one.event.by, "corrects": one.target.seq,
            "type": one.target.type, "words": one.words, "reason": one.event.body["reason"],
            "changes": list(one.event.body.get("changes", ()))}  # fmt: skip


def _strengths(state: State, stock: Iterable[str]) -> list[dict[str, Any]] | None:
    """As `heat_strengths`; None on a machine that holds the record alone, without the engineering libraries."""
    try:
        from rackwright.work.engineering.heat_strengths import heat_strengths
    except ImportError:
        return None
    return heat_strengths(state, stock)


def _names(state: State, kind: str) -> list[str]:
    if kind == "heat":
        return [name for stock in state.stock.values() for name in (stock.heat, stock.lot)]
    tables: dict[str, Iterable[str]] = {"piece": state.pieces, "serial": state.serials, "gauge": state.gauges,
                                        "order": state.orders}  # fmt: skip
    return list(tables[kind])


def _touched(event: Event, kind: str) -> tuple[str, ...]:
    if kind == "order":
        return (event.body["order"],) if isinstance(event.body.get("order"), str) else ()
    return {"heat": event.refs.heats + event.refs.lots, "piece": event.refs.pieces, "serial": event.refs.serials,
            "gauge": event.refs.gauges}[kind]  # fmt: skip


def _heat(state: State, heat: str) -> dict[str, Any] | None:
    went = where_heat_went(state, heat)
    if not went.stock:
        return None
    stored = {m["piece"]: m for serial in state.serials.values() for m in serial.margins if "piece" in m}
    pieces = [{"piece": piece, "serial": state.pieces[piece].serial, "state": state.pieces[piece].state,
               "margin": stored[piece]["margin"] if piece in stored else None,
               "check": stored[piece]["check"] if piece in stored else None} for piece in went.pieces]  # fmt: skip
    pieces.sort(key=lambda row: (row["margin"] is None, float(row["margin"] or 0), str(row["piece"])))
    return {
        "stock": [_stock(state, id) for id in went.stock],
        "strengths": _strengths(state, went.stock),
        "serials": list(went.serials),
        "pieces": pieces,
    }


def _stock(state: State, id: str) -> dict[str, Any]:
    stock = state.stock[id]
    number = stock.certificate["number"] if stock.certificate else None
    return {"stock_id": id, "state": stock.state, "section": stock.section, "length_nm": stock.length_nm,
            "received_nm": stock.received_nm, "area_nm2": str(stock.area_nm2) if stock.outline else None,
            "received_nm2": str(area_of(stock.outline)) if stock.outline else None,
            "outline_nm": [list(point) for point in stock.outline] or None,
            "certificate": number, "parent": stock.parent or None, "reason": stock.reason or None}  # fmt: skip


def _piece(state: State, id: str) -> dict[str, Any] | None:
    piece = state.pieces.get(id)
    if piece is None:
        return None
    margins = [m for serial in state.serials.values() for m in serial.margins if m.get("piece") == id]
    return {
        "heat": piece.heat, "lot": piece.lot or None, "serial": piece.serial, "state": piece.state,
        "revision": piece.revision, "length_nm": piece.length_nm, "made_by": list(piece.makers),
        "stock": _stock(state, piece.stock_id),
        "strengths": _strengths(state, [piece.stock_id]),
        "measured": [{"characteristic": m.characteristic, "value": m.value, "lower": m.lower, "upper": m.upper,
                      "within": m.within, "undecided": m.undecided, "guard_band": m.r,
                      "accept_lower": m.accept_lower, "accept_upper": m.accept_upper, "gauge": m.gauge,
                      "gauge_due": m.gauge_due, "by": m.by, "seq": m.seq}
                     for m in state.measured(id)],
        "margin": dict(margins[0]) if margins else None,
    }  # fmt: skip


def _serial(state: State, id: str) -> dict[str, Any] | None:
    rack = state.serials.get(id)
    if rack is None:
        return None
    pieces = [piece for piece in state.pieces.values() if piece.serial == id]
    order = state.orders.get(rack.order)
    return {
        "order": rack.order, "customer": order.customer if order else None, "revision": rack.revision,
        "state": rack.state,
        "pieces": [{"piece": p.piece, "heat": p.heat, "stock_id": p.stock_id, "state": p.state} for p in pieces],
        "heats": sorted({p.heat for p in pieces if p.heat}),
        "evidence": [one.to_json() for one in standing_of(state, id)],
        "margins": [dict(m) for m in sorted(rack.margins, key=lambda m: (float(m["margin"]), m.get("piece", "")))],
    }  # fmt: skip


def _gauge(state: State, id: str) -> dict[str, Any] | None:
    gauge = state.gauges.get(id)
    if gauge is None:
        return None
    went, gave = where_gauge_went(state, id), readings_of(state, id)
    return {"gauge_kind": gauge.kind, "due": gauge.due, "state": gauge.state, "uncertainty": gauge.uncertainty,
            "bad_since": gauge.bad_since or None, "last_good": last_good(state, id) or None,
            "readings": [{"seq": one.seq, "at": one.at, "piece": one.piece or None, "serial": one.serial or None,
                          "characteristic": one.characteristic, "value": one.value, "lower": one.lower or None,
                          "upper": one.upper or None, "within": one.within, "undecided": one.undecided, "by": one.by,
                          "to_limit": None if near is None else f"{near:.4f}"} for one, near in gave],
            "passed_pieces": list(went.pieces), "passed_serials": list(went.serials)}  # fmt: skip


def _order(state: State, id: str) -> dict[str, Any] | None:
    order = state.orders.get(id)
    if order is None:
        return None
    quotes = [row for rows in state.quotes.values() for row in rows if row.order == id]
    review = state.reviews.get(id)
    return {
        "customer": order.customer, "quantity": order.quantity, "due": order.due, "document": order.document,
        "lines": [line_json(one) for one in order.lines.values()],
        "quotes": [{"quote": q.quote, "revision": q.revision, "price": q.price, "low": q.low or None,
                    "high": q.high or None, "agreed": q.agreed} for q in quotes],
        "clauses": [{"clause": c.clause, "text": c.text, "met_by": c.met_by, "document": c.document,
                     "before": c.before or None, "evidence": c.evidence or None, "withdrawn": c.withdrawn}
                    for c in state.clauses.get(id, {}).values()],
        "review": review and {"document": review.document, "by": review.by, "at": review.at,
                              "clauses": list(review.clauses), "remarks": review.remarks or None},
        "open": [*(refusal.found for refusal in contract_faults(state, id)),
                 *filter(None, [otherwise_quoted(state, id)])],
        "serials": [{"serial": s.serial, "line": s.line, "state": s.state, "revision": s.revision}
                    for s in state.serials.values()
                    if s.order == id],
        "spent": [{"what": line.name, "unit": line.unit, "quoted": _decimal(line.quoted),
                   "recorded": _decimal(line.recorded), "share": _decimal(line.share)} for line in spent(state, id)],
    }  # fmt: skip


def _decimal(value: Fraction | None) -> str | None:
    return None if value is None else f"{float(value):.3f}"
