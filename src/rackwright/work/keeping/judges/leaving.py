"""A rack leaves: released, shipped, flown, mended; and what went wrong before or after."""

from __future__ import annotations

from rackwright.record import Event, State
from rackwright.work import gates as g
from rackwright.work.gates import first, no
from rackwright.work.hold_points import signed_whole
from rackwright.work.keeping.judges.past import Judge, Maybe, Past, new
from rackwright.work.metal.counting import Unusable, was_made_unusable
from rackwright.work.metal.witnessing import may_witness, scrap_seen
from rackwright.work.quality.correcting import action_may_be_done, action_may_be_taken, action_may_be_verified
from rackwright.work.quality.holding import may_hold
from rackwright.work.quality.nonconforming import (
    Acceptance,
    may_be_decided,
    may_be_lifted,
    may_be_raised,
    rack_may_be_scrapped,
)
from rackwright.work.quality.red_lining import Change, may_be_red_lined
from rackwright.work.quality.red_lining import may_be_lifted as red_line_may_be_lifted
from rackwright.work.serials.evidence import evidence_there, may_be_given, may_be_owed
from rackwright.work.serials.shipping import Mended, fits, may_be_mended, may_be_shipped
from rackwright.work.serials.undone import counts_oven, untouched
from rackwright.work.station_gates import not_red_lined, weight_agrees

__all__ = ["JUDGES"]


def _release(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, name = event.body, event.body["serial"]
    rack = state.serials.get(name)
    if rack is None:
        return g.serial_known(state, name)
    pieces = dict.fromkeys((*body.get("pieces", ()), *rack.pieces))
    behind = body.get("values", {})  # a release by an older program names no report
    last = state.report_of(body["revision"])
    if "report" in behind and (last is None or not last.released_by or last.file != behind["report_file"]):
        return no("RW535", name, f"report {behind['report']} was not released", "see its events")
    if rack.state != "planned" or rack.revision != body["revision"]:
        found = f"{name} was {rack.state}, of {rack.revision}, and is released as {body['revision']}"
        return no("RW517" if rack.state != "planned" else "RW514", name, found, "see its events")
    return first(
        g.revision_is_referenced(state, body["revision"], at_risk_allowed=False),
        g.question_open(state, "release", rack.order, body["revision"], rack.line),
        g.contract_allows(state, "release", rack.order),
        g.not_held(state, serial=name),
        not_red_lined(state, serial=name),
        signed_whole(state, name),
        *(_piece_released(past, state, piece) for piece in pieces),
        *past.outside(state, name),
        weight_agrees(state, name),
        scrap_seen(state, name),
        # what work before the release took back is asked of those that count the oven: both came together
        evidence_there(state if counts_oven(event) else untouched(state), name),
    )


def _piece_released(past: Past, state: State, piece: str) -> Maybe:
    made = state.pieces.get(piece)
    if made is None or not (made.heat or made.lot):
        return no("RW510", piece, f"{piece} had no heat", "replace it by a piece whose heat is known")
    if made.state in ("scrapped", "replaced"):
        return None  # its successor stands in the rack
    if made.state != "assembled":
        return no("RW515", piece, f"{piece} was not assembled into its rack", "see its events")
    return first(*past.outside(state, piece))


def _ship(past: Past, event: Event, state: State, today: str) -> Maybe:
    names = event.body["serials"]
    twice = next((name for name in names if list(names).count(name) > 1), "")
    if twice or not names:
        return no(
            "RW517", "ship", f"{twice or 'no serial'} is named {'twice' if twice else ''}", "see its events"
        )
    return first(*(may_be_shipped(state, name) for name in names))


def _installed(past: Past, event: Event, state: State, today: str) -> Maybe:
    name = event.body["serial"]
    if name not in state.serials or state.serials[name].state == "shipped":
        return g.serial_known(state, name)
    return no("RW517", name, f"{name} was {state.serials[name].state}", "it is not shipped yet")


def _scrap_rack(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, name = event.body, event.body["serial"]
    if name not in past.condemned:
        return no("RW517", name, f"no disposition scraps {name}", "see its events")
    gone = Unusable(body["unusable"], body["witness"])
    return rack_may_be_scrapped(state, name) or was_made_unusable(state, event.by, name, gone, today)


def _replace(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    if body["old"] not in state.pieces or body["new"] not in state.pieces:
        return None  # the fold finds it odd
    if "work" in body:  # an older program asked neither
        gone = body.get("fate", {})
        how = Unusable(gone["unusable"], gone["witness"]) if {"unusable", "witness"} <= gone.keys() else None
        mended = Mended(body["work"], body.get("holder", ""), body.get("date", ""), tuple(body.get("joints", ())),
                        gone.get("what", ""), gone.get("place", ""), how)  # fmt: skip
        if refused := may_be_mended(state, body["serial"], mended, event.by, today):
            return refused
    return fits(state, body["serial"], body["old"], body["new"]) or g.not_held(state, piece=body["new"])


def _witness(past: Past, event: Event, state: State, today: str) -> Maybe:
    return may_witness(state, event.by, event.body["about"])


def _dossier(past: Past, event: Event, state: State, today: str) -> Maybe:
    name = event.body["serial"]
    if name in state.serials and state.serials[name].state != "planned":
        return None
    return no("RW503", name, f"{name} was not released", "see its events")


def _owed(past: Past, event: Event, state: State, today: str) -> Maybe:
    return may_be_owed(state, event.body)


def _evidence(past: Past, event: Event, state: State, today: str) -> Maybe:
    return may_be_given(state, event.body, today)


def _first_article(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, name = event.body, event.body["serial"]
    if refused := g.serial_known(state, name):
        return refused
    baseline = body.get("baseline", "")
    if (body["kind"] == "full") == bool(baseline) or baseline == name:
        return no("RW517", name, f"{body['kind']}, with the baseline {baseline!r}", "see its events")
    if baseline and baseline not in state.first_articles:
        return no("RW517", name, f"{baseline} is no first article", "see its events")
    return None


def _raised(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    return may_be_raised(state, body["nonconformance"], body.get("pieces", ()), body.get("serials", ()))


def _decided(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    accepted, customer = (
        Acceptance(*(held.get(name, "") for name in ("document", "signer", "date")))
        for held in (body, body.get("customer", {}))
    )
    return may_be_decided(state, body["nonconformance"], body["decision"], accepted, customer)


def _hold(past: Past, event: Event, state: State, today: str) -> Maybe:
    named = {name: event.body.get(name, ()) for name in ("pieces", "serials", "stock_ids", "heats")}
    return may_hold(state, event.body["hold"], named)


def _lift(past: Past, event: Event, state: State, today: str) -> Maybe:
    return may_be_lifted(state, event.body["hold"], event.body["reason"])


def _red_line(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    change = Change(*(body[name] for name in ("revision", "text", "document", "decided_by")))
    named = [body.get(name, ()) for name in ("pieces", "serials", "steps", "characteristics")]
    return may_be_red_lined(state, body["red_line"], change, *named)


def _red_line_lifted(past: Past, event: Event, state: State, today: str) -> Maybe:
    return red_line_may_be_lifted(state, event.body["red_line"], event.body["reason"])


def _action(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    return action_may_be_taken(
        state, body["action"], body["text"], body["owner"], body.get("nonconformances", ())
    )


def _action_done(past: Past, event: Event, state: State, today: str) -> Maybe:
    return action_may_be_done(state, event.body["action"], event.by, today)


def _action_verified(past: Past, event: Event, state: State, today: str) -> Maybe:
    return action_may_be_verified(state, event.body["action"], event.by, event.body["found"])


JUDGES: dict[str, Judge] = {
    "release": _release, "ship": _ship, "installed": _installed, "witness": _witness,
    "scrap_rack": _scrap_rack, "replace": _replace,
    "dossier": _dossier, "evidence_owed": _owed, "evidence": _evidence, "first_article": _first_article,
    "recall": new("recalls", "recall"), "nonconformance": _raised,
    "disposition": _decided, "hold": _hold, "lift": _lift, "red_line": _red_line,
    "red_line_lifted": _red_line_lifted, "corrective_action": _action,
    "action_done": _action_done, "action_verified": _action_verified,
}  # fmt: skip
