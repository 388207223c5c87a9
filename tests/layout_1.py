"""Records as the first layout had them, filled: what a program of then left, made by its own statements.

The hashes of both lists of statements are those that stood in the tests while layout 1 was the newest.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from private_postgres import Server
from rackwright.record import postgres_layout, schema, sqlite

SQLITE = tuple(text for name, text in sqlite.STATEMENTS.items() if name != "mention")
POSTGRES = tuple(
    text.replace(f"layout {schema.VERSION}", "layout 1")
    for text in postgres_layout.STATEMENTS
    if ".mention (" not in text
)


def lay_down(source: Path, path: Path) -> None:
    """At `path` a file of layout 1, with the events and heads of the record at `source`."""
    file = sqlite3.connect(path, isolation_level=None)
    file.execute("PRAGMA journal_mode=WAL")
    file.execute("ATTACH ? AS source", (str(source),))
    file.execute("BEGIN")
    for statement in SQLITE:
        file.execute(statement)
    file.execute(f"PRAGMA application_id={sqlite.APPLICATION_ID}")
    file.execute("PRAGMA user_version=1")
    for table in ("event", "head"):
        file.execute(f"INSERT INTO {table} SELECT * FROM source.{table} ORDER BY 1")
    file.execute("COMMIT")
    file.close()


def lay_down_postgres(server: Server, source: Path, path: Path) -> str:
    """The same in a new database, which the file at `path` names; its name."""
    import psycopg

    url = (server.place(path.parent)).read_text("utf-8").strip()
    with psycopg.connect(url) as connection, sqlite3.connect(source) as file:
        connection.execute("SET search_path = rackwright, pg_temp")
        for statement in POSTGRES:
            connection.execute(statement)
        for table in ("event", "head"):
            for row in file.execute(f"SELECT * FROM {table} ORDER BY 1"):
                marks = ", ".join(["%s"] * len(row))
                connection.execute(f"INSERT INTO rackwright.{table} VALUES ({marks})", row)
    return url.partition("@/")[2].partition("?")[0]
