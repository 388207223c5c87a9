"""A record in one SQLite file, `record.db`: for one machine, or stations on it; the default.

Settings, by measurement of others and our own tests: WAL with synchronous=FULL loses nothing that was
acknowledged, through a kill or a power cut; NORMAL does lose it at a power cut. Foreign keys are off
in SQLite until asked for, on each connection. The statements below are the file format.

A folder that may only be read (a medium, another's folder) has no place for the log's index. There the file is read as
it is (`immutable`), where no log beside it holds more; who may write there should not do so meanwhile.
SQLite documentation, "Write-Ahead Logging", section 3 (read-only databases), and "URI filenames" (immutable).
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from rackwright.record import durable, schema
from rackwright.record.engine import Connect, Kind, unusable, weaker
from rackwright.trouble import Stopped

__all__ = ["APPLICATION_ID", "SETTINGS", "STATEMENTS", "Sqlite"]

APPLICATION_ID = 0x7261636B  # "rack"
_BUSY = (5, 6)  # SQLITE_BUSY, SQLITE_LOCKED
_FAILING = (10, 13)  # SQLITE_IOERR, SQLITE_FULL
_READ_ONLY, _CANNOT_OPEN = 8, 14

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
    "mention": """CREATE TABLE mention (
  kind TEXT NOT NULL,
  name TEXT NOT NULL,
  seq INTEGER NOT NULL,
  PRIMARY KEY (kind, name, seq)
) STRICT, WITHOUT ROWID""",
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


def _as_it_is(file: str) -> sqlite3.Connection:
    uri = f"{Path(file).absolute().as_uri()}?mode=ro&immutable=1"
    return sqlite3.connect(uri, uri=True, check_same_thread=False)


class Sqlite:
    """The record in the file at `path`. `connect` stands in for the driver's own way to open it."""

    below = "disk"
    raised: tuple[type[BaseException], ...] = (sqlite3.Error,)

    def __init__(self, path: Path, busy_ms: int, connect: Connect | None) -> None:
        self.path, self.busy_ms, self._connect = path, busy_ms, connect

    def connect(self) -> sa.Engine:
        opened = self._connect
        if opened is None and self._is_still():
            opened = _as_it_is
        below = {"creator": lambda: opened(str(self.path))} if opened else {}
        pool = sa.create_engine(f"sqlite:///{self.path}", **below)

        @sa.event.listens_for(pool, "connect")
        def _set_up(connection: sqlite3.Connection, _: Any) -> None:
            self._prepare(connection)

        return pool

    def _prepare(self, connection: sqlite3.Connection) -> None:
        connection.isolation_level = None  # BEGIN is said by the store, never guessed by the driver
        connection.execute(f"PRAGMA busy_timeout={int(self.busy_ms)}")
        still = {"journal_mode"} if self._connect is None and self._is_still() else set()  # nothing is logged
        for pragma, (asked, _) in SETTINGS.items():
            if pragma not in still:
                connection.execute(f"PRAGMA {pragma}={asked}")
        for pragma, wanted in _REQUIRED.items():
            if pragma in still:
                continue
            (found,) = connection.execute(f"PRAGMA {pragma}").fetchone()
            if found != wanted:
                do = "keep the record on a local disk: what is acknowledged must survive a power cut"
                raise weaker(self.path, "the disk", pragma, found, wanted, do)

    def _is_still(self) -> bool:
        """May nothing be written beside the file, and does it hold everything?"""
        log = self.path.with_name(f"{self.path.name}-wal")
        return self._may_only_look() and not (log.exists() and log.stat().st_size)

    def _may_only_look(self) -> bool:
        return self.path.exists() and not os.access(self.path.parent, os.W_OK)

    def begin(self, writes: bool) -> tuple[str, ...]:
        return ("BEGIN IMMEDIATE" if writes else "BEGIN",)

    def kind(self, error: BaseException | None) -> Kind:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF
        if code in _BUSY:
            return Kind.BUSY
        if isinstance(error, sqlite3.IntegrityError):
            return Kind.CONTRADICTS
        if code == _READ_ONLY or (code == _CANNOT_OPEN and self._may_only_look()):
            return Kind.READ_ONLY
        return Kind.FAILED if code in _FAILING else Kind.UNUSABLE

    def require(self) -> None:
        """By its first bytes alone: another program's database is not even opened, let alone switched to WAL."""
        if not self.path.is_file():
            do = "give the shop's folder, or make one with `rackwright new`"
            raise unusable(self.path, "there is no record here", do)
        try:
            with open(self.path, "rb") as file:
                start = file.read(100)
        except OSError as error:
            do = "check the path and its permissions"
            raise unusable(self.path, f"cannot be read: {error}", do) from error
        mark = APPLICATION_ID.to_bytes(4, "big")
        if not (len(start) == 100 and start.startswith(b"SQLite format 3\0") and start[68:72] == mark):
            raise unusable(self.path, "this file is not a record", "give the record.db of a shop's folder")

    def layout(self, connection: sa.Connection) -> int | None:
        found: int | None = connection.exec_driver_sql("PRAGMA user_version").scalar()
        return found

    @contextmanager
    def building(self) -> Iterator[Sqlite]:
        """Under another name in the same folder, and renamed at the end."""
        unfinished = self.path.with_name(self.path.name + ".new")
        if self.path.exists():
            raise unusable(self.path, "there is a file already", "open it, or choose another folder")
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            for stale in (unfinished, Path(f"{unfinished}-wal"), Path(f"{unfinished}-shm")):
                stale.unlink(missing_ok=True)
            yield Sqlite(unfinished, self.busy_ms, self._connect)
            durable.put_in_place(unfinished, self.path)
        except OSError as error:
            do = "check the folder and its permissions"
            raise Stopped([durable.cannot_write("RW501", self.path, error, do)]) from error

    def make(self, connection: sa.Connection) -> None:
        for statement in STATEMENTS.values():
            connection.exec_driver_sql(statement)
        connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
        connection.exec_driver_sql(f"PRAGMA user_version={schema.VERSION}")

    def settle(self, connection: sa.Connection) -> bool:
        """The write-ahead log into the one file; closing would do it too, and not say where it failed."""
        connection.exec_driver_sql("COMMIT")  # a checkpoint stands outside of any transaction
        busy, left, _ = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").one()
        connection.exec_driver_sql("BEGIN")
        return not (busy or left)

    def inside(self, connection: sa.Connection) -> list[str]:
        found = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA integrity_check")]
        bad = [f"SQLite: {line}" for line in found if line != "ok"]
        bad += [
            f"SQLite: foreign key {tuple(row)}"
            for row in connection.exec_driver_sql("PRAGMA foreign_key_check")
        ]
        rows = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
        there = {str(name): str(sql) for name, sql in rows}
        return bad + [f"the table or trigger {name} is not as it was made"
                      for name in sorted(STATEMENTS.keys() | there.keys())
                      if STATEMENTS.get(name) != there.get(name)]  # fmt: skip
