"""A sequence for all jobs from a general-purpose constraint solver: least weighted lateness, then the earliest finish.

The solver (CP-SAT of OR-Tools, extra `schedule`) gets intervals with alternatives for machines and people, and works
in rounds of deterministic time on one seed, each from the best answer so far: the same effort gives the same sequence.
Its answers are placed again as early as their order allows (`placing.py`), so that every start has its reason.
The bound of the lateness is proven for all sequences, that of the last finish for those that are no later.
Source: interval model of the job shop with alternatives, as in the solver's documentation.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from rackwright.making.dates.placing import Sequenced, by_rule, in_order
from rackwright.making.dates.shop_load import Load, Work
from rackwright.trouble import Fault, Stopped, Where

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = ["EFFORT", "improve", "sequence", "solver"]

EFFORT = 5  # deterministic time of the solver, of the order of seconds
FIRST_ROUND = 0.5
SEED = 1


def sequence(load: Load, effort: float = EFFORT) -> Sequenced:
    """The best sequence that so much work finds; 0: the list rule alone. Raises Stopped (RW008) and `Stuck`."""
    *_, last = improve(load, effort)
    return last


def improve(load: Load, effort: float | None = None) -> Iterator[Sequenced]:
    """Better and better sequences or bounds, the list rule's first; without `effort` until proven.

    Raises Stopped (RW008) where the solver is not installed, `placing.Stuck` where nobody is left to check a work.
    """
    best = by_rule(load)
    yield best
    if effort == 0 or best.optimal or not load.works:
        return
    module = solver()
    model = _Model(load, module)
    left, budget = float("inf") if effort is None else effort, FIRST_ROUND
    while not best.optimal and left > 0:
        found, spent = model.round(best, min(left, budget))
        if (found.cost, found.bound, found.finish_bound) != (best.cost, best.bound, best.finish_bound):
            yield found
        best, budget, left = found, 2 * budget, left - max(spent, 1e-3)


def solver() -> Any:
    """The solver's module. Raises Stopped (RW008) where the extra is not installed."""
    try:
        from ortools.sat.python import cp_model
    except ImportError:
        do = "pip install 'rackwright[schedule]'; or --effort 0 for the list rule, which needs no solver"
        where = Where("extra `schedule`")
        raise Stopped([Fault("RW008", where, "the solver (ortools) is not installed", do)]) from None
    return cp_model


@dataclass
class _Vars:
    start: Any
    end: Any
    machine: dict[str, Any] = field(default_factory=dict)  # name -> chosen; a single one is always chosen
    person: dict[str, Any] = field(default_factory=dict)


class _Model:
    """The load as the solver sees it; built once, with its objective changed between rounds."""

    def __init__(self, load: Load, module: Any) -> None:
        self.load, self.module = load, module
        self.model: cp_model.CpModel = module.CpModel()
        self.most = max(load.horizon, 1)
        self.works: dict[str, _Vars] = {}
        self.taken: dict[str, list[Any]] = {}
        for work in load.works:
            self._add(work)
        for work in load.works:
            self._between(work)
        for what, intervals in self.taken.items():
            for n, one in enumerate(load.absences.get(what, ())):
                if one.end > one.start:
                    name = f"away {what} {n}"
                    intervals.append(
                        self.model.new_fixed_size_interval_var(one.start, one.end - one.start, name)
                    )
            self.model.add_no_overlap(intervals)
        self.last = self.model.new_int_var(0, self.most, "last")
        self.late = self._lateness()

    # --- variables ---

    def _add(self, work: Work) -> None:
        model = self.model
        start = model.new_int_var(min(work.earliest, self.most), self.most, f"start {work.id}")
        mine = self.works[work.id] = _Vars(start, start + work.minutes)
        if work.days_away is not None:
            mine.end = self._back(work, start)
            return
        if work.one_day and work.minutes <= max(m for _, m in self.load.days):
            self._on_one_day(work, start)
        for names, minutes, chosen in ((work.machines, work.minutes, mine.machine),
                                       (work.people, work.attended, mine.person)):  # fmt: skip
            for name in names:
                chosen[name] = model.new_bool_var(f"{work.id} {name}") if len(names) > 1 else True
                if not minutes:
                    continue
                if len(names) == 1:
                    interval = model.new_fixed_size_interval_var(start, minutes, f"{work.id} at {name}")
                else:
                    interval = model.new_optional_fixed_size_interval_var(
                        start, minutes, chosen[name], f"{work.id} at {name}"
                    )
                self.taken.setdefault(name, []).append(interval)
            if len(names) > 1:
                model.add_exactly_one(chosen.values())

    def _back(self, work: Work, start: Any) -> Any:
        """Outside work is back at the end of a day: leaves by the `leave`-th day's end, back `days_away` later."""
        starts, away = self.load.starts, work.days_away or 0
        leave = self.model.new_int_var(0, len(starts) - 1 - away, f"leaves {work.id}")
        left = self._at(leave, starts, f"left {work.id}")
        self.model.add(left >= start)
        return self._at(leave, starts[away:], f"back {work.id}")

    def _on_one_day(self, work: Work, start: Any) -> None:
        starts = self.load.starts
        day = self.model.new_int_var(0, len(starts) - 2, f"day {work.id}")
        self.model.add(self._at(day, starts[:-1], f"opens {work.id}") <= start)
        self.model.add(self._at(day, starts[1:], f"closes {work.id}") >= start + work.minutes)

    def _at(self, index: Any, table: tuple[int, ...], name: str) -> Any:
        """The entry of a table: a straight line where all days are equally long."""
        step = table[1] - table[0] if len(table) > 1 else 0
        if all(b - a == step for a, b in pairwise(table)):
            return table[0] + step * index
        entry = self.model.new_int_var(table[0], table[-1], name)
        self.model.add_element(index, table, entry)
        return entry

    # --- constraints ---

    def _between(self, work: Work) -> None:
        mine = self.works[work.id]
        for name in work.after:
            self.model.add(mine.start >= self.works[name].end)
        for name in work.not_by:
            other = self.works[name].person
            for person in set(mine.person) & set(other):
                self.model.add_at_most_one([mine.person[person], other[person]])
        if work.begun:
            for other_work in self.load.works:
                if other_work.station == work.station and not other_work.begun and work.station:
                    self.model.add(self.works[other_work.id].start >= mine.start)

    def _lateness(self) -> Any:
        late = {job.name: self.model.new_int_var(0, self.most, f"late {job.name}")
                for job in self.load.jobs if job.due is not None}  # fmt: skip
        for work in self.load.works:
            end, job = self.works[work.id].end, self.load.job[work.job]
            self.model.add(self.last >= end)
            if job.due is not None:
                self.model.add(late[job.name] >= end - job.due)
        terms = [self.load.job[name].weight * minutes for name, minutes in late.items()]
        return sum(terms) if terms else 0

    # --- rounds ---

    def round(self, best: Sequenced, budget: float) -> tuple[Sequenced, float]:
        """A round from the best so far: of the lateness until its least is proven, then of the last finish."""
        finishing = best.lateness == best.bound
        model = self.model.clone()
        if finishing:
            if not isinstance(self.late, int):
                model.add(self.late <= best.lateness)
            model.minimize(self.last)
        else:
            model.minimize(self.late)
        self._hint(model, best)
        solver = self.module.CpSolver()
        solver.parameters.random_seed = SEED
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = budget
        status = solver.solve(model)
        spent = float(solver.response_proto.deterministic_time)
        found = best
        if status in (self.module.OPTIMAL, self.module.FEASIBLE):
            found = self._read(solver, best)
            if found.cost > best.cost:
                found = best
        bound = round(solver.best_objective_bound)
        if status == self.module.UNKNOWN:
            return found, spent
        if finishing:
            return replace(found, finish_bound=max(found.finish_bound, bound)), spent
        return replace(found, bound=max(found.bound, bound)), spent

    def _hint(self, model: Any, best: Sequenced) -> None:
        model.clear_hints()
        for one in best.placed:
            mine = self.works[one.work.id]
            model.add_hint(mine.start, one.start)
            for chosen, name in ((mine.machine, one.machine), (mine.person, one.person)):
                for other, variable in chosen.items():
                    if variable is not True:
                        model.add_hint(variable, int(other == name))

    def _read(self, solver: Any, best: Sequenced) -> Sequenced:
        starts = {id: solver.value(mine.start) for id, mine in self.works.items()}
        chosen = {
            id: (self._name(solver, mine.machine), self._name(solver, mine.person))
            for id, mine in self.works.items()
        }
        number = self.load.number
        order = sorted(starts, key=lambda id: (starts[id], solver.value(self.works[id].end), number[id]))
        placed = in_order(self.load, order, chosen)
        return replace(best, placed=placed, how="constraint solver")

    @staticmethod
    def _name(solver: Any, chosen: dict[str, Any]) -> str:
        return next((name for name, one in chosen.items() if one is True or solver.boolean_value(one)), "")
