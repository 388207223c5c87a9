"""First-fit decreasing, bar by bar: the instant answer, in several orders of the bars.

Filling one bar after the other, each with the longest pieces that still fit, gives exactly the first-fit
decreasing plan when all bars are alike (D. S. Johnson 1974), and repeats a full bar as often as bars and
pieces last, so that its time does not grow with the counts.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence

from rackwright.making.saw.model import Model, Plan

__all__ = ["Rest", "fill", "first_fit_plans"]

MANY = 5_000  # kinds of bar and piece above which only the plain orders are tried
BY_VALUE = 200_000  # kinds of bar times kinds of piece up to which every bar is tried at every step


class Rest:
    """How many pieces of each kind are still to cut, with a quick way past those that are done."""

    def __init__(self, model: Model, demand: Sequence[int]) -> None:
        self.counts = list(demand)
        self._shorter = [-use for use in model.use]
        self._next = list(range(len(self.counts) + 1))

    def next(self, i: int) -> int:
        """The first kind from i on that is still to cut; the number of kinds when there is none."""
        end, ahead = len(self.counts), self._next
        while i < end and (ahead[i] != i or self.counts[i] == 0):
            if ahead[i] == i:
                ahead[i] = i + 1
            ahead[i] = ahead[ahead[i]]  # halve the way for the next time
            i = ahead[i]
        return i

    def next_fitting(self, i: int, room: int) -> int:
        return self.next(bisect_left(self._shorter, -room, lo=i))


def first_fit_plans(model: Model) -> Iterator[Plan]:
    """Plans by several orders of opening bars; a plan may lack pieces when the stock does not suffice.

    The first two orders (longest bar first, shortest first, stock before purchase) are the plain ones.
    """
    bars = model.bars

    def owned(kind: int) -> bool:
        return bars[kind].count is not None

    orders: list[Callable[[int], tuple[object, ...]]] = [
        lambda k: (not owned(k), -bars[k].room),
        lambda k: (not owned(k), bars[k].room),
        lambda k: (bars[k].cost / bars[k].room, -bars[k].room),
        lambda k: (-bars[k].room,),
        lambda k: (bars[k].room,),
    ]
    if len(bars) + len(model.use) > MANY:
        orders = orders[:2]
    for key in orders:
        yield _cut_in_order(model, sorted(range(len(bars)), key=key))
    if len(bars) * len(model.use) <= BY_VALUE:
        yield _cut_by_value(model)


def fill(model: Model, kind: int, rest: Rest) -> dict[int, int]:
    """The longest pieces first into one bar, as many as fit; groups in whole sets off the free heat."""
    cut: dict[int, int] = {}
    room = model.bars[kind].room
    i = rest.next_fitting(0, room)
    while i < len(model.use):
        lot = model.bundle(kind, i)
        n = min(rest.counts[i], room // model.use[i]) // lot * lot
        if n:
            cut[i] = n
            room -= n * model.use[i]
        i = rest.next_fitting(i + 1, room)
    return cut


def _cut_in_order(model: Model, order: Sequence[int]) -> Plan:
    """Each bar of the order in its turn, as often as it lasts. An unlimited bar is opened only for the
    longest piece still to cut, as long as any bar can take that; stock is used up in any case."""
    rest = Rest(model, model.demand)
    left = [bar.count for bar in model.bars]
    plan: Plan = {}
    going = True
    while going:
        going = False
        for kind in order:
            while left[kind] != 0:
                cut = fill(model, kind, rest)
                longest = rest.next(0)
                passes = model.bars[kind].count is None and longest not in cut
                if not cut or (passes and _takes(model, longest)):
                    break
                _take(model, plan, rest, left, kind, cut)
                going = True
    return plan


def _takes(model: Model, i: int) -> bool:
    """Is there an unlimited bar that can take pieces of kind i?"""
    return any(
        bar.count is None and bar.room >= model.use[i] * model.bundle(k, i)
        for k, bar in enumerate(model.bars)
    )


def _cut_by_value(model: Model) -> Plan:
    """Always opens the bar whose fill is the cheapest for the length it serves."""
    rest = Rest(model, model.demand)
    left = [bar.count for bar in model.bars]
    plan: Plan = {}
    while rest.next(0) < len(model.use):
        best: tuple[float, int, dict[int, int]] | None = None
        for kind, bar in enumerate(model.bars):
            if left[kind] == 0:
                continue
            cut = fill(model, kind, rest)
            if not cut:
                continue
            used = sum(model.use[i] * n for i, n in cut.items())
            rate = (bar.cost - model.term(kind, used)) / used
            if best is None or rate < best[0]:
                best = (rate, kind, cut)
        if best is None:
            break
        _take(model, plan, rest, left, best[1], best[2])
    return plan


def _take(
    model: Model, plan: Plan, rest: Rest, left: list[int | None], kind: int, cut: dict[int, int]
) -> None:
    times = min(rest.counts[i] // n for i, n in cut.items())
    stock = left[kind]
    if stock is not None:
        times = min(times, stock)
        left[kind] = stock - times
    for i, n in cut.items():
        rest.counts[i] -= n * times
    pattern = (kind, tuple(sorted(cut.items())))
    plan[pattern] = plan.get(pattern, 0) + times
