"""From an older layout of the record to the newest, step by step, in one transaction of the store.

Alembic keeps the chain of steps (`versions/`: one module a layout) and runs what they ask of either engine. Its own
command line and environment are not used: they would open connections of their own, past the settings that this
store insists on. Nor is its table of versions: the number of the layout stands where layout 1 has it (SQLite:
user_version; PostgreSQL: the comment on the schema), so that programs of any age find it. Since all is one
transaction, a cut anywhere leaves the old layout or the new one.

A step never changes or removes what stands in `event` and `head`. What is released is never edited.
"""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa

__all__ = ["raise_layout"]


def raise_layout(connection: sa.Connection, found: int, wanted: int) -> None:
    """Take the steps after layout `found` up to `wanted`, in the transaction of this connection."""
    from alembic.migration import MigrationContext
    from alembic.operations import Operations
    from alembic.script import ScriptDirectory

    chain = ScriptDirectory(str(Path(__file__).parent))
    steps = [*chain.iterate_revisions(str(wanted), str(found))]
    with Operations.context(MigrationContext.configure(connection)):
        for step in reversed(steps):
            step.module.upgrade()
