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
from dataclasses import dataclass
from datetime import date, timedelta
from heapq import heappop, heappush
from math import ceil, floor

from rackwright.shop.labour import Calendar, day_of

__all__ = ["Placed", "Task", "critical_path", "day_at", "list_schedule", "working_days"]

EPS = 1e-9  # h


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
    last: dict[str, int] = {}  # station -> the task placed there last
    times: dict[str, tuple[float, float]] = {}
    after: dict[str, tuple[str, ...]] = {}
    placed: list[Task] = []

    def begin(n: int) -> float:
        return max((times[name][1] for name in _after(tasks, n, last)), default=0.0)

    ready = [(0.0, n) for n, count in enumerate(waits) if not count]
    while ready:
        start, n = heappop(ready)
        if begin(n) > start:  # its station was given away meanwhile
            heappush(ready, (begin(n), n))
            continue
        task = tasks[n]
        after[task.id] = _after(tasks, n, last)
        times[task.id] = (start, _end(task, start, hours_a_day))
        placed.append(task)
        if task.station:
            last[task.station] = n
        for other in follow[n]:
            waits[other] -= 1
            if not waits[other]:
                heappush(ready, (begin(other), other))
    return _with_slack(placed, times, after)


def _after(tasks: Sequence[Task], n: int, last: Mapping[str, int]) -> tuple[str, ...]:
    """What a task waits for: those it needs, and the one before it at its station."""
    held = last.get(tasks[n].station)
    return tasks[n].after if held is None else (*tasks[n].after, tasks[held].id)


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
    day = _next_open(calendar, start)
    for _ in range(index):
        day = _next_open(calendar, day + timedelta(days=1))
    return day


def working_days(calendar: Calendar, first: date, last: date) -> int:
    """Working days after `first` up to `last`; negative when `last` is earlier."""
    if last < first:
        return -working_days(calendar, last, first)
    days = ((last - first).days) + 1
    return sum(_open(calendar, first + timedelta(days=n)) for n in range(1, days))


def _open(calendar: Calendar, day: date) -> bool:
    return day.weekday() < 5 and day not in {day_of(text) for text in calendar.closed}


def _next_open(calendar: Calendar, day: date) -> date:
    while not _open(calendar, day):
        day += timedelta(days=1)
    return day
