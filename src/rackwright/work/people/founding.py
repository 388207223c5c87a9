"""The shop in the record: its founding, its people, its gauges."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Fault, Refusal, Stopped, Where
from rackwright.work.gates import first, no, person_may
from rackwright.work.metal.lookalike import alike
from rackwright.work.station import Draft, Station, perform

__all__ = [
    "ASSEMBLY",
    "ENGINEER",
    "INSPECTOR",
    "LEAD",
    "MACHINING",
    "RECEIVING",
    "ROLES",
    "SAW",
    "add_gauge",
    "add_person",
    "found",
    "new_or_known",
    "numbered",
    "one_person",
]

LEAD = "lead"
RECEIVING, SAW, MACHINING, ASSEMBLY, INSPECTOR = "receiving", "saw", "machining", "assembly", "inspector"
ENGINEER = "engineer"  # prepares, checks and releases strength reports
ROLES = (LEAD, RECEIVING, SAW, MACHINING, ASSEMBLY, INSPECTOR, ENGINEER)


def found(station: Station, shop: str, demo: bool, key_id: str, act_id: str = "") -> Appended:
    """The first events: the shop, and the person at this station as its lead. Every act after them is signed; the
    lead's first secret is the one that nothing can sign."""

    def decide(state: State) -> list[Draft] | Refusal:
        if state.shop:
            return no("RW517", state.shop, f"this record is that of {state.shop}", "found another record")
        body = {"shop": shop, "demo": demo, "key_id": key_id, "signatures": True}
        return [
            Draft("found", body),
            Draft("person", {"person": station.person, "roles": [LEAD], "every_act": True, "again": False}),
        ]

    return perform(station, "found", decide, act_id)


def add_person(
    station: Station, person: str, roles: Sequence[str], act_id: str = "", *, credential: str = "", until: str = "",
    scopes: Sequence[str] = (), active: bool = True, number: str = "", again: bool = False, since: str = "",
) -> Appended:  # fmt: skip
    """A person and their roles from now on; the credential behind them, the day it ends, the operations it covers (none
    named: all of the roles). Not `active`: the person has left. The last lead stays. By the `number` one person is not
    two, nor two people one: who made a thing would inspect it under another name. `again`: the row is of the person who
    is known by this name, whom no number tells. `since`: the day from which they are of the shop: nothing that they
    enter late was done before it."""

    def decide(state: State) -> list[Draft] | Refusal:
        unknown = [role for role in roles if role not in ROLES]
        if unknown:
            return no("RW516", person, f"{', '.join(unknown)} is not a role", f"roles are {', '.join(ROLES)}")
        others = any(one.active and one.lead and one.person != person for one in state.persons.values())
        if not others and (LEAD not in roles or not active):
            return no("RW516", person, f"{person} is the only lead", "record another lead first")
        body = {"person": person, "roles": list(roles), "every_act": True, "again": again} | (
            {} if active else {"active": False}
        )
        body |= {"credential": credential} if credential else {}
        body |= {"until": until} if until else {}
        body |= {"scopes": list(scopes)} if scopes else {}
        body |= {"number": number} if number else {}
        body |= {"since": since} if since else {}
        refused = person_may(state, station.person, LEAD, station.today) or first(
            one_person(state, person, number),
            numbered(state, person, number),
            new_or_known(state, person, number, again),
        )
        return refused or [Draft("person", body)]

    return perform(station, "person", decide, act_id)


def one_person(state: State, person: str, number: str) -> Refusal | None:
    """One name and one number a person."""
    return _same_number(state, person, number) or _two_of_one_name(state, person, number)


def numbered(state: State, person: str, number: str) -> Refusal | None:
    """A shop that numbers its people numbers each, and a row for a name that is known bears its number: else a second
    person of the same name would take the place of the first."""
    known = state.persons.get(person)
    if number or not any(one.number for one in state.persons.values()):
        return None
    if known is not None and known.number:
        found = f"{person} is number {known.number}, and this row has none"
        return no(
            "RW516",
            person,
            found,
            "give the number; another person of this name: a name that tells them apart",
        )
    found = f"{person} has no number, and this shop numbers its people"
    return no("RW516", person, found, "give the person's own number")


def new_or_known(state: State, person: str, number: str, again: bool) -> Refusal | None:
    """A row for a known name is of that person by the number, or because the lead says so; a second person of an
    identical name takes nobody's place."""
    known = state.persons.get(person)
    if known is None and again:
        found = f"nobody is known as {person}"
        return no("RW516", person, found, "use the name as recorded; a new person is not there again")
    if known is None or again or (known.number and number == known.number):
        return None
    do = "again=yes where this is the same person; another one: a name that tells them apart, and a number for both"
    return no("RW516", person, f"{person} is known already, by no number", do)


def _same_number(state: State, person: str, number: str) -> Refusal | None:
    known = state.persons.get(person)
    if known is not None and known.number and number not in ("", known.number):
        found = f"{person} is number {known.number}, not {number}"
        return no("RW516", person, found, "record another person by a name that tells the two apart")
    return None


def _two_of_one_name(state: State, person: str, number: str) -> Refusal | None:
    known = state.persons.get(person)
    for other in state.persons.values() if known is None or number != known.number else ():
        if other.person != person and number and other.number == number:
            return no("RW516", person, f"number {number} is {other.person}", "one person acts under one name")
        if known is None and alike(person, [other.person]) and not (number and other.number):
            found = f"{person} looks like {other.person}, who is known"
            return no(
                "RW516", person, found, "use the name as recorded; where they are two, give both a number"
            )
    return None


def add_gauge(
    station: Station, gauge: str, kind: str, due: str, uncertainty: str, act_id: str = ""
) -> Appended:
    """A gauge with the date its calibration is due and its uncertainty (text with unit, more than nothing)."""
    size = re.match(r"[-+]?\d*\.?\d*", uncertainty)
    if size and any(c.isdigit() for c in size[0]) and float(size[0]) <= 0:
        do = "give it as its certificate states it: no gauge is without"
        where = Where("command line", 0, "uncertainty")
        raise Stopped([Fault("RW504", where, f"an uncertainty of {uncertainty!r:.40}", do)])

    def decide(state: State) -> list[Draft] | Refusal:
        body = {"gauge": gauge, "kind": kind, "due": due, "uncertainty": uncertainty, "state": "in_use"}
        refused = person_may(state, station.person, LEAD, station.today)
        return refused or [Draft("gauge", body, Refs.of(gauges=[gauge]))]

    return perform(station, "gauge", decide, act_id)
