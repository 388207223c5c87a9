"""Two stations want the same bar. All twenty orders of (read, write, commit) × 2, forced step by step.

A race may pass by luck because nothing overlaps; the orders are therefore generated, as database
projects do in their isolation tests. In each exactly one station wins, and the other is told to look
again, or sees on looking that the bar is taken. The last test takes the conditional append away and
shows two winners: the check is what makes it so.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from itertools import permutations
from pathlib import Path

from histories import act
from private_postgres import Place
from rackwright import record
from rackwright.record import Event, Head, Record, project
from rackwright.trouble import Stopped

ORDERS = sorted(set(permutations("AAABBB")))
BAR = {"stock_id": "B-1", "form": "bar", "stock_spec": "s", "heat": "H", "length_nm": 10}


class Station:
    """One station taking the bar in three steps, with the very functions that `append` is made of."""

    def __init__(self, path: Path, number: int, blind: bool = False) -> None:
        self.shop = record.open(path, busy_ms=0)
        self.number, self.blind, self.outcome = number, blind, ""
        self.steps = self._steps()

    def _steps(self) -> Iterator[None]:
        head, events = self.shop.look()
        free = project(events).stock["B-1"].state == "accepted"
        if not free:
            self.outcome = "taken"
        yield
        if self.outcome:
            return
        body = {"stock_id": "B-1", "job": f"J-{self.number}", "revision": "A"}
        take: list[Event] = [act(100 + self.number, "issue", body)]
        with self.shop._engine.connect().execution_options(writes=True) as connection:
            try:
                with self.shop._telling():
                    self.shop._write(connection, take, self._seen(head))
            except Stopped as stopped:
                self.outcome = stopped.troubles[0].code
                return
            yield
            connection.commit()
            self.outcome = "won"
        yield

    def _seen(self, head: Head) -> Head:
        return self.shop.head() if self.blind else head

    def step(self) -> None:
        next(self.steps, None)


def play(path: Path, order: tuple[str, ...], blind: bool = False) -> list[str]:
    with record.create(path) as shop:
        shop.append([act(1, "receive", BAR), act(1, "accept", {"stock_id": "B-1", "checks": []})], Head())
    stations = {name: Station(path, number, blind) for number, name in enumerate("AB")}
    for name in order:
        stations[name].step()
    for station in stations.values():
        station.shop.close()
    with record.open(path) as shop:
        issued = [event for event in shop.events() if event.type == "issue"]
        assert len(issued) == sum(station.outcome == "won" for station in stations.values())
        assert record.audit(shop).ok
    return sorted(station.outcome for station in stations.values())


def test_every_order_has_one_winner(place: Place, tmp_path: Path) -> None:
    outcomes = {"".join(order): play(place(tmp_path / "".join(order)), order) for order in ORDERS}
    assert len(outcomes) == 20
    assert {order: outcome for order, outcome in outcomes.items() if outcome.count("won") != 1} == {}
    after = ["AAABBB", "BBBAAA"]  # one had committed before the other looked: it sees that the bar is taken
    assert {order for order, outcome in outcomes.items() if "taken" in outcome} == set(after)
    assert {order for order, outcome in outcomes.items() if "RW502" in outcome} == outcomes.keys() - set(
        after
    )


def test_without_the_condition_the_same_bar_goes_twice(place: Place, tmp_path: Path) -> None:
    assert play(place(tmp_path / "one"), tuple("ABAABB"), blind=True) == ["won", "won"]
    assert play(place(tmp_path / "two"), tuple("ABAABB")) == ["RW502", "won"]


def test_many_stations_at_once_each_bar_goes_once(place: Place, tmp_path: Path) -> None:
    """Overlap forced by a barrier between deciding and appending; losers look again until the bars are gone."""
    path, bars, stations = place(tmp_path), 6, 4
    with record.create(path) as shop:
        shop.append([act(1, "receive", {**BAR, "stock_id": f"B-{i}"}) for i in range(bars)], Head())
    barrier = threading.Barrier(stations, timeout=30)
    wins: list[str] = []
    failed: list[BaseException] = []

    def station(number: int) -> None:
        with record.open(path) as shop:
            for turn in range(bars * stations):
                head, events = shop.look()
                free = [each for each in project(events).stock.values() if each.state == "received"]
                barrier.wait()
                if free:
                    bar = free[0].stock_id
                    body = {"stock_id": bar, "job": f"J-{number}", "revision": "A"}
                    took = [act(1000 * (number + 1) + turn, "issue", body)]
                    if recorded(shop, took, head):
                        wins.append(bar)
                barrier.wait()

    def guarded(number: int) -> None:
        try:
            station(number)
        except BaseException as error:
            failed.append(error)
            barrier.abort()

    threads = [threading.Thread(target=guarded, args=(number,)) for number in range(stations)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert sorted(wins) == [f"B-{i}" for i in range(bars)]


def test_one_record_shared_by_threads(place: Place, tmp_path: Path) -> None:
    """One open Record, as a server holds it: every append is there once and every look is consistent."""
    with record.create(place(tmp_path)) as shop:
        threads = [threading.Thread(target=_append_ten, args=(shop, number)) for number in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert shop.head().size == 40
        assert record.audit(shop).ok


def _append_ten(shop: Record, number: int) -> None:
    for i in range(10):
        mine = [act(100 * (number + 1) + i, "supplier", {"supplier": f"{number}-{i}", "scope": []})]
        while True:
            head, events = shop.look()
            assert len(events) == head.size
            if recorded(shop, mine, head):
                break


def recorded(shop: Record, events: list[Event], seen: Head) -> bool:
    """Was it appended? Not, only because another station was first; anything else is raised."""
    try:
        return not shop.append(events, seen).repeated
    except Stopped as stopped:
        if [each.code for each in stopped.troubles] != ["RW502"]:
            raise
        return False
