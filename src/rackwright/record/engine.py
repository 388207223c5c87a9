"""What the store asks of a database engine; `sqlite.py` and `postgres.py` answer it, `engines.py` chooses, and nothing
else knows either."""

from __future__ import annotations

import enum
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any, Protocol

import sqlalchemy as sa

from rackwright.trouble import Fault, Stopped, Where

__all__ = ["FILE", "URL_FILE", "Connect", "Engine", "Kind", "unusable", "weaker"]

FILE, URL_FILE = "record.db", "record.url"

#: opens a file as a DBAPI connection of the standard library's kind; the tests put a failing disk below it
Connect = Callable[[str], Any]


class Kind(enum.Enum):
    """What an error of the driver means for whoever uses the record."""

    BUSY = "another station is writing: look again"
    CONTRADICTS = "the tables refuse it"
    FAILED = "the disk or the server failed: what is recorded is seen on opening again"
    READ_ONLY = "its file or folder may not be written"
    UNUSABLE = "it cannot be used as it is"


class Engine(Protocol):
    """A place where a record lies or is to lie, and everything in which engines differ."""

    @property
    def path(self) -> Path:
        """The file in the shop's folder that stands for the record; troubles name it."""

    @property
    def below(self) -> str:
        """What fails where it fails: the disk, the server."""

    @property
    def raised(self) -> tuple[type[BaseException], ...]:
        """What the driver itself raises where SQLAlchemy does not stand between."""

    def connect(self) -> sa.Engine:
        """The pool of connections; each is set up, and refused (Stopped, RW501) where it keeps less than is needed."""

    def begin(self, writes: bool) -> tuple[str, ...]:
        """How a transaction begins: one moment's view of all; with `writes` alone among the writing."""

    def kind(self, error: BaseException | None) -> Kind: ...

    def require(self) -> None:
        """Raises Stopped (RW501) where it is plain without connecting that no record lies there."""

    def layout(self, connection: sa.Connection) -> int | None:
        """The number of the record's layout; None where no record lies there."""

    def building(self) -> AbstractContextManager[Engine]:
        """Where a new record is made, for whoever makes it; when all went well it stands in its place, synced.

        Raises Stopped (RW501) where one stands there already.
        """

    def make(self, connection: sa.Connection) -> None:
        """The tables and triggers of an empty record, in the transaction of this connection."""

    def settle(self, connection: sa.Connection) -> bool:
        """Everything that was committed into its last place, on the disk; False where another hinders it."""

    def inside(self, connection: sa.Connection) -> list[str]:
        """What the engine itself and the tables as they stand have to complain about; empty when sound."""


def unusable(path: Path, found: str, do: str, line: int = 0, field: str = "") -> Stopped:
    return Stopped([Fault("RW501", Where(str(path), line, field), found, do)])


def weaker(path: Path, who: str, setting: str, found: object, wanted: object, do: str) -> Stopped:
    """A connection keeps less than is needed: what is acknowledged must survive a power cut."""
    return unusable(path, f"{who} answers {setting} = {found} where {wanted} is needed", do)
