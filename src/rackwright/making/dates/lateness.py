"""Why a job is late, in words; and what has moved between two sequences.

The chain behind a late job is read from the answer: every work of it starts when the one before it lets it, so nothing
outside the chain would help by itself. Works of one job that follow without waiting are told in one line.
Source: critical path of a schedule with resources, textbook.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from rackwright.making.dates.placing import Placed, Sequenced, alone
from rackwright.making.dates.shop_load import Job

__all__ = ["moved", "why_late"]


def why_late(sequence: Sequenced, job: Job, when: Callable[[int], str]) -> list[str]:
    """One line a link of the chain behind a late job, first to last; `when` writes a minute. Empty when in time."""
    last = sequence.last_of(job.name)
    if last is None or not sequence.late(job):
        return []
    lines = [*_unaided(sequence, job)]
    runs: list[list[Placed]] = []
    for one in sequence.chain(last):
        follows = runs and one.link.kind == "after" and not one.link.also and not one.work.supplier
        if follows and runs[-1][-1].work.job == one.work.job:
            runs[-1].append(one)
        else:
            runs.append([one])
    return [*lines, *(_line(run, when, sequence) for run in runs)]


def _unaided(sequence: Sequenced, job: Job) -> Iterator[str]:
    """Is it late even when it waits for nobody?"""
    ends = alone(sequence.load)
    end = max(ends[work.id] for work in sequence.load.works if work.job == job.name)
    if job.due is not None and end > job.due:
        yield (
            f"{job.name} is late even if nothing waits for a machine or person: {hours(end - job.due)} too long"
        )


def _line(run: list[Placed], when: Callable[[int], str], sequence: Sequenced) -> str:
    first, last = run[0], run[-1]
    titles = ", ".join(dict.fromkeys(one.work.title for one in run))
    words = f"{first.work.job}: {titles}, {when(first.start)} to {when(last.end)}"
    link, work = first.link, first.work
    before = sequence.of[link.by].work if link.by else None
    if work.supplier:
        words += f", at {work.supplier}" + (f" for {work.days_away} working days" if work.days_away else "")
    if link.kind in ("machine", "person") and before is not None:
        verb = "waits for" if link.kind == "machine" else "waits until it has"
        words += f"; {verb} {link.what}, taken by {before.title} of {before.job}"
    elif link.kind == "earliest" and work.earliest:
        words += f"; not before: {work.because}"
    return "; ".join((words, *link.also))


def hours(minutes: int) -> str:
    return f"{minutes / 60:.1f} h"


def moved(
    before: Mapping[str, Any], after: Mapping[str, Any]
) -> tuple[list[dict[str, str]], list[dict[str, str]]]:
    """Jobs whose finish moved and works whose first day, machine or person did, between two schedules as documents."""
    jobs, works = [], []
    for old, new in _pairs(before["orders"], after["orders"], "order"):
        if old["finish"] != new["finish"]:
            jobs.append({"order": new["order"], "from": old["finish"], "to": new["finish"]})
    for old, new in _pairs(before["operations"], after["operations"], "id"):
        a, b = (f"{row['first_day']} {row['place']} {row['person']}".strip() for row in (old, new))
        if a != b:
            works.append({"id": new["id"], "from": a, "to": b})
    return jobs, works


def _pairs(before: list[Any], after: list[Any], key: str) -> Iterator[tuple[Any, Any]]:
    old = {row[key]: row for row in before}
    return ((old[row[key]], row) for row in after if row[key] in old)
