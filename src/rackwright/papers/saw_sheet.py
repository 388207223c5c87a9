"""The saw sheet: bars in the order of cutting, each cut with its stop setting, and what is left over.

Balance of one bar, to the nanometre: measured = trim + Σ (length + kerf) + rest. The trim is what comes
off the end before the first piece, its kerf included; the rest holds the clamp tail and is a remnant with
an id or scrap.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from rackwright.papers.house import Head
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
    raise NotImplementedError
