"""A record of an older layout becomes one of the newest when it is opened: whole or as it was, and no event is lost.

And what layout 2 adds, the index of names: it gives every event that it should, also where it lags, and an altered
one is found.
"""

from __future__ import annotations

import multiprocessing
import os
import shutil
import signal
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path
from random import Random
from typing import Any

import apsw
import psycopg
import pytest
import sqlalchemy as sa

import layout_1
import private_postgres
from failing_disk import Disk, in_memory
from histories import append_all, make_record, notes
from private_postgres import Server
from rackwright import record
from rackwright.record import Event, Record, export_lines, new_event, schema, store
from rackwright.trouble import Stopped
from rackwright.work.serials.tracing import trace, trace_in


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A filled record of layout 1; `new.db` beside it has the same events and was never of another layout."""
    append_all(make_record(tmp_path / "new.db"), notes(60, 100)).close()
    layout_1.lay_down(tmp_path / "new.db", tmp_path / "record.db")
    return tmp_path / "record.db"


def index(shop: Record) -> list[tuple[str, str, int]]:
    with shop._reading() as connection:
        rows = connection.exec_driver_sql("SELECT kind, name, seq FROM mention WHERE kind <> 'upto'")
        return sorted((str(kind), str(name), int(seq)) for kind, name, seq in rows)


def layout_of(path: Path) -> int:
    file = sqlite3.connect(path)
    (found,) = file.execute("PRAGMA user_version").fetchone()
    file.close()
    return int(found)


def same(found: Path, new: Path) -> None:
    with record.open(found) as shop, record.open(new) as fresh:
        assert b"".join(export_lines(shop.events())) == b"".join(export_lines(fresh.events()))
        assert index(shop) == index(fresh) != []
        assert shop.inside() == []
        shop.append(notes(1, 900)[0], shop.head())
        assert record.audit(shop).ok


def test_a_file_of_layout_1_becomes_layout_2_with_the_same_events(old: Path, tmp_path: Path) -> None:
    assert layout_of(old) == 1
    same(old, tmp_path / "new.db")
    assert layout_of(old) == schema.VERSION == 2


@pytest.mark.postgres
def test_a_database_of_layout_1_too_and_stations_keep_their_rights(server: Server, tmp_path: Path) -> None:
    make_record(tmp_path / "new.db").close()
    name = layout_1.lay_down_postgres(server, tmp_path / "new.db", tmp_path / "record.url")
    for statement in (
        f"CREATE ROLE at_{name} LOGIN", f"GRANT USAGE ON SCHEMA rackwright TO at_{name}",
        f"GRANT SELECT, INSERT ON ALL TABLES IN SCHEMA rackwright TO at_{name}",
    ):  # fmt: skip
        server.sql(statement, name)
    path = tmp_path / "station" / "record.url"
    path.parent.mkdir()
    path.write_text(server.url(name).replace("tests@", f"at_{name}@"))
    with pytest.raises(Stopped, match="owner of its tables"):
        record.open(path)
    same(tmp_path / "record.url", tmp_path / "new.db")
    with record.open(path) as station:
        station.append(notes(1, 901)[0], station.head())
        assert record.audit(station).ok


def test_a_newer_layout_is_refused_and_says_so(old: Path) -> None:
    record.open(old).close()
    file = sqlite3.connect(old)
    file.execute("PRAGMA user_version=3")
    file.close()
    with pytest.raises(Stopped, match=r"layout 3, and this program knows 1 to 2.*newer one"):
        record.open(old)


def test_two_open_it_at_once_and_one_raises_it(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second saw the old number too, waits for the lock, and finds it done."""
    plain, seen = Record._raise_layout, []

    def after_another(self: Record) -> None:
        seen.append(layout_of(old))
        if len(seen) == 1:
            record.open(old).close()
        plain(self)

    monkeypatch.setattr(Record, "_raise_layout", after_another)
    with record.open(old) as shop:
        assert record.audit(shop).ok
    assert seen == [1, 1]


FAULTS = {"power": None, "full": apsw.FullError, "I/O": apsw.IOError}


@pytest.mark.parametrize("kind", FAULTS)
def test_cut_anywhere_it_is_layout_1_or_2_and_no_event_is_lost(old: Path, kind: str) -> None:
    """At every write, truncation and sync of the migration and the closing after it, one after the other."""
    with record.open(old.with_name("new.db")) as fresh:
        events = fresh.events()
    met, numbers = 0, set()
    with in_memory() as folder:
        for at in count(1):
            path = folder / str(at) / "record.db"
            path.parent.mkdir()
            shutil.copy(old, path)
            disk = Disk(Random(f"{kind} {at}"))
            disk.arm(at, FAULTS[kind])
            try:
                record.open(path, connect=disk.connect).close()
            except Stopped:
                met += 1
            reached = disk.operations >= at
            if kind == "power":
                disk.cut()
            numbers.add(layout_of(path))
            with record.open(path) as shop:
                assert shop.events() == events
                assert record.audit(shop).ok
            shutil.rmtree(path.parent)
            if not reached:
                break
    assert numbers == {1, 2}
    assert met > 5


# --- PostgreSQL ----------------------------------------------------------------------------------


@contextmanager
def before_step(number: int, do: Callable[[], None]) -> Iterator[list[str]]:
    """Does something just before the statement or commit of this number; what was met until then."""
    met: list[str] = []

    def step(words: str) -> None:
        met.append(words)
        if len(met) == number:
            do()

    def statement(*said: Any) -> None:
        step(said[2])

    def commit(_: sa.Connection) -> None:
        step("COMMIT")

    sa.event.listen(sa.Engine, "before_cursor_execute", statement)
    sa.event.listen(sa.Engine, "commit", commit)
    try:
        yield met
    finally:
        sa.event.remove(sa.Engine, "before_cursor_execute", statement)
        sa.event.remove(sa.Engine, "commit", commit)


def opened(path: Path, number: int, do: Callable[[], None]) -> bool:
    """Opening it with this done on the way: did it come to its end without?"""
    with before_step(number, do) as met, suppress(Stopped):
        record.open(path).close()
    return len(met) < number


def killed(path: Path, number: int) -> bool:
    """The program is killed at this step: kill -9 to a process of its own."""
    child = multiprocessing.get_context("fork").Process(
        target=lambda: opened(path, number, lambda: os.kill(os.getpid(), signal.SIGKILL))
    )
    child.start()
    child.join()
    assert child.exitcode in (0, -signal.SIGKILL)
    return child.exitcode == 0


def stopped(server: Server, path: Path, number: int) -> bool:
    """The server is stopped at once at this step, and started again."""
    finished = opened(path, number, server.stop)
    if not finished:
        server.start()
    return finished


def standing(server: Server, name: str) -> tuple[str, bool]:
    """The number of the layout as the database says it, and whether the table of layout 2 is there."""
    with psycopg.connect(server.url(name)) as connection:
        row = connection.execute(
            "SELECT obj_description(oid, 'pg_namespace'), to_regclass('rackwright.mention') IS NOT NULL "
            "FROM pg_namespace WHERE nspname = 'rackwright'"
        ).fetchone()
    assert row is not None
    return row[0][-1], row[1]


@pytest.mark.long
@pytest.mark.postgres
@pytest.mark.parametrize("who", ["the program", "the server"])
def test_a_database_is_of_layout_1_or_2_wherever_it_is_cut(who: str, tmp_path: Path) -> None:
    """Before every statement of the migration and before its commit, one after the other; the next opening ends it."""
    new, found = tmp_path / "new.db", set()
    with make_record(new) as fresh:
        events, wanted = fresh.events(), index(fresh)
    with private_postgres.server() as server:
        for number in count(1):
            path = tmp_path / str(number) / "record.url"
            name = layout_1.lay_down_postgres(server, new, path)
            finished = killed(path, number) if who == "the program" else stopped(server, path, number)
            found.add((finished, *standing(server, name)))
            with record.open(path) as shop:
                assert (shop.events(), index(shop)) == (events, wanted)
                assert record.audit(shop).ok
            assert standing(server, name) == ("2", True)
            if finished:
                break
    assert number > 10
    assert found == {(False, "1", False), (True, "2", True)}


# --- the index -----------------------------------------------------------------------------------


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Record]:
    with make_record(tmp_path / "record.db") as made:
        yield made


def act(type: str, number: int, body: dict[str, Any], corrects: int | None = None) -> list[Event]:
    return [new_event(type, body, act_id=f"more-{number}", at="2031-05-05T00:00:00Z", by="Ada Quill",
                      corrects=corrects)]  # fmt: skip


def bar(number: int, heat: str) -> list[Event]:
    body = {
        "stock_id": f"B-{number}-",
        "form": "bar",
        "stock_spec": "6061-T6",
        "heat": heat,
        "length_nm": 1000,
    }
    return act("receive", number, body)


def stock(shop: Record, heat: str) -> list[str]:
    """What is of a heat by the index; which must be so by the whole history too."""
    found = trace_in(shop, "heat", heat)
    assert found == trace(shop.events(), "heat", heat)
    return [str(row["stock_id"]) for row in found["stock"]]


def unknown(shop: Record, heat: str) -> None:
    with pytest.raises(Stopped, match="not known"):
        trace_in(shop, "heat", heat)


def test_a_trace_by_the_index_is_that_by_the_whole_history(shop: Record) -> None:
    assert stock(shop, "H-7719") == ["B-1", "B-1-R"]
    unknown(shop, "H-771")


def test_it_reads_what_it_needs_and_no_more(shop: Record) -> None:
    append_all(shop, [*notes(40, 100), *(bar(n, f"H-{n % 3}") for n in range(30))])
    named = {event.body["stock_id"] for event in shop.naming([("heat", "H-1")], {}).values()}
    assert named == {f"B-{n}-" for n in range(1, 30, 3)}


def test_a_corrected_heat_is_found_under_its_new_name_and_not_under_the_old(shop: Record) -> None:
    append_all(shop, [bar(1, "H-old")])
    seq = shop.head().size
    append_all(
        shop, [act("correction", 2, {"reason": "misread", "changes": [], "fields": {"heat": "H-new"}}, seq)]
    )
    assert stock(shop, "H-new") == ["B-1-"]
    unknown(shop, "H-old")
    append_all(shop, [act("correction", 3, {"reason": "it was right", "changes": [], "void": True}, seq + 1)])
    assert stock(shop, "H-old") == ["B-1-"]
    unknown(shop, "H-new")


def test_names_too_long_for_the_index_share_a_place_and_are_told_apart(shop: Record) -> None:
    heats = ["H" * 900 + end for end in ("a", "b")]
    append_all(shop, [bar(n, heat) for n, heat in enumerate(heats)])
    assert [stock(shop, heat) for heat in heats] == [["B-0-"], ["B-1-"]]


def test_an_index_that_lags_is_still_right_and_the_next_append_brings_it_along(
    shop: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a station leaves it that still runs a program of layout 1."""
    with monkeypatch.context() as before:
        before.setattr(store, "cover", lambda connection, fresh: None)
        append_all(shop, [bar(1, "H-late"), bar(2, "H-late")])
    assert stock(shop, "H-late") == ["B-1-", "B-2-"]
    assert record.audit(shop).ok
    append_all(shop, [bar(3, "H-late")])
    assert stock(shop, "H-late") == ["B-1-", "B-2-", "B-3-"]
    assert shop.moment().indexed == shop.head().size
    assert record.audit(shop).ok


ALTERED = {
    "taken out": "DELETE FROM mention WHERE kind = 'heat' AND seq = 9",
    "put in": "INSERT INTO mention VALUES ('heat', 'H-1', 3)",
    "moved": "UPDATE mention SET seq = 4 WHERE kind = 'heat' AND seq = 9",
    "of no event": "INSERT INTO mention VALUES ('heat', 'H-1', 0)",
    "of none yet": "INSERT INTO mention VALUES ('heat', 'H-1', 999)",
    "renamed": "UPDATE mention SET name = 'H-7718' WHERE kind = 'heat' AND seq = 9",
    "said to go further": "INSERT INTO mention VALUES ('upto', '', 99)",
}


@pytest.mark.parametrize("how", ALTERED)
def test_an_altered_index_is_found_and_import_makes_it_anew(shop: Record, how: str, tmp_path: Path) -> None:
    with shop._engine.connect().execution_options(writes=True) as connection:
        connection.exec_driver_sql(ALTERED[how])
        connection.commit()
    (found,) = record.audit(shop).whole
    assert "index of names" in found.found
    data = b"".join(export_lines(shop.events()))
    with record.import_export(data, tmp_path / "again.db") as again:
        assert record.audit(again).ok
        assert b"".join(export_lines(again.events())) == data
