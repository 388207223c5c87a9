"""What an audit says, word for word: its limits, its order, and what somebody did past the program."""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from failing_disk import in_memory
from histories import act, make_record, notes, shop_history
from rackwright import record
from rackwright.record import Audit, Event, Head, Record, Refs, ranges, sqlite
from rackwright.record.history import History, walk
from rackwright.record.rows import Row, row_of
from rackwright.seal import DEMO_SEED, Tree, sign_head
from rackwright.trouble import Fault, Refusal, Stopped, Where

audits = sys.modules["rackwright.record.audit"]
TRIGGERS = [name for name in sqlite.STATEMENTS if "_" in name]


@pytest.fixture
def folder() -> Iterator[Path]:
    with in_memory() as path:
        yield path


@pytest.fixture
def shop(folder: Path) -> Iterator[Record]:
    with make_record(folder / "record.db", notes(4)) as made:
        yield made


def by_hand(path: Path, *statements: tuple[str, Sequence[Any]]) -> None:
    """What somebody does past the program, the triggers put back."""
    file = sqlite3.connect(path, isolation_level=None)
    for name in TRIGGERS:
        file.execute(f"DROP TRIGGER {name}")
    for statement, given in statements:
        file.execute(statement, given)
    for name in TRIGGERS:
        file.execute(sqlite.STATEMENTS[name])
    file.close()


def audited(path: Path, *statements: tuple[str, Sequence[Any]], **more: Any) -> Audit:
    by_hand(path, *statements)
    with record.open(path) as again:
        return record.audit(again, **more)


def fields(audit: Audit) -> list[str]:
    return [trouble.where.field for trouble in audit.whole]


# --- what was done past the program --------------------------------------------------------------


@pytest.mark.parametrize("held", [0, 4])
@pytest.mark.parametrize("seq", [-3, -1, 0])
def test_an_event_put_before_the_first_is_found_and_never_read(folder: Path, held: int, seq: int) -> None:
    """With a leaf that fits: it would say who founded the shop, and so which key signs for it."""
    with make_record(folder / "record.db", notes(held)) as shop:
        head = shop.head()
    row = row_of(act(99, "found", {"shop": "Another", "demo": False}).at_seq(seq))
    insert = f"INSERT INTO event ({', '.join(row)}) VALUES ({', '.join('?' * len(row))})"
    audit = audited(shop.path, (insert, [*row.values()]))
    assert not audit.ok
    assert f"event {seq} stands in place 1" in audit.whole[0].found or "at least 0" in audit.whole[0].found
    assert fields(audit)[0] == "event 1"
    with record.open(shop.path) as again:
        assert again.head() == head
        assert len(again.events()) == held
        with pytest.raises(Stopped, match=f"event {seq}"):
            again.of_types("found")


@pytest.mark.parametrize("size", [-3, 0])
def test_a_commit_of_no_events_is_found(shop: Record, size: int) -> None:
    shop.close()
    empty = Head().root
    for root in (empty, "zz"):
        audit = audited(shop.path, ("PRAGMA foreign_keys=OFF", ()), ("DELETE FROM head WHERE size < 1", ()),
                        ("INSERT INTO head VALUES (?, 'x', ?, '')", (size, root)))  # fmt: skip
        words = "the root stored with this commit is not that of the events"
        words = "the act of this commit is not that of its events" if root == empty else words
        assert f"event {size}: {words}" in [trouble.found for trouble in audit.whole]


def test_an_index_that_lost_or_changed_any_of_its_rows_is_found(folder: Path) -> None:
    with make_record(folder / "record.db", shop_history()) as shop:
        rows = (
            shop._engine.connect()
            .exec_driver_sql("SELECT kind, name, seq FROM mention WHERE kind <> 'upto'")
            .all()
        )
        whole = [tuple(row) for row in rows]
    assert len(whole) > 20
    for row in whole[:8]:
        audit = audited(shop.path, ("DELETE FROM mention WHERE kind = ? AND name = ? AND seq = ?", row))
        assert [(each.code, each.where, each.found, each.do) for each in audit.whole] == [
            ("RW505", Where(str(shop.path)),
             "the index of names is not that of the events, which it is derived from",
             "export the record and import it: the index is made anew then")]  # fmt: skip
        by_hand(shop.path, ("INSERT INTO mention VALUES (?, ?, ?)", row))
    with record.open(shop.path) as again:
        assert record.audit(again).ok
    audit = audited(shop.path, ("DELETE FROM mention WHERE kind <> 'upto'", ()),
                    ("UPDATE event SET by = 'nobody' WHERE seq = 4", ()))  # fmt: skip
    assert "index" not in " ".join(trouble.found for trouble in audit.whole)


def test_an_index_that_is_behind_is_sound_and_one_that_is_ahead_is_not(shop: Record) -> None:
    shop.close()
    behind = ("DELETE FROM mention WHERE seq > 3", ())
    assert audited(shop.path, behind).ok
    ahead = ("INSERT INTO mention VALUES ('upto', '', 5)", ())
    assert ["index" in trouble.found for trouble in audited(shop.path, ahead).whole] == [True]


@pytest.mark.parametrize(("size", "at_once"), [(1, 1), (4, 2), (16, 4), (1 << 14, 128)])
def test_a_sound_history_is_whole_however_it_is_cut(
    folder: Path, size: int, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ranges, "SIZE", size)
    monkeypatch.setattr(audits, "AT_ONCE", at_once)
    with make_record(folder / "record.db", [*shop_history(), *notes(9, 50)]) as shop:
        assert record.audit(shop).ok
    with record.create(folder / "empty.db") as empty:
        audit = record.audit(empty)
    assert (audit.ok, audit.head) == (True, Head())
    assert audit.checked == ("0 events: envelope, leaf hash, order, act ids", "0 commits: root and peaks recomputed",
                             "0 files named by their hash", "0 heads in the record and 0 from outside",
                             "the clock: never a step back")  # fmt: skip


@pytest.mark.parametrize("at_once", [1, 2, 4, 8])
@pytest.mark.parametrize("seq", range(1, 10))
def test_an_altered_or_moved_row_is_found_however_it_is_cut(
    folder: Path, seq: int, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ranges, "SIZE", 8)
    monkeypatch.setattr(audits, "AT_ONCE", at_once)
    for name, change in (
        ("altered", ("UPDATE event SET station = 'x' WHERE seq = ?", (seq,))),
        ("moved", ("UPDATE event SET seq = seq + 50 WHERE seq >= ?", (seq,))),
    ):
        make_record(folder / name, notes(9)).close()
        assert fields(audited(folder / name, change))[:1] == [f"event {seq}"]


@pytest.mark.parametrize("method", ["moment", "inside", "index_weight", "envelopes"])
@pytest.mark.parametrize("each", [None, lambda part, count: [part(number) for number in range(count)]])
def test_a_file_that_cannot_be_read_to_its_end_is_told_and_nothing_is_raised(
    shop: Record, method: str, each: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise Stopped([trouble])

    trouble = Fault("RW501", Where("record.db"), "the disk failed", "mend it")
    monkeypatch.setattr(audits, "LEAST", 0)
    monkeypatch.setattr(Record, method, fails)
    audit = record.audit(shop, each=each)
    assert audit == Audit(Head(), (trouble,), (), (), ("the file could not be read to its end",))
    assert audit.troubles == (trouble,)
    assert not audit.ok


# --- who is asked, and when ----------------------------------------------------------------------


@pytest.mark.parametrize(("least", "shared"), [(3, True), (4, True), (5, False)])
def test_only_a_long_history_is_shared_out(
    shop: Record, least: int, shared: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    def each(part: Callable[[int], Any], count: int) -> list[Any]:
        counts.append(count)
        return [part(number) for number in range(count)]

    counts = list[int]()
    assert audits.LEAST == 32_768
    monkeypatch.setattr(audits, "LEAST", least)
    monkeypatch.setattr(ranges, "SIZE", 2)
    assert record.audit(shop, each=each).ok
    assert counts == ([5] if shared else [])


@pytest.mark.parametrize("parts", [False, True])
def test_the_judge_is_asked_once_of_what_is_whole_and_its_events_are_read_once(
    shop: Record, parts: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In parts it is asked as one of them: beside the others, in a process that reads the events for itself."""

    def each(part: Callable[[int], Any], count: int) -> list[Any]:
        answers = [part(number) for number in range(count)]
        asked.append("all parts")
        return answers

    def judge(events: Sequence[Event], steps: Any) -> list[Refusal | str]:
        asked.append(f"of {len(events)}")
        return ["looked", Refusal("RW517", Where("x"), "no", "do"), "and looked"]

    def unchecked(self: Record, last: int) -> list[Event]:
        asked.append("read again")
        return plain(self, last)

    asked, plain = list[str](), Record.unchecked
    monkeypatch.setattr(Record, "unchecked", unchecked)
    monkeypatch.setattr(audits, "LEAST", 0)
    audit = record.audit(shop, judge=judge, each=each if parts else None)
    assert asked == (["read again", "of 4", "all parts"] if parts else ["of 4"])
    assert [trouble.found for trouble in audit.balanced] == ["no"]
    assert audit.checked[-2:] == ("looked", "and looked")
    assert (audit.whole, audit.troubles, audit.ok) == ((), audit.balanced, False)
    asked.clear()
    shop.close()
    altered = audited(shop.path, ("UPDATE event SET by = 'nobody' WHERE seq = 2", ()), judge=judge)
    assert (asked, altered.balanced) == ([], ())


def test_a_judge_that_stumbles_in_its_part_is_asked_again(
    shop: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    def judge(events: Sequence[Event], steps: Any) -> list[str]:
        asked.append(len(events))
        if len(asked) == 1:
            raise LookupError
        return ["at last"]

    asked = list[int]()
    monkeypatch.setattr(audits, "LEAST", 0)
    audit = record.audit(shop, judge=judge, each=lambda part, count: [*map(part, range(count))])
    assert (asked, audit.ok, audit.checked[-1]) == ([4, 4], True, "at last")


@pytest.mark.parametrize(
    ("each", "judge", "keeps"), [(0, 0, False), (0, 1, True), (1, 0, False), (1, 1, False)]
)
def test_events_are_held_only_for_a_judge_that_is_asked_after_they_were_read(
    shop: Record, each: int, judge: int, keeps: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    def sound(envelopes: Any, after: int, upto: int, keep: bool) -> Any:
        held.append(keep)
        return ranges.sound(envelopes, after, upto, keep)

    held = list[bool]()
    monkeypatch.setattr(audits, "LEAST", 0)
    monkeypatch.setattr(audits, "sound", sound)
    record.audit(shop, judge=(lambda events, steps: []) if judge else None,
                 each=(lambda part, count: [*map(part, range(count))]) if each else None)  # fmt: skip
    assert held == [keeps]


# --- words ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("back", [0, 1, 8, 9, 10, 11, 20])
def test_of_the_steps_back_of_the_clock_nine_are_told_and_the_rest_counted(folder: Path, back: int) -> None:
    def late(number: int) -> Event:
        at = f"2031-05-04T00:00:{59 - number:02}Z"
        return record.new_event(
            "supplier", {"supplier": "S", "scope": []}, act_id=f"{number}", at=at, by="Ada"
        )

    with make_record(folder / "record.db", [[late(number)] for number in range(back + 1)]) as shop:
        told = record.audit(shop).checked[-1]
    steps = [
        f"event {seq} (no station) is 0:00:01 before event {seq - 1} (no station)"
        for seq in range(2, back + 2)
    ]
    more = f"; {back - 9} more" if back > 9 else ""
    assert told == f"the clock: {'; '.join(steps[:9]) or 'never a step back'}{more}"


def test_heads_from_outside_are_counted_where_they_can_be(shop: Record) -> None:
    seen = [(shop.head(), "a label")]
    assert record.audit(shop, seen).checked[3] == "0 heads in the record and 1 from outside"
    assert record.audit(shop, iter(seen)).checked[3] == "0 heads in the record, and those given from outside"


@pytest.mark.parametrize("size", [1, 2, 1 << 14])
def test_missing_files_are_told_in_the_order_of_their_events_then_names(
    folder: Path, size: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    a, b, c, d = (letter * 64 for letter in "abcd")
    named = [[b, c], [d], [c], [b], [a]]
    acts = [[act(n, "lift", {"hold": "h", "reason": "r"}, refs=Refs.of(files=files))]
            for n, files in enumerate(named)]  # fmt: skip
    monkeypatch.setattr(ranges, "SIZE", size)
    with make_record(folder / "record.db", acts) as shop:
        audit = record.audit(shop)
        assert audit.checked[2] == "4 files named by their hash"
        assert [(each.code, each.where.file, each.found) for each in audit.whole] == [
            ("RW507", str(shop.attachments / name), f"event {seq}: the file is missing")
            for seq, name in ((1, b), (1, c), (2, d), (5, a))
        ]


def test_every_paper_is_looked_at_whatever_stands_before_it(folder: Path) -> None:
    """A handover that is none, a dossier, a head that is none, one of another key, one that does not hold."""
    first = [event.at_seq(seq) for seq, (event,) in enumerate(notes(2), 1)]
    head = Head(2, Tree(event.leaf() for event in first).root().hex())
    signed = sign_head(head, "2031-05-06T08:00:00Z", DEMO_SEED)
    dossier = {"serial": "SN-1", "size": 2, "root": head.root}
    said: list[tuple[str, dict[str, Any]]] = [
        ("key", {"handover": {}}), ("dossier", dossier), ("head", {"head": {}}),
        ("head", {"head": signed.to_json(), "paper": "label run 1"}), ("key_revoked", {"revocation": 7}),
        ("head", {"head": signed.to_json() | {"at": "2031-05-06T08:00:01Z"}}),
        ("dossier", {**dossier, "serial": "SN-2", "root": "1" * 64}),
        ("head", {"head": sign_head(Head(2, "2" * 64), "2031-05-06T08:00:00Z", DEMO_SEED).to_json()}),
    ]  # fmt: skip
    acts = [*notes(2), *([act(500 + n, type, body)] for n, (type, body) in enumerate(said))]
    with record.create(folder / "record.db", acts=acts) as shop:
        audit = record.audit(shop, trusted_key="00" * 32)
    assert audit.checked[3] == "5 heads in the record and 0 from outside"
    assert [(each.where.field, each.where.line, each.do) for each in audit.believed] == [
        ("event 3", 0, "ask who recorded it"), ("event 5", 0, "restore from backup"),
        ("event 6", 0, "ask who signed it"), ("event 7", 0, "ask who recorded it"),
        ("event 8", 0, "ask who signed it"), ("event 10", 0, "ask who signed it"),
        ("", 0, audit.believed[-1].do), ("", 0, audit.believed[-1].do),
    ]  # fmt: skip
    found = [each.found for each in audit.believed]
    assert found[1].startswith("event 5: its signed head cannot be read: ")
    assert found[4] == "the signature of this head does not hold"
    assert ["the head on dossier SN-2, event 9" in words for words in found[-2:]] == [True, False]
    assert "the head on a signed head, event 10" in found[-1]


# --- commits -------------------------------------------------------------------------------------


def history(count: int) -> History:
    """Of acts of one event each, but the second and third, which are one act."""
    acts = [act({2: 1}.get(n, n), "lift", {"hold": f"{n}"}).at_seq(n + 1) for n in range(count)]
    return walk([Row(event.seq, event, event.leaf().hex(), event.canonical()) for event in acts], "f")


def commits(of: History) -> list[tuple[int, str, str, str]]:
    rows = []
    for act_id, size in of.acts:
        peaks = of.tree.peaks(size)
        rows.append((size, act_id, peaks.root.hex(), "".join(peak.hex() for peak in peaks.peaks)))
    return rows


def heads(of: History, rows: Sequence[tuple[int, str, str, str]]) -> list[tuple[str, str]]:
    return [(each.where.field, each.found.partition(": ")[2]) for each in audits._heads(of, rows, "f")]


ROOT, ACT = (
    "the root stored with this commit is not that of the events",
    "the act of this commit is not that of its events",
)
MISSING, NONE = "the commit of its act is missing", "no commit belongs to it: it was not recorded by an act"


@pytest.mark.parametrize("count", [0, 1, 4, 6])
def test_commits_as_they_were_written_are_found_sound(count: int) -> None:
    assert heads(history(count), commits(history(count))) == []


@pytest.mark.parametrize("place", [0, 1, 2, 4])
@pytest.mark.parametrize(("column", "words"), [(1, ACT), (2, ROOT), (3, ROOT)])
@pytest.mark.parametrize("text", ["", "0", "\uffff"])
def test_a_commit_altered_in_any_column_is_found_alone(
    place: int, column: int, words: str, text: str
) -> None:
    of = history(6)
    rows = [list(row) for row in commits(of)]
    rows[place][column] = text
    assert heads(of, [tuple(row) for row in rows]) == [(f"event {rows[place][0]}", words)]  # type: ignore[misc]


def test_commits_that_are_missing_or_too_many_are_told_by_the_first_event_they_concern() -> None:
    of = history(6)
    one, two, three, four, five = commits(of)
    assert [size for size, *_ in commits(of)] == [1, 3, 4, 5, 6]
    for rows, wanted in (
        ([], [("event 1", NONE)]),
        ([one, two, three, four], [("event 6", NONE)]),
        ([two, three, four, five], [("event 1", MISSING)]),
        ([one, three, four, five], [("event 3", MISSING)]),
        ([one, four, five], [("event 3", MISSING)]),
        ([one, (two[0], "x", *two[2:]), four, five], [("event 3", ACT)]),
        ([one, two, three, four, five, (7, *five[1:])], [("event 7", "7 events were recorded, 6 are there")]),
        ([one, two, three, four, (400, *five[1:])], [("event 7", "400 events were recorded, 6 are there")]),
    ):
        assert heads(of, rows) == wanted, rows
    assert heads(history(1), []) == [("event 1", NONE)]
    assert heads(history(1), [one, two]) == [("event 2", "3 events were recorded, 1 are there")]
    assert heads(history(0), [one]) == [("event 1", "1 events were recorded, 0 are there")]


def test_a_missing_commit_is_not_told_of_events_that_are_themselves_not_whole() -> None:
    of = history(6)
    broken = History(of.events, of.tree, (Refusal("RW505", Where("f"), "altered", "-"),), of.acts)
    assert heads(broken, commits(of)[1:]) == []
    assert heads(of, commits(of)[1:]) == [("event 1", MISSING)]
