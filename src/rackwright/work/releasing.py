"""Release of a serial: every gate, in one list with its state, and the act itself."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256

from rackwright.design import Design
from rackwright.making.assembly import assembly
from rackwright.pieces.characteristics import RACK, characteristics
from rackwright.record import Appended, Refs, State
from rackwright.reference import factors, load_rules
from rackwright.reference.rows import Row
from rackwright.seal import read_seal
from rackwright.shop import Shop
from rackwright.strength.margin import Margin
from rackwright.strength.support import keeps_from_release
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.assembling import joints_complete
from rackwright.work.gates import (
    no,
    not_held,
    person_may,
    piece_complete,
    question_open,
    rack_complete,
    revision_is_referenced,
    serial_known,
)
from rackwright.work.inspecting import INSPECTOR
from rackwright.work.ordering import revision_id
from rackwright.work.passports import points_gate
from rackwright.work.sawing import piece_id
from rackwright.work.station import Draft, Station, perform

__all__ = ["Gate", "governing_by_piece", "record_dossier", "release", "release_gates"]


@dataclass(frozen=True)
class Gate:
    """One gate before release: what it asks, and why it says no ("" when it does not)."""

    name: str
    refusal: Refusal | None

    @property
    def words(self) -> str:
        return f"no: {self.refusal.found}" if self.refusal else "passed"


def release_gates(
    state: State, serial: str, design: Design, shop: Shop, person: str, today: str
) -> tuple[Gate, ...]:
    """Every gate before a serial may be released, in the order a person would look."""
    rack, revision = state.serials.get(serial), revision_id(design)
    names: dict[str, list[str]] = {piece.id: [] for piece in design.pieces.made}
    wanted = characteristics(design.rack, design.pieces, shop.saw.cut_tolerance)
    for each in wanted:
        names.setdefault(each.piece, []).append(each.name)
    whole = names.pop(RACK, [])
    pieces = [piece_complete(state, piece_id(serial, id), asked) for id, asked in names.items()]
    fitted = [_assembled(state, piece_id(serial, id)) for id in names]
    return (
        Gate("person", person_may(state, person, INSPECTOR, today)),
        Gate("serial", _serial(state, serial, revision)),
        Gate("design-approval reference", revision_is_referenced(state, revision, at_risk_allowed=False)),
        Gate("open questions", question_open(state, "release", rack.order if rack else "", revision)),
        Gate(
            "pieces, heats and measurements", next((answer for answer in pieces if answer is not None), None)
        ),
        Gate("measurements of the rack", rack_complete(state, serial, whole)),
        Gate("assembly", next((answer for answer in fitted if answer is not None), None)),
        Gate("joints", joints_complete(state, serial, [joint.id for joint in assembly(design, shop).ours])),
        Gate("interchange points", points_gate(state, serial, design, shop)),
        Gate("weight", _weight(state, serial)),
        Gate("margins of safety", _margins(design)),
        Gate("rules of the basis", _rules(state, design)),
        Gate("holds", not_held(state, serial=serial)),
    )


def release(station: Station, serial: str, design: Design, shop: Shop, act_id: str = "") -> Appended:
    """Release a serial with the governing margin of each piece as computed now."""

    def decide(state: State) -> list[Draft] | Refusal:
        for gate in release_gates(state, serial, design, shop, station.person, station.today):
            if gate.refusal is not None:
                return gate.refusal
        pieces = [piece_id(serial, piece.id) for piece in design.pieces.made]
        rows = [_stored(serial, margin) for margin in governing_by_piece(design)]
        body = {"serial": serial, "revision": revision_id(design), "margins": rows, "pieces": pieces,
                "statement": "conformity to the frozen revision is for the person who signs"}  # fmt: skip
        heats = {state.pieces[piece].heat for piece in pieces}
        return [Draft("release", body, Refs.of(heats=heats, pieces=pieces, serials=[serial]))]

    return perform(station, "release", decide, act_id)


def governing_by_piece(design: Design) -> list[Margin]:
    """The least margin of every piece, in the order of ids."""
    least: dict[str, Margin] = {}
    for margin in design.strength.margins:
        kept = least.get(margin.piece)
        if margin.margin is not None and (kept is None or margin.margin < (kept.margin or 0.0)):
            least[margin.piece] = margin
    return [least[piece] for piece in sorted(least)]


def _stored(serial: str, margin: Margin) -> dict[str, str]:
    value = f"{margin.margin:.6f}"
    return {
        "piece": piece_id(serial, margin.piece),
        "check": margin.mode,
        "case": margin.case,
        "margin": value,
    }


def _serial(state: State, serial: str, revision: str) -> Refusal | None:
    rack = state.serials.get(serial)
    if rack is None:
        return serial_known(state, serial)
    if rack.state != "planned":
        return no("RW517", serial, f"{serial} is {rack.state}", "a serial is released once")
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


def _margins(design: Design) -> Refusal | None:
    refusals = design.refusals()
    if not refusals:
        return None
    worst = refusals[0]
    return Refusal(
        worst.code, Where(worst.where.file, worst.where.line, worst.where.field), worst.found, worst.do
    )


def _rules(state: State, design: Design) -> Refusal | None:
    """Every rule and factor row that the strength rests on is read, with its amendment, or was compared by a person."""
    rows: dict[str, Row] = {**load_rules(), **factors()}
    for one in keeps_from_release(design.rack, design.strength):
        compared = state.confirmed.get(one.row)
        if one.kind == "rule" and (compared is None or compared.row_hash != rows[one.row].fingerprint):
            return Refusal("RW525", design.rack.where(one.about), one.text,
                           "compare it with the code, and record who did: rackwright log row_confirmed")  # fmt: skip
    return None


def _weight(state: State, serial: str) -> Refusal | None:
    """Weighed, and near enough to the computed mass."""
    rack = state.serials.get(serial)
    if rack is None or rack.weighed is None:
        return no("RW522", serial, f"{serial} is not weighed", "weigh it on its pads")
    if not rack.weighed:
        found = f"{serial} is too far from its computed mass"
        return no("RW522", serial, found, "find the difference, then weigh again")
    return None


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
