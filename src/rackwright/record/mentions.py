"""Which events name a heat, a bar, a piece …: an index derived from the events, so that a trace reads only those.

The table `mention` holds (kind, name, seq). It is no part of what is hashed, sealed or exported; an audit compares it
with the events, and a record that is imported makes it anew. It may lag, where a station still runs an older program:
a row of kind `UPTO` after each act says how far it goes, what lies behind is read besides, and the next append brings
it along. So an answer is never short of an event.

What counts as a name is fixed by `_KINDS`; a change of it is a new layout, with a migration that fills the table anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from hashlib import blake2b
from secrets import token_bytes
from typing import Any

import orjson
import sqlalchemy as sa

from rackwright.record import schema
from rackwright.record.envelope import Event, Refs
from rackwright.record.rows import Row, head_of, read_rows
from rackwright.seal import Malformed

__all__ = [
    "Name",
    "Weights",
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
_PRIME = 2**127 - 1
_STEP = 10_000  # rows at a time, where there are many
_MANY = 500  # names a question

#: the field of refs or body that holds a name or names, and the kind it names
_KINDS = {
    "heat": "heat", "heats": "heat", "lot": "lot", "lots": "lot", "stock_id": "stock", "stock_ids": "stock",
    "piece": "piece", "pieces": "piece", "old": "piece", "new": "piece", "serial": "serial", "serials": "serial",
    "gauge": "gauge", "gauges": "gauge", "order": "order", "job": "order", "person": "person",
}  # fmt: skip
_RARE = ("freeze",)  # types of which all events are wanted at once


def place_of(kind: str, name: str) -> Name:
    """Where a name stands in the index."""
    return kind, name.replace("\0", "")[:LONGEST]


def mentions(event: Event) -> set[Name]:
    """What an event names, in its refs and anywhere in its body; a correction names its event."""
    found = set(_of_refs(event.refs))
    _gather(event.body, found)
    if event.type in _RARE:
        found.add(("type", event.type))
    if event.corrects is not None:
        found.add(("event", str(event.corrects)))
    return found


@lru_cache(4096)
def _of_refs(refs: Refs) -> frozenset[Name]:
    found = set[Name]()
    _gather(refs.to_json(), found)
    return frozenset(found)


def _gather(held: Mapping[str, Any], found: set[Name]) -> None:
    """The names in the fields of an object and of all that lies in it."""
    for key, value in held.items():
        kind = _KINDS.get(key, "")
        if kind or not isinstance(value, _PLAIN):
            _gather_of(kind, value, found)


def _gather_of(kind: str, value: Any, found: set[Name]) -> None:
    """The names in what stands in a field of this kind ("": of none)."""
    if isinstance(value, str):
        if kind and value:
            found.add(place_of(kind, value))
    elif isinstance(value, _LISTS):
        for each in value:
            _gather_of(kind, each, found)
    elif isinstance(value, Mapping):
        _gather(value, found)


_PLAIN, _LISTS = (str, int), (list, tuple)


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
    """How far the index goes."""
    mention = schema.mention.c
    done = connection.execute(
        sa.select(sa.func.max(mention.seq)).where(mention.kind == UPTO, mention.name == "")
    )
    return done.scalar() or 0


class Weights:
    """What the index must hold of the first `upto` events and what it holds (`indexed`; None: what cannot be one), as
    two numbers that agree where the rows do.

    A row weighs H(kind, name) · r(seq) modulo a prime, H with a key and r drawn anew each time: unlike rows weigh alike
    once in 2^126 (a polynomial in values that nobody knew: Schwartz 1980, Zippel 1979; from memory).
    """

    def __init__(self, connection: sa.Connection) -> None:
        self.upto, self.total, self._key = upto(connection), 0, token_bytes(32)
        drawn = token_bytes(16 * (self.upto + 1))
        self._place = [int.from_bytes(drawn[at : at + 16]) for at in range(0, len(drawn), 16)]
        self._name = lru_cache(1 << 16)(self._hash)
        self.indexed = self._held(connection)

    def of(self, rows: Iterable[Row]) -> Iterator[Row]:
        """The same rows, weighed as they pass."""
        for row in rows:
            if 0 < row.seq <= self.upto:
                names = sum(self._name(*each) for each in mentioned(row))
                self.total = (self.total + names * self._place[row.seq]) % _PRIME
            yield row

    def _held(self, connection: sa.Connection) -> int | None:
        mention, total = schema.mention.c, 0
        seqs = sa.func.aggregate_strings(sa.cast(mention.seq, sa.String), ",")
        query = sa.select(mention.kind, mention.name, seqs).group_by(mention.kind, mention.name)
        for kind, name, text in connection.execute(
            query.where(mention.kind != UPTO).execution_options(yield_per=_STEP)
        ):
            try:
                read = orjson.loads(f"[{text}]")
                if min(read) < 1:
                    return None
                total += self._name(kind, name) * sum(map(self._place.__getitem__, read))
            except (IndexError, TypeError, ValueError):
                return None
        return total % _PRIME

    def _hash(self, kind: str, name: str) -> int:
        return int.from_bytes(blake2b(f"{kind}\0{name}".encode(), key=self._key, digest_size=16).digest())


def seqs_naming(connection: sa.Connection, wanted: Iterable[Name]) -> set[int]:
    """The numbers of the events that the index has under any of these names."""
    mention, found, of_kind = schema.mention.c, set[int](), dict[str, list[str]]()
    for kind, name in wanted:
        of_kind.setdefault(kind, []).append(name)
    for kind, named in of_kind.items():
        for start in range(0, len(named), _MANY):
            some = mention.name.in_(named[start : start + _MANY])
            found.update(
                connection.execute(sa.select(mention.seq).where(mention.kind == kind, some)).scalars()
            )
    return found


def names(connection: sa.Connection, kind: str) -> tuple[str, ...]:
    """All names of a kind that the index has."""
    mention = schema.mention.c
    return tuple(connection.execute(sa.select(mention.name).where(mention.kind == kind).distinct()).scalars())
