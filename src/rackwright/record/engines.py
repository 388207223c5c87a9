"""Which engine keeps a record: the file that stands for it in the shop's folder says so.

`record.db` is the record itself, `record.url` names the PostgreSQL database that holds it.
"""

from __future__ import annotations

from pathlib import Path

from rackwright.record.engine import URL_FILE, Connect, Engine
from rackwright.record.postgres import Postgres
from rackwright.record.sqlite import Sqlite

__all__ = ["engine_of"]


def engine_of(path: Path, busy_ms: int = 2000, connect: Connect | None = None) -> Engine:
    """The engine of a record's file. `busy_ms`: how long to wait for another station's commit.

    Raises Stopped (RW501) where a `.url` file says nothing that can be used.
    """
    if path.suffix == Path(URL_FILE).suffix:
        return Postgres(path, busy_ms)
    return Sqlite(path, busy_ms, connect)
