"""The saw sheet: bars in the order of cutting, each cut with its stop setting, and what is left over.

Balance of one bar, to the nanometre: measured = trim + Σ (length + kerf) + rest. The trim is what comes
off the end before the first piece, its kerf included; the rest holds the clamp tail and is a remnant with
an id or scrap.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any

from rackwright.papers.house import Head, set_pdf
from rackwright.papers.lengths import inches, length, millimetres
from rackwright.papers.table import Facts, Table

__all__ = ["SawBar", "SawCut", "SawSheet", "set_saw_sheet"]


@dataclass(frozen=True)
class SawCut:
    """One cut. `stop_nm` is the setting of the stop (compensated or not: the sheet's note says)."""

    piece: str
    part: str
    serial: str
    length_nm: int
    stop_nm: int
    kerf_nm: int
    note: str = ""


@dataclass(frozen=True)
class SawBar:
    """One bar or offcut and its cuts in order. `remnant` is the id of what is left, empty = scrap.

    Raises ValueError when the cuts take more than the bar has.
    """

    bar: str
    heat: str
    stock: str
    measured_nm: int
    trim_nm: int
    cuts: tuple[SawCut, ...]
    remnant: str = ""
    place: str = ""
    certificate: str = ""
    slack_nm: int | None = None  # left beyond the clamp tail with the bar and the kerf at their worst

    def __post_init__(self) -> None:
        if self.rest_nm < 0:
            raise ValueError(f"bar {self.bar}: the cuts take {-self.rest_nm} nm more than the bar has")

    @cached_property
    def left_nm(self) -> tuple[int, ...]:
        """What is left of the bar after each cut and its kerf."""
        left, rest = [], self.measured_nm - self.trim_nm
        for cut in self.cuts:
            rest -= cut.length_nm + cut.kerf_nm
            left.append(rest)
        return tuple(left)

    @cached_property
    def rest_nm(self) -> int:
        return self.left_nm[-1] if self.cuts else self.measured_nm - self.trim_nm


@dataclass(frozen=True)
class SawSheet:
    """All bars of one visit to the saw.

    `setup` names job, machine, blade, kerf measured, temperature; `totals` the objective in money, the
    proven bound, the gap and the first-fit comparison; `balance` the inches per stock or heat; `cautions`
    are the station's. `unit` is in (3 decimals, leading zero omitted) or mm (2 decimals).
    """

    head: Head
    setup: Facts
    bars: tuple[SawBar, ...]
    totals: Facts
    balance: Table | None = None
    cautions: tuple[str, ...] = ()
    unit: str = "in"


def set_saw_sheet(sheet: SawSheet) -> bytes:
    """PDF/A-3b bytes."""
    longest = max((bar.measured_nm for bar in sheet.bars), default=1)
    data = {
        "setup": sheet.setup,
        "bars": [_bar(bar, sheet.unit, longest) for bar in sheet.bars],
        "totals": sheet.totals,
        "balance": sheet.balance,
        "cautions": sheet.cautions,
        "unit": sheet.unit,
    }
    return set_pdf("saw_sheet", sheet.head, data)


def _bar(bar: SawBar, unit: str, longest_nm: int) -> dict[str, Any]:
    """A bar as the template wants it: words, and shares of the longest bar for the strip."""
    cuts = [
        {
            "stop": length(cut.stop_nm, unit),
            "piece": cut.piece,
            "part": cut.part,
            "serial": cut.serial,
            "length": length(cut.length_nm, unit),
            "left": length(left, unit),
            "note": cut.note,
        }
        for cut, left in zip(bar.cuts, bar.left_nm, strict=True)
    ]
    return {
        "bar": bar.bar,
        "heat": bar.heat,
        "stock": bar.stock,
        "place": bar.place,
        "certificate": bar.certificate,
        "measured": length(bar.measured_nm, unit),
        "trim": length(bar.trim_nm, unit),
        "cuts": cuts,
        "remnant": bar.remnant,
        "rest": length(bar.rest_nm, unit),
        "balance": _balance(bar, unit),
        "slack": "" if bar.slack_nm is None else length(bar.slack_nm, unit),
        "share": bar.measured_nm / longest_nm,
        "strip": _strip(bar, longest_nm),
    }


def _balance(bar: SawBar, unit: str) -> str:
    write = partial(inches, places=4) if unit == "in" else partial(millimetres, places=3)
    pieces, kerf = sum(cut.length_nm for cut in bar.cuts), sum(cut.kerf_nm for cut in bar.cuts)
    return (
        f"{write(bar.measured_nm)} = {write(bar.trim_nm)} trim + {write(pieces)} pieces"
        f" + {write(kerf)} kerf + {write(bar.rest_nm)} rest"
    )


def _strip(bar: SawBar, longest_nm: int) -> list[dict[str, Any]]:
    """The parts of the bar from its squared end: kind (trim, piece, kerf, rest), start and width, name."""
    parts: list[dict[str, Any]] = []
    at = 0

    def add(kind: str, nm: int, name: str) -> None:
        nonlocal at
        parts.append({"kind": kind, "at": at / longest_nm, "width": nm / longest_nm, "name": name})
        at += nm

    add("trim", bar.trim_nm, "")
    for number, cut in enumerate(bar.cuts, 1):
        add("piece", cut.length_nm, str(number))
        add("kerf", cut.kerf_nm, "")
    add("rest", bar.rest_nm, bar.remnant or "scrap")
    return parts
