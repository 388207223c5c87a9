"""What the counts say: the last one of each bar and lot beside what the books then left.

The difference stands beside the uncertainty of the tape; a larger one is a finding of the audit until it is explained
by an event and counted again. Needs no engineering library: a record is audited without one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rackwright.record import Event, corrected
from rackwright.trouble import Refusal, Where
from rackwright.work.keeping.balance import Books, post

__all__ = ["Counted", "count_of", "counted", "miscounts"]


@dataclass(frozen=True)
class Counted:
    """The last count of a bar (nm) or lot (pieces): what the books left then, what was found, what the tape allows."""

    seq: int
    stock_id: str
    unit: str
    expected: int
    found: int
    uncertainty: int

    @property
    def difference(self) -> int:
        return self.found - self.expected

    @property
    def agrees(self) -> bool:
        return abs(self.difference) <= self.uncertainty

    @property
    def words(self) -> str:
        scale, places, unit = (25_400_000, 4, "in") if self.unit == "nm" else (1, 0, "pieces")
        numbers = (self.expected, self.found, self.difference, self.uncertainty)
        expected, found, difference, tape = (f"{number / scale:.{places}f}" for number in numbers)
        return (f"{self.stock_id} counted in event {self.seq}: expected {expected} {unit}, found {found}, "
                f"difference {difference}, uncertainty {tape}")  # fmt: skip


def counted(events: Sequence[Event]) -> list[Counted]:
    """The last count of everything that was counted, with what the books left just before it; by stock id."""
    last: dict[str, Counted] = {}
    books = Books()
    for event in corrected(events):
        if event.type == "count":
            last[event.body["stock_id"]] = count_of(event, books)
        post(event, books)
    return [last[id] for id in sorted(last)]


def count_of(event: Event, books: Books) -> Counted:
    """A count beside the books as they stand just before it."""
    body = event.body
    id, unit = body["stock_id"], "nm" if "length_nm" in body else "pieces"
    account = (books.bars if unit == "nm" else books.lots).get(id)
    found = body["length_nm"] if unit == "nm" else body.get("quantity", 0)
    left = account.left if account else 0
    return Counted(event.seq, id, unit, left, found, body.get("uncertainty_nm", 0) if unit == "nm" else 0)


def miscounts(counts: Iterable[Counted]) -> Iterator[Refusal]:
    """A judge of the audit: every last count that differs from the books by more than its uncertainty."""
    for one in counts:
        if not one.agrees:
            do = "find out why; scrap or correct what is so, then count it again"
            yield Refusal("RW505", Where("the record", 0, f"event {one.seq}"), one.words, do)
