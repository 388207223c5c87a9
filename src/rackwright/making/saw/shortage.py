"""What is short where the stock does not suffice, and the cheapest purchase with which it does.

Both are cutting problems, so that the search answers them with its bound. *Short*: bars cost nothing, and for every
kind of piece there are stand-ins without end, as long as one such piece and as dear as its use; the optimum is the
least use that stays uncut. *Purchase*: bars cost nothing, those on offer their price without end; the optimum is
the least money, and is zero exactly when nothing need be bought.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from rackwright.making.saw.improve import improve
from rackwright.making.saw.problem import STAND_IN, Answer, Bar, Problem

__all__ = ["Purchase", "Short", "Shortage", "cheapest_purchase", "shortage"]


@dataclass(frozen=True)
class Short:
    """`number` pieces that stay uncut. `by_heat`: how many of this piece each heat's bars hold, were nothing else
    cut from them; no heat has any where the piece is longer than every bar."""

    piece: str
    number: int
    by_heat: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Shortage:
    """Pieces that stay uncut, of `use` in all; no plan leaves less than `least_use` uncut."""

    pieces: tuple[Short, ...]
    use: int
    least_use: int

    @property
    def proven(self) -> bool:
        return self.use == self.least_use


@dataclass(frozen=True)
class Purchase:
    """Bars to buy (id, how many) at `cost`; no purchase that serves costs less than `least_cost`."""

    bars: tuple[tuple[str, int], ...]
    cost: int
    least_cost: int
    answer: Answer  # everything cut from stock and from these

    @property
    def proven(self) -> bool:
        return self.cost == self.least_cost


def shortage(problem: Problem, effort: int) -> Shortage:
    """What the bars of the problem cannot give, as little as is found within the effort."""
    tail = problem.tail_min - problem.last_kerf
    stand_ins = {
        piece.use: Bar(f"{STAND_IN}{piece.use}", piece.use + tail, piece.use, heat=STAND_IN)
        for piece in problem.pieces
    }
    answer = _least(_free(problem, stand_ins.values()), effort)
    missing: Counter[str] = Counter(dict(answer.missing))
    for plan in answer.cuts:
        if plan.bar.startswith(STAND_IN):
            for name, number in plan.cut:
                missing[name] += number * plan.times
    pieces = tuple(
        Short(piece.id, missing[piece.id], _by_heat(problem, piece.use))
        for piece in problem.pieces
        if missing[piece.id]
    )
    use = sum(problem.piece[short.piece].use * short.number for short in pieces)
    return Shortage(pieces, use, min(use, answer.lower_bound))


def cheapest_purchase(problem: Problem, offered: Sequence[Bar], effort: int) -> Purchase | None:
    """The least money for bars on offer with which everything can be cut; None when none were found that serve.

    `problem` has the bars in stock, `offered` what each bar on offer costs to buy; its count is not looked at.
    """
    answer = _least(_free(problem, [replace(bar, count=None) for bar in offered]), effort)
    if answer.missing:
        return None
    ids = {bar.id for bar in offered}
    bought: Counter[str] = Counter()
    for plan in answer.cuts:
        if plan.bar in ids:
            bought[plan.bar] += plan.times
    bars = tuple((bar.id, bought[bar.id]) for bar in offered if bought[bar.id])
    return Purchase(bars, answer.objective, answer.lower_bound, answer)


def _free(problem: Problem, others: Iterable[Bar]) -> Problem:
    """The problem with its bars for nothing, no credit, and others beside them."""
    free = tuple(replace(bar, cost=0) for bar in problem.bars)
    return replace(problem, bars=(*free, *others), remnant_credit=0, remnant_min=0)


def _least(problem: Problem, effort: int) -> Answer:
    return list(improve(problem, effort))[-1]


def _by_heat(problem: Problem, use: int) -> tuple[tuple[str, int], ...]:
    most: Counter[str] = Counter()
    for bar in problem.bars:
        most[bar.heat] += (bar.count or 0) * max(0, problem.room(bar) // use)
    return tuple((heat, most[heat]) for heat in sorted(most) if most[heat])
