"""An audit in parts says what an audit in order says, whoever asks the parts and however they are cut."""

from __future__ import annotations

import json
import sqlite3
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from failing_disk import in_memory
from histories import act, make_record, notes, shop_history
from private_postgres import Place
from rackwright import record
from rackwright.record import Audit, Event, new_event, ranges, rows, schema, sqlite
from rackwright.record.clock import steps_back
from rackwright.record.envelope import Known, Refs, refs_of, time_of, unchecked
from rackwright.record.history import walk
from rackwright.record.rows import read_text
from rackwright.seal import Malformed, Tree, leaf_hash, read_canonical
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.run import shared

audits = sys.modules["rackwright.record.audit"]
KINDS = sorted(name for name in sqlite.STATEMENTS if "_" in name)

#: what somebody does past the program, to a history of sixteen events in ranges of four
DONE = {
    "nothing": "SELECT 1",
    "an event of the second range altered": "UPDATE event SET by = 'nobody' WHERE seq = 6",
    "its leaf too": "UPDATE event SET leaf = 'no' WHERE seq = 6",
    "one that is no JSON": "UPDATE event SET body = '{' WHERE seq = 11",
    "the last of a range gone": "DELETE FROM event WHERE seq = 4",
    "the first of a range gone": "DELETE FROM event WHERE seq = 5",
    "a whole range gone": "DELETE FROM event WHERE seq BETWEEN 5 AND 8",
    "the tail gone": "DELETE FROM event WHERE seq > 12",
    "all gone": "DELETE FROM event",
    "one before the first": "UPDATE event SET seq = -3 WHERE seq = 1",
    "one added": "INSERT INTO event SELECT 17, type, v, act_id, at, by, station, refs, known, corrects, body, leaf "
    "FROM event WHERE seq = 16",
    "an act id again in another range": "UPDATE event SET act_id = (SELECT act_id FROM event WHERE seq = 1) "
    "WHERE seq = 14",
    "a commit gone": "DELETE FROM head WHERE size = 7",
    "the index altered": "UPDATE mention SET seq = 4 WHERE kind = 'heat' AND seq = 9",
    "the end of the index": "INSERT INTO mention VALUES ('upto', '', 99)",
}  # fmt: skip


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    with make_record(tmp_path_factory.mktemp("ranges") / "record.db") as shop:
        shop.close()
    return shop.path.read_bytes()


@pytest.fixture
def cut(monkeypatch: pytest.MonkeyPatch) -> Callable[[int], None]:
    """Ranges of so many events, shared out however few there are."""

    def into(size: int) -> None:
        monkeypatch.setattr(ranges, "SIZE", size)
        monkeypatch.setattr(audits, "LEAST", 0)

    return into


def done(whole: bytes, folder: Path, statement: str) -> Path:
    path = folder / "record.db"
    path.write_bytes(whole)
    file = sqlite3.connect(path, isolation_level=None)
    for name in KINDS:
        file.execute(f"DROP TRIGGER {name}")
    file.execute(statement)
    for name in KINDS:
        file.execute(sqlite.STATEMENTS[name])
    file.close()
    return path


def said(path: Path, each: Any = None) -> Audit:
    with record.open(path) as shop:
        return record.audit(shop, judge=in_hindsight, each=each)


@pytest.mark.parametrize("what", DONE)
def test_what_is_found_does_not_depend_on_the_parts(
    whole: bytes, what: str, cut: Callable[[int], None]
) -> None:
    with in_memory() as folder:
        path = done(whole, folder, DONE[what])
        plain = said(path)
        for size in (1, 4, 16):
            cut(size)
            assert said(path) == plain
        cut(4)
        assert said(path, shared) == plain
    assert (plain.whole == ()) == (what == "nothing")


def test_an_act_may_lie_across_ranges_and_is_one(
    tmp_path: Path, place: Place, cut: Callable[[int], None]
) -> None:
    many = [act(90, "supplier", {"supplier": f"S-{n}", "scope": []}) for n in range(9)]
    with make_record(place(tmp_path), [*shop_history(), many, *notes(3, 100)]) as shop:
        plain = record.audit(shop)
        cut(4)
        for each in (None, shared):
            assert record.audit(shop, each=each) == plain
        assert plain.ok
        assert shop.append(notes(1, 200)[0], plain.head).head.size == plain.head.size + 1


def test_a_judge_that_falls_over_what_is_whole_is_heard(tmp_path: Path, cut: Callable[[int], None]) -> None:
    def judge(events: Any, steps: Any) -> Any:
        raise LookupError("what the judge did not foresee")

    with make_record(tmp_path / "record.db") as shop:
        cut(4)
        for each in (None, shared):
            with pytest.raises(LookupError, match="did not foresee"):
                record.audit(shop, judge=judge, each=each)


def test_what_is_recorded_meanwhile_is_no_finding(
    tmp_path: Path, place: Place, cut: Callable[[int], None]
) -> None:
    """Another station appends before each part: the audit looks at what was there when it began."""
    with make_record(place(tmp_path)) as shop, record.open(shop.path) as other:

        def each(part: Callable[[int], Any], count: int) -> list[Any]:
            answers = []
            for number in range(count):
                other.append(notes(1, 300 + number)[0], other.head())
                answers.append(part(number))
            return answers

        cut(4)
        alone = record.audit(shop, judge=in_hindsight)
        found = record.audit(shop, judge=in_hindsight, each=each)
        assert (found.whole, found.balanced, found.believed) == ((), alone.balanced, ())
        assert found.head.size == 16
        assert shop.head().size == 16 + 7


@given(st.integers(0, 70), st.integers(0, 4))
def test_trees_of_ranges_are_the_tree_of_all(count: int, height: int) -> None:
    leaves, size = [leaf_hash(b"%d" % n) for n in range(count)], 1 << height
    together = Tree.joined([Tree(leaves[start : start + size]) for start in range(0, count, size)])
    assert vars(together) == vars(Tree(leaves))


TIMES = st.builds(
    lambda second, fraction: f"2031-05-04T13:00:{second}{fraction}Z",
    st.sampled_from(["07", "08", "58", "59"]), st.sampled_from(["", ".0", ".05", ".5", ".50", ".500001"]),
)  # fmt: skip


@given(st.lists(TIMES, max_size=9))
def test_a_step_back_is_seen_by_the_text_first(times: list[str]) -> None:
    events = [new_event("clock", {"reason": "x"}, act_id="a", at=at, by="Ada").at_seq(1) for at in times]
    back = [n for n in range(1, len(times)) if time_of(times[n]) < time_of(times[n - 1])]
    assert len(steps_back(events)) == len(back)


EVENTS = st.lists(
    st.tuples(st.sampled_from([1, 1, 1, 1, 2, 0]), st.sampled_from(["a", "b", "c"]), TIMES,
              st.sampled_from([None, None, 1, 3, 9]), st.sampled_from(["clock", "dossier"]), st.booleans()),
    min_size=1, max_size=7,
)  # fmt: skip


@given(EVENTS, st.integers(0, 5))
def test_a_range_is_sound_where_the_walk_finds_nothing(
    given: list[tuple[int, str, str, int | None, str, bool]], after: int
) -> None:
    """Of rows that nobody altered, in any order, with any acts, corrections, times, papers and files."""
    columns, lines, seq = [], [], after
    for step, act_id, at, corrects, kind, names_file in given:
        seq += step
        refs = Refs.of(files=[f"{len(lines):064x}"] if names_file else [])
        event = unchecked(seq, kind, 1, act_id, at, "Ada", "", refs, Known(), corrects, {"serial": "SN-1"})
        columns.append(tuple(rows.row_of(event)[name] for name in schema.event.c.keys()))  # noqa: SIM118
        lines.append(rows.Row(seq, event, event.leaf().hex(), event.canonical()))
    walked = walk(lines, "record.db", after)
    found = ranges.sound([rows._envelope(row) for row in columns], after, after + len(lines), keep=True)
    assert (found is None) == bool(walked.findings)
    if found:
        assert vars(found[0].tree) == vars(walked.tree)
        assert (found[0].events, found[0].acts) == (walked.events, walked.acts)
        assert found[1] == ranges.facts_of(walked.events)


NAMES = st.text(alphabet='ab\\"\x00\x1f\x7f\u2028\u00e9\ufffe\U0001f600', max_size=3)
VALUES = st.recursive(
    st.one_of(NAMES, st.integers(-(2**54), 2**54), st.floats(allow_nan=True), st.booleans(), st.none()),
    lambda held: st.one_of(st.lists(held, max_size=3), st.dictionaries(NAMES, held, max_size=3)),
    max_leaves=6,
)
#: any JSON, much of it not canonical: fractions, numbers too large, keys that UTF-8 and UTF-16 sort unlike
TEXTS = st.builds(
    lambda value, options: json.dumps(value, **options),
    st.dictionaries(NAMES, VALUES, max_size=4),
    st.fixed_dictionaries(
        {
            "ensure_ascii": st.booleans(),
            "sort_keys": st.booleans(),
            "separators": st.sampled_from([(",", ":"), (", ", ":")]),
        }
    ),
)


@given(st.one_of(TEXTS, st.text(max_size=8)))
def test_the_quick_reader_takes_what_the_careful_one_takes_and_nothing_else(text: str) -> None:
    def answer(read: Callable[[], Any]) -> Any:
        try:
            return repr(read())
        except (Malformed, UnicodeEncodeError) as error:
            return type(error)

    assert answer(lambda: read_text(text)) == answer(lambda: read_canonical(text.encode()))


LISTS = st.lists(st.one_of(NAMES, st.sampled_from(["a", "b", 1, 1.5, None, [], {}])), max_size=3)


@given(st.fixed_dictionaries(dict.fromkeys(("files", "gauges", "heats", "lots", "pieces", "serials"), LISTS)),
       st.booleans(), st.sampled_from([(",", ":"), (", ", ":")]))  # fmt: skip
def test_refs_are_read_quickly_and_carefully_alike(
    value: dict[str, Any], ascii: bool, gaps: tuple[str, str]
) -> None:
    text = json.dumps(value, sort_keys=True, ensure_ascii=ascii, separators=gaps)

    def answer(read: Callable[[], Any]) -> Any:
        try:
            return read()
        except Malformed as error:
            return str(error)

    assert answer(lambda: rows._refs_in(text)) == answer(lambda: refs_of(read_canonical(text.encode())))


def test_what_is_read_unchecked_is_what_is_read_checked(tmp_path: Path) -> None:
    with make_record(tmp_path / "record.db") as shop:
        events: list[Event] = shop.unchecked(16)
        assert tuple(events) == shop.events()
