"""Rows of `record.db` and what they stand for: an event and its row, the head, the peaks.

A row is believed only when its leaf hash is that of the envelope put together from its columns.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from rackwright.record import schema
from rackwright.record.envelope import Event, parse_event
from rackwright.seal import Head, Malformed, Peaks, canonical, leaf_hash, read_canonical
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


def read_rows(connection: sa.Connection, after: int, upto: int | None) -> list[Row]:
    query = sa.select(schema.event).where(schema.event.c.seq > after).order_by(schema.event.c.seq)
    if upto is not None:
        query = query.where(schema.event.c.seq <= upto)
    return [_unrow(dict(zip(_COLUMNS, row, strict=True))) for row in connection.execute(query)]


def rows_of_act(connection: sa.Connection, act_id: str) -> list[Row]:
    heads = schema.head.c
    last = connection.execute(sa.select(heads.size).where(heads.act_id == act_id)).scalar()
    if last is None:
        return []
    before = connection.execute(sa.select(sa.func.max(heads.size)).where(heads.size < last)).scalar()
    return read_rows(connection, before or 0, last)


def _unrow(row: dict[str, Any]) -> Row:
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
