"""A rack that was shipped comes back: from whom, why, and as it was found. It is then in the shop's hands."""

from __future__ import annotations

import re
from dataclasses import dataclass

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, person_may, serial_known
from rackwright.work.people.founding import RECEIVING
from rackwright.work.station import Draft, Station, perform

__all__ = ["Arrival", "come_back", "in_hands", "may_come_back", "not_after"]

_HOURS = re.compile(r"[0-9]{1,7}(\.[0-9]{1,3})?", re.ASCII)


@dataclass(frozen=True)
class Arrival:
    """From whom a rack came, by which document, why, in what condition, when; its hours in service, "" not stated."""

    whom: str
    document: str
    reason: str
    condition: str
    day: str
    hours: str = ""


def come_back(station: Station, serial: str, said: Arrival, act_id: str = "") -> Appended:
    """Take a shipped rack back into the shop's hands."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, RECEIVING, station.today),
            may_come_back(state, serial, said.day, said.hours, station.today),
        )
        body: dict[str, object] = {
            "serial": serial, "from": said.whom, "document": said.document, "reason": said.reason,
            "condition": said.condition, "day": said.day,
        }  # fmt: skip
        if said.hours:
            body["hours"] = said.hours
        return refused or [Draft("come_back", body, Refs.of(serials=[serial]))]

    return perform(station, "come_back", decide, act_id)


def may_come_back(state: State, serial: str, day: str, hours: str, today: str) -> Refusal | None:
    """It is away, and came back on a day that has been."""
    rack = state.serials.get(serial)
    if rack is None:
        return serial_known(state, serial)
    if rack.state != "shipped":
        found = f"{serial} is {rack.state}: it is in the shop"
        return no("RW517", serial, found, "only a rack that was shipped comes back; check the number")
    if hours and not _HOURS.fullmatch(hours):
        do = "write them as a decimal number, as in 1240.5, or leave them out"
        return no("RW517", serial, f"hours in service are {hours!r:.40}", do)
    return not_after(serial, day, today)


def not_after(about: str, day: str, today: str) -> Refusal | None:
    """A day that has been."""
    if day <= today:
        return None
    return no("RW517", about, f"{day} is after today, {today}", "give the day on the paper")


def in_hands(state: State, serial: str, *states: str) -> Refusal | None:
    """The rack is in one of these states: what is elsewhere is not worked on here."""
    rack = state.serials.get(serial)
    if rack is None:
        return serial_known(state, serial)
    if rack.state in states:
        return None
    if rack.state == "shipped":
        found = f"{serial} was shipped to {rack.shipped_to}"
        return no("RW517", serial, found, "record that it came back first: rackwright log come_back")
    return no("RW517", serial, f"{serial} is {rack.state}", f"only a rack that is {' or '.join(states)}")
