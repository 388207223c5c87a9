"""The dossier of one serial, and its seal: what it is, what was computed of it, what was recorded, what is not covered.

Everything is taken from one look at the record and from the design rebuilt of the frozen texts, so that the same
record and date give the same bytes. The seal is a second file, since a proof inside a PDF cannot cover it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any

from rackwright import __version__
from rackwright.answers import prove_json
from rackwright.design import Design
from rackwright.formulas.cards import cards
from rackwright.papers.dossier import Dossier, set_dossier
from rackwright.papers.house import Attachment
from rackwright.papers.table import Block, Facts, Items, Section, Table
from rackwright.record import Event, Head, Record, State, events_of_serial, project
from rackwright.record.office import Question
from rackwright.record.state import Report
from rackwright.seal import Tree, key_id, make_seal, public_key
from rackwright.shop import Shop
from rackwright.strength.cases import no_limit_case
from rackwright.trouble import PRELIMINARY, REPLACED, UNCONFIRMED, Stopped
from rackwright.work.engineering.frozen import frozen
from rackwright.work.engineering.frozen_texts import BASE, SHOP
from rackwright.work.engineering.metal_as_made import NOT_ASSESSED, not_assessed, other_metal
from rackwright.work.engineering.rows_used import used_rows
from rackwright.work.gates import serial_known
from rackwright.work.papers.asked import open_of
from rackwright.work.papers.definition import definition_sections, orientation_words
from rackwright.work.papers.drawing import draw
from rackwright.work.papers.installer import installer_sections
from rackwright.work.papers.record import record_sections, release_event
from rackwright.work.papers.reprint import reprinted_sections
from rackwright.work.papers.sources import documents, how_known
from rackwright.work.papers.strength import appendix_sections, strength_sections
from rackwright.work.papers.words import DEMO, OWN_NOTE, head, ms, must_fit, ordered_words
from rackwright.work.serials.releasing import without_report
from rackwright.work.service.carrying import least_of, least_words
from rackwright.work.service.maintained import as_maintained

__all__ = ["NOT_COVERED", "dossier"]

NOT_RELEASED, SCRAPPED = "NOT RELEASED", "SCRAPPED"
KEPT = {"definition": "the definition, as frozen"}
NOT_COVERED = (
    "Limit flight, gust, manoeuvre and landing cases of the aircraft, unless they are among the cases given.",
    "Fatigue, damage tolerance, wear and corrosion over the rack's life.",
    "Vibration beyond the section on it: fatigue, slack straps, a strap's chain to the floor; the blow of items on "
    "the stops of their isolators, in vibration and in load cases.",
    "Large bending of the members themselves: the rack turns and shifts as far as its straps let it, its metal bends "
    "little. Clearance to the aircraft and to people is not judged.",
    "Slip and play of joints, clearance of spigots and holes, and what they do to stiffness and load sharing.",
    "Shelf panels beyond the strip under each fixing line and the plate at each foot: buckling, and cut-outs.",
    "A shelf angle's carrying leg pulled by a screw near the angle's end: it is judged as a long leg.",
    "Rings: cold work at the bend, twist of the leg by an offset pull; their eyes only by the lug's simple modes.",
    "Corner blocks as machined: fillets, local stress at pockets; only spigot bending, bearing and bolts are checked.",
    "Screws of equipment beyond shear, tension, prying and their combination.",
    "Loss of preload in joints over time; thread engagement and locking of nuts; rivets of nutplates and the metal "
    "around an insert beyond its document.",
    "Bolts at limit load: the handbook gives fasteners ultimate strength alone, and no yield of theirs is sourced.",
    "Shear-out and oblique pull of rings at yield: no shear yield is sourced, and the lug's oblique exponent of 1.6 is "
    "of ultimate tests.",
    "Coating, bonding and flammability beyond the measurements and documents listed; electromagnetic effects, tests of "
    "equipment.",
    "Floor, floor fittings, tracks and their surroundings beyond the allowables given; straps and links beyond their "
    "makers' ratings; under a bolted foot the block below the bolt's head, and prying.",
    "Temperature in service beyond what the load cases say of it: gradients, bolts and equipment that grow otherwise "
    "than the frame, how straps age, vibration otherwise than as fixed; what baking a coating does to a temper.",
    "Mass and centre of gravity as built, unless a weighing is listed.",
)


def dossier(
    record: Record,
    serial: str,
    design: Design,
    standard: Design | None,
    shop: Shop,
    seed: bytes,
    date: str,
    seen_heads: Iterable[Head] = (),
) -> tuple[bytes, bytes]:
    """The PDF of a serial and its seal, signed with the key of `seed`.

    `design` and `standard` are those of the frozen revision; `seen_heads` heads of this record that left the building
    before, beside those it recorded itself. Raises Stopped: RW503 an unknown serial, a design's faults.
    """
    must_fit(design)
    now, events = record.look()
    state = project(events)
    unknown = serial_known(state, serial)
    if unknown is not None:
        raise Stopped([unknown])
    own = events_of_serial(events, state, serial)
    job = _Job(record, serial, design, standard, shop, state, events, own, now, seed, date)
    pdf = set_dossier(_compose(job))
    seal = make_seal(
        serial,
        pdf,
        [event.to_json() for event in own],
        Tree(event.leaf() for event in events),
        f"{date}T00:00:00Z",
        seed,
        (*seen_heads, *(head for head, _ in state.heads)),
    )
    return pdf, seal


@dataclass(frozen=True, eq=False)
class _Job:
    """What a dossier is made of, from one look at the record."""

    record: Record
    serial: str
    design: Design
    standard: Design | None
    shop: Shop
    state: State
    events: Sequence[Event]
    own: Sequence[Event]
    now: Head
    seed: bytes
    date: str

    @property
    def report(self) -> Report | None:
        """The newest strength report of the serial's revision."""
        return self.state.report_of(self.state.serials[self.serial].revision)

    @property
    def released(self) -> Event | None:
        return release_event(self.events, self.serial)


def _printed(job: _Job) -> tuple[Mapping[str, Any], str]:
    """The results of the report behind this rack, and its name."""
    if job.report is None:
        return {}, ""
    results: Mapping[str, Any] = json.loads(job.record.get_file(job.report.results))
    return results, job.report.name + ("" if job.report.released_by else ", not released,")


def _compose(job: _Job) -> Dossier:
    design, state, d = job.design, job.state, job.design.rack.definition
    rack = state.serials[job.serial]
    more = (SCRAPPED,) if rack.state == "scrapped" else () if job.released else (NOT_RELEASED,)
    asked = open_of(state, rack.order, d.part, rack.line)
    if asked and PRELIMINARY not in design.marks:
        more = (PRELIMINARY, *more)
    return Dossier(
        head=head(design, job.shop, "Dossier", job.serial, job.date, state.demo, more),
        serial=job.serial,
        part=d.part,
        identity=_identity(job),
        orientation=orientation_words(design),
        record=_record(job),
        sections=(
            *definition_sections(design, job.standard, state, job.serial, job.shop, job.date),
            *strength_sections(design, _report(job)),
            *reprinted_sections(*_printed(job)),
            *installer_sections(design),
            *record_sections(
                job.events, job.own, state, job.serial, design, job.shop, job.date, job.record.get_file
            ),
            Section("What is not covered", (Items(NOT_COVERED),)),
            Section("References", tuple(_references(job))),
            *(() if job.report else appendix_sections(design)),
        ),
        outcome=_outcome(design),
        state=tuple(_marks(job, asked)),
        attachments=tuple(_attachments(job)),
    )


# --- cover ---------------------------------------------------------------------------------------


def _identity(job: _Job) -> Facts:
    d, state = job.design.rack.definition, job.state
    rack = state.serials[job.serial]
    order, revision = state.orders.get(rack.order), state.revisions.get(rack.revision)
    customer = ordered_words(order, rack.line) if order else rack.order
    frozen_at = f", frozen in event {revision.seq}" if revision else ""
    approvals = "; ".join(
        f"{a.reference}, {a.document}, {a.date} (event {a.seq})"
        for a in (revision.approvals if revision else ())
    )
    at_risk = f"; work let go on at risk by {revision.at_risk_by}" if revision and revision.at_risk_by else ""
    released = job.released
    basis = d.basis
    cited = job.design.rack.rows.load_rules[f"{basis.rule}@{basis.amendment}"].cited if basis else ""
    return Facts((
        ("What", f"{d.title}; variation of {job.design.rack.standard}" if job.standard else d.title),
        ("Part, revision", f"{d.part} revision {d.revision}{frozen_at}"),
        ("Drawing", f"{d.drawing} revision {d.revision}"),
        ("Order", customer),
        ("Aircraft", f"{d.aircraft.type}; {d.aircraft.document or 'no document'}" if d.aircraft else "not stated"),
        ("Basis", f"{cited}; {basis.document}" if basis else "not entered"),
        ("Design-approval reference", (approvals or "none is recorded") + at_risk),
        ("Strength report", _report_words(job)),
        ("Released", f"event {released.seq}, {released.at[:10]}, by {released.by}" if released else "no"),
    ))  # fmt: skip


def _report_words(job: _Job) -> str:
    """The report behind this rack in a line, and by whom it may leave where that is not released."""
    one = job.report
    words = (
        f"{one.name}, " + (f"released by {one.released_by}" if one.released_by else "not released")
        if one
        else ""
    )
    let = without_report(job.state, job.state.serials[job.serial].revision)
    return "; ".join(filter(None, (words, let))) or "none is in the record"


def _report(job: _Job) -> Facts | None:
    """The strength report behind this dossier: which bytes, who prepared, checked and released them."""
    one = job.report
    if one is None:
        return None
    open_ = f"no: {len(one.reasons)} reasons stand on its cover" if one.reasons else "no"
    return Facts((
        ("Report", f"{one.report} revision {one.revision}, of {one.of}"),
        ("Bytes, SHA-256", one.file),
        ("Inputs, SHA-256", one.inputs),
        ("Prepared", f"by {one.prepared_by}, {one.at[:10]}, event {one.seq}"),
        ("Checked", f"by {one.checked_by}, event {one.checked_seq}" if one.checked_by else "not yet"),
        ("Released", f"by {one.released_by}, event {one.released_seq}" if one.released_by else open_),
        ("It holds", "idealisation, free bodies, every margin with one of each kind worked in full, every floor force, "
                     "shapes, assumptions, what was not checked, sources, and an annex on the tool"),
    ))  # fmt: skip


def _record(job: _Job) -> Facts:
    root = job.now.root
    return Facts(
        (
            ("Events in the record", str(job.now.size)),
            ("Root", " ".join(root[i : i + 8] for i in range(0, len(root), 8))),
            ("Signed by key", key_id(public_key(job.seed))),
            (
                "Proof",
                f"{job.serial}.seal beside this file; rackwright verify {job.serial}.pdf checks both",
            ),
        ),
        title="The record behind this dossier",
    )


def _outcome(design: Design) -> str:
    governing = design.strength.governing
    if not governing:
        return "No margin of safety is shown: the basis or the orientation is missing."
    gone = sum(margin.margin is None for margin in governing)
    least = next((margin for margin in governing if margin.margin is not None), None)
    words = f"{gone} required margins are missing. " if gone else ""
    if least is None:
        return words.strip()
    return (
        f"{words}Least margin of safety {ms(least.margin)}: {least.mode}, {least.piece}, case {least.case}."
    )


def _marks(job: _Job, asked: Sequence[Question]) -> Iterator[str]:
    """Every mark of the cover in words, and what is not there."""
    design = job.design
    if job.state.demo:
        yield f"{DEMO}: invented shop, job and aircraft; everyone knows the key, it proves nothing about who signed."
    if design.questions or asked:
        named = {name for one in asked for name in (one.question, one.field)}
        left = [one.id for one in design.questions if one.id not in named]
        ids = ", ".join((*left, *(f"{one.question}{one.told and f' ({one.told})'}" for one in asked)))
        yield f"{PRELIMINARY}: open questions stand behind the results: {ids}."
    if UNCONFIRMED in design.marks:
        yield f"{UNCONFIRMED}: margins marked U rest on reference rows not yet compared with their source."
    if REPLACED in design.marks:
        yield f"{OWN_NOTE} They stand under Sources."
    if other := other_metal(job.state, design, job.serial):
        yield f"SUBSTITUTED METAL: {len(other)} pieces are not of the metal drawn; they are listed with their heats."
        if not_assessed(other):
            yield f"{NOT_ASSESSED}: the margins shown are of the metal drawn; of what is made none are computed."
    if job.state.serials[job.serial].state == "back":
        yield "IN THE SHOP'S HANDS: worked on since its release, or come back, and not put back to service."
    if job.serial in job.state.service or job.serial in job.state.carried:
        now = least_of(as_maintained(job.state, design, job.serial, job.record.get_file))
        yield f"As maintained, which is not as built: {least_words(now)}."
    if not job.released:
        yield f"{NOT_RELEASED}: no release of {job.serial} is in the record; this is for review only."
    if no_limit_case(design.strength.cases):
        yield "Only ultimate load cases are given; no limit case exists."


# --- references and attachments ------------------------------------------------------------------


def _references(job: _Job) -> Iterator[Block]:
    yield Table(
        "Documents that the definition names",
        ("document", "what it states"),
        tuple(documents(job.design)),
        widths=(3, 2),
        note="Held by the shop or the customer; none was read by this program.",
    )
    rows = tuple(
        (row.id, what, f"{row.known.source}, {row.known.place}", how_known(row))
        for what, row in used_rows(job.design)
    )
    yield Table(
        "Reference rows used",
        ("row", "what", "source and place", "how known"),
        rows,
        align="illl",
        widths=(1.9, 1, 2.9, 3.2),
        note="A row that is transcribed and unverified, or from memory, marks every margin that rests on it.",
    )
    used = dict.fromkeys(name for margin in job.design.strength.governing for name, _ in margin.steps)
    known = cards()
    yield Table("Formula cards used", ("card", "what", "source", "how known"),
                tuple((name, known[name].title, known[name].source, known[name].how_known) for name in sorted(used)),
                align="illl", widths=(1.8, 2, 3.4, 1.2))  # fmt: skip
    kept = job.state.revisions.get(job.state.serials[job.serial].revision)
    file = kept.texts.get(SHOP, "") if kept else ""
    yield Facts((
        ("The shop's file", f"SHA-256 {file}, frozen with the revision; it holds prices and stays in the shop" if file
         else "not frozen with the revision"),
        ("Computed by", f"rackwright {__version__}"),
    ))  # fmt: skip


def _attachments(job: _Job) -> Iterator[Attachment]:
    revision = job.state.serials[job.serial].revision
    if revision in job.state.revisions:
        for name, data in frozen(job.record, revision, job.state).texts.items():
            if name == SHOP:
                continue  # a dossier goes where the rack goes, prices and rates do not
            file = f"{name.removeprefix(BASE)}.toml".replace("/", "-")
            yield Attachment(
                file, data, "application/toml", "source", KEPT.get(name, "the standard, as frozen")
            )
    drawing = draw(job.design, job.shop, job.date, job.state.demo)
    yield Attachment("drawing.pdf", drawing, "application/pdf", "supplement", "the drawing at full size")
    yield Attachment("results.json", _json(prove_json(job.design)), "application/json", "data",
                     "every computed result, SI units in the keys")  # fmt: skip
    lines = b"".join(
        json.dumps(event.to_json(), sort_keys=True, ensure_ascii=False).encode() + b"\n" for event in job.own
    )
    yield Attachment("events.jsonl", lines, "application/x-ndjson", "data", "the serial's events as recorded")


def _json(document: object) -> bytes:
    text = json.dumps(_finite(document), indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False)
    return f"{text}\n".encode()


def _finite(value: Any) -> Any:
    """A document with null where a case without equilibrium has no number."""
    if isinstance(value, float) and not isfinite(value):
        return None
    if isinstance(value, dict):
        return {key: _finite(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(one) for one in value]
    return value
