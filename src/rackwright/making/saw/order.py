"""In what order to cut: fewer settings of the length stop at no cost.

Every bar is cut from its longest piece to its shortest. A stop setting is saved wherever a bar begins with
the length the bar before it ended with, so bars are strung together by that, greedily, alike bars one
after the other.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.making.saw.problem import BarPlan

__all__ = ["in_cutting_order"]


def in_cutting_order(cuts: Sequence[BarPlan]) -> tuple[BarPlan, ...]:
    """The same bars, strung together; among equals the order given."""
    waiting: dict[str, list[int]] = {}
    for place in reversed(range(len(cuts))):
        waiting.setdefault(cuts[place].cut[0][0], []).append(place)
    used = [False] * len(cuts)
    result: list[BarPlan] = []

    def follow(place: int | None) -> None:
        while place is not None:
            used[place] = True
            result.append(cuts[place])
            line = waiting.get(cuts[place].cut[-1][0], [])
            while line and used[line[-1]]:
                line.pop()
            place = line.pop() if line else None

    endings = {plan.cut[-1][0] for plan in cuts}
    for place, plan in enumerate(cuts):  # first those that no other bar leads to
        if not used[place] and plan.cut[0][0] not in endings:
            follow(place)
    for place in range(len(cuts)):
        if not used[place]:
            follow(place)
    return tuple(result)
