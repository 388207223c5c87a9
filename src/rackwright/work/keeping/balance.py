"""The books of the shop: of every bar and lot, what came in, where it went, and what is left.

    bar   received = pieces + kerf + trim + remnants + scrap + left        whole nanometres
    plate received = blanks + kerf + skeleton + remnants + scrap + left    whole square nanometres
    lot   received + returned = taken + scrap + left                       a count

A remnant is a bar or plate of its own, received at the cut that left it. This is a second reckoning, made from the
events alone and not from what `record.project` folds of them, so that an audit compares two books; the idea
of an independent count that must agree is that of double-entry bookkeeping (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from rackwright.record import Event, State, Stock, corrected

__all__ = ["Account", "Books", "accounts", "by_heat", "imbalances", "post"]


@dataclass
class Account:
    """One bar (nm), plate (nm²) or lot (count). `left` is what the events leave of it, never what anybody says."""

    stock_id: str
    heat: str  # heat, or the lot of what has none
    seq: int  # the event that last touched it
    received: int = 0
    pieces: int = 0
    kerf: int = 0
    trim: int = 0
    remnants: int = 0
    taken: int = 0  # of a lot
    returned: int = 0  # to a lot
    scrap: int = 0  # of a plate with its skeleton
    done: bool = False  # a bar or plate that was cut: nothing may be left of it

    @property
    def used(self) -> int:
        return self.pieces + self.kerf + self.trim + self.remnants + self.taken + self.scrap

    @property
    def left(self) -> int:
        return self.received + self.returned - self.used


@dataclass(frozen=True)
class Books:
    """Each by stock id."""

    bars: dict[str, Account] = field(default_factory=dict)
    plates: dict[str, Account] = field(default_factory=dict)
    lots: dict[str, Account] = field(default_factory=dict)


def accounts(events: Sequence[Event]) -> Books:
    """The books at the end of the events."""
    books = Books()
    for event in corrected(events):
        post(event, books)
    return books


def post(event: Event, books: Books) -> None:
    """One event, as it is to be read, into the books."""
    step = getattr(_Book, f"post_{event.type}", None)
    if step is not None:
        step(_Book(event, books))


class _Book:
    """One event posted. What names an unknown bar is not posted: the fold calls it odd."""

    def __init__(self, event: Event, books: Books) -> None:
        self.event, self.body = event, event.body
        self.bars, self.plates, self.lots = books.bars, books.plates, books.lots
        id = event.body.get("stock_id", "")
        for account in (book[id] for book in (self.bars, self.plates, self.lots) if id in book):
            if event.type in ("issue", "return", "cut", "profile_cut", "scrap"):
                account.seq = event.seq

    def post_receive(self) -> None:
        heat = self.body.get("heat", "") or self.body.get("lot", "")
        for book, unit in ((self.bars, "length_nm"), (self.lots, "quantity")):
            if unit in self.body:
                id = self.body["stock_id"]
                book[id] = Account(id, heat, self.event.seq, received=self.body[unit])
        if "outline" in self.body:
            id = self.body["stock_id"]
            self.plates[id] = Account(id, heat, self.event.seq, received=_area(self.body["outline"]))

    def post_issue(self) -> None:
        lot = self.lots.get(self.body["stock_id"])
        if lot is not None:
            lot.taken += self.body.get("quantity", 0)

    def post_return(self) -> None:
        lot = self.lots.get(self.body["stock_id"])
        if lot is not None:
            lot.returned += self.body.get("quantity", 0)

    def post_cut(self) -> None:
        bar, remnant = self.bars.get(self.body["stock_id"]), self.body.get("remnant")
        if bar is None:
            return
        bar.pieces += sum(piece["length_nm"] for piece in self.body["pieces"])
        bar.kerf += self.body["kerf_nm"]
        bar.trim += self.body["trim_nm"]
        bar.scrap += self.body["scrap_nm"]
        bar.done = True
        if remnant:
            bar.remnants += remnant["length_nm"]
            id = remnant["stock_id"]
            self.bars[id] = Account(id, bar.heat, self.event.seq, received=remnant["length_nm"])

    def post_profile_cut(self) -> None:
        plate = self.plates.get(self.body["stock_id"])
        if plate is None:
            return
        plate.pieces += sum(int(piece["area_nm2"]) for piece in self.body["pieces"])
        plate.kerf += int(self.body["kerf_nm2"])
        plate.scrap += int(self.body["skeleton_nm2"])
        plate.done = True
        for remnant in self.body["remnants"]:
            id, area = remnant["stock_id"], _area(remnant["outline"])
            plate.remnants += area
            self.plates[id] = Account(id, plate.heat, self.event.seq, received=area)

    def post_scrap(self) -> None:
        if "piece" in self.body:
            return  # its length was booked as a piece when it was cut
        plate = self.plates.get(self.body.get("stock_id", ""))
        if plate is not None:
            plate.scrap += plate.left
        for book, unit in ((self.bars, "length_nm"), (self.lots, "quantity")):
            account = book.get(self.body.get("stock_id", ""))
            if account is not None:
                account.scrap += self.body.get(unit, account.left)


def _area(outline: Sequence[Any]) -> int:
    """nm² below each side down to y = 0, signed (trapezoids), as the fold has it by another formula."""
    sides = zip(outline, (*outline[1:], outline[0]), strict=True)
    return int(sum((ax - bx) * (ay + by) for (ax, ay), (bx, by) in sides)) // 2


def by_heat(books: dict[str, Account]) -> dict[str, Account]:
    """The accounts of one unit summed by heat or lot; a remnant is counted inside its bar, once."""
    sums: dict[str, Account] = {}
    for one in books.values():
        total = sums.setdefault(one.heat, Account("", one.heat, one.seq))
        for name in ("received", "pieces", "kerf", "trim", "remnants", "taken", "returned", "scrap"):
            setattr(total, name, getattr(total, name) + getattr(one, name))
    for total in sums.values():
        total.received -= total.remnants  # what was cut off and received again
        total.remnants = 0
    return sums


def imbalances(books: Books, state: State) -> Iterator[tuple[int, str]]:
    """(event, words) wherever the books do not close, or differ from what the record says is there: `state`."""
    for account in books.bars.values():
        yield from _closing(account, "nm", state, state.stock[account.stock_id].length_nm)
    for account in books.plates.values():
        yield from _closing(account, "nm²", state, state.stock[account.stock_id].area_nm2)
    for account in books.lots.values():
        yield from _closing(account, "pieces", state, state.stock[account.stock_id].quantity)


def _closing(account: Account, unit: str, state: State, there: int) -> Iterator[tuple[int, str]]:
    stock: Stock = state.stock[account.stock_id]
    who = (
        f"{account.stock_id}, heat {stock.heat}"
        if stock.heat
        else f"{account.stock_id}, lot {stock.lot or 'none'}"
    )
    if account.returned > account.taken:
        yield account.seq, f"{who}: {account.returned} {unit} returned, of {account.taken} that were taken"
    if account.left < 0 or (account.done and account.left):
        more = "more than there was" if account.left < 0 else "unaccounted for"
        yield (account.seq, f"{who}: received {account.received + account.returned} {unit}, used {account.used}: "
                            f"{abs(account.left)} {unit} {more}")  # fmt: skip
    elif account.left != there:
        yield account.seq, f"{who}: the books leave {account.left} {unit}, the record says {there}"
