"""Laws over random days: received = used + returned + scrap + left, to the nanometre and of plates to the square
nanometre, after every act; and whatever is cut is of the heat that it was cut from.

The model beside the shop is a few dictionaries. It says of every act whether a gate must refuse it, and how much of
everything is left; it knows nothing of events.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

import small_shop as small
from failing_disk import in_memory
from rackwright import record as records
from rackwright.record import Record, State
from rackwright.shop import StockItem
from rackwright.trouble import Stopped
from rackwright.work.keeping.balance import accounts, by_heat
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.metal import sawing
from rackwright.work.metal.counting import Unusable, scrap_stock
from rackwright.work.metal.counting import count as count_stock
from rackwright.work.metal.counts import counted
from rackwright.work.metal.plates import Blank, PlateVisit, Remnant, profile_cut
from rackwright.work.metal.receiving import accept, receive_bar, receive_item
from rackwright.work.metal.sawing import CutPiece, Visit, cut, issue, make_from, return_stock
from rackwright.work.metal.witnessing import witness
from rackwright.work.quality.holding import hold
from rackwright.work.quality.nonconforming import dispose, raise_nonconformance, release_hold
from rackwright.work.serials.tracing import trace, trace_in
from rackwright.work.stations.assembling import draw_lot, return_lot
from soaked import ROUND
from strategies import plate_days, shop_days

Act = tuple[Any, ...]
SEEN = Unusable("sawn through", small.PEOPLE["inspector"])  # how scrap goes, and who saw it
JOB, REV = small.ORDER, "ER-47 rev D"
SPEC = "AMS-QQ-A-225/8"


@dataclass
class Bar:
    """A bar, or a plate with its sides: `left` nm or nm²."""

    left: int
    heat: str
    certified: bool
    state: str = "received"
    planned: tuple[str, ...] = ()
    sides: tuple[int, int] | None = None
    label: str = ""


@dataclass
class Model:
    """What an honest storekeeper would have in his head."""

    bars: dict[str, Bar] = field(default_factory=dict)
    lots: dict[str, list[Any]] = field(default_factory=dict)  # left, accepted
    pieces: dict[str, str] = field(default_factory=dict)  # living pieces -> heat
    held: dict[str, str] = field(default_factory=dict)  # heat -> name of the open hold
    booked: dict[str, int] = field(
        default_factory=dict
    )  # heat -> nm that went into pieces, kerf, trim and scrap
    came: dict[str, int] = field(default_factory=dict)  # heat -> nm received
    counted: dict[str, list[int]] = field(default_factory=dict)  # lot -> received, taken
    out: dict[str, int] = field(default_factory=dict)  # lot -> drawn as hardware and not back
    gone: set[str] = field(default_factory=set)  # lots of which the last was thrown away
    names: Iterator[int] = field(default_factory=count)

    def free(self, heat: str) -> bool:
        return heat not in self.held


class Shop:
    """The real verbs beside the model. Each method returns whether the model lets the act be done, and does it."""

    def __init__(self, record: Record) -> None:
        self.record, self.m = record, Model()

    def at(self, who: str) -> Any:
        return small.station(self.record, who)

    def receive(self, id: str, nm: int, heat: str, certified: bool) -> tuple[bool, Any]:
        may = id not in self.m.bars
        if may:
            self.m.bars[id] = Bar(nm, heat, certified)
            self.m.came[heat] = self.m.came.get(heat, 0) + nm
        bar = replace(small.bar(id, heat=heat, certified=certified), length_nm=nm)
        return may, lambda: receive_bar(self.at("stores"), bar, 0)

    def plate(self, id: str, long: int, wide: int, heat: str) -> tuple[bool, Any]:
        may = id not in self.m.bars
        if may:
            self.m.bars[id] = Bar(long * wide, heat, True, sides=(long, wide))
            self.m.came[heat] = self.m.came.get(heat, 0) + long * wide
        item = replace(small.plate(id, "1 in", "1 in", heat), length_nm=long, width_nm=wide)
        return may, lambda: receive_item(self.at("stores"), item)

    def lot(self, id: str, number: int) -> tuple[bool, Any]:
        may = id not in self.m.lots
        if may:
            self.m.lots[id], self.m.counted[id] = [number, False], [number, 0]
        item = StockItem(id, "blanks", "PLATE", SPEC, f"M-{id}", number, small.certificate(SPEC, f"M-{id}"))
        return may, lambda: receive_item(self.at("stores"), item)

    def accept(self, id: str) -> tuple[bool, Any]:
        if id in self.m.lots:
            may = not self.m.lots[id][1] and id not in self.m.gone
            self.m.lots[id][1] |= may
        else:
            bar = self.m.bars.get(id)
            may = bar is not None and bar.state == "received" and bar.certified
            if may and bar is not None:
                bar.state = "accepted"
        return may, lambda: accept(self.at("inspector"), small.shop(), id)

    def issue(self, id: str, pieces: list[str]) -> tuple[bool, Any]:
        bar = self.m.bars.get(id)
        planned = {
            piece for other in self.m.bars.values() if other.state == "issued" for piece in other.planned
        }
        may = (bar is not None and bar.state == "accepted" and self.m.free(bar.heat) and bar.left > 0
               and not planned & set(pieces) and len(set(pieces)) == len(pieces))  # fmt: skip
        if may and bar is not None:
            bar.state, bar.planned = "issued", tuple(pieces)
        read = bar.label if bar else ""
        return may, lambda: issue(self.at(self.who(id)), id, JOB, REV, pieces, ["SN-1"], label=read)

    def who(self, id: str) -> str:
        """Bars are the sawyer's, plates the machinist's."""
        return "machinist" if id in self.m.bars and self.m.bars[id].sides else "sawyer"

    def profile_cut(
        self, id: str, pieces: list[str] | None, kerf: int, tenths: int, error: int, label: str
    ) -> tuple[bool, Any]:
        """Equal blanks of three tenths of the plate; so many tenths of its length go back, eleven is more than it."""
        plate = self.m.bars.get(id)
        have, (long, wide) = (plate.left, plate.sides or (1, 1)) if plate else (0, (1, 1))
        names = list(plate.planned if plate else ()) if pieces is None else pieces
        each, back = have * 3 // 10 // len(names) if names else 0, long * tenths // 10
        rests, said = [], ""
        if back:
            said = {
                "own": f"label {id}-R",
                "none": "",
                "a neighbour's": f"label {'P2' if 'P1' in id else 'P1'}-R",
            }[label]
            x = long - back
            rests = [Remnant(f"{id}-R", ((x, 0), (long, 0), (long, wide), (x, wide)), said)]
        skeleton = have - each * len(names) - kerf - back * wide + error
        living = {
            bar.label for bar in self.m.bars.values() if bar.label and bar.state not in ("cut", "scrapped")
        }
        may = (
            plate is not None and plate.sides is not None and plate.state == "issued" and skeleton >= 0 and not error
            and self.m.free(plate.heat) and set(names) <= set(plate.planned) and len(set(names)) == len(names)
            and not set(names) & set(self.m.pieces) and back <= long
            and (not back or (f"{id}-R" not in self.m.bars and bool(said) and said not in living))
        )  # fmt: skip
        if may and plate is not None:
            self.m.pieces |= dict.fromkeys(names, plate.heat)
            self.m.booked[plate.heat] = self.m.booked.get(plate.heat, 0) + have - back * wide
            plate.left, plate.state = 0, "cut"
            if back:
                self.m.bars[f"{id}-R"] = Bar(
                    back * wide, plate.heat, True, "accepted", sides=(back, wide), label=said
                )
        made = tuple(Blank(name, "SN-1", each) for name in names)
        done = PlateVisit(id, made, kerf, skeleton, tuple(rests), "jet")
        return may, lambda: profile_cut(self.at("machinist"), JOB, done)

    def cut(
        self, id: str, pieces: list[str] | None, kerf: int, trim: int, error: int, keep: bool
    ) -> tuple[bool, Any]:
        """Equal pieces of four tenths of the bar; the rest is what is left, give or take the error."""
        bar = self.m.bars.get(id)
        have = bar.left if bar else 0
        names = list(bar.planned if bar else ()) if pieces is None else pieces
        each = have * 4 // 10 // len(names) if names else 0
        rest = have - each * len(names) - kerf - trim + error
        remnant = f"{id}-R" if keep and rest > 0 else ""
        may = (
            bar is not None and bar.state == "issued" and rest >= 0 and not error and self.m.free(bar.heat)
            and bar.sides is None
            and set(names) <= set(bar.planned) and len(set(names)) == len(names)
            and not set(names) & set(self.m.pieces) and remnant not in self.m.bars
        )  # fmt: skip
        if may and bar is not None:
            self.m.pieces |= dict.fromkeys(names, bar.heat)
            kept = rest if remnant else 0
            self.m.booked[bar.heat] = self.m.booked.get(bar.heat, 0) + have - kept
            bar.left, bar.state = 0, "cut"
            if remnant:
                self.m.bars[remnant] = Bar(rest, bar.heat, True, "accepted", label=f"label {remnant}")
        made = tuple(CutPiece(name, "SN-1", each) for name in names)
        visit = Visit(id, made, kerf, trim, max(rest, 0), remnant, f"label {remnant}", "saw")
        return may, lambda: cut(self.at("sawyer"), JOB, visit)

    def give_back(self, id: str) -> tuple[bool, Any]:
        bar = self.m.bars.get(id)
        may = bar is not None and bar.state == "issued"
        if may and bar is not None:
            bar.state, bar.planned = "accepted", ()
        return may, lambda: return_stock(self.at(self.who(id)), id, JOB)

    def draw(self, id: str, number: int) -> tuple[bool, Any]:
        may = self.m.lots.get(id, [0, False])[1] and self.m.lots[id][0] >= number
        self._taken(id, number, may)
        if may:
            self.m.out[id] = self.m.out.get(id, 0) + number
        return may, lambda: draw_lot(self.at("assembler"), id, JOB, REV, number, ["SN-1"])

    def make(self, id: str, pieces: list[str]) -> tuple[bool, Any]:
        may = (self.m.lots.get(id, [0, False])[1] and self.m.lots[id][0] >= len(pieces)
               and len(set(pieces)) == len(pieces) and not set(pieces) & set(self.m.pieces))  # fmt: skip
        self._taken(id, len(pieces), may)
        if may:
            self.m.pieces |= dict.fromkeys(pieces, f"M-{id}")
        made = [CutPiece(piece, "SN-1", 0) for piece in pieces]
        return may, lambda: make_from(self.at("machinist"), id, JOB, REV, made)

    def _taken(self, id: str, number: int, may: bool) -> None:
        if may:
            self.m.lots[id][0] -= number
            self.m.counted[id][1] += number

    def bring_back(self, id: str, number: int) -> tuple[bool, Any]:
        may = 0 < number <= self.m.out.get(id, 0)
        self._taken(id, -number, may)
        if may:
            self.m.out[id] -= number
            self.m.gone.discard(id)  # what comes back to a lot that was thrown away is judged anew
        return may, lambda: return_lot(self.at("assembler"), id, JOB, number)

    def throw(self, id: str, tenths: int) -> tuple[bool, Any]:
        """So many tenths of what there is; ten is all, eleven is more than there is."""
        if id in self.m.lots:
            have = self.m.lots[id][0]
            some = have * tenths // 10
            may = 0 < some <= have and id not in self.m.gone
            self._taken(id, some, may)
            if may and some == have:
                self.m.lots[id][1] = False
                self.m.gone.add(id)
            return may, lambda: scrap_stock(self.at("stores"), id, "rust", SEEN, None, some)
        bar = self.m.bars.get(id)
        have = bar.left if bar else 0
        some = have * tenths // 10
        may = (
            bar is not None
            and bar.state in ("received", "accepted")
            and 0 < some <= have
            and self.m.free(bar.heat)
        )
        whole = bar is not None and bar.sides is not None  # a plate goes whole: some of it would be a cut
        may = may and (not whole or some == have)
        if may and bar is not None:
            bar.left -= some
            self.m.booked[bar.heat] = self.m.booked.get(bar.heat, 0) + some
            bar.state = bar.state if bar.left else "scrapped"
        return may, lambda: scrap_stock(
            self.at("stores"), id, "bent", SEEN, None if whole and some == have else some
        )

    def count(self, id: str) -> tuple[bool, Any]:
        """What is there, as the model has it: it must be what the books leave."""
        if id in self.m.lots:
            there = self.m.lots[id][0]
            return id not in self.m.gone, lambda: count_stock(self.at("stores"), id, None, there)
        bar = self.m.bars.get(id)
        may = bar is not None and bar.state in ("received", "accepted") and bar.sides is None
        return may, lambda: count_stock(self.at("sawyer"), id, bar.left if bar else 1)

    def hold(self, heat: str) -> tuple[bool, Any]:
        known = any(bar.heat == heat for bar in self.m.bars.values())
        may, name = known and heat not in self.m.held, f"hold {next(self.m.names)}"
        if may:
            self.m.held[heat] = name
        elif known:
            name = self.m.held[heat]
        return may, lambda: hold(self.at("inspector"), name, "a doubt", heats=[heat])

    def lift(self, heat: str) -> tuple[bool, Any]:
        name = self.m.held.pop(heat, "")
        return bool(name), lambda: release_hold(self.at("lead"), name or "none", "cleared")

    def scrap(self, piece: str) -> tuple[bool, Any]:
        may, name = piece in self.m.pieces, f"N-{next(self.m.names)}"
        self.m.pieces.pop(piece, None)

        def do() -> None:
            raise_nonconformance(self.at("inspector"), name, "bent", [piece], "length", {})
            dispose(self.at("lead"), name, "scrap", "bent", None, {}, unusable=SEEN)
            witness(self.at("inspector"), [piece], "seen")
            release_hold(self.at("lead"), f"hold {name}", "scrapped")

        return may, do

    def act(self, act: Act) -> None:
        name = {"return": "give_back"}.get(act[0], act[0])
        may, do = getattr(self, name)(*act[1:])
        refused = ""
        try:
            do()
        except Stopped as stopped:
            refused = "; ".join(map(str, stopped.troubles))
        assert bool(refused) != bool(may), f"{act}: the model says {may}, the shop said {refused or 'done'}"


@contextmanager
def shop(stages: Path) -> Iterator[Shop]:
    with in_memory() as folder, small.stage("ordered", stages, folder) as record:
        yield Shop(record)


def balances(shop: Shop, state: State) -> None:
    """What the law says, from three sides: the model's head, the record's state, the second set of books."""
    m, books = shop.m, accounts(shop.record.events())
    heats = by_heat({id: one for id, one in (books.bars | books.plates).items() if id in m.bars})
    for heat, came in m.came.items():
        there = sum(bar.left for bar in m.bars.values() if bar.heat == heat)
        assert came == m.booked.get(heat, 0) + there
        book = heats[heat]
        assert came == book.received == book.pieces + book.kerf + book.trim + book.scrap + there
    for id, bar in m.bars.items():
        stock = state.stock[id]
        left = stock.area_nm2 if bar.sides else stock.length_nm
        assert (left, stock.state, stock.heat) == (bar.left, bar.state, bar.heat)
        if bar.sides:
            assert stock.outline == small.rectangle(*bar.sides)
    for id, (received, taken) in m.counted.items():
        assert state.stock[id].quantity == m.lots[id][0] == received - taken == books.lots[id].left
    living = {piece.piece: piece.heat for piece in state.pieces.values() if piece.state == "made"}
    assert living == m.pieces
    assert all(piece.heat for piece in state.pieces.values())


LOTS, DAYS, STEPS = (range(80), 50, (44, 50)) if ROUND else (range(1), 60, (5, 25))  # 8 000 days of 50 steps
many_days = settings(
    max_examples=DAYS,
    deadline=None,
    suppress_health_check=[*HealthCheck],  # long ones are drawn slowly
)
Noted = Callable[[str, int], None]


@pytest.mark.long
@pytest.mark.parametrize("lot", LOTS)
@pytest.mark.parametrize("days", [shop_days, plate_days], ids=["inches", "square inches"])
def test_after_every_act_everything_received_is_somewhere(
    stages: Path, days: Callable[..., Any], lot: int, record_property: Noted
) -> None:
    played = Counter[str]()

    @many_days
    @given(day=days(*STEPS))
    def law(day: list[Act]) -> None:
        _played(stages, day)
        played["done"] += 1

    law()
    record_property("done", played["done"])


def _played(stages: Path, day: list[Act]) -> None:
    with shop(stages) as house:
        for act in day:
            house.act(act)
            balances(house, small.state(house.record))
        assert records.audit(house.record, judge=in_hindsight).troubles == ()
        assert all(one.difference == 0 for one in counted(house.record.events()))
        traced_alike(house)


def traced_alike(shop: Shop) -> None:
    for heat in {stock.heat or stock.lot for stock in small.state(shop.record).stock.values()}:
        by_all = trace(shop.record.events(), "heat", heat)
        assert trace_in(shop.record, "heat", heat) == by_all, "the index names every event of a heat"


@pytest.mark.parametrize("anew", [
    [("make", "L2", ["SN-1/p0"])],
    [("issue", "B1", ["SN-1/p0"]), ("cut", "B1", ["SN-1/p0"], 3_175_000, 0, 0, True)],
    [("issue", "B1", ["SN-1/p1"]), ("cut", "B1", ["SN-1/p1"], 3_175_000, 0, 0, True),
     ("issue", "B1-R", ["SN-1/p0"]), ("cut", "B1-R", ["SN-1/p0"], 3_175_000, 0, 0, False)],
])  # fmt: skip
def test_a_piece_that_was_made_anew_is_of_the_heat_it_is_made_of_now(stages: Path, anew: list[Act]) -> None:
    day: list[Act] = [
        ("lot", "L1", 2), ("accept", "L1"), ("lot", "L2", 2), ("accept", "L2"),
        ("receive", "B1", 6_096_000_000, "H1", True), ("accept", "B1"), ("make", "L1", ["SN-1/p0"]),
        ("scrap", "SN-1/p0"),
    ]  # fmt: skip
    with shop(stages) as house:
        for act in day:
            house.act(act)
        assert [one["piece"] for one in trace_in(house.record, "heat", "M-L1")["pieces"]] == ["SN-1/p0"]
        for act in anew:
            house.act(act)
        assert trace_in(house.record, "heat", "M-L1")["pieces"] == []
        traced_alike(house)


def test_what_is_scrapped_is_not_scrapped_again(stages: Path) -> None:
    """Nor by a second decision on the same piece, nor does an old decision scrap what was made anew under its id."""
    begin: list[Act] = [("lot", "L1", 2), ("accept", "L1"), ("make", "L1", ["SN-1/p0"])]
    with shop(stages) as house:
        for act in [*begin, ("scrap", "SN-1/p0"), ("scrap", "SN-1/p0")]:
            house.act(act)
            balances(house, small.state(house.record))
        house.act(("make", "L1", ["SN-1/p0"]))
        for name in ("N-a", "N-b"):
            raise_nonconformance(house.at("inspector"), name, "bent", ["SN-1/p0"], "length", {})
        for name in ("N-a", "N-b"):
            dispose(house.at("lead"), name, "scrap", "bent", None, {}, unusable=SEEN)
        scraps = [event for event in house.record.events() if event.type == "scrap"]
        assert len(scraps) == 2, "two pieces were made, two were scrapped"
        assert records.audit(house.record, judge=in_hindsight).troubles == ()


def test_a_saw_that_does_not_count_is_noticed(stages: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A test of the test: with the gate of the balance taken away, model and audit both say so."""
    monkeypatch.setattr(sawing, "_balanced", lambda state, visit: None)
    day: list[Act] = [
        ("receive", "B1", 6_096_000_000, "H1", True),
        ("accept", "B1"),
        ("issue", "B1", ["SN-1/p0"]),
    ]
    with shop(stages) as house:
        for act in day:
            house.act(act)
        with pytest.raises(AssertionError, match="the model says False, the shop said done"):
            house.act(("cut", "B1", ["SN-1/p0"], 3_175_000, 0, 1, True))
        assert len(records.audit(house.record, judge=in_hindsight).balanced) == 2
