"""Open questions of the record that stand behind a paper: asked of its order or line, of its variation, or of all.

Never computing waits for them: the paper says PRELIMINARY, which question is open, and what is taken meanwhile.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rackwright.design import Design
from rackwright.papers.house import Head
from rackwright.papers.station_sheet import StationSheet, set_station_sheet
from rackwright.papers.table import Facts
from rackwright.record import Record, State
from rackwright.record.metal import SawPlan
from rackwright.record.office import Question
from rackwright.shop import Shop
from rackwright.trouble import PRELIMINARY
from rackwright.work.engineering.frozen import frozen
from rackwright.work.papers.words import DEMO, definition_hash

__all__ = ["asked_of", "asked_since", "open_of", "words_of"]


def open_of(state: State, order: str, variation: str, line: str = "") -> tuple[Question, ...]:
    return tuple(one for one in state.questions.values() if one.open and one.covers(order, variation, line))


def words_of(asked: Sequence[Question]) -> tuple[str, ...]:
    return tuple(
        f"{PRELIMINARY}: {one.question}{one.line and f' of line {one.line}'} is open, {one.text} "
        f"({one.told or 'nothing is taken meanwhile'})"
        for one in asked
    )


def asked_of(design: Design, state: State, order: str, line: str = "") -> Design:
    """The design with what the record asks of it for this order; the same where nothing is open."""
    asked = open_of(state, order, design.rack.definition.part, line)
    return replace(design, asked=words_of(asked)) if asked else design


def asked_since(record: Record, state: State, plan: SawPlan, shop: Shop, date: str) -> bytes:
    """The sheet that goes on top of a recorded saw sheet for what was asked after it was made, b"" for nothing: what is
    recorded is not set anew."""
    racks = state.racks(plan.order, plan.line)
    revision = racks[0].revision if racks else ""
    variation = state.revisions[revision].variation if revision else ""
    since = [one for one in open_of(state, plan.order, variation, plan.line) if one.seq > plan.seq]
    if not since or not revision:
        return b""
    design = frozen(record, revision, state).design
    marks = (*((DEMO,) if state.demo else ()), PRELIMINARY)
    head = Head(shop.name, "Open questions", plan.plan, design.rack.definition.revision, date, definition_hash(design),
                marks, notes=words_of(since))  # fmt: skip
    rows = tuple(
        (
            one.question,
            f"{one.text} Answered by {one.owner}{one.due and f', due {one.due}'}; event {one.seq}.",
        )
        for one in since
    )
    return set_station_sheet(
        StationSheet(head, Facts((("Goes on top of", f"saw sheet {plan.plan}"), *rows)), ())
    )
