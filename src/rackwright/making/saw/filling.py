"""Everything into given bars, with so much allowed to be wasted: the remnants are set apart first.

The value of a plan that opens these bars is known before any is cut: what they cost, less the credit for what is left
over, which is most where as many remnants as there is length for are kept, each no longer than it must be but one, and
nothing else is wasted. So the longest bars are shortened by their remnants, and it is asked whether all pieces fit
into what is then there, by a dive that no money leads astray. What may be wasted is halved until they do not, and then
searched between the two. Own derivation.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rackwright.making.saw.colgen import Work
from rackwright.making.saw.dive import Diver
from rackwright.making.saw.model import BarKind, Mix, Model, Part, Plan

__all__ = ["Filler"]

FIRST = 4  # a first waste of the mean use of a piece by this
FAILURES = 2
GRID = 24_000  # rests of a dive: on a grid as coarse as its own a bar wastes more than is allowed here


class Filler:
    """Plans from mixes of bars, where leftovers are credited; what failed with one is not tried with the next."""

    def __init__(self, model: Model, work: Work) -> None:
        self.model, self.work = model, work
        self.first = model.need // max(1, sum(model.demand)) // FIRST
        self.too_little: dict[int, int] = {}  # by dive: a waste with which it found nothing

    def plans(self, mix: Mix, value: int, ceiling: int, dive: int) -> Iterator[Plan]:
        """Plans that open no other bars and cost less than `ceiling`, each less than the one before. `value`: what no
        plan of the mix costs less than; `dive`: which of the dives is tried for each waste."""
        model, credit = self.model, self.model.problem.remnant_credit
        spare = model.spare(mix)
        low, high = self.too_little.get(dive, -1), (ceiling - value) // credit
        waste, failures, least = min(self.first, spare, 3 * high // 4), 0, _remnant(model)
        some = (
            spare - least
        )  # may be wasted at most where a remnant is kept: without one all plans cost alike
        if sum(n * bar.cost for n, bar in zip(mix, model.bars, strict=True)) >= ceiling:
            high = min(high, some + 1)
            waste = min(waste, some)
        while failures < FAILURES and low < waste < high:
            if waste > some:
                waste = spare
            part = _with_remnants_apart(model, mix, spare - waste)
            plan = None if part is None else self._fitted(part, dive)
            if plan is None:
                low, failures = waste, failures + 1
                self.too_little[dive] = max(waste, self.too_little.get(dive, 0))
                if waste == spare:
                    return
                waste = (low + high) // 2
                continue
            if model.plan_cost(plan) < ceiling:
                ceiling = model.plan_cost(plan)
                yield plan
            high = min(waste, (ceiling - value) // credit, *([some + 1] if waste == spare else []))
            waste = (low + high) // 2

    def _fitted(self, part: Part, dive: int) -> Plan | None:
        plan = Diver(part.model, self.work, GRID).number(dive, [], None)
        return None if plan is None or part.model.shortfall(plan) else part.plan_back(plan)


def _remnant(model: Model) -> int:
    """Room that a remnant takes at least, beyond the tail."""
    return max(1, model.problem.remnant_min - model.problem.tail_min)


def _with_remnants_apart(model: Model, mix: Mix, kept: int) -> Part | None:
    """The bars of the mix without `kept` of their room, in remnants; None where no bar can give the longest one."""
    least = _remnant(model)
    many = min(kept // least, sum(mix) - 1)
    apart = [kept - least * (many - 1), *[least] * (many - 1)] if many else []
    bars: list[BarKind] = []
    kinds: list[int] = []
    for k in sorted(range(len(mix)), key=lambda k: -model.bars[k].room):
        bar, left = model.bars[k], mix[k]
        while left and apart and bar.room - apart[0] >= model.use[-1]:
            bars.append(replace(bar, room=bar.room - apart.pop(0), count=1))
            kinds.append(k)
            left -= 1
        if left:
            bars.append(replace(bar, count=left))
            kinds.append(k)
    if apart:
        return None
    return Part(model.without_credit(bars), tuple(range(len(model.use))), tuple(kinds))
