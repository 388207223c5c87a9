"""What tests show beside analysis, what tests would have to show, and the heat of the items."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.answers_items import heat_json
from rackwright.design import Design
from rackwright.papers.table import Block, Facts, Table, Text
from rackwright.rack.evidence import Evidence
from rackwright.strength.evidence import counted_load, covered, needed
from rackwright.work.papers.words import load, number

__all__ = ["heat_blocks", "test_blocks"]


def test_blocks(design: Design) -> Iterator[Block]:
    """Every test that the definition names, and the margins that only a test could give."""
    d, margins = design.rack.definition, design.strength.margins
    names = covered(design.rack, margins)
    if not d.evidence:
        yield Text("No test is named as evidence of strength: everything rests on analysis.")
    for test in d.evidence:
        yield Facts(tuple(_facts(test, names[test.name])), title=f"Test {test.name}")
    wanted = needed(margins)
    if wanted:
        yield Table(
            "What a test would have to show",
            ("margin", "case", "load with factor", "why there is no margin"),
            tuple(
                (one.margin.id, one.margin.case, _load(one.load, one.factor, one.unit), one.why)
                for one in wanted
            ),
            align="ilrl",
            widths=(3.4, 2, 1.4, 3),
            note="Held by a conforming article, metal at the specification's least strength, calibrated, reported.",
        )
    elif d.evidence:
        yield Text("No margin is missing for want of a value that a test could give.", "note")


def _load(value: float | None, factor: float, unit: str) -> str:
    return "–" if value is None else load(value * factor, unit)


def _facts(test: Evidence, margins: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    unit, held = ("N", test.force) if test.force is not None else ("N*m", test.moment)
    yield (
        "Article",
        f"{test.article} revision {test.article_revision}; {test.conformity or 'conformity not stated'}",
    )
    yield "Loading", test.direction
    yield "Result", f"{test.result} at {load(held, unit)}, by {test.by}; {test.report or 'no report'}"
    yield "Load", f"{test.gauge or 'gauge not stated'}; {test.calibration or 'calibration not stated'}"
    if test.metal_ratio is not None:
        yield (
            "Counts with",
            f"{load(counted_load(test), unit)}: times {number(test.metal_ratio, 3)} for its metal",
        )
    yield (
        "Fitting factor",
        test.simulates or "kept: the test is not said to simulate the actual stress conditions",
    )
    yield "Covers", f"{len(margins)} margins: {', '.join(test.covers)}"


def heat_blocks(design: Design) -> Iterator[Block]:
    """Heat added up; cooling is not claimed."""
    heat = heat_json(design.rack)
    if heat["items_W"] or heat["not_stated"]:
        gone = f"; not stated: {', '.join(heat['not_stated'])}" if heat["not_stated"] else ""
        yield Text(f"Heat of the items: {number(heat['total_W'], 0)} W in all{gone}. {heat['caution']}")
