"""First articles: which serial proved a revision's making, full, or partial with the one it adds to and why.

A partial one names a baseline that was itself a first article of the same part. What a change asks for anew is for the
person who reads the standard; the record keeps what they decided and why.
"""

from __future__ import annotations

from rackwright.record import Appended, Refs, State
from rackwright.reference import shipped
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, person_may
from rackwright.work.people.founding import INSPECTOR
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import rack_here

__all__ = ["KINDS", "first_article", "first_article_of", "lists"]

KINDS = ("full", "partial")


def lists() -> tuple[str, ...]:
    """The revisions of the standard whose field lists are known."""
    return tuple(dict.fromkeys(row.list for row in shipped().form_fields.values()))


def first_article(
    station: Station,
    serial: str,
    kind: str,
    field_list: str,
    reason: str,
    baseline: str = "",
    act_id: str = "",
) -> Appended:
    """This serial is the first article of its revision, by an inspector."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, INSPECTOR, station.today), rack_here(state, serial),
            _one_of(serial, kind, KINDS), _one_of(serial, field_list, lists()),
            _baseline(state, serial, kind, baseline),
        )  # fmt: skip
        if refused is None and not reason.strip():
            refused = no(
                "RW517", serial, "no reason is given", "say what it is the first article of, and why"
            )
        body = {"serial": serial, "kind": kind, "field_list": field_list, "reason": reason}
        body |= {"baseline": baseline} if baseline else {}
        return refused or [Draft("first_article", body, Refs.of(serials=[serial]))]

    return perform(station, "first_article", decide, act_id)


def first_article_of(state: State, revision: str) -> str:
    """The serial that is the newest first article of a revision; "" where there is none."""
    found = [
        one for one in state.first_articles.values()
        if one.serial in state.serials and state.serials[one.serial].revision == revision
    ]  # fmt: skip
    return max(found, key=lambda one: one.seq).serial if found else ""


def _one_of(serial: str, given: str, known: tuple[str, ...]) -> Refusal | None:
    if given in known:
        return None
    return no("RW517", serial, f"{given!r} is not known", f"one of {', '.join(known)}")


def _baseline(state: State, serial: str, kind: str, baseline: str) -> Refusal | None:
    if kind == "full":
        if not baseline:
            return None
        return no("RW517", serial, f"a full one has no baseline, {baseline} is given", "leave it out")
    known = state.first_articles.get(baseline)
    if known is None or baseline == serial:
        found = f"{baseline or 'no serial'} is no first article"
        return no("RW517", serial, found, "name the serial that a partial one adds to")
    parts = [state.revisions[state.serials[name].revision].variation for name in (serial, baseline)]
    if parts[0] != parts[1]:
        return no("RW517", serial, f"{baseline} is a {parts[1]}, not a {parts[0]}", "name one of this part")
    return None
