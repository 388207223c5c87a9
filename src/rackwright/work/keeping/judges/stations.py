"""Acts at the stations: steps, outside work, inspection, assembly, the scales."""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.record import Event, State
from rackwright.work import gates as g
from rackwright.work import station_gates as s
from rackwright.work.controlled import by_the_rule
from rackwright.work.gates import first, no
from rackwright.work.hold_points import may_be_signed_off, rack_points_signed
from rackwright.work.keeping.judges.past import Judge, Maybe, Past, means
from rackwright.work.keeping.judges.verdicts import true_verdict, true_weight
from rackwright.work.stations.assembling import Tightened, joints_complete

__all__ = ["JUDGES"]


def _step(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, name = event.body, event.body.get("step", event.type)
    pieces = body.get("pieces", ())
    if event.type == "bake" and not event.refs.files:
        return no("RW519", "bake", "the bake has no thermocouple record", "see its events")
    return first(
        means(event, state, name, today),
        *(g.gauge_may_measure(state, gauge, today) for gauge in body.get("gauges", ())),
        *(g.lot_may_be_used(state, lot, today) for lot in body.get("lots", ())),
        *(s.piece_may_be_worked_on(state, name, piece) for piece in pieces),
        *(
            s.not_its_inspector(state, event.by, piece, past.measured.get((event.by, piece), 0))
            for piece in pieces
        ),
    )


def _send_out(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, pieces = event.body, event.body.get("pieces", ())
    return first(
        s.supplier_may(state, body["supplier"], body["process"], today),
        s.named_once(pieces),
        *(s.piece_may_be_worked_on(state, body["process"], piece) for piece in pieces),
    )


def _receive_back(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, pieces = event.body, event.body.get("pieces", ())
    certificate = body.get("certificate", {}).get("number", "")
    return first(
        s.named_once([*pieces, *body.get("short", ())]),
        *(
            s.away_at(state, piece, body["supplier"], body["process"])
            for piece in (*pieces, *body.get("short", ()))
        ),
        s.comes_with_certificate(pieces, body["supplier"], body["process"], certificate),
    )


def _measure(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    return first(
        g.gauge_may_measure(state, body["gauge"], today),
        s.not_its_maker(state, event.by, body["piece"])
        if body.get("piece")
        else s.rack_here(state, body.get("serial", ""))
        or g.not_the_assembler(state, event.by, body["serial"])
        or rack_points_signed(state, body["serial"], ("assemble",)),
        by_the_rule(state, body.get("serial", ""), body["guard"]["r"]) if event.type == "measure" else None,
        true_verdict(body) if event.type == "measure" else None,
    )


def _passport(past: Past, event: Event, state: State, today: str) -> Maybe:
    serial = event.body["serial"]
    return first(
        g.gauge_may_measure(state, event.body["gauge"], today), s.rack_here(state, serial),
        g.not_the_assembler(state, event.by, serial), s.rack_is_bolted_up(state, serial),
        means(event, state, "passport", today),
    )  # fmt: skip


def _weigh(past: Past, event: Event, state: State, today: str) -> Maybe:
    serial = event.body["serial"]
    return first(
        g.gauge_may_measure(state, event.body["gauge"], today), s.rack_here(state, serial),
        g.not_the_assembler(state, event.by, serial), s.rack_may_be_weighed(state, serial), true_weight(event.body),
    )  # fmt: skip


def _assemble(past: Past, event: Event, state: State, today: str) -> Maybe:
    """What was coated is baked; whether a piece was to be coated at all, its definition knows."""
    body, serial = event.body, event.body["serial"]
    joints = [
        Tightened(bolt, tuple(row.get("lots", ())), *(row.get(name, "") for name in (
            "wrench", "running", "torque", "low", "high")))
        for bolt, row in body.get("values", {}).items()
    ]  # fmt: skip
    lots = body.get("lots", ())
    made = {piece: state.pieces[piece].done for piece in body["pieces"] if piece in state.pieces}
    return first(
        means(event, state, "assemble", today),
        *(g.gauge_may_measure(state, gauge, today) for gauge in body.get("gauges", ())),
        *(joint.refused() for joint in joints),
        s.rack_here(state, serial),
        *(
            s.piece_may_be_assembled(state, serial, name, "coat" in made.get(name, ()))
            for name in body["pieces"]
        ),
        *(s.lot_was_drawn(state, lot, serial) for lot in lots),
        *(g.lot_may_be_used(state, lot, today) for lot in lots),
        g.not_held(state, serial=serial),
    )


def _complete(state: State, point: str, pieces: Sequence[str], serials: Sequence[str]) -> Maybe:
    """What the revision was frozen with is measured and tightened by this hold point; nothing is asked of one that was
    frozen before that was kept."""
    for serial in dict.fromkeys(name.partition("/")[0] for name in (*pieces, *serials)):
        rack = state.serials.get(serial)
        frozen = state.revisions.get(rack.revision) if rack else None
        held = frozen.values if frozen else {}
        asked = held.get("measured_by", {}).get(point, {})
        own = [name for name in pieces if name.startswith(f"{serial}/")]
        refused = first(
            joints_complete(state, serial, held.get("joints", ()) if point == "assemble" else ()),
            g.rack_complete(state, serial, asked.get("", ())),
            *(g.rack_complete(state, name, asked.get(name.partition("/")[2], ())) for name in own),
        )
        if refused is not None:
            return refused
    return None


def _hold_point(past: Past, event: Event, state: State, today: str) -> Maybe:
    """What was measured of it by then is good, and is all that its revision was frozen with."""
    body = event.body
    pieces, serials = body.get("pieces", ()), body.get("serials", ())
    return first(
        may_be_signed_off(state, event.by, body["point"], pieces, serials),
        _complete(state, body["point"], pieces, serials),
        *(refused for name in (*pieces, *serials) for refused in past.outside(state, name)),
    )


JUDGES: dict[str, Judge] = {
    **dict.fromkeys(("mill", "bend", "drill", "coat", "bake", "operation"), _step),
    "send_out": _send_out, "receive_back": _receive_back, "measure": _measure, "gauge_check": _measure,
    "passport": _passport, "weigh": _weigh, "assemble": _assemble, "hold_point": _hold_point,
}  # fmt: skip
