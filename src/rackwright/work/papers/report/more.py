"""Sections that take minutes, in a report where they are asked for: payloads, and which measurement matters most.

Both prove the rack anew, many times over; what was not asked for is said to be absent, with the command that tells it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.design import Design
from rackwright.papers.table import Block, Section, Table, Text
from rackwright.work.papers.placard import placard_blocks
from rackwright.work.papers.report.issue import Issue

__all__ = ["more_sections", "sensitivity_blocks"]


def more_sections(issue: Issue) -> Iterator[Section]:
    design, more = issue.design, issue.more
    absent = "Not asked for in this revision; `rackwright prove {0}` tells it."
    yield Section(
        "What the rack may carry",
        tuple(placard_blocks(design)) if "payloads" in more else (Text(absent.format("--envelope")),),
    )
    yield Section(
        "Which measurement matters most",
        tuple(sensitivity_blocks(design))
        if "sensitivity" in more
        else (Text(absent.format("--sensitivity")),),
    )


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
