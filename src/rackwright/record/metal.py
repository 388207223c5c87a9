"""The nouns of metal: stock, its inside, pieces, test bends and saw plans; as `state.py` has the others.

The tables of stock and pieces, and what their rows are found by besides their ids.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from rackwright.record.indexed import Indexed, Key
from rackwright.record.outline import Corners

__all__ = ["Inside", "Piece", "PieceTable", "SawPlan", "Stock", "StockTable", "Substitution", "TestBend", "holding",
           "paper_of", "slip_of"]  # fmt: skip

GONE = ("cut", "scrapped")  # states of stock that is not there any more: its label may be another's


@dataclass(frozen=True)
class SawPlan:
    """A numbered plan of what is still to be sawn of an order or a line of it; the newest one holds."""

    plan: str
    order: str
    file: str  # SHA-256 of the plan, kept beside the record
    sheet: str  # SHA-256 of its sheet, kept likewise
    inputs: str  # SHA-256 of what it was made from
    by: str
    seq: int
    line: str = ""  # of the order, "" all of it


def holding(plans: Sequence[SawPlan]) -> tuple[SawPlan, ...]:
    """Of the plans of an order those that none after them superseded, oldest first: the last of each line; one of the
    whole order where none is of a line."""
    last = {plan.line: plan for plan in plans}
    if len(last) > 1:
        last.pop("", None)
    return tuple(sorted(last.values(), key=lambda one: one.seq))


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
class Substitution:
    """Pieces drawn of other metal that a stock may go into: why, by whom, and where the approval holder accepts it."""

    pieces: tuple[str, ...]
    reason: str
    document: str
    signer: str
    date: str
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
    let: tuple[Substitution, ...] = ()  # into pieces drawn of other metal
    reason: str = ""  # of quarantine or scrap
    counted_nm: int | None = None  # what a person last measured
    drawn: Mapping[str, int] = field(
        default_factory=dict
    )  # job -> how many of a lot are out, made into no piece
    measured: Mapping[str, Any] = field(default_factory=dict)
    outline: Corners = ()  # of a plate, from its low corner, the rolling direction along x
    area_nm2: int = 0
    examined: Mapping[str, Any] = field(default_factory=dict)  # as last seen before it was accepted
    off: tuple[str, ...] = ()  # pieces read as they came off this bar, its visit not booked yet
    entered_by: str = ""  # who entered the values of its certificate; another person accepts by them
    origin: Mapping[str, Any] = field(
        default_factory=dict
    )  # the papers between mill and shop, as entered last
    origin_by: tuple[str, ...] = ()  # who entered them; another person accepts by them
    stored: Mapping[str, Any] = field(
        default_factory=dict
    )  # last storage, or the one out of range, with what was decided
    decided: Mapping[str, Mapping[str, Any]] = field(
        default_factory=dict
    )  # reading without a limit -> value, use, by, document
    came: str = ""  # the day it came in or was cut off, "" not kept
    insides: tuple[Inside, ...] = ()  # of a tube, the last one holds; a remnant has those of its bar

    @property
    def instead(self) -> tuple[str, ...]:
        """The pieces drawn of other metal that it may go into."""
        return tuple(piece for one in self.let for piece in one.pieces)


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
    outside_papers: tuple[
        tuple[str, str, int], ...
    ] = ()  # outside process, number of its certificate, event it came back
    bakes: tuple[tuple[str, int], ...] = ()  # what the oven recorded, by SHA-256, and the event of the bake
    tried: tuple[tuple[str, int], ...] = ()  # the same of bakes that did not count; the metal was as hot
    fate: str = ""  # of what was replaced: scrapped, customer, kept; "" not stated
    out_seq: int = 0  # the event that took it out of its rack, and when
    out_at: str = ""
    made_on: str = ""  # the day, "" not kept

    @property
    def heated(self) -> tuple[tuple[str, int], ...]:
        """Every bake, whether it counted or not; a log that was given again after a refusal is one."""
        counted = {file for file, _ in self.bakes}
        return (*self.bakes, *((file, seq) for file, seq in dict(self.tried).items() if file not in counted))


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


def paper_of(certificate: Mapping[str, Any]) -> tuple[str, str]:
    """Number and mill: one number of a mill is one paper."""
    return certificate.get("number", ""), certificate.get("mill", "")


def slip_of(origin: Mapping[str, Any]) -> tuple[str, str]:
    """Number and distributor of a packing slip: one number of a distributor is one paper."""
    return origin.get("slip", ""), origin.get("distributor", "")


class StockTable(Indexed[Stock]):
    """Found by the label on what is there, as a lot by its number or id, by the pieces it is out for, by its papers:
    the certificate or the packing slip."""

    row = Stock

    @staticmethod
    def borne(stock: Stock) -> Iterator[Key]:
        if stock.label and stock.state not in GONE:
            yield "label", stock.label
        yield from (("lot", name) for name in dict.fromkeys((stock.lot, stock.stock_id)) if name)
        if stock.state == "issued":
            yield from (("planned", piece) for piece in dict.fromkeys(stock.planned))
        if stock.certificate:
            yield "certificate", *paper_of(stock.certificate)
        if stock.origin:
            yield "slip", *slip_of(stock.origin)


class PieceTable(Indexed[Piece]):
    """Found by serial."""

    row = Piece

    @staticmethod
    def borne(piece: Piece) -> Iterator[Key]:
        yield "serial", piece.serial
