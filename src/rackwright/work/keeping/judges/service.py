"""A rack after its release: it came back, was worked on, carries other boxes, went back to service."""

from __future__ import annotations

from rackwright.record import Event, State
from rackwright.work import gates as g
from rackwright.work.gates import first
from rackwright.work.hold_points import signed_whole
from rackwright.work.keeping.judges.past import Judge, Maybe, Past
from rackwright.work.metal.witnessing import scrap_seen
from rackwright.work.serials.evidence import evidence_there
from rackwright.work.service.coming_back import in_hands, may_come_back
from rackwright.work.service.standing_gates import (
    all_works_named,
    holes_answered,
    may_be_swapped,
    nothing_is_left,
    nothing_undecided,
    work_of_another,
)
from rackwright.work.service.working import STRIPPED, Done, may_be_done
from rackwright.work.station_gates import lot_was_drawn, not_red_lined, weight_agrees

__all__ = ["JUDGES"]


def _come_back(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    return may_come_back(state, body["serial"], body["day"], body.get("hours", ""), today)


def _work(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    pieces, joints, lots = (tuple(body.get(name, ())) for name in ("pieces", "joints", "lots"))
    done = Done(
        body["work"], body["kind"], body["text"], body["document"], body["holder"], body["date"], pieces, joints,
        body.get("nonconformance", ""), body.get("method", ""), lots,
    )  # fmt: skip
    if tuple(body.get("steps", ())) != done.steps:
        found = f"{done.kind} {done.work} undoes {', '.join(body.get('steps', ())) or 'no step'}"
        return g.no("RW517", done.work, found, f"a strip undoes {', '.join(STRIPPED)}, other work none")
    return first(
        may_be_done(state, body["serial"], done, today),
        *(lot_was_drawn(state, lot, body["serial"]) for lot in done.lots),
        *(g.lot_may_be_used(state, lot, today) for lot in done.lots),
    )


def _back_to_service(past: Past, event: Event, state: State, today: str) -> Maybe:
    """What only the definition knows, its characteristics and margins, was asked before."""
    name = event.body["serial"]
    away = in_hands(state, name, "back")
    if away is not None:
        return away
    rack = state.serials[name]
    standing = [piece for piece in rack.pieces if state.pieces[piece].state == "assembled"]
    told = event.body.get("values", {})  # an older program did not ask for evidence, and kept none
    return first(
        all_works_named(state, name, event.body["works"]),
        work_of_another(state, name, event.by),
        g.revision_is_referenced(state, rack.revision, at_risk_allowed=False),
        g.question_open(state, "release", rack.order, rack.revision, rack.line),
        nothing_undecided(state, name),
        scrap_seen(state, name),
        g.not_held(state, serial=name),
        signed_whole(state, name),
        not_red_lined(state, serial=name),
        nothing_is_left(state, name),
        *past.outside(state, name),
        *(one for piece in standing for one in past.outside(state, piece)),
        weight_agrees(state, name),
        evidence_there(state, name) if "evidence" in told else None,
    )


def _swap(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    answered = None
    if "place" in body:  # an older program asked nothing of holes
        left, holes = body.get("left", ()), body.get("holes", "")
        answered = holes_answered(
            state, body["serial"], body["item"], left, holes, body.get("nonconformance", "")
        )
    return may_be_swapped(state, body["serial"], body["by_whom"], body.get("day", ""), today) or answered


JUDGES: dict[str, Judge] = {
    "come_back": _come_back, "service_work": _work, "back_to_service": _back_to_service, "swap": _swap,
}  # fmt: skip
