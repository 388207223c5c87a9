"""What the fold lays events over: a table for each kind of noun, and what several steps do to them.

A piece inherits heat and lot of the stock that it comes from. What does not fit what came before goes into `odd`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from rackwright.record.envelope import Event
from rackwright.record.office import (
    Action,
    Clause,
    Evidence,
    FirstArticle,
    HoldPoint,
    Hours,
    Installed,
    Invoice,
    Owed,
    Quote,
    Recall,
    RedLine,
    Review,
)
from rackwright.record.service import Carried, Service, Unseen
from rackwright.record.state import (
    Absence,
    Gauge,
    Hold,
    Measurement,
    Nonconformance,
    Order,
    Person,
    Piece,
    PieceTable,
    Question,
    Report,
    Revision,
    RowConfirmed,
    SawPlan,
    SerialTable,
    State,
    Stock,
    StockTable,
    Supplier,
    TestBend,
)
from rackwright.seal import Handover, Head

__all__ = ["Body", "Tables", "day_done", "with_names"]

Body = Mapping[str, Any]
LISTS = ("measurements", "absences", "hours", "invoices", "handovers", "heads", "odd")


def day_done(event: Event) -> str:
    """The day on which it was done, whenever it was entered."""
    late = event.body.get("late")
    return str(late["done"] if late else event.at)[:10]


class Tables:
    """Under the names that `State` has for them."""

    def __init__(self) -> None:
        self.shop, self.demo, self.key_id, self.signatures = "", False, "", False
        self.persons: dict[str, Person] = {}
        self.gauges: dict[str, Gauge] = {}
        self.suppliers: dict[str, Supplier] = {}
        self.orders: dict[str, Order] = {}
        self.questions: dict[str, Question] = {}
        self.revisions: dict[str, Revision] = {}
        self.reports: dict[str, tuple[Report, ...]] = {}
        self.confirmed: dict[str, RowConfirmed] = {}
        self.stock = StockTable()
        self.test_bends: dict[str, TestBend] = {}
        self.saw_plans: dict[str, tuple[SawPlan, ...]] = {}
        self.pieces = PieceTable()
        self.serials = SerialTable()
        self.holds: dict[str, Hold] = {}
        self.nonconformances: dict[str, Nonconformance] = {}
        self.red_lines: dict[str, RedLine] = {}
        self.hold_points: dict[str, dict[str, HoldPoint]] = {}
        self.quotes: dict[str, tuple[Quote, ...]] = {}
        self.clauses: dict[str, dict[str, Clause]] = {}
        self.reviews: dict[str, Review] = {}
        self.owed: dict[str, dict[str, Owed]] = {}
        self.evidence: dict[str, tuple[Evidence, ...]] = {}
        self.hours: list[Hours] = []
        self.invoices: list[Invoice] = []
        self.actions: dict[str, Action] = {}
        self.first_articles: dict[str, FirstArticle] = {}
        self.installed: dict[str, Installed] = {}
        self.recalls: dict[str, Recall] = {}
        self.service: dict[str, Service] = {}
        self.carried: dict[str, Mapping[str, Carried]] = {}
        self.unseen: dict[str, Unseen] = {}
        self.measurements: list[Measurement] = []
        self.absences: list[Absence] = []
        self.handovers: list[Handover] = []
        self.heads: list[tuple[Head, str]] = []
        self.odd: list[tuple[int, str]] = []
        self.latest = ""

    def state(self) -> State:
        lists = {name: tuple(getattr(self, name)) for name in LISTS}
        return State(**{**vars(self), **lists})

    def live(self) -> State:
        """The state at whatever moment it is looked at: it holds these very tables, so its lists are lists. Nothing is
        copied; a history of measurements copied at each event took the square of its length."""
        state = object.__new__(State)
        object.__setattr__(state, "__dict__", vars(self))
        return state

    def _known(self, table: Mapping[str, Any], name: str, event: Event, noun: str) -> Any:
        if name not in table:
            self._odd(event, f"{noun} {name!r} is not known")
        return table.get(name)

    def _awaits(self, event: Event, about: str, how: Mapping[str, Any]) -> None:
        """Scrap whose witness is to sign; of an older program the name was enough."""
        if how.get("awaits"):
            self.unseen[str(event.seq)] = Unseen(about, how["unusable"], how["witness"], event.by, event.seq)

    def _odd(self, event: Event, words: str) -> None:
        self.odd.append((event.seq, f"{event.type}: {words}"))

    def _piece(
        self, event: Event, stock: Stock, name: str, serial: str, job: str, length: int, area: int = 0
    ) -> None:
        if name in self.pieces and self.pieces[name].state not in ("scrapped", "replaced"):
            self._odd(event, f"piece {name!r} was made before, in event {self.pieces[name].seq}")
        self.pieces[name] = Piece(
            name, stock.stock_id, stock.heat, stock.lot, serial, job, stock.revision, length, "made",
            (event.by,), event.seq, area_nm2=area, made_on=day_done(event) if stock.came else "",
        )  # fmt: skip
        self.hold_points.pop(name, None)
        self._into(serial, pieces=(name,))

    def _anew(self, about: str, *, step: str = "", reading: str = "") -> None:
        """A step was done, or a characteristic measured: no red line asks for it any more."""
        for red in self.red_lines.values():
            steps = tuple(one for one in red.steps if one != (about, step))
            readings = tuple(one for one in red.readings if one != (about, reading))
            if (steps, readings) != (red.steps, red.readings):
                self.red_lines[red.red_line] = replace(red, steps=steps, readings=readings)

    def _into(
        self, name: str, pieces: tuple[str, ...] = (), lots: tuple[str, ...] = (), out: str = ""
    ) -> None:
        serial = self.serials.get(name)
        if serial:
            kept = tuple(piece for piece in serial.pieces if piece != out)
            self.serials[name] = replace(
                serial, pieces=with_names(kept, *pieces), lots=with_names(serial.lots, *lots)
            )


def with_names(names: tuple[str, ...], *more: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*names, *more)))
