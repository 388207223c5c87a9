"""When tasks are done: critical path, one resource a station, and a one-shift calendar.

A list schedule: of the tasks whose needs are done, the one that can start first is placed next, in doubt the earlier
in the list; nothing is moved afterwards. It is a simple rule, not the shortest schedule. Time runs in working hours
from the start of the first day; an outside task leaves at the end of the day on which it is ready and is back after
whole working days.
The slack of a task is how long it may slip without moving the end: a backward pass over what it needs and over the
order at its station. Before an outside task it is the least: the rest of the day is not counted.
Source: critical path method, textbook forward and backward pass.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from heapq import heappop, heappush
from math import ceil, floor

from rackwright.shop.labour import Calendar, day_of

__all__ = ["Placed", "Task", "critical_path", "day_at", "list_schedule", "working_days"]

EPS = 1e-9  # h
YEAR = 260  # working days listed at a time


@dataclass(frozen=True)
class Task:
    """Something to be done: hours at its station ("" = no station, nothing to wait for), or working days away."""

    id: str
    hours: float
    after: tuple[str, ...]
    station: str = ""
    days_away: int = 0


@dataclass(frozen=True)
class Placed:
    """A task in the schedule: working hours from the start, and how long it may slip."""

    task: Task
    start: float
    end: float
    slack: float

    @property
    def critical(self) -> bool:
        return self.slack < 1e-6


def critical_path(tasks: Sequence[Task], hours_a_day: float = 24.0) -> dict[str, Placed]:
    """Earliest times and slack when nobody waits for a station. Tasks stand after those they need."""
    after = {task.id: task.after for task in tasks}
    return _with_slack(tasks, _forward(tasks, after, hours_a_day), after)


def list_schedule(tasks: Sequence[Task], hours_a_day: float) -> dict[str, Placed]:
    """Every task placed. Raises KeyError when a task stands before one that it needs."""
    number = {task.id: n for n, task in enumerate(tasks)}
    waits: list[int] = []  # how many of those it needs are not placed yet
    follow: list[list[int]] = [[] for _ in tasks]
    for n, task in enumerate(tasks):
        needs = {number[name] for name in task.after}
        if any(need >= n for need in needs):
            raise KeyError(f"{task.id} stands before one that it needs")
        waits.append(len(needs))
        for need in needs:
            follow[need].append(n)
    queues: dict[str, _Queue] = {}
    times: dict[str, tuple[float, float]] = {}
    after: dict[str, tuple[str, ...]] = {}
    placed: list[Task] = []

    def ready(n: int) -> None:
        task = tasks[n]
        queue = queues.setdefault(task.station or task.id, _Queue())
        heappush(queue.waiting, (max((times[name][1] for name in task.after), default=0.0), n))

    for n, count in enumerate(waits):
        if not count:
            ready(n)
    while len(placed) < len(tasks):
        start, n, queue = min(
            (*found, queue) for queue in queues.values() if (found := queue.first()) is not None
        )
        queue.take()
        task = tasks[n]
        after[task.id] = (*task.after, queue.last) if queue.last else task.after
        times[task.id] = (start, _end(task, start, hours_a_day))
        queue.free, queue.last = times[task.id][1], task.id
        placed.append(task)
        if not task.station:
            del queues[task.id]
        for other in follow[n]:
            waits[other] -= 1
            if not waits[other]:
                ready(other)
    return _with_slack(placed, times, after)


@dataclass
class _Queue:
    """What is ready at one station: tasks by the time they are ready, and those that only wait for the station."""

    free: float = 0.0
    last: str = ""  # the task placed here last
    waiting: list[tuple[float, int]] = field(default_factory=list)
    open: list[int] = field(default_factory=list)

    def first(self) -> tuple[float, int] | None:
        """Start and number of the task that can start first, in doubt the earlier in the list."""
        while self.waiting and self.waiting[0][0] <= self.free:
            heappush(self.open, heappop(self.waiting)[1])
        if self.open:
            return self.free, self.open[0]
        return self.waiting[0] if self.waiting else None

    def take(self) -> None:
        """What `first` said is placed."""
        if self.open:
            heappop(self.open)
        else:
            heappop(self.waiting)


def _end(task: Task, start: float, hours_a_day: float) -> float:
    if not task.days_away:
        return start + task.hours
    return (ceil(start / hours_a_day - EPS) + task.days_away) * hours_a_day


def _forward(
    tasks: Sequence[Task], after: Mapping[str, tuple[str, ...]], hours_a_day: float
) -> dict[str, tuple[float, float]]:
    times: dict[str, tuple[float, float]] = {}
    for task in tasks:
        start = max((times[name][1] for name in after[task.id]), default=0.0)
        times[task.id] = (start, _end(task, start, hours_a_day))
    return times


def _with_slack(
    tasks: Sequence[Task], times: Mapping[str, tuple[float, float]], after: Mapping[str, tuple[str, ...]]
) -> dict[str, Placed]:
    """Latest ends by the backward pass; a task away keeps its length there."""
    finish = max((end for _, end in times.values()), default=0.0)
    latest = dict.fromkeys(times, finish)
    for task in reversed(tasks):
        start, end = times[task.id]
        for name in after[task.id]:
            latest[name] = min(latest[name], latest[task.id] - (end - start))
    return {
        task.id: Placed(task, *times[task.id], max(0.0, latest[task.id] - times[task.id][1]))
        for task in tasks
    }


# --- calendar ------------------------------------------------------------------------------------


def day_at(calendar: Calendar, start: date, hours: float, ends: bool) -> date:
    """The day on which so many working hours from the start of `start` are reached.

    `ends`: a task that ends with a day's last hour ends on that day; one that starts then starts the next.
    """
    whole = hours / calendar.hours_a_day
    index = max(0, ceil(whole - EPS) - 1) if ends else floor(whole + EPS)
    return _days(calendar.closed, start, index // YEAR)[index]


@cache
def _days(closed: tuple[str, ...], start: date, years: int) -> tuple[date, ...]:
    """The working days from `start` on, more than so many times `YEAR`."""
    days: list[date] = []
    day = start
    while len(days) <= (years + 1) * YEAR:
        if _open(closed, day):
            days.append(day)
        day += timedelta(days=1)
    return tuple(days)


def working_days(calendar: Calendar, first: date, last: date) -> int:
    """Working days after `first` up to `last`; negative when `last` is earlier."""
    if last < first:
        return -working_days(calendar, last, first)
    days = ((last - first).days) + 1
    return sum(_open(calendar.closed, first + timedelta(days=n)) for n in range(1, days))


def _open(closed: tuple[str, ...], day: date) -> bool:
    return day.weekday() < 5 and day not in _closed(closed)


@cache
def _closed(texts: tuple[str, ...]) -> frozenset[date | None]:
    return frozenset(day_of(text) for text in texts)
