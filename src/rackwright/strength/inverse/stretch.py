"""How far may one number go: the stretch over which every margin holds, to 0.1 %, on the safe side.

    found = stretch(judge, start=np.zeros(3), end=np.array([50.0, 80.0, 9.0]))
    found[0].value, found[0].governing

Margins need not fall steadily, so a root of the least margin is not enough. From a start that holds the search goes
outward over `STATIONS` equal steps, few in one run, and stops at the first that does not hold. That step is cut
closely on both sides of the root that its margins suggest, each time keeping the first cut that does not hold, until
the last value that holds and the first that does not are within `CLOSE` of each other. Every margin has a root of its
own, where its utilisation 1/(1 + MS), which goes nearly straight with a load, comes to one; the nearest is taken. The
answer is the value that holds: it was itself judged, so was the one `CLOSE` beyond it, and so was every station
before. Between stations nothing is proven; the report says how many there were.

Many rows are searched at once, since `judge` answers many designs in one run.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rackwright.strength.vary import Found

__all__ = ["CLOSE", "Judge", "Stretch", "outward", "proven", "stretch"]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Judge = Callable[[Ints, Array], Found]  # rows (n,), values (n,) -> what is found of each

CLOSE = 1e-3  # of the value: holds at the value, not at 1.001 times it
STATIONS = 8
AT_ONCE = 3  # stations of a row in one run,
FULL = 16  # as far as all rows together come to no more than this
AROUND = (4e-3, 4e-4)  # cuts on either side of the estimated root, of the value: first, and then
EVEN = 4  # equal cuts where there is no estimate


@dataclass(frozen=True)
class Stretch:
    """From `start` to `value` everything holds; at `beyond` the check `governing` does not, by `margin`.

    `value` is None where not even the start holds; `beyond` is None where everything holds up to the end, which
    is then the value. `stations` were judged on the way.
    """

    start: float
    value: float | None
    beyond: float | None
    governing: str
    margin: float  # at `beyond`, or at the value where there is no beyond
    stations: int


def stretch(judge: Judge, start: Array, end: Array, stations: int = STATIONS) -> tuple[Stretch, ...]:
    """Search each row from its start towards its end, up or down. start, end (rows,)."""
    search = _Search(judge, start.astype(float), end.astype(float))
    every = np.arange(len(start))
    first = done = 0
    while (
        first <= stations and (todo := every[~search.none & (search.far == end)]).size
    ):  # nothing failed there yet
        ahead = np.arange(first, min(first + max(1, min(AT_ONCE, FULL // len(todo))), stations + 1))
        # shares of what is left beyond the last station that holds
        search.step(todo, np.tile((ahead - done) / (stations - done), (len(todo), 1)))
        done = int(ahead[-1])
        first = done + 1
    turn = 0
    while (todo := every[search.open]).size:
        search.judged_at(todo, search.cuts(todo, turn))
        turn += 1
    return tuple(
        Stretch(float(start[n]), None if search.none[n] else float(search.near[n]),
                None if search.none[n] or search.whole[n] else float(search.far[n]), search.reason[n],
                float(search.margin[n]), int(search.judged[n]))
        for n in every
    )  # fmt: skip


class _Search:
    """All rows at once: the last value that holds, the first beyond it that does not, and their margins."""

    def __init__(self, judge: Judge, start: Array, end: Array) -> None:
        self.judge, self.near, self.far = judge, start, end
        self.margin = np.full(len(start), np.nan)
        self.holding: list[Array] = [np.full(1, np.nan)] * len(
            start
        )  # every margin at the last value that holds
        self.failing = list(self.holding)  # and at the first beyond
        self.reason = [""] * len(start)
        self.none, self.whole = np.zeros(len(start), dtype=bool), np.zeros(len(start), dtype=bool)
        self.judged = np.zeros(len(start), dtype=np.int64)

    @property
    def open(self) -> NDArray[np.bool_]:
        close = np.maximum(CLOSE * np.minimum(np.abs(self.near), np.abs(self.far)), 1e-12)
        return np.asarray(~self.none & ~self.whole & (np.abs(self.far - self.near) > close))

    def cuts(self, rows: Ints, turn: int) -> list[Array]:
        """Where to cut, as shares of each row's step: close around a root by the rule of false position; every
        third time, and where there is none, in equal parts."""
        even = np.arange(1, EVEN + 1) / (EVEN + 1)
        if turn % 3 == 2:
            return [even] * len(rows)
        return [self._around(row, AROUND[min(turn, 1)], even) for row in rows]

    def _around(self, row: int, by: float, even: Array) -> Array:
        near, step = self.near[row], self.far[row] - self.near[row]
        root = _root(self.holding[row], self.failing[row])
        share = root + np.array([-by, by]) * abs((near + root * step) / step)
        share = np.clip(share, 1e-3, 1 - 1e-3)
        return share if np.isfinite(root) and share[0] < share[1] else even

    def judged_at(self, rows: Ints, shares: list[Array]) -> None:
        """Judge shares of every row's step."""
        for size in sorted({len(share) for share in shares}):
            some = [n for n, share in enumerate(shares) if len(share) == size]
            self.step(rows[some], np.array([shares[n] for n in some]))

    def step(self, rows: Ints, share: Array) -> None:
        """Judge these shares (rows, cuts) of every row's step and keep the first part that does not hold."""
        at = self.near[rows, None] + (self.far - self.near)[rows, None] * share
        found = self.judge(np.repeat(rows, share.shape[1]), at.ravel())
        holds, margin = found.holds.reshape(at.shape), found.margin.reshape(at.shape)
        every = found.margin[None] if found.every is None else found.every
        each = every.T.reshape(*at.shape, -1)
        for n, row in enumerate(rows):
            self.judged[row] += share.shape[1]
            bad = share.shape[1] if holds[n].all() else int(np.argmin(holds[n]))
            last = min(bad, share.shape[1] - 1)
            if bad > last and share[n, last] < 1.0:  # what is known to fail lies beyond all of them
                self.near[row], self.holding[row] = at[n, last], each[n, last]
                continue
            self.reason[row], self.margin[row] = found.governing[n * share.shape[1] + last], margin[n, last]
            if bad > last:
                self.whole[row], self.near[row] = True, at[n, last]
            elif share[n, bad] == 0.0:
                self.none[row] = True
            else:
                self.far[row], self.failing[row] = at[n, bad], each[n, bad]
                if bad:
                    self.near[row], self.holding[row] = at[n, bad - 1], each[n, bad - 1]


def _root(holding: Array, failing: Array) -> float:
    """The share of a step at which the first of its margins comes to zero; not a number where none can be told."""
    if holding.shape != failing.shape or not (holding > -1).all():
        return np.nan
    falls = failing < 0
    if not (failing[falls] > -1).all():
        return np.nan
    before, after = 1 / (1 + holding[falls]), 1 / (1 + failing[falls])
    return float(np.min((1 - before) / (after - before), initial=1.0))


def outward(judge: Judge, start: Array, end: Array, stations: int = STATIONS) -> tuple[Stretch, ...]:
    """As `stretch`, the end moved out eightfold, twice, for rows in which everything holds up to it."""
    found = list(stretch(judge, start, end, stations))
    for _ in range(2):
        on = np.array([n for n, one in enumerate(found) if one.value and one.beyond is None], dtype=np.int64)
        if not on.size or not np.any(end[on] > start[on]):
            break
        on = on[end[on] > start[on]]
        reached = np.array([found[n].value for n in on], dtype=float)

        def judge_some(rows: Ints, x: Array, on: Ints = on) -> Found:
            return judge(on[rows], x)

        for n, more in zip(on, stretch(judge_some, reached, 8 * reached, stations), strict=True):
            found[n] = replace(more, start=found[n].start, stations=found[n].stations + more.stations)
    return tuple(found)


def proven(found: Sequence[Stretch], judge: Judge) -> tuple[Stretch, ...]:
    """What a search found, once a judge of more than it asked has seen every value. A row that it does not let stand is
    searched anew by it, from its start up to what was found."""
    held = np.array([n for n, one in enumerate(found) if one.value is not None], dtype=np.int64)
    if not held.size:
        return tuple(found)
    value = np.array([found[n].value for n in held], dtype=float)
    fails = ~judge(held, value).holds
    again, end = held[fails], value[fails]

    def some(rows: Ints, x: Array) -> Found:
        return judge(again[rows], x)

    out = list(found)
    for n, one in zip(again, stretch(some, np.array([found[n].start for n in again]), end), strict=True):
        out[n] = replace(one, stations=found[n].stations + one.stations)
    return tuple(out)
