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
from typing import Any

from rackwright.making.cut_sheet import NOTHING, Balance, CutBar, CuttingPlan, cutting_plan
from rackwright.making.cutting import LeftOut, Racked, SawJob, left_out, saw_jobs
from rackwright.making.saw import Answer, improve
from rackwright.rack import open_questions
from rackwright.shop import Shop, StockBar
from rackwright.trouble import DEFERENCE, PRELIMINARY, UNCONFIRMED, Fault
from rackwright.units import NM_PER_M, unit_factor

__all__ = ["EFFORT", "PLAN_FORMAT", "PartLine", "Plan", "money", "plan_json"]

PLAN_FORMAT = "rackwright/plan/1"
EFFORT = 500  # proves the optimum of a few racks, in seconds


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

    def with_answers(self, answers: Sequence[Answer]) -> Plan:
        """The same plan with answers found elsewhere, in the order of `jobs`."""
        return replace(self, answers=tuple(answers))

    @cached_property
    def faults(self) -> tuple[Fault, ...]:
        """What keeps a rack of the order from being built."""
        return tuple(dict.fromkeys(fault for design, _ in self.demand for fault in design.pieces.faults))

    @cached_property
    def jobs(self) -> tuple[SawJob, ...]:
        return saw_jobs(self.demand, self.stock, self.shop)

    @cached_property
    def saw(self) -> tuple[CuttingPlan, ...]:
        answers = self.answers
        if answers is None:
            answers = tuple(list(improve(job.problem, self.effort))[-1] for job in self.jobs)
        return tuple(
            cutting_plan(job, answer, self.shop) for job, answer in zip(self.jobs, answers, strict=True)
        )

    @property
    def stopped_by_clock(self) -> bool:
        """Might more time have given a better plan or bound?"""
        return self.answers is not None and not all(answer.closed for answer in self.answers)

    @cached_property
    def left_out(self) -> tuple[LeftOut, ...]:
        return left_out(self.demand, self.stock, self.shop)

    @cached_property
    def feasible(self) -> bool:
        """Has every piece a bar?"""
        return not any(section.missing for section in self.saw)

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
        asked = any(open_questions(design.rack) for design, _ in self.demand)
        specs = {job.stock for job in self.jobs if job.bars} | {one.bar.stock for one in self.left_out}
        unread = any(minimum.known.unconfirmed for spec in specs for minimum in self.shop.minima(spec))
        return (PRELIMINARY,) * asked + (UNCONFIRMED,) * unread


# --- as a document -------------------------------------------------------------------------------


def plan_json(plan: Plan) -> dict[str, Any]:
    """The plan as one JSON document. Lengths end in `_nm` or `_in`, amounts are texts with their currency."""
    return {
        "format": PLAN_FORMAT,
        "caution": DEFERENCE,
        "marks": list(plan.marks),
        "shop": plan.shop.name,
        "demand": [
            {
                "part": design.rack.definition.part,
                "revision": design.rack.definition.revision,
                "quantity": quantity,
            }
            for design, quantity in plan.demand
        ],
        "pieces": [_part(line) for line in plan.parts],
        "feasible": plan.feasible,
        "search": {
            "effort": plan.effort if plan.answers is None else None,
            "stopped_by_clock": plan.stopped_by_clock,
        },
        "saw": {name: _section(plan, section) for name, section in _named(plan)},
        "buy": [
            {"section": section.section, "stock": section.stock, "length_nm": nm, "length_in": _in(nm), "count": n}
            for section in plan.saw
            for nm, n in section.buy
        ],
        "left_out": [
            {
                "bar": one.bar.id, "section": one.bar.section, "stock": one.bar.stock, "heat": one.bar.heat,
                "length_nm": one.bar.length_nm,
                "failed": [
                    {"check": check.name, "required": check.required, "found": check.found} for check in one.failed
                ],
            }
            for one in plan.left_out
        ],
        "balance": _balance(plan.balance),
    }  # fmt: skip


def _named(plan: Plan) -> list[tuple[str, CuttingPlan]]:
    """Sections by name; with the specification where one section is needed in two."""
    names = [section.section for section in plan.saw]
    return [
        (f"{one.section} ({one.stock})" if names.count(one.section) > 1 else one.section, one)
        for one in plan.saw
    ]


def _part(line: PartLine) -> dict[str, Any]:
    return {
        "part_number": line.part, "design": line.design, "title": line.title, "quantity": line.quantity,
        "section": line.section, "stock": line.stock, "sawn": line.length_nm is not None,
        "cut_length_nm": line.length_nm,
        "cut_length_in": None if line.length_nm is None else _in(line.length_nm),
    }  # fmt: skip


def _section(plan: Plan, section: CuttingPlan) -> dict[str, Any]:
    currency, answer = plan.shop.currency, section.answer
    cost, bound, first = section.objective, section.lower_bound, section.first_fit
    proven = answer.optimal
    return {
        "stock": section.stock,
        "status": section.status,
        "objective": money(cost, currency),
        "lower_bound": money(cost, currency) if proven else money(bound, currency, down=True),
        "lower_bound_of": "the problem on the planning grid, with the kerf at its upper value",
        "bound_how": answer.bound_how,
        "gap": section.gap,
        "slack": money(None if cost is None or bound is None else cost - bound, currency),
        "first_fit": money(first, currency),
        "first_fit_more": money(None if cost is None or first is None else first - cost, currency),
        "objective_units": answer.objective,
        "lower_bound_units": answer.lower_bound,
        "first_fit_units": answer.first_objective,
        "grid_nm": plan.shop.style.grid,
        "kerf_nm": section.job.kerf_nm,
        "bars_opened": answer.bars_opened,
        "stop_moves": answer.stop_moves,
        "heats_by_rack": {str(rack): list(heats) for rack, heats in section.heats.items()},
        "bars": [_bar(bar) for bar in section.bars],
        "missing": [
            {"rack": slot.rack, "design": slot.design, "piece": slot.piece, "part_number": slot.part}
            for slot in section.missing
        ],
        "balance": _balance(section.balance),
    }


def _bar(bar: CutBar) -> dict[str, Any]:
    return {
        "bar": bar.bar, "kind": bar.kind, "heat": bar.heat, "certificate": bar.certificate, "location": bar.location,
        "measured_nm": bar.measured_nm, "trim_nm": bar.trim_nm,
        "cuts": [
            {
                "rack": cut.slot.rack, "design": cut.slot.design, "piece": cut.slot.piece,
                "part_number": cut.slot.part, "length_nm": cut.length_nm, "stop_nm": cut.stop_nm,
                "kerf_nm": cut.kerf_nm, "left_nm": cut.left_nm,
            }
            for cut in bar.cuts
        ],
        "rest": "remnant" if bar.keeps_rest else "scrap", "rest_nm": bar.rest_nm,
    }  # fmt: skip


def _balance(balance: Balance) -> dict[str, int]:
    return {
        "received_nm": balance.received, "pieces_nm": balance.pieces, "kerf_nm": balance.kerf,
        "trim_nm": balance.trim, "remnant_nm": balance.remnant, "scrap_nm": balance.scrap,
    }  # fmt: skip


def money(amount: Fraction | None, currency: str, down: bool = False) -> str | None:
    """An exact amount to the cent, halves to even; a bound is rounded down so that it stays one."""
    if amount is None:
        return None
    cents = int(amount * 100 // 1) if down else round(amount * 100)
    return f"{'-' if cents < 0 else ''}{abs(cents) // 100}.{abs(cents) % 100:02d} {currency}"


def _in(nm: int) -> float:
    return round(float(Fraction(nm, NM_PER_M) / unit_factor("in")), 6)
