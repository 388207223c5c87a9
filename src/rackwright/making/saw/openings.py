"""How many bars of each kind to open: branching on these numbers, from a bound to the mixes that can be best.

A linear program opens 6.3 long bars, or 0.04 of one. What a plan costs beyond its use hangs mostly on which bars it
breaks open, so the numbers of bars are branched on first (as numbers of vehicles are in routing: Desrochers,
Desrosiers & Solomon 1992). A *box* allows each kind of bar a number from `low` to `high`; its bound is

    Σ demand·π - Σ over kinds of (high if a bar earns at prices π more than it costs, else low) · (earned - cost)

for any prices π >= 0 (linear duality), in whole numbers. The cheapest box goes first. Where its program opens whole
bars, their *mix* is set apart, to be cut from by other means (a problem of the same pieces and just these bars), and
the box without it is split. What is left in the end are few mixes; the least of their bounds and of the boxes' still
open bounds every plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

from rackwright.making.saw.colgen import Relaxation, Work
from rackwright.making.saw.knapsack import Pricer
from rackwright.making.saw.master import Floats, Master
from rackwright.making.saw.model import Mix, Model, Pattern

__all__ = ["Openings"]

WHOLE = 1e-6  # numbers of bars this near to whole are whole


@dataclass(frozen=True, order=True)
class _Box:
    """Numbers of bars from `low` to `high`; no plan within costs less than `bound`; `opened` by its program."""

    bound: int
    number: int  # of the boxes made, so that equal bounds keep their order
    low: Mix
    high: Mix
    opened: tuple[float, ...]


class Openings:
    """The boxes still open and the mixes set apart: `mixes` by mix, each with a bound on its plans."""

    def __init__(self, model: Model, pricer: Pricer, patterns: Sequence[Pattern], work: Work) -> None:
        self.model, self.pricer, self.work = model, pricer, work
        self.mixes: dict[Mix, int] = {}
        self.boxes: list[_Box] = []
        self.made = 0
        self.master = Master(model, patterns, every_kind=True)
        most = sum(model.demand)
        self._open(
            (0,) * len(model.bars),
            tuple(most if bar.count is None else bar.count for bar in model.bars),
            0,
            None,
        )

    def split(self, ceiling: int) -> bool:
        """Splits the cheapest box, if it may hold a plan that costs less than `ceiling`."""
        if not self.boxes or self.boxes[0].bound >= ceiling or self.work.over:
            return False
        self._split(heappop(self.boxes), ceiling)
        return True

    def bound(self, ceiling: int) -> int:
        """What no plan costs less than, or `ceiling`."""
        least = self.boxes[0].bound if self.boxes else ceiling
        return min([ceiling, least, *self.mixes.values()])

    def found(self, ceiling: int) -> list[Mix]:
        """The mixes that may hold a plan that costs less than `ceiling`, those of the least bound first."""
        return sorted(
            (mix for mix, bound in self.mixes.items() if bound < ceiling), key=lambda m: (self.mixes[m], m)
        )

    def raise_bound(self, mix: Mix, bound: int) -> None:
        self.mixes[mix] = max(bound, self.mixes[mix])

    def patterns(self, mix: Mix, most: int) -> list[Pattern]:
        """The best known patterns for just these bars."""
        self.master.open_within(mix, mix)
        relaxed = self.master.solve()
        good = self.master.worth_keeping(relaxed, 4 * most)
        return [pattern for pattern in good if mix[pattern[0]]][:most]

    # --- boxes ---------------------------------------------------------------------------------

    def _split(self, box: _Box, ceiling: int) -> None:
        part = [abs(n - round(n)) for n in box.opened]
        rooms = [bar.room for bar in self.model.bars]
        k = max(range(len(part)), key=lambda k: (part[k] > WHOLE, part[k] * rooms[k] ** 0.5, -k))
        if part[k] > WHOLE:
            self._open(box.low, _with(box.high, k, int(box.opened[k])), box.bound, ceiling)
            self._open(_with(box.low, k, int(box.opened[k]) + 1), box.high, box.bound, ceiling)
            return
        mix = tuple(round(n) for n in box.opened)
        self.mixes[mix] = box.bound
        low, high = box.low, box.high  # all of the box but the mix: differs first in kind k, below or above
        for k, n in enumerate(mix):
            if low[k] < n:
                self._open(low, _with(high, k, n - 1), box.bound, ceiling)
            if n < high[k]:
                self._open(_with(low, k, n + 1), high, box.bound, ceiling)
            low, high = _with(low, k, n), _with(high, k, n)

    def _open(self, low: Mix, high: Mix, least: int, ceiling: int | None) -> None:
        """A new box, unless nothing in it can cost less than `ceiling`."""
        if sum(n * bar.room for n, bar in zip(high, self.model.bars, strict=True)) < self.model.need:
            return
        bound, opened = self._solved(low, high, ceiling)
        if opened is None:
            return
        self.made += 1
        heappush(self.boxes, _Box(max(bound, least), self.made, low, high, tuple(float(n) for n in opened)))

    def _solved(self, low: Mix, high: Mix, ceiling: int | None) -> tuple[int, Floats | None]:
        """Bound of a box and the bars that its program opens; None where it reaches `ceiling` or cannot be."""
        model, master = self.model, self.master
        relaxation = Relaxation(model, self.work, [], (low, high), (master, self.pricer))
        for bound in relaxation.rounds():
            if ceiling is not None and model.round_up(bound) >= ceiling:
                return ceiling, None
        relaxed = relaxation.relaxed or master.solve()
        impossible = relaxation.settled and relaxed.stand_ins > WHOLE
        return model.round_up(relaxation.bound), None if impossible else master.opened(relaxed)


def _with(mix: Mix, k: int, n: int) -> Mix:
    return (*mix[:k], n, *mix[k + 1 :])
