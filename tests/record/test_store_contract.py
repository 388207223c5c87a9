"""The store's promises one by one, on a small record in one file: what it answers, refuses, keeps and says."""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from dataclasses import FrozenInstanceError
from itertools import chain, islice, repeat
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from failing_disk import in_memory
from histories import act, append_all, make_record, notes
from rackwright import record
from rackwright.record import Event, Head, Record, layouts, sqlite, store
from rackwright.record.rows import Row
from rackwright.seal import Tree
from rackwright.trouble import Failure, Fault, Refusal, Stopped, Trouble

LARGE = 300  # beyond the numbers of which Python has one object each


@pytest.fixture
def folder() -> Iterator[Path]:
    with in_memory() as made:
        yield made


@pytest.fixture
def shop(folder: Path) -> Iterator[Record]:
    """Six acts of one event each."""
    with make_record(folder / "record.db", notes(6)) as made:
        yield made


def many(number: int, count: int) -> list[Event]:
    return [act(number, "supplier", {"supplier": f"S-{i}", "scope": []}) for i in range(count)]


def correction(number: int, of: int | None) -> list[Event]:
    return [act(number, "correction", {"reason": "r", "changes": [], "fields": {"scope": []}}, corrects=of)]


THREE = [*many(20, 1), *correction(20, 1), *correction(20, 2)]


def told(call: Callable[[], object]) -> Trouble:
    with pytest.raises(Stopped) as caught:
        call()
    (trouble,) = caught.value.troubles
    return trouble


def altered(path: Path, *statements: str) -> None:
    """The file as somebody leaves it who takes its triggers off."""
    file = sqlite3.connect(path)
    for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        file.execute(f"DROP TRIGGER {name}")
    for statement in statements:
        file.execute(statement)
    file.commit()
    file.close()


def seqs(events: Iterable[Any]) -> list[int]:
    return [event.seq for event in events]


# --- reading -------------------------------------------------------------------------------------


def test_what_was_read_once_is_not_read_again(shop: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    asked, plain = list[tuple[int, int | None]](), store.read_rows

    def noted(connection: sa.Connection, after: int, upto: int | None) -> list[Row]:
        asked.append((after, upto))
        return plain(connection, after, upto)

    monkeypatch.setattr(store, "read_rows", noted)
    assert seqs(shop.look(4)[1]) == [5, 6]  # from further on: not held
    assert seqs(shop.look()[1]) == [1, 2, 3, 4, 5, 6]
    append_all(shop, notes(2, 50))
    assert seqs(shop.look(3)[1]) == [4, 5, 6, 7, 8]
    append_all(shop, notes(1, 60))
    assert seqs(shop.look(8)[1]) == [9]
    assert seqs(shop.look(9)[1]) == seqs(shop.look(40)[1]) == []
    assert asked == [(4, 6), (0, 6), (6, 8), (8, 9), (9, 9), (40, 9)]


@pytest.mark.parametrize("after", [0, 2, 4])
@pytest.mark.parametrize(("gone", "there"), [("seq = 6", 5), ("seq > 4", 4), ("seq = 5", 5)])
def test_a_missing_event_is_told_by_its_number(shop: Record, after: int, gone: str, there: int) -> None:
    altered(shop.path, f"DELETE FROM event WHERE {gone}")
    trouble = told(lambda: shop.look(after))
    assert (trouble.code, trouble.found) == (
        "RW505", f"event {there + 1}: 6 events were recorded, {there} are there"
    )  # fmt: skip
    assert trouble.where.field == f"event {there + 1}"


def test_events_beyond_the_head_are_none(shop: Record) -> None:
    altered(shop.path, "DELETE FROM head WHERE size > 4")
    assert (shop.head().size, seqs(shop.events())) == (4, [1, 2, 3, 4])


def test_a_record_of_very_many_events_is_looked_at_and_repeated_like_a_small_one(shop: Record) -> None:
    first = shop.append(many(70, LARGE), shop.head())
    assert seqs(first.events) == [*range(7, 7 + LARGE)]
    assert len(shop.events()) == shop.head().size == 6 + LARGE
    again = shop.append(many(70, LARGE), Head())
    assert (again.events, again.head, again.repeated) == (first.events, first.head, True)
    assert not first.repeated
    with pytest.raises(FrozenInstanceError):
        first.repeated = True  # type: ignore[misc]


def test_only_what_is_named_is_read_and_its_corrections_with_it(shop: Record) -> None:
    def bar(number: int, heat: str) -> list[Event]:
        body = {"stock_id": f"T-{number}", "form": "bar", "stock_spec": "S", "heat": heat, "length_nm": 9}
        return [act(number, "receive", body)]

    append_all(shop, [bar(20, "H-1"), bar(21, "H-2"), correction(22, 7), correction(23, 9)])
    append_all(shop, [bar(24, "H-1"), correction(25, 8)])
    assert sorted(shop.naming([("heat", "H-1")], {})) == [7, 9, 10, 11]
    assert sorted(shop.naming([("heat", "H-2")], {})) == [8, 12]
    assert sorted(shop.naming([("heat", "H-1"), ("heat", "H-2")], {})) == [7, 8, 9, 10, 11, 12]
    assert shop.naming([("heat", "H-3"), ("lot", "H-1")], {}) == {}
    assert shop.naming([("event", "7")], {}).keys() == {7, 9, 10}  # what a correction corrects comes with it
    known = {7: shop.events()[0]}
    assert shop.naming([("heat", "H-1")], known)[7] is known[7]
    assert shop.naming([("heat", "H-1")], {7: known[7]}).keys() == {
        7,
        11,
    }  # what is known is not followed again
    other = {1: shop.events()[0]}  # known, and nobody asks for it
    assert shop.naming([("heat", "H-2")], other)[1] is other[1]
    append_all(shop, [correction(26, 9)])  # of a correction, which the correction of another names too
    assert sorted(shop.naming([("heat", "H-1"), ("event", "9")], {})) == [7, 9, 10, 11, 13]
    assert sorted(shop.names("heat")) == ["H-1", "H-2"]
    assert sorted(shop.names("stock")) == ["T-20", "T-21", "T-24"]


def test_events_of_a_type_are_given_in_order_and_no_more_than_asked(shop: Record) -> None:
    append_all(shop, [correction(20, 1), *notes(1, 30)])
    assert seqs(shop.of_types("correction")) == [7]
    assert seqs(shop.of_types("supplier", "correction", most=3)) == [1, 2, 3]
    assert seqs(shop.of_types("supplier")) == [1, 2, 3, 4, 5, 6, 8]
    assert shop.of_types("cut") == ()


def test_there_is_a_root_after_each_commit_and_none_within_one(shop: Record) -> None:
    append_all(shop, [many(20, 2)])
    heads = {head.size: head.root for head in shop.heads()}
    assert [*heads] == [1, 2, 3, 4, 5, 6, 8]
    assert [shop.root_at(size) for size in (1, 2, 6, 8)] == [heads[size] for size in (1, 2, 6, 8)]
    assert [shop.root_at(size) for size in (0, 7, 9)] == [None] * 3
    tree = Tree(event.leaf() for event in shop.events())
    assert shop.tree().root().hex() == tree.root().hex() == heads[8]


def test_rows_are_given_as_they_stand_from_wherever_and_however_many(shop: Record) -> None:
    append_all(shop, [many(20, 2_100)])
    altered(shop.path, "UPDATE event SET seq = -5 WHERE seq = 1", "UPDATE event SET seq = 0 WHERE seq = 2",
            "UPDATE event SET body = 'x' WHERE seq = 3")  # fmt: skip
    assert seqs(shop.rows()) == [-5, 0, *range(3, 2_107)]
    assert seqs(shop.rows(after=4)) == [*range(5, 2_107)]
    assert seqs(shop.rows(last=4)) == [-5, 0, 3, 4]
    assert seqs(shop.rows(after=3, last=5)) == [4, 5]
    assert seqs(shop.unchecked(0)) == []
    assert [*shop.envelopes(2, 5, 9)] == [None]
    assert [[each[0][0] for each in some or ()] for some in shop.envelopes(3, 6, 2)] == [[4, 5], [6]]


def test_unchecked_events_are_those_up_to_a_number(shop: Record) -> None:
    assert shop.unchecked(4) == list(shop.events()[:4])


def test_a_moment_says_how_far_events_and_index_go(folder: Path) -> None:
    with record.create(folder / "empty.db") as empty:
        assert empty.moment() == (0, 0, 0, [])
    with make_record(folder / "record.db", [*notes(1), many(20, 2)]) as shop:
        last, rows, indexed, commits = shop.moment()
        assert rows == last
        assert (last, indexed) == (3, 3)
        assert [(size, name, root) for size, name, root, _ in commits] == [
            (head.size, name, head.root) for head, name in zip(shop.heads(), ("act-0", "act-20"), strict=True)
        ]
        assert [len(peaks) for *_, peaks in commits] == [64, 128]
        assert all(type(text) is str for _, *texts in commits for text in texts)


# --- writing -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "seen", [Head(5, "0" * 64), Head(7, "0" * 64), Head(6, "0" * 64), Head(6, "f" * 64), Head()]
)
def test_who_saw_another_head_is_told_which_one_stands(shop: Record, seen: Head) -> None:
    trouble = told(lambda: shop.append(notes(1, 20)[0], seen))
    assert (trouble.code, trouble.found, trouble.do) == (
        "RW502", f"the record is at {shop.head()}, you saw {seen}", "look again"
    )  # fmt: skip
    assert shop.head().size == 6


def test_the_lock_is_taken_before_the_head_is_compared(shop: Record) -> None:
    """Else another could write between the two."""
    with record.open(shop.path, busy_ms=0) as other:
        with shop._engine.connect().execution_options(writes=True) as writing:
            shop._write(writing, notes(1, 50)[0], shop.head())
            assert other.head().size == 6  # who reads takes none
            trouble = told(lambda: other.append(notes(1, 51)[0], Head()))
            writing.rollback()
        assert (trouble.code, trouble.found) == ("RW502", "another station is writing just now")
        assert other.head().size == 6  # the record is not broken by it


@pytest.mark.parametrize("repeated", [THREE[:1], THREE[:2], [*THREE, THREE[0]], THREE[::-1]])
def test_an_act_repeated_in_part_or_with_more_is_another_act(shop: Record, repeated: list[Event]) -> None:
    append_all(shop, [THREE])
    trouble = told(lambda: shop.append(repeated, shop.head()))
    assert trouble.code == "RW506"
    assert trouble.found == "act act-20 is recorded as event 7 (supplier) and says something else"


@pytest.mark.parametrize(
    ("of", "code"), [(1, ""), (6, ""), (7, ""), (8, "RW503"), (9, "RW503"), (99, "RW503")]
)
def test_only_an_event_before_it_can_be_corrected(shop: Record, of: int, code: str) -> None:
    said = [*many(20, 1), *correction(20, of)]  # events 7 and 8: within one act too
    if code:
        trouble = told(lambda: shop.append(said, shop.head()))
        assert (trouble.code, trouble.found) == (
            code,
            f"event {of}, which is to be corrected, is not in the record",
        )
    else:
        shop.append(said, shop.head())
    assert shop.head().size == (6 if code else 8)


def test_each_bad_event_of_an_act_is_told_by_its_place(shop: Record) -> None:
    faulty = [act(20, "lift", {"hold": 1, "reason": "r"}) for _ in range(4)]
    faulty[2] = act(20, "lift", {"hold": "H", "reason": "r"})
    with pytest.raises(Stopped) as caught:
        shop.append(faulty, shop.head())
    assert [trouble.where.file for trouble in caught.value.troubles] == ["lift (1)", "lift (2)", "lift (4)"]


@pytest.mark.parametrize(("events", "words"), [
    ([], "at least one event"), ([*notes(1, 50)[0], *notes(1, 51)[0]], "share one act id"),
    ([*notes(1, 50)[0], *notes(1, 51)[0], *notes(1, 52)[0]], "share one act id"),
    ([notes(1, 50)[0][0].at_seq(7)], "have seq 0"), ([*many(50, 1), many(50, 2)[1].at_seq(8)], "have seq 0"),
])  # fmt: skip
def test_what_is_no_act_is_an_error_of_the_program(shop: Record, events: list[Event], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        shop.append(events, shop.head())


def test_it_is_said_once_that_an_act_was_recorded(shop: Record, caplog: pytest.LogCaptureFixture) -> None:
    said = [*many(20, 1), *correction(20, 1)]
    with caplog.at_level(logging.INFO, "rackwright.record.store"):
        shop.append(said, shop.head())
        assert len(caplog.records) == 1
        shop.append(said, shop.head())
        with pytest.raises(Stopped):
            record.open(shop.path).append(notes(1, 30)[0], Head())
    (line,) = caplog.records
    assert line.getMessage() == "appended"
    assert vars(line)["held"] == {"first": 7, "types": ["supplier", "correction"]}


# --- opening and making --------------------------------------------------------------------------


@pytest.mark.parametrize(("found", "words", "raised"), [
    (None, "holds no record", 0), (-1, "layout -1, and this program knows 1 to 2", 0),
    (0, "layout 0, and this program knows 1 to 2", 0), (1, "", 1), (2, "", 0),
    (3, "layout 3, and this program knows 1 to 2", 0), (LARGE, f"layout {LARGE}, and this program knows 1 to 2", 0),
])  # fmt: skip
def test_a_layout_that_is_known_is_opened_and_an_older_one_raised(
    shop: Record, found: int | None, words: str, raised: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    done, closed = list[str](), list[Record]()
    monkeypatch.setattr(sqlite.Sqlite, "layout", lambda *_: found)
    monkeypatch.setattr(Record, "_raise_layout", lambda _: done.append("raised"))
    with monkeypatch.context() as closing:
        closing.setattr(Record, "close", lambda one: closed.append(one))
        if words:
            trouble = told(lambda: record.open(shop.path))
            assert (trouble.code, words in trouble.found) == ("RW501", True)
        else:
            record.open(shop.path)._engine.dispose()
    assert (len(done), len(closed)) == (raised, bool(words))  # what is refused is let go of
    for one in closed:
        one.close()


@pytest.mark.parametrize(("found", "asked"), [(1, [(1, 2)]), (2, []), (3, [])])
def test_a_layout_is_raised_unless_another_did_so_meanwhile(
    shop: Record, found: int, asked: list[tuple[int, int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    steps = list[tuple[int, int]]()
    monkeypatch.setattr(sqlite.Sqlite, "layout", lambda *_: found)
    monkeypatch.setattr(layouts, "raise_layout", lambda _, old, new: steps.append((old, new)))
    shop._raise_layout()
    assert steps == asked


@pytest.mark.parametrize(("state", "words"), [
    ("42501", "layout 1 is to become 2, which a station may not do"), ("42500", "cannot be used"),
    ("42502", "cannot be used"), ("", "cannot be used"),
])  # fmt: skip
def test_a_station_that_may_not_raise_a_layout_is_told_who_may(
    shop: Record, state: str, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Denied(Exception):
        sqlstate = "".join([*state])

    def refused(*_: object) -> None:
        raise sa.exc.ProgrammingError("statement", {}, Denied())

    monkeypatch.setattr(sqlite.Sqlite, "layout", lambda *_: 1)
    monkeypatch.setattr(layouts, "raise_layout", refused)
    trouble = told(shop._raise_layout)
    assert (trouble.code, words in trouble.found) == ("RW501", True)


def test_the_lock_is_taken_before_a_layout_is_raised(shop: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = list[sa.Connection]()
    monkeypatch.setattr(sqlite.Sqlite, "layout", lambda _, connection: asked.append(connection) or 2)
    monkeypatch.setattr(
        sa.Connection, "commit", lambda one: asked.append(one.get_execution_options()["writes"])
    )
    shop._raise_layout()
    assert asked[1:] == [True]


def test_a_record_made_from_another_holds_its_acts_and_stands_only_whole(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with record.create(folder / "a.db", acts=[*notes(2), many(20, 2)]) as made:
        assert [head.size for head in made.heads()] == [1, 2, 4]
    monkeypatch.setattr(sqlite.Sqlite, "settle", lambda *_: False)
    trouble = told(lambda: record.create(folder / "b.db"))
    assert (trouble.code, trouble.found, trouble.do) == (
        "RW502", "another program reads the unfinished record", "try again"
    )  # fmt: skip
    assert not (folder / "b.db").exists()


# --- trouble -------------------------------------------------------------------------------------


def error(code: int, kind: type[sqlite3.Error] = sqlite3.OperationalError) -> sqlite3.Error:
    made = kind("some\n  words")
    made.sqlite_errorcode = code
    return made


@pytest.mark.parametrize(("raised", "code", "kind", "words", "broken"), [
    (error(5), "RW502", Refusal, "another station is writing just now", False),
    (error(6), "RW502", Refusal, "another station is writing just now", False),
    (error(5 | 2 << 8), "RW502", Refusal, "another station is writing just now", False),
    (error(19, sqlite3.IntegrityError), "RW505", Refusal, "the tables contradict each other: some words", False),
    (error(10), "RW501", Failure, "the disk failed: some words", True),
    (error(13), "RW501", Failure, "the disk failed: some words", True),
    (error(8), "RW501", Fault, "the record cannot be used: some words", True),
    (error(11), "RW501", Fault, "the record cannot be used: some words", True),
    (OSError("some words"), "RW501", Failure, "the disk failed: some words", True),
    (UnicodeDecodeError("utf-8", b"\xff", 0, 1, "some words"), "RW501", Fault, "the record cannot be used: ", True),
])  # fmt: skip
def test_what_the_driver_raises_is_told_and_only_what_may_pass_leaves_the_record_usable(
    shop: Record, raised: Exception, code: str, kind: type, words: str, broken: bool,
    caplog: pytest.LogCaptureFixture,
) -> None:  # fmt: skip
    def read() -> None:
        with shop._reading():
            raise raised

    with caplog.at_level(logging.WARNING, "rackwright.record.store"):
        trouble = told(read)
    assert (trouble.code, type(trouble), trouble.found.startswith(words)) == (code, kind, True)
    (line,) = caplog.records
    assert (line.getMessage(), vars(line)["held"]["error"]) == ("not read or written", type(raised).__name__)
    if broken:
        again = told(shop.head)
        assert (again.code, type(again)) == ("RW501", Failure)
        assert again.found.startswith("this record failed before: ")
    else:
        assert shop.head().size == 6


def test_the_driver_s_own_and_the_wrapped_error_are_told_alike(shop: Record) -> None:
    def read(raised: Exception) -> Callable[[], None]:
        def inner() -> None:
            with shop._telling(" so it is;"):
                raise raised

        return inner

    plain = error(19, sqlite3.IntegrityError)
    assert told(read(plain)) == told(read(sa.exc.IntegrityError("s", {}, plain)))
    failed = told(read(error(10)))
    assert failed.do == (
        "mend the disk, then open the record again: so it is; everything acknowledged before is safe"
    )


def test_a_failed_append_says_which_act_to_look_for(shop: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise error(10)

    monkeypatch.setattr(shop, "_write", fail)
    for _ in range(2):  # and so does each after it
        trouble = told(lambda: shop.append(notes(1, 50)[0], Head()))
        assert "whether act act-50 is there is seen then, and repeating it does nothing twice;" in trouble.do


def test_what_may_only_be_looked_at_says_so(shop: Record) -> None:
    def read(code: int) -> Callable[[], None]:
        def inner() -> None:
            with record.open(shop.path) as one, one._reading():
                raise error(code)

        return inner

    assert told(read(8)).do.startswith("allow writing to the file and its folder")
    assert told(read(11)).do == "mend the cause, then open it again"


def test_a_damaged_file_that_gives_the_same_rows_again_is_read_to_an_end(
    shop: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page of the file whose order is altered answers a question for what comes after the last row with all rows."""
    every = tuple(shop.rows())
    for second in every, every[:3]:
        pages = chain([every], repeat(second))
        monkeypatch.setattr(store, "read_rows", lambda *_, pages=pages, **__: next(pages))
        assert tuple(islice(shop.rows(), 5 * len(every))) == every + second


@pytest.mark.parametrize(
    "wrong", ["root = '" + "0" * 64 + "'", "root = '" + "f" * 64 + "'", "peaks = 'x'", "peaks = ''"]
)
def test_nothing_is_appended_to_a_head_whose_peaks_do_not_give_its_root(shop: Record, wrong: str) -> None:
    head = shop.head()
    altered(shop.path, f"UPDATE head SET {wrong} WHERE size = {head.size}")
    found = told(lambda: shop.append(many(20, 1), shop.head()))
    assert (found.code, found.where.field) == ("RW505", f"event {head.size}")
    assert found.found.endswith("the head stored with it does not fit")
