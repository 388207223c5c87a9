"""Sections that a strength report printed, kept as plain texts among its results, and printed again by a dossier.

They take minutes to compute (payloads, which measurement matters most): a dossier computes nothing of them anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import Any

from rackwright.papers.table import Block, Facts, Items, Section, Table, Text

__all__ = ["PRINTED", "TITLES", "plain", "reprinted_sections"]

PRINTED = "printed"  # the name of these sections' blocks among a report's results
#: section -> title, and the option of `rackwright prove` that tells it
TITLES = {
    "payloads": ("What the rack may carry", "--envelope"),
    "sensitivity": ("Which measurement matters most", "--sensitivity"),
}


def reprinted_sections(results: Mapping[str, Any], report: str) -> Iterator[Section]:
    """The sections as the report of this name printed them; "" where no report stands behind the rack."""
    for name, (title, option) in TITLES.items():
        blocks = results.get(PRINTED, {}).get(name)
        if blocks is None:
            where = (
                f"The strength report {report} does not hold it"
                if report
                else "No strength report is recorded"
            )
            yield Section(title, (Text(f"{where}; `rackwright prove {option}` tells it."),))
        else:
            said = Text(f"As the strength report {report} printed it, of the rack as frozen.", "note")
            yield Section(title, (said, *map(_block, blocks)))


def plain(block: Block) -> dict[str, Any]:
    texts = asdict(block)
    return {"block": type(block).__name__, **texts} | (
        {"widths": [f"{width:g}" for width in block.widths]} if isinstance(block, Table) else {}
    )


def _block(texts: Mapping[str, Any]) -> Block:
    """Raises ValueError, KeyError where the results are none of ours; their hash says that they are."""
    fields = {name: value for name, value in texts.items() if name != "block"}
    match texts["block"]:
        case "Text":
            return Text(**fields)
        case "Items":
            return Items(tuple(fields["items"]))
        case "Facts":
            return Facts(_rows(fields["rows"]), fields["title"])  # type: ignore[arg-type]
    widths = tuple(map(float, fields["widths"]))
    return Table(
        **fields | {"columns": tuple(fields["columns"]), "rows": _rows(fields["rows"]), "widths": widths}
    )


def _rows(rows: list[list[str]]) -> tuple[tuple[str, ...], ...]:
    return tuple(map(tuple, rows))
