"""The conformity paper of one serial, for the person who signs: gates, pieces with their heats, what went wrong.

Everything on it is evidence. The block to sign is empty: conformity is for the person who signs, and no computed state
says it for them. Gates are judged on the rack as measured, as the release is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rackwright.design import Design
from rackwright.papers.labels import Label, symbol
from rackwright.papers.station_sheet import StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Section, Table, Text
from rackwright.record import Event, State, events_of_serial, project
from rackwright.shop import Shop
from rackwright.trouble import Stopped
from rackwright.work.engineering.oven_time import Get
from rackwright.work.gates import serial_known
from rackwright.work.office.ordering import revision_id
from rackwright.work.papers.asked import asked_of
from rackwright.work.papers.evidence import evidence_blocks
from rackwright.work.papers.making import wrong_blocks
from rackwright.work.papers.record import gates_of, metal_blocks, release_event
from rackwright.work.papers.words import head, must_fit
from rackwright.work.serials.releasing import Gate

__all__ = ["STATEMENT", "conformity"]

STATEMENT = (
    "I have compared this rack with the frozen revision and the records named here. It conforms / does not conform "
    "(strike out) to that revision, except as stated under Nonconformances and Substitutions."
)
NOT_RELEASED, SCRAPPED = "NOT RELEASED", "SCRAPPED"


def conformity(
    events: Sequence[Event], serial: str, design: Design, shop: Shop, date: str, get: Get
) -> bytes:
    """The paper, PDF. Raises Stopped: RW503 an unknown serial; a design's faults."""
    must_fit(design)
    state = project(events)
    unknown = serial_known(state, serial)
    if unknown is not None:
        raise Stopped([unknown])
    rack = state.serials[serial]
    own, done = events_of_serial(events, state, serial), release_event(events, serial)
    gates = gates_of(events, state, serial, design, shop, date, done, get)
    refused = [gate for gate in gates if gate.refusal]
    design = asked_of(design, state, rack.order, rack.line)
    more = (*(() if done else (NOT_RELEASED,)),
            *((SCRAPPED,) if rack.state == "scrapped" else ()))  # fmt: skip
    when = "just before the release" if done else f"on {date}"
    answer = f"Gates {when}: {len(gates) - len(refused)} of {len(gates)} passed"
    answer += f"; no from: {', '.join(gate.name for gate in refused)}." if refused else "."
    return set_station_sheet(
        StationSheet(
            head(design, shop, "Conformity", f"{serial}-CONF", date, state.demo, more),
            Facts(tuple(_facts(state, serial, design, done))),
            (
                Section("Gates before release", tuple(_gates(gates))),
                Section("Evidence", tuple(evidence_blocks(state, serial))),
                Section("Nonconformances and holds", tuple(wrong_blocks(own, state, serial))),
                Section("Questions and their answers", tuple(_questions(state, serial, design))),
                Section("Pieces, heats and certificates", tuple(metal_blocks(state, serial, design, shop)),
                        new_page=True),
                Section("Statement, for the person who signs", (
                    Text(STATEMENT),
                    Text("Conformity is for the person who signs. A passed gate and a positive margin are evidence, "
                         "never authority.", "note"),
                )),
            ),
            answer=answer,
            signatures=(f"Statement of conformity of {serial}",),
            symbol=symbol(Label("RACK", serial, "", "", "", part=design.rack.definition.part)),
            symbol_words=serial,
        )
    )  # fmt: skip


def _facts(state: State, serial: str, design: Design, done: Event | None) -> Iterator[tuple[str, str]]:
    d, rack = design.rack.definition, state.serials[serial]
    frozen = state.revisions.get(revision_id(design))
    order = state.orders.get(rack.order)
    references = "; ".join(
        f"{a.reference}, {a.document or 'no document'}, held by {a.holder or 'not stated'}, {a.date} (event {a.seq})"
        for a in (frozen.approvals if frozen else ())
    )
    yield "Rack", f"{d.title}; part {d.part}, serial {serial}"
    yield "Order", f"{order.named(rack.line)} for {order.customer}" if order else rack.order
    yield (
        "Revision",
        f"{d.revision}, drawing {d.drawing}"
        + (f", frozen in event {frozen.seq}" if frozen else "; not frozen"),
    )
    yield "Design-approval reference", references or "none is recorded"
    yield "Released", f"{done.at[:10]} by {done.by} (event {done.seq})" if done else "no release is recorded"


def _gates(gates: Sequence[Gate]) -> Iterator[Block]:
    yield Table("", ("gate", "state"), tuple((gate.name, gate.words) for gate in gates), widths=(1, 3))


def _questions(state: State, serial: str, design: Design) -> Iterator[Block]:
    rack, part = state.serials[serial], design.rack.definition.part
    rows = tuple(
        (one.question, one.text, "open" if one.open else "answered", one.told)
        for one in state.questions.values()
        if one.covers(rack.order, part, rack.line)
    )
    if rows:
        yield Table(
            "",
            ("id", "question", "state", "answer and document"),
            rows,
            align="illl",
            widths=(1.3, 3, 0.9, 4),
        )
    else:
        yield Text("None was asked in the record.")
