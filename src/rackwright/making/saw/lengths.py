"""What lengths alone say of a box: the least that its numbers of bars and remnants can cost, were every bar filled.

With n bars opened of room r and cost c each, the pieces use `need`, and what is left of the bars beyond their tails is
S = Σ r·n - need. R remnants kept are worth at most credit·(S + tail·R) together and need (least remnant - tail)·R of S:

    minimise Σ c·n - credit·(Σ r·n - need + tail·R)     where Σ r·n >= need + (least remnant - tail)·R    (R >= 1)
    minimise Σ c·n                                       where Σ r·n >= need                                (R = 0)

A continuous knapsack: bars, and remnants not kept, are taken cheapest a unit first (Dantzig 1957), all whole but the
last. Its dual price proves the bound in whole numbers. Own derivation; it asks nothing of the pieces but their sum, so
that a linear program over patterns need not be solved before the numbers are whole.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from rackwright.making.saw.bounds import Box
from rackwright.making.saw.model import Model

__all__ = ["Least", "Lengths"]


@dataclass(frozen=True)
class Least:
    """No plan within `box` costs less than `bound`; `numbers` of bars by kind, and of remnants, reach it."""

    bound: int
    box: Box
    numbers: tuple[float, ...]


@dataclass(frozen=True)
class _Item:
    """So many at most (`low` at least) of room and cost each; `remnant`: the number *not* kept of those allowed."""

    room: int
    cost: int
    low: int
    high: int


class Lengths:
    """The lengths of a model's bars, pieces and remnants."""

    def __init__(self, model: Model) -> None:
        self.model = model
        problem = model.problem
        self.tail, self.credit = problem.tail_min, problem.remnant_credit
        self.remnant = max(
            0, problem.remnant_min - problem.tail_min
        )  # room that a remnant kept takes at least
        self.need = model.need

    def least(self, box: Box) -> Least | None:
        """None where the bars of the box do not suffice."""
        drawn = self._drawn_in(box)
        if drawn is None:
            return None
        bars, credit = self.model.bars, self.credit if drawn.most else 0
        items = [
            _Item(bar.room, bar.cost - credit * bar.room, low, high)
            for bar, low, high in zip(bars, drawn.low, drawn.high, strict=True)
        ]
        need, fixed = self.need, credit * self.need
        if drawn.most:
            need += self.remnant * drawn.most
            fixed -= credit * self.tail * drawn.most
            items.append(_Item(self.remnant, credit * self.tail, 0, drawn.most - drawn.least))
        taken, price = _filled(items, need)
        value = Fraction(fixed) + price * need
        for item in items:
            net = item.cost - price * item.room
            value += net * (item.high if net < 0 else item.low)
        kept = drawn.most - taken.pop() if drawn.most else 0.0
        return Least(self.model.round_up(value), drawn, (*taken, kept))

    def _drawn_in(self, box: Box) -> Box | None:
        """Without the numbers of bars that all others together cannot make up for, and without more remnants than
        there is length left over; None where the bars do not suffice."""
        bars = self.model.bars
        spare = self.model.spare(box.high) - self.remnant * box.least
        if spare < 0:
            return None
        low = tuple(
            max(low, high - spare // bar.room) for low, high, bar in zip(box.low, box.high, bars, strict=True)
        )
        most = min(box.most, box.least + spare // self.remnant) if self.remnant > 0 else box.most
        return replace(box, low=low, most=most)


def _filled(items: list[_Item], need: int) -> tuple[list[float], Fraction]:
    """How much is taken of each item, cheapest a unit of room first, and the price of the last unit."""
    taken = [float(item.low) for item in items]
    lack = need - sum(item.low * item.room for item in items)
    price = Fraction(0)
    for i in sorted(range(len(items)), key=lambda i: (items[i].cost / max(1, items[i].room), i)):
        item = items[i]
        if item.room <= 0 or (lack <= 0 and item.cost >= 0):
            continue
        more = item.high - item.low
        if item.cost >= 0 and more * item.room > lack:
            taken[i] += lack / item.room
            return taken, Fraction(item.cost, item.room)
        if item.cost >= 0 and more:
            price = Fraction(item.cost, item.room)
        taken[i] += more
        lack -= more * item.room
    return taken, price
