"""A record in a PostgreSQL database, for many stations: `record.url` in the shop's folder names the database.

    # DIR/record.url: one line, of the form that libpq reads
    postgresql://station@db.example/larkfield?sslmode=verify-full

The URL holds no password: the folder is shared and copied, and a secret in it would be in every copy. libpq finds it
where it belongs to one person at one machine (`~/.pgpass`, PGPASSFILE, PGSERVICEFILE, PGPASSWORD). Nor is the place an
environment variable: two stations with unlike environments would then write two records, and neither would know.
No backup takes record.url along, so that no copy of a shop writes into the record of the first.

The record lies in the schema `rackwright`, made in one transaction: whole or not there. Files named by hash stay in
`attachments/` beside record.url: stations share the folder, each file is written whole under its own hash.

Each connection is checked: fsync, full_page_writes and synchronous_commit on, triggers live, UTF-8. Whoever writes
holds one advisory lock of the database until the commit. It needs no right but SELECT and INSERT, so stations need not
be able to change or delete: GRANT USAGE ON SCHEMA rackwright, GRANT SELECT, INSERT ON ALL TABLES IN SCHEMA rackwright.
PostgreSQL manual, chapters 13.3.5 (advisory locks), 20.5 (settings of the write-ahead log), appendix A (error codes).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from rackwright.record.engine import Kind, unusable, weaker
from rackwright.record.postgres_layout import LAYOUT, PATH, SCHEMA, STATEMENTS, inside

__all__ = ["NEEDED", "Postgres", "checked_url"]

_LOCK = 0x7261636B77726967  # "rackwrig": the one advisory lock of whoever writes

#: setting -> what must be answered; those of a session are asked for first
NEEDED: dict[str, str] = {
    "fsync": "on",
    "full_page_writes": "on",
    "synchronous_commit": "on",
    "session_replication_role": "origin",  # else triggers and foreign keys sleep
    "server_encoding": "UTF8",
    "client_encoding": "UTF8",
}
_ASKED = {"synchronous_commit": "on", "client_encoding": "UTF8"}

_BUSY = ("55P03", "40001", "40P01")  # lock not available, serialization failure, deadlock
_FAILING = ("53100", "58030", "58P01", "XX001", "XX002")  # disk full, I/O error, missing file, damaged pages
_GONE = ("08", "57P")  # classes: connection exception, operator intervention (shutdown, crash)


class Postgres:
    """The record in the database that the file at `path` names. Raises Stopped (RW501) where it names none."""

    below = "server"

    def __init__(self, path: Path, busy_ms: int) -> None:
        self.path, self.busy_ms = path, busy_ms
        self.raised: tuple[type[BaseException], ...] = ()
        self._url = _read(path)

    def connect(self) -> sa.Engine:
        try:
            import psycopg
        except ImportError:
            do = "install it: pip install 'rackwright[postgres]'"
            raise unusable(
                self.path, "the package psycopg, which speaks to PostgreSQL, is missing", do
            ) from None
        self.raised = (psycopg.Error,)
        pool = sa.create_engine(self._url, use_native_hstore=False)

        @sa.event.listens_for(pool, "connect")
        def _set_up(connection: Any, _: Any) -> None:
            self._prepare(connection)

        return pool

    def _prepare(self, connection: Any) -> None:
        connection.autocommit = True  # BEGIN is said by the store, never guessed by the driver
        connection.execute(f"SET search_path = {PATH}")
        connection.execute(f"SET lock_timeout = {max(1, int(self.busy_ms))}")  # 0 would be to wait for ever
        for setting, value in _ASKED.items():
            connection.execute(f"SET {setting} = '{value}'")
        for setting, wanted in NEEDED.items():
            (found,) = connection.execute(f"SHOW {setting}").fetchone()
            if found != wanted:
                do = f"set {setting} = {wanted} at the server: what is acknowledged must survive a power cut"
                raise weaker(self.path, "PostgreSQL", setting, found, wanted, do)

    def begin(self, writes: bool) -> tuple[str, ...]:
        if writes:  # each statement sees what was committed when the lock was given
            return "BEGIN ISOLATION LEVEL READ COMMITTED", f"SELECT pg_advisory_xact_lock({_LOCK})"
        return ("BEGIN ISOLATION LEVEL REPEATABLE READ",)

    def kind(self, error: BaseException | None) -> Kind:
        state = getattr(error, "sqlstate", None)
        if state is None:  # the driver lost the server, or never had it
            lost = isinstance(error, self.raised) and getattr(error, "pgconn", None) is None
            return Kind.FAILED if lost else Kind.UNUSABLE
        if state in _BUSY:
            return Kind.BUSY
        if state.startswith("23"):
            return Kind.CONTRADICTS
        return Kind.FAILED if state in _FAILING or state.startswith(_GONE) else Kind.UNUSABLE

    def require(self) -> None:
        """Only the server knows."""

    def layout(self, connection: sa.Connection) -> int | None:
        asked = f"SELECT obj_description(oid, 'pg_namespace') FROM pg_namespace WHERE nspname = '{SCHEMA}'"
        comment = str(connection.exec_driver_sql(asked).scalar())
        number = comment.removeprefix(LAYOUT)
        return int(number) if comment.startswith(LAYOUT) and number.isdecimal() else None

    @contextmanager
    def building(self) -> Iterator[Postgres]:
        """In its place: a transaction that is not committed is not there."""
        yield self

    def make(self, connection: sa.Connection) -> None:
        there = connection.exec_driver_sql(f"SELECT 1 FROM pg_namespace WHERE nspname = '{SCHEMA}'").scalar()
        if there:
            do = "open it, or name a database without one"
            raise unusable(self.path, f"the database holds a record already (schema {SCHEMA})", do)
        for statement in STATEMENTS:
            connection.exec_driver_sql(statement)

    def settle(self, connection: sa.Connection) -> bool:
        return True  # the commit did it

    def inside(self, connection: sa.Connection) -> list[str]:
        return inside(connection)


# --- the file ------------------------------------------------------------------------------------


def _read(path: Path) -> sa.URL:
    try:
        text = path.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        do = "write one line: postgresql://person@host/database"
        raise unusable(path, f"cannot be read: {error}", do) from None
    lines = [(n, line.strip()) for n, line in enumerate(text.splitlines(), 1)]
    said = [(n, line) for n, line in lines if line and not line.startswith("#")]
    if len(said) != 1:
        raise unusable(path, f"{len(said)} lines name a database", "name one", said[1][0] if said else 1)
    ((line, url),) = said
    return checked_url(url, path, line)


def checked_url(text: str, path: Path, line: int = 0, field: str = "") -> sa.URL:
    """The URL of a PostgreSQL database without a secret. Raises Stopped (RW501)."""
    try:
        url = sa.make_url(text)
    except (sa.exc.ArgumentError, ValueError):
        url = None
    if url is None or url.drivername not in ("postgresql", "postgres", "postgresql+psycopg"):
        do = "write it as postgresql://person@host/database"
        raise unusable(path, "this is not the URL of a PostgreSQL database", do, line, field)
    secrets = [name for name in url.query if "password" in name.lower()]
    if url.password is not None or secrets:
        do = "take it out: keep it in ~/.pgpass of whoever works here, or in PGPASSWORD"
        raise unusable(path, "the URL holds a password, and this file is shared and copied", do, line, field)
    if not url.database and "service" not in url.query:
        raise unusable(path, "the URL names no database", "write it behind the host: …/database", line, field)
    return url.set(drivername="postgresql+psycopg")
