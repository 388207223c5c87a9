"""Is a plan what it says it is? Recomputed from the problem alone, in whole numbers.

This is the gate that every answer passes before it leaves the room. It shares no code with the solver
but the definition of cost, so that a slip in the search cannot hide behind itself.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from rackwright.making.saw.problem import Answer, Problem

__all__ = ["Balance", "balance", "faults_of", "verify"]


@dataclass(frozen=True)
class Balance:
    """Where the opened length went: opened = use + trim + scrap + remnants (exactly)."""

    opened: int
    use: int
    trim: int
    scrap: int
    remnants: int


def verify(problem: Problem, answer: Answer) -> Answer:
    """The answer itself when it is sound; AssertionError, naming every fault, when it is not."""
    faults = faults_of(problem, answer)
    if faults:
        raise AssertionError("the saw plan is not sound: " + "; ".join(faults))
    return answer


def faults_of(problem: Problem, answer: Answer) -> list[str]:
    """Every rule that the answer breaks, in words; empty for a sound answer."""
    faults: list[str] = []
    cut: Counter[str] = Counter()
    opened: Counter[str] = Counter()
    by_heat: dict[str, Counter[str]] = {}
    objective = 0
    for place, plan in enumerate(answer.cuts):
        bar = problem.bar.get(plan.bar)
        if bar is None:
            faults.append(f"bar plan {place} names the unknown bar {plan.bar!r}")
            continue
        if plan.times < 1 or not plan.cut or any(n < 1 for _, n in plan.cut):
            faults.append(f"bar plan {place} opens a bar without cutting from it")
        unknown = [name for name, _ in plan.cut if name not in problem.piece]
        if unknown:
            faults.append(f"bar plan {place} cuts unknown pieces {unknown}")
            continue
        faults += [
            f"bar plan {place} cuts {name}, which is of heat {problem.piece[name].heat!r}, from {bar.heat!r}"
            for name, _ in plan.cut
            if not problem.piece[name].may_be_of(bar.heat)
        ]
        used = sum(problem.piece[name].use * n for name, n in plan.cut)
        leftover = bar.length - bar.trim - used + problem.last_kerf
        if leftover < problem.tail_min:
            faults.append(f"bar plan {place} leaves {leftover}, less than the tail {problem.tail_min}")
        if leftover != plan.leftover:
            faults.append(f"bar plan {place} says leftover {plan.leftover}, it is {leftover}")
        credited = leftover if leftover >= problem.remnant_min else 0
        objective += plan.times * (bar.cost - problem.remnant_credit * credited)
        opened[plan.bar] += plan.times
        for name, n in plan.cut:
            cut[name] += n * plan.times
            by_heat.setdefault(bar.heat, Counter())[name] += n * plan.times
    missing = Counter(dict(answer.missing))
    faults += [
        f"piece {piece.id}: {cut[piece.id]} cut and {missing[piece.id]} missing of {piece.count}"
        for piece in problem.pieces
        if cut[piece.id] + missing[piece.id] != piece.count
    ]
    faults += [
        f"bar {bar.id} is used {opened[bar.id]} times, there are {bar.count}"
        for bar in problem.bars
        if bar.count is not None and opened[bar.id] > bar.count
    ]
    for group in problem.groups:
        for heat, counts in by_heat.items():
            number = sum(counts[name] for name in group.pieces)
            if number % group.sets_of:
                faults.append(f"heat {heat!r} gives {number} of {group.pieces}, not sets of {group.sets_of}")
    if objective != answer.objective:
        faults.append(f"the objective is {objective}, not {answer.objective}")
    if not answer.missing and answer.lower_bound > answer.objective:
        faults.append(f"the bound {answer.lower_bound} exceeds the objective {answer.objective}")
    return faults


def balance(problem: Problem, answer: Answer) -> Balance:
    """The mass balance of the opened bars, in lengths."""
    opened = use = trim = scrap = remnants = 0
    for plan in answer.cuts:
        bar = problem.bar[plan.bar]
        opened += plan.times * bar.length
        use += plan.times * (problem.used(plan.cut) - problem.last_kerf)
        trim += plan.times * bar.trim
        kept = problem.remnant_credit > 0 and plan.leftover >= problem.remnant_min
        remnants += plan.times * plan.leftover if kept else 0
        scrap += 0 if kept else plan.times * plan.leftover
    return Balance(opened, use, trim, scrap, remnants)
