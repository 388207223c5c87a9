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
        refused = first(
            person_may(state, station.person, ROLE_OF.get(done.name, "assembly"), station.today, done.name),
            *(gauge_may_measure(state, gauge, station.today) for gauge in done.gauges),
            *(lot_may_be_used(state, lot, station.today) for lot in done.lots),
            *(_free(state, done.name, piece) for piece in pieces),
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
    station: Station, supplier: str, process: str, pieces: Sequence[str], document: str, act_id: str = ""
) -> Appended:
    """Pieces go to a supplier, counted out."""

    def decide(state: State) -> list[Draft] | Refusal:
        known = state.suppliers.get(supplier)
        refused = person_may(state, station.person, "receiving", station.today)
        if refused is None and (known is None or process not in known.scope):
            refused = no(
                "RW516", supplier, f"{supplier} is not recorded for {process}", "record the supplier's scope"
            )
        if refused is None and known is not None and known.until and known.until < station.today:
            refused = no(
                "RW516", supplier, f"{supplier}'s scope ended on {known.until}", "renew it, or use another"
            )
        refused = refused or first(*(_free(state, process, piece) for piece in pieces))
        body = {"supplier": supplier, "process": process, "pieces": list(pieces), "document": document}
        return refused or [Draft("send_out", body, Refs.of(pieces=pieces))]

    return perform(station, "send_out", decide, act_id)


def receive_back(
    station: Station, supplier: str, process: str, pieces: Sequence[str], short: Sequence[str], certificate: str,
    act_id: str = "",
) -> Appended:  # fmt: skip
    """Pieces come back, counted in; what is short is named."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, "receiving", station.today)
        away = [
            piece
            for piece in (*pieces, *short)
            if piece not in state.pieces or state.pieces[piece].state != "sent_out"
        ]
        if refused is None and away:
            refused = no(
                "RW517", away[0], f"{away[0]} was not sent out", "count against the list that went out"
            )
        body: dict[str, object] = {
            "supplier": supplier,
            "process": process,
            "pieces": list(pieces),
            "short": list(short),
        }
        if certificate:
            body["certificate"] = {"number": certificate}
        return refused or [Draft("receive_back", body, Refs.of(pieces=[*pieces, *short]))]

    return perform(station, "receive_back", decide, act_id)
