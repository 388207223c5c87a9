"""Comma-separated rows with their lines: what an instrument writes out.

Language: RFC 4180 without line breaks inside a cell; lines that start with # are remarks. The first row that is left
is the heading.
"""

from __future__ import annotations

import csv

from rackwright.located.document import decode
from rackwright.trouble import Fault, Where

__all__ = ["MOST_LINES", "Row", "read_table"]

MOST_LINES = 200_000
Row = tuple[int, tuple[str, ...]]  # line, cells


def read_table(data: bytes, file: str, code: str) -> tuple[list[Row], list[Fault]]:
    """Heading and the rows as wide as it, and every fault (RW003 to RW005, and `code` for a row of another width)."""
    text, faults = decode(data, file)
    if faults:
        return [], faults
    lines = [
        (n, line)
        for n, line in enumerate(text.splitlines(), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not lines:
        return [], [Fault("RW004", Where(file), "no readings", "export what the instrument recorded")]
    if len(lines) > MOST_LINES:
        return [], [Fault("RW005", Where(file), f"{len(lines)} lines", "record more seldom; split the file")]
    rows = [(n, tuple(cell.strip() for cell in next(csv.reader([line])))) for n, line in lines]
    heading, width = rows[0][1], len(rows[0][1])
    for mark, name in ((";", "semicolons"), ("\t", "tabs")):
        if width == 1 and mark in heading[0]:
            do = "export it with commas between the columns and points in the numbers"
            return [], [Fault(code, Where(file, rows[0][0]), f"the columns are parted by {name}", do)]
    wrong = {n: len(cells) for n, cells in rows if len(cells) != width}
    if len(set(wrong.values())) == 1 and len(wrong) > 1:  # one cause, told once
        (first, *more), wide = wrong, next(iter(wrong.values()))
        found = f"{wide} values in {width} columns, and so in {len(more)} more lines"
        do = (
            "decimal commas? export numbers with points"
            if wide == 2 * width - 1
            else "mend the heading or the lines"
        )
        faults = [Fault(code, Where(file, first), found, do)]
    else:
        do = "give every column in every line"
        faults = [
            Fault(code, Where(file, n), f"{wide} values in {width} columns", do) for n, wide in wrong.items()
        ]
    return [row for row in rows if len(row[1]) == width], faults[:50]
