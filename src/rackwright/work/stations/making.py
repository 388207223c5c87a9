"""Steps of the route after the saw: mill, bend, drill, coat, bake and the rest, each on named pieces.

The order of steps is the route's: a step is refused on a piece that lacks an earlier one. A bake counts only
when its thermocouple record met the powder maker's window; a bend is recorded with its measured angle and
radius. A piece that is scrapped, sent out or held cannot be worked on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal
from rackwright.work.controlled import controlled, means_named
from rackwright.work.gates import first, gauge_may_measure, lot_may_be_used, no, person_may
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import (
    STEPS,
    away_at,
    comes_with_certificate,
    named_once,
    not_its_inspector,
    piece_may_be_worked_on,
    steps_before,
    supplier_may,
)

__all__ = ["ROLE_OF", "STEPS", "Step", "receive_back", "send_out", "step", "steps_before"]

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
        mine = (one for one in state.measurements if one.by == station.person)
        measured = {one.piece: one.seq for one in mine if one.piece in pieces}
        kinds = controlled(state, done.name)
        refused = first(
            person_may(state, station.person, ROLE_OF.get(done.name, "assembly"), station.today),
            None
            if pieces
            else no("RW517", done.name, f"{done.name} of no piece", "name the pieces that it was done on"),
            named_once(pieces),
            *(gauge_may_measure(state, gauge, station.today) for gauge in done.gauges),
            *(lot_may_be_used(state, lot, station.today) for lot in done.lots),
            *(piece_may_be_worked_on(state, done.name, piece) for piece in pieces),
            *(not_its_inspector(state, station.person, piece, measured.get(piece, 0)) for piece in pieces),
            means_named(state, done.name, kinds, done.gauges, station.today),
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
            "lots": list(done.lots), "gauges": list(done.gauges), "controlled": list(kinds),
        }  # fmt: skip
        kind = done.name if done.name in TYPES else "operation"
        if kind == "operation":
            body["step"] = done.name
        refs = Refs.of(pieces=pieces, serials=serials, lots=done.lots, gauges=done.gauges, files=[file])
        return [Draft(kind, body, refs)]

    heated = pieces if file else ()  # the metal was as hot whether the bake counts or not
    return perform(station, done.name, decide, act_id, evidence=[file], pieces=heated)


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
            supplier_may(state, supplier, process, station.today),
            named_once(pieces),
            *(piece_may_be_worked_on(state, process, piece) for piece in pieces),
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
            named_once([*pieces, *short]),
            *(away_at(state, piece, supplier, process) for piece in (*pieces, *short)),
            comes_with_certificate(pieces, supplier, process, certificate),
        )
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
