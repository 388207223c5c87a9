"""Recall: from what is in doubt to every serial and place, the least margin first.

In doubt may be a heat, a lot, a gauge, a person whose credential had lapsed, or a revision. A serial's margin is the
least one stored at its release among the pieces in doubt, of the whole rack where the doubt is on the whole of it; what
was never released has none and stands first. A piece that was replaced flies no more, nor does a lot of hardware once
each joint that it was in is tightened with another: a rack that these alone put in doubt is told last, as it was and
until when. Where a rack is, is what was recorded last: the aircraft its customer
named, else to whom it was shipped, else the shop.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from rackwright.record import Appended, Event, Refs, State, corrected, where_gauge_went, where_heat_went
from rackwright.record.state import Serial
from rackwright.trouble import Refusal, Stopped
from rackwright.work.gates import no, person_may
from rackwright.work.people.founding import LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = ["DOUBTS", "Affected", "affected", "by_customer", "record_recall", "whereabouts"]

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
    whole: bool = True  # without pieces, all of it is in doubt
    was: tuple[
        str, ...
    ] = ()  # pieces and lots in doubt that were in it once: which, until when, what became of them

    @property
    def only_was(self) -> bool:
        """Is nothing that is in doubt in it any more?"""
        return bool(self.was) and not self.pieces and not self.whole


def affected(
    events: Sequence[Event], state: State, kind: str, about: str, since: str = ""
) -> tuple[Affected, ...]:
    """Every serial in doubt, least margin first. `since` (a date) leaves out what was done before it; a lapsed
    credential counts from its end, a bad gauge from the day it is in doubt from. Raises Stopped (RW503)."""
    found = _racks(events, state, kind, about, since)
    if found is None:
        raise Stopped([no("RW503", about, f"{kind} {about} is not known to the record", "check the id")])
    rows = [_row(state, serial, doubt) for serial, doubt in found.items() if serial in state.serials]
    return tuple(sorted(rows, key=_order))


def _order(row: Affected) -> tuple[bool, bool, float, str]:
    return row.only_was, row.margin is not None, float(row.margin or 0), row.serial


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


@dataclass(frozen=True)
class _Doubt:
    """What of one serial is in doubt: pieces that are in it, pieces that were, the whole of it."""

    pieces: tuple[str, ...] = ()
    was: tuple[str, ...] = ()
    whole: bool = True


def _racks(
    events: Sequence[Event], state: State, kind: str, about: str, since: str
) -> dict[str, _Doubt] | None:
    """By serial; None for what the record does not know."""
    if kind in ("heat", "lot"):
        went = where_heat_went(state, about)
        drawn = {rack.serial for rack in state.serials.values() if about in rack.lots}
        out = {
            serial: until for serial in drawn if (until := _taken_out(events, state.serials[serial], about))
        }
        found = _by_serial(state, went.pieces, drawn, drawn - out.keys(), out)
        return found if went.stock or went.pieces else None
    if kind == "gauge":
        gauge = state.gauges.get(about)
        return None if gauge is None else _measured_by(events, state, about, since or gauge.bad_since)
    if kind == "person":
        person = state.persons.get(about)
        return None if person is None else _touched_by(events, state, about, since or person.until)
    if about not in state.revisions:
        return None
    return {rack.serial: _Doubt() for rack in state.serials.values() if rack.revision == about}


def _measured_by(events: Sequence[Event], state: State, gauge: str, since: str) -> dict[str, _Doubt]:
    if not since:
        went = where_gauge_went(state, gauge)
        used = [event for event in events if gauge in event.refs.gauges]
        return _by_serial(state, went.pieces, [*went.serials, *_serials(used)], _serials_alone(used))
    return _of_events(state, [e for e in events if gauge in e.refs.gauges and e.at[:10] >= since])


def _touched_by(events: Sequence[Event], state: State, person: str, since: str) -> dict[str, _Doubt]:
    done = [
        event for event in events
        if event.by == person and event.type != "refusal" and (not since or event.at[:10] > since)
    ]  # fmt: skip
    return _of_events(state, done)


def _of_events(state: State, events: Sequence[Event]) -> dict[str, _Doubt]:
    pieces = [piece for event in events for piece in event.refs.pieces]
    return _by_serial(state, pieces, _serials(events), _serials_alone(events))


def _serials(events: Iterable[Event]) -> list[str]:
    return [serial for event in events for serial in event.refs.serials]


def _serials_alone(events: Iterable[Event]) -> set[str]:
    """Of events that name a rack and no piece: they are about the whole of it."""
    return {serial for event in events if not event.refs.pieces for serial in event.refs.serials}


def _by_serial(
    state: State, pieces: Iterable[str], serials: Iterable[str], whole: Container[str],
    out: Mapping[str, str] = MappingProxyType({}),
) -> dict[str, _Doubt]:  # fmt: skip
    """The pieces that are in a rack now, by it, and those that were: what was scrapped or replaced flies nowhere. A
    rack of which only such pieces are in doubt is so as a whole only where it is one of `whole`. `out`: racks that a
    lot was taken out of, in words."""
    found: dict[str, list[str]] = {}
    was: dict[str, list[str]] = {serial: [words] for serial, words in out.items()}
    for name in dict.fromkeys(pieces):
        made = state.pieces.get(name)
        if made is not None and made.serial and made.state == "replaced":
            where = {"customer": "with the customer"}.get(made.fate, made.fate) or "not said where it is"
            until = f"{name} until {made.out_at[:10]} (event {made.out_seq}), {where}"
            was.setdefault(made.serial, []).append(until)
        elif made is not None and made.serial and made.state != "scrapped":
            found.setdefault(made.serial, []).append(name)
    return {
        serial: _Doubt(
            tuple(sorted(found.get(serial, ()))),
            tuple(was.get(serial, ())),
            serial in whole or serial not in (was.keys() | found.keys()),
        )
        for serial in dict.fromkeys((*found, *was, *serials))
    }


def _taken_out(events: Sequence[Event], rack: Serial, lot: str) -> str:
    """Until when a lot of hardware was in joints of a rack, where it is in none any more; "" where it is, or was never
    in one. A joint that was only taken apart has its hardware: it may be put in again. What other work used of the lot
    no joint tells of: it is in the rack still."""
    holds: dict[str, tuple[str, ...]] = {}
    until = ""
    for event in corrected(events):
        if rack.serial not in event.refs.serials:
            continue
        values = event.body.get("values", {}) if event.type == "assemble" else {}
        now = {bolt: tuple(joint["lots"]) for bolt, joint in values.items() if "lots" in joint}
        used = any(lot in each for each in now.values())
        if lot in event.body.get("lots", ()) and not used:
            return ""
        had = any(lot in each for each in holds.values())
        holds |= now
        if any(lot in each for each in holds.values()):
            until = ""
        elif had:
            until = f"lot {lot} until {event.at[:10]} (event {event.seq}), in no joint since"
    return until


def whereabouts(state: State, serial: str) -> str:
    """Where a rack is: the aircraft its customer named, else to whom it was shipped, else the shop."""
    flies = state.installed.get(serial)
    return f"aircraft {flies.aircraft}" if flies else state.serials[serial].shipped_to or HERE


def _row(state: State, serial: str, doubt: _Doubt) -> Affected:
    rack = state.serials[serial]
    order = state.orders.get(rack.order)
    rows = [row for row in rack.margins if not doubt.pieces or row.get("piece") in doubt.pieces]
    told = rows or list(rack.margins)
    if doubt.was and not doubt.pieces and not doubt.whole:
        told = []  # its margins say nothing of what is gone
    least = min(told, key=lambda row: float(row["margin"]), default=None)
    notes = [f"was, {', '.join(doubt.was)}"] if doubt.was else []
    notes += ["not released"] if rack.state == "planned" else []
    return Affected(
        serial, order.customer if order else "", whereabouts(state, serial), rack.state, rack.revision,
        doubt.pieces, least["margin"] if least else None, least["check"] if least else "", "; ".join(notes),
        doubt.whole, doubt.was,
    )  # fmt: skip
