"""The SQLite engine by itself: what it takes for a record, what a connection must answer, what an error means."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
import sqlalchemy as sa

from failing_disk import in_memory
from histories import make_record, notes
from rackwright import record
from rackwright.record import sqlite
from rackwright.record.engine import Kind
from rackwright.record.sqlite import Sqlite
from rackwright.trouble import Stopped
from states import heard


@pytest.fixture
def folder() -> Iterator[Path]:
    with in_memory() as made:
        yield made


@pytest.fixture
def file(folder: Path) -> Path:
    make_record(folder / "record.db", notes(2)).close()
    return folder / "record.db"


def engine(path: Path, **more: Any) -> Sqlite:
    return Sqlite(path, 70, more.get("connect"))


class Answering:
    """A connection that answers each statement as it is told to, and keeps what was said."""

    isolation_level: str | None = ""

    def __init__(self, answers: Mapping[str, Sequence[Any]]) -> None:
        self.answers, self.said = answers, list[str]()

    def execute(self, statement: str) -> Answering:
        self.said.append(statement)
        self.rows = [*self.answers.get(statement.removeprefix("PRAGMA "), [])]
        return self

    exec_driver_sql = execute

    def fetchone(self) -> Any:
        return self.rows[0]

    one = fetchone

    def __iter__(self) -> Iterator[Any]:
        return iter(self.rows)


# --- a connection --------------------------------------------------------------------------------

GOOD: dict[str, Any] = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "recursive_triggers": 1}


def prepared(path: Path, answers: Mapping[str, Any], **more: Any) -> list[str]:
    connection: Any = Answering({name: [(value,)] for name, value in answers.items()})
    engine(path, **more)._prepare(connection)
    assert connection.isolation_level is None
    return [each.removeprefix("PRAGMA ") for each in connection.said]


def test_a_connection_is_set_up_before_it_is_used(tmp_path: Path) -> None:
    said = prepared(tmp_path / "record.db", GOOD)
    assert said[:7] == ["busy_timeout=70", "journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON",
                        "recursive_triggers=ON", "trusted_schema=OFF", "cell_size_check=ON"]  # fmt: skip
    assert said[7:] == [*GOOD]


@pytest.mark.parametrize(("name", "answer"), [
    ("journal_mode", "delete"), ("journal_mode", "zero"), ("synchronous", 1), ("synchronous", 0), ("synchronous", 3),
    ("foreign_keys", 0), ("recursive_triggers", 0),
])  # fmt: skip
def test_a_connection_that_answers_anything_else_is_refused(
    tmp_path: Path, name: str, answer: object
) -> None:
    with pytest.raises(Stopped, match=f"the disk answers {name} = {answer} where {GOOD[name]} is needed"):
        prepared(tmp_path / "record.db", {**GOOD, name: answer})


def test_what_a_connection_answers_is_what_was_asked_for() -> None:
    connection = sqlite3.connect(":memory:")
    for name, (asked, answer) in [*sqlite.SETTINGS.items()][1:]:  # a record in memory has no log
        connection.execute(f"PRAGMA {name}={asked}")
        assert connection.execute(f"PRAGMA {name}").fetchone() == (answer,)
    connection.close()


def opened(file: str) -> sqlite3.Connection:
    return sqlite3.connect(file)


def test_of_a_file_that_is_read_as_it_is_only_its_log_is_not_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Sqlite, "_is_still", lambda _: True)
    path = tmp_path / "record.db"
    assert [said for said in prepared(path, {**GOOD, "journal_mode": "delete"}) if "journal" in said] == []
    with pytest.raises(Stopped, match="synchronous = 1"):
        prepared(path, {**GOOD, "synchronous": 1})
    assert "journal_mode" in prepared(path, GOOD, connect=opened)  # whoever opens it otherwise may write


@pytest.mark.parametrize("still", [True, False])
def test_a_file_is_opened_by_whoever_is_given_or_as_it_is_or_plainly(
    file: Path, still: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = list[str]()

    def noted(by: str, path: str) -> sqlite3.Connection:
        asked.append(by)
        return opened(path)

    monkeypatch.setattr(Sqlite, "_is_still", lambda _: still)
    monkeypatch.setattr(sqlite, "_as_it_is", lambda path: noted("as it is", path))
    for connect in (None, lambda path: noted("given", path)):
        pool = engine(file, connect=connect).connect()
        with pool.connect() as connection:
            assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        pool.dispose()
    assert asked == (["as it is", "given"] if still else ["given"])


def test_as_it_is_a_file_is_read_from_any_thread_and_not_written(file: Path) -> None:
    connection, found = sqlite._as_it_is(str(file)), list[Any]()
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        connection.execute("CREATE TABLE t (x)")
    reading = Thread(target=lambda: found.extend(connection.execute("SELECT max(seq) FROM event")))
    reading.start()
    reading.join()
    connection.close()
    assert found == [(2,)]


@pytest.mark.parametrize("log", [None, b"", b"more"])
@pytest.mark.parametrize("there", [True, False])
@pytest.mark.parametrize("writable", [True, False])
def test_a_file_is_still_where_nothing_may_be_written_and_no_log_holds_more(
    tmp_path: Path, log: bytes | None, there: bool, writable: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "record.db"
    if there:
        path.write_bytes(b"x")
    if log is not None:
        (tmp_path / "record.db-wal").write_bytes(log)
    monkeypatch.setattr(sqlite.os, "access", lambda folder, mode: writable)
    assert bool(engine(path)._is_still()) is (there and not writable and not log)


def test_who_writes_takes_the_lock_first() -> None:
    assert engine(Path("x")).begin(True) == ("BEGIN IMMEDIATE",)
    assert engine(Path("x")).begin(False) == ("BEGIN",)


# --- an error ------------------------------------------------------------------------------------

BUSY, FAILED, READ_ONLY, UNUSABLE = Kind.BUSY, Kind.FAILED, Kind.READ_ONLY, Kind.UNUSABLE
CODES = {1: UNUSABLE, 4: UNUSABLE, 5: BUSY, 6: BUSY, 7: UNUSABLE, 8: READ_ONLY, 9: UNUSABLE, 10: FAILED, 11: UNUSABLE,
         12: UNUSABLE, 13: FAILED, 14: UNUSABLE, 15: UNUSABLE, 26: UNUSABLE}  # fmt: skip


@pytest.mark.parametrize("more", [0, 1 << 8, 2 << 8, 17 << 8])  # SQLite's extended codes
@pytest.mark.parametrize("code", CODES)
def test_what_a_code_of_sqlite_means(code: int, more: int) -> None:
    error = sqlite3.OperationalError("words")
    error.sqlite_errorcode = code + more
    assert engine(Path("x")).kind(error) is CODES[code]


@pytest.mark.parametrize(("code", "kind"), [(13, FAILED), (14, READ_ONLY), (15, UNUSABLE), (8, READ_ONLY)])
def test_what_cannot_be_opened_where_nothing_may_be_written_is_read_only(
    code: int, kind: Kind, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Sqlite, "_may_only_look", lambda _: True)
    error = sqlite3.OperationalError("words")
    error.sqlite_errorcode = code
    assert engine(Path("x")).kind(error) is kind


def test_an_error_without_a_code_is_told_by_its_class() -> None:
    assert engine(Path("x")).kind(sqlite3.IntegrityError("words")) is Kind.CONTRADICTS
    assert engine(Path("x")).kind(sqlite3.ProgrammingError("words")) is UNUSABLE
    assert engine(Path("x")).kind(None) is UNUSABLE


# --- a file --------------------------------------------------------------------------------------

START = b"SQLite format 3\0" + bytes(52) + b"rack" + bytes(28)


@pytest.mark.parametrize(("data", "good"), [
    (START, True), (START + b"more", True), (START[:99], False), (START[:72], False), (b"", False),
    (START.replace(b"rack", b"racj"), False), (START.replace(b"rack", b"racl"), False),
    (b"X" + START[1:], False), (START[:67] + b"rack" + START[71:], False),
])  # fmt: skip
def test_a_record_is_known_by_its_first_bytes(tmp_path: Path, data: bytes, good: bool) -> None:
    (tmp_path / "record.db").write_bytes(data)
    if good:
        engine(tmp_path / "record.db").require()
    else:
        with pytest.raises(Stopped, match="this file is not a record"):
            engine(tmp_path / "record.db").require()


def test_what_is_no_file_or_cannot_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for path in (tmp_path, tmp_path / "record.db"):
        with pytest.raises(Stopped, match="there is no record here"):
            engine(path).require()
    (tmp_path / "record.db").write_bytes(START)

    def denied(*_: object) -> None:
        raise PermissionError("denied")

    monkeypatch.setattr(sqlite, "open", denied, raising=False)
    with pytest.raises(Stopped, match="cannot be read: denied"):
        engine(tmp_path / "record.db").require()


@pytest.mark.parametrize("place", ["record.db", "shop/record.db", "a/b/record.db"])
@pytest.mark.parametrize("stale", [(), ("record.db.new",), ("record.db.new-wal", "record.db.new-shm")])
def test_a_record_is_made_beside_and_put_in_its_place(
    folder: Path, place: str, stale: tuple[str, ...]
) -> None:
    path = folder / place
    if stale:
        path.parent.mkdir(parents=True, exist_ok=True)
    for name in stale:
        (path.parent / name).write_bytes(b"half made")
    with record.create(path) as made:
        assert made.head().size == 0
    assert [each.name for each in path.parent.iterdir()] == ["record.db"]
    assert path.read_bytes()[68:72] == b"rack"
    with pytest.raises(Stopped, match="there is a file already"), engine(path).building():
        pass


@pytest.mark.parametrize(("answer", "settled"), [((0, 0, 0), True), ((1, -1, -1), False), ((1, 0, 0), False),
                                                 ((0, 3, 0), False)])  # fmt: skip
def test_the_log_is_settled_where_nobody_hinders_it_and_nothing_is_left(
    answer: tuple[int, int, int], settled: bool
) -> None:
    connection: Any = Answering({"wal_checkpoint(TRUNCATE)": [answer]})
    assert engine(Path("x")).settle(connection) is settled
    assert connection.said == ["COMMIT", "PRAGMA wal_checkpoint(TRUNCATE)", "BEGIN"]


# --- what stands in it ---------------------------------------------------------------------------

ALL = "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL"


def inside(**answers: Sequence[Any]) -> list[str]:
    sound = {
        "integrity_check": [(heard("ok"),)],
        ALL: [(name, heard(text)) for name, text in sqlite.STATEMENTS.items()],
    }
    connection: Any = Answering({**sound, **answers})
    return engine(Path("x")).inside(connection)


def test_a_sound_file_has_nothing_to_complain_of(file: Path) -> None:
    assert inside() == []
    with record.open(file) as shop:
        assert shop.inside() == []


@pytest.mark.parametrize("line", ["*** in database main ***", "row 3 missing from index"])
def test_what_sqlite_finds_is_passed_on(line: str) -> None:
    assert inside(integrity_check=[(line,)]) == [f"SQLite: {line}"]
    assert inside(foreign_key_check=[("head", 3, "event", 0)]) == [
        "SQLite: foreign key ('head', 3, 'event', 0)"
    ]


@pytest.mark.parametrize(("name", "text"), [
    ("event_keep", None), ("event_keep", "A"), ("event_keep", "Z"), ("another", "CREATE INDEX another"),
])  # fmt: skip
def test_a_statement_more_or_less_or_another_is_told(name: str, text: str | None) -> None:
    found = {**sqlite.STATEMENTS, name: text}
    rows = [(each, said) for each, said in found.items() if said is not None]
    assert inside(**{ALL: rows}) == [f"the table or trigger {name} is not as it was made"]


def test_a_file_without_a_trigger_tells_which(file: Path) -> None:
    connection = sqlite3.connect(file)
    connection.execute("DROP TRIGGER head_stay")
    connection.execute("CREATE TRIGGER another BEFORE DELETE ON head BEGIN SELECT 1; END")
    connection.commit()
    connection.close()
    with record.open(file) as shop:
        told = [f"the table or trigger {name} is not as it was made" for name in ("another", "head_stay")]
        assert shop.inside() == told
        with pytest.raises(sa.exc.IntegrityError, match="append-only"), shop._engine.connect() as one:
            one.exec_driver_sql("DELETE FROM event")
