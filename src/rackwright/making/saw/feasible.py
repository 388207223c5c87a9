"""Can everything be cut at all? Proofs that it cannot, and the problem whose optimum answers the question.

Where some stock is limited, first fit may fail although a plan exists. The question itself is a cutting
problem: the bars that are there cost nothing, and stand-in bars as long as the longest piece, without end,
cost one each. Everything can be cut exactly when the optimum is zero, and a lower bound above zero proves
that it cannot.
"""

from __future__ import annotations

from dataclasses import replace

from rackwright.making.saw.model import Model, Plan
from rackwright.making.saw.problem import STAND_IN, Answer, Bar, Problem

__all__ = ["plainly_short", "question", "real_plan"]


def plainly_short(model: Model) -> bool:
    """Proven without search: a piece longer than every bar, less stock than use, or a broken set."""
    longest = max((bar.room for bar in model.bars), default=-1)
    if any(use > longest for use in model.use):
        return True
    for i, use in enumerate(model.use):
        if all(model.forbidden(k, i) or bar.room < use for k, bar in enumerate(model.bars)):
            return True
    for g, group in enumerate(model.problem.groups):
        number = sum(d for d, h in zip(model.demand, model.group, strict=True) if h == g)
        if number % group.sets_of:
            return True
    if any(bar.count is None for bar in model.bars):
        return False
    stock = sum(bar.room * (bar.count or 0) for bar in model.bars)
    return stock < model.need


def question(problem: Problem) -> Problem:
    """The problem whose optimum is zero exactly when everything can be cut."""
    longest = max(piece.use for piece in problem.pieces if piece.count)
    stand_in = Bar(STAND_IN, longest + problem.tail_min - problem.last_kerf, 1, heat=STAND_IN)
    free = tuple(replace(bar, cost=0) for bar in problem.bars)
    return replace(problem, bars=(*free, stand_in), remnant_credit=0, remnant_min=0)


def real_plan(model: Model, answer: Answer) -> Plan:
    """The answer to the question as a plan of the model, without its stand-ins."""
    kind_of_bar = {name: k for k, bar in enumerate(model.bars) for name, _ in bar.ids}
    kind_of_piece = {name: i for i, names in enumerate(model.names) for name in names}
    plan: Plan = {}
    for cut in answer.cuts:
        if cut.bar != STAND_IN:
            counts: dict[int, int] = {}
            for name, n in cut.cut:
                i = kind_of_piece[name]
                counts[i] = counts.get(i, 0) + n
            pattern = (kind_of_bar[cut.bar], tuple(sorted(counts.items())))
            plan[pattern] = plan.get(pattern, 0) + cut.times
    return plan
