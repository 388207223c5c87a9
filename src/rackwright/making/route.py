"""The route of an order: every operation with its station, pieces, counts and hours; and when each rack is done.

Hours are the shop's own times (`[[operation_time]]`) laid on what the definition counts: pieces, part numbers, cuts,
holes, joints, readings, lots; and a machine's own cycle where its station computes one. An operation without a time
is asked for, and then there is no date: nothing is guessed. Set-up is paid once for a batch, and again when the next
rack is of another design.
With a learning rate the run hours of a rack, not its set-up or machine time, fall with the number built; the recorded
times are those of the last rack built before the order.
The schedule is in `schedule.py`: one resource a station, one shift.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from rackwright.formulas.learning import average_unit, unit_hours
from rackwright.making.asked import Asked
from rackwright.making.assembly import Heat
from rackwright.making.coat import is_coated
from rackwright.making.dates.tasks import Placed, Task, day_at, list_schedule, working_days
from rackwright.making.inspected import characteristics_of
from rackwright.making.operations import Operation, needed, order_faults
from rackwright.making.sawing.cutting import Demand, Racked
from rackwright.pieces.model import Piece
from rackwright.shop import Shop
from rackwright.shop.labour import Learning, OperationTime, OutsideWork, day_of
from rackwright.trouble import Fault

__all__ = ["STAGES", "Cycles", "Route", "Step", "pieces_taken", "route", "tasks_of"]

#: (operation, rack of the order from 1; 0 = the whole order) -> seconds of the machine's own cycle
Cycles = Mapping[tuple[str, int], float]

STAGES = {"inspect_metal": "before coat", "inspect_film": "after coat", "inspect": "assembled"}
HOUR = 3600.0
MOST_DAYS = 20_000  # no order takes eighty years
ALL = -1  # every rack, and the order as a whole


@dataclass(frozen=True)
class Step:
    """One operation on the whole order (rack 0) or on one rack. Times in seconds; None while a value is asked for."""

    number: int
    operation: Operation
    rack: int
    design: str
    parts: tuple[tuple[str, int], ...]
    counts: tuple[tuple[str, int], ...]
    role: str
    setup: float | None
    run: float | None
    cycle: float
    attended: bool
    known: str
    outside: OutsideWork | None = None
    asked: Asked | None = None

    @property
    def id(self) -> str:
        return f"{self.operation.id}.{self.rack}" if self.rack else self.operation.id

    @property
    def labour(self) -> float | None:
        """Seconds that a person is paid for."""
        if self.setup is None or self.run is None:
            return None
        return self.setup + self.run + (self.cycle if self.attended else 0.0)

    @property
    def elapsed(self) -> float | None:
        """Seconds that the station is taken."""
        return None if self.setup is None or self.run is None else self.setup + self.run + self.cycle

    @property
    def pieces(self) -> int:
        return sum(number for _, number in self.parts)


@dataclass(frozen=True)
class Route:
    """All steps of an order in a true order, and their times. `placed` is None while a value is asked for."""

    operations: tuple[Operation, ...]
    steps: tuple[Step, ...]
    faults: tuple[Fault, ...]
    asked: tuple[Asked, ...]
    placed: Mapping[str, Placed] | None
    start: date | None
    finish: Mapping[int, date]  # by rack of the order
    due: date | None
    slack: int | None  # working days between the last rack's finish and the due date

    @cached_property
    def ready(self) -> date | None:
        """The day on which the last rack is done."""
        return max(self.finish.values(), default=None)

    @cached_property
    def hours(self) -> float | None:
        """Hours of people, outside work not counted; None while any is asked for."""
        known = [step.labour for step in self.steps if step.outside is None]
        return None if any(one is None for one in known) else sum(one or 0.0 for one in known) / HOUR

    def dates(self, step: Step, shop: Shop) -> tuple[date, date] | None:
        """First and last day of a step."""
        if self.placed is None or self.start is None or shop.calendar is None:
            return None
        at = self.placed[step.id]
        return (day_at(shop.calendar, self.start, at.start, ends=at.end - at.start < 1e-9),
                day_at(shop.calendar, self.start, at.end, ends=True))  # fmt: skip


def route(
    demand: Demand, shop: Shop, *, joints: Sequence[int], heats: Sequence[Heat], cycles: Cycles, lots: int,
    start: str | None = None, due: str | None = None,
) -> Route:  # fmt: skip
    """The route of an order.

    `joints` counts those of each design of the demand, `lots` the bars, items and lots that are taken from stores.
    `start` and `due` are days (YYYY-MM-DD); without `start` the calendar's own is taken.
    """
    racks = [(design, n) for n, (design, quantity) in enumerate(demand) for _ in range(quantity)]
    kinds = frozenset(piece.kind for design, _ in demand for piece in design.pieces.made)
    operations = needed([design.rack for design, _ in demand], kinds)
    hottest = max((point.metal for design, _ in demand if design.rack.definition.finish
                   for point in design.rack.definition.finish.cure), default=None)  # fmt: skip
    readings = [_readings(design, shop) for design, _ in demand]
    steps = tuple(_steps(operations, racks, shop, joints, readings, cycles, lots))
    asked = list(dict.fromkeys(step.asked for step in steps if step.asked is not None))
    calendar = shop.calendar
    day = day_of(start or (calendar.start if calendar and calendar.start else ""))
    if calendar is None:
        asked.append(Asked("calendar.hours_a_day", "without a working day there is no date"))
    elif day is None:
        asked.append(Asked("calendar.start", "from which day is the order worked on?"))
    placed, finish = None, {}
    if calendar is not None and not any(step.asked for step in steps):
        placed = list_schedule(list(tasks_of(operations, steps)), calendar.hours_a_day)
        if max(one.end for one in placed.values()) > MOST_DAYS * calendar.hours_a_day:
            asked.append(
                Asked("operation_time", f"the order takes over {MOST_DAYS} working days: check the times")
            )
            placed = None
    if calendar is not None and placed is not None and day is not None:
        ends = {rack: placed[f"{operations[-1].id}.{rack}"].end for rack in range(1, len(racks) + 1)}
        finish = {rack: day_at(calendar, day, end, ends=True) for rack, end in ends.items()}
    until = day_of(due or "")
    slack = working_days(calendar, max(finish.values()), until) if calendar and finish and until else None
    return Route(operations, steps, tuple(order_faults(operations, heats, hottest)), tuple(asked), placed, day, finish,
                 until, slack)  # fmt: skip


# --- steps ---------------------------------------------------------------------------------------


def _steps(
    operations: Sequence[Operation], racks: Sequence[tuple[Racked, int]], shop: Shop, joints: Sequence[int],
    readings: Sequence[Mapping[str, int]], cycles: Cycles, lots: int,
) -> Iterator[Step]:  # fmt: skip
    outside = {row.operation: row for row in shop.outside}
    times = {row.operation: row for row in shop.operation_time}
    number = 0
    for one in operations:
        away, row = outside.get(one.id), times.get(one.id)
        together = one.batch or away is not None
        groups = [(0, racks)] if together else [(n, [rack]) for n, rack in enumerate(racks, start=1)]
        before = None
        for rack, some in groups:
            number += 1
            counts = _counts(one, some, joints, readings, lots)
            again = rack > 1 and before is some[0][0]  # the set-up stands
            before = some[0][0]
            design = "" if together else some[0][0].rack.definition.part
            yield _step(number, one, rack, design, _parts(one, some), counts, row, away, again, shop.learning,
                        cycles)  # fmt: skip


def _step(
    number: int, one: Operation, rack: int, design: str, parts: tuple[tuple[str, int], ...], counts: dict[str, int],
    row: OperationTime | None, away: OutsideWork | None, again: bool, learning: Learning | None, cycles: Cycles,
) -> Step:  # fmt: skip
    named = {"piece", "rack"} | {name for name in counts if row is not None and getattr(row, f"per_{name}")}
    shown = tuple((name, count) for name, count in counts.items() if name in named)
    if away is not None:
        return Step(number, one, rack, design, parts, shown, "", 0.0, 0.0, 0.0, False, away.document, away)
    if row is None:
        asked = Asked(f"operation_time.{one.id}", f"how long does it take to {one.title}?")
        return Step(number, one, rack, design, parts, shown, "", None, None, 0.0, True, "", None, asked)
    cycle = 0.0
    if one.cycle and not row.cycle_included:
        if (one.id, rack) not in cycles:
            why = f"the cycle of the {one.station} is not computed, and the times do not say that they include it"
            asked = Asked(f"operation_time.{one.id}.cycle_included", why)
            return Step(
                number,
                one,
                rack,
                design,
                parts,
                shown,
                row.role,
                None,
                None,
                0.0,
                True,
                row.known,
                None,
                asked,
            )
        cycle = cycles[one.id, rack]
    run = sum((getattr(row, f"per_{name}") or 0.0) * count for name, count in counts.items())
    if rack and learning is not None:
        run *= _learned(learning, rack)
    setup = 0.0 if again else row.setup
    return Step(number, one, rack, design, parts, shown, row.role, setup, run, cycle, row.attended, row.known)


def _learned(learning: Learning, rack: int) -> float:
    """Hours of this rack of the order as a share of the last one built before it."""
    of = unit_hours if learning.model == "unit" else average_unit
    return float(
        of(1.0, learning.built + rack, learning.rate) / of(1.0, max(learning.built, 1), learning.rate)
    )


def pieces_taken(one: Operation, design: Racked) -> list[Piece]:
    """The pieces of a rack that an operation takes."""
    finish = design.rack.definition.finish
    if one.coated:
        return [piece for piece in design.pieces.made if finish is not None and is_coated(finish, piece)]
    return [piece for piece in design.pieces.made if not one.kinds or piece.kind in one.kinds]


def _parts(one: Operation, racks: Sequence[tuple[Racked, int]]) -> tuple[tuple[str, int], ...]:
    counts = Counter(piece.part for design, _ in racks for piece in pieces_taken(one, design))
    return tuple(sorted(counts.items()))


def _counts(
    one: Operation,
    racks: Sequence[tuple[Racked, int]],
    joints: Sequence[int],
    readings: Sequence[Mapping[str, int]],
    lots: int,
) -> dict[str, int]:
    """What an operation's time is counted by, as its time row names it after `per_`."""
    taken = [piece for design, _ in racks for piece in pieces_taken(one, design)]
    return {
        "rack": len(racks), "part": len({piece.part for piece in taken}), "piece": len(taken),
        "cut": sum(piece.length is not None for piece in taken), "hole": sum(len(piece.holes) for piece in taken),
        "joint": sum(joints[n] for _, n in racks), "lot": lots,
        "reading": sum(readings[n].get(STAGES.get(one.id, ""), 0) for _, n in racks),
    }  # fmt: skip


def _readings(design: Racked, shop: Shop) -> Counter[str]:
    """How many characteristics are measured at each stage."""
    return Counter(one.stage for one in characteristics_of(design, shop))


def tasks_of(operations: Sequence[Operation], steps: Sequence[Step]) -> Iterator[Task]:
    """Steps as tasks: a rack waits for its own steps, a batch for those of every rack."""
    ids: dict[tuple[str, int], list[str]] = {}
    for step in steps:
        for rack in {step.rack, ALL}:
            ids.setdefault((step.operation.id, rack), []).append(step.id)
    for step in steps:
        racks = (0, step.rack) if step.rack else (ALL,)
        after = [id for name in step.operation.after for rack in racks for id in ids.get((name, rack), ())]
        if step.outside is not None:
            yield Task(step.id, 0.0, tuple(after), "", step.outside.days)
        else:
            yield Task(step.id, (step.elapsed or 0.0) / HOUR, tuple(after), step.operation.station)
