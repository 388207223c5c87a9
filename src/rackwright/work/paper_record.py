"""The dossier's sections from the record: pieces and their metal, measurements, release, events."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from rackwright.design import Design
from rackwright.papers.lengths import inches, millimetres
from rackwright.papers.table import Block, Facts, Section, Table, Text
from rackwright.record import Event, State, replay
from rackwright.record.state import Piece
from rackwright.shop import Shop
from rackwright.work.ordering import revision_id
from rackwright.work.releasing import Gate, governing_by_piece, release_gates
from rackwright.work.sawing import piece_id

__all__ = ["record_sections", "release_event"]


def release_event(events: Sequence[Event], serial: str) -> Event | None:
    """The event that released a serial, or None."""
    found = [event for event in events if event.type == "release" and event.body["serial"] == serial]
    return found[-1] if found else None


def record_sections(
    events: Sequence[Event], own: Sequence[Event], state: State, serial: str, design: Design, shop: Shop, date: str
) -> tuple[Section, ...]:  # fmt: skip
    """Sections from the record. `own` are the events that belong to the serial."""
    return (
        Section("Pieces, heats and certificates", tuple(_pieces(state, serial, design, shop)), new_page=True),
        Section("Measurements", tuple(_measurements(state, serial))),
        Section("Nonconformances and holds", tuple(_wrong(state, serial))),
        Section("Release", tuple(_release(events, state, serial, design, shop, date))),
        Section("Events of this serial", tuple(_events(own))),
    )


# --- metal ---------------------------------------------------------------------------------------


def _pieces(state: State, serial: str, design: Design, shop: Shop) -> Iterator[Block]:
    made = {piece.piece: piece for piece in state.pieces.values() if piece.serial == serial}
    rows = []
    for piece in design.pieces.made:
        one = made.pop(piece_id(serial, piece.id), None)
        if one is None:
            rows.append((piece.id, piece.part, "not made", "", "", "", ""))
            continue
        rows.append((piece.id, piece.part, one.heat or one.lot, _certificate(state, one), one.stock_id,
                     _length(one.length_nm, shop.style.unit), ", ".join(one.makers)))  # fmt: skip
    yield Text(f"The id of a piece in the record is {serial}/ and its name here.")
    yield Table("", ("piece", "part", "heat or lot", "certificate", "from stock", "cut length", "made by"), tuple(rows),
                align="iiiiirl")  # fmt: skip
    for other in made.values():
        yield Text(
            f"Also recorded for this serial, not of the definition: {other.piece} ({other.state}).", "note"
        )
    stock = {state.stock[one.stock_id].heat: state.stock[one.stock_id] for one in state.pieces.values()
             if one.serial == serial and one.stock_id in state.stock}  # fmt: skip
    certificates = [
        (heat, str(c["number"]), str(c.get("mill", "")), str(c.get("spec", "")), _values(c.get("values", {})))
        for heat, one in sorted(stock.items()) if (c := one.certificate) is not None
    ]  # fmt: skip
    yield Table("Mill certificates", ("heat", "certificate", "mill", "specification", "values printed"), tuple(certificates),
                align="iilll",
                note="Compared with the specification's least values when the stock was accepted; see the accept events.")  # fmt: skip
    yield Text("Bolts, washers, nuts and spacers are not tracked by lot in this record.", "note")


def _certificate(state: State, piece: Piece) -> str:
    stock = state.stock.get(piece.stock_id)
    return str(stock.certificate["number"]) if stock and stock.certificate else "none"


def _values(values: Mapping[str, Any]) -> str:
    return ", ".join(f"{name} {value}" for name, value in values.items() if name not in ("heat",))


def _length(nm: int, unit: str) -> str:
    if not nm:
        return ""
    return f"{inches(nm)} in" if unit == "in" else f"{millimetres(nm)} mm"


# --- measured ------------------------------------------------------------------------------------


def _measurements(state: State, serial: str) -> Iterator[Block]:
    rows = []
    for one in state.measured(serial):
        result = "within limits" if one.within else "OUTSIDE its limits"
        rows.append((one.piece.removeprefix(f"{serial}/"), one.characteristic, one.nominal, f"{one.lower} to {one.upper}",
                     one.value, f"{one.gauge}, due {one.gauge_due}", one.by, one.at[:10], result))  # fmt: skip
    yield Table(
        "", ("piece", "what", "nominal", "limits", "measured", "gauge, calibration due", "by", "on", "result"), tuple(rows),
        align="ilrrrllll", widths=(2.3, 0.9, 1.2, 1.5, 1.3, 1.8, 1.2, 1.3, 1.1),
        note="Values as read, unrounded, compared with the limits without a guard band. The calibration due date is the "
        "one known when it was measured.",
    )  # fmt: skip
    gauges = sorted({one.gauge for one in state.measured(serial)})
    bad = [state.gauges[name] for name in gauges if name in state.gauges and state.gauges[name].bad_since]
    for gauge in bad:
        yield Text(f"Gauge {gauge.gauge} was later found bad, in doubt since {gauge.bad_since}.", "caution")
    known = [
        (g.gauge, g.kind, g.uncertainty or "not stated", g.due)
        for name in gauges if (g := state.gauges.get(name)) is not None
    ]  # fmt: skip
    if known:
        yield Table(
            "Gauges", ("gauge", "kind", "uncertainty", "calibration due now"), tuple(known), align="illl"
        )


def _wrong(state: State, serial: str) -> Iterator[Block]:
    pieces = {piece.piece for piece in state.pieces.values() if piece.serial == serial}
    found = [
        one for one in state.nonconformances.values() if serial in one.serials or pieces & set(one.pieces)
    ]
    holds = [one for one in state.holds.values() if serial in one.serials or pieces & set(one.pieces)]
    if not found and not holds:
        yield Text("None are recorded for this serial or its pieces.")
        return
    rows = [
        (one.nonconformance, one.text, one.decision or "open", one.reason, one.document, one.decided_by)
        for one in found
    ]
    rows += [
        (one.hold, f"hold: {one.reason}", "open" if one.open else "lifted", "", "", one.by) for one in holds
    ]
    yield Table("", ("id", "what", "decision", "reason", "document", "by"), tuple(rows), align="illlll")


# --- release and events --------------------------------------------------------------------------


def _release(
    events: Sequence[Event], state: State, serial: str, design: Design, shop: Shop, date: str
) -> Iterator[Block]:
    done = release_event(events, serial)
    frozen = state.revisions.get(revision_id(design))
    references = "; ".join(
        f"{a.reference}, {a.document or 'no document'}, held by {a.holder or 'not stated'}, {a.date} (event {a.seq})"
        for a in (frozen.approvals if frozen else ())
    )
    yield Facts((
        ("Revision", f"{revision_id(design)}, frozen in event {frozen.seq}" if frozen else "not frozen"),
        ("Design-approval reference", references or "none is recorded"),
        ("Released", f"event {done.seq}, {done.at}, by {done.by}" if done else f"not released as of {date}"),
    ))  # fmt: skip
    gates = _gates(events, state, serial, design, shop, date, done)
    title = "Gates as they stood just before the release" if done else f"Gates as they stand on {date}"
    yield Table(
        title, ("gate", "answer"), tuple((gate.name, gate.words) for gate in gates), align="ll", widths=(1, 3)
    )
    if done:
        yield Text(_compared(done, design, serial))
    yield Text(
        "Conformity to the frozen revision is for the person who signs. A passed gate and a positive margin are evidence, "
        "never authority."
    )
    line = "_" * 36
    yield Facts(
        (("Name", line), ("Signature", line), ("Date", line)),
        title="Statement of conformity, to be signed by hand",
    )


def _gates(
    events: Sequence[Event], state: State, serial: str, design: Design, shop: Shop, date: str, done: Event | None
) -> tuple[Gate, ...]:  # fmt: skip
    """The gates judged on what the record held just before the release, or now when there is none."""
    if done is None:
        leads = [person.person for person in state.persons.values() if "inspector" in person.roles]
        return release_gates(state, serial, design, shop, leads[0] if leads else "", date)
    before = next(then for event, then in replay(events) if event.seq == done.seq)
    return release_gates(before, serial, design, shop, done.by, done.at[:10])


def _compared(done: Event, design: Design, serial: str) -> str:
    """What the release stored of each piece's governing margin, beside what is computed now."""
    now = {piece_id(serial, m.piece): m.margin for m in governing_by_piece(design)}
    apart = [
        row["piece"] for row in done.body["margins"]
        if now.get(row["piece"]) is None or abs(float(row["margin"]) - (now[row["piece"]] or 0.0)) > 2e-6
    ]  # fmt: skip
    stored = len(done.body["margins"])
    with_ = f"recorded by {done.known.program}" if done.known.program else "recorded"
    if apart:
        return f"Of {stored} governing margins {with_} at release, these differ from what is computed now: {', '.join(apart)}."
    return f"All {stored} governing margins {with_} at release agree with what is computed now from the frozen texts."


def _events(own: Sequence[Event]) -> Iterator[Block]:
    rows = tuple((str(event.seq), event.at.replace("T", " ").replace("Z", ""), event.type, _about(event), event.by)
                 for event in own)  # fmt: skip
    yield Table("", ("seq", "time (UTC)", "type", "about", "by"), rows, align="rllil", widths=(0.5, 1.9, 1.5, 4, 1.4),
                note="Attached whole as events.jsonl; the seal proves that each is in the record.")  # fmt: skip


def _about(event: Event) -> str:
    """The one thing that an event is about, in a word or two."""
    body = event.body
    for key in (
        "piece",
        "stock_id",
        "gauge",
        "person",
        "question",
        "serial",
        "revision",
        "order",
        "nonconformance",
        "hold",
    ):
        if key in body:
            more = f", {body['characteristic']}" if "characteristic" in body else ""
            return f"{body[key]}{more}"
    return ""
