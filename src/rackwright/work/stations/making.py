"""Steps of the route after the saw: mill, bend, drill, coat, bake and the rest, each on named pieces.

The order of steps is the route's: a step is refused on a piece that lacks an earlier one. A bake counts only
when its thermocouple record met the powder maker's window; a bend is recorded with its measured angle and
radius. A piece that is scrapped, sent out or held cannot be worked on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from rackwright.making.operations import OPERATIONS
from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal
from rackwright.work.gates import first, gauge_may_measure, lot_may_be_used, no, not_held, person_may
from rackwright.work.station import Draft, Station, perform

__all__ = ["ROLE_OF", "STEPS", "Step", "receive_back", "send_out", "step", "steps_before"]

STEPS = ("mill", "bend", "fit_up", "drill", "take_apart", "deburr", "pretreat", "coat", "bake", "bond_pads")
ROLE_OF = {"mill": "machining", "bend": "machining"}  # every other step is assembly's
TYPES = ("mill", "bend", "drill", "coat", "bake")  # the rest are recorded as `operation`


@dataclass(frozen=True)
class Step:
    """What was done: step, machine or place, values read (texts with units), lots and gauges used."""

    name: str
    machine: str = ""
    values: Mapping[str, str] = field(default_factory=dict)
    lots: tuple[str, ...] = ()
    gauges: tuple[str, ...] = ()
    short: str = ""  # why the process did not meet its rule


def step(
    station: Station, done: Step, pieces: Sequence[str], serials: Sequence[str], act_id: str = "",
    machine_record: bytes = b"",
) -> Appended:  # fmt: skip
    """Record a step on pieces. Refused out of order, on pieces that are not free, or when its rule was not met.

    What the machine itself recorded is kept by its hash, and named also when the step is refused.
    """
    file = station.record.put_file(machine_record) if machine_record else ""

    def decide(state: State) -> list[Draft] | Refusal:
        his = [one for one in state.measurements if one.by == station.person and one.piece in pieces]
        measured = {one.piece for one in his if _stands(state, one.piece, one.seq)}
        refused = first(
            person_may(state, station.person, ROLE_OF.get(done.name, "assembly"), station.today, done.name),
            *(gauge_may_measure(state, gauge, station.today) for gauge in done.gauges),
            *(lot_may_be_used(state, lot, station.today) for lot in done.lots),
            *(_free(state, done.name, piece) for piece in pieces),
            *(_not_its_inspector(station.person, piece) for piece in pieces if piece in measured),
        )
        if refused is None and done.name == "bake" and not file:
            refused = no(
                "RW519", "bake", "the bake has no thermocouple record", "give what the oven recorded"
            )
        if refused is None and done.short:
            refused = no(
                "RW519", done.name, f"{done.name}: {done.short}", "repeat it, or raise a nonconformance"
            )
        if refused is not None:
            return refused
        body: dict[str, object] = {
            "pieces": list(pieces), "serials": list(serials), "machine": done.machine, "values": dict(done.values),
            "lots": list(done.lots), "gauges": list(done.gauges),
        }  # fmt: skip
        kind = done.name if done.name in TYPES else "operation"
        if kind == "operation":
            body["step"] = done.name
        refs = Refs.of(pieces=pieces, serials=serials, lots=done.lots, gauges=done.gauges, files=[file])
        return [Draft(kind, body, refs)]

    return perform(station, done.name, decide, act_id, evidence=[file])


def _free(state: State, name: str, piece: str) -> Refusal | None:
    made = state.pieces.get(piece)
    if made is None:
        return no("RW503", piece, f"{piece} is not in the record", "check the label")
    if made.state != "made":
        return no("RW517", piece, f"{piece} is {made.state}", "only a piece in the shop can be worked on")
    kind = piece.partition("/")[2].partition(".")[0]
    for needed in steps_before(name, kind):
        if needed not in made.done:
            return no("RW518", piece, f"{name} on {piece} before {needed}", f"do and record {needed} first")
    return not_held(state, piece=piece)


def _stands(state: State, piece: str, measured: int) -> bool:
    """Is this measurement of the piece that is there now, not of one scrapped under the same id?"""
    return piece in state.pieces and measured > state.pieces[piece].seq


def _not_its_inspector(person: str, piece: str) -> Refusal:
    """What somebody measured, and that measurement stands, he does not work on afterwards."""
    return no("RW516", piece, f"{person} measured {piece}", "another person must work on it")


@cache
def steps_before(name: str, kind: str) -> tuple[str, ...]:
    """The recorded steps that the route asks for right before this one, on a piece of this kind."""
    operations = {operation.id: operation for operation in OPERATIONS}
    found: list[str] = []
    waiting = list(operations[name].after) if name in operations else []
    while waiting:
        before = operations[waiting.pop()]
        if before.id in STEPS and (not before.kinds or kind in before.kinds):
            found.append(before.id)
        else:
            waiting += before.after
    return tuple(dict.fromkeys(sorted(found)))


# --- outside work --------------------------------------------------------------------------------


def send_out(
    station: Station, supplier: str, process: str, pieces: Sequence[str], document: str, act_id: str = "",
    clauses: Sequence[str] = (), back: str = "",
) -> Appended:  # fmt: skip
    """Pieces go to a supplier, counted out, with what its purchase order asks of it (`clauses`, flowed down from the
    customer) and the day on which they are to be `back` ("" none agreed)."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, "receiving", station.today),
            _supplier_may(state, supplier, process, station.today),
            _named_once(pieces),
            *(_free(state, process, piece) for piece in pieces),
        )
        body: dict[str, object] = {
            "supplier": supplier,
            "process": process,
            "pieces": list(pieces),
            "document": document,
        }
        if clauses:
            body["clauses"] = list(clauses)
        if back:
            body["back"] = back
        return refused or [Draft("send_out", body, Refs.of(pieces=pieces))]

    return perform(station, "send_out", decide, act_id)


def _supplier_may(state: State, supplier: str, process: str, today: str) -> Refusal | None:
    """A recorded supplier whose scope holds the process and has not ended."""
    known = state.suppliers.get(supplier)
    if known is None or process not in known.scope:
        found, do = f"{supplier} is not recorded for {process}", "record the supplier's scope"
        return no("RW516", supplier, found, do)
    if known.until and known.until < today:
        return no("RW516", supplier, f"{supplier}'s scope ended on {known.until}", "renew it, or use another")
    return None


def _named_once(pieces: Sequence[str]) -> Refusal | None:
    twice = next((piece for n, piece in enumerate(pieces) if piece in pieces[:n]), None)
    return no("RW517", twice, f"{twice} is named twice", "count each piece once") if twice else None


def receive_back(
    station: Station, supplier: str, process: str, pieces: Sequence[str], short: Sequence[str], certificate: str,
    act_id: str = "", lot: str = "",
) -> Appended:  # fmt: skip
    """Pieces come back from the supplier they went to, for what they went for, counted in with its certificate; what
    is short is named and stays away. A scope that ended while they were there does not keep them from coming back.

    A return of several lots is counted in lot by lot, each with the certificate that covers it; one certificate may
    cover several returns. `lot` is the supplier's own name of it ("" none given): in doubt, it leads to these pieces.
    """

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, "receiving", station.today),
            _named_once([*pieces, *short]),
            *(_away_at(state, piece, supplier, process) for piece in (*pieces, *short)),
        )
        if refused is None and pieces and not certificate:
            refused = no("RW510", pieces[0], f"{process} by {supplier} comes without a certificate",
                         "give the number of its certificate; until it is there they are not back")  # fmt: skip
        body: dict[str, object] = {
            "supplier": supplier,
            "process": process,
            "pieces": list(pieces),
            "short": list(short),
        }
        if certificate:
            body["certificate"] = {"number": certificate}
        if lot:
            body["lot"] = lot
        return refused or [Draft("receive_back", body, Refs.of(pieces=[*pieces, *short], lots=[lot]))]

    return perform(station, "receive_back", decide, act_id)


def _away_at(state: State, piece: str, supplier: str, process: str) -> Refusal | None:
    """It is away, with this supplier, for this process."""
    gone = state.pieces.get(piece)
    if gone is None or gone.state != "sent_out":
        return no("RW517", piece, f"{piece} was not sent out", "count against the list that went out")
    if (gone.at_supplier, gone.for_process) != (supplier, process):
        found = f"{piece} went to {gone.at_supplier} for {gone.for_process}, not to {supplier} for {process}"
        return no("RW517", piece, found, "compare the delivery note with what was sent out")
    return None
