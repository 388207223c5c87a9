"""The tables of `record.db`, and what SQLite must be told on every connection.

`event` holds one envelope a row; `body`, `refs` and `known` are canonical JSON, the other fields
columns; `leaf` is the leaf hash. `head` holds one row a commit: how far the act went, its id (unique:
an act is recorded once), the root, and the peaks from which the tree goes on growing. Triggers refuse
every change of what is written and every gap. The statements below are the file format: an audit
compares them with those found in the file.

Settings, by measurement of others and our own tests: WAL with synchronous=FULL loses nothing that was
acknowledged, through a kill or a power cut; NORMAL does lose it at a power cut. Foreign keys are off
in SQLite until asked for, on each connection.
"""

from __future__ import annotations

import sqlite3

from sqlalchemy import Column, ForeignKey, Integer, MetaData, String, Table

from rackwright.trouble import Fault, Stopped, Where

__all__ = ["APPLICATION_ID", "SETTINGS", "STATEMENTS", "VERSION", "event", "head", "prepare"]

APPLICATION_ID = 0x7261636B  # "rack"
VERSION = 1

_tables = MetaData()
event = Table(
    "event",
    _tables,
    Column("seq", Integer, primary_key=True),
    Column("type", String, nullable=False),
    Column("v", Integer, nullable=False),
    Column("act_id", String, nullable=False),
    Column("at", String, nullable=False),
    Column("by", String, nullable=False),
    Column("station", String, nullable=False),
    Column("refs", String, nullable=False),
    Column("known", String, nullable=False),
    Column("corrects", Integer, ForeignKey("event.seq")),
    Column("body", String, nullable=False),
    Column("leaf", String, nullable=False),
)
head = Table(
    "head",
    _tables,
    Column("size", Integer, ForeignKey("event.seq"), primary_key=True),
    Column("act_id", String, nullable=False, unique=True),
    Column("root", String, nullable=False),
    Column("peaks", String, nullable=False),
)

_REFUSE = "BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END"

#: name -> statement: the whole schema of the SQLite file
STATEMENTS: dict[str, str] = {
    "event": """CREATE TABLE event (
  seq INTEGER PRIMARY KEY,
  type TEXT NOT NULL,
  v INTEGER NOT NULL,
  act_id TEXT NOT NULL,
  at TEXT NOT NULL,
  by TEXT NOT NULL,
  station TEXT NOT NULL,
  refs TEXT NOT NULL,
  known TEXT NOT NULL,
  corrects INTEGER REFERENCES event (seq),
  body TEXT NOT NULL,
  leaf TEXT NOT NULL
) STRICT""",
    "head": """CREATE TABLE head (
  size INTEGER PRIMARY KEY REFERENCES event (seq),
  act_id TEXT NOT NULL UNIQUE,
  root TEXT NOT NULL,
  peaks TEXT NOT NULL
) STRICT""",
    "event_keep": f"CREATE TRIGGER event_keep BEFORE UPDATE ON event {_REFUSE}",
    "event_stay": f"CREATE TRIGGER event_stay BEFORE DELETE ON event {_REFUSE}",
    "event_next": "CREATE TRIGGER event_next BEFORE INSERT ON event "
    f"WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM event) {_REFUSE}",
    "head_keep": f"CREATE TRIGGER head_keep BEFORE UPDATE ON head {_REFUSE}",
    "head_stay": f"CREATE TRIGGER head_stay BEFORE DELETE ON head {_REFUSE}",
    "head_next": "CREATE TRIGGER head_next BEFORE INSERT ON head "
    f"WHEN NEW.size <= (SELECT coalesce(max(size), 0) FROM head) {_REFUSE}",
}

#: pragma -> (what is asked for, what must be answered)
SETTINGS: dict[str, tuple[str, str | int]] = {
    "journal_mode": ("WAL", "wal"),
    "synchronous": ("FULL", 2),
    "foreign_keys": ("ON", 1),
    "recursive_triggers": ("ON", 1),  # else INSERT OR REPLACE deletes without asking the triggers
    "trusted_schema": ("OFF", 0),
    "cell_size_check": ("ON", 1),
}
_REQUIRED: dict[str, str | int] = {
    "journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "recursive_triggers": 1,
}  # fmt: skip


def prepare(connection: sqlite3.Connection, busy_ms: int, path: str) -> None:
    """Set up one connection. Raises Stopped (RW501) where SQLite answers with anything less than asked."""
    connection.isolation_level = None  # BEGIN is said by the store, never guessed by the driver
    connection.execute(f"PRAGMA busy_timeout={int(busy_ms)}")
    for pragma, (asked, _) in SETTINGS.items():
        connection.execute(f"PRAGMA {pragma}={asked}")
    for pragma, wanted in _REQUIRED.items():
        (found,) = connection.execute(f"PRAGMA {pragma}").fetchone()
        if found != wanted:
            raise Stopped(
                [Fault("RW501", Where(path), f"the disk answers {pragma} = {found} where {wanted} is needed",
                       "keep the record on a local disk: what is acknowledged must survive a power cut")]
            )  # fmt: skip
