"""What the record knows of a rack after its release, as frozen data: where it was, what was done, what it carries.

Like `state.py`: everything names the event (`seq`) it comes from; quantities are the text recorded.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["CameBack", "Carried", "Service", "Unseen", "Work"]

Anew = tuple[tuple[str, str], ...]  # (piece or serial, name of the step or characteristic)


@dataclass(frozen=True)
class CameBack:
    """A rack in the shop's hands again, and as it was found."""

    whom: str
    document: str
    reason: str
    condition: str
    day: str
    hours: str  # in service as its customer says, "" not stated
    by: str
    seq: int


@dataclass(frozen=True)
class Work:
    """Work on a released rack, and by whose data: a reference, never an approval."""

    work: str
    kind: str  # inspection, rework, repair, strip, replacement
    text: str
    document: str
    holder: str
    date: str
    nonconformance: str
    pieces: tuple[str, ...]
    method: str
    by: str
    at: str
    seq: int
    joints: tuple[str, ...] = ()  # taken apart for it
    cleared: int = 0  # the event that put the rack back to service after it
    day: str = ""  # on which it was done, whenever it was entered


@dataclass(frozen=True)
class Service:
    """One rack's later life. `loose`: joints taken apart, not tightened since. `left`: to be done or measured anew."""

    serial: str
    back: tuple[CameBack, ...] = ()
    works: tuple[Work, ...] = ()
    loose: tuple[str, ...] = ()
    left: Anew = ()
    cleared_by: str = ""  # who put it back to service last
    cleared_at: str = ""
    cleared: int = 0  # that event

    @property
    def open_works(self) -> tuple[Work, ...]:
        """What was done since it was last put back to service."""
        return tuple(work for work in self.works if not work.cleared)


@dataclass(frozen=True)
class Carried:
    """What a rack carries in one item's place, as recorded last; mass, centre and place where they are others."""

    item: str
    by_whom: str  # customer, shop
    document: str
    day: str
    out: bool  # nothing is there
    part: str
    box: str  # its own serial number
    mass: str
    cg: tuple[str, ...]
    shelf: str
    at: tuple[str, ...]
    seq: int
    place: str = ""  # where it is screwed on, in words; "" an older program did not keep it
    open_holes: tuple[str, ...] = ()  # places where it was, whose holes are open
    filled: tuple[str, ...] = ()  # the same, filled by an accepted repair
    done: str = ""  # the day as stated; where it is not, that of the act


def holes_open(before: Carried | None, left: Iterable[str], place: str) -> tuple[str, ...]:
    """The places whose holes are open once a box is screwed on at `place`, with those that it left for it."""
    known = (*(before.open_holes if before else ()), *left)
    return tuple(one for one in dict.fromkeys(known) if one != place)


@dataclass(frozen=True)
class Unseen:
    """Scrap whose witness has not signed yet."""

    about: str  # piece, serial or stock
    how: str  # it was made unusable
    witness: str  # who is named to have seen it
    by: str
    seq: int
