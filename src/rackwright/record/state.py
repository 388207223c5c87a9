"""What a history of events comes to, as frozen data: the nouns that `work` asks about.

Everything names the event (`seq`) it comes from. Lengths in whole nanometres; other quantities as the
text recorded. `projections.project` makes a State; nothing else does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from rackwright.record.office import (
    Action,
    Clause,
    FirstArticle,
    Hours,
    Installed,
    Invoice,
    Order,
    Question,
    Quote,
    Recall,
    Review,
)
from rackwright.record.outline import Corners
from rackwright.seal import Head

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
    "Question",
    "Report",
    "Revision",
    "RowConfirmed",
    "SawPlan",
    "Serial",
    "State",
    "Stock",
    "Supplier",
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
class SawPlan:
    """A numbered plan of what is still to be sawn of an order; the newest one holds."""

    plan: str
    order: str
    file: str  # SHA-256 of the plan, kept beside the record
    sheet: str  # SHA-256 of its sheet, kept likewise
    inputs: str  # SHA-256 of what it was made from
    by: str
    seq: int


@dataclass(frozen=True)
class RowConfirmed:
    """Who compared a reference row, as it stood then, with its source, and in which document."""

    row: str
    row_hash: str
    document: str
    by: str
    seq: int


@dataclass(frozen=True)
class Inside:
    """The inside of a tube: widths across flats at its ends and the corner's radius, with the gauge's uncertainty."""

    widths_nm: tuple[int, ...]
    corner_nm: int
    gauge: str
    uncertainty_nm: int
    by: str
    seq: int


@dataclass(frozen=True)
class Stock:
    """A bar, plate, lot or remnant. `length_nm` is what is left of it; of a plate `area_nm2`, of a lot `quantity`."""

    stock_id: str
    form: str
    section: str
    stock_spec: str
    heat: str
    lot: str
    received_nm: int
    length_nm: int
    uncertainty_nm: int
    quantity: int
    state: str  # received, quarantined, accepted, issued, sent_out, cut, scrapped
    certificate: Mapping[str, Any] | None
    place: str
    label: str
    parent: str  # the bar it is a remnant of
    seq: int
    job: str = ""  # issued to
    revision: str = ""
    planned: tuple[str, ...] = ()  # the pieces it was issued for
    reason: str = ""  # of quarantine or scrap
    counted_nm: int | None = None  # what a person last measured
    drawn: Mapping[str, int] = field(
        default_factory=dict
    )  # job -> how many of a lot are out, made into no piece
    measured: Mapping[str, Any] = field(default_factory=dict)
    outline: Corners = ()  # of a plate, from its low corner, the rolling direction along x
    area_nm2: int = 0
    insides: tuple[Inside, ...] = ()  # of a tube, the last one holds; a remnant has those of its bar


@dataclass(frozen=True)
class Piece:
    """A piece and where its metal comes from; it never loses its heat (or lot)."""

    piece: str
    stock_id: str
    heat: str
    lot: str
    serial: str
    job: str
    revision: str
    length_nm: int
    state: str  # made, sent_out, assembled, scrapped, replaced
    makers: tuple[str, ...]  # everyone who cut, milled, bent, drilled, coated or assembled it
    seq: int
    reason: str = ""
    done: tuple[str, ...] = ()  # steps recorded on it, in order
    outside_lots: tuple[str, ...] = ()  # lots in which suppliers worked on it
    at_supplier: str = ""  # whom it was sent to last, for which process and when; "" when it is back
    for_process: str = ""
    sent_at: str = ""
    area_nm2: int = 0  # of a blank cut from a plate


@dataclass(frozen=True)
class TestBend:
    """A measured test bend: its file by SHA-256, and what was cut before it and not bent."""

    bend: str
    heat: str
    file: str
    K: str
    cracked: bool
    cut: tuple[str, ...]
    by: str
    at: str
    seq: int

    __test__ = False  # not a test, though it is named so


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


@dataclass(frozen=True)
class Serial:
    serial: str
    order: str
    revision: str
    state: str  # planned, released, shipped
    pieces: tuple[str, ...]
    lots: tuple[str, ...]
    seq: int
    released_seq: int = 0
    weighed: bool | None = None  # within tolerance of the computed mass, None = not weighed
    joints: Mapping[str, Any] = field(default_factory=dict)  # bolt id -> lot, wrench, torque, person
    margins: tuple[Mapping[str, Any], ...] = ()  # as stored at release
    points: Mapping[str, Any] = field(default_factory=dict)  # name -> three texts, as last measured
    points_seq: int = 0
    shipped_to: str = ""


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
    key_id: str = ""  # of the key that the shop was founded with
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
    stock: Mapping[str, Stock] = field(default_factory=dict)
    test_bends: Mapping[str, TestBend] = field(default_factory=dict)  # in the order they were made
    saw_plans: Mapping[str, tuple[SawPlan, ...]] = field(default_factory=dict)  # by order, oldest first
    pieces: Mapping[str, Piece] = field(default_factory=dict)
    serials: Mapping[str, Serial] = field(default_factory=dict)
    holds: Mapping[str, Hold] = field(default_factory=dict)
    nonconformances: Mapping[str, Nonconformance] = field(default_factory=dict)
    quotes: Mapping[str, tuple[Quote, ...]] = field(default_factory=dict)  # by number, oldest revision first
    clauses: Mapping[str, Mapping[str, Clause]] = field(default_factory=dict)  # by order, then by clause
    reviews: Mapping[str, Review] = field(default_factory=dict)  # by order, the newest
    hours: tuple[Hours, ...] = ()
    invoices: tuple[Invoice, ...] = ()
    actions: Mapping[str, Action] = field(default_factory=dict)
    first_articles: Mapping[str, FirstArticle] = field(default_factory=dict)  # by serial
    installed: Mapping[str, Installed] = field(default_factory=dict)  # by serial, the newest
    recalls: Mapping[str, Recall] = field(default_factory=dict)
    measurements: tuple[Measurement, ...] = ()
    absences: tuple[Absence, ...] = ()
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

    def blocking(self, what: str, *, order: str = "", variation: str = "") -> tuple[Question, ...]:
        """Open questions that block `what` (quote, sign_out, release) of this order or variation.

        A question that names neither order nor variation blocks everything.
        """
        return tuple(
            each for each in self.questions.values()
            if each.open and what in each.blocks
            and each.order in ("", order) and each.variation in ("", variation)
        )  # fmt: skip
