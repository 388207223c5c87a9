"""Back to service: every gate before a rack that was worked on may leave again, in one list, and the act itself.

The act is by a person who may release, against named work, and by another than who did it. The margins asked are those
of the rack as maintained: what stands in each place, what it carries, what the oven left of its strength. Nothing here
is an approval: the documents named are references, a positive margin is evidence.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.design import Design
from rackwright.making.assembly import assembly
from rackwright.record import Appended, Refs, State
from rackwright.seal import canonical
from rackwright.shop import Shop
from rackwright.trouble import Refusal
from rackwright.work.engineering.as_built import at_other_ends
from rackwright.work.engineering.metal_as_made import NOT_ASSESSED
from rackwright.work.engineering.numbers import numbers_of
from rackwright.work.engineering.oven_time import Get
from rackwright.work.gates import (
    first,
    no,
    not_held,
    person_may,
    piece_complete,
    question_open,
    rack_complete,
    revision_is_referenced,
)
from rackwright.work.hold_points import signed_whole
from rackwright.work.metal.drawn import in_place
from rackwright.work.metal.witnessing import scrap_seen
from rackwright.work.people.founding import INSPECTOR
from rackwright.work.serials.evidence import evidence_there, standing_of
from rackwright.work.serials.releasing import Gate, governing_by_piece, measured_of, stored
from rackwright.work.service.coming_back import in_hands
from rackwright.work.service.maintained import Maintained, as_maintained
from rackwright.work.service.standing_gates import (
    all_works_named,
    nothing_is_left,
    nothing_undecided,
    work_of_another,
)
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import not_red_lined, weight_agrees
from rackwright.work.stations.assembling import joints_complete
from rackwright.work.stations.passports import points_gate

__all__ = ["back_to_service", "service_gates"]


def service_gates(
    state: State, serial: str, works: Sequence[str], design: Design, shop: Shop, get: Get, person: str, today: str
) -> tuple[Gate, ...]:  # fmt: skip
    """Every gate before a serial goes back to service. `design` is the frozen one."""
    rack = state.serials.get(serial)
    away = in_hands(state, serial, "back")
    if rack is None or away is not None:
        return (Gate("serial", away),)
    names, whole = measured_of(design, shop)
    pieces = [piece_complete(state, in_place(state, serial, id), asked) for id, asked in names.items()]
    now = as_maintained(state, design, serial, get)
    return (
        Gate("person", person_may(state, person, INSPECTOR, today)),
        Gate("serial", None),
        Gate("work", all_works_named(state, serial, works)),
        Gate("inspected by another", work_of_another(state, serial, person)),
        Gate(
            "design-approval reference", revision_is_referenced(state, rack.revision, at_risk_allowed=False)
        ),
        Gate("open questions", question_open(state, "release", rack.order, rack.revision, rack.line)),
        Gate("nonconformances", nothing_undecided(state, serial)),
        Gate("scrap witnessed", scrap_seen(state, serial)),
        Gate("holds", not_held(state, serial=serial)),
        Gate("hold points", signed_whole(state, serial)),
        Gate("red lines", not_red_lined(state, serial=serial)),
        Gate("done and measured anew", nothing_is_left(state, serial)),
        Gate("pieces, heats and measurements", first(*pieces)),
        Gate("measurements of the rack", rack_complete(state, serial, whole)),
        Gate("joints", joints_complete(state, serial, [joint.id for joint in assembly(design, shop).ours])),
        Gate("interchange points", points_gate(state, serial, design, shop)),
        Gate("weight", weight_agrees(state, serial)),
        Gate("evidence", evidence_there(state, serial)),
        Gate("margins as maintained", _margins(serial, now)),
    )


def _margins(serial: str, now: Maintained) -> Refusal | None:
    """All computed, none negative, with what the rack carries and what the oven left."""
    if now.not_assessed:
        found = f"margins of {serial} as maintained are {NOT_ASSESSED}: {now.not_assessed[0]}"
        return no(
            "RW304", serial, found, "have the holder of the design approval assess it, in a new revision"
        )
    proven = (now.design, *at_other_ends(now.design, now.weight))
    refusals = next(filter(None, (one.refusals() for one in proven)), ())
    if not refusals:
        return None
    first, more, behind = _worst(now, refusals), len(refusals) - 1, _behind(now)
    found = f"{serial} as maintained{behind and ', '}{behind}: {first.found}{f' (and {more} more)' if more else ''}"
    do = "swap back what it carries, weigh it again, or have the holder of the design approval assess it in a revision"
    return Refusal(first.code, first.where, found, f"{first.do}; {do}" if behind else first.do)


def _worst(now: Maintained, refusals: Sequence[Refusal]) -> Refusal:
    """The least margin, where that is what says no first."""
    known = [(one.margin, one.id) for one in now.design.strength.margins if one.margin is not None]
    if refusals[0].code != "RW303" or not known:
        return refusals[0]
    least = min(known)[1]
    return next((one for one in refusals if one.found.startswith(f"{least}: ")), refusals[0])


def _behind(now: Maintained) -> str:
    """What of the rack is another than as frozen, and so may be why, in words."""
    words = [
        f"with {one.box or one.part or one.mass or 'nothing'} as {one.item} (event {one.seq})"
        for one in now.carried
    ]
    words += [f"with the weight of event {one.seq}" for one in (now.weight,) if one is not None and one.taken]
    return ", ".join(words)


def back_to_service(
    station: Station, serial: str, works: Sequence[str], text: str, design: Design, shop: Shop, act_id: str = ""
) -> Appended:  # fmt: skip
    """Put a rack back to service after this work; `design` is the frozen one."""
    get = station.record.get_file

    def decide(state: State) -> list[Draft] | Refusal:
        for gate in service_gates(state, serial, works, design, shop, get, station.person, station.today):
            if gate.refusal is not None:
                return gate.refusal
        now = as_maintained(state, design, serial, get)
        rows = [
            stored(in_place(state, serial, margin.piece), margin) for margin in governing_by_piece(now.design)
        ]
        numbers = station.record.put_file(canonical(numbers_of(now.design).to_json()))
        behind = {
            "oven": {one.material: one.words for one in now.heated},
            "carries": {one.item: f"event {one.seq}" for one in now.carried},
            "evidence": {one.owed.evidence: one.words for one in standing_of(state, serial)},
            "statement": "computed evidence and references; what they come to is for the person who signs",
        }
        body: dict[str, object] = {"serial": serial, "works": list(works), "margins": rows, "numbers": numbers,
                                   "values": behind}  # fmt: skip
        if text:
            body["text"] = text
        pieces = state.serials[serial].pieces
        return [Draft("back_to_service", body, Refs.of(pieces=pieces, serials=[serial], files=[numbers]))]

    return perform(station, "back_to_service", decide, act_id)
