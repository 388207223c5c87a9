"""Among plans of the least value: fewer bars opened, then fewer settings of the stop, each for at most a stated price.

Value is settled first (`improve`). What is left open by it is decided here, one level after the other: two bars of the
plan exchange pieces, all of one length for some of another, wherever that opens a bar less or saves settings and keeps
the value within `slack` of the best. A stop that need not be moved is a length that cannot be misread, so that settings
are worth more than cents; how many cents is the shop's to say (`slack`, in units of the objective). Exchanges are tried
in one order until none helps: fewer settings, not provably the fewest. `least_levels` says what no plan goes below,
whatever it costs: bars by the search itself with every bar at one, settings by the kinds of piece, each set once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from rackwright.making.saw.check import verify
from rackwright.making.saw.improve import improve
from rackwright.making.saw.order import in_cutting_order
from rackwright.making.saw.problem import Answer, BarPlan, Problem

__all__ = ["Levels", "least_levels", "levelled"]

BARS = 400  # beyond so many bars the plan stays as it is
SWEEPS = 12

Cut = dict[str, int]


@dataclass(frozen=True)
class Levels:
    """Bounds: no plan of the problem opens fewer bars or sets the stop less often."""

    bars: int
    stop_moves: int


def least_levels(problem: Problem, effort: int) -> Levels:
    """Bounds on the levels below the value; 0 where nothing is cut."""
    ones = tuple(replace(bar, cost=1) for bar in problem.bars)
    counted = replace(problem, bars=ones, remnant_credit=0, remnant_min=0)
    bars = list(improve(counted, effort))[-1].lower_bound
    return Levels(bars, sum(1 for piece in problem.pieces if piece.count))


def levelled(problem: Problem, answer: Answer, slack: int = 0) -> Answer:
    """The answer with fewer bars or stop moves for no more than `slack`; itself where nothing is gained."""
    if answer.missing or not 2 <= answer.bars_opened <= BARS:
        return answer
    work = _Work(problem, answer, slack)
    for _ in range(SWEEPS):
        if not work.sweep():
            break
    found = work.answer()
    return verify(problem, found) if _rank(found) < _rank(answer) else answer


def _rank(answer: Answer) -> tuple[int, int, int]:
    return answer.bars_opened, answer.stop_moves, answer.objective


@dataclass(frozen=True)
class _Trade:
    """What a bar hands over: so many of a piece."""

    piece: str
    number: int


class _Work:
    """Bars one by one, what each is cut into, and how much the plan may still cost more."""

    def __init__(self, problem: Problem, answer: Answer, slack: int) -> None:
        self.problem, self.before = problem, answer
        self.bars = [problem.bar[one.bar] for one in answer.cuts for _ in range(one.times)]
        self.cuts: list[Cut] = [dict(one.cut) for one in answer.cuts for _ in range(one.times)]
        self.left = slack
        self.group = {name: g for g, group in enumerate(problem.groups) for name in group.pieces}

    def sweep(self) -> bool:
        """Every pair of bars once; did anything help?"""
        helped = False
        for a in range(len(self.bars)):
            for b in range(len(self.bars)):
                while a != b and self.cuts[a] and self.cuts[b] and self._exchange(a, b):
                    helped = True
        return helped

    def _exchange(self, a: int, b: int) -> bool:
        """All of one piece from a to b, for some of another: the best that helps."""
        kinds = len(self.cuts[a]) + len(self.cuts[b])
        spent = self._cost(a, self.cuts[a]) + self._cost(b, self.cuts[b])
        best: tuple[tuple[int, int, int], Cut, Cut] | None = None
        for give, take in self._trades(a, b):
            one, two = _after(self.cuts[a], give, take), _after(self.cuts[b], take, give)
            gain = (int(not one) + int(not two), kinds - len(one) - len(two))
            if (
                gain <= (0, 0)
                or not (self._fits(a, one) and self._fits(b, two))
                or not self._sets(a, b, one, two)
            ):
                continue
            more = self._cost(a, one) + self._cost(b, two) - spent
            if more <= self.left and (best is None or (*gain, -more) > best[0]):
                best = (*gain, -more), one, two
        if best is None:
            return False
        (_, _, less), self.cuts[a], self.cuts[b] = best
        self.left += less
        return True

    def _trades(self, a: int, b: int) -> Iterator[tuple[_Trade, _Trade | None]]:
        for piece, number in self.cuts[a].items():
            give = _Trade(piece, number)
            yield give, None
            for other, there in self.cuts[b].items():
                if other != piece:
                    for some in range(1, there + 1):
                        yield give, _Trade(other, some)

    def _fits(self, n: int, cut: Cut) -> bool:
        return self.problem.used(cut.items()) <= self.problem.room(self.bars[n])

    def _cost(self, n: int, cut: Cut) -> int:
        if not cut:
            return 0
        bar = self.bars[n]
        return bar.cost - self.problem.credit(self.problem.leftover(bar, self.problem.used(cut.items())))

    def _sets(self, a: int, b: int, one: Cut, two: Cut) -> bool:
        """Does the same-heat rule stand? Between bars of one heat it always does."""
        if self.bars[a].heat == self.bars[b].heat:
            return True
        for n, now in ((a, one), (b, two)):
            if not all(self.problem.piece[name].may_be_of(self.bars[n].heat) for name in now):
                return False
        for g, group in enumerate(self.problem.groups):
            for n, now in ((a, one), (b, two)):
                change = sum(now.get(name, 0) - self.cuts[n].get(name, 0) for name in group.pieces)
                if change % self.problem.groups[g].sets_of:
                    return False
        return True

    def answer(self) -> Answer:
        alike: Counter[tuple[str, tuple[tuple[str, int], ...]]] = Counter()
        for bar, cut in zip(self.bars, self.cuts, strict=True):
            if cut:
                longest = sorted(cut.items(), key=lambda one: (-self.problem.piece[one[0]].use, one[0]))
                alike[bar.id, tuple(longest)] += 1
        plans = [
            BarPlan(bar, cut, times, self.problem.leftover(self.problem.bar[bar], self.problem.used(cut)))
            for (bar, cut), times in alike.items()
        ]
        cost = sum(self._cost(n, cut) for n, cut in enumerate(self.cuts))
        more = self.before.level_price + cost - self.before.objective
        return replace(self.before, cuts=in_cutting_order(plans), objective=cost, level_price=more)


def _after(cut: Cut, out: _Trade | None, in_: _Trade | None) -> Cut:
    found = dict(cut)
    for trade, sign in ((out, -1), (in_, 1)):
        if trade is not None:
            found[trade.piece] = found.get(trade.piece, 0) + sign * trade.number
    return {name: number for name, number in found.items() if number}
