"""What a history of events comes to, as frozen data: the nouns that `work` asks about.

Everything names the event (`seq`) it comes from. Lengths in whole nanometres; other quantities as the
text recorded. `projections.project` makes a State; nothing else does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from rackwright.record.indexed import Indexed, Key
from rackwright.record.metal import Inside, Piece, PieceTable, SawPlan, Stock, StockTable, TestBend
from rackwright.record.office import (
    FIRST,
    Action,
    Clause,
    Evidence,
    FirstArticle,
    HoldPoint,
    Hours,
    Installed,
    Invoice,
    Order,
    Owed,
    Question,
    Quote,
    Recall,
    RedLine,
    Review,
)
from rackwright.record.service import Carried, Service, Unseen
from rackwright.seal import Handover, Head

__all__ = [
    "Absence",
    "Approval",
    "Gauge",
    "Hold",
    "Inside",
    "Measurement",
    "Nonconformance",
    "Order",
    "Person",
    "Piece",
    "PieceTable",
    "Question",
    "RedLine",
    "Report",
    "Revision",
    "RowConfirmed",
    "SawPlan",
    "Serial",
    "SerialTable",
    "State",
    "Stock",
    "StockTable",
    "Supplier",
    "TestBend",
]


@dataclass(frozen=True)
class Absence:
    """A machine, person or supplier that is not there from `first` to `last`, both included."""

    what: str
    first: str
    last: str
    reason: str
    by: str
    seq: int


@dataclass(frozen=True)
class Person:
    person: str
    roles: tuple[str, ...]
    active: bool
    until: str  # date the credential ends, "" none stated
    seq: int
    credential: str = ""
    scopes: tuple[str, ...] = ()  # the operations it covers, () all of the roles
    secrets: Mapping[str, str] = field(default_factory=dict)  # pin, password, code -> hash of its verifier
    code_until: str = ""  # last day of the one-time code
    wrong: int = 0  # wrong PINs and passwords since the last right one
    wrong_at: str = ""  # time of the last
    number: str = ""  # the shop's own of this person, "" none stated
    since: str = ""  # the day from which they are of the shop, "" not kept
    every_act: bool = False  # do the scopes bound every act, or only those that an older program asked?

    @property
    def lead(self) -> bool:
        return "lead" in self.roles

    @property
    def signs(self) -> bool:
        """Is there a PIN or password of their own?"""
        return "pin" in self.secrets or "password" in self.secrets


@dataclass(frozen=True)
class Gauge:
    gauge: str
    kind: str
    due: str  # date
    state: str  # in_use, withdrawn, bad
    uncertainty: str
    bad_since: str  # date since when it is in doubt, "" if never found bad
    seq: int
    calibrated: str = ""  # the day on which its calibration was recorded last


@dataclass(frozen=True)
class Supplier:
    supplier: str
    scope: tuple[str, ...]
    until: str
    seq: int


@dataclass(frozen=True)
class Approval:
    """Where an approval is documented: a reference given by a person, never an approval made here."""

    reference: str
    holder: str
    document: str
    date: str
    by: str
    seq: int


@dataclass(frozen=True)
class Revision:
    revision: str
    order: str
    variation: str
    drawing: str
    texts: Mapping[str, str]  # name -> SHA-256 of the frozen file
    design_hash: str
    values: Mapping[str, Any]
    seq: int
    approvals: tuple[Approval, ...] = ()
    at_risk_by: str = ""  # the person who lets work go on without a reference
    at_risk_reason: str = ""
    without_report_by: str = ""  # the person who lets racks leave without a released strength report
    without_report_reason: str = ""
    without_report_document: str = ""
    without_report_seq: int = 0


@dataclass(frozen=True)
class Report:
    """One revision of a strength report. Signatures are of these very bytes: they never pass to another revision."""

    report: str
    revision: str
    of: str  # the frozen revision
    inputs: str  # SHA-256 of everything that decides what it says
    file: str  # SHA-256 of its bytes, kept beside the record
    results: str  # SHA-256 of its results, kept likewise
    reasons: tuple[tuple[str, str], ...]  # code and words of what keeps it from release
    prepared_by: str
    at: str
    seq: int
    checked_by: str = ""
    checked_seq: int = 0
    released_by: str = ""
    released_seq: int = 0

    @property
    def name(self) -> str:
        return f"{self.report} revision {self.revision}"


@dataclass(frozen=True)
class RowConfirmed:
    """Who compared a reference row, as it stood then, with its source, and in which document."""

    row: str
    row_hash: str
    document: str
    by: str
    seq: int


@dataclass(frozen=True)
class Measurement:
    piece: str
    serial: str
    characteristic: str
    value: str
    nominal: str
    lower: str
    upper: str
    within: bool
    gauge: str
    gauge_due: str  # calibration due date as known then
    by: str
    at: str
    seq: int
    r: str = (
        "0"  # the decision rule of then, with the limits it made of these; "" where these themselves decided
    )
    accept_lower: str = ""
    accept_upper: str = ""
    undecided: bool = False  # within the limits, but not by the guard band


@dataclass(frozen=True)
class Serial:
    serial: str
    order: str
    revision: str
    #: planned, released, shipped; back: in the shop's hands again, not to leave before it may; cancelled: its line is
    #: no longer to be made, or not with it; scrapped
    state: str
    pieces: tuple[str, ...]
    lots: tuple[str, ...]
    seq: int
    released_seq: int = 0
    weighed: bool | None = None  # within tolerance of the computed mass, None = not weighed
    weighing: Mapping[str, Any] = field(default_factory=dict)  # the last: readings by pad, gauge, its event
    joints: Mapping[str, Any] = field(default_factory=dict)  # bolt id -> lot, wrench, torque, person
    margins: tuple[Mapping[str, Any], ...] = ()  # as stored at release
    points: Mapping[str, Any] = field(default_factory=dict)  # name -> three texts, as last measured
    points_seq: int = 0
    shipped_to: str = ""
    line: str = FIRST  # of its order


class SerialTable(Indexed[Serial]):
    """Found by order."""

    row = Serial

    @staticmethod
    def borne(rack: Serial) -> Iterator[Key]:
        yield "order", rack.order


@dataclass(frozen=True)
class Hold:
    hold: str
    reason: str
    by: str
    pieces: tuple[str, ...]
    serials: tuple[str, ...]
    stock_ids: tuple[str, ...]
    heats: tuple[str, ...]
    seq: int
    lifted_seq: int = 0

    @property
    def open(self) -> bool:
        return not self.lifted_seq


@dataclass(frozen=True)
class Nonconformance:
    nonconformance: str
    text: str
    pieces: tuple[str, ...]
    serials: tuple[str, ...]
    stock_ids: tuple[str, ...]
    seq: int
    characteristic: str = ""
    decision: str = ""
    reason: str = ""
    document: str = ""
    decided_by: str = ""
    decided_seq: int = 0
    cause: str = ""  # named at the decision

    @property
    def open(self) -> bool:
        return not self.decided_seq


@dataclass(frozen=True)
class State:
    """All of it, by id. `odd` lists what does not fit what came before: (seq, words), empty in a sound shop."""

    shop: str = ""
    demo: bool = False
    key_id: str = ""  # of the key that the shop signs with
    signatures: bool = False  # every act is to be signed
    persons: Mapping[str, Person] = field(default_factory=dict)
    gauges: Mapping[str, Gauge] = field(default_factory=dict)
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)
    orders: Mapping[str, Order] = field(default_factory=dict)
    questions: Mapping[str, Question] = field(default_factory=dict)
    revisions: Mapping[str, Revision] = field(default_factory=dict)
    reports: Mapping[str, tuple[Report, ...]] = field(
        default_factory=dict
    )  # by number, oldest revision first
    confirmed: Mapping[str, RowConfirmed] = field(default_factory=dict)  # by row
    stock: StockTable = field(default_factory=StockTable)
    test_bends: Mapping[str, TestBend] = field(default_factory=dict)  # in the order they were made
    saw_plans: Mapping[str, tuple[SawPlan, ...]] = field(default_factory=dict)  # by order, oldest first
    pieces: PieceTable = field(default_factory=PieceTable)
    serials: SerialTable = field(default_factory=SerialTable)
    holds: Mapping[str, Hold] = field(default_factory=dict)
    nonconformances: Mapping[str, Nonconformance] = field(default_factory=dict)
    red_lines: Mapping[str, RedLine] = field(default_factory=dict)
    hold_points: Mapping[str, Mapping[str, HoldPoint]] = field(
        default_factory=dict
    )  # by piece or serial, then by point: the sign-offs that stand
    quotes: Mapping[str, tuple[Quote, ...]] = field(default_factory=dict)  # by number, oldest revision first
    clauses: Mapping[str, Mapping[str, Clause]] = field(default_factory=dict)  # by order, then by clause
    reviews: Mapping[str, Review] = field(default_factory=dict)  # by order, the newest
    owed: Mapping[str, Mapping[str, Owed]] = field(default_factory=dict)  # by order or revision, then by name
    evidence: Mapping[str, tuple[Evidence, ...]] = field(default_factory=dict)  # by name, oldest first
    hours: tuple[Hours, ...] = ()
    invoices: tuple[Invoice, ...] = ()
    actions: Mapping[str, Action] = field(default_factory=dict)
    first_articles: Mapping[str, FirstArticle] = field(default_factory=dict)  # by serial
    installed: Mapping[str, Installed] = field(default_factory=dict)  # by serial, the newest
    recalls: Mapping[str, Recall] = field(default_factory=dict)
    service: Mapping[str, Service] = field(default_factory=dict)  # by serial, once released
    carried: Mapping[str, Mapping[str, Carried]] = field(default_factory=dict)  # by serial, then by item
    unseen: Mapping[str, Unseen] = field(default_factory=dict)  # scrap that awaits its witness, by its event
    measurements: tuple[Measurement, ...] = ()
    absences: tuple[Absence, ...] = ()
    handovers: tuple[Handover, ...] = ()  # of the shop's keys, oldest first
    heads: tuple[tuple[Head, str], ...] = ()  # heads that left the building, and on what
    odd: tuple[tuple[int, str], ...] = ()
    latest: str = ""  # the latest time of anything done, refusals apart, since the clock was last vouched for

    def report_of(self, revision: str) -> Report | None:
        """The newest report that was prepared of a frozen revision."""
        found = [each for every in self.reports.values() for each in every if each.of == revision]
        return max(found, key=lambda each: each.seq, default=None)

    def measured(self, piece: str) -> tuple[Measurement, ...]:
        """All measurements of a piece or serial, in order of time."""
        return tuple(each for each in self.measurements if piece in (each.piece, each.serial))

    def held(
        self, *, piece: str = "", serial: str = "", stock_id: str = "", heat: str = ""
    ) -> tuple[Hold, ...]:
        """The open holds on any of these."""
        return tuple(
            hold for hold in self.holds.values()
            if hold.open and (piece in hold.pieces or serial in hold.serials
                              or stock_id in hold.stock_ids or heat in hold.heats)
        )  # fmt: skip

    def blocking(
        self, what: str, *, order: str = "", variation: str = "", line: str = ""
    ) -> tuple[Question, ...]:
        """Open questions that block `what` (quote, sign_out, release) of this order, line or variation.

        A question that names none of them blocks everything.
        """
        return tuple(
            each for each in self.questions.values()
            if each.open and what in each.blocks and each.covers(order, variation, line)
        )  # fmt: skip

    def answered(self, field: str, order: str, variation: str, line: str = "") -> bool:
        """Is the open question of a definition answered for such racks? Under the name itself an older program took the
        answer of any order."""
        return any(
            not one.open and (not one.scoped or one.covers(order, variation, line))
            for one in self.questions.values()
            if field in (one.question, one.field)
        )

    def lines_of(self, racks: Iterable[str]) -> list[str]:
        """The lines that racks (serials, or their pieces) are of, once each; "" where none is known."""
        known = [self.serials.get(name.partition("/")[0]) for name in racks]
        return list(dict.fromkeys(rack.line for rack in known if rack)) or [""]

    def racks(self, order: str, line: str = "") -> tuple[Serial, ...]:
        """The racks of an order, or of one line of it, that are to be made or are made, as they were numbered."""
        named = (self.serials[name] for name in self.serials.ids("order", order))
        return tuple(
            one for one in named if one.state not in ("cancelled", "scrapped") and line in ("", one.line)
        )
