"""A station: who acts, at which record, with what clock and ids; and the one way an act is done.

Look, decide purely, append conditionally: if another station wrote first, look again and decide again. An
act id is recorded once; doing the act again gives back what was recorded, also when that was a refusal.
A refusal is an event too.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from secrets import token_bytes
from typing import Any
from uuid import uuid4

from rackwright import __version__
from rackwright.record import EVENTS, Appended, Event, Follower, Head, Known, Record, Refs, State, new_event
from rackwright.reference import content_hash
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.gates import clock_lost, done_before
from rackwright.work.keeping.shop_folder import open_record
from rackwright.work.late_entries import of_the_calendar, there_then
from rackwright.work.people.scopes import in_scope
from rackwright.work.people.signing import signature

__all__ = [
    "Attached",
    "Decision",
    "Draft",
    "Late",
    "Station",
    "attach",
    "new_id",
    "now",
    "open_station",
    "perform",
]

TRIES = 50  # how often another station may come first before this one gives up


@dataclass(frozen=True)
class Draft:
    """An event that a gate has decided on: type, body, and what it touches."""

    type: str
    body: Mapping[str, Any]
    refs: Refs = field(default_factory=Refs)
    corrects: int | None = None  # the event that a correction is of


Decision = Sequence[Draft] | Refusal


@dataclass(frozen=True)
class Late:
    """An act that is entered later than it was done, from paper: `done` is a day or a time in UTC, `scan` that of the
    paper, b"" where there is none. The person who did it enters it; the gates are those of the day of entry."""

    done: str
    scan: bytes = field(default=b"", repr=False)

    @cached_property
    def paper(self) -> str:
        """The scan's SHA-256."""
        return sha256(self.scan).hexdigest() if self.scan else ""

    def to_json(self) -> dict[str, str]:
        return {"done": self.done} | ({"paper": self.paper} if self.paper else {})


@dataclass(frozen=True)
class Attached:
    """A file that goes with an act: a photo, a chart, a machine's log. Its name as given, and its bytes."""

    name: str
    data: bytes = field(repr=False)

    @cached_property
    def file(self) -> str:
        """Its SHA-256."""
        return sha256(self.data).hexdigest()


@dataclass(frozen=True)
class Station:
    """Where a person acts. `now` gives UTC as in "2026-03-02T07:15:00Z", `new_id` a fresh act id."""

    record: Record
    person: str
    now: Callable[[], str]
    new_id: Callable[[], str]
    name: str = "bench"
    follower: Follower = field(default_factory=Follower, repr=False, compare=False)
    secret: str = field(default="", repr=False)  # the person's PIN or password, where it was given
    late: Late | None = None
    attached: tuple[Attached, ...] = ()  # kept with each event of the act, or with its refusal
    session: str = field(default="", repr=False)  # what the person was known by before: it signs a tap
    asked: str = ""  # SHA-256 of the request, where it came as one
    chance: Callable[[int], bytes] = field(
        default=token_bytes, repr=False
    )  # so many bytes that nobody can guess

    @property
    def today(self) -> str:
        """The day by this station's clock, or that of the latest event where the clock is a little behind it: what
        expires is judged by the later one."""
        return max(self.now()[:10], self.follower.latest[:10])

    @property
    def home(self) -> Path:
        """The folder that the record's files stand in."""
        return self.record.attachments.parent

    def by(self, person: str, secret: str = "") -> Station:
        """The same station with another person at it."""
        return replace(self, person=person, secret=secret)


def open_station(folder: str | Path, by: str) -> Station:
    """A station at the shop's record with the real clock and fresh act ids. Close its record when done."""
    return Station(open_record(folder), by, now, new_id)


def attach(station: Station, files: Mapping[str, bytes]) -> Station:
    """The same station with these files, by name, for the acts done at it."""
    return replace(station, attached=tuple(Attached(name, data) for name, data in files.items()))


def now() -> str:
    """UTC, as events have it."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def new_id() -> str:
    return str(uuid4())


def perform(
    station: Station,
    act: str,
    decide: Callable[[State], Decision],
    act_id: str = "",
    evidence: Sequence[str] = (),
    pieces: Sequence[str] = (),
) -> Appended:
    """Decide on what the record holds and append it. Raises Stopped with the refusal, which is recorded.

    `evidence` are hashes of files that the act rests on, `pieces` what it was done to whether it counts or not; a
    refusal names them, so that they are found again. What was attached is kept, whatever is decided, once it is known
    who brings it.
    """
    act_id, at = act_id or station.new_id(), station.now()
    kept: list[str] | None = None
    for _ in range(TRIES):
        head, state = station.follower.look(station.record)
        done = station.record.act(act_id)
        if done:
            return _again(done, head, station.asked)
        signed = signature(state, station.person, act, station.secret, station.home, at, station.session)
        refused = None if act == "clock" else clock_lost(state.latest, at)
        refused = refused or (signed if isinstance(signed, Refusal) else None)
        if station.late:
            refused = refused or done_before(station.late.done, at) or of_the_calendar(station.late.done)
        refused = refused or in_scope(state, station.person, act, of_route=act not in EVENTS)
        decision = refused or decide(state)
        if station.late and not isinstance(decision, Refusal):
            decision = _there_then(state, station, decision, station.late.done) or decision
        if kept is None and not isinstance(signed, Refusal):
            kept = _keep(station)
        seen = [*evidence, *(kept or ())]
        drafts = (
            [_refused(act, decision, evidence, seen, pieces)]
            if isinstance(decision, Refusal)
            else list(decision)
        )
        by = "" if isinstance(signed, Refusal) else signed
        recorded = [_event(station, state, draft, act_id, at, by) for draft in drafts]
        try:
            appended = station.record.append(recorded, seen=head)
        except Stopped as stopped:
            if all(trouble.code == "RW502" for trouble in stopped.troubles):
                continue
            raise
        if isinstance(decision, Refusal):
            raise Stopped([decision])
        return appended
    raise Stopped(
        [Refusal("RW502", Where(str(station.record.path)), "other stations keep writing", "try again")]
    )


def _keep(station: Station) -> list[str]:
    """Keep the files attached to an act, and the scan it was entered from, beside the record; their hashes."""
    brought = [one.data for one in station.attached]
    if station.late and station.late.scan:
        brought.append(station.late.scan)
    return [station.record.put_file(data) for data in brought]


def _there_then(state: State, station: Station, drafts: Sequence[Draft], done: str) -> Refusal | None:
    asked = (there_then(state, station.person, one.body, one.refs.lots, done) for one in drafts)
    return next((refused for refused in asked if refused), None)


def _again(done: tuple[Event, ...], head: Head, asked: str) -> Appended:
    first = done[0]
    if asked and first.known.asked != asked:
        found = f"act {first.act_id} is recorded as event {first.seq} ({first.type}), asked for otherwise"
        where = Where("the record", 0, f"event {first.seq}")
        raise Stopped([Refusal("RW506", where, found, "make a new act id for a new act")])
    if first.type == "refusal":
        body = first.body
        where = Where("the record", 0, f"event {first.seq}")
        raise Stopped([Refusal(body["code"], where, body["found"], body["do"])])
    return Appended(done, head, repeated=True)


def _refused(
    act: str, refusal: Refusal, logs: Sequence[str], evidence: Sequence[str], pieces: Sequence[str]
) -> Draft:
    body: dict[str, object] = {"act": act, "code": refusal.code, "found": refusal.found, "do": refusal.do}
    if refusal.where.field:
        body["about"] = refusal.where.field
    if pieces:
        body |= {"pieces": list(pieces), "logs": list(logs)}
    return Draft("refusal", body, Refs.of(files=evidence, pieces=pieces))


def _event(station: Station, state: State, draft: Draft, act_id: str, at: str, signed: str) -> Event:
    person = state.persons.get(station.person)
    gauges = {gauge: state.gauges[gauge].due for gauge in draft.refs.gauges if gauge in state.gauges}
    roles = person.roles if person else ()
    known = Known(f"rackwright {__version__}", content_hash(), roles, gauges, signed, station.asked)
    body, refs, files = draft.body, draft.refs, set(draft.refs.files)
    if station.late and draft.type != "refusal":
        body = {**body, "late": station.late.to_json()}
        files |= {station.late.paper} - {""}
    if station.attached and draft.type != "refusal":
        body = {**body, "attached": [{"name": one.name, "file": one.file} for one in station.attached]}
        files |= {one.file for one in station.attached}
    refs = replace(refs, files=tuple(sorted(files)))
    return new_event(draft.type, body, act_id=act_id, at=at, by=station.person, station=station.name,
                     refs=refs, known=known, corrects=draft.corrects)  # fmt: skip
