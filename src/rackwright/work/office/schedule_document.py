"""The schedule as one document: what is printed, shown on the sheet for the wall, and compared with a later one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from rackwright.making.dates.lateness import why_late
from rackwright.making.dates.placing import Placed, Sequenced
from rackwright.making.dates.sequence import improve
from rackwright.making.dates.shop_load import Load
from rackwright.trouble import DEFERENCE, PRELIMINARY
from rackwright.work.office.scheduling import Floor
from rackwright.work.run import run_until

__all__ = ["SCHEDULE_FORMAT", "schedule_document", "sequence_in_time"]

SCHEDULE_FORMAT = "rackwright/schedule/1"


def sequence_in_time(
    load: Load, deadline: float, hear: Callable[[str], None] | None = None
) -> Sequenced | None:
    """The best sequence found until `time.monotonic()` reaches the deadline; None when not even a first one was.

    The same seconds need not give the same sequence. `hear` is told of a better one, and why a search ended early.
    """

    def listen(_: int, found: Sequenced) -> bool:
        if hear:
            hear(f"weighted lateness {found.lateness / 60:.1f} h, at least {found.bound / 60:.1f} h")
        return found.optimal

    (outcome,) = run_until(deadline, [(improve, (load,))], listen)
    if outcome.error and hear:
        hear(f"the search ended early: {outcome.error}")
    return outcome.last


def schedule_document(floor: Floor, sequence: Sequenced, shop: str, demo: bool) -> dict[str, Any]:
    """Plain data, in the order of orders and of start."""
    orders = list(_orders(floor, sequence))
    doubt = bool(floor.asked or any(floor.open.values()))
    return {
        "format": SCHEDULE_FORMAT,
        "caution": DEFERENCE,
        "shop": shop,
        "demo": demo,
        "marks": [PRELIMINARY] if doubt else [],
        "from": floor.start.isoformat(),
        "hours_a_day": floor.calendar.hours_a_day,
        "how": sequence.how,
        "optimal": sequence.optimal,
        "weighted_lateness_h": _hours(sequence.lateness),
        "weighted_lateness_at_least_h": _hours(sequence.bound),
        "gap": round(sequence.gap, 4),
        "finish": _day(floor, sequence.last),
        "finish_h": _hours(sequence.last),
        "finish_at_least_h": _hours(sequence.finish_bound),
        "orders": orders,
        "operations": [_operation(floor, one) for one in sorted(sequence.placed, key=_by_start)],
        "asked": sorted(floor.asked),
        "left_out": [{"order": order, "why": why} for order, why in sorted(floor.left_out.items())],
    }


def _by_start(one: Placed) -> tuple[int, str, str]:
    return one.start, one.machine, one.work.id


def _orders(floor: Floor, sequence: Sequenced) -> Iterator[dict[str, Any]]:
    for job in sequence.load.jobs:
        late = sequence.late(job)
        yield {
            "order": job.name,
            "due": floor.due[job.name],
            "weight": job.weight,
            "finish": _day(floor, sequence.finish[job.name]),
            "late_h": _hours(late),
            "why_late": why_late(sequence, job, floor.when),
            "open": floor.open.get(job.name, []),
        }


def _operation(floor: Floor, one: Placed) -> dict[str, Any]:
    work = one.work
    n = floor.load.day(one.start)
    return {
        "id": work.id,
        "order": work.job,
        "operation": work.title,
        "place": one.machine or work.supplier,
        "person": one.person,
        "first_day": floor.load.days[n][0].isoformat(),
        "from_h": _hours(one.start - floor.load.starts[n]),
        "last_day": _day(floor, one.end),
        "hours": _hours(work.minutes),
        "begun": work.begun,
        "start_h": _hours(one.start),
        "end_h": _hours(one.end),
    }


def _day(floor: Floor, minute: int) -> str:
    """The day on which something ends."""
    return floor.load.days[floor.load.day(minute, ends=True)][0].isoformat()


def _hours(minutes: int) -> float:
    return round(minutes / 60, 4)
