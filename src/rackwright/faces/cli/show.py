"""How the commands write to people: tables, lengths of the record, one line of foreign text."""

from __future__ import annotations

from collections.abc import Sequence

import click

__all__ = ["day_of", "inches", "one_line", "table"]

_NM_PER_INCH = 25_400_000


def table(heads: str, rows: Sequence[Sequence[str]], indent: str = "  ") -> None:
    """Print columns as wide as their longest cell, empty ones left out; nothing without rows.

    `heads` are words with `_` for a blank, each ending in `<` or `>`: aligned to the left or right.
    """
    names = [(head[:-1].replace("_", " "), head[-1]) for head in heads.split()]
    kept = [i for i in range(len(names)) if any(row[i] for row in rows)]
    wide = {i: max(len(names[i][0]), *(len(row[i]) for row in rows)) for i in kept}
    for row in [[name for name, _ in names], *rows] if rows else []:
        click.echo((indent + "  ".join(f"{row[i]:{names[i][1]}{wide[i]}}" for i in kept)).rstrip())


def day_of(option: str, day: str | None) -> str:
    """A day as given, or today in UTC. Raises a usage error naming the option."""
    import datetime

    from rackwright.work.station import now

    if day is None:
        return now()[:10]
    try:
        return datetime.date.fromisoformat(day).isoformat()
    except ValueError:
        raise click.UsageError(f"{option} {day!r} is not a date as in 2026-03-02.") from None


def inches(nm: int) -> str:
    """A length of the record in inches; its whole nanometres stand in the JSON."""
    return f"{nm / _NM_PER_INCH:.4f} in"


def one_line(text: str) -> str:
    """Text from a file or a record as one printable line: no control character reaches the terminal."""
    return "".join(c if c.isprintable() else "?" for c in text)
