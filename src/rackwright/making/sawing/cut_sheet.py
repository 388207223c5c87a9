"""A saw answer back in the shop's words: bars in the order of cutting, each cut with its stop and what is left.

Everything is whole nanometres again, with the planned (upper) kerf,
of a mitred cut as it lies along the bar. For each bar, and so for all of them,

    received = pieces + kerf + trim + remnant + scrap      to the nanometre.

The rest of a bar holds the clamp tail; it is a remnant when the plan credits it, else scrap.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Literal

from rackwright.making.saw import Answer, BarPlan
from rackwright.making.sawing.assign import assign
from rackwright.making.sawing.cutting import BOUGHT, SawJob, Slot
from rackwright.making.sawing.stop import Stops
from rackwright.pieces.model import Mitre

__all__ = ["Balance", "Cut", "CutBar", "CuttingPlan", "cutting_plan"]

Kind = Literal["bar", "remnant", "purchase"]
Status = Literal["optimal", "feasible", "infeasible"]


@dataclass(frozen=True)
class Cut:
    """One cut. `stop_nm` is what the stop is set to, `left_nm` what is left of the bar after the cut."""

    slot: Slot
    length_nm: int
    stop_nm: int
    kerf_nm: int
    left_nm: int
    mitre: Mitre | None = None


@dataclass(frozen=True)
class CutBar:
    """One bar with its cuts in order. A bar to be bought has no heat, certificate or location yet."""

    bar: str
    kind: Kind
    heat: str
    certificate: str
    location: str
    measured_nm: int
    trim_nm: int
    cuts: tuple[Cut, ...]
    rest_nm: int
    keeps_rest: bool  # the rest goes back to the rack as a remnant

    @property
    def balance(self) -> Balance:
        pieces, kerf = sum(cut.length_nm for cut in self.cuts), sum(cut.kerf_nm for cut in self.cuts)
        remnant, scrap = (self.rest_nm, 0) if self.keeps_rest else (0, self.rest_nm)
        return Balance(self.measured_nm, pieces, kerf, self.trim_nm, remnant, scrap)


@dataclass(frozen=True)
class Balance:
    """Where the length of the opened bars goes, nm."""

    received: int
    pieces: int
    kerf: int
    trim: int
    remnant: int
    scrap: int

    def __add__(self, other: Balance) -> Balance:
        return Balance(
            self.received + other.received, self.pieces + other.pieces, self.kerf + other.kerf,
            self.trim + other.trim, self.remnant + other.remnant, self.scrap + other.scrap,
        )  # fmt: skip

    @property
    def open(self) -> int:
        """What does not add up: 0."""
        return self.received - self.pieces - self.kerf - self.trim - self.remnant - self.scrap


NOTHING = Balance(0, 0, 0, 0, 0, 0)


@dataclass(frozen=True)
class CuttingPlan:
    """The saw's work for one section. Money is exact, in the shop's currency; None without a price.

    `objective` is what the opened bars are worth less the credit for what goes back. No plan of the grid problem
    costs less than `lower_bound`, by `bound_how`. `first_fit` is what first-fit decreasing costs, None where it
    finds no bar for a piece. `missing` lists pieces without a bar: then there is no plan for the whole order.
    """

    job: SawJob
    answer: Answer
    bars: tuple[CutBar, ...]
    missing: tuple[Slot, ...]

    @property
    def section(self) -> str:
        return self.job.section

    @property
    def stock(self) -> str:
        return self.job.stock

    @property
    def status(self) -> Status:
        if self.missing:
            return "infeasible"
        return "optimal" if self.answer.optimal else "feasible"

    @property
    def objective(self) -> Fraction | None:
        return self.job.money(self.answer.objective)

    @property
    def level_price(self) -> Fraction | None:
        """What of the objective is paid for fewer bars and stop moves, or for pieces that stay on their bars."""
        return self.job.money(self.answer.level_price)

    @property
    def lower_bound(self) -> Fraction | None:
        return self.job.money(self.answer.lower_bound)

    @property
    def first_fit(self) -> Fraction | None:
        first = self.answer.first_objective
        return None if first is None else self.job.money(first)

    @property
    def gap(self) -> float:
        """(value - bound) / value, without what fewer bars and stop moves cost."""
        cost = self.answer.objective - self.answer.level_price
        return (cost - self.answer.lower_bound) / cost if cost else 0.0

    @cached_property
    def balance(self) -> Balance:
        return sum((bar.balance for bar in self.bars), NOTHING)

    @cached_property
    def buy(self) -> tuple[tuple[int, int], ...]:
        """Bars to buy: length in nm and how many, shortest first."""
        counts = Counter(bar.measured_nm for bar in self.bars if bar.kind == "purchase")
        return tuple(sorted(counts.items()))

    @cached_property
    def heats(self) -> dict[int, tuple[str, ...]]:
        """By rack of the order, the heats its pieces come from."""
        found: dict[int, set[str]] = {}
        for bar in self.bars:
            for cut in bar.cuts:
                found.setdefault(cut.slot.rack, set()).add(bar.heat)
        return {rack: tuple(sorted(found[rack])) for rack in sorted(found)}


def cutting_plan(
    job: SawJob, answer: Answer, stops: Stops, before: Mapping[Slot, str] | None = None
) -> CuttingPlan:
    """The answer to a job as a plan in nanometres, every cut with the piece of the rack that it makes. `before`: the
    bar that it was planned from, where the order is planned anew."""
    opened = [plan for plan in answer.cuts for _ in range(plan.times)]
    cuts = [(plan.bar, job.problem.bar[plan.bar].heat, plan.cut) for plan in opened]
    slots = assign(cuts, job.needs, before)
    bars, bought = [], 0
    for plan, of_bar in zip(opened, slots, strict=True):
        bought += plan.bar in job.purchase
        bars.append(_bar(job, plan, of_bar, bought, stops))
    cut = {cut.slot for bar in bars for cut in bar.cuts}
    missing = (slot for need in job.needs.values() for slot in need.slots if slot not in cut)
    return CuttingPlan(job, answer, tuple(bars), tuple(missing))


def _bar(job: SawJob, plan: BarPlan, slots: list[Slot], bought: int, stops: Stops) -> CutBar:
    stock = job.bars.get(plan.bar)
    measured = stock.length_nm if stock else job.purchase[plan.bar]
    trim = job.trim_nm if stock is None or stock.mill_end else 0
    needs = [job.needs[name] for name, number in plan.cut for _ in range(number)]
    left, cuts = measured - trim, []
    for slot, need in zip(slots, needs, strict=True):
        left -= need.length_nm + need.kerf_nm
        stop = stops.setting(need.length_nm, job.stock)
        cuts.append(Cut(slot, need.length_nm, stop, need.kerf_nm, left, need.mitre))
    keeps = job.problem.credit(plan.leftover) > 0
    if stock is None:
        name = f"BUY {job.section} #{bought}"
        return CutBar(name, "purchase", BOUGHT, "", "", measured, trim, tuple(cuts), left, keeps)
    number = stock.certificate.number if stock.certificate else ""
    return CutBar(
        stock.id, stock.kind, stock.heat, number, stock.location, measured, trim, tuple(cuts), left, keeps
    )
