"""What a report says of itself: number and revision, what it was made of, who prepared it, why it is only a draft.

A report is released only where nothing is open: no question, no missing or negative margin, no load case without
equilibrium, no reference row that nobody has compared with its source, no outside check that fails on this machine.
Each of these is a reason, in words, with the code of the gate that it holds shut. Nothing here releases anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from typing import Any

import numpy as np
import scipy

from rackwright import __version__
from rackwright.answers import prove_json
from rackwright.design import Design
from rackwright.rack import Question
from rackwright.reference import content_hash
from rackwright.reference.rows import Row
from rackwright.seal import canonical
from rackwright.strength.acceptance import Check, outside_checks
from rackwright.strength.margin import Margin
from rackwright.trouble import UNCONFIRMED
from rackwright.work.engineering.as_frozen import texts_only
from rackwright.work.engineering.rows_used import TEXT, rows_of, used_inputs, used_rows
from rackwright.work.papers.words import mark_of

__all__ = [
    "ASKED",
    "DRAFT",
    "MORE",
    "Confirmed",
    "Issue",
    "Reason",
    "row_hash",
]

ASKED = "more sections"  # the name of `more` among the inputs
MORE = ("payloads", "sensitivity")
DRAFT = "DRAFT"  # it has reasons against its release


@dataclass(frozen=True)
class Reason:
    """Why a report may not be released: the code of the gate, what was found, and of which row where of one."""

    code: str
    text: str
    row: str = ""


@dataclass(frozen=True)
class Confirmed:
    """A person compared a row with its source: the row's hash as it stood, who, with what, in which event."""

    row_hash: str
    by: str
    document: str
    seq: int


@dataclass(frozen=True, eq=False)
class Issue:
    """One revision of the report of one design.

    `texts` are the hashes of the definition's texts by name. `open` are questions asked in the record (id, words),
    beside those that the definition leaves. `before` holds the results of the revision before this one.
    """

    design: Design
    texts: Mapping[str, str]
    number: str = ""
    revision: str = ""
    of: str = ""  # the frozen revision; "" outside a record
    prepared_by: str = ""
    open: tuple[tuple[str, str], ...] = ()
    answered: tuple[tuple[str, str], ...] = ()  # id, and the answer with its document
    confirmed: Mapping[str, Confirmed] = field(default_factory=dict)  # by row id
    before: Mapping[str, Any] | None = None
    before_revision: str = ""
    demo: bool = False
    more: tuple[
        str, ...
    ] = ()  # of MORE: what takes minutes to compute, and is in a report where it is asked for

    @cached_property
    def inputs(self) -> dict[str, str]:
        """Everything that decides what the report says, by name; versions and hashes."""
        rows = {f"row {id}": f"compared: {one.row_hash}" for id, one in self.confirmed.items()}
        return {
            **{TEXT + name: digest for name, digest in self.texts.items()},
            **{f"question {id}": "open" for id, _ in self.open},
            **{f"question {id}": words for id, words in self.answered},
            **rows,
            **({ASKED: ", ".join(self.more)} if self.more else {}),
            **used_inputs(self.design),
            "reference rows": content_hash(),
            "program": f"rackwright {__version__}",
            "libraries": f"numpy {np.__version__}, scipy {scipy.__version__}",
        }

    @property
    def inputs_hash(self) -> str:
        """SHA-256, in hex, of the inputs."""
        return sha256(canonical(self.inputs)).hexdigest()

    @cached_property
    def checks(self) -> tuple[Check, ...]:
        """The outside checks, run now on this machine."""
        return tuple(outside_checks())

    @cached_property
    def results(self) -> dict[str, Any]:
        """What the next revision is compared with: inputs, changes of the definition, everything computed."""
        return {
            "format": "rackwright/report/1",
            "report": self.number,
            "revision": self.revision,
            "of": self.of,
            "inputs": self.inputs,
            "prove": texts_only(prove_json(self.design)),
        }

    @cached_property
    def left_open(self) -> tuple[Question, ...]:
        """Questions of the definition that the record has no answer to."""
        answers = dict(self.answered)
        return tuple(question for question in self.design.questions if question.id not in answers)

    @cached_property
    def unread(self) -> tuple[Row, ...]:
        """Rows used that are unconfirmed and that nobody has recorded as compared."""
        return tuple(row for _, row in used_rows(self.design) if row.unconfirmed and not self.read(row))

    def read(self, row: Row) -> bool:
        """Has a person compared this row, as it stands now, with its source?"""
        one = self.confirmed.get(row.id)
        return one is not None and one.row_hash == row_hash(row)

    def mark(self, margin: Margin) -> str:
        """As `mark_of`, with `U` only where nobody has compared the row."""
        doubtful = [row for row in rows_of(self.design, margin) if row.unconfirmed]
        compared = bool(doubtful) and all(self.read(row) for row in doubtful)
        return mark_of(margin).replace("U", "").strip() or " " if compared else mark_of(margin)

    @cached_property
    def reasons(self) -> tuple[Reason, ...]:
        """Everything that keeps this report from being released, in the order a reader would mend it."""
        return tuple(self._reasons())

    def _reasons(self) -> Iterator[Reason]:
        strength = self.design.strength
        for question in self.left_open:
            yield Reason("RW513", f"the definition leaves {question.id} open: {question.text}")
        for id, words in self.open:
            yield Reason("RW513", f"question {id} is open: {words}")
        for refusal in self.design.refusals():
            yield Reason(refusal.code, refusal.found)
        for row in self.unread:
            yield Reason(
                "RW531",
                f"row {row.id} is {UNCONFIRMED}: nobody recorded comparing it with its source",
                row.id,
            )
        lost = [
            margin.id for margin in strength.margins if "U" in self.mark(margin) and not self._named(margin)
        ]
        if lost:
            yield Reason(
                "RW531", f"{len(lost)} margins are {UNCONFIRMED} by a row that they do not name: {lost[0]}"
            )
        for check in self.checks:
            if not check.good:
                yield Reason("RW532", f"the outside check {check.source}, {check.place} gives {check.ours:.9g}, "
                                      f"not {check.theirs}")  # fmt: skip
        if not self.of:
            yield Reason("RW514", "it is printed from a file: a report is prepared of a frozen revision")

    def _named(self, margin: Margin) -> bool:
        return any(row.unconfirmed for row in rows_of(self.design, margin))


def row_hash(row: Row) -> str:
    """SHA-256, in hex, of everything a reference row holds."""
    return row.fingerprint
