"""What keeps a strength result from supporting a released report: every reason, in one list.

A rule or factor row without its amendment, or known from memory, cannot support a released report; nor can a case
without equilibrium, a margin that is missing or negative, an allowable from a row not yet compared with its source,
or an open question. The reason says which of these it is; whoever releases decides which of them he may.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rackwright.rack import Rack, open_questions
from rackwright.strength.analyse import Strength
from rackwright.strength.factors import rule_rows
from rackwright.trouble import UNCONFIRMED

__all__ = ["Kind", "Reason", "keeps_from_release"]

Kind = Literal["basis", "rule", "case", "margin", "allowable", "question"]


@dataclass(frozen=True)
class Reason:
    """One reason: its kind, the definition's path or the margin's id it is about, and words."""

    kind: Kind
    about: str
    text: str
    row: str = ""  # the rule or factor row that it is about


def keeps_from_release(rack: Rack, strength: Strength) -> tuple[Reason, ...]:
    """Every reason why this result cannot support a released report; none means that nothing here keeps it."""
    found: list[Reason] = []
    if rack.definition.basis is None or not strength.cases:
        found.append(Reason("basis", "basis", "no certification basis or orientation: there are no cases"))
    for path, row, unconfirmed in rule_rows(rack):
        if unconfirmed:
            text = f"{row} is {UNCONFIRMED}: from memory, or its amendment is not stated; compare it with the code"
            found.append(Reason("rule", path, text, row))
    found += [Reason("case", case, f"no equilibrium: {why}") for case, why in strength.loose]
    for margin in strength.margins:
        if margin.margin is None:
            found.append(Reason("margin", margin.id, f"missing: {margin.why_missing}"))
        elif margin.margin < 0:
            found.append(Reason("margin", margin.id, f"negative: {margin.margin:+.3f} in {margin.case}"))
    doubtful = {m.source for m in strength.margins if UNCONFIRMED in m.marks}
    found += [
        Reason("allowable", source, f"margins rest on it and it is {UNCONFIRMED}")
        for source in sorted(doubtful)
    ]
    for question in open_questions(rack):
        if "release" in question.blocks:
            found.append(Reason("question", question.id, question.text))
    return tuple(found)
