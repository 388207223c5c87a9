"""A shop's own rows over the shipped ones: `reference/*.toml` of its folder, in the form of the shipped files.

An own row is known by its source as every row is; one that takes the id of a shipped row replaces it, and says so
wherever its value shows. Nothing is used where one of the files has a fault.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from rackwright.reference.read import Rows, read_rows, shipped
from rackwright.reference.rows import LoadRule, Row
from rackwright.trouble import Fault

__all__ = ["Texts", "over", "read_own"]

Texts = Mapping[str, tuple[str, bytes]]  # by name in the folder: the file as a person knows it, its bytes


def read_own(texts: Texts) -> tuple[Rows | None, list[Fault]]:
    """The shipped rows with those of the texts over them, or every fault of every text, each with its line."""
    tables: dict[str, dict[str, Row]] = {}
    faults: list[Fault] = []
    for _, (file, data) in sorted(texts.items()):
        read, found = read_rows(data, file, own=True)
        faults += found
        for kind, rows in (read.by_kind if read else {}).items():
            for row in rows.values():
                faults += _faults(row)
                before = tables.setdefault(kind, {}).setdefault(row.id, row)
                if before is not row and row.own is not None:
                    faults.append(Fault("RW107", row.own, f"{kind} row {row.id!r} stands in {before.own} as well",
                                        "keep one of them"))  # fmt: skip
    if not tables and not faults:
        return shipped(), []
    return (None, faults) if faults else (over(shipped(), Rows(tables)), [])


def over(ours: Rows, own: Rows) -> Rows:
    """Own rows over the shipped ones; each says which of these it replaces."""
    tables = {kind: dict(rows) for kind, rows in ours.by_kind.items()}
    for kind, rows in own.by_kind.items():
        for id, row in rows.items():
            before = tables.setdefault(kind, {}).get(id)
            tables[kind][id] = row if before is None else replace(row, replaces=before.known)
    return Rows(tables)


def _faults(row: Row) -> list[Fault]:
    """A rule must be named as the basis names it."""
    if not isinstance(row, LoadRule) or row.own is None or row.id.rpartition("@")[2] == row.amendment:
        return []
    return [Fault("RW106", replace(row.own, field=f"{row.own.field}.id"), f"{row.id!r} is no rule as amended",
                  'write the rule and its amendment, as "29.561(b)(3)@29-38"')]  # fmt: skip
