"""Rows of `record.db` and what they stand for: an event and its row, the head, the peaks.

A row is believed only when its leaf hash is that of the envelope put together from its columns.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import orjson
import sqlalchemy as sa

from rackwright.record import schema
from rackwright.record.envelope import Event, parse_event
from rackwright.seal import Head, Malformed, Peaks, canonical, leaf_hash, read_canonical
from rackwright.seal.canonical import MAX_DEPTH
from rackwright.trouble import Refusal, Stopped, Where

__all__ = [
    "Row",
    "altered",
    "believed",
    "head_of",
    "peaks_now",
    "peaks_of",
    "read_rows",
    "row_of",
    "rows_at",
    "rows_of_act",
]


_COLUMNS = tuple(
    str(column.name) for column in schema.event.columns
)  # plain texts: canonical JSON is quick then


_JSON = ("refs", "known", "body")
_OTHERS = tuple(name for name in _COLUMNS if name not in (*_JSON, "leaf"))
_SORTED = tuple(sorted((*_JSON, *_OTHERS)))  # as canonical JSON has its keys


@dataclass(frozen=True)
class Row:
    """One stored row, unchecked: seq, the envelope as far as it can be put together, the stored leaf hash, and the
    canonical bytes that the columns are together (of which that should be the hash)."""

    seq: int
    envelope: dict[str, Any] | Malformed
    leaf: str
    data: bytes = b""


def row_of(event: Event) -> dict[str, Any]:
    plain = event.to_json()
    texts = {name: canonical(plain[name]).decode() for name in ("refs", "known", "body")}
    return {**plain, **texts, "leaf": event.leaf().hex()}


def read_rows(connection: sa.Connection, after: int, upto: int | None, limit: int | None = None) -> list[Row]:
    query = (
        sa.select(schema.event).where(schema.event.c.seq > after).order_by(schema.event.c.seq).limit(limit)
    )
    if upto is not None:
        query = query.where(schema.event.c.seq <= upto)
    return [_unrow(row) for row in _tuples(connection, query)]


def rows_at(connection: sa.Connection, seqs: Iterable[int]) -> list[Row]:
    """The rows of these numbers, in order."""
    query, found = sa.select(schema.event).order_by(schema.event.c.seq), list[Row]()
    for some in _batched(sorted(seqs)):
        rows = _tuples(connection, query.where(schema.event.c.seq.in_(some)))
        found += [_unrow(row) for row in rows]
    return found


def _tuples(connection: sa.Connection, query: sa.Select[Any]) -> Sequence[Sequence[Any]]:
    """Plain tuples of the driver."""
    return connection.execute(query).all()


def _batched(seqs: list[int], size: int = 500) -> Iterator[list[int]]:
    return (seqs[start : start + size] for start in range(0, len(seqs), size))


def rows_of_act(connection: sa.Connection, act_id: str) -> list[Row]:
    heads = schema.head.c
    last = connection.execute(sa.select(heads.size).where(heads.act_id == act_id)).scalar()
    if last is None:
        return []
    before = connection.execute(sa.select(sa.func.max(heads.size)).where(heads.size < last)).scalar()
    return read_rows(connection, before or 0, last)


def _unrow(columns: Sequence[Any]) -> Row:
    return _quick(columns) or _careful(dict(zip(_COLUMNS, columns, strict=True)))


def _quick(columns: Sequence[Any]) -> Row | None:
    """The row, where everything in it is plain: as `_careful` gives it, ten times as fast; else None.

    Bytes that a second library (orjson) reads and writes back unchanged, with keys sorted, are canonical where they are
    ASCII, shallow, and without fractions; a number follows one of `:[,` at once there.
    """
    seq, type, v, act_id, at, by, station, refs, known, corrects, body, leaf = columns
    try:
        data = (
            f'{{"act_id":{_text(act_id)},"at":{_text(at)},"body":{body},"by":{_text(by)},'
            f'"corrects":{"null" if corrects is None else corrects},"known":{known},"refs":{refs},"seq":{seq},'
            f'"station":{_text(station)},"type":{_text(type)},"v":{v}}}'
        ).encode()
        if not data.isascii() or data.count(b"{") + data.count(b"[") > MAX_DEPTH or _FRACTION.search(data):
            return None
        envelope = orjson.loads(data)
        if len(envelope) != len(_COLUMNS) - 1 or orjson.dumps(envelope, option=_HOW) != data:
            return None
    except (TypeError, ValueError):
        return None
    return Row(seq, envelope, str(leaf), data)


_text = json.encoder.encode_basestring  # of the standard library, as `canonical` writes a text
_FRACTION = re.compile(rb"[:\[,]-?\d+[.eE]")
_HOW = orjson.OPT_SORT_KEYS | orjson.OPT_STRICT_INTEGER  # below 2^53 in size


def _careful(row: dict[str, Any]) -> Row:
    leaf, seq = str(row.pop("leaf")), int(row["seq"])
    try:
        texts = {name: str(row[name]) for name in _JSON}
        parts = {name: read_canonical(text.encode()) for name, text in texts.items()}
        others = {name: canonical(row[name]).decode() for name in _OTHERS}
    except Malformed as error:
        return Row(seq, error, leaf)
    fields = texts | others
    data = "{" + ",".join(f'"{name}":{fields[name]}' for name in _SORTED) + "}"
    return Row(seq, {**row, **parts}, leaf, data.encode())


def believed(row: Row, path: Path) -> Event:
    """The event of a row whose leaf hash fits. Raises Stopped (RW505)."""
    if isinstance(row.envelope, Malformed):
        raise Stopped([altered(path, row.seq, row.envelope.found)])
    try:
        event = parse_event(row.envelope, read=True)
    except Malformed as error:
        raise Stopped([altered(path, row.seq, error.found)]) from None
    if leaf_hash(row.data).hex() != row.leaf:
        raise Stopped([altered(path, row.seq, "it is not what was recorded")])
    return event


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
