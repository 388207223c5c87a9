"""The store: one act a commit, on the head that was seen, once; append-only; settled on the disk."""

from __future__ import annotations

import errno
import multiprocessing
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from hypothesis import given, settings
from hypothesis import strategies as st

from failing_disk import in_memory
from histories import act, append_all, lawful_history, make_record, notes, shop_history
from private_postgres import Place
from rackwright import record
from rackwright.record import Head, Record, Refs, attachments, durable, new_event, schema, sqlite
from rackwright.seal import Tree
from rackwright.trouble import Stopped
from rackwright.work.keeping.heads import audit_folder


def codes(call: Callable[[], object]) -> list[str]:
    with pytest.raises(Stopped) as caught:
        call()
    return [trouble.code for trouble in caught.value.troubles]


@pytest.fixture
def shop(place: Place, tmp_path: Path) -> Iterator[Record]:
    """The small shop's record, on either engine."""
    with make_record(place(tmp_path)) as made:
        yield made


@pytest.fixture
def file_shop(tmp_path: Path) -> Record:
    """The same as one SQLite file, for what is SQLite's own."""
    return make_record(tmp_path / "record.db")


def test_what_was_appended_is_there_after_opening_again(shop: Record) -> None:
    events = [event for each in shop_history() for event in each]
    shop.close()
    with record.open(shop.path) as again:
        head, found = again.look()
        assert list(found) == [event.at_seq(seq) for seq, event in enumerate(events, 1)]
        assert head == Head(16, Tree(event.leaf() for event in found).root().hex())
        assert again.events(after=14) == found[14:]
        assert again.heads()[-1] == head
        assert [each.size for each in again.heads()] == [1, *range(3, 17)]


@given(st.lists(st.integers(1, 4), max_size=12))
@settings(max_examples=15, deadline=None)
def test_every_head_is_the_root_of_its_events(
    place: Place, tmp_path_factory: pytest.TempPathFactory, sizes: list[int]
) -> None:
    acts = [[act(number, "supplier", {"supplier": f"S-{i}", "scope": []}) for i in range(size)]
            for number, size in enumerate(sizes)]  # fmt: skip
    with make_record(place(tmp_path_factory.mktemp("shop")), acts) as shop:
        tree = shop.tree()
        assert shop.head() == Head(sum(sizes), tree.root().hex())
        assert all(head.root == tree.root(head.size).hex() for head in shop.heads())


SEEN = st.characters(exclude_categories=["Cc", "Cf", "Cs", "Zl", "Zp"])


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=8), st.text(SEEN, min_size=1, max_size=8))
@settings(max_examples=25, deadline=None)
def test_any_text_comes_back_as_it_was(
    place: Place, tmp_path_factory: pytest.TempPathFactory, text: str, name: str
) -> None:
    odd = new_event("supplier", {"supplier": "S", "scope": [], "document": text}, act_id=name, station=name, by=name,
                    at="2031-05-04T13:00:00Z", refs=Refs.of(heats=[name]))  # fmt: skip
    with make_record(place(tmp_path_factory.mktemp("shop")), [[odd]]) as shop:
        assert shop.events() == shop.act(name) == (odd.at_seq(1),)
        assert record.audit(shop).ok


def test_another_station_wrote_first(shop: Record) -> None:
    seen = shop.head()
    shop.append(notes(1, 100)[0], seen)
    assert codes(lambda: shop.append(notes(1, 101)[0], seen)) == ["RW502"]
    assert codes(lambda: shop.append(notes(1, 101)[0], Head())) == ["RW502"]
    assert shop.head().size == 17
    shop.append(notes(1, 101)[0], shop.head())


def test_repeating_an_act_gives_what_was_recorded_and_writes_nothing(shop: Record) -> None:
    seen = shop.head()
    first = shop.append(notes(1, 100)[0], seen)
    append_all(shop, notes(2, 101))
    before = shop.head()
    again = shop.append(notes(1, 100)[0], seen)
    assert (again.events, again.repeated, first.repeated) == (first.events, True, False)
    assert shop.head() == before
    assert shop.act("act-100") == first.events
    assert shop.act("act-1") == shop.events()[1:3]
    assert shop.act("nobody's") == ()


def test_the_same_act_id_for_something_else_is_refused(shop: Record) -> None:
    head = shop.head()
    other = [act(1, "person", {"person": "Cato Reed", "roles": []})]
    assert codes(lambda: shop.append(other, head)) == ["RW506"]
    longer = [*shop_history()[1], *other]
    assert codes(lambda: shop.append(longer, head)) == ["RW506"]
    assert shop.head() == head


def test_an_act_is_recorded_whole_or_not_at_all(shop: Record) -> None:
    head = shop.head()
    bad = [*notes(1, 50)[0], act(50, "correction", {"reason": "r", "changes": []}, corrects=99)]
    assert codes(lambda: shop.append(bad, head)) == ["RW503"]
    faulty = [*notes(1, 50)[0], act(50, "lift", {}), act(50, "bless", {})]
    assert codes(lambda: shop.append(faulty, head)) == ["RW504", "RW504", "RW504"]
    assert shop.head() == head
    assert len(list(shop.rows())) == 16


def test_misuse_by_our_own_code_is_not_the_users_fault(shop: Record) -> None:
    head = shop.head()
    for events in ([], [*notes(1, 50)[0], *notes(1, 51)[0]], [notes(1, 50)[0][0].at_seq(17)]):
        with pytest.raises(ValueError, match="act"):
            shop.append(events, head)


COLUMNS = "type, v, 'x', at, by, station, refs, known"
STATEMENTS = (
    "UPDATE event SET body = '{}' WHERE seq = 3",
    "DELETE FROM event WHERE seq = 16",
    "INSERT OR REPLACE INTO event SELECT * FROM event WHERE seq = 3",
    f"INSERT INTO event SELECT 18, {COLUMNS}, corrects, body, leaf FROM event WHERE seq = 3",
    f"INSERT INTO event SELECT 0, {COLUMNS}, corrects, body, leaf FROM event WHERE seq = 3",
    "UPDATE head SET root = 'x'",
    "DELETE FROM head",
    "INSERT OR REPLACE INTO head SELECT * FROM head WHERE size = 3",
    "INSERT INTO head SELECT 2, 'x', root, peaks FROM head WHERE size = 3",
    "INSERT INTO head SELECT 99, 'x', root, peaks FROM head WHERE size = 3",
    "INSERT INTO head SELECT 16, 'act-1', root, peaks FROM head WHERE size = 3",
    f"INSERT INTO event SELECT 17, {COLUMNS}, 400, body, leaf FROM event WHERE seq = 3",
)  # fmt: skip


@pytest.mark.parametrize("statement", STATEMENTS)
def test_the_tables_themselves_refuse_change(file_shop: Record, statement: str) -> None:
    with (
        file_shop._engine.connect().execution_options(writes=True) as connection,
        pytest.raises(sa.exc.IntegrityError, match=r"append-only|FOREIGN KEY"),
    ):
        connection.exec_driver_sql(statement)
    assert record.audit(file_shop).ok


def test_each_connection_has_the_settings(file_shop: Record) -> None:
    with file_shop._engine.connect() as one, file_shop._engine.connect() as two:
        for connection in (one, two):
            found = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in sqlite.SETTINGS}
            assert found == {name: wanted for name, (_, wanted) in sqlite.SETTINGS.items()}


@pytest.mark.parametrize(
    ("pragma", "less"),
    [("journal_mode", "DELETE"), ("synchronous", "NORMAL"), ("synchronous", "OFF"), ("foreign_keys", "OFF"),
     ("recursive_triggers", "OFF")],
)  # fmt: skip
def test_anything_less_is_refused_at_the_start(
    file_shop: Record, pragma: str, less: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    file_shop.close()
    monkeypatch.setitem(sqlite.SETTINGS, pragma, (less, 0))
    with pytest.raises(Stopped, match=f"{pragma} = .* is needed"):
        record.open(file_shop.path)


def test_the_statements_and_the_tables_agree(file_shop: Record) -> None:
    with file_shop._engine.connect() as connection:
        for table in (schema.event, schema.head, schema.mention):
            rows = connection.exec_driver_sql(f"PRAGMA table_info({table.name})").all()
            theirs = [
                (row[1], {"INTEGER": int, "TEXT": str}[row[2]], not row[3] and not row[5]) for row in rows
            ]
            assert theirs == [
                (each.name, each.type.python_type, bool(each.nullable)) for each in table.columns
            ]
    assert file_shop.inside() == []


def test_only_a_record_is_opened(tmp_path: Path, file_shop: Record) -> None:
    assert codes(lambda: record.open(tmp_path / "nowhere.db")) == ["RW501"]
    assert codes(lambda: record.open(tmp_path)) == ["RW501"]
    for name, data in (("text.db", b"not a database at all, " * 99), ("empty.db", b"")):
        (tmp_path / name).write_bytes(data)
        assert codes(lambda name=name: record.open(tmp_path / name)) == ["RW501"]
    other = sqlite3.connect(tmp_path / "other.db")
    other.execute("CREATE TABLE event (seq)")
    other.commit()
    other.close()
    before = (tmp_path / "other.db").read_bytes()
    assert codes(lambda: record.open(tmp_path / "other.db")) == ["RW501"]
    assert (tmp_path / "other.db").read_bytes() == before
    with file_shop._engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA user_version=3")
        connection.commit()
    assert codes(lambda: record.open(file_shop.path)) == ["RW501"]


def test_create_never_writes_over_a_file_and_survives_a_half_made_one(tmp_path: Path) -> None:
    path = tmp_path / "shop" / "record.db"
    path.parent.mkdir()
    (path.parent / "record.db.new").write_bytes(b"half made")
    record.create(path).close()
    assert [each.name for each in path.parent.iterdir()] == ["record.db"]
    assert codes(lambda: record.create(path)) == ["RW501"]
    (tmp_path / "file").write_text("")
    assert codes(lambda: record.create(tmp_path / "file" / "record.db")) == ["RW501"]


def test_busy_is_look_again(shop: Record) -> None:
    with record.open(shop.path, busy_ms=0) as other:
        seen = other.head()
        with shop._engine.connect().execution_options(writes=True) as writing:
            shop._write(writing, notes(1, 50)[0], seen)
            assert codes(lambda: other.append(notes(1, 51)[0], seen)) == ["RW502"]
            assert other.head() == seen  # readers are not held up, and see what was committed
            writing.rollback()
        other.append(notes(1, 51)[0], seen)


@pytest.mark.parametrize("when", ["commit", "write"])
def test_after_an_io_error_nothing_is_retried(
    shop: Record, when: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise OSError(errno.EIO, "the disk is gone")

    head = shop.head()
    if when == "commit":
        sa.event.listen(shop._engine, "commit", fail)
    else:
        monkeypatch.setattr(shop, "_write", fail)
    with pytest.raises(Stopped, match="the disk is gone"):
        shop.append(notes(1, 50)[0], head)
    assert codes(shop.head) == ["RW501"]
    assert codes(lambda: shop.append(notes(1, 50)[0], head)) == ["RW501"]
    shop.close()
    with record.open(shop.path) as again:
        assert again.head() == head
        again.append(notes(1, 50)[0], head)


def test_a_full_disk_is_told_and_nothing_is_half_written(tmp_path: Path) -> None:
    shop = make_record(tmp_path / "record.db")

    @sa.event.listens_for(shop._engine, "checkout")
    def _full(connection: sqlite3.Connection, *_: object) -> None:
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
        connection.execute(f"PRAGMA max_page_count={pages}")

    head = shop.head()
    big = [[act(50 + i, "supplier", {"supplier": "x" * 9000, "scope": []})] for i in range(9)]
    with pytest.raises(Stopped, match="full"):
        append_all(shop, big)
    shop.close()
    with record.open(shop.path) as again:
        assert again.head().size in range(head.size, head.size + 9)
        assert record.audit(again).ok


def test_files_are_kept_by_hash(shop: Record) -> None:
    name = shop.put_file(b"certificate C-1 (invented)")
    assert shop.put_file(b"certificate C-1 (invented)") == name
    assert shop.get_file(name) == b"certificate C-1 (invented)"
    assert [each.name for each in shop.attachments.iterdir()] == [name]
    assert codes(lambda: shop.get_file("00" * 32)) == ["RW507"]
    assert codes(lambda: shop.get_file("../record.db")) == ["RW507"]
    (shop.attachments / name).write_bytes(b"altered")
    assert codes(lambda: shop.get_file(name)) == ["RW507"]
    assert shop.put_file(b"certificate C-1 (invented)") == name  # put again, it is mended
    assert shop.get_file(name)


@pytest.mark.parametrize("there", [b"", b"a below it", b"data", b"z above it"])
def test_a_file_is_written_only_where_it_is_not_there_yet(tmp_path: Path, there: bytes) -> None:
    """In a folder that need not be there either; one that was altered is mended."""
    folder = tmp_path / "shop" / "attachments"
    name = attachments.put(folder, b"data")
    (folder / name).write_bytes(there)
    before = (folder / name).stat().st_ino
    assert attachments.put(folder, b"data") == name
    assert attachments.get(folder, name) == b"data"
    assert ((folder / name).stat().st_ino == before) is (there == b"data")


def test_what_is_no_name_of_a_file_is_told_by_its_beginning(tmp_path: Path) -> None:
    with pytest.raises(Stopped) as caught:
        attachments.get(tmp_path, "x" * 200)
    assert caught.value.troubles[0].where.file == "x" * 80


def test_a_file_that_cannot_be_written_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setattr(durable.os, "fsync", full)
    assert codes(lambda: attachments.put(tmp_path, b"data")) == ["RW501"]
    assert list(tmp_path.iterdir()) == []


def test_what_may_only_be_read_is_refused_with_what_to_do(tmp_path: Path) -> None:
    make_record(tmp_path / "record.db").close()

    def read_only(file: str) -> sqlite3.Connection:
        return sqlite3.connect(f"file:{file}?mode=ro", uri=True)

    with record.open(tmp_path / "record.db", connect=read_only) as shop:
        before = shop.head()
        with pytest.raises(Stopped, match=r"readonly.*copy the folder and look at the copy"):
            shop.append(notes(1, 60)[0], before)
    with record.open(tmp_path / "record.db") as shop:
        assert shop.head() == before


def as_a_guest(folder: Path, look: Callable[[], str]) -> str:
    """What somebody sees who may read a folder and not write in it."""
    ours, theirs = multiprocessing.get_context("fork").Pipe(duplex=False)

    def child() -> None:
        if os.getuid() == 0:  # whom no mode of a folder hinders
            os.setgroups([])
            os.setgid(65534)
            os.setuid(65534)
        theirs.send(look())

    for path in (folder, *folder.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)
    guest = multiprocessing.get_context("fork").Process(target=child)
    guest.start()
    theirs.close()
    try:
        return str(ours.recv())
    finally:
        guest.join()
        for path in (folder, *folder.rglob("*")):
            path.chmod(0o755)


def test_a_folder_that_may_only_be_read_is_audited_as_it_is() -> None:
    with in_memory() as folder:
        make_record(folder / "record.db", lawful_history()).close()
        before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}

        def look() -> str:
            found = audit_folder(folder)
            with record.open(folder / "record.db") as shop:
                told = codes(lambda: shop.append(notes(1, 60)[0], found.head))
            return f"{found.troubles} {found.head.size} {told}"

        assert as_a_guest(folder, look) == "() 11 ['RW501']"
        assert {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()} == before


def test_a_log_beside_it_that_holds_more_is_not_passed_over() -> None:
    """A copy taken while a station was writing: without its log the file is an older record."""
    with in_memory() as folder:
        (folder / "copy").mkdir()
        with make_record(folder / "record.db"):
            for name in ("record.db", "record.db-wal"):
                shutil.copy(folder / name, folder / "copy" / name)

        def look() -> str:
            try:
                record.open(folder / "copy" / "record.db")
            except Stopped as stopped:
                return str(stopped)
            return "opened"

        assert "only to look, copy the folder and look at the copy" in as_a_guest(folder, look)
        with record.open(folder / "copy" / "record.db") as shop:
            assert shop.head().size == 16
