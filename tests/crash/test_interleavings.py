"""Two people at two stations act on one thing. Every order of their steps (look and decide, append) gives what one of
the two serial orders gives, event for event; there are never two winners.

A race may pass by luck because nothing overlaps; the orders are therefore generated and forced, one step at a time.
(The steps inside an append, write and commit, are forced in test_two_stations.py.)
"""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from itertools import combinations_with_replacement, count, permutations
from pathlib import Path
from random import Random
from typing import Any

import pytest

import small_shop as small
from failing_disk import in_memory
from private_postgres import Place, Server
from rackwright import record as records
from rackwright.record import Record
from rackwright.seal import canonical
from rackwright.trouble import Stopped
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.metal.plates import Blank, PlateVisit, Remnant, profile_cut
from rackwright.work.metal.receiving import accept, quarantine, receive_bar, receive_item
from rackwright.work.metal.sawing import CutPiece, Visit, cut, issue, make_from, return_stock
from rackwright.work.people.founding import add_person
from rackwright.work.quality.holding import hold
from rackwright.work.quality.nonconforming import release_hold
from rackwright.work.station import Station
from rackwright.work.stations.assembling import draw_lot
from soaked import ROUND

ORDERS = sorted(set(permutations("AABB")))
PIECE, OTHER = "SN-1/post.front-left", "SN-1/post.front-right"
Act = Callable[[Callable[[str], Station]], Any]
Noted = Callable[[str, int], None]


def _cut(at: Callable[[str], Station]) -> Any:
    made, rest = (CutPiece(PIECE, "SN-1", small.nm("44 in")),), small.nm("195.875 in")
    visit = Visit("T-01", made, small.nm("0.125 in"), 0, rest, "T-01-R", "L-1", "saw")
    return cut(at("sawyer"), small.ORDER, visit)


def _profile_cut(at: Callable[[str], Station]) -> Any:
    """All of a plate of 36 by 12 in: a blank of 10 in² and no kerf, what is beyond 3 in goes back."""
    rest = Remnant("P-1-R", tuple((x + small.nm("3 in"), y) for x, y in small.rectangle(*BACK)), "L-2")
    blank = Blank(RING, "SN-1", 10 * small.nm("1 in") ** 2)
    visit = PlateVisit("P-1", (blank,), 0, 26 * small.nm("1 in") ** 2, (rest,), "jet")
    return profile_cut(at("machinist"), small.ORDER, visit)


BACK = small.nm("33 in"), small.nm("12 in")
RING = "SN-1/ring.front-left"
REV = "ER-47 rev D"
#: what people do to one bar (free at first, or signed out), and to one lot
FREE: dict[str, Act] = {
    "issue": lambda at: issue(at("sawyer"), "T-01", small.ORDER, REV, [PIECE], ["SN-1"]),
    "issue for another piece": lambda at: issue(at("sawyer"), "T-01", small.ORDER, REV, [OTHER], ["SN-1"]),
    "issue of another bar": lambda at: issue(at("sawyer"), "T-02", small.ORDER, REV, [PIECE], ["SN-1"]),
    "quarantine": lambda at: quarantine(at("stores"), "T-01", "a doubt"),
    "accept": lambda at: accept(at("inspector"), small.shop(), "T-01"),
    "hold": lambda at: hold(at("inspector"), "H-1", "a doubt", heats=["H4471"]),
    "lift": lambda at: release_hold(at("lead"), "H-1", "no doubt"),
    "the sawyer leaves the saw": lambda at: add_person(at("lead"), "C. Vint", ["inspector"], again=True),
    "receive": lambda at: receive_bar(at("stores"), small.bar("T-06"), 0),
}  # fmt: skip
OUT: dict[str, Act] = {
    "cut": _cut,
    "return": lambda at: return_stock(at("sawyer"), "T-01", small.ORDER),
    "issue": FREE["issue"],
    "hold": FREE["hold"],
    "quarantine": FREE["quarantine"],
}
LOT: dict[str, Act] = {
    "draw": lambda at: draw_lot(at("assembler"), "F-1", small.ORDER, REV, 150, ["SN-1"]),
    "draw more": lambda at: draw_lot(at("assembler"), "F-1", small.ORDER, REV, 60, ["SN-2"]),
    "make": lambda at: make_from(at("machinist"), "M-1", small.ORDER, REV, [CutPiece("SN-1/a", "SN-1", 0)]),
    "make the same": lambda at: make_from(at("machinist"), "M-1", small.ORDER, REV, [CutPiece("SN-1/a", "SN-1", 0)]),
    "quarantine": lambda at: quarantine(at("stores"), "F-1", "a doubt"),
}  # fmt: skip
PLATE: dict[str, Act] = {
    "issue": lambda at: issue(at("machinist"), "P-1", small.ORDER, REV, [RING], ["SN-1"]),
    "issue for another ring": lambda at: issue(at("machinist"), "P-1", small.ORDER, REV, [RING + ".2"], ["SN-1"]),
    "cut": _profile_cut,
    "return": lambda at: return_stock(at("machinist"), "P-1", small.ORDER),
}  # fmt: skip
PLACES = {"free": FREE, "out": OUT, "lot": LOT, "plate": PLATE, "plate out": PLATE}
PAIRS = [(place, *pair) for place, acts in PLACES.items() for pair in combinations_with_replacement(acts, 2)]


class Paused:
    """A record that waits for its turn before each thing it is asked for."""

    def __init__(self, record: Record, wait: Callable[[], None]) -> None:
        self.record, self.wait = record, wait

    def __getattr__(self, name: str) -> Any:
        found = getattr(self.record, name)
        if name not in ("look", "append"):
            return found

        def call(*given: Any, **more: Any) -> Any:
            self.wait()
            return found(*given, **more)

        return call


class Person(threading.Thread):
    """Runs one act step by step: `step` returns when the next step is waited for, or all is done."""

    def __init__(self, path: Path, act: Act, name: str) -> None:
        super().__init__(daemon=True)
        self.record, self.act, self.tag = records.open(path), act, name
        self.go, self.here, self.done = threading.Semaphore(0), threading.Semaphore(0), False
        self.refused = ""
        self.broken: BaseException | None = None
        self.start()
        self.here.acquire(timeout=20)

    def station(self, who: str) -> Station:
        paused: Any = Paused(self.record, self.wait)
        return Station(
            paused, small.PEOPLE[who], lambda: f"{small.DAY}T09:00:00Z", lambda: f"mine {self.tag}"
        )

    def wait(self) -> None:
        self.here.release()
        self.go.acquire(timeout=20)

    def run(self) -> None:
        try:
            self.act(self.station)
        except Stopped as stopped:
            self.refused = stopped.troubles[0].code
        except BaseException as error:
            self.broken = error
        self.done = True
        self.here.release()

    def step(self) -> None:
        if not self.done:
            self.go.release()
            assert self.here.acquire(timeout=20)


#: the record of a folder as it began, for one play
Home = Callable[[Path], AbstractContextManager[Path]]


@contextmanager
def copied(start: Path) -> Iterator[Path]:
    with in_memory() as folder:
        yield shutil.copytree(start, folder / "shop") / "record.db"


class Served:
    """Each start in a database of its own; what a play added is taken out again, as only the owner can."""

    def __init__(self, server: Server) -> None:
        self.server, self.made = server, dict[Path, tuple[Path, int, str]]()

    @contextmanager
    def __call__(self, start: Path) -> Iterator[Path]:
        if start not in self.made:
            with small.moved(start, self.server.place(start / "served")) as record:
                self.made[start] = (record.path, record.head().size, str(record._engine.url.database))
        path, size, database = self.made[start]
        yield path
        self.server.sql(
            "SET session_replication_role = replica; SET search_path = rackwright; "
            f"DELETE FROM head WHERE size > {size}; DELETE FROM event WHERE seq > {size}", database
        )  # fmt: skip


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def home(request: pytest.FixtureRequest) -> Home:
    return copied if request.param == "sqlite" else Served(request.getfixturevalue("server"))


def play(home: Home, start: Path, acts: tuple[Act, Act], order: tuple[str, ...]) -> list[bytes]:
    """What was recorded, by whom and with what, when the steps came in this order."""
    with home(start) as path:
        people = {name: Person(path, act, name) for name, act in zip("AB", acts, strict=True)}
        for name in order:
            people[name].step()
        while not all(person.done for person in people.values()):  # whoever came too late looks again
            for person in people.values():
                person.step()
        for person in people.values():
            person.join()
            person.record.close()
            assert person.broken is None, person.broken
        with records.open(path) as record:
            events = record.events()
            assert in_hindsight(events) == []
    recorded = [event for event in events if event.act_id in ("mine A", "mine B")]
    return [canonical([e.type, e.by, e.act_id, e.body, e.refs.to_json()]) for e in recorded]


@pytest.fixture(scope="module")
def starts(stages: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The bar as it is before the pair: free, or signed out for the piece."""
    found = {}
    for place in PLACES:
        folder = tmp_path_factory.mktemp("start") / place
        with small.stage("ordered", stages, folder) as record:
            if place == "out":
                OUT["issue"](lambda who, record=record: small.station(record, who))
            if place.startswith("plate"):
                plate = small.plate("P-1", "36 in", "12 in", "K9921")
                receive_item(small.station(record, "stores"), plate)
                accept(small.station(record, "inspector"), small.shop(), plate.id)
            if place == "plate out":
                PLATE["issue"](lambda who, record=record: small.station(record, who))
        found[place] = folder
    return found


@pytest.mark.long
@pytest.mark.parametrize("pair", PAIRS, ids=" ".join)
def test_every_order_gives_what_a_serial_order_gives(
    home: Home, starts: dict[str, Path], pair: tuple[str, str, str], record_property: Noted
) -> None:
    place, first, second = pair
    acts = (PLACES[place][first], PLACES[place][second])
    results = {"".join(order): play(home, starts[place], acts, order) for order in ORDERS}
    assert len(results) == 6
    for order, recorded in results.items():
        assert recorded in (results["AABB"], results["BBAA"]), order
    record_property("done", len(results))


def test_without_the_condition_both_would_win(
    home: Home, starts: dict[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A test of the test: an append that does not compare the head signs the bar out twice."""
    append = Record.append
    monkeypatch.setattr(Record, "append", lambda self, events, seen: append(self, events, self.head()))
    with pytest.raises(AssertionError):
        play(home, starts["free"], (FREE["issue"], FREE["issue for another piece"]), tuple("ABAB"))


# --- many stations -------------------------------------------------------------------------------

MANY, BARS = 50, tuple(f"T-{n:02}" for n in range(1, 6 if ROUND else 3))
LOTS, SHOPS = (range(100), 2) if ROUND else (range(1), 1)  # 1 000 rounds on each engine, in CI 2


@pytest.mark.long
@pytest.mark.parametrize("lot", LOTS)
def test_fifty_stations_want_the_same_inches(
    place: Place, stages: Path, lot: int, record_property: Noted
) -> None:
    """All have looked before the first appends: one wins, all others are refused by the gate, in words."""
    for _ in range(SHOPS):
        with in_memory() as folder:
            with small.stage("ordered", stages, folder, place) as made:
                path = made.path
            _fifty_want_each(path)
    record_property("done", SHOPS * len(BARS))


def _fifty_want_each(path: Path) -> None:
    shops = [records.open(path, busy_ms=20_000) for _ in range(MANY)]
    outcomes: dict[str, list[str]] = {bar: [] for bar in BARS}
    for bar in BARS:
        barrier = threading.Barrier(MANY, timeout=60)
        threads = [threading.Thread(target=_want, args=(shop, bar, n, barrier, outcomes[bar]))
                   for n, shop in enumerate(shops)]  # fmt: skip
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    for shop in shops:
        shop.close()
    for bar in BARS:
        assert sorted(outcomes[bar]) == ["RW511"] * (MANY - 1) + ["won"]
    with records.open(path) as record:
        assert records.audit(record, judge=in_hindsight).troubles == ()
        state = small.state(record)
        assert [state.stock[bar].length_nm for bar in BARS] == [small.nm("240 in")] * len(BARS)
        taken = [event.body["stock_id"] for event in record.events() if event.type == "issue"]
        assert sorted(taken) == sorted(BARS)


def _want(shop: Record, bar: str, number: int, barrier: threading.Barrier, out: list[str]) -> None:
    turn: Iterator[bool] = iter([True])

    def wait() -> None:
        """Once: after the first look everybody waits until all have looked."""
        if looked and next(turn, False):
            barrier.wait()
        looked.append(True)

    looked: list[bool] = []
    paused: Any = Paused(shop, wait)
    station = Station(
        paused, small.PEOPLE["sawyer"], lambda: f"{small.DAY}T09:00:00Z", lambda: f"{bar} {number}"
    )
    try:
        issue(station, bar, small.ORDER, REV, [f"SN-1/{bar}.{number}"], ["SN-1"])
        out.append("won")
    except Stopped as stopped:
        out.append(stopped.troubles[0].code)
    except BaseException as error:
        out.append(repr(error))


# --- lost answers --------------------------------------------------------------------------------

LOST = 2000  # in each lot: 10 000 on each engine


@pytest.mark.long
@pytest.mark.parametrize("lot", range(5 if ROUND else 1))
def test_an_act_whose_answer_was_lost_is_repeated_and_there_once(
    place: Place, stages: Path, lot: int, record_property: Noted
) -> None:
    """The act is recorded and its answer lost; the person repeats it, once or often, at once or after others."""
    chance, lost, turns = Random(f"lost {lot} {ROUND}"), 0, count()
    with in_memory() as folder, small.stage("founded", stages, folder, place) as record:
        before = record.head().size
        first: dict[int, Any] = {}
        while lost < LOST:
            number = chance.randrange(next(turns) // 20 + 1)
            lead = Station(record, small.PEOPLE["lead"], lambda: f"{small.DAY}T09:00:00Z", lambda: "none")
            done = add_person(lead, f"person {number}", ["saw"], f"lost {number}")
            assert done.repeated == (number in first)
            assert first.setdefault(number, done.events) == done.events
            lost += done.repeated
        assert record.head().size == before + len(first)
        assert len({event.act_id for event in record.events()[before:]}) == len(first)
    record_property("done", lost)


def test_a_refusal_whose_answer_was_lost_is_the_same_refusal_again(stages: Path) -> None:
    with in_memory() as folder, small.stage("founded", stages, folder) as record:
        sawyer = Station(record, small.PEOPLE["sawyer"], lambda: f"{small.DAY}T09:00:00Z", lambda: "none")
        told = []
        for _ in range(3):
            with pytest.raises(Stopped) as caught:
                add_person(sawyer, "G. Moss", ["saw"], "lost 1")
            told.append((caught.value.troubles[0].code, caught.value.troubles[0].found))
        assert len(set(told)) == 1
        assert [event.type for event in record.events() if event.act_id == "lost 1"] == ["refusal"]
