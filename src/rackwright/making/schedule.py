"""When tasks are done: critical path, one resource a station, and a one-shift calendar.

Tasks are taken in the order given, which must put every task after those it needs (a serial list schedule): each
starts as soon as what it needs is done and its station is free; nothing is moved ahead afterwards. It is a simple
rule, not the shortest schedule. Time runs in working hours from the start of the first day; an outside task leaves
at the end of the day on which it is ready and is back after whole working days.
The slack of a task is how long it may slip without moving the end: a backward pass over what it needs and over the
order at its station. Before an outside task it is the least: the rest of the day is not counted.
Source: critical path method, textbook forward and backward pass.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
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
    """Every task placed, in the order given. Raises KeyError when a task stands before one that it needs."""
    last: dict[str, str] = {}
    after: dict[str, tuple[str, ...]] = {}
    for task in tasks:
        held = last.get(task.station) if task.station else None
        after[task.id] = (*task.after, held) if held else task.after
        if task.station:
            last[task.station] = task.id
    return _with_slack(tasks, _forward(tasks, after, hours_a_day), after)


def _forward(
    tasks: Sequence[Task], after: Mapping[str, tuple[str, ...]], hours_a_day: float
) -> dict[str, tuple[float, float]]:
    times: dict[str, tuple[float, float]] = {}
    for task in tasks:
        start = max((times[name][1] for name in after[task.id]), default=0.0)
        end = start + task.hours
        if task.days_away:
            end = (ceil(start / hours_a_day - EPS) + task.days_away) * hours_a_day
        times[task.id] = (start, end)
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
