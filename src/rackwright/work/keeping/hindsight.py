"""Whether every quantity and gate holds in hindsight: the judge of an audit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from rackwright.record import Event, State, replay
from rackwright.trouble import Refusal, Where
from rackwright.work.gates import (
    clauses_met,
    clock_lost,
    contract_allows,
    first,
    gauge_may_measure,
    no,
    not_held,
    not_the_assembler,
    not_who_entered,
    question_open,
    revision_is_referenced,
)
from rackwright.work.keeping.balance import Books, imbalances, post
from rackwright.work.metal.counts import Counted, count_of, miscounts
from rackwright.work.metal.drawn import as_drawn

__all__ = ["in_hindsight", "judged"]


def in_hindsight(
    events: Sequence[Event], steps: Iterable[tuple[Event, State]] | None = None
) -> list[Refusal]:
    """Everything of a whole history that does not balance or should have been refused.

    Quantities: received = in pieces + kerf + trim + remnant + scrap, of every bar, to the nanometre, and of every plate
    by its area, to the square nanometre; and whatever is odd. Books: the same by a second reckoning. Counts. Gates:
    every act that passed one is judged again by what the record held just before it. `steps`: the replay of the
    history, where it is at hand.
    """
    return judged(events, steps)[0]


def judged(
    events: Sequence[Event], steps: Iterable[tuple[Event, State]] | None = None
) -> tuple[list[Refusal], list[Counted]]:
    """The same, and the last count of everything, in one pass over the history."""
    state, books, gates, counts = State(), Books(), list[Refusal](), dict[str, Counted]()
    for event, state in replay(events) if steps is None else steps:
        gates += _past_its_gate(event, state)
        if event.type == "count":
            counts[event.body["stock_id"]] = count_of(event, books)
        post(event, books)
    odd = [_of_event(seq, f"event {seq}: {words}", "correct it by an event") for seq, words in state.odd]
    closed = [
        _of_event(seq, words, "count what is there, then correct it")
        for seq, words in imbalances(books, state)
    ]
    last = [counts[id] for id in sorted(counts)]
    return [*odd, *closed, *miscounts(last), *gates], last


def _of_event(seq: int, found: str, do: str) -> Refusal:
    return Refusal("RW505", Where("the record", 0, f"event {seq}"), found, do)


def _past_its_gate(event: Event, state: State) -> Iterator[Refusal]:
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
    if event.type in ("measure", "gauge_check"):
        made = state.pieces.get(body.get("piece", ""))
        if made is not None and event.by in made.makers:
            return no("RW516", made.piece, f"{event.by} made {made.piece}", "measure it by another inspector")
        return gauge_may_measure(state, body["gauge"], event.at[:10])
    if event.type in ("passport", "weigh"):
        return not_the_assembler(state, event.by, body["serial"]) or gauge_may_measure(
            state, body["gauge"], event.at[:10]
        )
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
        if early:
            return no("RW517", early[0], f"{early[0]} was not released", "see its events")
        return first(*(clauses_met(state, "ship", state.serials[name].order) for name in body["serials"]))
    if event.type == "accept":
        if not all(check["ok"] for check in body["checks"]):
            return no("RW510", body["stock_id"], "it was accepted with a check that failed", "quarantine it")
        if "entered_by" in body:  # an older program asked for no second person
            return not_who_entered(state, event.by, body["stock_id"])
    return None


def _issued(state: State, body: Any) -> Refusal | None:
    stock = state.stock.get(body["stock_id"])
    if stock is None or stock.state != "accepted":
        return no("RW511", body["stock_id"], f"{body['stock_id']} was not accepted stock", "see its events")
    held = not_held(state, stock_id=stock.stock_id, heat=stock.heat)
    authority = revision_is_referenced(state, body["revision"], at_risk_allowed=True)
    question = question_open(state, "sign_out", body["job"], body["revision"])
    drawn = as_drawn(state, stock.stock_id, body["revision"], body.get("pieces", ()))
    return first(held, authority, question, contract_allows(state, "sign_out", body["job"]), drawn)


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
    order = rack.order if rack else ""
    question = question_open(state, "release", order, body["revision"])
    contract = contract_allows(state, "release", order)
    return first(authority, question, contract, not_held(state, serial=body["serial"]))
