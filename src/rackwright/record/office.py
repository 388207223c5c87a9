"""What the office knows of an order and of what went wrong, as frozen data: questions, quotes, clauses, actions.

Like `state.py`: everything names the event (`seq`) it comes from; amounts and hours are the text recorded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = [
    "FIRST", "Action", "Answer", "Clause", "Evidence", "FirstArticle", "HoldPoint", "Hours", "Installed", "Invoice",
    "Line", "Order", "Owed", "Question", "Quote", "Recall", "RedLine", "Review",
]  # fmt: skip

FIRST = "1"  # the line that an order begins with


@dataclass(frozen=True)
class Line:
    """Racks of one variation in an order, as the customer's document says now; a line withdrawn is no longer made."""

    line: str
    variation: str
    quantity: int
    due: str
    seq: int  # of the event that it stands by
    aircraft_serials: tuple[str, ...] = ()
    document: str = ""  # of the customer
    price: str = ""  # of the line, as that document says
    withdrawn: bool = False
    reason: str = ""  # of its last amendment


@dataclass(frozen=True)
class Order:
    """A customer's order: its lines by their names, in the order in which they came."""

    order: str
    customer: str
    seq: int
    lines: Mapping[str, Line]
    weight: int = 1  # how much a day late counts beside other orders
    document: str = ""  # of the customer

    @property
    def standing(self) -> tuple[Line, ...]:
        """The lines that are to be made."""
        return tuple(line for line in self.lines.values() if not line.withdrawn)

    @property
    def quantity(self) -> int:
        return sum(line.quantity for line in self.standing)

    @property
    def due(self) -> str:
        """The first day on which something of it is due, "" where none is set."""
        return min((line.due for line in self.standing if line.due), default="")

    @property
    def amended_seq(self) -> int:
        """The last event by which a line came, changed or went, 0 while it stands as it was ordered."""
        return max((line.seq for line in self.lines.values() if line.seq != self.seq), default=0)

    def named(self, line: str) -> str:
        """A line of it in words: its own name alone where it has no other."""
        return f"{self.order} line {line}" if len(self.lines) > 1 else self.order


@dataclass(frozen=True)
class Answer:
    """One answer to a question; each later one says why it was given."""

    answer: str
    document: str
    by: str
    at: str
    seq: int
    reason: str = ""


@dataclass(frozen=True)
class Question:
    """What must be known, and every answer that was given, in their order: the last one holds."""

    question: str
    text: str
    owner: str
    due: str
    blocks: tuple[str, ...]  # quote, sign_out, release
    order: str
    variation: str
    seq: int
    answers: tuple[Answer, ...] = ()
    addressee: str = ""  # who is asked, where it is not the owner
    line: str = ""  # of the order, "" all of them
    field: str = ""  # the open question of a definition that it asks, where its name is another
    assumed: str = ""  # what results take meanwhile
    scoped: bool = (
        False  # it blocks at every gate what it names, and no more; an older one only what gates then asked
    )

    @property
    def open(self) -> bool:
        return not self.answers

    @property
    def told(self) -> str:
        """The answer with its document; where there are several all of them, each with who gave it when and why; while
        it is open what is taken meanwhile."""
        if self.open:
            return f"taken meanwhile: {self.assumed}" if self.assumed else ""
        if len(self.answers) < 2:
            return "".join(f"{one.answer}; {one.document}" for one in self.answers)
        return " ".join(
            f"({n}) {one.answer.rstrip('.')}; {one.document} "
            f"({one.by}, {one.at[:10]}{one.reason and ': '}{one.reason})."
            for n, one in enumerate(self.answers, start=1)
        )

    def covers(self, order: str, variation: str, line: str = "") -> bool:
        """Is it asked of this line of an order, of a rack of this variation? `line` "": of any of its lines."""
        lines = ("", line) if line else ("", self.line)
        return self.order in ("", order) and self.variation in ("", variation) and self.line in lines


@dataclass(frozen=True)
class Quote:
    """One revision of a quote: the price, the band round it, and the hours and costs that it was made of."""

    quote: str
    revision: str
    order: str  # "" until one came of it
    customer: str
    price: str  # amount and currency
    low: str  # "" where no band was given
    high: str
    until: str  # date, "" without an end
    agreed: bool
    racks: int
    hours: Mapping[str, str]  # operation -> hours
    costs: Mapping[str, str]  # kind of line -> amount
    by: str
    seq: int
    agreed_seq: int = 0
    lines: tuple[tuple[str, int], ...] = ()  # variation and racks; () where an older program did not say


@dataclass(frozen=True)
class Clause:
    """A clause of an order, who meets it, and the evidence that they did ("" while there is none)."""

    order: str
    clause: str
    text: str
    met_by: str
    document: str
    before: str  # sign_out, release, ship, or "": what waits for its evidence
    withdrawn: bool
    seq: int
    evidence: str = ""
    met_seq: int = 0

    @property
    def open(self) -> bool:
        return not self.withdrawn and not self.met_seq


@dataclass(frozen=True)
class Review:
    """Who compared an order with what the shop can do, in which document, with which clauses and agreed quote."""

    order: str
    document: str
    clauses: tuple[str, ...]
    quote: str
    quote_revision: str
    remarks: str
    by: str
    at: str
    seq: int
    lines: tuple[str, ...] = ()  # of the order, as it stood


@dataclass(frozen=True)
class Hours:
    order: str
    operation: str
    hours: str
    serials: tuple[str, ...]
    by: str
    seq: int


@dataclass(frozen=True)
class Invoice:
    order: str
    kind: str  # material, hardware, outside
    amount: str
    document: str
    supplier: str
    seq: int


@dataclass(frozen=True)
class Action:
    """A corrective action: `state` open, done (and not looked at yet), effective, or open again."""

    action: str
    cause: str
    text: str
    owner: str
    due: str
    nonconformances: tuple[str, ...]
    seq: int
    state: str = "open"
    done_by: str = ""
    done_seq: int = 0
    verified_by: str = ""
    verified_seq: int = 0
    found: str = ""


@dataclass(frozen=True)
class RedLine:
    """A change of a drawing or definition after work began. `steps` and `readings` are what is still to be done and
    measured anew: (piece or serial, name of the step or characteristic)."""

    red_line: str
    revision: str
    text: str
    document: str
    decided_by: str
    pieces: tuple[str, ...]
    serials: tuple[str, ...]
    steps: tuple[tuple[str, str], ...]
    readings: tuple[tuple[str, str], ...]
    by: str
    seq: int
    lifted_by: str = ""
    lifted_seq: int = 0
    reason: str = ""  # why it was lifted

    @property
    def left(self) -> tuple[tuple[str, str], ...]:
        """What is still to be done anew; nothing once it is lifted."""
        return () if self.lifted_seq else (*self.steps, *self.readings)


@dataclass(frozen=True)
class HoldPoint:
    """A hold point of a piece or rack as signed off, and the steps of it that were done by then."""

    point: str
    by: str
    at: str
    seq: int
    after: tuple[str, ...]
    remarks: str = ""


@dataclass(frozen=True)
class Owed:
    """Evidence that a release needs: what is asked, on which document, of `each` revision, lot or serial.

    `of`: stock specifications, or pieces as the definition names them. What the record holds anyway may stand for it:
    a `process` on these pieces, a `reading` of the rack, or what the definition itself has `stated`.
    """

    evidence: str
    kind: str
    text: str
    document: str
    each: str
    by: str  # "" where the frozen definition asks it
    seq: int
    of: tuple[str, ...] = ()
    process: str = ""
    reading: str = ""
    stated: str = ""
    not_owed: str = ""  # why, as the lead said


@dataclass(frozen=True)
class Evidence:
    """A document that stands for what is owed, and what it covers: one of revision, lots, serials."""

    evidence: str
    document: str
    date: str
    tested_by: str
    passed: bool
    found: str
    file: str  # SHA-256 of its paper, kept beside the record
    revision: str
    lots: tuple[str, ...]
    serials: tuple[str, ...]
    by: str
    seq: int


@dataclass(frozen=True)
class FirstArticle:
    serial: str
    kind: str  # full, partial
    field_list: str
    reason: str
    baseline: str
    by: str
    seq: int


@dataclass(frozen=True)
class Installed:
    """In which aircraft a rack is, as its customer said last."""

    aircraft: str
    document: str
    day: str
    seq: int


@dataclass(frozen=True)
class Recall:
    recall: str
    kind: str
    about: str
    reason: str
    serials: tuple[str, ...]
    letters: tuple[tuple[str, str], ...]  # to whom, SHA-256 of the letter
    by: str
    at: str
    seq: int
