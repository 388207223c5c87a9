"""What an order still lacks, line by line and rack by rack: told from the gates that will ask it, never decided here.

Of the order: its contract, its questions, answers that changed. Of a line: its frozen revision, the design-approval
reference, serials, metal. Of a rack that is not released: every gate of its release that says no, and how much of each
step, reading and bake its route still asks; of one that is: what its shipment waits for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rackwright.plan import Plan
from rackwright.record import Record, State, project
from rackwright.record.office import Line, Order, Question
from rackwright.record.state import Revision, Serial
from rackwright.shop import Shop
from rackwright.trouble import Stopped
from rackwright.work.engineering.frozen import frozen
from rackwright.work.gates import contract_reviewed, first, order_known, person_may, revision_is_referenced
from rackwright.work.metal.sawing import piece_id
from rackwright.work.office.answers import Changed, changed_answers
from rackwright.work.office.lines import otherwise_quoted
from rackwright.work.office.progress import Progress
from rackwright.work.people.founding import INSPECTOR
from rackwright.work.people.scopes import in_scope
from rackwright.work.quality.nonconforming import CUSTOMER
from rackwright.work.serials.releasing import release_gates
from rackwright.work.serials.shipping import may_be_shipped

__all__ = ["AskedOf", "LineLacks", "OrderLacks", "RackLacks", "StepLeft", "lacking"]


@dataclass(frozen=True)
class StepLeft:
    """How much of an operation of the route is recorded, of what it takes."""

    operation: str
    title: str
    done: int
    of: int


@dataclass(frozen=True)
class AskedOf:
    """A question of the order, with everything that was answered to it."""

    question: Question
    late: bool


@dataclass(frozen=True)
class RackLacks:
    """`lacks`: (what asks, what it found); () where nothing is left to do here."""

    serial: str
    state: str
    lacks: tuple[tuple[str, str], ...]
    steps: tuple[StepLeft, ...]  # that are not done whole


@dataclass(frozen=True)
class LineLacks:
    line: Line
    revisions: tuple[str, ...]
    lacks: tuple[tuple[str, str], ...]
    racks: tuple[RackLacks, ...]


@dataclass(frozen=True)
class OrderLacks:
    """`lacks`: what holds the whole order, in words."""

    order: Order
    lacks: tuple[str, ...]
    asked: tuple[AskedOf, ...]
    changed: tuple[Changed, ...]
    lines: tuple[LineLacks, ...]

    @property
    def complete(self) -> bool:
        """Is every line shipped, with nothing left open?"""
        open_ = any(one.question.open for one in self.asked)
        racks = [rack for line in self.lines for rack in line.racks]
        lines = any(line.lacks for line in self.lines)
        return not (self.lacks or open_ or lines or any(rack.lacks or rack.steps for rack in racks))


def lacking(record: Record, order: str, shop: Shop, today: str) -> OrderLacks:
    """`shop` where none was frozen. Raises Stopped: RW503 an unknown order; and as `frozen`."""
    events = record.events()
    state = project(events)
    unknown = order_known(state, order)
    if unknown is not None:
        raise Stopped([unknown])
    of = state.orders[order]
    parts = {line.variation for line in of.lines.values()}
    asked = [one for one in state.questions.values() if any(one.covers(order, part) for part in parts)]
    names = {one.question for one in asked}
    return OrderLacks(
        of,
        tuple(_of_contract(state, order)),
        tuple(AskedOf(one, bool(one.open and one.due and one.due < today)) for one in asked),
        tuple(one for one in changed_answers(events, state) if one.question.question in names),
        tuple(_line(record, state, of, line, shop, today) for line in of.lines.values()),
    )  # fmt: skip


def _of_contract(state: State, order: str) -> Iterator[str]:
    reviewed, other = contract_reviewed(state, order), otherwise_quoted(state, order)
    yield from (one.found for one in (reviewed,) if one is not None)
    yield from (words for words in (other,) if words)
    for clause in state.clauses.get(order, {}).values():
        if clause.open and clause.before != CUSTOMER:  # that one is asked of each nonconformance
            before = f"before {clause.before.replace('_', ' ')}" if clause.before else "at some time"
            yield f"clause {clause.clause}, {before}, met by {clause.met_by}, has no evidence: {clause.text}"


# --- a line ----------------------------------------------------------------------------------------


def _line(record: Record, state: State, order: Order, line: Line, shop: Shop, today: str) -> LineLacks:
    every = [rack for rack in state.serials.bearing("order", order.order) if rack.line == line.line]
    revisions = tuple(dict.fromkeys(rack.revision for rack in every)) or _frozen_for(state, order, line)
    racks = tuple(_rack(record, state, rack, shop, today) for rack in every)
    lacks = () if line.withdrawn else tuple(_of_line(state, order, line, revisions))
    return LineLacks(line, revisions, lacks, racks)


def _frozen_for(state: State, order: Order, line: Line) -> tuple[str, ...]:
    """The newest revision that was frozen for it, while no rack is numbered."""
    found: list[Revision] = [
        one for one in state.revisions.values()
        if one.order == order.order and one.variation in ("", line.variation)
    ]  # fmt: skip
    newest = max(found, key=lambda one: one.seq, default=None)
    return (newest.revision,) if newest else ()


def _of_line(state: State, order: Order, line: Line, revisions: Sequence[str]) -> Iterator[tuple[str, str]]:
    if not revisions:
        yield "frozen revision", f"no revision of {line.variation} is frozen for {order.order}"
    for revision in revisions:
        refused = revision_is_referenced(state, revision, at_risk_allowed=False)
        if refused is not None:
            held = state.revisions[revision]
            at_risk = (
                f"; work goes on at risk by {held.at_risk_by}: {held.at_risk_reason}"
                if held.at_risk_by
                else ""
            )
            yield "design-approval reference", refused.found + at_risk
    racks = state.racks(order.order, line.line)
    missing = line.quantity - len(racks)
    if missing > 0:
        yield "serials", f"{missing} of {line.quantity} racks have none"
    without = [one.serial for one in racks if one.state == "planned" and not _metal_out(state, one)]
    if without:
        yield "metal", f"none is signed out for {', '.join(without)}"


def _metal_out(state: State, rack: Serial) -> bool:
    """Is a piece of it made, or a bar out for one?"""
    out = (piece for one in state.stock.values() if one.state == "issued" for piece in one.planned)
    return bool(rack.pieces) or any(piece.partition("/")[0] == rack.serial for piece in out)


# --- a rack ----------------------------------------------------------------------------------------


def _rack(record: Record, state: State, rack: Serial, shop: Shop, today: str) -> RackLacks:
    if rack.state == "released":
        refused = may_be_shipped(state, rack.serial)
        found = refused.found if refused else "it is released, and not shipped"
        return RackLacks(rack.serial, rack.state, (("shipment", found),), ())
    if rack.state == "back":
        found = f"it is in the shop's hands: rackwright show {rack.serial} says what waits"
        return RackLacks(rack.serial, rack.state, (("back to service", found),), ())
    if rack.state != "planned":
        return RackLacks(rack.serial, rack.state, (), ())
    held = frozen(record, rack.revision, state)
    house = held.shop or shop
    who = [
        name
        for name in state.persons
        if first(person_may(state, name, INSPECTOR, today), in_scope(state, name, "release")) is None
    ]
    gates = release_gates(
        state, rack.serial, held.design, house, record.get_file, who[0] if who else "", today
    )
    lacks = tuple((gate.name, gate.refusal.found) for gate in gates if gate.refusal is not None)
    progress, steps = Progress.of(state, house), []
    for operation in Plan(((held.design, 1),), None, house, effort=0).route.operations:
        signs = list(progress.signs(operation, held.design, rack.serial))
        if not all(signs):
            steps.append(StepLeft(operation.id, operation.title, sum(signs), len(signs)))
    out = [
        f"{piece.id} at {made.at_supplier} for {made.for_process} since {made.sent_at}"
        for piece in held.design.pieces.made
        if (made := state.pieces.get(piece_id(rack.serial, piece.id))) and made.state == "sent_out"
    ]
    open_ = [
        (f"nonconformance {one.nonconformance}", one.text)
        for one in state.nonconformances.values()
        if one.open and any(name.partition("/")[0] == rack.serial for name in (*one.pieces, *one.serials))
    ]
    away = [("outside work", f"{out[0]}{f' and {len(out) - 1} more' if len(out) > 1 else ''}")] if out else []
    return RackLacks(rack.serial, rack.state, (*lacks, *open_, *away), tuple(steps))
