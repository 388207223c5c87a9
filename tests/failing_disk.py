"""A disk below SQLite that loses power, fills up or fails, at any operation.

`Disk` is an SQLite VFS (written with apsw) over real files, which stand for what the operating system shows.
Beside them it keeps what is truly on the platter: the bytes synced last, and every write, truncation, creation
and removal since. `cut()` is the power cut: of what was not synced each 512-byte sector arrives whole, torn at
any byte, or not at all; unsynced files and removals may or may not be there.

`connect` opens a file on it as a DBAPI connection of the standard library's kind, so that the store runs
unchanged on it: its own statements, settings and order of steps.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import cache
from itertools import count
from pathlib import Path
from random import Random
from typing import Any

import apsw

SECTOR = 512
_OURS = "rackwright-tests-"
_names = count()


@contextmanager
def in_memory() -> Iterator[Path]:
    """A folder in memory where the system has one: where the disk is simulated, real syncs only take time."""
    path = Path(tempfile.mkdtemp(prefix=f"{_OURS}{os.getpid()}-", dir=_cleared()))
    try:
        yield path
    finally:
        shutil.rmtree(path)


@cache
def _cleared() -> Path:
    """Where the folders lie; those of tests that were killed are cleared, once in each process. A server whose folder
    goes stops by itself."""
    memory = Path("/dev/shm")
    where = memory if memory.is_dir() else Path(tempfile.gettempdir())
    for left in where.glob(f"{_OURS}*"):
        if not _lives(int(left.name.removeprefix(_OURS).partition("-")[0])):
            shutil.rmtree(left, ignore_errors=True)
    return where


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        pass
    return True


class Disk(apsw.VFS):
    """Counts its writing operations (write, truncate, sync, delete) and fails at one of them.

    fail_at   the number of the operation, from 1; 0 never
    error     None: the power goes · else the apsw error that this operation answers
    lasting   every operation from then on fails too
    """

    def __init__(self, chance: Random) -> None:
        self.name = f"disk-{next(_names)}"
        self.base = ""
        super().__init__(self.name, self.base)
        self.chance = chance
        self.durable: dict[str, bytearray] = {}  # path -> what is on the platter
        self.pending: dict[
            str, list[tuple[int, bytes | None]]
        ] = {}  # (place, bytes), or (size, None) truncated
        self.ghosts: dict[str, bytearray] = {}  # removed, which the platter does not know yet
        self.operations, self.fail_at, self.lasting = 0, 0, False
        self.error: type[apsw.Error] | None = None
        self.off, self.starts = False, 0  # a file that was opened before the machine started again is dead

    def arm(self, fail_at: int, error: type[apsw.Error] | None = None, lasting: bool = False) -> None:
        """Fail at the so many-th operation from now; 0 disarms."""
        self.operations = 0 if fail_at else self.operations
        self.fail_at, self.error, self.lasting = fail_at, error, lasting

    def operate(self, start: int | None = None) -> None:
        if self.off or start not in (None, self.starts):
            raise _error(apsw.IOError, "the power is off")
        self.operations += 1
        hit = self.operations >= self.fail_at if self.lasting else self.operations == self.fail_at
        if self.fail_at and hit:
            if self.error is not None:
                raise _error(self.error, "made to fail")
            self.off = True
            raise _error(apsw.IOError, "the power went")

    def excepthook(self, *_: Any) -> None:
        """What an operation raises reaches SQLite as its error; nothing is to be printed."""

    def xOpen(self, name: Any, flags: list[int]) -> _File:
        return _File(self, name, flags)

    def xDelete(self, name: str, sync: bool) -> None:
        self.operate()
        if os.path.exists(name):
            super().xDelete(name, sync)
            gone = self.durable.pop(name, None)
            if gone is not None and not sync:
                self.ghosts[name] = gone
            self.pending.pop(name, None)

    def synced(self, name: str) -> None:
        data = self.durable.setdefault(name, bytearray())
        for place, written in self.pending.pop(name, ()):
            if written is None:
                del data[place:]
            else:
                _put(data, place, written)
        self.ghosts.pop(name, None)

    def cut(self) -> None:
        """The machine lost power and starts again: the files become what is on the platter, more or less."""
        for name in sorted(self.durable.keys() | self.pending.keys() | self.ghosts.keys()):
            data = self._after(name)
            Path(name).unlink(missing_ok=True)
            self.durable.pop(name, None)
            if data is not None:
                Path(name).write_bytes(data)
                self.durable[name] = data
            Path(f"{name}-shm").unlink(missing_ok=True)
        self.pending, self.ghosts, self.off, self.starts = {}, {}, False, self.starts + 1
        self.arm(0)

    def _after(self, name: str) -> bytearray | None:
        if name not in self.durable and self.chance.random() < 0.5:  # its folder was not synced
            return self.ghosts.get(name)
        old = self.durable.get(name)
        if old is None and name not in self.pending:
            return None
        data = bytearray(old or b"")  # a copy
        for place, written in self.pending.get(name, ()):
            if written is None:
                if self.chance.random() < 0.5:
                    del data[place:]
                continue
            for start, piece in sectors(place, written):
                fate = self.chance.randrange(3)
                if fate == 1:
                    piece = piece[: self.chance.randrange(len(piece) + 1)]
                if fate and piece:
                    _put(data, start, piece)
        return data

    def connect(self, path: str) -> Connection:
        """The file as the store wants it; all errors are those of the standard library's sqlite3."""
        with _telling():
            return Connection(apsw.Connection(path, vfs=self.name))


def _error(kind: type[apsw.Error], words: str) -> apsw.Error:
    error = kind(words)
    error.result = error.extendedresult = apsw.SQLITE_FULL if kind is apsw.FullError else apsw.SQLITE_IOERR
    return error


def _put(data: bytearray, place: int, written: bytes) -> None:
    data.extend(bytes(max(0, place - len(data))))
    data[place : place + len(written)] = written


def sectors(place: int, data: bytes) -> Iterable[tuple[int, bytes]]:
    end = place + len(data)
    start = place
    while start < end:
        stop = min(end, (start // SECTOR + 1) * SECTOR)
        yield start, data[start - place : stop - place]
        start = stop


class _File(apsw.VFSFile):
    def __init__(self, disk: Disk, name: Any, flags: list[int]) -> None:
        self.disk, self.start = disk, disk.starts
        self.path = name.filename() if isinstance(name, apsw.URIFilename) else name or ""
        fresh = bool(self.path) and not os.path.exists(self.path)
        super().__init__(disk.base, name, flags)
        if fresh:
            disk.pending.setdefault(self.path, [])
        elif self.path and self.path not in disk.pending:
            disk.durable.setdefault(self.path, bytearray(Path(self.path).read_bytes()))

    def excepthook(self, *_: Any) -> None:
        pass

    def xWrite(self, data: bytes, offset: int) -> None:
        self.disk.operate(self.start)
        super().xWrite(data, offset)
        if self.path:
            self.disk.pending.setdefault(self.path, []).append((offset, bytes(data)))

    def xTruncate(self, size: int) -> None:
        self.disk.operate(self.start)
        super().xTruncate(size)
        if self.path:
            self.disk.pending.setdefault(self.path, []).append((size, None))

    def xSync(self, flags: int) -> None:
        self.disk.operate(self.start)
        if self.path:
            self.disk.synced(self.path)


class Writing:
    """What `record.durable` calls `os`: `before`, which may raise OSError, comes ahead of each of its writing calls."""

    def __init__(self, before: Callable[[], None]) -> None:
        self.before = before

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)
        if name not in ("open", "fsync", "replace"):
            return real

        def call(*given: Any) -> Any:
            self.before()
            return real(*given)

        return call


# --- apsw in the clothes of the standard library's sqlite3 ---------------------------------------


class _telling:
    """apsw's errors as those of sqlite3, with their code."""

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: Any) -> None:
        if isinstance(error, apsw.Error):
            other = (
                sqlite3.IntegrityError
                if isinstance(error, apsw.ConstraintError)
                else sqlite3.OperationalError
            )
            told = other(str(error))
            told.sqlite_errorcode = getattr(error, "extendedresult", 0) or getattr(error, "result", 0)
            raise told from error


class Cursor:
    arraysize, lastrowid = 1, None

    def __init__(self, connection: apsw.Connection) -> None:
        self._cursor = connection.cursor()
        self._connection = connection
        self.description: Any = None
        self.rowcount = -1
        self._rows: list[Any] = []
        self._cursor.exec_trace = self._described

    def _described(self, cursor: apsw.Cursor, *_: Any) -> bool:
        self.description = [(name, *[None] * 6) for name, _ in cursor.get_description()] or None
        return True

    def execute(self, statement: str, parameters: Sequence[Any] = ()) -> Cursor:
        with _telling():
            self._rows = list(self._cursor.execute(statement, tuple(parameters)))
            self.rowcount = self._connection.changes() if self.description is None else -1
        return self

    def executemany(self, statement: str, many: Iterable[Sequence[Any]]) -> Cursor:
        for parameters in many:
            self.execute(statement, parameters)
        return self

    def fetchone(self) -> Any:
        return self._rows.pop(0) if self._rows else None

    def fetchmany(self, size: int = 1) -> list[Any]:
        rows, self._rows = self._rows[:size], self._rows[size:]
        return rows

    def fetchall(self) -> list[Any]:
        rows, self._rows = self._rows, []
        return rows

    def close(self) -> None:
        self._cursor.close(force=True)


class Connection:
    isolation_level: str | None = ""

    def __init__(self, connection: apsw.Connection) -> None:
        self._connection = connection

    def cursor(self) -> Cursor:
        return Cursor(self._connection)

    def execute(self, statement: str, parameters: Sequence[Any] = ()) -> Cursor:
        return self.cursor().execute(statement, parameters)

    def commit(self) -> None:
        if self._connection.in_transaction:
            self.execute("COMMIT")

    def rollback(self) -> None:
        if self._connection.in_transaction:
            self.execute("ROLLBACK")

    def create_function(self, *_: Any, **__: Any) -> None:
        """The toolkit offers functions that the store does not use."""

    def close(self) -> None:
        with suppress(apsw.Error):  # as the standard library's: what fails while closing is not told
            self._connection.close(force=True)
