"""What a whole shop has before it: the works of many jobs, who and what can do them, and when those are not there.

Time runs in working minutes from the start of the first day: a day has the minutes that its calendar gives, nights and
closed days have none. A work holds one machine from start to end and one person for its attended minutes, which stand
at its front. Outside work leaves at the end of the day on which it is ready and is back after whole working days.
A work is not divided over an absence; over a night it may be, unless it must end on its day (an oven does not pause).
Source: job shop with alternative machines and operators, textbook model; the day's end for outside work is ours.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import accumulate

__all__ = ["Away", "Job", "Load", "Work", "loose_ends"]


@dataclass(frozen=True)
class Work:
    """One operation of a job, in whole minutes. Any one of `machines` and of `people` will do; none named: none needed.

    `not_by` names works whose person may not do this one, and `earliest` a minute before which it cannot start, for
    the reason in `because`. `days_away` (with `supplier`) makes it outside work. What is `begun` goes first at its
    machines.
    """

    id: str
    job: str
    title: str
    minutes: int
    after: tuple[str, ...] = ()
    station: str = ""
    machines: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    attended: int = 0
    not_by: tuple[str, ...] = ()
    days_away: int | None = None
    supplier: str = ""
    earliest: int = 0
    because: str = ""
    one_day: bool = False
    begun: bool = False


@dataclass(frozen=True)
class Job:
    """What is delivered together. `due` is the minute by which its last work should end; None: no date was agreed."""

    name: str
    due: int | None = None
    weight: int = 1


@dataclass(frozen=True)
class Away:
    """A machine or person that is not there from one minute up to another."""

    what: str
    start: int
    end: int
    reason: str


@dataclass(frozen=True)
class Load:
    """Everything to be sequenced. Works stand after those they need; `days` are (day, its working minutes), enough
    for all works one after another."""

    jobs: tuple[Job, ...]
    works: tuple[Work, ...]
    days: tuple[tuple[date, int], ...]
    away: tuple[Away, ...] = ()

    @cached_property
    def starts(self) -> tuple[int, ...]:
        """The minute at which each day starts, and that at which the last one ends."""
        return (0, *accumulate(minutes for _, minutes in self.days))

    @cached_property
    def number(self) -> Mapping[str, int]:
        return {work.id: n for n, work in enumerate(self.works)}

    @cached_property
    def job(self) -> Mapping[str, Job]:
        return {job.name: job for job in self.jobs}

    @cached_property
    def absences(self) -> Mapping[str, tuple[Away, ...]]:
        """By machine or person, in order of time."""
        found: dict[str, list[Away]] = {}
        for one in sorted(self.away, key=lambda one: (one.start, one.end)):
            found.setdefault(one.what, []).append(one)
        return {what: tuple(ones) for what, ones in found.items()}

    @cached_property
    def horizon(self) -> int:
        """Minutes that no sequence needs to exceed."""
        return least_horizon(self.works, self.away, max((m for _, m in self.days), default=1))

    def day(self, minute: int, ends: bool = False) -> int:
        """Number of the day of a minute; one that `ends` with a day's last minute ends on that day."""
        at = bisect_left(self.starts, minute) - 1 if ends else bisect_right(self.starts, minute) - 1
        return min(max(at, 0), len(self.days) - 1)

    def back(self, ready: int, days: int) -> int:
        """The minute at which outside work is back that is ready at one."""
        return self.starts[min(bisect_left(self.starts, ready) + days, len(self.days))]

    def fits_its_day(self, work: Work, start: int) -> bool:
        """Does it end on the day on which it starts, or is it longer than every day?"""
        n = self.day(start)
        return start + work.minutes <= self.starts[n + 1] or work.minutes > max(m for _, m in self.days)


def least_horizon(works: Sequence[Work], away: Sequence[Away], day: int) -> int:
    """Minutes for all works one after another, after the last absence; `day` is the longest day."""
    one_by_one = sum(
        work.minutes + day * ((work.days_away or 0) + (work.days_away is not None) + work.one_day)
        for work in works
    )
    late = [work.earliest for work in works] + [one.end for one in away]
    return one_by_one + max(late, default=0) + day


def loose_ends(load: Load) -> Iterator[str]:
    """What keeps a load from being sequenced, in words: a loop or an unknown work, or nobody left to do one."""
    for n, work in enumerate(load.works):
        for name in (*work.after, *work.not_by):
            if load.number.get(name, n) >= n:
                yield f"{work.id} stands before {name}, which it needs"
        if work.attended and not work.people:
            yield f"{work.id}: nobody may do it"
        if work.job not in load.job:
            yield f"{work.id} belongs to no job"
