"""What the office knows of an order and of what went wrong, as frozen data: questions, quotes, clauses, actions.

Like `state.py`: everything names the event (`seq`) it comes from; amounts and hours are the text recorded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = [
    "Action", "Clause", "FirstArticle", "Hours", "Installed", "Invoice", "Order", "Question", "Quote", "Recall",
    "RedLine", "Review",
]  # fmt: skip


@dataclass(frozen=True)
class Order:
    order: str
    customer: str
    variation: str
    quantity: int
    due: str
    serials: tuple[str, ...]
    seq: int
    weight: int = 1  # how much a day late counts beside other orders
    aircraft_serials: tuple[str, ...] = ()
    document: str = ""  # of the customer


@dataclass(frozen=True)
class Question:
    question: str
    text: str
    owner: str
    due: str
    blocks: tuple[str, ...]  # quote, sign_out, release
    order: str
    variation: str
    seq: int
    answer: str = ""
    document: str = ""
    answered_seq: int = 0
    addressee: str = ""  # who is asked, where it is not the owner

    @property
    def open(self) -> bool:
        return not self.answered_seq


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
