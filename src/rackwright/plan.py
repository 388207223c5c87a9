"""One making of many racks: what is cut from which bar, what must be bought, what may not be used.

    plan = Plan(((design, 3),), stock, shop)
    plan.saw        # a cutting plan for each section
    plan.buy        # bars to buy
    plan.left_out   # bars that may not be used, with the checks they failed

`effort` counts work of the search, so that the same effort gives the same plan. A search stopped by the clock
gives its answers through `with_answers`, and the plan says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, reduce

from rackwright.making.asked import Asked
from rackwright.making.assembly import Assembly, assembly
from rackwright.making.band import Band, band
from rackwright.making.blank import Blanks, blanks
from rackwright.making.brake import Bend, bends
from rackwright.making.coat import CoatPlan, coat_plan
from rackwright.making.cycles import bake_cycles
from rackwright.making.fasteners import FastenerLine, fasteners
from rackwright.making.jig import JigPlan, jig_plan
from rackwright.making.mill import BarInside, MillPlan, mill_plan
from rackwright.making.oven.load import OvenPlan, oven_plan
from rackwright.making.plate import Nest, PlatePlan, plate_plan
from rackwright.making.price import Price, price
from rackwright.making.route import Cycles, Route, route
from rackwright.making.saw import Answer, Levels, improve, least_levels, levelled, nearest
from rackwright.making.sawing.cut_sheet import NOTHING, Balance, CuttingPlan, cutting_plan
from rackwright.making.sawing.cutting import (
    Kept,
    LeftOut,
    PlannedFrom,
    Racked,
    SawJob,
    Slot,
    left_out,
    planned_before,
    saw_jobs,
)
from rackwright.making.sawing.mitre import mitre_limit
from rackwright.making.sawing.purchase import Lacking, lacking
from rackwright.making.sawing.stop import AtSaw, Stops
from rackwright.making.traveler import Traveler, traveler
from rackwright.rack import open_questions
from rackwright.shop import Shop, StockBar, StockItem
from rackwright.trouble import PRELIMINARY, UNCONFIRMED, Fault

__all__ = ["EFFORT", "PartLine", "Plan", "money"]

EFFORT = 500  # proves the optimum of a few racks, in seconds
LEVEL_EFFORT = 60  # on the bound of the bars opened


@dataclass(frozen=True)
class PartLine:
    """One part number of the order: how many in all, and what each is made from."""

    part: str
    design: str
    title: str
    kind: str
    quantity: int
    section: str
    stock: str
    length_nm: int | None


@dataclass(frozen=True)
class Plan:
    """`demand` are designs with how many racks of each; `stock` None: nothing on the shelf, all is bought."""

    demand: tuple[tuple[Racked, int], ...]
    stock: tuple[StockBar, ...] | None
    shop: Shop
    effort: int = EFFORT
    answers: tuple[Answer, ...] | None = None  # of a search that the clock stopped, one for each job
    items: tuple[StockItem, ...] | None = None  # counted stock and lots; None: nothing on the shelf
    start: str | None = None  # YYYY-MM-DD, first day of work; else the calendar's
    due: str | None = None  # YYYY-MM-DD
    at_saw: AtSaw | None = None  # temperatures measured at the saw
    kept: tuple[Kept, ...] = ()  # pieces that are sawn or signed out: the saw plan is of the rest
    before: tuple[PlannedFrom, ...] = ()  # of the plan before, where the order is planned anew
    in_hand: tuple[BarInside, ...] = ()  # bars issued for its tubes, as measured inside
    nests: tuple[Nest, ...] = ()  # layouts of plates found elsewhere: taken where sound and better

    def with_answers(self, answers: Sequence[Answer]) -> Plan:
        """The same plan with answers found elsewhere, in the order of `jobs`."""
        return replace(self, answers=tuple(answers))

    @cached_property
    def faults(self) -> tuple[Fault, ...]:
        """What keeps a rack of the order from being built."""
        unbuilt = dict.fromkeys(fault for design, _ in self.demand for fault in design.pieces.faults)
        return tuple(unbuilt) or self.blanks.faults or self._mitres[0]

    @cached_property
    def _mitres(self) -> tuple[tuple[Fault, ...], tuple[Asked, ...]]:
        return mitre_limit([(design.rack, design.pieces.sawn) for design, _ in self.demand], self.shop.saw)

    @property
    def saw_asked(self) -> tuple[Asked, ...]:
        """What of the saw is not stated."""
        return self._mitres[1]

    @cached_property
    def jobs(self) -> tuple[SawJob, ...]:
        return saw_jobs(self.demand, self.stock, self.shop, self.kept)

    @cached_property
    def saw(self) -> tuple[CuttingPlan, ...]:
        answers = self.answers
        if answers is None:
            answers = tuple(list(improve(job.problem, self.effort))[-1] for job in self.jobs)
        return tuple(
            cutting_plan(job, self._levelled(job, one), self.stops, self._slots_before(job))
            for job, one in zip(self.jobs, answers, strict=True)
        )

    def _levelled(self, job: SawJob, answer: Answer) -> Answer:
        """What is settled below the value: pieces stay where they were planned, else fewer bars and stop moves."""
        value, before = self.shop.stock_value, planned_before(job, self._slots_before(job))
        share = Fraction((value.change_share if before else value.level_share) or 0).limit_denominator(10**6)
        slack = int(share * answer.objective)
        return nearest(job.problem, answer, before, slack) if before else levelled(job.problem, answer, slack)

    def _slots_before(self, job: SawJob) -> dict[Slot, str]:
        """The bar that each piece of a job was planned from."""
        bars = {(one.rack, one.piece): one.bar for one in self.before}
        slots = [slot for need in job.needs.values() for slot in need.slots]
        return {slot: bars[slot.rack, slot.piece] for slot in slots if (slot.rack, slot.piece) in bars}

    @cached_property
    def least_levels(self) -> tuple[Levels, ...]:
        """By section: what no plan goes below in bars and stop moves, whatever it costs."""
        return tuple(least_levels(job.problem, min(self.effort, LEVEL_EFFORT)) for job in self.jobs)

    @property
    def stops(self) -> Stops:
        """What the saw's stop is set to."""
        return Stops(self.shop, self.at_saw)

    @property
    def stopped_by_clock(self) -> bool:
        """Might more time have given a better plan or bound?"""
        return self.answers is not None and not all(answer.closed for answer in self.answers)

    @cached_property
    def left_out(self) -> tuple[LeftOut, ...]:
        return left_out(self.demand, self.stock, self.shop)

    @cached_property
    def feasible(self) -> bool:
        """Has every piece a bar, and with counted stock given every flat one a plate?"""
        flat = self.items is not None and any(job.missing for job in self.plate.jobs)
        return not flat and not any(section.missing for section in self.saw)

    @cached_property
    def lacking(self) -> tuple[Lacking, ...]:
        """Where stock was given: what it lacks, and the cheapest purchase; of sections that miss pieces or buy."""
        if self.stock is None:
            return ()
        short = [section.job for section in self.saw if section.missing or section.buy]
        return lacking(short, self.shop, self.effort)

    @cached_property
    def racks(self) -> int:
        return sum(quantity for _, quantity in self.demand)

    @cached_property
    def parts(self) -> tuple[PartLine, ...]:
        """Every part number of the order, in the order of numbers."""
        lines: dict[str, PartLine] = {}
        for design, quantity in self.demand:
            for piece in design.pieces.made:
                line = lines.get(piece.part) or PartLine(
                    piece.part, design.rack.definition.part, piece.title, piece.kind, 0,
                    piece.section, piece.stock, piece.length,
                )  # fmt: skip
                lines[piece.part] = replace(line, quantity=line.quantity + quantity)
        return tuple(lines[part] for part in sorted(lines))

    @cached_property
    def balance(self) -> Balance:
        return reduce(Balance.__add__, (section.balance for section in self.saw), NOTHING)

    @cached_property
    def marks(self) -> tuple[str, ...]:
        """PRELIMINARY with an open question; UNCONFIRMED when stock was judged by an unconfirmed row."""
        asked = any(open_questions(design.rack) or design.asked for design, _ in self.demand)
        specs = {job.stock for job in self.jobs if job.bars} | {one.bar.stock for one in self.left_out}
        unread = any(minimum.known.unconfirmed for spec in specs for minimum in self.shop.minima(spec))
        fits = [line.fit.marks for line in self.mill.lines if line.fit]
        unread = unread or any(
            UNCONFIRMED in marks for marks in (self.blanks.marks, *(b.marks for b in self.brake), *fits)
        )
        return (PRELIMINARY,) * asked + (UNCONFIRMED,) * unread

    # --- rings, plate, blocks ---

    @cached_property
    def blanks(self) -> Blanks:
        """The flat blank of every ring part number."""
        return blanks(self.demand, self.items, self.shop)

    @cached_property
    def brake(self) -> tuple[Bend, ...]:
        return bends(self.blanks, self.items, self.shop)

    @cached_property
    def plate(self) -> PlatePlan:
        """What is cut flat, on the stock's plates."""
        return plate_plan(self.demand, self.blanks, self.items, self.shop, self.nests)

    @cached_property
    def mill(self) -> MillPlan:
        return mill_plan(self.demand, self.items, self.shop, self.in_hand)

    # --- jig, coat, oven ---

    @cached_property
    def jig(self) -> tuple[JigPlan, ...]:
        """The jig sheet of each design of the order, in its order."""
        return tuple(jig_plan(design.rack, design.pieces, self.shop.jig) for design, _ in self.demand)

    @cached_property
    def coat(self) -> tuple[CoatPlan, ...]:
        """The coat sheet of each design of the order, in its order."""
        return tuple(
            coat_plan(design.rack, design.pieces, quantity, self.shop.coat)
            for design, quantity in self.demand
        )

    @cached_property
    def powder(self) -> tuple[tuple[str, float], ...]:
        """Each powder of the order with its mass at the upper film, kg: what is bought must not run out."""
        masses: dict[str, float] = {}
        for sheet in self.coat:
            if sheet.finish is not None:
                mass = sheet.powder(sheet.films[1])
                masses[sheet.finish.powder] = masses.get(sheet.finish.powder, 0.0) + mass
        return tuple(sorted(masses.items()))

    @cached_property
    def oven(self) -> OvenPlan:
        return oven_plan(self.demand, self.shop.oven)

    # --- assembly, route, price ---

    @cached_property
    def assembly(self) -> tuple[Assembly, ...]:
        """The joints of each design of the order, in its order."""
        return tuple(assembly(design, self.shop) for design, _ in self.demand)

    @cached_property
    def hardware(self) -> tuple[FastenerLine, ...]:
        calendar = self.shop.calendar
        today = self.start or (calendar.start if calendar and calendar.start else "")
        return fasteners(self.demand, self.items, self.shop, today)

    @cached_property
    def cycles(self) -> Cycles:
        """Seconds of machines' own cycles, where their stations compute them."""
        order = {"waterjet": self.plate.time, "mill": self.mill.time}
        known = {(operation, 0): time for operation, time in order.items() if time is not None}
        return {**known, **bake_cycles(self.demand, self.oven)}

    @cached_property
    def route(self) -> Route:
        lots = sum(len(section.bars) for section in self.saw)
        lots += len({(line.section, line.stock) for line in self.parts if line.length_nm is None})
        lots += sum(max(1, len(line.lots)) for line in self.hardware)
        return route(
            self.demand, self.shop, joints=[len(made.ours) for made in self.assembly],
            heats=[heat for made in self.assembly for heat in made.heats], cycles=self.cycles, lots=lots,
            start=self.start, due=self.due,
        )  # fmt: skip

    @cached_property
    def price(self) -> Price:
        return price(self.demand, self.shop, self.saw, self.plate, self.hardware, self.route, self.powder)

    @cached_property
    def band(self) -> Band | None:
        return band(self.price, self.shop)

    def traveler(self, rack: int) -> Traveler:
        """The traveler of one rack of the order, counted from 1. Raises IndexError."""
        numbered = [n for n, (_, quantity) in enumerate(self.demand) for _ in range(quantity)]
        n = numbered[rack - 1]
        design = self.demand[n][0]
        fits = [line.fit for line in self.mill.lines if line.design == design.rack.definition.part]
        fit = next((one for one in fits if one is not None), None)
        return traveler(design, self.assembly[n], self.route, self.shop, rack, self.racks, fit)


def money(amount: Fraction | None, currency: str, down: bool = False) -> str | None:
    """An exact amount to the cent, halves to even; a bound is rounded down so that it stays one."""
    if amount is None:
        return None
    cents = int(amount * 100 // 1) if down else round(amount * 100)
    return f"{'-' if cents < 0 else ''}{abs(cents) // 100}.{abs(cents) % 100:02d} {currency}"
