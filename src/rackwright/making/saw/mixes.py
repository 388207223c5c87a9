"""Which bars to open, before what to cut from them: mixes of bars by what they cost.

Where leftovers earn nothing, a plan's cost says much: only few numbers of each kind of bar cost exactly so
much and are long enough together. Costs that no such mix has are skipped by the bound at once; for each
other mix, cheapest first, it is asked whether everything can be cut from just these bars (see feasible).
A linear program mixes bars by fractions and misses this.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from rackwright.making.saw.model import Mix, Model

__all__ = ["Mixes"]

STEPS = 200_000  # possible costs that are looked at, at most

Whole = npt.NDArray[np.int64]


class Mixes:
    """The mixes of a model's bars that cost less than `ceiling` and are long enough together."""

    def __init__(self, model: Model, ceiling: int) -> None:
        self.model = model
        self.size = -(-ceiling // model.step)
        self.possible = (
            len(model.bars) > 1
            and model.problem.remnant_credit == 0
            and all(bar.cost > 0 for bar in model.bars)
            and self.size <= STEPS
            and max(bar.room for bar in model.bars) * sum(model.demand) < 2**62
        )
        if not self.possible:
            return
        self.cost = [bar.cost // model.step for bar in model.bars]
        none = np.full(self.size, -1, dtype=np.int64)
        none[0] = 0
        self.room: list[Whole] = [none]  # by number of kinds: the most room at exactly this cost, -1: never
        for k in range(len(model.bars)):
            self.room.append(self._with(self.room[-1].copy(), k))

    def _most(self, k: int) -> int:
        count = self.model.bars[k].count
        reach = (self.size - 1) // self.cost[k]
        return min(reach, sum(self.model.demand), reach if count is None else count)

    def _with(self, room: Whole, k: int) -> Whole:
        part, left = 1, self._most(k)
        while left > 0:
            n = min(part, left)
            shift = n * self.cost[k]
            if shift < self.size:
                before = room[: self.size - shift]
                more = np.where(before >= 0, before + n * self.model.bars[k].room, -1)
                room[shift:] = np.maximum(room[shift:], more)
            left, part = left - n, part * 2
        return room

    def costs(self, floor: int) -> list[int]:
        """The possible costs from `floor` to below the ceiling, cheapest first."""
        first = -(-floor // self.model.step)
        good = np.flatnonzero(self.room[-1][first:] >= self.model.need) + first
        return [int(v) * self.model.step for v in good]

    def of_cost(self, cost: int) -> Iterator[Mix]:
        """Every mix of exactly this cost that is long enough."""
        yield from self._below(len(self.model.bars), cost // self.model.step, self.model.need)

    def _below(self, kinds: int, cost: int, need: int) -> Iterator[Mix]:
        if kinds == 0:
            yield ()
            return
        k = kinds - 1
        for n in range(min(self._most(k), cost // self.cost[k]), -1, -1):
            rest, lack = cost - n * self.cost[k], need - n * self.model.bars[k].room
            most = int(self.room[k][rest])
            if most >= 0 and most >= lack:
                for mix in self._below(k, rest, lack):
                    yield (*mix, n)
