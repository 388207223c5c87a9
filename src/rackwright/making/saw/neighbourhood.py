"""Better plans from a good one: take a few bars out, cut their pieces anew to the optimum, put them back.

A part of some thirty pieces is a problem of the size of one rack, which column generation, enumeration and
a small integer program solve exactly in a fraction of a second (large neighbourhood search, Shaw 1998).
Bars still in the rack may come in. Parts are drawn in fixed strides over the plan's bars, ordered by what
they waste, so that every run draws the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rackwright.making.saw.colgen import Relaxation, Work
from rackwright.making.saw.dive import Diver
from rackwright.making.saw.enumeration import Enumerator
from rackwright.making.saw.model import Model, Pattern, Plan
from rackwright.making.saw.pool import solve_pool

__all__ = ["Below", "cut_below", "parts_improved"]

STRIDES = (1, 7, 3, 11, 5, 13, 2, 17, 9, 4)
PATTERNS = 2_000  # of an exact part in the first round, doubled in each
NODES = 200  # likewise


def parts_improved(
    model: Model, plan: Plan, pieces: int, work: Work, turns: int, round_: int
) -> Iterator[Plan]:
    """Plans that each cost less than the one before. `pieces`: about so many are cut anew at a time."""
    turn = 0
    while turn < turns and not work.over:
        bars = _by_waste(model, plan)
        part = _part(bars, pieces, turn)
        better = _cut_anew(model, plan, part, work, round_)
        turn += 1
        if better is not None:
            plan = better
            yield plan


def _by_waste(model: Model, plan: Plan) -> list[Pattern]:
    """One entry a bar, the most wasteful first: cost beyond the cheapest rate for the use."""
    rate = min(bar.cost / bar.room for bar in model.bars)

    def waste(pattern: Pattern) -> tuple[float, Pattern]:
        return (rate * model.used(pattern) - model.cost(pattern), pattern)

    return [p for pattern in sorted(plan, key=waste) for p in [pattern] * plan[pattern]]


def _part(bars: list[Pattern], pieces: int, turn: int) -> list[Pattern]:
    """Some of the bars: a wasteful one to begin with, others at a stride."""
    stride = STRIDES[turn % len(STRIDES)]
    at = (turn * 5) % len(bars)
    part: list[Pattern] = []
    taken: set[int] = set()
    number = 0
    while len(taken) < len(bars):
        while at in taken:
            at = (at + 1) % len(bars)
        size = sum(n for _, n in bars[at][1])
        if number + size > pieces and len(part) >= 2:
            break
        taken.add(at)
        part.append(bars[at])
        number += size
        at = (at + stride) % len(bars)
    return part


def _cut_anew(model: Model, plan: Plan, part: list[Pattern], work: Work, round_: int) -> Plan | None:
    rest = dict(plan)
    for pattern in part:
        rest[pattern] -= 1
    sub = model.part(part, {p: n for p, n in rest.items() if n})
    now = sub.plan_of(part)
    cost = sub.model.plan_cost(now)
    found = cut_below(sub.model, list(now), cost, work, round_).plan
    if found is None:
        return None
    better: Plan = {p: n for p, n in rest.items() if n}
    for pattern, times in sub.plan_back(found).items():
        better[pattern] = better.get(pattern, 0) + times
    return better


@dataclass(frozen=True)
class Below:
    """A plan that costs less than was asked for, or none; no plan costs less than `bound` (at most what was asked)."""

    plan: Plan | None
    bound: int


def cut_below(
    model: Model, patterns: list[Pattern], cost: int, work: Work, round_: int, dives: range | None = None
) -> Below:
    """A plan of the model that costs less than `cost`, found or proven not to be, as far as the round's effort goes.

    With `dives` these are tried where not all patterns that matter can be listed; else one, and an integer program.
    """
    relaxation = Relaxation(model, work, patterns)
    for bound in relaxation.rounds():
        if model.round_up(bound) >= cost:
            return Below(None, cost)
    least = model.round_up(relaxation.bound)
    if relaxation.prices is None or relaxation.relaxed is None:
        return Below(None, least)
    enumerator = Enumerator(model, relaxation.pricer, relaxation.prices, work)
    listed = (
        enumerator.patterns(model.round_up(cost) - model.step, PATTERNS << round_)
        if enumerator.possible
        else None
    )
    if listed is not None:
        solved = solve_pool(model, listed, NODES << round_, work, below=cost)
        if solved.finished and solved.plan is None:
            return Below(None, cost)
        return Below(_cheaper(model, solved.plan, cost), least)
    start = relaxation.master.worth_keeping(relaxation.relaxed, 300)
    diver = Diver(model, work)
    if dives is not None:
        found = (diver.number(n, start, cost) for n in dives)
        return Below(next((plan for plan in found if plan is not None), None), least)
    plan = diver.dive(start, cost, rounds=3)
    if plan is None:
        solved = solve_pool(model, [*start, *diver.found], NODES << round_, work, below=cost, own_heat=True)
        plan = _cheaper(model, solved.plan, cost)
    return Below(plan, least)


def _cheaper(model: Model, plan: Plan | None, cost: int) -> Plan | None:
    return plan if plan is not None and model.plan_cost(plan) < cost else None
