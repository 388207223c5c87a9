"""The disk is full or fails at the first, second, third … write, truncation, sync, creation, rename, once or from
then on: each act is there whole or not at all, a folder or paper likewise, and the message says what is safe.

Below every command lies the same counting disk: SQLite's operations and those of whole files (`record.durable`).
Each case is run with the fault one operation later, until the command gets through.
"""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from random import Random
from typing import Any

import apsw
import pytest

import small_shop as small
from failing_disk import Disk, Writing, in_memory
from rackwright import record as records
from rackwright.faces.cli.main import _run
from rackwright.record import Record, checkpoint, durable
from rackwright.record.sqlite import Sqlite
from rackwright.trouble import Failure, Stopped
from rackwright.work.keeping.backup import make_backup
from rackwright.work.metal.receiving import receive_bar
from rackwright.work.metal.sawing import CutPiece, Visit, cut, issue
from rackwright.work.office.ordering import freeze
from rackwright.work.people.founding import add_person
from rackwright.work.quality.nonconforming import raise_nonconformance
from rackwright.work.stations.making import Step, step
from soaked import ROUND

pytestmark = pytest.mark.long

BODY = "SN-1/post.front-left"
KINDS = {apsw.FullError: errno.ENOSPC, apsw.IOError: errno.EIO}


def counted(disk: Disk) -> Writing:
    """The writing calls of whole files, counted on the same disk."""

    def before() -> None:
        try:
            disk.operate()
        except apsw.Error as error:
            code = KINDS[type(error)]
            raise OSError(code, os.strerror(code)) from None

    return Writing(before)


@dataclass
class Bench:
    """A folder on the failing disk."""

    folder: Path
    disk: Disk

    def again(self, source: Path | None) -> Path:
        """The folder as it was before the command."""
        shutil.rmtree(self.folder, ignore_errors=True)
        self.folder.mkdir()
        home = self.folder / "shop"
        if source is not None:
            shutil.copytree(source, home)
        return home


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    disk = Disk(Random(0))
    plain = Record.__init__

    def on_disk(self: Record, place: Any) -> None:
        plain(self, Sqlite(place.path, place.busy_ms, disk.connect if disk.fail_at else None))

    monkeypatch.setattr(Record, "__init__", on_disk)
    monkeypatch.setattr(durable, "os", counted(disk))
    monkeypatch.setattr(checkpoint, "LEAST", 1)  # each act keeps the folded state beside the record too
    with in_memory() as folder:
        yield Bench(folder / "at", disk)


EVERY = [(apsw.FullError, False), (apsw.IOError, True), (apsw.FullError, True), (apsw.IOError, False)]
MODES = EVERY if ROUND else EVERY[:2]


def faults(disk: Disk, step: int = 1) -> Iterator[None]:
    """One fault after the other; ends after the first round in which none was reached, in every mode."""
    for error, lasting in MODES:
        for at in count(1, step):
            disk.arm(at, error, lasting)
            yield
            reached = disk.operations >= at
            disk.arm(0)
            if not reached:
                break


# --- every act -----------------------------------------------------------------------------------

Act = Callable[[Record], Any]


def _cut(record: Record) -> None:
    sawyer = small.station(record, "sawyer")
    issue(sawyer, "T-01", small.ORDER, small.revision(), [BODY], ["SN-1"])
    made, rest = (CutPiece(BODY, "SN-1", small.nm("44 in")),), small.nm("195.875 in")
    cut(sawyer, small.ORDER, Visit("T-01", made, small.nm("0.125 in"), 0, rest, "T-01-R", "L", "saw"))


ACTS: dict[str, tuple[str, Act]] = {
    "person": ("founded", lambda r: add_person(small.station(r, "lead"), "G. Moss", ["saw"])),
    "receive": ("founded", lambda r: receive_bar(small.station(r, "stores"), small.bar("T-09"), 0)),
    "freeze, with a file": ("stocked", lambda r: freeze(
        small.station(r, "lead"), small.design(), {"it": b"x" * 9000}, small.ORDER)),
    "issue and cut": ("ordered", _cut),
    "a step, with the machine's file": ("made", lambda r: step(
        small.station(r, "assembler"), Step("deburr"), [BODY], ["SN-1"], machine_record=b"probe" * 900)),
    "nonconformance and hold": ("made", lambda r: raise_nonconformance(
        small.station(r, "inspector"), "N-1", "bent", [BODY], "length", {})),
}  # fmt: skip


@pytest.mark.parametrize("name", ACTS)
def test_every_act_is_there_whole_or_not_at_all(
    bench: Bench, stages: Path, tmp_path: Path, name: str, record_property: Callable[[str, int], None]
) -> None:
    stage, do = ACTS[name]
    source = tmp_path / "shop"
    with small.stage(stage, stages, source) as record:
        before = record.head().size
        do(record)
        acts = [head.size for head in record.heads() if head.size >= before]
        source = shutil.copytree(stages / stage, tmp_path / "before")
    refused = done = 0
    for _ in faults(bench.disk):
        home = bench.again(source)
        told: tuple[Any, ...] = ()
        try:
            with records.open(home / "record.db") as record:
                do(record)
        except Stopped as stopped:
            told = stopped.troubles
        bench.disk.arm(0)
        with records.open(home / "record.db") as record:
            assert record.head().size in (acts if told else acts[-1:])
            assert records.audit(record).whole == ()
            do_again(record, do)
            assert record.head().size >= acts[-1]
        assert all(isinstance(trouble, Failure) and "safe" in trouble.do for trouble in told)
        refused += bool(told)
        done += not told
    assert refused > 8 * len(MODES)  # an act's writes and syncs: as many as the pages that it touches
    assert done >= len(MODES)
    record_property("done", refused)


def do_again(record: Record, do: Act) -> None:
    """The person does it once more: done now, or the gate says that it was done."""
    told: tuple[Any, ...] = ()
    try:
        do(record)
    except Stopped as stopped:
        told = stopped.troubles
    done = {"RW511", "RW514", "RW516", "RW517", "RW518"}  # RW516: that person is known already
    assert {trouble.code for trouble in told} <= done


# --- every command that writes -------------------------------------------------------------------


def _log(home: Path) -> list[str]:
    return ["log", "person", "--shop", str(home), "--by", "A. Quill", "person=G. Moss", "roles=saw"]


COMMANDS: dict[str, tuple[Callable[[Path], list[str]], str, int]] = {
    "new": (lambda home: ["new", str(home), "--name", "Fell", "--by", "A. Quill"], "", 5),
    "log": (_log, "shop/record.db", 1),
    "export": (lambda home: ["export", "--shop", str(home), "--out", str(home / "out.jsonl")], "shop/out.jsonl", 1),
    "import": (lambda home: ["import", str(home / "old.jsonl"), "--into", str(home / "two")], "shop/two/record.db", 5),
    "backup": (lambda home: ["backup", "--shop", str(home), "--out", str(home / "out.zip")], "shop/out.zip", 1),
    "restore": (lambda home: ["restore", str(home / "old.zip"), "--into", str(home / "two")], "shop/two", 9),
}  # fmt: skip


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_does_it_whole_or_not_at_all_and_says_what_is_safe(
    bench: Bench,
    stages: Path,
    tmp_path: Path,
    name: str,
    capsys: pytest.CaptureFixture[str],
    record_property: Callable[[str, int], None],
) -> None:
    words, made, stride = COMMANDS[name]
    source = None
    if name != "new":
        source = tmp_path / "shop"
        small.stage("founded", stages, source).close()
        (source / "shop.toml").write_text("# the invented shop\n")
        backup = make_backup(source)
        (source / "old.zip").write_bytes(backup.data)
        (source / "old.jsonl").write_bytes(_export(source))
    failed = 0
    for _ in faults(bench.disk, 1 if ROUND else stride):
        home = bench.again(source)
        code = _run(words(home))
        bench.disk.arm(0)
        said = capsys.readouterr().err
        assert code in (0, 3), said
        assert (code == 3) == ("[RW501]" in said or "[RW002]" in said)
        assert code == 0 or "safe" in said
        at = bench.folder / (made or "shop")
        if code == 0 and made:
            assert at.exists()
        _whole(at, name)
        left = [path.name for path in bench.folder.rglob(".*.new") if path.is_file()]
        assert left == [], left
        failed += code == 3
    assert failed >= 4
    record_property("done", failed)


def _export(shop: Path) -> bytes:
    with records.open(shop / "record.db") as record:
        return b"".join(records.export_lines(record.events()))


def _whole(path: Path, name: str) -> None:
    """Whatever stands there is all of it."""
    if not path.exists():
        return
    if path.suffix == ".zip":
        assert path.read_bytes() == (path.parent / "old.zip").read_bytes()
    elif path.suffix == ".jsonl":
        assert path.read_bytes() == (path.parent / "old.jsonl").read_bytes()
    else:
        with records.open(path if path.is_file() else path / "record.db") as record:
            assert records.audit(record).whole == ()
            assert record.head().size >= {"new": 2, "log": 15}.get(name, 16)
        if name == "new":
            assert {"shop.toml", "shop.key", "stock.toml"} <= {each.name for each in path.iterdir()}
