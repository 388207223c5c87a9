"""The dossier's sections from the record: pieces and their metal, measurements, release, events."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from rackwright.design import Design
from rackwright.making.inspected import characteristics_of
from rackwright.papers.lengths import inches, millimetres
from rackwright.papers.table import Block, Facts, Section, Table, Text
from rackwright.pieces.characteristics import RACK
from rackwright.record import Event, State, Stock, corrected, replay
from rackwright.record.state import Measurement, Piece
from rackwright.shop import Shop
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.engineering.metal_as_made import other_metal
from rackwright.work.engineering.oven_time import Get
from rackwright.work.keeping.heads import signed_words, signing_rule
from rackwright.work.metal.drawn import in_place
from rackwright.work.metal.sawing import piece_id
from rackwright.work.office.ordering import revision_id
from rackwright.work.outcome import COARSE, too_coarse, verdict
from rackwright.work.papers.as_built import as_built_blocks
from rackwright.work.papers.attached import attached_blocks
from rackwright.work.papers.evidence import evidence_blocks
from rackwright.work.papers.hold_points import hold_point_blocks
from rackwright.work.papers.making import assembled_blocks, limits, step_blocks, wrong_blocks
from rackwright.work.papers.passport import passport_blocks
from rackwright.work.papers.service import service_blocks
from rackwright.work.quality.amending import Amended, amendments
from rackwright.work.serials.releasing import Gate, governing_by_piece, release_gates
from rackwright.work.serials.undone import counts_oven

MOST_APART = 6  # margins that differ since the release, named one by one

__all__ = ["gates_of", "metal_blocks", "record_sections", "release_event"]


def release_event(events: Sequence[Event], serial: str) -> Event | None:
    """The event that released a serial, or None."""
    found = [event for event in events if event.type == "release" and event.body["serial"] == serial]
    return found[-1] if found else None


def record_sections(
    events: Sequence[Event], own: Sequence[Event], state: State, serial: str, design: Design, shop: Shop, date: str,
    get: Get,
) -> tuple[Section, ...]:  # fmt: skip
    """Sections from the record. `own` are the events that belong to the serial; `get` gives a file by its hash."""
    read = corrected(own)
    amended = [*amendments(own)]
    later = [*service_blocks(events, state, serial, design, get)]
    return (
        Section("Pieces, heats and certificates", tuple(metal_blocks(state, serial, design, shop))),
        Section("Steps of making", tuple(step_blocks(read, serial, design, shop, get))),
        *_if_any("Hold points", hold_point_blocks(state, serial)),
        *_if_any("Files attached", attached_blocks(read, get)),
        Section("Measurements", tuple(_measurements(state, serial, design, shop))),
        Section(
            "Proof as built",
            tuple(as_built_blocks(state, design, serial, _counted(release_event(events, serial), get))),
        ),
        Section("Assembly and weighing", tuple(assembled_blocks(read, state, serial, design))),
        Section("Interchange points", tuple(passport_blocks(state, serial, design, shop))),
        Section("Evidence", tuple(evidence_blocks(state, serial))),
        Section("Nonconformances and holds", tuple(wrong_blocks(own, state, serial))),
        *([Section("Corrections", (_corrections(amended),))] if amended else []),
        Section("Release", tuple(_release(events, state, serial, design, shop, date, get))),
        *([Section("Since the release", tuple(later))] if later else []),
        Section("Events of this serial", tuple(_events(events, own, serial))),
    )


def _if_any(title: str, blocks: Iterator[Block]) -> Iterator[Section]:
    if held := tuple(blocks):
        yield Section(title, held)


# --- metal ---------------------------------------------------------------------------------------


def metal_blocks(state: State, serial: str, design: Design, shop: Shop) -> Iterator[Block]:
    made = {piece.piece: piece for piece in state.pieces.values() if piece.serial == serial}
    rows = []
    for piece in design.pieces.made:
        one = made.pop(in_place(state, serial, piece.id), None)
        if one is None:
            rows.append((piece.id, piece.part, "not made", "", "", "", ""))
            continue
        rows.append((piece.id, piece.part, one.heat or one.lot, _certificate(state, one), one.stock_id,
                     _length(one.length_nm, shop.style.unit), ", ".join(one.makers)))  # fmt: skip
    yield Text(f"The id of a piece in the record is {serial}/ and its name here.")
    yield Table("", ("piece", "part", "heat or lot", "certificate", "from stock", "cut length", "made by"), tuple(rows),
                align="iiiiirl")  # fmt: skip
    yield from _substituted(state, serial, design)
    for other in made.values():
        yield Text(
            f"Also recorded for this serial, not of the definition: {other.piece} ({other.state}).", "note"
        )
    stock = {one.stock_id for one in state.pieces.values() if one.serial == serial}
    certificates = {
        (
            one.heat,
            str(c["number"]),
            str(c.get("mill", "")),
            str(c.get("spec", "")),
            _values(c.get("values", {})),
        )
        for one in (state.stock[id] for id in stock if id in state.stock)
        if (c := one.certificate) is not None
    }
    yield Table(
        "Mill certificates",
        ("heat", "certificate", "mill", "specification", "values printed"),
        tuple(sorted(certificates)),
        align="iilll",
        note="Compared with the specification's least values when the stock was accepted; see the accept events.",
    )
    sold = {
        (
            one.heat,
            *(
                str(one.origin.get(name, "not recorded"))
                for name in ("distributor", "slip", "purchase_order")
            ),
        )
        for one in (state.stock[id] for id in stock if id in state.stock)
        if one.origin
    }
    if sold:
        yield Table("Between mill and shop",
                    ("heat", "distributor", "its certificate or packing slip", "purchase order of the shop"),
                    tuple(sorted(sold)), align="illl")  # fmt: skip
    yield from _decided([state.stock[id] for id in sorted(stock) if id in state.stock])
    rack = state.serials.get(serial)
    lots = ", ".join(rack.lots) if rack else ""
    yield Text(f"Hardware and other lots drawn: {lots or 'none are recorded for this serial'}.", "note")


def _decided(stock: Sequence[Stock]) -> Iterator[Block]:
    """Readings of the metal for which no limit is known, and who decided of them."""
    rows = tuple(
        (
            one.stock_id,
            reading,
            said["value"],
            "use" if said["use"] else "do not use",
            said["by"],
            said["document"],
        )
        for one in stock
        for reading, said in one.decided.items()
    )
    if rows:
        columns = ("stock", "reading", "as read", "decision", "by", "document")
        note = "No sourced row gives a limit: a lead decided of just this value."
        yield Table("Readings without a known limit", columns, rows, align="illlll", note=note)


def _substituted(state: State, serial: str, design: Design) -> Iterator[Block]:
    """Pieces of other metal than the definition draws: by whom, why, and where it is accepted."""
    rows = tuple(
        (one.piece, one.drawn, f"{one.made_of}; {one.stock.stock_id}, heat {one.stock.heat}",
         *((one.by.reason, f"{one.by.by}, event {one.by.seq}",
            f"{one.by.document}, {one.by.signer}, {one.by.date}") if one.by else ("none is recorded", "", "")))
        for one in other_metal(state, design, serial)
    )  # fmt: skip
    if rows:
        yield Table(
            "Substitutions: pieces that are not of the metal drawn",
            ("piece", "drawn of", "made of", "reason", "let by", "accepted in"),
            rows,
            align="iiilll",
            widths=(1.5, 1.8, 2.3, 2, 1.2, 2),
            note="What their margins are proven with stands under Proof as built.",
        )


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


def _measurements(state: State, serial: str, design: Design, shop: Shop) -> Iterator[Block]:
    """Every measurement, the gauge with its person and day under a letter: they repeat over many lines."""
    measured = state.measured(serial)
    if not measured:
        yield Text("Nothing is measured yet.")
        return
    wanted = characteristics_of(design, shop)
    numbers = {
        (in_place(state, serial, one.piece) if one.piece != RACK else "", one.name): one.number
        for one in wanted
    }
    means = dict.fromkeys((one.gauge, one.gauge_due, one.by, one.at[:10]) for one in measured)
    letters = {mean: _letter(n) for n, mean in enumerate(means)}
    used = []
    for mean, letter in letters.items():
        gauge = state.gauges.get(mean[0])
        kind, uncertainty = (gauge.kind, gauge.uncertainty) if gauge else ("not in the record", "")
        used.append((letter, mean[0], kind, uncertainty, *mean[1:]))
    yield Table(
        "Gauges used",
        ("key", "gauge", "kind", "uncertainty", "calibration due", "by", "on"),
        tuple(used),
        align="lilllll",
        note="The calibration due date is the one known when it was measured.",
    )
    for name in sorted({one.gauge for one in measured}):
        gauge = state.gauges.get(name)
        if gauge is not None and gauge.bad_since:
            yield Text(f"Gauge {name} was later found bad, in doubt since {gauge.bad_since}.", "caution")
    for one in measured:
        if too_coarse(one.accept_lower, one.accept_upper):
            about = one.piece.removeprefix(f"{serial}/") or "rack"
            yield Text(f"Gauge {one.gauge} {COARSE}: {one.characteristic} of {about}.", "caution")
    rows, banded = [], any(one.r != "0" for one in measured)
    for one in sorted(
        measured, key=lambda one: numbers.get((one.piece, one.characteristic), len(numbers) + 1)
    ):
        number = numbers.get((one.piece, one.characteristic))
        rows.append((str(number) if number else "–", one.piece.removeprefix(f"{serial}/") or "rack", one.characteristic,
                     one.nominal, limits(one.lower, one.upper), one.value,
                     letters[one.gauge, one.gauge_due, one.by, one.at[:10]], verdict(one),
                     *((_moved(one),) if banded else ())))  # fmt: skip
    yield Table(
        f"{len(measured)} measurements",
        ("no.", "piece", "characteristic", "nominal", "limits", "measured", "key", "result",
         *(("decided by",) if banded else ())),
        tuple(rows),
        align="riirrrll" + "r" * banded,
        widths=(0.55, 2.9, 3.9, 1.5, 2.7, 1.5, 0.5, 1.05, *((2.7,) * banded)),
        note=_rule_note(banded),
    )  # fmt: skip


def _moved(one: Measurement) -> str:
    """The limits that decided, by the rule of then."""
    moved = limits(one.accept_lower, one.accept_upper) if one.r != "0" else "the limits"
    return moved if one.r in ("0", "1") else f"{moved} (r = {one.r})"


def _rule_note(banded: bool) -> str:
    if not banded:
        return "Values as read, unrounded, compared with the limits without a guard band (r = 0)."
    return (
        "Values as read, unrounded. What decided is recorded with each: its limits moved inward by r times the gauge's "
        "expanded uncertainty of then (k = 2); r = 1 where none is said. GUARD BAND: within the limits, but not by "
        "this band; it does not count as within."
    )


def _letter(n: int) -> str:
    """A to Z, then AA …"""
    return (_letter(n // 26 - 1) if n >= 26 else "") + chr(ord("A") + n % 26)


# --- release and events --------------------------------------------------------------------------


def _release(
    events: Sequence[Event], state: State, serial: str, design: Design, shop: Shop, date: str, get: Get
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
    gates = gates_of(events, state, serial, design, shop, date, done, get)
    title = "Gates as they stood just before the release" if done else f"Gates as they stand on {date}"
    yield Table(
        title, ("gate", "answer"), tuple((gate.name, gate.words) for gate in gates), align="ll", widths=(1, 3)
    )
    if done:
        built = as_measured(_before(events, done), design, serial, _counted(done, get))
        yield Text(_compared(done, built, serial))
        if not _counted(done, get):
            yield Text("Released before oven time was counted: these margins are without it.", "caution")
    yield Text(
        "Conformity to the frozen revision is for the person who signs. A passed gate and a positive margin are "
        "evidence, never authority."
    )
    line = "_" * 36
    yield Facts(
        (("Name", line), ("Signature", line), ("Date", line)),
        title="Statement of conformity, to be signed by hand",
    )


def gates_of(
    events: Sequence[Event], state: State, serial: str, design: Design, shop: Shop, date: str, done: Event | None,
    get: Get,
) -> tuple[Gate, ...]:  # fmt: skip
    """The gates judged on what the record held just before the release, or now when there is none."""
    if done is None:
        leads = [person.person for person in state.persons.values() if "inspector" in person.roles]
        return release_gates(state, serial, design, shop, get, leads[0] if leads else "", date)
    counted = _counted(done, get)
    return release_gates(_before(events, done), serial, design, shop, counted, done.by, done.at[:10])


def _counted(done: Event | None, get: Get) -> Get | None:
    """Releases that say nothing of the oven were made before it was counted, and are shown as they were made."""
    return get if done is None or counts_oven(done) else None


def _before(events: Sequence[Event], done: Event) -> State:
    """What the record held just before the release."""
    return next(then for event, then in replay(events) if event.seq == done.seq)


def _compared(done: Event, built: Design, serial: str) -> str:
    """What the release stored of each piece's governing margin, beside what is computed now of the rack as measured."""
    now = {piece_id(serial, m.piece): m.margin for m in governing_by_piece(built)}
    apart = [
        f"{row['piece']} {float(row['margin']):+.4f}, now {_margin(now.get(row['piece']))}"
        for row in done.body["margins"]
        if now.get(row["piece"]) is None or abs(float(row["margin"]) - (now[row["piece"]] or 0.0)) > 2e-6
    ]
    stored = len(done.body["margins"])
    with_ = f"recorded by {done.known.program}" if done.known.program else "recorded"
    if apart:
        names = "; ".join(apart[:MOST_APART])
        more = f"; and {len(apart) - MOST_APART} more" if len(apart) > MOST_APART else ""
        return (
            f"Of {stored} governing margins {with_} at release, {len(apart)} differ from what is computed now from the "
            f"frozen texts and the measurements: {names}{more}."
        )
    return (
        f"All {stored} governing margins {with_} at release agree with what is computed now from the frozen texts and "
        "the measurements."
    )


def _margin(value: float | None) -> str:
    return "missing" if value is None else f"{value:+.4f}"


def _events(events: Sequence[Event], own: Sequence[Event], serial: str) -> Iterator[Block]:
    """One line an event; a run of alike ones by one person becomes one line."""
    rows = []
    for run in _runs(own):
        first, last = run[0], run[-1]
        names = [name.removeprefix(f"{serial}/") for name in map(_about, run) if name]
        if len(run) > 1:
            seqs, times = f"{first.seq} to {last.seq}", _span(first.at, last.at)
            shown = "see Measurements" if first.type in ("measure", "gauge_check") else ", ".join(names)
            rows.append((seqs, times, first.type, f"{len(run)} events: {shown}", first.by))
        else:
            rows.append((str(first.seq), _time(first.at), first.type, ", ".join(names), first.by))
    yield Table(
        "",
        ("event", "time (UTC)", "type", "about", "by"),
        tuple(rows),
        align="lllil",
        widths=(1.2, 2.3, 1.6, 5, 1.3),
        note="Attached whole as events.jsonl; the seal proves that each is in the record. Of "
        f"{signed_words(own)}. In the shop {signing_rule(events)}.",
    )


def _corrections(amended: Sequence[Amended]) -> Table:
    """What was entered wrongly, and how it is read wherever this paper shows it."""
    rows = [(str(one.target.seq), one.target.type, one.words, one.event.body["reason"],
             f"{one.event.by} (event {one.event.seq})") for one in amended]  # fmt: skip
    return Table("", ("event", "what", "read as", "reason", "corrected by"), tuple(rows), align="rllll",
                 note="The events stay as they were recorded; these fields are read as corrected.")  # fmt: skip


def _runs(own: Sequence[Event]) -> Iterator[list[Event]]:
    """Events one by one, but neighbours of the same type by the same person on the same day together."""
    for _, group in groupby(own, lambda event: (event.type, event.by, event.at[:10])):
        yield list(group)


def _time(at: str) -> str:
    return at.replace("T", " ").replace("Z", "")


def _span(first: str, last: str) -> str:
    return _time(first) if first == last else f"{_time(first)} to {last[11:].replace('Z', '')}"


def _about(event: Event) -> str:
    """The one thing that an event is about, in a word or two."""
    keys = (
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
    )
    return next((str(event.body[key]) for key in keys if key in event.body), "")
