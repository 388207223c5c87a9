"""What a named person states about the shop's means: a bad gauge, a supplier's scope, work at risk, the clock."""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal
from rackwright.work.gates import no, person_may
from rackwright.work.people.founding import ENGINEER, INSPECTOR, LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = ["add_supplier", "away", "clock_is_right", "gauge_is_bad", "go_on_at_risk", "go_without_report"]


def gauge_is_bad(station: Station, gauge: str, reason: str, since: str = "", act_id: str = "") -> Appended:
    """A gauge was found bad, since a date if that is known: `trace gauge` lists what it passed."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, INSPECTOR, station.today)
        if refused is None and gauge not in state.gauges:
            refused = no("RW503", gauge, f"gauge {gauge} is not in the record", "check its number")
        body = {"gauge": gauge, "reason": reason} | ({"since": since} if since else {})
        return refused or [Draft("gauge_bad", body, Refs.of(gauges=[gauge]))]

    return perform(station, "gauge_bad", decide, act_id)


def add_supplier(
    station: Station,
    supplier: str,
    scope: Sequence[str],
    until: str = "",
    document: str = "",
    act_id: str = "",
) -> Appended:
    """A supplier and the processes it may do for this shop."""

    def decide(state: State) -> list[Draft] | Refusal:
        body: dict[str, object] = {"supplier": supplier, "scope": list(scope), "document": document}
        if until:
            body["until"] = until
        return person_may(state, station.person, LEAD, station.today) or [Draft("supplier", body)]

    return perform(station, "supplier", decide, act_id)


def away(station: Station, what: str, first: str, last: str, reason: str, act_id: str = "") -> Appended:
    """A machine, person or supplier is not there from a day to a day: the next schedule goes round it."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today)
        if refused is None and last < first:
            refused = no("RW517", what, f"away from {first} to {last}", "give the last day after the first")
        if refused is None and not reason.strip():
            refused = no("RW517", what, "no reason is given", "say why it is away")
        return refused or [Draft("away", {"what": what, "first": first, "last": last, "reason": reason})]

    return perform(station, "away", decide, act_id)


def go_on_at_risk(station: Station, revision: str, reason: str, act_id: str = "") -> Appended:
    """Let metal be issued for a frozen revision before its approval reference is there. Never allows a release."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today)
        if refused is None and revision not in state.revisions:
            refused = no("RW514", revision, f"revision {revision} is not frozen", "freeze it first")
        return refused or [Draft("at_risk", {"revision": revision, "reason": reason})]

    return perform(station, "at_risk", decide, act_id)


def go_without_report(
    station: Station, revision: str, reason: str, document: str = "", act_id: str = ""
) -> Appended:
    """An engineer lets racks of a frozen revision be released though no strength report of it is released.

    The reason, and the document that stands in its place where there is one, are printed on every dossier.
    """

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, ENGINEER, station.today)
        if refused is None and revision not in state.revisions:
            refused = no("RW514", revision, f"revision {revision} is not frozen", "freeze it first")
        if refused is None and not reason.strip():
            refused = no("RW517", revision, "no reason is given", "say why it may leave without its report")
        body = {"revision": revision, "reason": reason} | ({"document": document} if document else {})
        return refused or [Draft("without_report", body)]

    return perform(station, "without_report", decide, act_id)


def clock_is_right(station: Station, reason: str, act_id: str = "") -> Appended:
    """The clock is right though the record holds later times: those were wrong, and acts go on from here."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.now()[:10])
        if refused is None and not reason.strip():
            refused = no("RW517", "clock", "no reason is given", "say how the later times came about")
        return refused or [Draft("clock", {"reason": reason})]

    return perform(station, "clock", decide, act_id)
