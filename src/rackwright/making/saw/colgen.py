"""Column generation: the linear bound over *all* patterns, and the patterns that make it.

The master program prices the pieces; the knapsack finds the patterns that would earn more than they cost;
repeat until none does (Gilmore & Gomory 1961). Prices are smoothed towards those of the best bound so far
(Wentges 1997), which saves many rounds. Every exact pass yields a proof: prices rounded down to whole
numbers, patterns valued in whole numbers (see bounds).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from rackwright.making.saw.bounds import Box, excess, price_bound, price_scale
from rackwright.making.saw.knapsack import DOWN, UP, Priced, Pricer
from rackwright.making.saw.master import Floats, Master, Relaxed
from rackwright.making.saw.model import Model, Pattern

__all__ = ["Prices", "Relaxation", "Work", "whole_prices"]

SMOOTH = 0.6  # share of the best prices in those that are tried
COLUMNS = 12  # patterns a kind of bar and pass, at most
COARSE = 6_000  # rests on the coarse grid of the first rounds
FINE = 3_000_000  # rests on the grid of the proof: beyond, it is rounded down


@dataclass
class Work:
    """What a search may spend, counted in pricing passes and branching nodes: never in seconds."""

    left: float
    done: int = 0

    def spend(self, amount: int = 1) -> None:
        self.left -= amount
        self.done += amount

    @property
    def over(self) -> bool:
        return self.left <= 0


@dataclass(frozen=True)
class Prices:
    """Prices of the pieces, and what a remnant kept costs besides, in 1/scale, whole numbers."""

    pi: tuple[int, ...]
    scale: int
    keep: int = 0


def whole_prices(model: Model, pi: Sequence[float] | Floats, rho: float = 0.0) -> Prices:
    """Prices rounded down, on the finest scale at which values stay within 31 bits, when that is fine enough."""
    longest = max(bar.room for bar in model.bars)
    top = max(1.0, float(max(model.term(k, 0) for k in range(len(model.bars)))) + abs(rho))
    top += max((longest / u + 1) * max(0.0, float(p)) for p, u in zip(pi, model.use, strict=True))
    wanted = (
        1e6 * sum(model.demand) / max(float(sum(p * d for p, d in zip(pi, model.demand, strict=True))), 1e-9)
    )
    power = 0
    while top * 2 ** (power + 1) < 2**30:
        power += 1
    while 2**power < wanted and power < 40:
        power += 1
    scale = 2**power
    return Prices(tuple(max(0, int(float(p) * scale)) for p in pi), scale, int(rho * scale))


class Relaxation:
    """The linear relaxation of a model: solve it with `rounds`, then read `bound`, `prices`, `master`.

    `box`: only plans within it. `shared`: a program of the same model, made for that with `every_kind`, and a
    pricer, which are gone on with.
    """

    def __init__(
        self,
        model: Model,
        work: Work,
        patterns: list[Pattern],
        box: Box | None = None,
        shared: tuple[Master, Pricer] | None = None,
    ) -> None:
        self.model, self.work = model, work
        self.bound = Fraction(-1)  # below any, so that the first pass sets the prices
        self.best: list[int] = []  # what a pattern earns most at the prices, by kind of bar
        self.prices: Prices | None = (
            None  # scaled so that no unlimited bar's pattern earns more than it costs
        )
        self.settled = False
        self.relaxed: Relaxed | None = None
        self.quick: Pricer | None = None
        self.box = box
        if model.all_opened:
            counts = tuple(bar.count or 0 for bar in model.bars)
            self.box = Box(counts, counts, 0, sum(counts))
        if shared is not None:
            self.master, self.pricer = shared
            self.master.add(patterns)
        else:
            self.master = Master(model, patterns)
            kinds, lots = list(range(len(model.bars))), [1] * len(model.use)
            self.pricer = Pricer(model, kinds, lots, DOWN, FINE)
            if self.pricer.size > 2 * COARSE:
                self.quick = Pricer(model, kinds, lots, UP, COARSE)
        if box is not None:
            self.master.open_within(box)

    def rounds(self) -> Iterator[Fraction]:
        """Yields the bound each time it grows; ends when settled or when the work is spent."""
        centre: Floats | None = None
        smooth = SMOOTH
        quick = self.quick
        while not self.work.over:
            relaxed = self.relaxed = self.master.solve()
            if self._settled_by_rounding(relaxed):
                self.settled = True
                return
            if quick is not None:
                if not self._extend(self._price(quick, relaxed.pi)[1], relaxed):
                    quick = None
                continue
            here = np.append(relaxed.pi, relaxed.rho)
            point = here if centre is None else smooth * centre + (1 - smooth) * here
            prices, priced = self._price(self.pricer, point[:-1], float(point[-1]))
            grown = self._prove(prices, priced)
            if grown:
                centre = point
                yield self.bound
            if self._extend(priced, relaxed):
                smooth = SMOOTH if centre is not None else 0.0
            elif smooth == 0.0 or centre is None:
                self.settled = True
                return
            elif not grown:
                smooth = 0.0 if smooth < 0.3 else smooth / 2

    def _price(self, pricer: Pricer, pi: Floats, rho: float = 0.0) -> tuple[Prices, Priced]:
        self.work.spend()
        prices = whole_prices(self.model, pi, rho)
        top = max(2, min(COLUMNS, 60 // len(self.model.bars)))
        return prices, pricer.price(prices.pi, prices.scale, self.model.demand, top, prices.keep)

    def _extend(self, priced: Priced, relaxed: Relaxed) -> int:
        tolerance = 1e-9 * self.model.top_cost + 1e-7 * self.model.step
        good = [
            pattern for _, pattern in priced.patterns
            if pattern[1] and self.master.reduced_cost(pattern, relaxed) < -tolerance
        ]  # fmt: skip
        return self.master.add(good)

    def _prove(self, prices: Prices, priced: Priced) -> bool:
        asked = self.model, prices.pi, prices.scale, priced.best
        theta = Fraction(1) if self.box else price_scale(*asked)
        bound = price_bound(*asked, theta, self.box, prices.keep)
        if bound <= self.bound:
            return False
        self.bound = bound
        self.prices = Prices(tuple(int(theta * p) for p in prices.pi), prices.scale, prices.keep)
        self.best = priced.best
        return True

    def within(self, ceiling: int) -> Box:
        """The part of the box that may hold a plan that costs less than `ceiling`, by the prices of the bound: each
        bar opened beyond or short of what the bound counts, each remnant likewise, costs its excess or lack more."""
        assert self.box is not None
        assert self.prices is not None
        scale, keep = self.prices.scale, self.prices.keep
        spare = (ceiling - self.bound) * scale
        low, high = list(self.box.low), list(self.box.high)
        for k, more in enumerate(excess(self.model, scale, self.best, keep=keep)):
            if more > 0:
                low[k] = max(low[k], high[k] - int(spare / more))
            elif more < 0:
                high[k] = min(high[k], low[k] + int(spare / -more))
        least, most = self.box.least, self.box.most
        if keep > 0:
            least = max(least, most - int(spare / keep))
        elif keep < 0:
            most = min(most, least + int(spare / -keep))
        return Box(tuple(low), tuple(high), least, most)

    def _settled_by_rounding(self, relaxed: Relaxed) -> bool:
        """Can the bound, rounded up, grow no more although the program still might fall?"""
        value = Fraction(relaxed.value) * (1 - Fraction(1, 10**9))
        return relaxed.stand_ins < 1e-9 and self.model.round_up(self.bound) >= self.model.round_up(value)
