"""Rows of `record.db` and what they stand for: an event and its row, the head, the peaks.

A row is believed only when its leaf hash is that of the envelope put together from its columns.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import orjson
import sqlalchemy as sa

from rackwright.record import schema
from rackwright.record.envelope import Event, Known, Refs, event_of, known_of, refs_of, unchecked
from rackwright.seal import Head, Malformed, Peaks, canonical, leaf_hash, read_canonical
from rackwright.seal.canonical import MAX_DEPTH, MAX_INT
from rackwright.trouble import Refusal, Stopped, Where

__all__ = [
    "LEAST",
    "Envelope",
    "Row",
    "altered",
    "believed",
    "event_in",
    "head_of",
    "peaks_now",
    "peaks_of",
    "read_envelopes",
    "read_rows",
    "read_text",
    "read_unchecked",
    "row_of",
    "rows_at",
    "rows_of",
    "rows_of_act",
]


LEAST = -(2**63)  # no row has a number below it


class Row(NamedTuple):
    """One stored row or line, unchecked: where, the event that it is or why it is none, the leaf hash stored beside it
    ("" none is stored there), the canonical bytes (of which that should be the hash), and the line in a file."""

    seq: int
    event: Event | Malformed
    leaf: str
    data: bytes = b""
    line: int = 0


#: what was read of a row: its columns as stored, then refs, known, body, and the canonical bytes of the whole envelope
Envelope = tuple[Sequence[Any], Refs, Known, dict[str, Any], bytes]


def row_of(event: Event) -> dict[str, Any]:
    plain = event.to_json()
    texts = {name: canonical(plain[name]).decode() for name in ("refs", "known", "body")}
    return {**plain, **texts, "leaf": event.leaf().hex()}


def read_rows(connection: sa.Connection, after: int, upto: int | None, limit: int | None = None) -> list[Row]:
    return [_unrow(row) for row in _tuples(connection, _between(after, upto, limit))]


def read_envelopes(
    connection: sa.Connection, after: int, upto: int, at_once: int
) -> Iterator[list[Envelope] | None]:
    """As `read_rows`, for whoever looks at very many, so many at once, and needs no event of most; where one cannot be
    read it ends with None.
    """
    with _driver(connection, _between(after, upto, None)) as cursor:
        while rows := cursor.fetchmany(at_once):
            try:
                envelopes = [*map(_envelope, rows)]
            except (Malformed, UnicodeEncodeError):
                yield None
                return
            yield envelopes


def read_unchecked(connection: sa.Connection, after: int, upto: int) -> list[Event]:
    """The events of these rows for whoever has them checked elsewhere: they may not be what was recorded.

    Raises ValueError where one cannot be read at all.
    """
    return [
        unchecked(
            seq, type, v, act_id, at, by, station, _refs_in(refs), _known_in(known), corrects, orjson.loads(body)
        )
        for seq, type, v, act_id, at, by, station, refs, known, corrects, body, _
        in _tuples(connection, _between(after, upto, None))
    ]  # fmt: skip


def _between(after: int, upto: int | None, limit: int | None) -> sa.Select[Any]:
    event = schema.event.c
    query = sa.select(schema.event).where(event.seq > after).order_by(event.seq).limit(limit)
    return query if upto is None else query.where(event.seq <= upto)


def rows_at(connection: sa.Connection, seqs: Iterable[int]) -> list[Row]:
    """The rows of these numbers, in order."""
    query, found = sa.select(schema.event).order_by(schema.event.c.seq), list[Row]()
    for some in _batched(sorted(seqs)):
        rows = _tuples(connection, query.where(schema.event.c.seq.in_(some)))
        found += [_unrow(row) for row in rows]
    return found


def _tuples(connection: sa.Connection, query: sa.Select[Any]) -> Sequence[Sequence[Any]]:
    with _driver(connection, query) as cursor:
        rows: Sequence[Sequence[Any]] = cursor.fetchall()
        return rows


@contextmanager
def _driver(connection: sa.Connection, query: sa.Select[Any]) -> Iterator[Any]:
    """The driver's own cursor: its plain tuples are made and taken apart faster than rows that know their columns."""
    with connection.execute(query) as found:
        yield found.cursor


def _batched(seqs: list[int], size: int = 500) -> Iterator[list[int]]:
    return (seqs[start : start + size] for start in range(0, len(seqs), size))


def rows_of_act(connection: sa.Connection, act_id: str) -> list[Row]:
    heads = schema.head.c
    last = connection.execute(sa.select(heads.size).where(heads.act_id == act_id)).scalar()
    if last is None:
        return []
    before = connection.execute(sa.select(sa.func.max(heads.size)).where(heads.size < last)).scalar()
    return read_rows(connection, before or 0, last)


def rows_of(connection: sa.Connection, types: Iterable[str], most: int | None = None) -> list[Row]:
    """The events of some types, in order, or the first of them: for types of which there are few."""
    event = schema.event.c
    query = sa.select(schema.event).where(event.type.in_([*types])).order_by(event.seq).limit(most)
    return [_unrow(row) for row in _tuples(connection, query)]


def _unrow(columns: Sequence[Any]) -> Row:
    seq, leaf = columns[0], str(columns[-1]) or "none"
    try:
        envelope = _envelope(columns)
    except Malformed as error:
        return Row(seq, error, leaf)
    except UnicodeEncodeError as error:
        return Row(seq, Malformed("", f"not text that can be written in UTF-8 ({error.reason})"), leaf)
    return Row(seq, event_in(envelope), leaf, envelope[-1])


def _envelope(columns: Sequence[Any]) -> Envelope:
    """The envelope put together from its columns. Raises Malformed, and UnicodeEncodeError for half a surrogate."""
    seq, type, v, act_id, at, by, station, refs, known, corrects, body, _ = columns
    touched, then, held = _refs_in(refs), _known_in(known), read_text(body)
    start, (who, end) = _start(act_id, at), _ends(type, v, by, station)
    if corrects is not None or held.__class__ is not dict or not 0 <= seq <= MAX_INT:
        event_of(seq, type, v, act_id, at, by, station, touched, then, corrects, held)
    data = (
        f'{start}{body},{who},"corrects":{"null" if corrects is None else corrects},"known":{known},'
        f'"refs":{refs},"seq":{seq},{end}'
    ).encode()
    return columns, touched, then, held, data


def event_in(envelope: Envelope) -> Event:
    (seq, type, v, act_id, at, by, station, _, _, corrects, _, _), refs, known, body, _ = envelope
    return unchecked(seq, type, v, act_id, at, by, station, refs, known, corrects, body)


_text = json.encoder.encode_basestring  # of the standard library, as `canonical` writes a text


@lru_cache(64, typed=True)
def _start(act_id: Any, at: Any) -> str:
    """How the envelope of such an event starts. Raises Malformed."""
    event_of(0, "any", 1, act_id, at, "anybody", "", Refs(), Known(), None, {})
    return f'{{"act_id":{_text(act_id)},"at":{_text(at)},"body":'


@lru_cache(4096, typed=True)
def _ends(type: Any, v: Any, by: Any, station: Any) -> tuple[str, str]:
    """What stands behind the body, and the end, of the envelope of such an event. Raises Malformed."""
    event_of(0, type, v, "any", "2031-05-04T13:00:00Z", by, station, Refs(), Known(), None, {})
    return f'"by":{_text(by)}', f'"station":{_text(station)},"type":{_text(type)},"v":{v}}}'


@lru_cache(4096, typed=True)
def _refs_in(text: Any) -> Refs:
    try:
        if (value := _read_back(text)) is not None:
            return refs_of(value)  # lists of texts: neither deep nor with fractions
    except Malformed:
        pass
    return refs_of(read_canonical(str(text).encode()))


@lru_cache(4096, typed=True)
def _known_in(text: Any) -> Known:
    return known_of(read_text(text))


def read_text(text: Any) -> Any:
    """As `read_canonical` of the text, ten times as fast where it is plain. Raises Malformed.

    An object that a second library (orjson) reads and writes back unchanged, with keys sorted, is canonical where it is
    shallow, without fractions and without characters beyond the first plane (UTF-8 sorts those unlike UTF-16).
    """
    value = _read_back(text)
    if value is not None and _is_plain(value.values(), MAX_DEPTH):
        return value
    return read_canonical(str(text).encode())  # the careful way says what it is


def _read_back(text: Any) -> dict[str, Any] | None:
    """The object that orjson reads in the text and writes as that text again; None where it does not."""
    try:
        value = orjson.loads(text)
        if (
            orjson.dumps(value, option=_HOW) == text.encode()
            and type(value) is dict
            and (text.isascii() or _LOW.fullmatch(text))
        ):
            return value
    except (AttributeError, TypeError, ValueError):
        pass
    return None


def _is_plain(held: Iterable[Any], left: int) -> bool:
    """Are there no fractions in it, and do objects and lists lie in each other at most so deep?"""
    for each in held:
        kind = type(each)
        if kind is dict or kind is list:
            if left < 2 or not _is_plain(each.values() if kind is dict else each, left - 1):
                return False
        elif kind not in _FLAT:
            return False
    return left > 0


_FLAT = frozenset((str, int, bool, type(None)))
_LOW = re.compile("[\0-\uffff]*")
_HOW = orjson.OPT_SORT_KEYS | orjson.OPT_STRICT_INTEGER  # below 2^53 in size


def believed(row: Row, path: Path) -> Event:
    """The event of a row whose leaf hash fits. Raises Stopped (RW505)."""
    if row.seq < 1:
        raise Stopped([altered(path, row.seq, "it stands before the first, where nothing is recorded")])
    if isinstance(row.event, Malformed):
        raise Stopped([altered(path, row.seq, f"{row.event.place} {row.event.found}".strip())])
    if leaf_hash(row.data).hex() != row.leaf:
        raise Stopped([altered(path, row.seq, "it is not what was recorded")])
    return row.event


def head_of(connection: sa.Connection) -> Head:
    heads = schema.head.c
    row = connection.execute(sa.select(heads.size, heads.root).order_by(heads.size.desc()).limit(1)).first()
    return Head(row[0], str(row[1])) if row else Head()


def peaks_now(connection: sa.Connection) -> Peaks:
    """The peaks the tree grows from. Raises Stopped (RW505) where they do not give the stored root."""
    heads = schema.head.c
    row = connection.execute(
        sa.select(heads.size, heads.root, heads.peaks).order_by(heads.size.desc()).limit(1)
    ).first()
    if row is None:
        return Peaks()
    size, root, text = row
    state = peaks_of(size, str(text))
    if state is None or state.root.hex() != root:
        raise Stopped([altered(Path("record.db"), size, "the head stored with it does not fit")])
    return state


def peaks_of(size: int, text: str) -> Peaks | None:
    """The peaks stored as one hex text, or None where they cannot be those of a tree of this size."""
    count = size.bit_count()
    if re.fullmatch(rf"[0-9a-f]{{{64 * count}}}", text) is None:
        return None
    return Peaks(size, tuple(bytes.fromhex(text[64 * i : 64 * i + 64]) for i in range(count)))


def altered(path: Path, seq: int, found: str) -> Refusal:
    return Refusal(
        "RW505", Where(str(path), 0, f"event {seq}"), f"event {seq}: {found}", "run audit; restore a backup"
    )
