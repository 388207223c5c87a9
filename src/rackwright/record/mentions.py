"""Which events name a heat, a bar, a piece …: an index derived from the events, so that a trace reads only those.

The table `mention` holds (kind, name, seq). It is no part of what is hashed, sealed or exported; an audit compares it
with the events, and a record that is imported makes it anew. It may lag, where a station still runs an older program:
a row of kind `UPTO` after each act says how far it goes, what lies behind is read besides, and the next append brings
it along. So an answer is never short of an event.

What counts as a name is fixed by `_KINDS`; a change of it is a new layout, with a migration that fills the table anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from hashlib import sha256
from typing import Any

import sqlalchemy as sa

from rackwright.record import schema
from rackwright.record.envelope import Event
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
    "weighed",
]

Name = tuple[str, str]  # kind and name
UPTO = "upto"
LONGEST = (
    200  # characters of a name in the index: longer ones share a place, and are told apart by their events
)
_WRAP = 1 << 128  # sums of weights: an altered row goes unseen once in so many
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


def mentions(type: str, refs: Mapping[str, Any], body: Mapping[str, Any], corrects: int | None) -> set[Name]:
    """What an event names, in its refs and anywhere in its body; a correction names its event."""
    found = set[Name]()
    for held in (refs, body):
        _gather(held, "", found)
    if type in _RARE:
        found.add(("type", type))
    if corrects is not None:
        found.add(("event", str(corrects)))
    return found


def _gather(value: Any, kind: str, found: set[Name]) -> None:
    """The names in a value that stands in a field of this kind ("": of none)."""
    if isinstance(value, str):
        if kind and value:
            found.add(place_of(kind, value))
    elif isinstance(value, Mapping):
        for key, held in value.items():
            if held and (key in _KINDS or not isinstance(held, str | int)):
                _gather(held, _KINDS.get(key, ""), found)
    elif isinstance(value, list | tuple):
        for each in value:
            _gather(each, kind, found)


def cover(connection: sa.Connection, fresh: Sequence[Event] = ()) -> None:
    """Bring the index up to the head, in the transaction of an append; `fresh`: the events just written."""
    size, done = fresh[-1].seq if fresh else head_of(connection).size, upto(connection)
    if fresh and done + len(fresh) == size:
        named = [
            (each.seq, mentions(each.type, each.refs.to_json(), each.body, each.corrects)) for each in fresh
        ]
        _put(connection, named, size)
        return
    for start in range(done, size, _STEP):
        end = min(start + _STEP, size)
        _put(connection, [(row.seq, mentioned(row)) for row in read_rows(connection, start, end)], end)


def _put(connection: sa.Connection, named: Iterable[tuple[int, Iterable[Name]]], end: int) -> None:
    values = [{"kind": kind, "name": name, "seq": seq} for seq, found in named for kind, name in found]
    connection.execute(sa.insert(schema.mention), [*values, {"kind": UPTO, "name": "", "seq": end}])


def mentioned(row: Row) -> Sequence[Name]:
    """What a row names, sorted; nothing where it was altered beyond reading."""
    if isinstance(row.envelope, Malformed):
        return ()
    fields = row.envelope["refs"], row.envelope["body"]
    refs, body = (field if isinstance(field, dict) else {} for field in fields)
    return sorted(mentions(row.envelope["type"], refs, body, row.envelope["corrects"]))


def upto(connection: sa.Connection) -> int:
    """How far the index goes."""
    mention = schema.mention.c
    done = connection.execute(
        sa.select(sa.func.max(mention.seq)).where(mention.kind == UPTO, mention.name == "")
    )
    return done.scalar() or 0


class Weights:
    """What the index must hold of the first `upto` rows, as a number: a sum, which does not ask for their order."""

    def __init__(self, upto: int) -> None:
        self.upto, self.total = upto, 0

    def of(self, rows: Iterable[Row]) -> Iterator[Row]:
        """The same rows, weighed as they pass."""
        for place, row in enumerate(rows, 1):
            if place <= self.upto:
                self.total = (self.total + sum(_weigh(*name, row.seq) for name in mentioned(row))) % _WRAP
            yield row


def weighed(connection: sa.Connection) -> tuple[int, int]:
    """How far the index goes, and the sum of the weights of all it holds."""
    done, total = upto(connection), 0
    for rows in _pages(connection):
        total += sum(_weigh(*row) for row in rows if row[0] != UPTO)
    return done, total % _WRAP


def _pages(connection: sa.Connection) -> Iterator[Sequence[Sequence[Any]]]:
    """The whole index, some rows at a time, each page beginning behind the last."""
    columns = list(schema.mention.c)
    query = sa.select(schema.mention).order_by(*columns).limit(_STEP)
    rows = connection.execute(query).all()
    while rows:
        yield rows
        rows = connection.execute(query.where(sa.tuple_(*columns) > tuple(rows[-1]))).all()


def _weigh(kind: str, name: str, seq: int) -> int:
    return int.from_bytes(sha256(f"{kind}\0{name}\0{seq}".encode()).digest()[:16])


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
