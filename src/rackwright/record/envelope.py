"""The event envelope. Final: what is written in it today is read in decades.

An event has exactly the fields

    seq       place in the record, from 1 without gaps; 0 while not yet recorded
    type, v   what happened, and the version of its body's layout (`events.py`)
    act_id    made by whoever acts; one act may be several events, recorded together or not at all
    at, by    UTC time `YYYY-MM-DDTHH:MM:SSZ` (fraction allowed) and the person
    station   where it was entered
    refs      heats, lots, pieces, serials, gauges, files (by SHA-256) it touches: sorted lists
    known     what was known then: program, reference_hash, roles, calibration_due {gauge: date}, and where the act was
              signed, `signed`: pin, password or code; shop key; session: the person was known by a PIN or password in
              this session, when the bar's visit began, and this act was a tap. Where it came as a request with an id of
              the client's own, `asked`: the SHA-256 of who asked for what, by which a repeat is told from another act
    corrects  the seq of the event this one corrects, or null
    body      the rest, an object after its type

Its leaf in the Merkle tree is SHA-256(0x00 || canonical JSON of the whole envelope).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date, datetime
from functools import lru_cache
from operator import lt
from typing import Any

from rackwright.seal import Malformed, canonical, leaf_hash, read_canonical
from rackwright.seal.canonical import MAX_INT

__all__ = [
    "Event",
    "Known",
    "Refs",
    "event_of",
    "known_of",
    "parse_event",
    "read_event",
    "refs_of",
    "time_of",
    "unchecked",
]

_TIME = re.compile(
    r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])T([01]\d|2[0-3]):[0-5]\d:([0-5]\d|60)(\.\d{1,6})?Z", re.ASCII
)
_SHA256 = re.compile(r"[0-9a-f]{64}")
_MAYBE = ("signed", "asked")  # of what was known: absent where there is none
_FIELDS = ("seq", "type", "v", "act_id", "at", "by", "station", "refs", "known", "corrects", "body")


@dataclass(frozen=True)
class Refs:
    """What an event touches; each list sorted, without repeats. `files` are SHA-256 in hex."""

    heats: tuple[str, ...] = ()
    lots: tuple[str, ...] = ()
    pieces: tuple[str, ...] = ()
    serials: tuple[str, ...] = ()
    gauges: tuple[str, ...] = ()
    files: tuple[str, ...] = ()

    @staticmethod
    def of(**lists: Iterable[str]) -> Refs:
        """Refs from lists in any order, with repeats and empty names dropped."""
        return Refs(
            **{name: tuple(sorted({item for item in items if item})) for name, items in lists.items()}
        )

    def to_json(self) -> dict[str, Any]:
        return {each.name: list(getattr(self, each.name)) for each in fields(self)}


@dataclass(frozen=True)
class Known:
    """What was known when it happened, so that an audit in decades does not need today's code."""

    program: str = ""
    reference_hash: str = ""
    roles: tuple[str, ...] = ()
    calibration_due: Mapping[str, str] = field(default_factory=dict)
    signed: str = ""  # by what the person was known: pin, password, code, session; "" by name only
    asked: str = ""  # SHA-256 of the request it came as, "" where none did

    def to_json(self) -> dict[str, Any]:
        plain = {
            "program": self.program, "reference_hash": self.reference_hash,
            "roles": list(self.roles), "calibration_due": dict(self.calibration_due),
        }  # fmt: skip
        return plain | {name: getattr(self, name) for name in _MAYBE if getattr(self, name)}


@dataclass(frozen=True)
class Event:
    seq: int
    type: str
    v: int
    act_id: str
    at: str
    by: str
    station: str
    refs: Refs
    known: Known
    corrects: int | None
    body: Mapping[str, Any]

    def to_json(self) -> dict[str, Any]:
        """The envelope as plain data, the form that is hashed, exported and sealed."""
        plain = {name: getattr(self, name) for name in _FIELDS}
        return {**plain, "refs": self.refs.to_json(), "known": self.known.to_json(), "body": dict(self.body)}

    def canonical(self) -> bytes:
        return canonical(self.to_json())

    def leaf(self) -> bytes:
        return leaf_hash(self.canonical())

    def at_seq(self, seq: int) -> Event:
        return replace(self, seq=seq)

    def same_act(self, other: Event) -> bool:
        """Do both say the same, apart from place, time, station and what was known?"""
        mine = (self.type, self.v, self.act_id, self.by, self.refs, self.corrects)
        theirs = (other.type, other.v, other.act_id, other.by, other.refs, other.corrects)
        return mine == theirs and canonical(self.body) == canonical(other.body)


def read_event(data: bytes) -> Event:
    """The event of these canonical bytes. Raises Malformed."""
    return parse_event(read_canonical(data), read=True)


def parse_event(value: Any, read: bool = False) -> Event:
    """The event of an envelope given as plain data. Raises Malformed with the place in the envelope.

    Checks the envelope only; the layout of the body is `checking.check`, which old events need not pass. `read`: the
    value was read from canonical JSON, so that only the envelope itself is in question.
    """
    if not isinstance(value, dict) or value.keys() != _FIELD_SET:
        raise Malformed("", f"an event has exactly the fields {', '.join(_FIELDS)}")
    event = event_of(**{**value, "refs": refs_of(value["refs"]), "known": known_of(value["known"])})
    if not read:
        canonical(event.to_json())  # floats, half surrogates, depth
    return event


def event_of(
    seq: Any, type: Any, v: Any, act_id: Any, at: Any, by: Any, station: Any, refs: Refs, known: Known,
    corrects: Any, body: Any,
) -> Event:  # fmt: skip
    """The event of these parts, of which only refs and known are checked before. Raises Malformed."""
    plain = (*map(_kind, (seq, type, v, act_id, at, by, station, body)),) == _PLAIN
    if not (
        plain and seq in _FROM_0 and v in _FROM_1 and type and act_id and by and corrects is None and _is_time(at)
    ):  # fmt: skip
        _require_envelope(seq, type, v, act_id, at, by, station, corrects, body)
    return unchecked(seq, type, v, act_id, at, by, station, refs, known, corrects, body)


def unchecked(
    seq: Any, type: Any, v: Any, act_id: Any, at: Any, by: Any, station: Any, refs: Refs, known: Known,
    corrects: Any, body: Any,
) -> Event:  # fmt: skip
    """The event of these parts, of which nothing is asked; as `__init__` would make it, in a third of the time."""
    event = object.__new__(Event)
    held = vars(event)
    held["seq"], held["type"], held["v"], held["act_id"], held["at"] = seq, type, v, act_id, at
    held["by"], held["station"], held["refs"], held["known"] = by, station, refs, known
    held["corrects"], held["body"] = corrects, body
    return event


def _require_envelope(
    seq: Any, type: Any, v: Any, act_id: Any, at: Any, by: Any, station: Any, corrects: Any, body: Any
) -> None:
    """Raises Malformed for the first field that is not as it should be."""
    for name, text in (("type", type), ("act_id", act_id), ("at", at), ("by", by)):
        if not isinstance(text, str) or not text:
            raise Malformed(f"/{name}", "must be a text and not empty")
    if not isinstance(station, str):
        raise Malformed("/station", "must be a text")
    if not _is_time(at):
        raise Malformed("/at", f"{at!r:.60} is not a UTC time like 2031-05-04T13:00:00Z")
    if not _is_whole(seq, _FROM_0):
        raise Malformed("/seq", "must be a whole number of at least 0")
    if not _is_whole(v, _FROM_1):
        raise Malformed("/v", "must be a whole number of at least 1")
    if corrects is not None and not _is_whole(corrects, _FROM_1):
        raise Malformed("/corrects", "must be null or the number of an event")
    if not isinstance(body, dict):
        raise Malformed("/body", "must be an object")


_REFS = tuple(each.name for each in fields(Refs))
_KNOWN = tuple(each.name for each in fields(Known) if each.name not in _MAYBE)
_TEXT = frozenset((str,))
_FROM_0, _FROM_1 = range(MAX_INT + 1), range(1, MAX_INT + 1)
_kind, _PLAIN = type, (int, str, int, str, str, str, str, dict)
_FIELD_SET, _REFS_SET, _KNOWN_SET, _MAYBE_SET = set(_FIELDS), set(_REFS), set(_KNOWN), set(_MAYBE)


def refs_of(value: Any) -> Refs:
    """The refs of an envelope. Raises Malformed."""
    if not isinstance(value, dict) or value.keys() != _REFS_SET:
        raise Malformed("/refs", f"must have exactly the fields {', '.join(_REFS)}")
    refs = object.__new__(Refs)
    held = vars(refs)
    for name in _REFS:
        held[name] = _names(value[name], name) if value[name] != [] else ()
    return refs


def _names(value: Any, name: str) -> tuple[str, ...]:
    items = _texts(value, f"/refs/{name}")
    if "" in items or not all(map(lt, items, items[1:])):
        raise Malformed(f"/refs/{name}", "must be sorted, without repeats or empty names")
    for item in items if name == "files" else ():
        if not _SHA256.fullmatch(item):
            raise Malformed("/refs/files", f"{item!r:.70} is not a SHA-256 in lower-case hex")
    return items


def known_of(value: Any) -> Known:
    """What was known, of an envelope. Raises Malformed."""
    if not isinstance(value, dict) or value.keys() - _MAYBE_SET != _KNOWN_SET:
        raise Malformed(
            "/known", f"must have exactly the fields {', '.join(_KNOWN)}, and signed, asked where it was"
        )
    if "signed" in value and not (isinstance(value["signed"], str) and value["signed"]):
        raise Malformed("/known/signed", "must be a text and not empty")
    if "asked" in value and not (isinstance(value["asked"], str) and _SHA256.fullmatch(value["asked"])):
        raise Malformed("/known/asked", "must be a SHA-256 in lower-case hex")
    for name in ("program", "reference_hash"):
        if not isinstance(value[name], str):
            raise Malformed(f"/known/{name}", "must be a text")
    due = value["calibration_due"]
    if not isinstance(due, dict) or not all(isinstance(date, str) for date in due.values()):
        raise Malformed("/known/calibration_due", "must be an object of gauge and date")
    roles = _texts(value["roles"], "/known/roles")
    return Known(
        value["program"], value["reference_hash"], roles, due, value.get("signed", ""), value.get("asked", "")
    )


def _texts(value: Any, place: str) -> tuple[str, ...]:
    if not isinstance(value, list) or not _TEXT.issuperset(map(type, value)):
        raise Malformed(place, "must be a list of texts")
    return tuple(value)


def time_of(at: str) -> datetime:
    """The time of an event. A leap second is the second before it: the calendar here has none."""
    return datetime.fromisoformat(at.replace(":60", ":59"))


def _is_time(text: str) -> bool:
    """A UTC time of a day that the calendar has; a leap second is one."""
    return bool(_TIME.fullmatch(text)) and _is_day(text[:10])


@lru_cache(512)
def _is_day(text: str) -> bool:
    """Of four, two and two digits: does the calendar have this day?"""
    try:
        return bool(date.fromisoformat(text))
    except ValueError:
        return False


def _is_whole(value: Any, within: range) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value in within
