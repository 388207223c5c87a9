"""The integer program over a list of patterns: exact where the list is complete, else a good last resort.

    minimise Σ cost·x,  x whole,   every piece kind cut often enough, no limited bar used too often,
                                   Σ pieces of a group from one heat = sets_of · y,  y whole

Without the heat rows (`own_heat`) every pattern must obey the same-heat rule by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from rackwright.making.saw.colgen import Work
from rackwright.making.saw.master import quiet_highs
from rackwright.making.saw.model import Model, Pattern, Plan

__all__ = ["Solved", "solve_pool"]


ITERATIONS = 20  # simplex steps, or columns to read, that count as one unit of work


@dataclass(frozen=True)
class Solved:
    """The best plan found (trimmed to the demand), and what the program says no plan over the list beats.

    `finished`: the search came to its end; without a plan then none costs less than asked for.
    """

    plan: Plan | None
    bound: float | None
    finished: bool


def solve_pool(
    model: Model, patterns: Sequence[Pattern], nodes: int, work: Work, below: int | None = None,
    own_heat: bool = False,
) -> Solved:  # fmt: skip
    """Searches at most `nodes` branching nodes, only for plans that cost less than `below`.

    No known plan is handed over: the library (1.16) then presolves columns of it away and returns plans
    that lack pieces (found by the checker); `objective_bound` does the same service without.
    """
    columns = [p for p in dict.fromkeys(patterns) if (model.keeps_heat(p) if own_heat else model.allows(p))]
    if len({i for _, cut in columns for i, _ in cut}) < len(model.use):
        return Solved(None, None, True)  # a piece is in none of them
    highs = quiet_highs()
    for tolerance in (
        "mip_feasibility_tolerance",
        "primal_feasibility_tolerance",
        "dual_feasibility_tolerance",
    ):
        highs.setOptionValue(tolerance, 1e-9)  # times a cost of millions this is still far below one step
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 0.5 * model.step)
    highs.setOptionValue("mip_max_nodes", max(1, int(min(nodes, work.left))))
    if below is not None:
        highs.setOptionValue("objective_bound", model.round_up(below) - 0.5 * model.step)
    _Rows(model, highs, own_heat).add(columns)
    highs.run()
    status, info = highs.getModelStatus(), highs.getInfo()
    work.spend(
        1 + int(info.mip_node_count) + (int(info.simplex_iteration_count) + len(columns)) // ITERATIONS
    )
    none = status in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kObjectiveBound)
    if none:
        return Solved(None, None, True)
    plan: Plan | None = None
    if info.primal_solution_status == 2:
        x = np.rint(np.array(highs.getSolution().col_value)[: len(columns)]).astype(int)
        plan = model.trimmed({columns[c]: int(x[c]) for c in np.flatnonzero(x)})
        if model.shortfall(plan):
            return Solved(None, None, False)
    bound = float(info.mip_dual_bound)
    finished = status == highspy.HighsModelStatus.kOptimal and plan is not None
    return Solved(plan, bound if np.isfinite(bound) else None, finished)


class _Rows:
    """Builds the program row by row, then column by column."""

    def __init__(self, model: Model, highs: highspy.Highs, own_heat: bool) -> None:
        self.model, self.highs = model, highs
        infinity = highspy.kHighsInf
        for i, demand in enumerate(model.demand):
            highs.addRow(float(demand), float(demand) if model.group[i] >= 0 else infinity, 0, [], [])
        self.stock: dict[int, int] = {}
        for k, bar in enumerate(model.bars):
            if bar.count is not None:
                self.stock[k] = highs.getNumRow()
                least = float(bar.count) if model.all_opened else -infinity
                highs.addRow(least, float(bar.count), 0, [], [])
        self.heat: dict[tuple[int, str], int] = {}
        if not own_heat:
            for g in range(len(model.problem.groups)):
                for heat in sorted({bar.heat for bar in model.bars}):
                    self.heat[g, heat] = highs.getNumRow()
                    highs.addRow(0.0, 0.0, 0, [], [])

    def add(self, columns: Sequence[Pattern]) -> None:
        model, infinity = self.model, highspy.kHighsInf
        for pattern in columns:
            kind, cut = pattern
            entries = {i: float(n) for i, n in cut}
            if kind in self.stock:
                entries[self.stock[kind]] = 1.0
            for i, n in cut:
                row = self.heat.get((model.group[i], model.bars[kind].heat))
                if row is not None:
                    entries[row] = entries.get(row, 0.0) + n
            most = max(-(-model.demand[i] // n) for i, n in cut)
            self.highs.addCol(
                float(model.cost(pattern)),
                0.0,
                float(most),
                len(entries),
                list(entries),
                list(entries.values()),
            )
        for (g, _), row in self.heat.items():
            self.highs.addCol(0.0, 0.0, infinity, 1, [row], [-float(model.problem.groups[g].sets_of)])
        for column in range(self.highs.getNumCol()):
            self.highs.changeColIntegrality(column, highspy.HighsVarType.kInteger)
