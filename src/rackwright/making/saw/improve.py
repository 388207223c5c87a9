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
from rackwright.making.saw.feasible import plainly_short, question, real_plan
from rackwright.making.saw.filling import Filler
from rackwright.making.saw.greedy import first_fit_plans
from rackwright.making.saw.mixes import Mixes
from rackwright.making.saw.model import Mix, Model, Pattern, Plan
from rackwright.making.saw.neighbourhood import cut_below, parts_improved
from rackwright.making.saw.openings import Openings
from rackwright.making.saw.pool import solve_pool
from rackwright.making.saw.problem import Answer, Problem

__all__ = ["best_of", "first_answer", "improve"]

TURNS = 10  # rounds of everything, each with twice the effort of the one before
DIVES = 24  # dives a round
FEW = 4  # of them before mixes of bars are tried
NODES = 200  # branching nodes of the first integer program
COMPLETE = 10_000  # patterns of a complete first integer program, at most
SOME = 4_000  # patterns of an incomplete one
MIXES = 40  # mixes of bars tried in the first round
MIX_EFFORT = 150  # work on one mix in the first round
BOXES = 400  # boxes of numbers of bars split in the first round
OFTEN = 20  # of them, after which the bound is told
FITTED = 6  # mixes into which everything is fitted before any is priced, in the first round
OPENED = 12  # mixes found so cut from in the first round
PARTS = 30  # parts cut anew in the first round
LARGE = 20_000  # kinds of piece that are searched at all
PIECES = 28  # pieces in a part, in the first round


def first_answer(problem: Problem) -> Answer:
    """First-fit decreasing (the best of several orders) with the material and L2 bounds: milliseconds."""
    return _Search(Model(problem), Work(0)).first()


def improve(problem: Problem, effort: int | None = None, exact_first: bool = False) -> Iterator[Answer]:
    """Better and better answers, each with the best bound known by then; the last is the best.

    `effort` counts pricing passes and branching nodes; None works until the optimum is proven or nothing
    is left to try, which may be for ever. `exact_first` begins with which bars to open instead of the
    dives: something else for a second processor to do.
    """
    search = _Search(Model(problem), Work(float("inf") if effort is None else effort))
    search.exact_first = exact_first
    yield search.first()
    yield from search.better()


def best_of(a: Answer, b: Answer) -> Answer:
    """The better plan of two answers to one problem, with the better bound."""

    def rank(answer: Answer) -> tuple[int, int]:
        return sum(n for _, n in answer.missing), answer.objective

    better, other = (a, b) if rank(a) <= rank(b) else (b, a)
    if other.lower_bound > better.lower_bound:
        better = replace(better, lower_bound=other.lower_bound, bound_how=other.bound_how)
    return replace(better, missing_proven=a.missing_proven or b.missing_proven)


class _Search:
    def __init__(self, model: Model, work: Work) -> None:
        self.model, self.work = model, work
        self.plan: Plan = {}
        self.cost: int | None = None  # of a full plan
        self.first_cost: int | None = None
        self.bound, self.how = 0, "nothing to cut"
        self.known: list[Plan] = []
        self.exact_first = False
        self.openings: Openings | None = None
        self.filler = Filler(model, work)
        self.hopeless: set[Mix] = set()  # mixes of bars that are proven not to suffice
        self.impossible = False  # proven that not everything can be cut

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
        elif not model.use:
            self.cost = self.first_cost = 0
        self.impossible = self.cost is None and plainly_short(model)
        return self.answer()

    def better(self) -> Iterator[Answer]:
        model = self.model
        if self.over or self._too_large():
            return
        if self.cost is None:
            yield from self._first_plan()
            if self.over:
                return
        patterns = list({pattern: None for plan in self.known for pattern in plan})
        relaxation = Relaxation(model, self.work, patterns)
        for bound in relaxation.rounds():
            if self.raise_bound(bound, "column generation"):
                yield self.answer()
        if not self.over and relaxation.relaxed is not None:
            yield from self._down(relaxation)

    def _too_large(self) -> bool:
        """Beyond this the tables of the search do not fit a workstation; first fit and its bound stand."""
        pieces, bars = len(self.model.use), len(self.model.bars)
        return pieces > LARGE or pieces * bars > 100 * LARGE

    def _first_plan(self) -> Iterator[Answer]:
        """First fit failed: is there a plan at all?"""
        search = _Search(Model(question(self.model.problem)), self.work)
        search.first()
        for answer in (search.answer(), *()) if search.closed else search.better():
            plan = real_plan(self.model, answer)
            if answer.lower_bound > 0:
                self.impossible = True
            better = self.offer(plan)
            if better or self.impossible:
                self.known.append(plan)
                yield self.answer()
                return
            if self._served(plan) > self._served(self.plan):
                self.plan = plan
                yield self.answer()

    def _down(self, relaxation: Relaxation) -> Iterator[Answer]:
        """From the linear program to plans, in turns of growing effort: dives, parts cut anew, and integer
        programs over the best patterns, which are the exact end where all that matter are among them."""
        assert relaxation.relaxed is not None
        diver = Diver(self.model, self.work)
        start = relaxation.master.worth_keeping(relaxation.relaxed, 6 * len(self.model.use) + 200)
        enumerator = None
        if relaxation.settled and relaxation.prices is not None:
            enumerator = Enumerator(self.model, relaxation.pricer, relaxation.prices, self.work)
            if len(self.model.bars) > 1 or self.model.problem.remnant_credit:
                self.openings = Openings(self.model, self.work, relaxation.pricer, start)
        for turn in range(TURNS):
            numbers = range(DIVES * turn, DIVES * (turn + 1))
            few, others = numbers[:FEW], numbers[FEW:]
            few_dives, more_dives = self._dives(diver, start, few), self._dives(diver, start, others)
            mixes, opened, parts = self._mixes(turn), self._openings(turn), self._parts(turn)
            program = self._program(enumerator, turn, start, diver)
            steps: tuple[Iterator[bool], ...]
            if self.exact_first:
                steps = opened, few_dives, program, mixes, more_dives, parts
            else:
                steps = self._fits_by_length(turn), few_dives, mixes, opened, more_dives, parts, program
            for step in steps:
                for better in step:
                    if better:
                        yield self.answer()
                    if self.over:
                        return

    def _dives(self, diver: Diver, start: list[Pattern], numbers: range) -> Iterator[bool]:
        for n in numbers:
            yield self.offer(diver.number(n, start, self.cost))

    def _mixes(self, turn: int) -> Iterator[bool]:
        """Mixes of bars, cheapest first: can everything be cut from just these?"""
        if self.cost is None or not (mixes := Mixes(self.model, self.cost)).possible:
            return
        tried, proving = 0, True
        for cost in mixes.costs(self.bound):
            if proving:
                yield self.raise_bound(cost, "mixes of bars")
            for mix in mixes.of_cost(cost):
                if tried >= MIXES << turn or self.work.over:
                    return
                tried += 1
                if mix not in self.hopeless:
                    plan, hopeless = self._cut_from(self.model.just(mix), MIX_EFFORT << turn)
                    if self.offer(plan):
                        yield True
                        return
                    if hopeless:
                        self.hopeless.add(mix)
                proving &= mix in self.hopeless
        if proving:
            yield self.raise_bound(self.cost, "mixes of bars")

    def _openings(self, turn: int) -> Iterator[bool]:
        """Which bars to open, by branching; everything is cut from each mix that may be best as soon as it is found."""
        if self.cost is None or (openings := self.openings) is None:
            return
        tried: set[Mix] = set()
        for n in range(BOXES << turn):
            splits = openings.split(self.cost)
            new = [mix for mix in openings.found(self.cost) if mix not in tried]
            if new or not splits or n % OFTEN == 0:
                yield self.raise_bound(openings.bound(self.cost), "branching on the bars opened")
            for mix in new[: (OPENED << turn) - len(tried)]:
                tried.add(mix)
                yield from self._cut_all_from(mix, turn)
            if not splits:
                return

    def _cut_all_from(self, mix: Mix, turn: int) -> Iterator[bool]:
        """Exactly these bars: better plans or a better bound."""
        assert self.openings is not None
        assert self.cost is not None
        before = self.cost
        if self._fits():
            yield from self._fit_into(mix, self.openings.of_mix(mix), turn)
            if turn == 0 or self.cost < before:
                return
        part = self.model.opened(mix)
        patterns = [*part.plan_of(self.openings.patterns(mix, 300))]
        dives = range(FEW * turn, FEW * (turn + 1))
        below = cut_below(part.model, patterns, self.cost, self.work, turn, dives)
        self.openings.raise_bound(mix, below.bound)
        better = below.plan is not None and self.offer(part.plan_back(below.plan))
        yield self.raise_bound(self.openings.bound(self.cost), "branching on the bars opened") or better

    def _fits_by_length(self, turn: int) -> Iterator[bool]:
        """Everything fitted into the mixes that are cheapest by lengths alone."""
        if self.cost is None or not self._fits():
            return
        openings, tried = Openings(self.model, self.work), set[Mix]()
        while len(tried) < FITTED << turn and openings.split(self.cost):
            for mix in openings.found(self.cost):
                if mix not in tried:
                    tried.add(mix)
                    yield from self._fit_into(mix, openings.of_mix(mix), turn)

    def _fit_into(self, mix: Mix, value: int, turn: int) -> Iterator[bool]:
        assert self.cost is not None
        for plan in self.filler.plans(mix, value, self.cost, turn if self.exact_first else turn + 1):
            yield self.offer(plan)

    def _fits(self) -> bool:
        """Is everything fitted into mixes? Of few pieces all patterns are listed instead."""
        return self.model.problem.remnant_credit > 0 and sum(self.model.demand) > PIECES

    def _cut_from(self, problem: Problem, effort: int) -> tuple[Plan | None, bool]:
        """A plan for just these bars, or whether it is proven that there is none."""
        work = Work(min(effort, self.work.left))
        search = _Search(Model(question(problem)), work)
        search.first()
        for _ in search.better():
            if search.bound > 0:
                break
        self.work.spend(work.done)
        if search.bound == 0 and search.cost == 0:
            return real_plan(self.model, search.answer()), False
        return None, search.bound > 0

    def _parts(self, turn: int) -> Iterator[bool]:
        """Pointless where bars cost alike (a part saves a whole bar or nothing), or a part is everything."""
        pieces = PIECES + 6 * turn
        alike = len(self.model.bars) == 1 and self.model.problem.remnant_credit == 0
        if self.cost is not None and not alike and sum(self.model.demand) > pieces:
            for plan in parts_improved(self.model, self.plan, pieces, self.work, PARTS << turn, turn):
                yield self.offer(plan)

    def _program(
        self, enumerator: Enumerator | None, turn: int, start: list[Pattern], diver: Diver
    ) -> Iterator[bool]:
        """An integer program over all patterns that a better plan can hold, when they are few enough; else
        over the best of them."""
        pool = [*start, *diver.found[-2_000:]]
        patterns: list[Pattern] | None = None
        complete = False
        if enumerator is not None and enumerator.possible:
            if self.cost is not None:
                most = (COMPLETE * 4 if self.exact_first else COMPLETE) << turn
                patterns = enumerator.patterns(self.cost - self.model.step, most)
                complete = patterns is not None
            if patterns is None:
                patterns = [*enumerator.best(SOME << turn), *pool]
        solved = solve_pool(self.model, patterns or pool, NODES << turn, self.work, self.cost)
        before = self.cost
        better = self.offer(solved.plan)
        if complete and before is not None:
            assert self.cost is not None
            if solved.finished and solved.bound is None:
                better |= self.raise_bound(before, "enumeration and branching")
            elif solved.bound is not None:
                proven = min(self.cost, self._whole(solved.bound))
                better |= self.raise_bound(proven, "enumeration and branching")
        yield better

    def _whole(self, bound: float) -> int:
        """A bound of the integer program, its tolerances taken off, rounded up to a possible objective."""
        return self.model.round_up(Fraction(bound) - Fraction(3 * self.model.step, 5))

    @property
    def over(self) -> bool:
        return self.closed or self.work.over

    @property
    def closed(self) -> bool:
        return self.impossible or (self.cost is not None and self.cost <= self.bound)

    def offer(self, plan: Plan | None) -> bool:
        """Keeps the plan when it is full, obeys the same-heat rule and is cheaper than the best."""
        if plan is None:
            return False
        if self.model.shortfall(plan):
            if self.cost is None and self._served(plan) > self._served(self.plan):
                self.plan = plan
            return False
        cost = self.model.plan_cost(plan)
        if self.cost is not None and (cost, sum(plan.values())) >= (self.cost, sum(self.plan.values())):
            return False  # at the same cost, fewer bars
        if not self.model.obeys_heat(plan):
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
        plan = self.plan if self.cost is not None else self.model.whole_sets(self.plan)
        answer = self.model.answer(plan, self.bound, self.how, self.first_cost, self.impossible)
        return verify(self.model.problem, answer)
