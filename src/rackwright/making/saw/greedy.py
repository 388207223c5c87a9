"""First-fit decreasing, bar by bar: the instant answer, in several orders of the bars.

Filling one bar after the other, each with the longest pieces that still fit, gives exactly the first-fit
decreasing plan when all bars are alike (D. S. Johnson 1974), and repeats a full bar as often as bars and
pieces last, so that its time does not grow with the counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from rackwright.making.saw.model import Model, Plan

__all__ = ["fill", "first_fit_plans"]


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
    for key in orders:
        yield _cut_in_order(model, sorted(range(len(bars)), key=key))
    yield _cut_by_value(model)


def fill(model: Model, kind: int, rest: Sequence[int], room: int) -> dict[int, int]:
    """The longest pieces first into one bar, as many as fit; groups in whole sets off the free heat."""
    cut: dict[int, int] = {}
    for i, use in enumerate(model.use):
        if use <= room and rest[i]:
            lot = model.bundle(kind, i)
            n = min(rest[i], room // use) // lot * lot
            if n:
                cut[i] = n
                room -= n * use
    return cut


def _cut_in_order(model: Model, order: Sequence[int]) -> Plan:
    rest, left = list(model.demand), [bar.count for bar in model.bars]
    plan: Plan = {}
    while any(rest):
        opened = next(((k, cut) for k in order if left[k] != 0 and (cut := _first(model, k, rest))), None)
        if opened is None:
            break
        _take(model, plan, rest, left, *opened)
    return plan


def _first(model: Model, kind: int, rest: Sequence[int]) -> dict[int, int]:
    """The fill of this bar if it takes the longest piece still to cut, else nothing ..."""
    longest = next(i for i, n in enumerate(rest) if n)
    cut = fill(model, kind, rest, model.bars[kind].room)
    takes_longest = longest in cut
    if takes_longest or not any(
        bar.room >= model.use[longest] * model.bundle(k, longest) for k, bar in enumerate(model.bars)
    ):
        return cut
    # ... unless it is stock: what lies in the rack is used up even without the longest piece
    return cut if model.bars[kind].count is not None else {}


def _cut_by_value(model: Model) -> Plan:
    """Always opens the bar whose fill is the cheapest for the length it serves."""
    rest, left = list(model.demand), [bar.count for bar in model.bars]
    plan: Plan = {}
    while any(rest):
        best: tuple[float, int, dict[int, int]] | None = None
        for kind, bar in enumerate(model.bars):
            if left[kind] == 0:
                continue
            cut = fill(model, kind, rest, bar.room)
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
    model: Model, plan: Plan, rest: list[int], left: list[int | None], kind: int, cut: dict[int, int]
) -> None:
    times = min(rest[i] // n for i, n in cut.items())
    stock = left[kind]
    if stock is not None:
        times = min(times, stock)
        left[kind] = stock - times
    for i, n in cut.items():
        rest[i] -= n * times
    pattern = (kind, tuple(sorted(cut.items())))
    plan[pattern] = plan.get(pattern, 0) + times
