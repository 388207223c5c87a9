"""Bounds on what any plan costs, each a proof in whole numbers.

*Material*: every unit of use costs at least what the best-filled bar asks for it; limited bars serve first
the cheapest. *L2* (Martello & Toth 1990): pieces longer than half a bar cannot share one, and what their
bars leave over is all that shorter pieces can use beside new bars. *Prices*: any prices π ≥ 0 on pieces at
which no pattern earns more than its bar costs give the bound Σ demand·π (linear duality); prices that
earn a little too much are scaled down (Farley 1990, here with remnant credit). Where the numbers of bars are
given from and to, each bar's excess or lack counts as often as it may or must be opened.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from itertools import accumulate

from rackwright.making.saw.model import Mix, Model

__all__ = ["empty_value", "l2_bound", "material_bound", "price_bound", "price_scale"]


def material_bound(model: Model) -> Fraction:
    """Σ use at the cheapest rates at which bars can give length."""
    rates: list[tuple[Fraction, int | None]] = []
    shortest = min(model.use, default=0)
    for k, bar in enumerate(model.bars):
        reward = model.problem.remnant_min  # the net cost is least a unit at the ends of its two branches
        fills = {shortest, bar.room, min(bar.room, max(shortest, bar.whole - reward))}
        rate = min(Fraction(bar.cost - model.term(k, used), used) for used in fills)
        rates.append((rate, None if bar.count is None else bar.count * bar.room))
    need = model.need
    total = Fraction(0)
    for rate, room in sorted(rates, key=lambda pair: pair[0]):
        part = need if room is None else min(need, room)
        total += rate * part
        need -= part
    return total if need == 0 or not rates else total + rates[-1][0] * need


def l2_bound(model: Model) -> int:
    """Bars of the one kind there is times its cost; 0 where bars differ or leftovers are credited."""
    if len(model.bars) != 1 or model.problem.remnant_credit:
        return 0
    room = model.bars[0].room
    uses = model.use[::-1]  # shortest first
    numbers = [0, *accumulate(model.demand[::-1])]
    lengths = [0, *accumulate(u * d for u, d in zip(uses, model.demand[::-1], strict=True))]
    half = bisect_right(uses, room // 2)
    best = 0
    for first in range(half + 1):  # pieces from `first` on count as short ones, up to half a bar
        limit = uses[first] if first < half else 0
        low, cut = (first, bisect_right(uses, room - limit)) if limit else (0, len(uses))
        alone = numbers[-1] - numbers[cut]
        big, free = numbers[cut] - numbers[half], room * (numbers[cut] - numbers[half])
        free -= lengths[cut] - lengths[half]
        small = lengths[half] - lengths[low]
        best = max(best, alone + big + max(0, -((free - small) // room)))
    return best * model.bars[0].cost


def price_scale(model: Model, prices: Sequence[int], scale: int, best: Sequence[int]) -> Fraction:
    """The largest factor (at most 1) at which no unlimited bar's pattern earns more than the bar costs.

    With prices θπ a pattern's value is convex in θ, so at most (1-θ)·V(0) + θ·V(1).
    """
    theta = Fraction(1)
    for k, bar in enumerate(model.bars):
        if bar.count is None and best[k] > bar.cost * scale:
            empty = empty_value(model, k) * scale
            if empty <= bar.cost * scale:
                theta = min(theta, Fraction(bar.cost * scale - empty, best[k] - empty))
    return theta


def price_bound(
    model: Model,
    prices: Sequence[int],
    scale: int,
    best: Sequence[int],
    theta: Fraction,
    box: tuple[Mix, Mix] | None = None,
) -> Fraction:
    """The bound that whole-number prices (in 1/scale) times `theta` prove.

    `best[k]`: the most a pattern earns on bar k. A bar that earns more than it costs is paid for as often as it may be
    opened, another as often as it must. `box`: at least and at most so many bars of each kind; without it none must,
    and what is there may.
    """
    pieces = sum(model.demand)
    there = tuple(pieces if bar.count is None else bar.count for bar in model.bars)
    low, high = box or ((0,) * len(there), there)
    total = theta * sum(p * d for p, d in zip(prices, model.demand, strict=True))
    for k, bar in enumerate(model.bars):
        empty = empty_value(model, k) * scale
        excess = (1 - theta) * empty + theta * max(best[k], empty) - bar.cost * scale
        total -= excess * (high[k] if excess > 0 else low[k])
    return total / scale


def empty_value(model: Model, kind: int) -> int:
    """The most credit that any pattern on this kind of bar can keep: what pieces without a price leave."""
    return model.term(kind, min(model.use))
