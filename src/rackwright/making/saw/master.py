"""The linear program over the patterns found so far, kept warm between changes.

    minimise Σ cost·x    where every piece kind is cut at least as often as demanded (dual π ≥ 0),
                         no limited kind of bar is used more often than it is there (dual σ ≥ 0)
                         for a box: no more and no fewer remnants are kept than it says (dual ρ)

One dear stand-in column a piece kind keeps it solvable whatever the patterns; a plan never contains it.
"""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import highspy
import numpy as np
import numpy.typing as npt

from rackwright.making.saw.bounds import Box
from rackwright.making.saw.model import Model, Pattern

__all__ = ["Master", "Relaxed", "quiet_highs"]

Floats = npt.NDArray[np.float64]


def quiet_highs() -> Any:
    """A solver instance: silent, one thread (a changed thread count loses later solves), repeatable."""
    _swallow_greeting()
    make: Any = highspy.Highs
    highs = make()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("parallel", "off")
    return highs


@cache
def _swallow_greeting() -> None:
    """The library greets once a process, on the C level, before its options can silence it: stdout belongs
    to the one document of a command, so the greeting goes to nowhere."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        make: Any = highspy.Highs
        make()
        ctypes.CDLL(None).fflush(None)
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


@dataclass(frozen=True)
class Relaxed:
    """A solved linear program: `x` by pattern (as `Master.patterns`), duals by piece and kind of bar, `rho` what a
    remnant kept costs besides."""

    value: float
    x: Floats
    pi: Floats
    sigma: Floats
    rho: float
    stand_ins: float


class Master:
    """Patterns as columns. `demand` and `counts` may shrink: patterns that no longer fit are shut."""

    def __init__(self, model: Model, patterns: Iterable[Pattern], every_kind: bool = False) -> None:
        """`every_kind`: bars without end and remnants kept have rows too, for `open_within`."""
        self.model = model
        self.patterns: list[Pattern] = []
        self._known: set[Pattern] = set()
        self.limited = [k for k, bar in enumerate(model.bars) if every_kind or bar.count is not None]
        self._row_of = {k: len(model.use) + r for r, k in enumerate(self.limited)}
        self.demand = list(model.demand)
        self.counts: list[int | None] = [bar.count for bar in model.bars]
        self.highs = quiet_highs()
        self.highs.setOptionValue("simplex_strategy", 4)  # primal: new columns keep the basis feasible
        infinity = highspy.kHighsInf
        for i, demand in enumerate(model.demand):
            self.highs.addRow(float(demand), infinity, 0, [], [])
            self.highs.addCol(self._stand_in_price(i), 0.0, infinity, 1, [i], [1.0])
        for k in self.limited:
            count = model.bars[k].count
            high = infinity if count is None else float(count)
            self.highs.addRow(high if model.all_opened else -infinity, high, 0, [], [])
        self._first = len(model.use)
        self._kept: int | None = None
        if every_kind:
            self._kept = self.highs.getNumRow()
            self.highs.addRow(-infinity, infinity, 0, [], [])
            for side in (-1.0, 1.0):  # as dear as a bar: a program without fitting patterns has a solution
                self.highs.addCol(float(model.top_cost), 0.0, infinity, 1, [self._kept], [side])
            self._first += 2
        self.add(patterns)
        if every_kind or model.all_opened:
            self.add(self._one_a_kind())

    def _stand_in_price(self, i: int) -> float:
        bars = self.model.bars
        longest = max((bar.room for bar in bars), default=1)
        return 3.0 * self.model.top_cost * max(0.05, min(1.0, self.model.use[i] / longest))

    def add(self, patterns: Iterable[Pattern]) -> int:
        """Adds the patterns not yet known; how many those were."""
        added = 0
        for pattern in patterns:
            if pattern in self._known:
                continue
            kind, cut = pattern
            rows, values = [i for i, _ in cut], [float(n) for _, n in cut]
            if kind in self._row_of:
                rows.append(self._row_of[kind])
                values.append(1.0)
            if self._kept is not None and self._keeps(pattern):
                rows.append(self._kept)
                values.append(1.0)
            upper = highspy.kHighsInf if self._proper(pattern) else 0.0
            self.highs.addCol(float(self.model.cost(pattern)), 0.0, upper, len(rows), rows, values)
            self._known.add(pattern)
            self.patterns.append(pattern)
            added += 1
        return added

    def _keeps(self, pattern: Pattern) -> bool:
        """Does it leave a remnant that is kept?"""
        return self.model.term(pattern[0], self.model.used(pattern)) > 0

    def _one_a_kind(self) -> Iterator[Pattern]:
        """One pattern for each kind of bar, so that however many must be opened can be."""
        for k, bar in enumerate(self.model.bars):
            yield k, ((next(i for i, use in enumerate(self.model.use) if use <= bar.room), 1),)

    def _proper(self, pattern: Pattern) -> bool:
        return self.counts[pattern[0]] != 0 and all(n <= self.demand[i] for i, n in pattern[1])

    def fix(self, pattern: Pattern, times: int) -> None:
        """Takes a pattern as cut: what is left to do shrinks."""
        kind, cut = pattern
        for i, n in cut:
            self.demand[i] -= n * times
            self.highs.changeRowBounds(i, float(self.demand[i]), highspy.kHighsInf)
        count = self.counts[kind]
        if count is not None:
            self.counts[kind] = count - times
            low = float(count - times) if self.model.all_opened else -highspy.kHighsInf
            self.highs.changeRowBounds(self._row_of[kind], low, float(count - times))
        touched = {i for i, _ in cut}
        for column, other in enumerate(self.patterns):
            affected = other[0] == kind or any(i in touched for i, _ in other[1])
            if affected and not self._proper(other):
                self.highs.changeColBounds(self._first + column, 0.0, 0.0)

    def open_within(self, box: Box) -> None:
        """From now on as many bars of each kind are opened and remnants kept as the box says."""
        for k, row in self._row_of.items():
            self.highs.changeRowBounds(row, float(box.low[k]), float(box.high[k]))
        if self._kept is not None:
            self.highs.changeRowBounds(self._kept, float(box.least), float(box.most))

    def opened(self, relaxed: Relaxed) -> tuple[float, ...]:
        """How many bars of each kind the solution opens, and how many remnants it keeps."""
        opened = [0.0] * (len(self.model.bars) + 1)
        for c in np.flatnonzero(relaxed.x):
            opened[self.patterns[c][0]] += float(relaxed.x[c])
            opened[-1] += float(relaxed.x[c]) * self._keeps(self.patterns[c])
        return tuple(opened)

    def solve(self) -> Relaxed:
        self.highs.run()
        if self.highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            if (
                self.model.all_opened
            ):  # late in a dive there are more bars than pieces: they need not be opened
                for k, row in self._row_of.items():
                    self.highs.changeRowBounds(row, -highspy.kHighsInf, float(self.counts[k] or 0))
            self.highs.clearSolver()
            self.highs.run()
        solution = self.highs.getSolution()
        x = np.array(solution.col_value)
        duals = np.array(solution.row_dual)
        pieces = len(self.model.use)
        sigma = np.zeros(len(self.model.bars))
        for r, k in enumerate(self.limited):
            sigma[k] = -duals[pieces + r]
        rho = 0.0 if self._kept is None else -float(duals[self._kept])
        return Relaxed(
            float(self.highs.getInfo().objective_function_value),
            x[self._first :], np.maximum(duals[:pieces], 0.0), sigma, rho, float(x[:pieces].sum()),
        )  # fmt: skip

    def reduced_cost(self, pattern: Pattern, relaxed: Relaxed) -> float:
        kind, cut = pattern
        earned = sum(float(relaxed.pi[i]) * n for i, n in cut)
        kept = relaxed.rho if relaxed.rho and self._keeps(pattern) else 0.0
        return self.model.cost(pattern) + float(relaxed.sigma[kind]) + kept - earned

    def worth_keeping(self, relaxed: Relaxed, most: int) -> list[Pattern]:
        """The `most` patterns of the least reduced cost, those in use first."""
        costs: Sequence[float] = [self.reduced_cost(p, relaxed) for p in self.patterns]
        order = sorted(range(len(self.patterns)), key=lambda c: (relaxed.x[c] <= 1e-9, costs[c]))
        return [self.patterns[c] for c in order[:most]]
