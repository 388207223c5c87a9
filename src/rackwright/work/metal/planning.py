"""The plan of an order as every face, sheet and quote has it; and one within a time, its searches side by side."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from rackwright.making.saw import Answer, Problem, best_of, first_answer, improve
from rackwright.plan import Plan
from rackwright.work.metal.nesting import REPORTS, nested
from rackwright.work.metal.plates import items_as_recorded
from rackwright.work.run import run_until

__all__ = ["order_plan", "plan_in_time"]

PROCESSES = 2


def order_plan(plan: Plan, folder: Path | None, reports: int = REPORTS) -> Plan:
    """The plan with its plates as the folder's record has them now, laid out by our packer and the library's.

    So what is drawn and cut is what was planned and priced. A plan with faults, or without counted stock, is as given.
    """
    if plan.items is None or plan.faults:
        return plan
    return nested(replace(plan, items=items_as_recorded(folder, plan.items)), reports)


def plan_in_time(plan: Plan, seconds: float, hear: Callable[[str], None] | None = None) -> Plan:
    """The plan with the best answers found in so many seconds, sooner when all are proven.

    `hear` is told in words about every better answer, and of a search that ended early.
    """
    deadline = time.monotonic() + seconds
    best = [first_answer(job.problem) for job in plan.jobs]
    still = [n for n, answer in enumerate(best) if not answer.closed]
    shares = [still[p::PROCESSES] for p in range(PROCESSES)]
    searches = [(_share, ([(n, plan.jobs[n].problem) for n in share],)) for share in shares if share]

    def listen(_: int, found: tuple[int, Answer]) -> bool:
        n, answer = found
        before, best[n] = best[n], best_of(best[n], answer)
        if hear and (before.objective, before.missing) != (best[n].objective, best[n].missing):
            hear(f"{plan.jobs[n].section}: a better plan, {best[n].bars_opened} bars")
        return all(one.closed for one in best)

    for outcome in run_until(deadline, searches, listen):
        if outcome.error and hear:
            hear(f"a search ended early: {outcome.error}")
    return plan.with_answers(best)


def _share(problems: Sequence[tuple[int, Problem]]) -> Iterator[tuple[int, Answer]]:
    """The searches of several sections, in turns."""
    running = [(n, improve(problem)) for n, problem in problems]
    while running:
        for entry in list(running):
            answer = next(entry[1], None)
            if answer is None:
                running.remove(entry)
            else:
                yield entry[0], answer
