"""The power goes at any instant: what was acknowledged is there, no act is there in part, nothing is corrupt.

A killed process leaves the system's page cache alive, so killing proves little; here only synced bytes survive
and the rest is torn by sectors (failing_disk.py). The record lives on one such disk through cut after cut, also
while it recovers from the one before, checkpoints, closes and is created. The same life with a weaker setting
than the store's loses what it acknowledged: these tests can fail.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

import pytest
import sqlalchemy as sa

from failing_disk import Disk, in_memory
from histories import act
from rackwright import record
from rackwright.record import Event, Head, Record, checkpoint, sqlite
from rackwright.trouble import Failure, Stopped, Trouble
from soaked import ROUND

CUTS, LIVES = (2500, 40) if ROUND else (250, 8)  # each test cuts so often: 100 000, in CI 2 000


@dataclass
class Life:
    """One record on one disk: what was acknowledged, and what the cuts did to it."""

    folder: Path
    chance: Random
    acknowledged: list[Head] = field(default_factory=list)
    acts: int = 0
    lost: int = 0
    corrupt: int = 0
    unlike: int = 0  # how often the state kept beside it was believed and was another

    def __post_init__(self) -> None:
        self.folder.mkdir()
        self.path, self.disk = self.folder / "record.db", Disk(self.chance)

    def connect(self, path: str) -> Any:
        connection = self.disk.connect(path)
        connection.execute(f"PRAGMA wal_autocheckpoint={self.chance.choice((4, 16, 1000))}")
        return connection

    def work(self) -> None:
        """A day at the station, until the power goes."""
        if not self.path.exists():
            record.create(self.path, self.connect).close()
            self.acknowledged.append(Head())
        with record.open(self.path, connect=self.connect) as shop:
            record.state_of(shop)
            for _ in range(self.chance.randrange(1, 6)):
                self.acts += 1
                done = shop.append(self.events(), shop.head())
                self.acknowledged.append(done.head)
                if self.chance.random() < 0.2:
                    self.checkpoint(shop)

    def events(self) -> list[Event]:
        many, long = self.chance.randrange(1, 4), self.chance.choice((8, 300, 5000))
        return [
            act(self.acts, "supplier", {"supplier": f"S-{i}", "scope": ["x" * long]}) for i in range(many)
        ]

    def checkpoint(self, shop: Record) -> None:
        with shop._reading() as connection:
            connection.exec_driver_sql("COMMIT")
            connection.exec_driver_sql(f"PRAGMA wal_checkpoint({self.chance.choice(('FULL', 'TRUNCATE'))})")
            connection.exec_driver_sql("BEGIN")

    def cut(self) -> None:
        """Work, lose power, and see what a station finds that starts the machine again."""
        self.disk.arm(self.chance.randrange(1, 80))  # an act writes the index of names too
        told: tuple[Trouble, ...] = ()
        try:
            self.work()
        except Stopped as stopped:
            told = stopped.troubles
        assert all(isinstance(trouble, Failure) for trouble in told), told
        self.disk.cut()
        self.look()

    def look(self) -> None:
        """On a copy, with the library that the store has in earnest: the next life recovers for itself."""
        copy = self.folder / "seen"
        copy.mkdir()
        for each in (*self.folder.glob("record.db*"), *self.folder.glob("record.state")):
            shutil.copy(each, copy)
        try:
            if (copy / "record.db").exists():
                with record.open(copy / "record.db") as shop:
                    whole, heads = record.audit(shop).whole, {Head(), *shop.heads()}
                    self.unlike += record.state_of(shop) != record.project(shop.events())
                self.corrupt += bool(whole)
                self.lost += not set(self.acknowledged) <= heads
            else:
                self.lost += bool(self.acknowledged)
        except Stopped:
            self.corrupt += 1
        shutil.rmtree(copy)


def lives(folder: Path, number: int, cuts: int) -> Iterator[Life]:
    """A new record every 25 cuts, so that being created is cut too."""
    chance = Random(f"power cut {ROUND} {number}")
    for first in range(0, cuts, 25):
        life = Life(folder / str(first), chance)
        for _ in range(first, min(first + 25, cuts)):
            life.cut()
            if life.lost or life.corrupt or life.unlike:
                break
        yield life
        shutil.rmtree(life.folder)


@pytest.fixture
def folder(monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setattr(checkpoint, "LEAST", 1)  # the folded state is kept at every start
    monkeypatch.setattr(sa, "create_engine", _compiled_once(sa.create_engine))
    with in_memory() as path:
        yield path


def _compiled_once(create: Callable[..., sa.Engine]) -> Callable[..., sa.Engine]:
    """Of all records here, which are opened twice a cut, each statement is put into words once: a third of the time."""
    words, one = dict[Any, Any](), create("sqlite://").dialect

    def engine(url: str, **more: Any) -> sa.Engine:
        made = create(url, execution_options={"compiled_cache": words}, **more)
        made.dialect = one
        return made

    return engine


@pytest.mark.long
@pytest.mark.parametrize("number", range(LIVES))
def test_nothing_acknowledged_is_lost_and_nothing_is_corrupt(
    folder: Path, number: int, record_property: Callable[[str, int], None]
) -> None:
    acknowledged = 0
    for life in lives(folder, number, CUTS):
        assert (life.lost, life.corrupt, life.unlike) == (0, 0, 0)
        acknowledged += len(life.acknowledged)
    assert acknowledged > CUTS
    record_property("done", CUTS)


@pytest.mark.parametrize(("setting", "number"), [("NORMAL", 1), ("OFF", 0)])
def test_a_weaker_setting_loses_what_it_acknowledged(
    folder: Path, setting: str, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sqlite.SETTINGS, "synchronous", (setting, number))
    monkeypatch.setitem(sqlite._REQUIRED, "synchronous", number)
    seen = list(lives(folder, 0, 100))
    assert sum(life.lost for life in seen) > 0
    assert setting == "NORMAL" or sum(life.corrupt for life in seen) > 0
