"""Which events name a heat, a bar, a piece …: an index derived from the events, so that a trace reads only those.

The table `mention` holds (kind, name, seq). It is no part of what is hashed, sealed or exported; an audit compares it
with the events, and a record that is imported makes it anew. It may lag, where a station still runs an older program:
a row of kind `UPTO` after each act says how far it goes, what lies behind is read besides, and the next append brings
it along. So an answer is never short of an event.

What counts as a name is fixed by `_KINDS`; a change of it is a new layout, with a migration that fills the table anew.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Mapping, Sequence
from hashlib import blake2b, shake_256
from secrets import token_bytes
from typing import Any

import orjson
import sqlalchemy as sa

from rackwright.record import schema
from rackwright.record.envelope import Event, Refs
from rackwright.record.rows import Envelope, Row, head_of, read_rows
from rackwright.seal import Malformed

__all__ = [
    "NAMING",
    "Name",
    "Scales",
    "cover",
    "mentioned",
    "mentions",
    "names",
    "place_of",
    "seqs_naming",
    "upto",
]

Name = tuple[str, str]  # kind and name
UPTO = "upto"
LONGEST = (
    200  # characters of a name in the index: longer ones share a place, and are told apart by their events
)
_STEP = 10_000  # rows at a time, where there are many
_MANY = 500  # names a question
_HELD = 8192  # names whose hash is held: those of a few thousand events, near in the memory

#: the field of refs or body that holds a name or names, and the kind it names
_KINDS = {
    "heat": "heat", "heats": "heat", "lot": "lot", "lots": "lot", "stock_id": "stock", "stock_ids": "stock",
    "piece": "piece", "pieces": "piece", "old": "piece", "new": "piece", "serial": "serial", "serials": "serial",
    "gauge": "gauge", "gauges": "gauge", "order": "order", "job": "order", "person": "person",
}  # fmt: skip
NAMING = tuple(_KINDS)
_RARE = ("freeze",)  # types of which all events are wanted at once


def place_of(kind: str, name: str) -> Name:
    """Where a name stands in the index."""
    if len(name) > LONGEST or "\0" in name:
        name = name.replace("\0", "")[:LONGEST]
    return kind, name


def mentions(event: Event) -> set[Name]:
    """What an event names, in its refs and anywhere in its body; a correction names its event."""
    return _named(event.type, event.refs, event.corrects, event.body)


def _named(type: str, refs: Refs, corrects: int | None, body: Mapping[str, Any]) -> set[Name]:
    held, found = vars(refs), set[Name]()
    for kind, field in _REFS:
        for name in held[field]:
            found.add(place_of(kind, name))
    _gather(body, found)
    if type in _RARE:
        found.add(("type", type))
    if corrects is not None:
        found.add(("event", str(corrects)))
    return found


def _gather(held: Mapping[str, Any], found: set[Name]) -> None:
    """The names in the fields of an object and of all that lies in it."""
    for key, value in held.items():
        kind = type(value)
        if kind is str:
            if key in _KINDS and value:
                found.add(place_of(_KINDS[key], value))
        elif kind is dict:
            _gather(value, found)
        elif kind is not int and kind is not bool and value is not None:
            _gather_of(_KINDS.get(key, ""), value, found)


def _gather_of(kind: str, value: Any, found: set[Name]) -> None:
    """The names in what stands in a field of this kind ("": of none)."""
    if isinstance(value, str):
        if kind and value:
            found.add(place_of(kind, value))
    elif isinstance(value, _LISTS):
        for each in value:
            _gather_of(kind, each, found)
    elif isinstance(value, _OBJECTS):
        _gather(value, found)


_REFS = (("heat", "heats"), ("lot", "lots"), ("piece", "pieces"), ("serial", "serials"), ("gauge", "gauges"))
_LISTS, _OBJECTS = (list, tuple), (dict, Mapping)  # the quick question first


def cover(connection: sa.Connection, fresh: Sequence[Event] = ()) -> None:
    """Bring the index up to the head, in the transaction of an append; `fresh`: the events just written."""
    size, done = fresh[-1].seq if fresh else head_of(connection).size, upto(connection)
    if fresh and done + len(fresh) == size:
        _put(connection, [(each.seq, mentions(each)) for each in fresh], size)
        return
    for start in range(done, size, _STEP):
        end = min(start + _STEP, size)
        _put(connection, [(row.seq, mentioned(row)) for row in read_rows(connection, start, end)], end)


def _put(connection: sa.Connection, named: Iterable[tuple[int, Iterable[Name]]], end: int) -> None:
    values = [
        {"kind": kind, "name": name, "seq": seq} for seq, found in named for kind, name in sorted(found)
    ]
    connection.execute(sa.insert(schema.mention), [*values, {"kind": UPTO, "name": "", "seq": end}])


def mentioned(row: Row) -> set[Name]:
    """What a row names; nothing where it was altered beyond reading."""
    return set() if isinstance(row.event, Malformed) else mentions(row.event)


def upto(connection: sa.Connection) -> int:
    """How far the index goes; in an altered file a number may be anything, and is none then."""
    mention = schema.mention.c
    done = connection.execute(
        sa.select(sa.func.max(mention.seq)).where(mention.kind == UPTO, mention.name == "")
    ).scalar()
    return done if isinstance(done, int) else 0


class Scales:
    """Weigh what the index must hold of the first `upto` events, range by range, and what it holds: two numbers that
    agree where the rows do.

    A row weighs H(kind, name) · r(seq) modulo a prime, H with a key and r < 2^64 drawn anew each time: unlike rows
    weigh alike once in 2^64 (a polynomial in values that nobody knew: Schwartz 1980, Zippel 1979; from memory).
    """

    PRIME = 2**127 - 1

    def __init__(self, upto: int) -> None:
        key = token_bytes(32)
        self.upto = upto
        self._place = array("Q", shake_256(key).digest(8 * (upto + 1)))
        self._name = _Hashed(key)

    def events(self, envelopes: Iterable[Envelope]) -> int:
        """The weight of what these events mention."""
        weight, place, upto, total = self._name.__getitem__, self._place, self.upto, 0
        for columns, refs, _, body, _ in envelopes:
            seq, type, _, _, _, _, _, _, _, corrects, _, _ = columns
            if 0 < seq <= upto:
                total += sum(map(weight, _named(type, refs, corrects, body))) * place[seq]
        return total % self.PRIME

    def index(self, connection: sa.Connection) -> int | None:
        """The weight of the index; None where it holds what cannot be of an event."""
        mention, total, newest = schema.mention.c, 0, upto(connection)
        seqs = sa.func.aggregate_strings(sa.cast(mention.seq, sa.String), ",")
        query = sa.select(mention.kind, mention.name, seqs).group_by(mention.kind, mention.name)
        for kind, name, text in connection.execute(
            query.where(mention.kind != UPTO).execution_options(yield_per=_STEP)
        ):
            try:
                read = orjson.loads(f"[{text}]")
                if min(read) < 1 or max(read) > newest:
                    return None
                if newest > self.upto:  # recorded since
                    read = [seq for seq in read if seq <= self.upto]
                total += self._name[kind, name] * sum(map(self._place.__getitem__, read))
            except (IndexError, TypeError, ValueError):
                return None
        return total % self.PRIME


class _Hashed(dict[Name, int]):
    """A number of 128 bits for each name."""

    def __init__(self, key: bytes) -> None:
        self._keyed = blake2b(key=key, digest_size=16)

    def __missing__(self, name: Name) -> int:
        if len(self) > _HELD:
            self.clear()
        hashed = self._keyed.copy()
        hashed.update("\0".join(name).encode())
        self[name] = number = int.from_bytes(hashed.digest())
        return number


def seqs_naming(connection: sa.Connection, wanted: Iterable[Name]) -> set[int]:
    """The numbers of the events that the index has under any of these names."""
    mention, found, of_kind = schema.mention.c, set[int](), dict[str, list[str]]()
    for kind, name in wanted:
        of_kind.setdefault(kind, []).append(name)
    for kind, named in of_kind.items():
        for start in range(0, len(named), _MANY):
            some = mention.name.in_(named[start : start + _MANY])
            seqs = connection.execute(sa.select(mention.seq).where(mention.kind == kind, some)).scalars()
            found.update(seq for seq in seqs if isinstance(seq, int))  # altered, it may be anything
    return found


def names(connection: sa.Connection, kind: str) -> tuple[str, ...]:
    """All names of a kind that the index has."""
    mention = schema.mention.c
    return tuple(connection.execute(sa.select(mention.name).where(mention.kind == kind).distinct()).scalars())
