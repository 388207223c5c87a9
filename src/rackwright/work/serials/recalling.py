"""Recall: from what is in doubt to every serial and place, the least margin first.

In doubt may be a heat, a lot, a gauge, a person whose credential had lapsed, or a revision. A serial's margin is the
least one stored at its release among the pieces in doubt, of the whole rack where the doubt is on the whole of it; what
was never released has none and stands first. Where a rack is, is what was recorded last: the aircraft its customer
named, else to whom it was shipped, else the shop.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from rackwright.record import Appended, Event, Refs, State, where_gauge_went, where_heat_went
from rackwright.trouble import Refusal, Stopped
from rackwright.work.gates import no, person_may
from rackwright.work.people.founding import LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = ["DOUBTS", "Affected", "affected", "by_customer", "record_recall"]

DOUBTS = ("heat", "lot", "gauge", "person", "revision")
HERE = "in the shop"


@dataclass(frozen=True)
class Affected:
    """A serial in doubt, with the pieces that make it so (() the whole rack), and where it is."""

    serial: str
    customer: str
    place: str
    state: str
    revision: str
    pieces: tuple[str, ...]
    margin: str | None  # as stored at release
    check: str
    note: str = ""


def affected(
    events: Sequence[Event], state: State, kind: str, about: str, since: str = ""
) -> tuple[Affected, ...]:
    """Every serial in doubt, least margin first. `since` (a date) leaves out what was done before it; a lapsed
    credential counts from its end, a bad gauge from the day it is in doubt from. Raises Stopped (RW503)."""
    found = _racks(events, state, kind, about, since)
    if found is None:
        raise Stopped([no("RW503", about, f"{kind} {about} is not known to the record", "check the id")])
    rows = [_row(state, serial, pieces) for serial, pieces in found.items() if serial in state.serials]
    return tuple(sorted(rows, key=lambda row: (row.margin is not None, float(row.margin or 0), row.serial)))


def by_customer(rows: Iterable[Affected]) -> dict[str, tuple[Affected, ...]]:
    """Those that have left the shop, by customer."""
    gone: dict[str, list[Affected]] = {}
    for row in rows:
        if row.state == "shipped":
            gone.setdefault(row.customer, []).append(row)
    return {name: tuple(each) for name, each in sorted(gone.items())}


def record_recall(
    station: Station, recall: str, kind: str, about: str, reason: str, rows: Sequence[Affected],
    letters: Mapping[str, bytes], since: str = "", act_id: str = "",
) -> Appended:  # fmt: skip
    """The letters were written: one for each customer, kept by hash. What is in doubt is not held by this: a hold is an
    act of its own."""
    sent = by_customer(rows)

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today)
        if refused is None and recall in state.recalls:
            refused = no("RW517", recall, f"{recall} is in the record", "give it its own number")
        if refused is None and not reason.strip():
            refused = no("RW517", recall, "no reason is given", "say what is in doubt")
        if refused is not None:
            return refused
        files = {name: station.record.put_file(data) for name, data in letters.items()}
        body: dict[str, object] = {
            "recall": recall, "kind": kind, "about": about, "reason": reason, "serials": [row.serial for row in rows],
            "letters": [{"to": name, "serials": [row.serial for row in each], "file": files[name]}
                        for name, each in sent.items()],
        }  # fmt: skip
        body |= {"since": since} if since else {}
        return [Draft("recall", body, Refs.of(serials=[row.serial for row in rows], files=files.values()))]

    return perform(station, "recall", decide, act_id)


def _racks(
    events: Sequence[Event], state: State, kind: str, about: str, since: str
) -> dict[str, tuple[str, ...]] | None:
    """Serial -> pieces in doubt, () for the whole of it; None for what the record does not know."""
    if kind in ("heat", "lot"):
        went = where_heat_went(state, about)
        return _by_serial(state, went.pieces, went.serials) if went.stock or went.pieces else None
    if kind == "gauge":
        gauge = state.gauges.get(about)
        return None if gauge is None else _measured_by(events, state, about, since or gauge.bad_since)
    if kind == "person":
        person = state.persons.get(about)
        return None if person is None else _touched_by(events, state, about, since or person.until)
    if about not in state.revisions:
        return None
    return {rack.serial: () for rack in state.serials.values() if rack.revision == about}


def _measured_by(events: Sequence[Event], state: State, gauge: str, since: str) -> dict[str, tuple[str, ...]]:
    if not since:
        went = where_gauge_went(state, gauge)
        used = [event for event in events if gauge in event.refs.gauges]
        return _by_serial(state, went.pieces, [*went.serials, *(s for e in used for s in e.refs.serials)])
    used = [event for event in events if gauge in event.refs.gauges and event.at[:10] >= since]
    return _of_events(state, used)


def _touched_by(events: Sequence[Event], state: State, person: str, since: str) -> dict[str, tuple[str, ...]]:
    done = [
        event for event in events
        if event.by == person and event.type != "refusal" and (not since or event.at[:10] > since)
    ]  # fmt: skip
    return _of_events(state, done)


def _of_events(state: State, events: Sequence[Event]) -> dict[str, tuple[str, ...]]:
    return _by_serial(
        state,
        [p for event in events for p in event.refs.pieces],
        [s for event in events for s in event.refs.serials],
    )


def _by_serial(state: State, pieces: Iterable[str], serials: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """The pieces that are in a rack now, by it; what was scrapped or replaced flies nowhere."""
    found: dict[str, list[str]] = {}
    for name in dict.fromkeys(pieces):
        made = state.pieces.get(name)
        if made is not None and made.serial and made.state not in ("scrapped", "replaced"):
            found.setdefault(made.serial, []).append(name)
    for serial in serials:
        found.setdefault(serial, [])
    return {serial: tuple(sorted(names)) for serial, names in found.items()}


def _row(state: State, serial: str, pieces: tuple[str, ...]) -> Affected:
    rack = state.serials[serial]
    order, flies = state.orders.get(rack.order), state.installed.get(serial)
    rows = [row for row in rack.margins if not pieces or row.get("piece") in pieces] or list(rack.margins)
    least = min(rows, key=lambda row: float(row["margin"]), default=None)
    place = f"aircraft {flies.aircraft}" if flies else rack.shipped_to or HERE
    return Affected(
        serial, order.customer if order else "", place, rack.state, rack.revision, pieces,
        least["margin"] if least else None, least["check"] if least else "",
        "" if rack.state != "planned" else "not released",
    )  # fmt: skip
