"""The most valuable pattern of every kind of bar at once, exactly: dynamic programming over what is left.

With prices π on the pieces (whole numbers) let F(r) be the most that can be had from a rest r of a bar:

    F0(r) = credit(r + tail)          what the leftover itself is worth
    Fj(r) = max(Fj-1(r), π + Fj-1(r - use))      one stage a piece (or a lot of 2, 4, ... pieces)

One pass over r from 0 to the longest bar prices every bar, with remnant credit, exactly (backward form of
the knapsack recursion of Gilmore & Gomory 1961, bounded by the demand so that only patterns that can occur
are priced). All numbers are whole, so the values are exact and the bounds made from them are proofs.

Long bars are priced on a grid. `UP` rounds uses up: every pattern found fits, the best may be missed (good
for finding columns). `DOWN` rounds them down: the value found is never below the true one (good for bounds
where an exact pass would be too large). On a grid that divides every use both are exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd
from typing import Any

import numpy as np
import numpy.typing as npt

from rackwright.making.saw.model import Model, Pattern

__all__ = ["DOWN", "EXACT", "UP", "Priced", "Pricer"]

EXACT, UP, DOWN = "exact", "up", "down"

#: cells of one table (stages times rests) above which the grid is made coarser
CELLS = 120_000_000

#: the value of no pattern
NOTHING = -(1 << 62)


@dataclass(frozen=True)
class Priced:
    """Values of the best patterns (by kind of bar; whole numbers in price units; NOTHING: nothing fits)."""

    best: list[int]
    patterns: list[tuple[int, Pattern]]  # (value, pattern), the best of each kind and good others


class Pricer:
    """Prices a fixed set of bars and pieces; the demand, and with it the stages, may shrink over time."""

    def __init__(
        self, model: Model, kinds: Sequence[int], lots: Sequence[int], mode: str, cells: int
    ) -> None:
        """Of the model's bars only `kinds`; piece kind i is taken in lots of lots[i]; at most about
        `cells` rests are looked at when the mode is not exact."""
        self.model, self.kinds, self.lots = model, list(kinds), list(lots)
        rooms = [model.bars[k].room for k in self.kinds]
        credit = model.problem.remnant_credit
        if credit == 0:
            fine = gcd(*model.use)
        else:
            fine = gcd(*model.use, *rooms, model.problem.remnant_min - model.problem.tail_min)
        stages = sum(
            min(d, max(rooms) // u).bit_length() for d, u in zip(model.demand, model.use, strict=True)
        )
        limit = max(1000, min(cells, CELLS // max(stages, 1)))
        coarse = -(-max(rooms) // (fine * limit))
        self.grid = fine * coarse if mode != EXACT else fine
        self.exact = self.grid == fine
        up = mode == UP
        self.use = [-(-u // self.grid) if up else u // self.grid for u in model.use]
        self.room = np.array([r // self.grid for r in rooms], dtype=np.int64)
        self.size = int(self.room.max()) + 1
        rests = np.arange(self.size, dtype=np.int64) * self.grid + model.problem.tail_min
        if not up and not self.exact:
            rests += self.grid - 1  # a rest on the grid may stand for this much more
        self.leftover_value = np.where(rests >= model.problem.remnant_min, rests * credit, 0)
        self._taken = np.zeros((0, 0), dtype=np.bool_)

    def price(
        self, prices: Sequence[int], credit_scale: int, demand: Sequence[int], top: int, keep: int = 0
    ) -> Priced:
        """`prices`, `credit_scale` and `keep` (what each remnant kept costs besides) in the same whole-number units;
        at most `top` patterns a kind. With `keep` pieces without a price count too: they may use a remnant up."""
        stages = self._stages(prices, demand, 0 if keep else 1)
        highest = self._highest(prices, credit_scale, demand) + max(0, -keep)
        word = np.int32 if highest < 2**31 - 1 else np.int64
        values = self._leftovers(credit_scale, keep).astype(word)
        if self._taken.shape[0] < len(stages) or self._taken.shape[1] < self.size:
            self._taken = np.zeros((len(stages), self.size), dtype=np.bool_)
        scratch = np.empty(self.size, dtype=word)
        forced = np.full((len(stages), len(self.kinds)), NOTHING, dtype=np.int64)
        for s, (i, lot, repeat) in enumerate(stages):
            w, v = self.use[i] * lot, prices[i] * lot
            taken = self._taken[s]
            fits = self.room >= w
            if not repeat:
                forced[s, fits] = values[self.room[fits] - w].astype(np.int64) + v
            self._sweep(values, scratch, taken, w, v, repeat)
            if repeat:
                forced[s, fits] = values[self.room[fits] - w].astype(np.int64) + v
        best = forced.max(axis=0, initial=NOTHING)
        return Priced([int(x) for x in best], self._patterns(stages, forced, top))

    def _leftovers(self, credit_scale: int, keep: int) -> npt.NDArray[np.int64]:
        """Where the grid is not exact a rest may be less than it says and no remnant: it is never worth less."""
        credited = self.leftover_value * credit_scale
        if keep == 0:
            return credited
        return np.where(credited > 0, credited - keep if self.exact else np.maximum(credited - keep, 0), 0)

    def _highest(self, prices: Sequence[int], credit_scale: int, demand: Sequence[int]) -> int:
        """No value can exceed this; it decides the width of the numbers."""
        room = int(self.room.max())
        by_rate = max((room * p // w + p for p, w in zip(prices, self.use, strict=True) if w), default=0)
        free = sum(p * d for p, d, w in zip(prices, demand, self.use, strict=True) if not w)
        return int(self.leftover_value.max()) * credit_scale + by_rate + free

    def tables(
        self, prices: Sequence[int], credit_scale: int, demand: Sequence[int]
    ) -> npt.NDArray[np.int64]:
        """F after each kind of piece, shape (pieces + 1, rests), for counting all good patterns."""
        values = (self.leftover_value * credit_scale).astype(np.int64)
        result = np.empty((len(prices) + 1, self.size), dtype=np.int64)
        result[0] = values
        scratch, taken = np.empty(self.size, dtype=np.int64), np.empty(self.size, dtype=np.bool_)
        done = 0
        for i, lot, repeat in self._stages(prices, demand):
            result[done + 1 : i + 1] = values
            done = i
            self._sweep(values, scratch, taken, self.use[i] * lot, prices[i] * lot, repeat)
        result[done + 1 :] = values
        return result

    @staticmethod
    def _sweep(
        values: npt.NDArray[Any],
        scratch: npt.NDArray[Any],
        taken: npt.NDArray[np.bool_],
        w: int, v: int, repeat: bool,
    ) -> None:  # fmt: skip
        """One stage in place. `repeat`: as many as fit, by runs of w rests, each from the run before."""
        size = len(values)
        taken[: min(w, size)] = False
        step = w if repeat else size
        for start in range(w, size, step):
            stop = min(size, start + step)
            got = scratch[: stop - start]
            np.add(values[start - w : stop - w], v, out=got)
            np.greater(got, values[start:stop], out=taken[start:stop])
            np.maximum(values[start:stop], got, out=values[start:stop])

    def _stages(
        self, prices: Sequence[int], demand: Sequence[int], least: int = 1
    ) -> list[tuple[int, int, bool]]:
        """(piece kind, how many at once, may repeat), for pieces with a price of at least `least` and a demand."""
        stages: list[tuple[int, int, bool]] = []
        longest = int(self.room.max())
        for i, w in enumerate(self.use):
            if prices[i] < least:
                continue
            lot = self.lots[i]
            most = min(demand[i], longest // max(w, 1)) // lot
            if w * lot >= 512 and most == longest // (w * lot) and most > 2:
                stages.append((i, lot, True))
                continue
            part = 1
            while most > 0:
                stages.append((i, lot * min(part, most), False))
                most -= part
                part *= 2
        return stages

    def _patterns(
        self, stages: list[tuple[int, int, bool]], forced: npt.NDArray[np.int64], top: int
    ) -> list[tuple[int, Pattern]]:
        """The patterns behind the largest forced values: each holds its stage and no later one."""
        found: list[tuple[int, Pattern]] = []
        starts: list[tuple[int, int]] = []
        for column in range(len(self.kinds)):
            order = np.argsort(-forced[:, column], kind="stable")[:top]
            starts += [(int(s), column) for s in order if forced[s, column] > NOTHING]
        if not starts:
            return found
        stage_of = np.array([s for s, _ in starts])
        rest = self.room[[c for _, c in starts]].copy()
        counts = np.zeros((len(starts), len(self.use)), dtype=np.int64)
        for s in range(len(stages) - 1, -1, -1):
            i, lot, repeat = stages[s]
            w = self.use[i] * lot
            here = stage_of == s
            counts[here, i] += lot
            rest[here] -= w
            alive = stage_of > s if not repeat else stage_of >= s
            while True:
                take = alive & self._taken[s, rest]
                if not take.any():
                    break
                counts[take, i] += lot
                rest[take] -= w
                if not repeat:
                    break
        for (s, column), row in zip(starts, counts, strict=True):
            cut = tuple((int(i), int(row[i])) for i in np.flatnonzero(row))
            kind = self.kinds[column]
            found.append((int(forced[s, column]), (kind, self._fitted(kind, cut))))
        return found

    def _fitted(self, kind: int, cut: tuple[tuple[int, int], ...]) -> tuple[tuple[int, int], ...]:
        """On a grid rounded down a pattern may be a little too long: the shortest lots go."""
        over = self.model.used((kind, cut)) - self.model.bars[kind].room
        counts = dict(cut)
        for i in sorted(counts, reverse=True):
            while over > 0 and counts[i] > 0:
                counts[i] -= self.lots[i]
                over -= self.lots[i] * self.model.use[i]
        return tuple((i, n) for i, n in sorted(counts.items()) if n > 0)
