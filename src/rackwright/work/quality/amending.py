"""A correction: how an event that was entered wrongly should have read. The event itself stays as it was recorded.

It is laid over wherever the event is read (`record/corrections.py`), and shown beside it. It changes neither who acted,
when, nor what kind of act it was; nor a name, since an event is found by what it names: what was booked to the wrong
thing is made void, where nothing rests on it, and recorded anew. A decision, a signature and a release are not
corrected but answered by another act. The verdict on a reading follows from the corrected value and is never given.

Whether the event would have been refused as it now reads, and which later events no longer follow from it, is asked of
the judge in hindsight: the first refuses the correction, the second is recorded with it and found by every audit.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from rackwright.record import EVENTS, Appended, Event, State, as_read, by_target, new_event
from rackwright.record.checking import check
from rackwright.record.mentions import NAMING
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, not_the_assembler, person_may
from rackwright.work.people.founding import LEAD
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import not_its_maker

__all__ = [
    "FIXED",
    "FOLLOWS",
    "Amended",
    "Amendment",
    "amend",
    "amendments",
    "as_its_layout",
    "may_be_amended",
    "readings_amended",
]

#: what gives a right, decides, or keeps the record itself: another act answers it
FIXED = (
    "found", "person", "secret", "code", "signatures", "key", "key_revoked", "clock", "head", "dossier", "refusal",
    "approval_reference", "at_risk", "without_report", "row_confirmed", "report", "report_checked", "report_released",
    "freeze", "order_line", "contract_review", "disposition", "lift", "red_line_lifted", "release", "accept",
    "substitute", "storage_decided", "reading_decided", "evidence_owed",
)  # fmt: skip
READINGS = ("measure", "gauge_check", "weigh", "passport")
_OF_A_READING = ("value", "passed", "within", "guard")
FOLLOWS = ("within", "guard")  # worked out from the value and its limits
_WHOLE = re.compile(r"-?\d{1,18}", re.ASCII)
_WHO = ("owner", "signer", "witness", "entered_by", "decided_by", "met_by", "holder", "supplier")


@dataclass(frozen=True)
class Amendment:
    """What should have stood in an event's body, or that it should not have been recorded at all (`void`)."""

    seq: int
    reason: str
    fields: Mapping[str, Any] = field(default_factory=dict)
    void: bool = False


def amend(station: Station, said: Amendment, act_id: str = "") -> Appended:
    """Correct one event, by the lead with a reason."""

    def decide(state: State) -> list[Draft] | Refusal:
        events = station.record.events()
        refused = first(
            person_may(state, station.person, LEAD, station.today),
            may_be_amended(state, *_stood(events, said.seq), said, station.person),
        )
        if refused is not None or not 0 < said.seq <= len(events):
            return refused or []
        target, fields = events[said.seq - 1], _with_verdict(events, said)
        found, changes = _consequences(events, replace(said, fields=fields), station)
        if refused := _stands(said, found, changes):
            return refused
        body: dict[str, object] = {"reason": said.reason}
        body |= {"void": True} if said.void else {"fields": fields}
        body["changes"] = changes
        return [Draft("correction", body, target.refs, said.seq)]

    return perform(station, "correction", decide, act_id)


def _stands(said: Amendment, found: str, changes: Sequence[str]) -> Refusal | None:
    """As corrected it would have been recorded; and nothing rests on what is made void."""
    if found:
        do = "correct what it rests on first, or raise a nonconformance"
        return no("RW551", _name(said.seq), f"{_name(said.seq)} would read so: {found}", do)
    if said.void and changes:
        do = "correct its fields, or undo first what rests on it"
        return no("RW551", _name(said.seq), f"{_name(said.seq)} cannot be void: {changes[0]}", do)
    return None


def as_its_layout(events: Sequence[Event], seq: int, fields: Mapping[str, str]) -> dict[str, Any]:
    """Fields as typed in the kinds that the event's layout asks for; what is no such kind stays a text, and is refused
    by the layout."""
    target = events[seq - 1] if 0 < seq <= len(events) else None
    return {name: _typed(_kind(target, name), text) for name, text in fields.items()}


def _kind(target: Event | None, name: str) -> Any:
    kinds = EVENTS[target.type].fields if target and target.type in EVENTS else {}
    return kinds.get(name, kinds.get(f"{name}?", "text"))


def _typed(kind: Any, text: str) -> Any:
    if kind == "bool" and text in ("yes", "no"):
        return text == "yes"
    if kind in ("int", "nm", "count") and _WHOLE.fullmatch(text):
        return int(text)
    return text


def _stood(events: Sequence[Event], seq: int) -> tuple[Event | None, Event | None]:
    """An event as recorded, and as it is to be read now."""
    target = events[seq - 1] if 0 < seq <= len(events) else None
    return target, as_read(target, by_target(events), len(events) + 1) if target else None


def may_be_amended(
    state: State, target: Event | None, now: Event | None, said: Amendment, by: str
) -> Refusal | None:
    """An event of this record (`target`) that may be corrected, as its type may read, by somebody who did not make what
    it measures. `now`: as it is to be read before the correction, None where it is void."""
    if target is None:
        return no(
            "RW503", _name(said.seq), f"{_name(said.seq)} is not in the record", "see `rackwright log list`"
        )
    if not said.reason.strip():
        return no("RW517", _name(said.seq), "no reason is given", "say how it came to be entered wrongly")
    if target.type in FIXED or (target.type == "correction" and not said.void):
        do = "make a correction void and correct anew; what decided is answered by another act"
        return no(
            "RW551", _name(said.seq), f"{_name(said.seq)} is a {target.type}, which is not corrected", do
        )
    if target.type in READINGS and (refused := _its_maker(state, target, by)):
        return refused
    if said.void == bool(said.fields):
        do = "give the fields as they should have read, or void=yes"
        return no("RW517", _name(said.seq), "neither or both of fields and void are given", do)
    if now is None:
        return no("RW517", _name(said.seq), f"{_name(said.seq)} is void already", "record what was done anew")
    fixed = (*NAMING, *_WHO, *FOLLOWS, "late", "attached", next(iter(EVENTS[target.type].fields)))
    for name in said.fields:
        if name in fixed:
            do = "make the event void, where nothing rests on it, and record it anew"
            return no("RW551", _name(said.seq), f"{name} of {_name(said.seq)} is not corrected", do)
        before, after = (str(body.get(name, "")).partition(" ")[2] for body in (now.body, said.fields))
        if _kind(target, name) == "quantity" and before not in ("", after):
            found = f"{name} of {_name(said.seq)} is in {before}, corrected in {after or 'no unit'}"
            return no("RW551", _name(said.seq), found, "give it in the unit that it was recorded in")
    faults = check(replace(now, body={**now.body, **said.fields}))
    if faults:
        return no("RW551", _name(said.seq), f"{faults[0].where.field}: {faults[0].found}", faults[0].do)
    return None


def _its_maker(state: State, target: Event, by: str) -> Refusal | None:
    piece, serial = target.body.get("piece", ""), target.body.get("serial", "")
    return not_its_maker(state, by, piece) if piece else not_the_assembler(state, by, serial)


def _with_verdict(events: Sequence[Event], said: Amendment) -> Mapping[str, Any]:
    """The fields with the verdict that follows from them, where the event is a reading."""
    from rackwright.work.keeping.judges.verdicts import verdict_of

    if said.void or events[said.seq - 1].type != "measure":
        return said.fields
    target, read = _stood(events, said.seq)
    now = read or target or events[said.seq - 1]
    return {**said.fields, **verdict_of({**now.body, **said.fields})}


def _consequences(events: Sequence[Event], said: Amendment, station: Station) -> tuple[str, list[str]]:
    """What the judge finds with the correction and not without: of the event itself, and of others."""
    from rackwright.work.keeping.hindsight import in_hindsight

    body = {"reason": said.reason, "fields": said.fields, "void": said.void, "changes": []}
    one = new_event(
        "correction", body, act_id="correction", at=station.now(), by=station.person, corrects=said.seq
    )
    before = {(each.where.field, each.found) for each in in_hindsight(events)}
    after = in_hindsight([*events, replace(one, seq=len(events) + 1)])
    mine = f"event {len(events) + 1}"  # the correction itself is asked its gate, not judged here
    new = [
        each for each in after if (each.where.field, each.found) not in before and each.where.field != mine
    ]
    own = next((each.found for each in new if each.where.field == _name(said.seq)), "")
    return own, [each.found for each in new]


@dataclass(frozen=True)
class Amended:
    """A correction as a reader sees it: what stood there, what it is to be read as."""

    event: Event
    target: Event
    fields: Mapping[str, tuple[Any, Any]]

    @property
    def recorded(self) -> str:
        """Of a reading: what was recorded."""
        body = self.target.body
        return str(body["value"]) if "value" in body else "yes" if body["passed"] else "no"

    @property
    def read_as(self) -> str:
        """Of a reading: as what it is read; what of it changed besides its value and verdict, in words."""
        if self.event.body.get("void"):
            return "void"
        said = self.event.body["fields"]
        value = said.get("value", self.recorded)
        if "passed" in said:
            value = "yes" if said["passed"] else "no"
        more = [f"{name} {_text(new)}" for name, (_, new) in self.fields.items() if name not in _OF_A_READING]
        return "; ".join([str(value), *more])

    @property
    def why(self) -> str:
        """Who corrected it, in which event, and why."""
        return f"{self.event.by}, {self.event.at[:10]} (event {self.event.seq}): {self.event.body['reason']}"

    @property
    def words(self) -> str:
        """What it changed, in one line."""
        if self.event.body.get("void"):
            return "void"
        return "; ".join(f"{name}: {_text(old)} -> {_text(new)}" for name, (old, new) in self.fields.items())


def amendments(events: Sequence[Event]) -> Iterator[Amended]:
    """Every correction among these events, beside what it corrects as recorded."""
    by_seq = {event.seq: event for event in events}
    for event in events:
        target = by_seq.get(event.corrects or 0)
        if event.type == "correction" and target is not None:
            fields = {
                name: (old, new)
                for name, new in event.body.get("fields", {}).items()
                if (old := target.body.get(name)) != new
            }
            yield Amended(event, target, fields)


def readings_amended(events: Sequence[Event]) -> dict[int, Amended]:
    """By the event of a reading: the last correction of it that stands, of those that change or void it."""
    found: dict[int, Amended] = {}
    void: set[int] = set()
    for one in reversed([*amendments(events)]):
        if one.event.seq in void:
            continue
        if one.target.type == "correction":
            void.add(one.target.seq)
        elif one.target.type in ("measure", "gauge_check"):
            found.setdefault(one.target.seq, one)
    return found


def _text(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {_text(each)}" for name, each in value.items())
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "nothing" if value is None else str(value)


def _name(seq: int) -> str:
    return f"event {seq}"
