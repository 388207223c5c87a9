"""Works placed in a given order, each as early as its order allows; and the simple rule that finds a first order.

Placing in order (a semi-active schedule) moves no work past another on its machine or person, and never makes a
solver's answer later. It keeps for every work what it waited for, so that the chain behind any finish can be told:
every link starts when the one before it lets it.
The rule: of the works whose needs are done, the one that can start first is placed next, in doubt what is begun,
then what is due first.
Source: semi-active and non-delay schedules, serial generation scheme, textbook.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from rackwright.making.dates.shop_load import Job, Load, Work

__all__ = ["Link", "Placed", "Sequenced", "Stuck", "alone", "by_rule", "in_order"]


class Stuck(Exception):
    """Nobody is left who may do a work: every person for it did one that it checks. Carries the work's id."""


@dataclass(frozen=True)
class Link:
    """What a work waited for last: `kind` is start, after, machine, person, earliest; `by` the work before it there.

    `also` are absences and ends of a day that it then had to let pass.
    """

    kind: str
    what: str = ""
    by: str = ""
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class Placed:
    """A work with its minutes, its machine and its person ("" for none)."""

    work: Work
    start: int
    end: int
    machine: str
    person: str
    link: Link


@dataclass(frozen=True)
class Sequenced:
    """A whole sequence. `bound` is of the weighted lateness, `finish_bound` of the last finish among the sequences
    that are no later; `how` says what found it."""

    load: Load
    placed: tuple[Placed, ...]
    how: str
    bound: int
    finish_bound: int

    @cached_property
    def of(self) -> Mapping[str, Placed]:
        return {one.work.id: one for one in self.placed}

    @cached_property
    def finish(self) -> Mapping[str, int]:
        """By job: the minute at which its last work ends."""
        ends = {job.name: 0 for job in self.load.jobs}
        for one in self.placed:
            ends[one.work.job] = max(ends[one.work.job], one.end)
        return ends

    def late(self, job: Job) -> int:
        """Minutes after its due date; 0 when in time or without one."""
        return 0 if job.due is None else max(0, self.finish[job.name] - job.due)

    @cached_property
    def lateness(self) -> int:
        """Weighted minutes over all jobs: what is made least first."""
        return sum(job.weight * self.late(job) for job in self.load.jobs)

    @cached_property
    def last(self) -> int:
        """The minute at which everything is done."""
        return max(self.finish.values(), default=0)

    @property
    def cost(self) -> tuple[int, int]:
        return self.lateness, self.last

    @property
    def optimal(self) -> bool:
        return self.cost == (self.bound, self.finish_bound)

    @property
    def gap(self) -> float:
        """Of the weighted lateness: (found - bound) / found."""
        return (self.lateness - self.bound) / self.lateness if self.lateness else 0.0

    def last_of(self, job: str) -> Placed | None:
        """The work that decides when a job is done."""
        return max((one for one in self.placed if one.work.job == job), key=lambda one: one.end, default=None)

    def chain(self, last: Placed) -> tuple[Placed, ...]:
        """From the first minute to a work: each starts when the one before it lets it. A critical chain."""
        links = [last]
        while links[-1].link.by:
            links.append(self.of[links[-1].link.by])
        return tuple(reversed(links))


# --- placing -------------------------------------------------------------------------------------


@dataclass
class _Places:
    """Until when each machine and person is taken, and by which work last."""

    load: Load
    free: dict[str, tuple[int, str]] = field(default_factory=dict)
    done: dict[str, Placed] = field(default_factory=dict)

    def place(self, work: Work, machine: str, person: str) -> Placed:
        """The work as early as those before it, its machine, person and day allow."""
        waits = [(0, Link("start")), (work.earliest, Link("earliest", work.because))]
        waits += [(self.done[name].end, Link("after", by=name)) for name in work.after]
        for kind, what in (("machine", machine), ("person", person)):
            if what in self.free:
                waits.append((self.free[what][0], Link(kind, what, self.free[what][1])))
        start, link = max(waits, key=lambda wait: wait[0])
        start, also = self._past_absences(work, start, machine, person)
        away = work.days_away
        end = start + work.minutes if away is None else self.load.back(start, away)
        return Placed(work, start, end, machine, person, Link(link.kind, link.what, link.by, also))

    def _past_absences(
        self, work: Work, start: int, machine: str, person: str
    ) -> tuple[int, tuple[str, ...]]:
        taken = ((machine, work.minutes), (person, work.attended))
        absences = [
            (one, minutes) for what, minutes in taken for one in self.load.absences.get(what, ()) if minutes
        ]
        also: list[str] = []
        while True:
            hit = next((one for one, m in absences if one.start < start + m and start < one.end), None)
            if hit is not None:
                also.append(f"{hit.what} is away: {hit.reason}")
                start = hit.end
            elif work.one_day and not self.load.fits_its_day(work, start):
                also.append("it must end on the day on which it starts")
                start = self.load.starts[self.load.day(start) + 1]
            else:
                return start, tuple(dict.fromkeys(also))

    def take(self, one: Placed) -> None:
        self.done[one.work.id] = one
        if one.machine:
            self.free[one.machine] = (one.end, one.work.id)
        if one.person:
            self.free[one.person] = (one.start + one.work.attended, one.work.id)


def in_order(load: Load, order: Sequence[str], chosen: Mapping[str, tuple[str, str]]) -> tuple[Placed, ...]:
    """All works as early as an order of them allows; `chosen` is each one's machine and person ("" for none).

    The order names each work after those it needs. Raises KeyError else.
    """
    places = _Places(load)
    for id in order:
        places.take(places.place(load.works[load.number[id]], *chosen[id]))
    return tuple(places.done[work.id] for work in load.works)


def alone(load: Load) -> dict[str, int]:
    """When each work would end if nothing waited for a machine or person: no sequence ends it sooner."""
    chosen = dict.fromkeys(load.number, ("", ""))
    return {one.work.id: one.end for one in in_order(load, [work.id for work in load.works], chosen)}


def by_rule(load: Load) -> Sequenced:
    """The best of the sequences that the simple rule finds, for each way of `RULES` to break its ties.

    Raises Stuck.
    """
    bound, finish_bound = plain_bounds(load)
    found = [Sequenced(load, _by(load, rule), "list rule", bound, finish_bound) for rule in RULES]
    return min(found, key=lambda one: one.cost)


#: among the works that can start first: that of the earliest due date; that whose job has the least time to spare for
#: its weight; that with the least left to do
RULES: tuple[Callable[[Job, int, int], float], ...] = (
    lambda job, left, now: _due(job),
    lambda job, left, now: (_due(job) - left - now) / job.weight,
    lambda job, left, now: left / job.weight,
    lambda job, left, now: (max(0.0, _due(job) - left - now) + left) / job.weight,
)


def _due(job: Job) -> float:
    return float("inf") if job.due is None else job.due


def _by(load: Load, rule: Callable[[Job, int, int], float]) -> tuple[Placed, ...]:
    places, checked, tails = _Places(load), _checked_by(load), _tails(load)
    needs = {work.id: len(set(work.after)) for work in load.works}
    follow: dict[str, list[str]] = {}
    for work in load.works:
        for name in set(work.after):
            follow.setdefault(name, []).append(work.id)
    ready = {work.id: work for work in load.works if not needs[work.id]}
    while len(places.done) < len(load.works):
        options = (
            (one.start, not work.begun, rule(load.job[work.job], tails[work.id], one.start), load.number[work.id],
             one.end, rank, one)
            for work in ready.values()
            for rank, one in _options(places, work, checked)
        )  # fmt: skip
        best = min(options, key=lambda option: option[:-1], default=None)
        if best is None:
            raise Stuck(next(iter(ready)))
        places.take(best[-1])
        del ready[best[-1].work.id]
        for name in follow.get(best[-1].work.id, ()):
            needs[name] -= 1
            if not needs[name]:
                ready[name] = load.works[load.number[name]]
    return tuple(places.done[work.id] for work in load.works)


def _tails(load: Load) -> dict[str, int]:
    """Minutes from the start of each work to the end of its job, if nothing waited."""
    day, tails = max((m for _, m in load.days), default=0), dict.fromkeys(load.number, 0)
    for work in reversed(load.works):
        tails[work.id] += work.minutes + day * (work.days_away or 0)
        for name in work.after:
            tails[name] = max(tails[name], tails[work.id])
    return tails


def plain_bounds(load: Load) -> tuple[int, int]:
    """Bounds of weighted lateness and last finish: every job alone, and each machine or person with its own works."""
    ends = alone(load)
    finish = {job.name: 0 for job in load.jobs}
    only: dict[str, int] = {}
    for work in load.works:
        finish[work.job] = max(finish[work.job], ends[work.id])
        for names, minutes in ((work.machines, work.minutes), (work.people, work.attended)):
            if len(names) == 1:
                only[names[0]] = only.get(names[0], 0) + minutes
    lateness = sum(
        job.weight * max(0, finish[job.name] - job.due) for job in load.jobs if job.due is not None
    )
    return lateness, max([*finish.values(), *only.values()], default=0)


def _checked_by(load: Load) -> Mapping[str, tuple[Work, ...]]:
    """Work -> the works that its person may not do."""
    found: dict[str, list[Work]] = {}
    for work in load.works:
        for name in work.not_by:
            found.setdefault(name, []).append(work)
    return {name: tuple(works) for name, works in found.items()}


def _options(
    places: _Places, work: Work, checked: Mapping[str, tuple[Work, ...]]
) -> Iterator[tuple[int, Placed]]:
    """The work at each machine with each person that leaves somebody to check it."""
    barred = {places.done[name].person for name in work.not_by if name in places.done}
    people = [
        person for person in work.people if person not in barred and _leaves(places, work, person, checked)
    ]
    rank = 0
    for machine in work.machines or ("",):
        for person in people if work.people else [""]:
            yield rank, places.place(work, machine, person)
            rank += 1


def _leaves(places: _Places, work: Work, person: str, checked: Mapping[str, tuple[Work, ...]]) -> bool:
    for other in checked.get(work.id, ()):
        barred = {places.done[name].person for name in other.not_by if name in places.done} | {person}
        if not set(other.people) - barred:
            return False
    return True
