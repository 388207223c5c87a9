"""All patterns that an answer better than the best known can contain, by their reduced cost.

At prices that no pattern beats, a plan costs the bound plus the reduced costs of its patterns. A plan that
is to cost at most `ceiling` therefore holds only patterns of reduced cost <= ceiling - bound. The tables of
the knapsack say at every step whether a pattern begun can still end within that, so that nothing is begun
in vain. When the list is complete, an integer program over it settles the problem (the same idea for routes:
Baldacci, Christofides & Mingozzi 2008).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from rackwright.making.saw.bounds import empty_value
from rackwright.making.saw.colgen import Prices, Work
from rackwright.making.saw.knapsack import Pricer
from rackwright.making.saw.model import Model, Pattern

__all__ = ["Enumerator"]

TABLE = 60_000_000  # cells of the tables, at most

HALVINGS = 24

Whole = npt.NDArray[np.int64]


@dataclass(frozen=True)
class _Layer:
    """One step of the search: which begun pattern was continued, and with how many of the piece kind."""

    parent: Whole
    count: Whole


class Enumerator:
    """Patterns in order of what they may lose against given prices."""

    def __init__(self, model: Model, pricer: Pricer, prices: Prices, work: Work) -> None:
        self.model, self.pricer, self.prices = model, pricer, prices
        self.possible = (len(model.use) + 1) * pricer.size <= TABLE
        if not self.possible:
            return
        work.spend(2)
        self.tables = pricer.tables(prices.pi, prices.scale, model.demand)
        best = pricer.price(prices.pi, prices.scale, model.demand, 0).best
        earned = sum(p * d for p, d in zip(prices.pi, model.demand, strict=True))
        self.free: list[int] = []  # by kind: the value at which the reduced cost is zero
        for k, bar in enumerate(model.bars):
            excess = max(best[k], empty_value(model, k) * prices.scale) - bar.cost * prices.scale
            if not model.all_opened:
                excess = max(0, excess)
            self.free.append(bar.cost * prices.scale + excess)
            earned -= excess * (sum(model.demand) if bar.count is None else bar.count)
        self.bound = Fraction(earned, prices.scale)

    def patterns(self, ceiling: Fraction | int, most: int) -> list[Pattern] | None:
        """Every pattern that a plan of cost <= ceiling may hold; None when they are more than `most`.

        Where leftovers earn nothing and no heat rule holds, only patterns to which no piece can be added.
        """
        allowed = int((Fraction(ceiling) - self.bound) * self.prices.scale)
        found: list[Pattern] = []
        for kind in range(len(self.model.bars)):
            part = self._of_kind(kind, self.free[kind] - allowed, most - len(found))
            if part is None:
                return None
            found += part
        return found

    def best(self, most: int) -> list[Pattern]:
        """About the `most` patterns of the least reduced cost (at most that many, by halving the range)."""
        low, high = Fraction(0), Fraction(2 * self.model.top_cost)
        best: list[Pattern] = []
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            found = self.patterns(self.bound + middle, most)
            if found is None:
                high = middle
            else:
                low, best = middle, found
                if 2 * len(found) > most:
                    break
        return best

    def _of_kind(self, kind: int, needed: int, most: int) -> list[Pattern] | None:
        model, pricer = self.model, self.pricer
        rest = np.array([pricer.room[kind]], dtype=np.int64)
        value = np.zeros(1, dtype=np.int64)
        layers: list[_Layer] = []
        for i in range(len(model.use) - 1, -1, -1):
            w, p = pricer.use[i], self.prices.pi[i]
            table = self.tables[i]
            parents, counts, rests, values = [], [], [], []
            begun = np.arange(len(rest))
            for n in range(model.demand[i] + 1):
                left = rest[begun] - n * w
                worth = value[begun] + n * p
                fits = left >= 0
                begun, left, worth = begun[fits], left[fits], worth[fits]
                if not len(begun):
                    break
                good = worth + table[left] >= needed
                parents.append(begun[good])
                counts.append(np.full(int(good.sum()), n, dtype=np.int64))
                rests.append(left[good])
                values.append(worth[good])
            if not parents:
                return []
            layers.append(_Layer(np.concatenate(parents), np.concatenate(counts)))
            rest, value = np.concatenate(rests), np.concatenate(values)
            if len(rest) > most:
                return None
        return self._unfold(kind, layers, rest, value, needed)

    def _unfold(
        self, kind: int, layers: list[_Layer], rest: Whole, value: Whole, needed: int
    ) -> list[Pattern]:
        model = self.model
        counts = np.zeros((len(rest), len(model.use)), dtype=np.int64)
        at = np.arange(len(rest))
        for i, layer in enumerate(reversed(layers)):
            counts[:, i] = layer.count[at]
            at = layer.parent[at]
        used = counts @ np.array(model.use, dtype=np.int64)
        keep = (used <= model.bars[kind].room) & (used > 0)
        if model.problem.remnant_credit == 0 and not model.problem.groups and not any(model.only):
            left = model.bars[kind].room - used
            for i, use in enumerate(model.use):
                keep &= (left < use) | (counts[:, i] >= model.demand[i])
        return [(kind, tuple((int(i), int(row[i])) for i in np.flatnonzero(row))) for row in counts[keep]]
