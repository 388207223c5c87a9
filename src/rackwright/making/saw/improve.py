"""Ever better answers: first fit at once, then bounds, dives, and an integer program for what remains.

`improve` is a generator. It reads no clock and draws no random numbers: the same problem and effort give
the same answers; whoever runs it may stop listening at any time and keeps the last answer.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackwright.making.saw.bounds import l2_bound, material_bound
from rackwright.making.saw.check import verify
from rackwright.making.saw.colgen import Relaxation, Work
from rackwright.making.saw.dive import Diver
from rackwright.making.saw.greedy import first_fit_plans
from rackwright.making.saw.model import Model, Plan
from rackwright.making.saw.problem import Answer, Problem

__all__ = ["first_answer", "improve"]


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
        diver = Diver(model, self.work)
        start = relaxation.master.worth_keeping(relaxation.relaxed, 6 * len(model.use) + 200)
        for depart in range(6):
            plan = diver.dive(start, self.cost, depart, rounds=6)
            if plan is not None and self.offer(plan):
                yield self.answer()
            if self.closed or self.work.over:
                return

    @property
    def closed(self) -> bool:
        return self.cost is not None and self.cost <= self.bound

    def offer(self, plan: Plan) -> bool:
        """Keeps the plan when it is full and cheaper than the best."""
        if self.model.shortfall(plan):
            if self.cost is None and self._served(plan) > self._served(self.plan):
                self.plan = plan
            return False
        cost = self.model.plan_cost(plan)
        if self.cost is not None and cost >= self.cost:
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
