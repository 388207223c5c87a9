"""The tables of a record, whichever engine keeps them, and the number of their layout.

`event` holds one envelope a row; `body`, `refs` and `known` are canonical JSON, the other fields
columns; `leaf` is the leaf hash. `head` holds one row a commit: how far the act went, its id (unique:
an act is recorded once), the root, and the peaks from which the tree goes on growing. `mention` is derived
(`mentions.py`). In every engine
triggers refuse every change of what is written and every gap; the statements that make them are the
engine's file format, and an audit compares them with those found.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, ForeignKey, MetaData, String, Table

__all__ = ["VERSION", "event", "head", "mention"]

VERSION = 2  # `layouts/` has the way here from each before

_tables = MetaData()
event = Table(
    "event",
    _tables,
    Column("seq", BigInteger, primary_key=True),
    Column("type", String, nullable=False),
    Column("v", BigInteger, nullable=False),
    Column("act_id", String, nullable=False),
    Column("at", String, nullable=False),
    Column("by", String, nullable=False),
    Column("station", String, nullable=False),
    Column("refs", String, nullable=False),
    Column("known", String, nullable=False),
    Column("corrects", BigInteger, ForeignKey("event.seq")),
    Column("body", String, nullable=False),
    Column("leaf", String, nullable=False),
)
head = Table(
    "head",
    _tables,
    Column("size", BigInteger, ForeignKey("event.seq"), primary_key=True),
    Column("act_id", String, nullable=False, unique=True),
    Column("root", String, nullable=False),
    Column("peaks", String, nullable=False),
)
mention = Table(
    "mention",
    _tables,
    Column("kind", String, primary_key=True),
    Column("name", String, primary_key=True),
    Column("seq", BigInteger, primary_key=True),
)
