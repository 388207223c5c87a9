"""Ever better answers: first fit at once, then bounds, dives, and an integer program for what remains.

`improve` is a generator. It reads no clock and draws no random numbers: the same problem and effort give
the same answers; whoever runs it may stop listening at any time and keeps the last answer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from rackwright.making.saw.bounds import l2_bound, material_bound
from rackwright.making.saw.check import verify
from rackwright.making.saw.colgen import Relaxation, Work
from rackwright.making.saw.dive import Diver
from rackwright.making.saw.enumeration import Enumerator
from rackwright.making.saw.greedy import first_fit_plans
from rackwright.making.saw.model import Model, Plan
from rackwright.making.saw.neighbourhood import parts_improved
from rackwright.making.saw.pool import solve_pool
from rackwright.making.saw.problem import Answer, Problem

__all__ = ["best_of", "first_answer", "improve"]

TURNS = 10  # rounds of everything, each with twice the effort of the one before
DIVES = 3  # dives a round
NODES = 200  # branching nodes of the first integer program
PARTS = 30  # parts cut anew in the first round
PIECES = 28  # pieces in a part, in the first round


def first_answer(problem: Problem) -> Answer:
    """First-fit decreasing (the best of several orders) with the material and L2 bounds: milliseconds."""
    return _Search(Model(problem), Work(0)).first()


def improve(problem: Problem, effort: int | None = None) -> Iterator[Answer]:
    """Better and better answers, each with the best bound known by then; the last is the best.

    `effort` counts pricing passes and branching nodes; None works until the optimum is proven or nothing
    is left to try.
    """
    search = _Search(Model(problem), Work(float("inf") if effort is None else effort))
    yield search.first()
    yield from search.better()


def best_of(a: Answer, b: Answer) -> Answer:
    """The better plan of two answers to one problem, with the better bound."""

    def rank(answer: Answer) -> tuple[int, bool, int]:
        return (sum(n for _, n in answer.missing), not answer.missing_proven, answer.objective)

    better, other = (a, b) if rank(a) <= rank(b) else (b, a)
    if other.lower_bound > better.lower_bound:
        better = replace(better, lower_bound=other.lower_bound, bound_how=other.bound_how)
    return better


class _Search:
    def __init__(self, model: Model, work: Work) -> None:
        self.model, self.work = model, work
        self.plan: Plan = {}
        self.cost: int | None = None  # of a full plan
        self.first_cost: int | None = None
        self.bound, self.how = 0, "nothing to cut"
        self.known: list[Plan] = []

    def first(self) -> Answer:
        model = self.model
        if model.use and model.bars:
            for number, plan in enumerate(first_fit_plans(model)):
                self.known.append(plan)
                self.offer(plan)
                if number == 1:
                    self.first_cost = self.cost
            self.raise_bound(material_bound(model), "material")
            self.raise_bound(l2_bound(model), "L2")
        return self.answer()

    def better(self) -> Iterator[Answer]:
        model = self.model
        if self.closed or not model.use or not model.bars:
            return
        patterns = list({pattern: None for plan in self.known for pattern in plan})
        relaxation = Relaxation(model, self.work, patterns)
        for bound in relaxation.rounds():
            if self.raise_bound(bound, "column generation"):
                yield self.answer()
        if self.closed or relaxation.relaxed is None:
            return
        yield from self._down(relaxation)

    def _down(self, relaxation: Relaxation) -> Iterator[Answer]:
        """From the linear program to plans: dives, the exact end where it is in reach, then in turns
        parts cut anew, more dives and integer programs of growing effort."""
        assert relaxation.relaxed is not None
        model = self.model
        diver = Diver(model, self.work)
        start = relaxation.master.worth_keeping(relaxation.relaxed, 6 * len(model.use) + 200)
        enumerator = None
        if relaxation.settled and relaxation.prices is not None:
            enumerator = Enumerator(model, relaxation.pricer, relaxation.prices, self.work)
        for turn in range(TURNS):
            for depart in range(DIVES * turn, DIVES * (turn + 1)):
                if self.offer(diver.dive(start, self.cost, depart, rounds=6)):
                    yield self.answer()
                if self.over:
                    return
            if enumerator is not None and enumerator.possible:
                yield from self._exact(enumerator, 4_000 << turn, NODES << turn)
            if self.over:
                return
            if self.cost is not None:
                for plan in parts_improved(model, self.plan, PIECES + 6 * turn, self.work, PARTS << turn):
                    if self.offer(plan):
                        yield self.answer()
            if self.over:
                return
            pool = [*start, *diver.found[-2_000:]]
            known = self.plan if self.cost is not None else None
            solved = solve_pool(model, pool, NODES << turn, self.work, known)
            if self.offer(solved.plan):
                yield self.answer()
            if self.over:
                return

    def _exact(self, enumerator: Enumerator, most: int, nodes: int) -> Iterator[Answer]:
        """All patterns that a better plan can hold, when they are few enough, in one integer program."""
        ceiling = self.cost - self.model.step if self.cost is not None else None
        if ceiling is None:
            return
        patterns = enumerator.patterns(ceiling, most)
        if patterns is None:
            return
        solved = solve_pool(self.model, patterns, nodes, self.work, self.plan)
        improved = self.offer(solved.plan)
        assert self.cost is not None
        proven = self.cost if solved.bound is None else min(self.cost, self._whole(solved.bound))
        if self.raise_bound(proven, "enumeration and branching") or improved:
            yield self.answer()

    def _whole(self, bound: float) -> int:
        """A bound of the integer program, its tolerances taken off, rounded up to a possible objective."""
        return self.model.round_up(Fraction(bound) - Fraction(3 * self.model.step, 5))

    @property
    def over(self) -> bool:
        return self.closed or self.work.over

    @property
    def closed(self) -> bool:
        return self.cost is not None and self.cost <= self.bound

    def offer(self, plan: Plan | None) -> bool:
        """Keeps the plan when it is full, obeys the same-heat rule and is cheaper than the best."""
        if plan is None:
            return False
        if self.model.shortfall(plan):
            if self.cost is None and self._served(plan) > self._served(self.plan):
                self.plan = plan
            return False
        cost = self.model.plan_cost(plan)
        if (self.cost is not None and cost >= self.cost) or not self.model.obeys_heat(plan):
            return False
        self.plan, self.cost = plan, cost
        return True

    def _served(self, plan: Plan) -> int:
        return sum(self.model.used(pattern) * times for pattern, times in plan.items())

    def raise_bound(self, bound: Fraction | int, how: str) -> bool:
        rounded = self.model.round_up(bound)
        if rounded <= self.bound:
            return False
        self.bound, self.how = rounded, how
        return True

    def answer(self) -> Answer:
        answer = self.model.answer(self.plan, self.bound, self.how, self.first_cost)
        return verify(self.model.problem, answer)
