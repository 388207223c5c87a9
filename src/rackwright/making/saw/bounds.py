"""Bounds on what any plan costs, each a proof in whole numbers.

*Material*: every unit of use costs at least what the best-filled bar asks for it; limited bars serve first
the cheapest. *L2* (Martello & Toth 1990): pieces longer than half a bar cannot share one, and what their
bars leave over is all that shorter pieces can use beside new bars. *Prices*: any prices π ≥ 0 on pieces at
which no pattern earns more than its bar costs give the bound Σ demand·π (linear duality); prices that
earn a little too much are scaled down (Farley 1990, here with remnant credit). Where the numbers of bars
opened and of remnants kept are given from and to, a bar's excess or lack counts as often as it may or must be opened,
and a price on each remnant kept as often as may or must be kept.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

from rackwright.making.saw.model import Mix, Model

__all__ = [
    "Box",
    "empty_value",
    "excess",
    "l2_bound",
    "material_bound",
    "price_bound",
    "price_scale",
    "whole_box",
]


@dataclass(frozen=True, order=True)
class Box:
    """Plans that open from `low[k]` to `high[k]` bars of each kind k and keep from `least` to `most` remnants."""

    low: Mix
    high: Mix
    least: int
    most: int


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
    box: Box | None = None,
    keep: int = 0,
) -> Fraction:
    """The bound that whole-number prices (in 1/scale) times `theta` prove.

    `best[k]`: the most a pattern earns on bar k. A bar that earns more than it costs is paid for as often as it may be
    opened, another as often as it must. `box`: the plans that the bound is for; without it no bar must be opened, and
    what is there may. `keep`: the price of a remnant kept, with a box only; `best` is less by it where one is.
    """
    box = box or whole_box(model)
    total = theta * sum(p * d for p, d in zip(prices, model.demand, strict=True))
    for k, more in enumerate(excess(model, scale, best, theta, keep)):
        total -= more * (box.high[k] if more > 0 else box.low[k])
    return (total - keep * (box.most if keep > 0 else box.least)) / scale


def excess(
    model: Model, scale: int, best: Sequence[int], theta: Fraction = Fraction(1), keep: int = 0
) -> list[Fraction]:
    """By kind of bar: what its best pattern earns more than it costs, in 1/scale."""
    found: list[Fraction] = []
    for k, bar in enumerate(model.bars):
        empty = empty_value(model, k) * scale
        value = best[k] if keep else (1 - theta) * empty + theta * max(best[k], empty)
        found.append(Fraction(value - bar.cost * scale))
    return found


def whole_box(model: Model) -> Box:
    """All plans."""
    pieces = sum(model.demand)
    high = tuple(pieces if bar.count is None else bar.count for bar in model.bars)
    return Box((0,) * len(high), high, 0, sum(high))


def empty_value(model: Model, kind: int) -> int:
    """The most credit that any pattern on this kind of bar can keep: what pieces without a price leave."""
    return model.term(kind, min(model.use))
