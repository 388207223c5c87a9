"""From the customer's wish to the right to cut: order, questions, frozen revision, approval reference, serials."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rackwright.making.operations import needed
from rackwright.pieces.characteristics import RACK
from rackwright.record import Appended, Refs, State
from rackwright.shop import Shop, read_shop
from rackwright.trouble import Refusal, Stopped
from rackwright.work.engineering.as_frozen import governing_numbers, proof_hash
from rackwright.work.engineering.frozen_texts import SHOP
from rackwright.work.engineering.heat_strengths import strengths_of
from rackwright.work.engineering.owed import owed_by
from rackwright.work.gates import no, order_known, person_may
from rackwright.work.guard_band import written
from rackwright.work.office.answers import may_be_answered
from rackwright.work.office.lines import has_line, line_of, may_be_numbered, serials_fit
from rackwright.work.people.founding import LEAD
from rackwright.work.quality.nonconforming import is_written
from rackwright.work.route import hold_points
from rackwright.work.station import Draft, Station, perform

if TYPE_CHECKING:
    from rackwright.design import Design

__all__ = [
    "Approval",
    "answer",
    "ask",
    "freeze",
    "order",
    "points_of",
    "record_approval",
    "revision_id",
    "serials",
]


BLOCKS = ("quote", "sign_out", "release")


@dataclass(frozen=True)
class Approval:
    """Where a design approval is documented. Recording it here approves nothing."""

    reference: str
    holder: str
    document: str
    date: str


def revision_id(design: Design) -> str:
    """The name of a design's revision in the record."""
    return f"{design.rack.definition.part} rev {design.rack.definition.revision}"


def order(
    station: Station,
    order: str,
    customer: str,
    design: Design,
    quantity: int,
    due: str,
    document: str,
    act_id: str = "",
    weight: int = 1,
    aircraft_serials: Sequence[str] = (),
) -> Appended:
    """An order, with its first line: racks of one variation, and the aircraft they are for where these are known."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today)
        if refused is None and order in state.orders:
            refused = no("RW517", order, f"order {order} is in the record", "give it its own number")
        aircraft = design.rack.definition.aircraft
        body: dict[str, object] = {
                "order": order, "customer": customer, "variation": design.rack.definition.part, "quantity": quantity,
                "due": due, "document": document, "aircraft": aircraft.type if aircraft else ""}  # fmt: skip
        if weight != 1:
            body["weight"] = weight
        if aircraft_serials:
            body["aircraft_serials"] = list(aircraft_serials)
        return refused or [Draft("order", body)]

    return perform(station, "order", decide, act_id)


def ask(
    station: Station,
    question: str,
    text: str,
    owner: str,
    due: str,
    blocks: Sequence[str],
    order: str,
    act_id: str = "",
    addressee: str = "",
    variation: str = "",
    line: str = "",
    field: str = "",
    assumed: str = "",
) -> Appended:
    """Something must be known; it blocks what it says it blocks, never computing. The owner sees to it; the addressee,
    where it is another, is asked. It is of an order or one `line` of it, or of a `variation` (its part) before any
    order, or of both. `field`: which open question of a definition it asks, where its own name is another.
    `assumed`: what results take meanwhile."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today)
        if refused is None and question in state.questions:
            refused = no("RW517", question, f"{question} is asked already", "give it its own id")
        if refused is None and order:
            refused = order_known(state, order)
        if refused is None and not order and not variation:
            refused = no("RW517", question, "neither order nor variation is named", "name what it is about")
        if refused is None and line:
            refused = has_line(state, order, line)
        unknown = [what for what in blocks if what not in BLOCKS]
        if refused is None and unknown:
            refused = no(
                "RW517", question, f"{unknown[0]!r} cannot be blocked", f"one of {', '.join(BLOCKS)}"
            )
        more = (("addressee", addressee), ("field", field), ("assumed", assumed))
        body = {
            "question": question,
            **{
                name: value
                for name, value in (("order", order), ("line", line), ("variation", variation))
                if value
            },
            "text": text,
            "owner": owner,
            "due": due,
            "blocks": list(blocks),
            "scoped": True,
        } | {name: value for name, value in more if value}
        return refused or [Draft("question", body)]

    return perform(station, "question", decide, act_id)


def answer(
    station: Station,
    question: str,
    text: str,
    document: str,
    act_id: str = "",
    paper: bytes = b"",
    reason: str = "",
) -> Appended:
    """The answer with the document that holds it; one that takes an earlier one's place, with the `reason`: both stay.
    `paper`: the document itself, kept by its hash."""
    held = {"file": station.record.put_file(paper)} if paper else {}

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today)
        refused = refused or may_be_answered(state, question, reason)
        body = {"question": question, "answer": text, "document": document, **held}
        body |= {"reason": reason} if reason else {}
        return refused or [Draft("answer", body, Refs.of(files=held.values()))]

    return perform(station, "answer", decide, act_id, evidence=tuple(held.values()))


def rows_of(design: Design) -> dict[str, dict[str, str]]:
    """By stock specification: the rows of allowables that its pieces are proven by, and how their metal is made."""
    rows, found = design.rack.rows.materials, dict[str, dict[str, str]]()
    for piece in design.pieces.made:
        if piece.material in rows:
            found.setdefault(piece.stock, {})[piece.material] = rows[piece.material].form
    return found


def metal_of(design: Design) -> dict[str, list[str]]:
    """Of each piece that is made: the section and the stock specification that it is drawn of."""
    return {piece.id: [piece.section, piece.stock] for piece in design.pieces.made}


def lengths_of(design: Design, texts: Mapping[str, bytes]) -> dict[str, list[int]]:
    """Of each sawn piece the length it is drawn with and what it may be off either way, nm; none without a shop's text,
    which says how near the saw cuts. No allowance: what is milled has no length off the saw."""
    shop, _ = read_shop(texts[SHOP], SHOP, design.rack.rows) if SHOP in texts else (None, [])
    if shop is None:
        return {}
    return {piece.id: [piece.length or 0, shop.saw.cut_tolerance] for piece in design.pieces.sawn}


def own_rows_of(design: Design) -> dict[str, dict[str, str]]:
    """The strengths of the shop's own rows among these: the record must say them without the shop's files."""
    rows = design.rack.rows.materials
    used = {name for by_name in rows_of(design).values() for name in by_name}
    return {name: strengths_of(rows[name]) for name in sorted(used) if rows[name].own is not None}


def freeze(
    station: Station, design: Design, texts: Mapping[str, bytes], order: str, act_id: str = ""
) -> Appended:
    """Freeze a revision: the texts it consists of, kept by hash, with what was computed of them.

    A design that cannot be built is refused as its faults. One whose margins do not hold may be frozen: the
    release gate judges that, and the record keeps the numbers.
    """
    if design.faults:
        raise Stopped(design.faults)
    revision, files = revision_id(design), {}
    for name, data in sorted(texts.items()):
        files[name] = station.record.put_file(data)
    margins = [m.margin for m in design.strength.margins if m.margin is not None]
    house = _house(texts.get(SHOP), design)
    values = {
        "part": design.rack.definition.part,
        "standard": design.rack.standard,
        "questions": {question.id: list(question.blocks) for question in design.questions},
        "rows": rows_of(design),
        "metal": metal_of(design),
        "lengths": lengths_of(design, texts),
        "own_rows": own_rows_of(design),
        "holds": design.strength.holds,
        "least_margin": f"{min(margins):.4f}" if margins else "",
        "governing": governing_numbers(design),
        "owed": owed_by(design),
        **(_of_the_route(design, house) if house else {}),
    }
    proof = proof_hash(design)

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today)
        if refused is None and revision in state.revisions:
            refused = no("RW517", revision, f"{revision} is frozen already", "raise the revision letter")
        body = {"revision": revision, "order": order, "variation": design.rack.definition.part,
                "drawing": design.rack.definition.drawing, "design_hash": proof, "values": values,
                "texts": [{"name": name, "file": file} for name, file in files.items()]}  # fmt: skip
        return refused or [Draft("freeze", body, Refs.of(files=files.values()))]

    return perform(station, "freeze", decide, act_id)


def points_of(design: Design) -> list[str]:
    """The hold points of its route, as its travelers print them."""
    kinds = frozenset(piece.kind for piece in design.pieces.made)
    return hold_points(needed([design.rack], kinds))


def _of_the_route(design: Design, shop: Shop) -> dict[str, object]:
    """What the shop's file decides of the making: its decision rule, the hold points, and what is to be measured and
    tightened by each of them."""
    from rackwright.making.assembly import assembly
    from rackwright.making.inspected import characteristics_of
    from rackwright.making.route import STAGES

    asked: dict[str, dict[str, list[str]]] = {}
    point_of = {stage: point for point, stage in STAGES.items()}
    for one in characteristics_of(design, shop):
        if one.stage in point_of:
            at = asked.setdefault(point_of[one.stage], {})
            at.setdefault("" if one.piece == RACK else one.piece, []).append(one.name)
    return {
        "guard_band": written(shop.guard_band),
        "hold_points": points_of(design),
        "measured_by": asked,
        "joints": [joint.id for joint in assembly(design, shop).ours],
    }


def _house(data: bytes | None, design: Design) -> Shop | None:
    """The shop as its file is frozen, None where no file is. Raises Stopped."""
    if data is None:
        return None
    shop, faults = read_shop(data, SHOP, design.rack.rows)
    if shop is None:
        raise Stopped(faults)
    return shop


def record_approval(station: Station, revision: str, approval: Approval, act_id: str = "") -> Appended:
    """Where the design approval of a revision is documented."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today)
        if refused is None and revision not in state.revisions:
            refused = no("RW514", revision, f"revision {revision} is not frozen", "freeze it first")
        refused = refused or is_written(revision, approval.document, approval.date, station.today)
        body = {"revision": revision, "reference": approval.reference, "holder": approval.holder,
                "document": approval.document, "date": approval.date}  # fmt: skip
        return refused or [Draft("approval_reference", body)]

    return perform(station, "approval_reference", decide, act_id)


def serials(
    station: Station, order: str, revision: str, names: Sequence[str], act_id: str = "", line: str = ""
) -> Appended:
    """Serial numbers for the racks of a line of an order that have none yet; `line` where it has several."""

    def decide(state: State) -> list[Draft] | Refusal:
        of = line_of(state, order, line)
        refused = person_may(state, station.person, LEAD, station.today)
        if refused is not None:
            return refused
        if isinstance(of, Refusal):
            return of
        refused = may_be_numbered(state, order, of, revision) or serials_fit(state, order, of, names)
        position = len([rack for rack in state.serials.bearing("order", order) if rack.line == of])
        return refused or [
            Draft("serial", {"serial": name, "order": order, "line": of, "revision": revision, "position": n},
                  Refs.of(serials=[name])) for n, name in enumerate(names, start=position + 1)]  # fmt: skip

    return perform(station, "serial", decide, act_id)
