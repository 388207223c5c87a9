"""Sections that take minutes, in a report where they are asked for: payloads, and which measurement matters most.

Both prove the rack anew, many times over; what was not asked for is said to be absent, with the command that tells it.
What a report printed of them is kept among its results, and a dossier prints it again: it computes nothing of it anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from rackwright.design import Design
from rackwright.papers.table import Block, Section, Table, Text
from rackwright.work.papers.placard import placard_blocks
from rackwright.work.papers.report.issue import Issue
from rackwright.work.papers.reprint import PRINTED, TITLES, plain

__all__ = ["more_sections", "printed", "sensitivity_blocks"]


#: what each takes of a rack of some forty members on two cores, in words
COSTS = {"payloads": "minutes of both processors", "sensitivity": "some twenty seconds"}


def more_sections(issue: Issue) -> Iterator[Section]:
    for name, (title, option) in TITLES.items():
        cost = COSTS[name]
        absent = Text(
            f"Not asked for in this revision, since it takes {cost}. A revision holds it that is prepared with "
            f"`rackwright log report … more='{name}'`; `rackwright prove {option}` tells it without one."
        )
        yield Section(title, tuple(_blocks(name, issue.design)) if name in issue.more else (absent,))


def printed(issue: Issue) -> dict[str, Any]:
    """The blocks of what was asked for, as plain texts: part of the report's results."""
    asked = {
        name: [plain(block) for block in _blocks(name, issue.design)] for name in TITLES if name in issue.more
    }
    return {PRINTED: asked} if asked else {}


def _blocks(name: str, design: Design) -> Iterator[Block]:
    blocks: dict[str, Callable[[Design], Iterator[Block]]] = {
        "payloads": placard_blocks, "sensitivity": sensitivity_blocks,
    }  # fmt: skip
    return blocks[name](design)


def sensitivity_blocks(design: Design) -> Iterator[Block]:
    """Every kind of measurement, moved by one step on all pieces at once, the most important first."""
    found = design.sensitivities
    if not found:
        yield Text("There are no margins that a measurement could change.")
        return
    yield Table(
        "",
        ("measurement", "step", "worse if", "least M.S. loses", "one M.S. loses", "worse if", "that is"),
        tuple((one.what, one.unit, one.adverse, f"{one.least:.4f}", f"{one.loss:.4f}",
               one.margin_adverse if one.margin else "–", one.margin or "–") for one in found),
        align="lllrrli",
        widths=(2.6, 0.9, 0.8, 1.1, 1.1, 0.8, 2.6),
        note="Every piece of the rack deviates by the step, and everything is computed anew. The least margin is the "
        "whole rack's; the one named loses the largest share of the load that it bears. Film, bond and diagonals are "
        "measured and enter no margin.",
    )  # fmt: skip
