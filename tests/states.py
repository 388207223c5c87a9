"""States written down by hand, for the tests that ask one gate: each builder gives a sound thing, changed as said."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rackwright.record import State, Stock
from rackwright.record.office import HoldPoint, RedLine
from rackwright.record.state import (
    Approval,
    Hold,
    Measurement,
    Piece,
    PieceTable,
    Revision,
    Serial,
    SerialTable,
    StockTable,
)
from rackwright.trouble import Refusal

TODAY, BEFORE, AFTER = "2031-05-04", "2031-05-03", "2031-05-05"


def shop(**tables: Any) -> State:
    """A state whose metal stands in the tables that index it."""
    for name, kind in (("stock", StockTable), ("pieces", PieceTable), ("serials", SerialTable)):
        tables[name] = kind(tables.get(name))
    return State(**tables)


def stock(name: str = "T-1", state: str = "accepted", **more: Any) -> Stock:
    plain = Stock(name, "bar", "SQ 1.5x0.125", "6061-T6", "H-1", "", 6, 6, 0, 0, state, None, "", "", "", 1)
    return replace(plain, **more)


def piece(name: str = "p", **more: Any) -> Piece:
    return replace(Piece(name, "T-1", "H-1", "", "SN-1", "PO-1", "A", 2, "made", ("Ada",), 10), **more)


def rack(**more: Any) -> Serial:
    return replace(Serial("SN-1", "PO-1", "A", "planned", ("p",), ("L-1",), 9), **more)


def measured(what: str = "length", within: bool = True, seq: int = 20, **more: Any) -> Measurement:
    plain = Measurement("p", "", what, "40 in", "", "39 in", "41 in", within, "LB", "", "Bo", "", seq)
    return replace(plain, **more)


def hold(**on: Any) -> Hold:
    return replace(Hold("H-9", "a dent", "Ada", (), (), (), (), 5), **on)


def revision(**more: Any) -> Revision:
    return replace(Revision("A", "PO-1", "", "", {}, "", {}, 3), **more)


def red_line(*steps: tuple[str, str], **more: Any) -> RedLine:
    return replace(RedLine("RL-1", "A", "longer", "ECO-1", "Q", (), (), steps, (), "Lea", 30), **more)


def signed(*points: str) -> dict[str, HoldPoint]:
    return {point: HoldPoint(point, "Ivo", "", 40, ()) for point in points}


SIGNED = revision(approvals=(Approval("DA-1", "", "", "", "Ada", 4),))


def heard(text: str) -> str:
    """The text as a record gives it: alike, and another object than the one written down here."""
    return "".join([*text])


def code(answer: Refusal | None) -> str:
    return answer.code if answer else ""


def words(answer: Refusal | None) -> str:
    assert answer is not None
    return answer.found
