"""Release of a serial: every gate, in one list with its state, and the act itself.

The gates take the design as frozen and prove it with the serial's measurements. A released strength report of that
revision stands behind every rack that leaves, or an engineer's reason why it may leave without: never a computation.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from rackwright.design import Design
from rackwright.making.assembly import assembly
from rackwright.making.inspected import characteristics_of
from rackwright.pieces.characteristics import RACK
from rackwright.record import Appended, Refs, State
from rackwright.reference.rows import Row
from rackwright.seal import canonical, read_seal
from rackwright.shop import Shop
from rackwright.strength.margin import Margin
from rackwright.strength.support import keeps_from_release
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.engineering.as_built import as_measured, at_other_ends
from rackwright.work.engineering.as_frozen import since_frozen
from rackwright.work.engineering.as_weighed import OnScales, on_scales
from rackwright.work.engineering.frozen_texts import of_definition
from rackwright.work.engineering.metal_as_made import NOT_ASSESSED, other_metal
from rackwright.work.engineering.numbers import numbers_of, prices_of
from rackwright.work.engineering.oven_time import Get, oven_time
from rackwright.work.engineering.rows_used import TEXT, USED, used_inputs
from rackwright.work.gates import (
    contract_allows,
    first,
    no,
    not_held,
    person_may,
    piece_complete,
    question_open,
    rack_complete,
    revision_is_referenced,
    serial_known,
)
from rackwright.work.hold_points import signed_whole
from rackwright.work.metal.sawing import piece_id
from rackwright.work.metal.witnessing import scrap_seen
from rackwright.work.office.ordering import revision_id
from rackwright.work.people.founding import INSPECTOR
from rackwright.work.people.scopes import in_scope
from rackwright.work.serials.evidence import evidence_there, standing_of
from rackwright.work.serials.undone import untouched
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import not_red_lined, weight_agrees
from rackwright.work.stations.assembling import joints_complete
from rackwright.work.stations.passports import points_gate

__all__ = [
    "Gate", "governing_by_piece", "measured_of", "record_dossier", "release", "release_gates", "stored",
    "without_report",
]  # fmt: skip


@dataclass(frozen=True)
class Gate:
    """One gate before release: what it asks, and why it says no ("" when it does not)."""

    name: str
    refusal: Refusal | None
    how: str = ""  # by what it passed, where a person let it

    @property
    def words(self) -> str:
        return f"no: {self.refusal.found}" if self.refusal else f"passed{self.how and ': '}{self.how}"


def release_gates(
    state: State, serial: str, design: Design, shop: Shop, get: Get | None, person: str, today: str
) -> tuple[Gate, ...]:
    """Every gate before a serial may be released, in the order a person would look.

    `design` is the frozen one; margins are judged with the serial's measurements in place of its nominal values and
    with what the oven left. `get` gives a file of the record by its hash; None as releases were before the oven was
    counted, see `as_measured`: then work took no evidence back either.
    """
    rack, revision = state.serials.get(serial), revision_id(design)
    order, line = (rack.order, rack.line) if rack else ("", "")
    design, built = (
        design.drawn,
        as_measured(state, design, serial, get),
    )
    weighed = on_scales(state, design, serial)
    asked_of = state if get else untouched(state)  # for its evidence
    names, whole = measured_of(design, shop)
    pieces = [piece_complete(state, piece_id(serial, id), asked) for id, asked in names.items()]
    fitted = [_assembled(state, piece_id(serial, id)) for id in names]
    return (
        Gate(
            "person", first(person_may(state, person, INSPECTOR, today), in_scope(state, person, "release"))
        ),
        Gate("serial", _serial(state, serial, revision)),
        Gate("design-approval reference", revision_is_referenced(state, revision, at_risk_allowed=False)),
        Gate("open questions", question_open(state, "release", order, revision, line)),
        Gate(
            "pieces, heats and measurements", next((answer for answer in pieces if answer is not None), None)
        ),
        Gate("measurements of the rack", rack_complete(state, serial, whole)),
        Gate("assembly", next((answer for answer in fitted if answer is not None), None)),
        Gate("joints", joints_complete(state, serial, [joint.id for joint in assembly(design, shop).ours])),
        Gate("interchange points", points_gate(state, serial, design, shop)),
        Gate("weight", _weight(state, serial, weighed), weighed.words if weighed and weighed.taken else ""),
        Gate("scrap witnessed", scrap_seen(state, serial)),
        Gate("contract", contract_allows(state, "release", order)),
        Gate("evidence", evidence_there(asked_of, serial), _listed(state, serial)),
        Gate("metal as made", _metal(state, design, serial), _substituted(state, design, serial)),
        Gate("margins of safety", _margins((built, *at_other_ends(built, weighed)))),
        Gate("rules of the basis", _rules(state, built)),
        Gate("numbers as frozen", _as_frozen(state, revision, design)),
        Gate("strength report", _reported(state, revision), without_report(state, revision)),
        Gate("red lines", not_red_lined(state, serial=serial)),
        Gate("hold points", signed_whole(state, serial)),
        Gate("holds", not_held(state, serial=serial)),
    )


def release(station: Station, serial: str, design: Design, shop: Shop, act_id: str = "") -> Appended:
    """Release a serial with the governing margin of each piece as built, computed now; `design` is the frozen one."""
    get = station.record.get_file

    def decide(state: State) -> list[Draft] | Refusal:
        for gate in release_gates(state, serial, design, shop, get, station.person, station.today):
            if gate.refusal is not None:
                return gate.refusal
        pieces = [piece_id(serial, piece.id) for piece in design.pieces.made]
        built = as_measured(state, design, serial, get)
        rows = [stored(piece_id(serial, margin.piece), margin) for margin in governing_by_piece(built)]
        behind = _behind(station, state, design)
        if isinstance(behind, Refusal):
            return behind
        behind["oven"] = {one.material: one.words for one in oven_time(state, design, serial, get)}
        numbers = station.record.put_file(canonical(numbers_of(built, prices_of(design, shop)).to_json()))
        body = {"serial": serial, "revision": revision_id(design), "margins": rows, "pieces": pieces, "values": behind,
                "numbers": numbers,
                "statement": "conformity to the frozen revision is for the person who signs"}  # fmt: skip
        heats = {state.pieces[piece].heat for piece in pieces}
        return [
            Draft("release", body, Refs.of(heats=heats, pieces=pieces, serials=[serial], files=[numbers]))
        ]

    return perform(station, "release", decide, act_id)


def measured_of(design: Design, shop: Shop) -> tuple[dict[str, list[str]], list[str]]:
    """The characteristics that are measured: of every made piece by its id, and of the rack."""
    names: dict[str, list[str]] = {piece.id: [] for piece in design.pieces.made}
    for each in characteristics_of(design, shop):
        names.setdefault(each.piece, []).append(each.name)
    whole = names.pop(RACK, [])
    return names, whole


def governing_by_piece(design: Design) -> list[Margin]:
    """The least margin of every piece, in the order of ids."""
    least: dict[str, Margin] = {}
    for margin in design.strength.margins:
        kept = least.get(margin.piece)
        if margin.margin is not None and (kept is None or margin.margin < (kept.margin or 0.0)):
            least[margin.piece] = margin
    return [least[piece] for piece in sorted(least)]


def stored(piece: str, margin: Margin) -> dict[str, str]:
    """A margin as an event keeps it, of this piece of the record."""
    return {"piece": piece, "check": margin.mode, "case": margin.case, "margin": f"{margin.margin:.6f}"}


def _serial(state: State, serial: str, revision: str) -> Refusal | None:
    rack = state.serials.get(serial)
    if rack is None:
        return serial_known(state, serial)
    if rack.state != "planned":
        gone = {"cancelled": "it is no longer ordered", "scrapped": "number the rack that takes its place"}
        do = gone.get(rack.state, "a serial is released once")
        return no("RW517", serial, f"{serial} is {rack.state}", do)
    if rack.revision != revision:
        return no(
            "RW514",
            serial,
            f"{serial} was ordered as {rack.revision}, this is {revision}",
            "use that revision",
        )
    return None


def _assembled(state: State, piece: str) -> Refusal | None:
    made = state.pieces.get(piece)
    if made is not None and made.state == "assembled":
        return None
    return no("RW515", piece, f"{piece} is not assembled into its rack", "assemble and record it")


def _listed(state: State, serial: str) -> str:
    """How long a rack's list is, and what of it is not owed."""
    every = standing_of(state, serial) if serial in state.serials else ()
    if not every:
        return "the revision was frozen without a list, and nobody wrote one"
    gone = [one.owed.evidence for one in every if one.owed.not_owed]
    return f"{len(every) - len(gone)} there" + (f"; not owed: {', '.join(gone)}" if gone else "")


def _metal(state: State, design: Design, serial: str) -> Refusal | None:
    """Every piece is of the metal drawn; or of other metal by a substitution, with margins computed for it."""
    for one in other_metal(state, design, serial):
        what = f"{one.piece} is of {one.made_of} ({one.stock.stock_id}), drawn of {one.drawn}"
        if one.by is None:
            return no("RW520", serial, f"{what}, without a substitution", "make it of the metal drawn")
        if one.why_not:
            do = (
                "make it of the metal drawn, or freeze a revision that draws this metal and its design values"
            )
            return no("RW304", serial, f"{what}: its margins are {NOT_ASSESSED}, {one.why_not}", do)
    return None


def _substituted(state: State, design: Design, serial: str) -> str:
    """By which documents other metal flies."""
    every = other_metal(state, design, serial)
    documents = dict.fromkeys(f"{one.by.document} (event {one.by.seq})" for one in every if one.by)
    return f"other metal in {len(every)} pieces, accepted in {', '.join(documents)}" if every else ""


def _margins(designs: Sequence[Design]) -> Refusal | None:
    """Of the rack as built, and at every other end of what the scales leave open of it."""
    design, worst = next(((one, no[0]) for one in designs if (no := one.refusals())), (None, None))
    if design is None or worst is None:
        return None
    found = f"{worst.found} (with what the scales found)" if design.weighed else worst.found
    return Refusal(worst.code, Where(worst.where.file, worst.where.line, worst.where.field), found, worst.do)


def _rules(state: State, design: Design) -> Refusal | None:
    """Every rule and factor row that the strength rests on is read, with its amendment, or was compared by a person."""
    rows: dict[str, Row] = {**design.rack.rows.load_rules, **design.rack.rows.factors}
    for one in keeps_from_release(design.rack, design.strength):
        compared = state.confirmed.get(one.row)
        if one.kind == "rule" and (compared is None or compared.row_hash != rows[one.row].fingerprint):
            return Refusal("RW525", design.rack.where(one.about), one.text,
                           "compare it with the code, and record who did: rackwright log row_confirmed")  # fmt: skip
    return None


def _as_frozen(state: State, revision: str, design: Design) -> Refusal | None:
    """The frozen texts still give the numbers that were frozen with them."""
    held = state.revisions.get(revision)
    apart = since_frozen(held, design) if held else ()
    if not apart:
        return None
    more = f" (and {len(apart) - 3} more)" if len(apart) > 3 else ""
    found = f"{revision} gives other numbers than when it was frozen: {'; '.join(apart[:3])}{more}"
    return no("RW536", revision, found,
              "find out why, then freeze a new revision or use the program that froze this one")  # fmt: skip


def _reported(state: State, revision: str) -> Refusal | None:
    """The newest strength report of the revision is released, or an engineer lets its racks leave without."""
    last = state.report_of(revision)
    if (last is not None and last.released_by) or without_report(state, revision):
        return None
    found = f"{last.name} is not released" if last else f"no strength report of {revision} is in the record"
    return no(
        "RW535", revision, found, "release it; or an engineer says why not: rackwright log without_report"
    )


def without_report(state: State, revision: str) -> str:
    """Who lets racks of a revision leave without a released report of it, and why; "" where nobody, or needless."""
    held, last = state.revisions.get(revision), state.report_of(revision)
    if held is None or not held.without_report_by or (last is not None and last.released_by):
        return ""
    instead = f"; {held.without_report_document}" if held.without_report_document else ""
    return (
        f"without a released report by {held.without_report_by} (event {held.without_report_seq}): "
        f"{held.without_report_reason}{instead}"
    )


def _made_of(inputs: Mapping[str, str]) -> dict[str, str]:
    """Of a report's inputs the texts of the definition and the reference rows used."""
    return {name: one for name, one in inputs.items() if name.startswith((TEXT, USED))}


def _behind(station: Station, state: State, design: Design) -> dict[str, Any] | Refusal:
    """The report that stands behind a release, or why there is none. Raises Stopped where its bytes are gone."""
    revision = revision_id(design)
    last, held = state.report_of(revision), state.revisions[revision]
    if last is None or not last.released_by:
        return {"without_report": without_report(state, revision)}
    inputs = json.loads(station.record.get_file(last.results))["inputs"]
    made_of, now = (
        _made_of(inputs),
        {TEXT + name: one for name, one in of_definition(held.texts).items()}
        | {
            name: one
            for name, one in used_inputs(design).items()
            if any(each.startswith(USED) for each in inputs)
        },
    )
    other = sorted(name for name in made_of.keys() | now.keys() if made_of.get(name) != now.get(name))
    if other:
        found = f"{last.name} was made of another {', '.join(other[:3])} than {revision} holds"
        return no("RW534", last.report, found, "prepare it of the frozen revision")
    return {"report": last.report, "report_revision": last.revision, "report_inputs": last.inputs,
            "report_file": last.file, "design_hash": held.design_hash}  # fmt: skip


def _weight(state: State, serial: str, weighed: OnScales | None) -> Refusal | None:
    """Its weight agrees; and where the rack is to be proven with what the scales found, that can be computed."""
    if (refused := weight_agrees(state, serial)) or weighed is None or not weighed.why_not:
        return refused
    found = (
        f"{serial}: its margins are {NOT_ASSESSED} at the weight of event {weighed.seq}: {weighed.why_not}"
    )
    return no("RW304", serial, found, "weigh it again, each of the four pads by its name")


def record_dossier(station: Station, serial: str, pdf: bytes, seal: bytes, act_id: str = "") -> Appended:
    """A dossier left the building: its bytes and the head it carries, as later audits must find it."""
    read, faults = read_seal(seal, f"{serial}.seal")
    if read is None:
        raise Stopped(faults)
    head = read.head.head
    body = {"serial": serial, "pdf_sha256": sha256(pdf).hexdigest(), "pdf_length": len(pdf),
            "seal_sha256": sha256(seal).hexdigest(), "size": head.size, "root": head.root}  # fmt: skip

    def decide(state: State) -> list[Draft] | Refusal:
        if serial not in state.serials or state.serials[serial].state == "planned":
            return no("RW503", serial, f"{serial} is not released", "release it first")
        return [Draft("dossier", body, Refs.of(serials=[serial]))]

    return perform(station, "dossier", decide, act_id)
