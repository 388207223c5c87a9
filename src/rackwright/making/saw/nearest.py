"""A plan made anew that leaves pieces on the bars that they were planned from, as the shop has sorted and marked them.

Value first: the best plan stands, and `slack` says how much more another may cost. Within it the fewest pieces change
their bar. What every bar was planned for is pinned to it, as far as it is still wanted and still fits; a pinned bar is
then what it has left, at the credit that is lost when more is cut from it, and the rest of the demand is planned on
that and on the other bars (`improve`, the same search). Where this costs more than the slack allows, the bar whose
release saves most is released, and so on; at last each released bar is tried again. With nothing released only
pieces move that no longer fit; beyond that it is a greedy rule: few moves, not provably the fewest. Own derivation.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from rackwright.making.saw.check import verify
from rackwright.making.saw.improve import improve
from rackwright.making.saw.order import in_cutting_order
from rackwright.making.saw.problem import Answer, Bar, BarPlan, Piece, Problem

__all__ = ["Pins", "nearest", "staying"]

EFFORT = 60  # on the rest of the demand, each time

#: by bar, how many of each piece it was planned for
Pins = Mapping[str, Mapping[str, int]]
_Pinned = dict[str, dict[str, int]]


def staying(answer: Answer, before: Pins) -> int:
    """How many pieces come from the bar that they were planned from."""
    return sum(
        plan.times * min(number, before.get(plan.bar, {}).get(name, 0))
        for plan in answer.cuts
        for name, number in plan.cut
    )


def nearest(problem: Problem, best: Answer, before: Pins, slack: int = 0, effort: int = EFFORT) -> Answer:
    """The plan that leaves most pieces on their bars for at most `slack` above `best`; `best` where none leaves more.

    What it costs above `best` is in its `level_price`.
    """
    if best.missing:
        return best
    whole = _pinned(problem, before)
    pins, found = dict(whole), best
    while pins:
        answer = _around(problem, best, pins, effort)
        if answer is not None and answer.objective <= best.objective + slack:
            found = answer
            break
        del pins[min(pins, key=lambda bar: _released(problem, best, pins, bar))]
    for bar in [bar for bar in whole if bar not in pins]:
        again = _around(problem, best, {**pins, bar: whole[bar]}, effort)
        if again is not None and again.objective <= best.objective + slack:
            pins[bar], found = whole[bar], again
    return verify(problem, max(found, best, key=lambda one: (staying(one, before), -one.objective)))


def _released(problem: Problem, best: Answer, pins: _Pinned, bar: str) -> tuple[bool, int, int]:
    """What the plan costs by first fit without this bar's pins, and how many pieces may then move."""
    answer = _around(problem, best, {id: cut for id, cut in pins.items() if id != bar}, 0)
    return answer is None, answer.objective if answer else 0, sum(pins[bar].values())


def _pinned(problem: Problem, before: Pins) -> _Pinned:
    """What can stay: wanted still, of the bar's heat where one is asked, fitting, of a group only whole sets a heat."""
    wanted = {piece.id: piece.count for piece in problem.pieces}
    pins: _Pinned = {}
    for id, cut in before.items():
        bar, held = problem.bar.get(id), dict[str, int]()
        if bar is None or bar.count != 1:
            continue
        room = problem.room(bar)
        for name in sorted(cut, key=lambda one: (problem.piece[one].use if one in wanted else 0, one)):
            if name in wanted and problem.piece[name].may_be_of(bar.heat):
                use = problem.piece[name].use
                number = min(
                    cut[name], wanted[name], max(0, room // use)
                )  # the shortest first: the fewest move
                wanted[name] -= number
                room -= number * use
                held |= {name: number} if number else {}
        if held:
            pins[id] = held
    for group in problem.groups:
        _whole_sets(problem, pins, group.pieces, group.sets_of)
    return {id: cut for id, cut in pins.items() if cut}


def _whole_sets(problem: Problem, pins: _Pinned, names: tuple[str, ...], sets_of: int) -> None:
    """Unpins what is over of a group on a heat."""
    for heat in {problem.bar[id].heat for id in pins}:
        there = [
            (id, name) for id in pins for name in names if problem.bar[id].heat == heat and name in pins[id]
        ]
        over = sum(pins[id][name] for id, name in there) % sets_of
        for id, name in reversed(there):
            less = min(over, pins[id][name])
            over -= less
            pins[id][name] -= less
            if not pins[id][name]:
                del pins[id][name]


def _around(problem: Problem, best: Answer, pins: _Pinned, effort: int) -> Answer | None:
    """The best found plan with these pins; None where the rest finds no bar."""
    gone: dict[str, int] = {}
    for cut in pins.values():
        for name, number in cut.items():
            gone[name] = gone.get(name, 0) + number
    rest = replace(
        problem,
        bars=tuple(
            _cut_already(problem, bar, pins[bar.id]) if bar.id in pins else bar for bar in problem.bars
        ),
        pieces=tuple(_fewer(piece, gone.get(piece.id, 0)) for piece in problem.pieces),
    )
    answer = list(improve(rest, effort))[-1]
    if answer.missing:
        return None
    more = {plan.bar: dict(plan.cut) for plan in answer.cuts if plan.bar in pins}
    plans = [plan for plan in answer.cuts if plan.bar not in pins]
    for id, cut in pins.items():
        both = {name: cut.get(name, 0) + more.get(id, {}).get(name, 0) for name in {*cut, *more.get(id, {})}}
        longest = tuple(sorted(both.items(), key=lambda one: (-problem.piece[one[0]].use, one[0])))
        plans.append(BarPlan(id, longest, 1, problem.leftover(problem.bar[id], problem.used(longest))))
    cost = sum(plan.times * (problem.bar[plan.bar].cost - problem.credit(plan.leftover)) for plan in plans)
    price = max(0, best.level_price + cost - best.objective)
    return replace(best, cuts=in_cutting_order(plans), objective=cost, level_price=price)


def _cut_already(problem: Problem, bar: Bar, cut: Mapping[str, int]) -> Bar:
    """What is left of a bar behind its pinned pieces; to open it costs the credit that was counted for it."""
    left = problem.leftover(bar, problem.used(cut.items()))
    return Bar(bar.id, left - problem.last_kerf, problem.credit(left), 1, 0, bar.heat)


def _fewer(piece: Piece, number: int) -> Piece:
    return replace(piece, count=piece.count - number)
