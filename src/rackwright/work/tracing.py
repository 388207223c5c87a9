"""Trace and audit: where a thing came from and went, and whether every quantity and gate holds in hindsight."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from rackwright.record import (
    Event,
    Record,
    State,
    area_of,
    project,
    replay,
    where_gauge_went,
    where_heat_went,
)
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.balance import imbalances
from rackwright.work.counts import miscounts
from rackwright.work.gates import (
    clock_lost,
    gauge_may_measure,
    no,
    not_held,
    question_open,
    revision_is_referenced,
)
from rackwright.work.lookalike import alike

__all__ = ["JUDGES", "trace", "trace_in"]

KINDS = ("heat", "piece", "serial", "gauge")


def trace_in(record: Record, kind: str, id: str) -> dict[str, Any]:
    """`trace`, of a heat by what the record's index names for it alone: the rest of the history is not read."""
    events = _about_heat(record, id) if kind == "heat" else ()
    return trace(events or record.events(), kind, id)


def _about_heat(record: Record, heat: str) -> Sequence[Event]:
    """Every event that decides what `trace` says of a heat, in order; none where it is not known.

    What names the heat or is of its stock, pieces and serials as far as they are known, until nothing is added; and
    the frozen revisions, by whose values strengths are compared.
    """
    wanted, known = {("heat", heat), ("lot", heat), ("type", "freeze")}, dict[int, Event]()
    while True:
        known = record.naming(wanted, known)
        events = [known[seq] for seq in sorted(known)]
        went = where_heat_went(project(events), heat)
        found = {("stock", each) for each in went.stock} | {("piece", each) for each in went.pieces}
        found |= {("serial", each) for each in went.serials}
        if found <= wanted:
            return events if went.stock else ()
        wanted |= found


def trace(events: Sequence[Event], kind: str, id: str) -> dict[str, Any]:
    """What the record knows of a heat, piece, serial or gauge. Raises Stopped (RW503) for an unknown id."""
    state = project(events)
    found = {"heat": _heat, "piece": _piece, "serial": _serial, "gauge": _gauge}[kind](state, id)
    if found is None:
        near = alike(id, _names(state, kind))
        do = f"did you mean {', '.join(near)}?" if near else "check the id on the label"
        raise Stopped([no("RW503", id, f"{kind} {id} is not known to the record", do)])
    touched = [event for event in events if id in _touched(event, kind)]
    rows = [{"seq": e.seq, "at": e.at, "type": e.type, "by": e.by} for e in touched]
    return {"kind": kind, "id": id, **found, "events": rows}


def _strengths(state: State, stock: Iterable[str]) -> list[dict[str, Any]] | None:
    """As `heat_strengths`; None on a machine that holds the record alone, without the engineering libraries."""
    try:
        from rackwright.work.heat_strengths import heat_strengths
    except ImportError:
        return None
    return heat_strengths(state, stock)


def _names(state: State, kind: str) -> list[str]:
    if kind == "heat":
        return [name for stock in state.stock.values() for name in (stock.heat, stock.lot)]
    return list({"piece": state.pieces, "serial": state.serials, "gauge": state.gauges}[kind])


def _touched(event: Event, kind: str) -> tuple[str, ...]:
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
                      "within": m.within, "gauge": m.gauge, "gauge_due": m.gauge_due, "by": m.by, "seq": m.seq}
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
        "margins": [dict(m) for m in sorted(rack.margins, key=lambda m: (float(m["margin"]), m.get("piece", "")))],
    }  # fmt: skip


def _gauge(state: State, id: str) -> dict[str, Any] | None:
    gauge = state.gauges.get(id)
    if gauge is None:
        return None
    went = where_gauge_went(state, id)
    return {"gauge_kind": gauge.kind, "due": gauge.due, "state": gauge.state, "uncertainty": gauge.uncertainty,
            "passed_pieces": list(went.pieces), "passed_serials": list(went.serials)}  # fmt: skip


# --- the judges of an audit ----------------------------------------------------------------------


def quantities(events: Sequence[Event]) -> Iterator[Refusal]:
    """Received = in pieces + kerf + trim + remnant + scrap, of every bar, to the nanometre, and of every plate by its
    area, to the square nanometre; and whatever is odd."""
    for seq, words in project(events).odd:
        yield Refusal(
            "RW505", Where("the record", 0, f"event {seq}"), f"event {seq}: {words}", "correct it by an event"
        )


def books(events: Sequence[Event]) -> Iterator[Refusal]:
    """The same by a second reckoning, of every bar and lot: an independent count that must agree."""
    for seq, words in imbalances(events):
        yield Refusal(
            "RW505", Where("the record", 0, f"event {seq}"), words, "count what is there, then correct it"
        )


def gates_in_hindsight(events: Sequence[Event]) -> Iterator[Refusal]:
    """Every act that passed a gate is judged again by what the record held just before it."""
    for event, state in replay(events):
        early = event.type not in ("refusal", "clock", "correction") and clock_lost(state.latest, event.at)
        refused = early or _judge(event, state)
        if refused is not None:
            found = f"event {event.seq} ({event.type}) should have been refused: {refused.found}"
            yield Refusal(refused.code, Where("the record", 0, f"event {event.seq}"), found, refused.do)


def _judge(event: Event, state: State) -> Refusal | None:
    body = event.body
    if state.signatures and not event.known.signed and event.type != "refusal":
        return no(
            "RW545", event.by, f"{event.type} of {event.by} was to be signed, and is not", "see who did it"
        )
    if event.type == "issue":
        return _issued(state, body)
    if event.type in ("cut", "profile_cut"):
        stock = state.stock.get(body["stock_id"])
        if stock is None or stock.state != "issued" or stock.job != body["job"]:
            return no(
                "RW511",
                body["stock_id"],
                f"{body['stock_id']} was not issued to {body['job']}",
                "see its events",
            )
        return not_held(state, stock_id=stock.stock_id, heat=stock.heat)
    if event.type == "measure":
        made = state.pieces.get(body.get("piece", ""))
        if made is not None and event.by in made.makers:
            return no("RW516", made.piece, f"{event.by} made {made.piece}", "measure it by another inspector")
        return gauge_may_measure(state, body["gauge"], event.at[:10])
    if event.type in ("passport", "weigh"):
        return gauge_may_measure(state, body["gauge"], event.at[:10])
    if event.type == "assemble":
        gauges = (gauge_may_measure(state, gauge, event.at[:10]) for gauge in body.get("gauges", ()))
        return next((bad for bad in gauges if bad), None) or not_held(state, serial=body["serial"])
    if event.type == "release":
        return _released(state, body)
    if event.type == "ship":
        early = [
            name
            for name in body["serials"]
            if name not in state.serials or state.serials[name].state != "released"
        ]
        return no("RW517", early[0], f"{early[0]} was not released", "see its events") if early else None
    if event.type == "accept" and not all(check["ok"] for check in body["checks"]):
        return no("RW510", body["stock_id"], "it was accepted with a check that failed", "quarantine it")
    return None


def _issued(state: State, body: Any) -> Refusal | None:
    stock = state.stock.get(body["stock_id"])
    if stock is None or stock.state != "accepted":
        return no("RW511", body["stock_id"], f"{body['stock_id']} was not accepted stock", "see its events")
    held = not_held(state, stock_id=stock.stock_id, heat=stock.heat)
    authority = revision_is_referenced(state, body["revision"], at_risk_allowed=True)
    return held or authority or question_open(state, "sign_out", body["job"], body["revision"])


def _released(state: State, body: Any) -> Refusal | None:
    rack = state.serials.get(body["serial"])
    for name in body.get("pieces", ()):
        made = state.pieces.get(name)
        if made is None or not (made.heat or made.lot):
            return no("RW510", name, f"{name} had no heat", "replace it by a piece whose heat is known")
    authority = revision_is_referenced(state, body["revision"], at_risk_allowed=False)
    behind = body.get("values", {})  # a release by an older program names no report
    last = state.report_of(body["revision"])
    if "report" in behind and (last is None or not last.released_by or last.file != behind["report_file"]):
        return no("RW535", body["serial"], f"report {behind['report']} was not released", "see its events")
    question = question_open(state, "release", rack.order if rack else "", body["revision"])
    return authority or question or not_held(state, serial=body["serial"])


JUDGES = (quantities, books, miscounts, gates_in_hindsight)
