"""The shop's schedule from its record: all lines of open orders, what is done on them, who is there, what keeps them.

Who may do an operation is whom the gate of its act lets; an inspector has made no piece of what is inspected. What is
recorded is done; a step that is partly recorded is begun, and its share is left. Pieces at a supplier are back when
that was agreed, else after the shop's days for such work. A question is answered on the day it is due; a hold has no
day and is sequenced as if lifted, and said. Times are the shop's own: an order whose times are asked for has none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from math import ceil

from rackwright.making.dates.shop_load import Away, Job, Load, Work, least_horizon, loose_ends
from rackwright.making.dates.tasks import day_at, working_days
from rackwright.making.operations import OPERATIONS, before
from rackwright.making.route import Route, Step, tasks_of
from rackwright.plan import Plan
from rackwright.record import Record, State, state_of
from rackwright.record.office import Answer, Line, Order
from rackwright.shop import Shop
from rackwright.shop.labour import Calendar
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.engineering.frozen import frozen
from rackwright.work.gates import not_held, person_may, question_open, revision_is_referenced
from rackwright.work.office.progress import Progress
from rackwright.work.people.scopes import in_scope
from rackwright.work.stations.making import STEPS

__all__ = ["Floor", "floor_of"]

ROLE = {"receive": "receiving", "issue": "saw", "saw": "saw", "waterjet": "machining", "bend": "machining",
        "mill": "machining", "inspect_metal": "inspector", "inspect_film": "inspector", "inspect": "inspector",
        "weigh": "inspector", "release": "inspector"}  # every other operation is assembly's  # fmt: skip
SCOPE = {
    "saw": "cut",
    "waterjet": "",
    "receive": "",
    "issue": "",
}  # as the acts' gates name it; the rest alike
MAKES = ("saw", "waterjet", *STEPS, "assemble")
BEFORE = before(OPERATIONS)


@dataclass
class Floor:
    """The load with its calendar; what keeps an order and has no day (`open`, by order), what is asked for, and
    orders left out with the reason."""

    calendar: Calendar
    start: date
    load: Load
    open: dict[str, list[str]]
    asked: list[str]
    left_out: dict[str, str]
    due: dict[str, str] = field(default_factory=dict)

    @property
    def minutes(self) -> int:
        """Of a working day."""
        return self.load.days[0][1]

    def day(self, minute: int, ends: bool = False) -> date:
        return day_at(self.calendar, self.start, minute / 60, ends)

    def when(self, minute: int) -> str:
        """`2026-03-16 +2.5 h`: the day, and working hours into it."""
        n = self.load.day(minute)
        return f"{self.load.days[n][0].isoformat()} +{(minute - self.load.starts[n]) / 60:.1f} h"


def floor_of(record: Record, shop: Shop, today: str) -> Floor:
    """Everything open in the record, from the first working day not before `today` (YYYY-MM-DD).

    Raises Stopped: RW443 without a calendar, or where nobody may do a work; and as `frozen`.
    """
    if shop.calendar is None:
        raise Stopped([_no("calendar", "the shop has no calendar", "give [calendar] in shop.toml")])
    builder = _Builder(record, shop, shop.calendar, date.fromisoformat(today))
    floor = builder.floor()
    loose = list(loose_ends(floor.load))
    if loose:
        do = "record a person with the role, or end their absence"
        raise Stopped([_no("people", words, do) for words in loose[:20]])
    return floor


def _no(about: str, found: str, do: str) -> Refusal:
    return Refusal("RW443", Where("schedule", 0, about), found, do)


_TAKEN = Answer("", "", "", "", 1)  # a question is taken as answered from its day on


@dataclass(frozen=True)
class _Job:
    """What is scheduled as one: a line of an order."""

    order: Order
    line: Line

    @property
    def name(self) -> str:
        return self.order.named(self.line.line)


class _Builder:
    """Reads the record once; orders in the order of their due dates."""

    def __init__(self, record: Record, shop: Shop, calendar: Calendar, today: date) -> None:
        self.record, self.shop, self.calendar = record, shop, calendar
        self.state: State = state_of(record)
        self.today = today.isoformat()
        self.minutes = round(calendar.hours_a_day * 60)
        self.start = day_at(calendar, today, 0.0, ends=False)
        self.open: dict[str, list[str]] = {}
        self.asked: dict[str, None] = {}
        self.left_out: dict[str, str] = {}
        self.plans: dict[tuple[str, int], Plan] = {}
        self.progress = Progress.of(self.state, shop)
        self.stock = self._on_the_shelf()

    def floor(self) -> Floor:
        jobs, works, due = [], list[Work](), dict[str, str]()
        lines = [_Job(order, line) for order in self.state.orders.values() for line in order.standing]
        for job in sorted(lines, key=lambda one: (one.line.due or "9999", one.name)):
            made = list(self._works(job))
            if made:
                works += made
                due[job.name] = job.line.due
                until = self._end_of(date.fromisoformat(job.line.due)) if job.line.due else None
                jobs.append(Job(job.name, until, max(job.order.weight, 1)))
        away = tuple(self._absences(works))
        enough = ceil(least_horizon(works, away, self.minutes) / self.minutes) + 2
        days = tuple(
            (day_at(self.calendar, self.start, n * self.calendar.hours_a_day, ends=False), self.minutes)
            for n in range(enough)
        )
        load = Load(tuple(jobs), tuple(works), days, away)
        return Floor(self.calendar, self.start, load, self.open, list(self.asked), self.left_out, due)

    # --- days ---

    def _end_of(self, day: date) -> int:
        """The minute at which a day ends; 0 for the last working day before the first."""
        return (working_days(self.calendar, self.start, day) + 1) * self.minutes

    def _absences(self, works: list[Work]) -> Iterator[Away]:
        known = {name for work in works for name in (*work.machines, *work.people)}
        suppliers = {work.supplier for work in works} | set(self.state.suppliers)
        for one in self.state.absences:
            first, last = date.fromisoformat(one.first), date.fromisoformat(one.last)
            start, end = max(0, self._end_of(first - timedelta(days=1))), self._end_of(last)
            if one.what in known and end > start:
                yield Away(one.what, start, end, f"{one.reason}, until {one.last}")
            elif one.what not in known | suppliers and one.last >= self.today:
                self.asked[
                    f"away {one.what}: no machine, person or supplier that is needed goes by that name"
                ] = None

    # --- a line of an order ---

    def _works(self, job: _Job) -> Iterator[Work]:
        serials = self.state.racks(job.order.order, job.line.line)
        if len(serials) >= job.line.quantity and all(one.state in ("released", "shipped") for one in serials):
            return
        revision = serials[0].revision if serials else self._revision(job)
        if not revision:
            self.left_out[job.name] = "no revision is frozen for it"
            return
        plan = self._plan(revision, job.line.quantity)
        route = plan.route
        asked = [str(one) for one in route.asked if one.field != "calendar.start"]
        if plan.faults or asked:
            self.left_out[job.name] = "; ".join(asked) or str(plan.faults[0])
            return
        yield from self._steps(job, revision, plan, route, tuple(one.serial for one in serials))

    def _revision(self, job: _Job) -> str:
        """The newest that was frozen for the order, of the line's variation where it has several lines."""
        order, of = job.order, job.line.variation
        found = [
            one
            for one in self.state.revisions.values()
            if one.order == order.order and (len(order.lines) == 1 or one.variation in ("", of))
        ]
        return max(found, key=lambda one: one.seq).revision if found else ""

    def _plan(self, revision: str, quantity: int) -> Plan:
        key = (revision, quantity)
        if key not in self.plans:
            design = frozen(self.record, revision, self.state).design
            self.plans[key] = Plan(((design, quantity),), None, self.shop, effort=0)
        return self.plans[key]

    def _steps(
        self, job: _Job, revision: str, plan: Plan, route: Route, serials: tuple[str, ...]
    ) -> Iterator[Work]:
        name = job.name
        steps = {step.id: step for step in route.steps}
        tasks = list(tasks_of(route.operations, route.steps))
        share = {id: self._done(plan, step, serials) for id, step in steps.items()}
        for task in reversed(tasks):  # what a begun step needs is done, recorded or not
            if share[task.id] > 0:
                share |= dict.fromkeys(task.after, 1.0)
        left = [task for task in tasks if share[task.id] < 1]
        keeps = self._keeps(job, revision, serials)
        makers = {
            maker for one in self.state.pieces.values() if one.serial in serials for maker in one.makers
        }
        metal, because = self._metal(job, plan) if share.get("issue", 1.0) == 0 else (0, "")
        for task in left:
            step, id = steps[task.id], f"{name} {task.id}"
            operation, begun = step.operation.id, share[task.id] > 0
            run = (step.run or 0.0) + step.cycle
            seconds = run * (1 - share[task.id]) + (0.0 if begun else step.setup or 0.0)
            alone = 0.0 if step.attended else step.cycle * (1 - share[task.id])
            rack = ([*serials, *map("rack {}".format, range(len(serials) + 1, plan.racks + 1))][step.rack - 1]
                    if step.rack else "")  # fmt: skip
            people = self._people(operation)
            inspects = operation.startswith("inspect")
            if inspects:
                people = tuple(person for person in people if person not in makers)
            earliest, why = max(
                keeps.get(operation, (0, "")), (metal, because) if operation == "receive" else (0, "")
            )
            minutes = ceil(seconds / 60 - 1e-9)
            work = Work(
                id, name, f"{operation.replace('_', ' ')}{' ' + rack if rack else ''}", minutes,
                tuple(f"{name} {one}" for one in task.after if share[one] < 1), step.operation.station,
                self.shop.places(step.operation.station), people, minutes - ceil(alone / 60 - 1e-9),
                tuple(f"{name} {one.id}" for one in left if self._checked(steps[one.id], step)) if inspects else (),
                earliest=earliest, because=why, one_day=operation == "bake", begun=begun,
            )  # fmt: skip
            yield work if step.outside is None else self._outside(work, step, plan, serials)
        if not left:
            self.left_out[name] = "everything of its route is recorded"

    def _done(self, plan: Plan, step: Step, serials: tuple[str, ...]) -> float:
        """How much of a step the record holds, 0 to 1; nothing of a rack that has no serial yet."""
        racks = serials[step.rack - 1 : step.rack] if step.rack else serials
        design = plan.demand[0][0]
        signs = [sign for serial in racks for sign in self.progress.signs(step.operation, design, serial)]
        numbered = 1.0 if step.rack else len(serials) / plan.racks
        return numbered * sum(signs) / len(signs) if signs else 0.0

    @staticmethod
    def _checked(made: Step, inspected: Step) -> bool:
        """Does an inspection look at what this step made?"""
        of_it = not made.rack or not inspected.rack or made.rack == inspected.rack
        return of_it and made.operation.id in MAKES and made.outside is None and \
            made.operation.id in BEFORE[inspected.operation.id]  # fmt: skip

    def _people(self, operation: str) -> tuple[str, ...]:
        role = ROLE.get(operation, "assembly")
        names = self.state.persons
        return tuple(
            name
            for name in names
            if person_may(self.state, name, role, self.today) is None
            and in_scope(self.state, name, operation, of_route=True) is None
        )

    # --- what keeps it ---

    def _keeps(self, job: _Job, revision: str, serials: tuple[str, ...]) -> Mapping[str, tuple[int, str]]:
        """By operation: the minute before which it cannot start, and why. What has no day goes to `open`."""
        state, keeps = self.state, dict[str, tuple[int, str]]()
        order, line = job.order.order, job.line.line
        no_day = [not_held(state, serial=serial) for serial in serials]
        no_day.append(revision_is_referenced(state, revision, at_risk_allowed=True))
        for operation, what in (("issue", "sign_out"), ("release", "release")):
            asked = state.blocking(what, order=order, variation=job.line.variation, line=line)
            dates = [one for one in asked if one.due and one.due >= self.today]
            for one in dates:
                why = f"question {one.question} ({one.owner}) is to be answered by {one.due}"
                keeps[operation] = max(
                    keeps.get(operation, (0, "")), (self._end_of(date.fromisoformat(one.due)), why)
                )
            answered = {id: replace(one, answers=(_TAKEN,)) if one in dates else one
                        for id, one in state.questions.items()}  # fmt: skip
            no_day.append(question_open(replace(state, questions=answered), what, order, revision, line))
        words = dict.fromkeys(f"{one.found}; {one.do}" for one in no_day if one is not None)
        if words:
            self.open[job.name] = list(words)
        return keeps

    def _on_the_shelf(self) -> dict[tuple[str, str], int]:
        """Accepted length of each section and specification, nm."""
        found: dict[tuple[str, str], int] = {}
        for one in self.state.stock.values():
            if (
                one.state == "accepted"
                and one.length_nm
                and not self.state.held(stock_id=one.stock_id, heat=one.heat)
            ):
                key = (one.section, one.stock_spec)
                found[key] = found.get(key, 0) + one.length_nm
        return found

    def _metal(self, job: _Job, plan: Plan) -> tuple[int, str]:
        """When metal that is not on the shelf is there. Orders take in the order of their due dates; lengths are
        compared in all, which is the least that is missing."""
        latest = (0, "")
        for line in plan.parts:
            if line.length_nm is None:
                continue
            key = (line.section, line.stock)
            need = line.quantity * (line.length_nm + self.shop.saw.planned_kerf)
            have = self.stock.get(key, 0)
            self.stock[key] = max(0, have - need)
            if have >= need:
                continue
            quoted = self.shop.price_of(line.stock)
            missing = f"{line.section}, {line.stock} is not on the shelf"
            if quoted is None or quoted.days is None:
                self.asked[
                    f"price.{line.stock}.days: {missing}; how many working days until it is there?"
                ] = None
                kept = self.open.setdefault(job.name, [])
                kept += [f"{missing}; order it"] if f"{missing}; order it" not in kept else []
            else:
                latest = max(
                    latest, (quoted.days * self.minutes, f"{missing}, {quoted.days} working days to come")
                )
        return latest

    def _outside(self, work: Work, step: Step, plan: Plan, serials: tuple[str, ...]) -> Work:
        """Outside work: still to go, or away since a day."""
        assert step.outside is not None
        supplier, days = step.outside.supplier, step.outside.days
        late = [one for one in self.state.absences if one.what == supplier and one.last >= self.today]
        not_before = max(((self._end_of(date.fromisoformat(one.last)), f"{supplier}: {one.reason}, until {one.last}")
                          for one in late), default=(0, ""))  # fmt: skip
        plain = replace(work, machines=(), people=(), attended=0, minutes=0, supplier=supplier, begun=False)
        sent = [one for one in self.state.pieces.values()
                if one.serial in serials and one.state == "sent_out"
                and one.for_process == step.operation.id]  # fmt: skip
        if not sent:
            earliest, because = max((work.earliest, work.because), not_before)
            return replace(plain, days_away=days, earliest=earliest, because=because)
        gone = max(one.sent_at for one in sent)
        back = self._end_of(date.fromisoformat(gone)) + days * self.minutes
        promised = [str(event.body["back"]) for event in self.record.events()
                    if event.type == "send_out" and "back" in event.body and event.body["supplier"] == supplier
                    and {one.piece for one in sent} & set(event.body["pieces"])]  # fmt: skip
        if promised:
            back = self._end_of(date.fromisoformat(max(promised)))
        why = f"at {supplier} since {gone}"
        if back <= 0:
            kept = self.open.setdefault(work.job, [])
            kept.append(f"{work.title} is overdue from {supplier}, where it is since {gone}; ask for a date")
            back = self.minutes
        earliest, because = max((back, why), not_before)
        return replace(plain, earliest=earliest, because=because)
