"""Rows written by hand: which of them are read, what each is read as, and what of it is believed."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from histories import act, notes
from rackwright.record import Event, Known, Refs, rows, schema
from rackwright.record.envelope import refs_of
from rackwright.record.rows import Row
from rackwright.seal import Head, Malformed, Peaks, canonical, leaf_hash, read_canonical
from rackwright.seal.canonical import MAX_DEPTH, MAX_INT
from rackwright.trouble import Refusal, Stopped, Where
from states import heard

FILE = Path("record.db")
COLUMNS = tuple(column.name for column in schema.event.c)


@pytest.fixture
def tables() -> Iterator[sa.Connection]:
    """The tables of a record, without the triggers that refuse what is written here."""
    with sa.create_engine("sqlite://").connect() as connection:
        schema.event.metadata.create_all(connection)
        yield connection


def note(seq: int) -> Event:
    return notes(1, seq)[0][0].at_seq(seq)


def write(tables: sa.Connection, seqs: Iterable[int]) -> None:
    tables.execute(sa.insert(schema.event), [rows.row_of(note(seq)) for seq in seqs])


def commit(tables: sa.Connection, *commits: tuple[int, str]) -> None:
    values = [{"size": size, "act_id": act_id, "root": f"r{size}", "peaks": ""} for size, act_id in commits]
    tables.execute(sa.insert(schema.head), values)


def seqs_of(found: Iterable[Row]) -> list[int]:
    return [row.seq for row in found]


def columns(event: Event | None = None, **other: Any) -> tuple[Any, ...]:
    """A row as the driver gives it, changed as said."""
    row = {**rows.row_of(event or note(3)), **other}
    return tuple(row[name] for name in COLUMNS)


# --- which rows ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("after", "upto", "limit", "found"),
    [
        (0, None, None, [1, 2, 3, 4, 5]),
        (2, None, None, [3, 4, 5]),
        (0, 3, None, [1, 2, 3]),
        (1, 4, None, [2, 3, 4]),
        (0, None, 2, [1, 2]),
        (2, 5, 1, [3]),
        (5, None, None, []),
        (rows.LEAST, 1, None, [-4, 0, 1]),
    ],
)
def test_rows_between_two_places_come_in_order(
    tables: sa.Connection, after: int, upto: int | None, limit: int | None, found: list[int]
) -> None:
    write(tables, [4, 1, 5, 3, 2, 0, -4])
    assert seqs_of(rows.read_rows(tables, after, upto, limit)) == found
    if upto is not None and limit is None:
        assert [event.seq for event in rows.read_unchecked(tables, after, upto)] == found


def test_no_row_has_a_number_below_the_least(tables: sa.Connection) -> None:
    assert rows.LEAST == -9_223_372_036_854_775_808, "a signed number of 64 bits"


def test_envelopes_are_those_of_the_rows_unless_one_cannot_be_read(tables: sa.Connection) -> None:
    write(tables, [2, 1, 3])
    [*read] = rows.read_envelopes(tables, 0, 3, 2)
    assert [[rows.event_in(each) for each in some or ()] for some in read] == [[note(1), note(2)], [note(3)]]
    assert [*rows.read_envelopes(tables, 3, 9, 2)] == []
    tables.execute(sa.update(schema.event).where(schema.event.c.seq == 3).values(body="{"))
    assert [some and len(some) for some in rows.read_envelopes(tables, 0, 3, 1)] == [1, 1, None]
    assert [some and len(some) for some in rows.read_envelopes(tables, 0, 2, 2)] == [2]


def test_rows_of_many_numbers_come_in_order_and_each_once(tables: sa.Connection) -> None:
    write(tables, [5, 1, 3])
    write(tables, range(499, 1503))
    assert seqs_of(rows.rows_at(tables, [1502, 3, 1, 4])) == [1, 3, 1502]
    assert seqs_of(rows.rows_at(tables, range(1502, 0, -1))) == [1, 3, 5, *range(499, 1503)]
    assert rows.rows_at(tables, []) == []


def test_the_rows_of_an_act_are_those_since_the_commit_before(tables: sa.Connection) -> None:
    write(tables, range(7))
    commit(tables, (2, "a"), (3, "b"), (6, "c"))
    found = {act_id: seqs_of(rows.rows_of_act(tables, heard(act_id))) for act_id in ("a", "b", "c", "d")}
    assert found == {"a": [1, 2], "b": [3], "c": [4, 5, 6], "d": []}


def test_rows_of_types_come_in_order_as_many_as_are_wanted(tables: sa.Connection) -> None:
    write(tables, [2])
    later = act(9, "clock", {"reason": "x"})
    tables.execute(sa.insert(schema.event), [rows.row_of(later.at_seq(seq)) for seq in (4, 3, 1)])
    assert seqs_of(rows.rows_of(tables, ["clock"])) == [1, 3, 4]
    assert seqs_of(rows.rows_of(tables, ["clock"], 2)) == [1, 3]
    assert seqs_of(rows.rows_of(tables, iter(["clock", "supplier"]))) == [1, 2, 3, 4]
    assert rows.rows_of(tables, ["found"]) == []


# --- what a row is read as -------------------------------------------------------------------------

FULL = Event(7, "clock", 2, 'a"1', "2031-05-04T13:00:00.5Z", "Zoë Quill", "saw\n", Refs.of(heats=["H-1"]),
             Known("0.1", "", ("saw",), {"CAL-3": "2031-12-31"}, "pin"), 3,
             {"reason": "x", "a": [{"b": -1}, None]})  # fmt: skip


@pytest.mark.parametrize("event", [FULL, note(1), note(MAX_INT)], ids=["full", "1", "largest"])
def test_a_row_is_read_as_the_event_that_was_written_and_its_canonical_bytes(event: Event) -> None:
    row = rows._unrow(columns(event))
    assert row == Row(event.seq, event, event.leaf().hex(), event.canonical())
    assert (row.line, rows.believed(row, FILE)) == (0, event)


HALF = "\ud800"


@pytest.mark.parametrize(
    ("other", "place", "found"),
    [
        ({"seq": MAX_INT + 1}, "/seq", "at least 0"),
        ({"type": ""}, "/type", "not empty"),
        ({"v": 0}, "/v", "at least 1"),
        ({"v": True}, "/v", "at least 1"),
        ({"act_id": ""}, "/act_id", "not empty"),
        ({"at": "2031-05-04"}, "/at", "not a UTC time"),
        ({"by": ""}, "/by", "not empty"),
        ({"station": None}, "/station", "a text"),
        ({"corrects": 0}, "/corrects", "the number of an event"),
        ({"corrects": "2"}, "/corrects", "the number of an event"),
        ({"body": "[]"}, "/body", "an object"),
        ({"body": '"a"'}, "/body", "an object"),
        ({"body": "{"}, "", "not JSON"),
        ({"body": None}, "", "not JSON"),
        ({"refs": "{}"}, "/refs", "exactly the fields"),
        ({"refs": "[]"}, "/refs", "exactly the fields"),
        ({"refs": "{ }"}, "", "not in canonical form"),
        ({"known": "{}"}, "/known", "exactly the fields"),
        ({"known": "7"}, "/known", "exactly the fields"),
        ({"by": HALF}, "", "not text that can be written in UTF-8"),
        ({"body": f'{{"reason":"{HALF}"}}'}, "", "not text that can be written in UTF-8"),
    ],
)
def test_a_row_that_is_no_event_says_why_and_is_not_believed(
    other: dict[str, Any], place: str, found: str
) -> None:
    rows._unrow(columns())  # what is alike and sound was read before
    row = rows._unrow(columns(**other))
    assert isinstance(row.event, Malformed)
    assert row.event.place == place
    assert found in row.event.found
    assert row[2:] == (note(3).leaf().hex(), b"", 0)
    with pytest.raises(Stopped) as stopped:
        rows.believed(row, FILE)
    (said,) = stopped.value.troubles
    assert said.found == f"event {row.seq}: {f'{place} {row.event.found}'.strip()}"


@pytest.mark.parametrize("seq", [0, -1])
def test_a_row_before_the_first_is_not_believed(seq: int) -> None:
    row = rows._unrow(columns(seq=seq))
    assert isinstance(row.event, Event if seq == 0 else Malformed)
    with pytest.raises(Stopped) as stopped:
        rows.believed(row, FILE)
    assert (
        stopped.value.troubles[0].found
        == f"event {seq}: it stands before the first, where nothing is recorded"
    )


def test_a_row_whose_leaf_is_another_is_not_believed() -> None:
    for leaf in ("", "0" * 64, note(4).leaf().hex()):
        row = rows._unrow(columns(leaf=leaf))
        assert row.leaf == (leaf or "none"), "that none is stored is no leaf either"
        with pytest.raises(Stopped) as stopped:
            rows.believed(row, FILE)
        (said,) = stopped.value.troubles
        assert said == Refusal("RW505", Where("record.db", 0, "event 3"), "event 3: it is not what was recorded",
                               "run audit; restore a backup")  # fmt: skip


def nested(deep: int, last: Any) -> Any:
    """Objects and lists in turn, so many in each other with the object around them."""
    for n in range(deep - 1, 0, -1):
        last = {"a": last} if n % 2 else [last]
    return {"a": last}


@pytest.mark.parametrize("last", [1, [], {}, None])
def test_an_object_is_read_as_deep_as_a_record_may_hold_it(last: Any) -> None:
    for deep in (MAX_DEPTH - 1, MAX_DEPTH):
        text = canonical(nested(deep, last)).decode()
        assert rows.read_text(text) == nested(deep, last)
    for deeper in (f'{{"a":{text}}}', f'{{"a":[{text}]}}'):
        with pytest.raises(Malformed, match="deeper"):
            rows.read_text(deeper)


@pytest.mark.parametrize(
    "text",
    ["{}", '{"a":1}', '{"a":[[],{}]}', '{"a":[{"b":[true,null,"x",-3]}]}', '{"é":"\uffff"}', f'{{"a":{MAX_INT}}}',
     '{"\U0001f600":1}', '"a"', "1", "null"],
)  # fmt: skip
def test_canonical_text_is_read(text: str) -> None:
    assert rows.read_text(text) == read_canonical(text.encode())


@pytest.mark.parametrize(
    "text",
    ["", " {}", '{"a": 1}', '{"b":1,"a":1}', '{"a":1,"a":1}', '{"a":1.5}', '{"a":[1.5]}', '{"a":[{"b":[0.5]}]}',
     '{"a":[[1.5],{}]}', f'{{"a":{MAX_INT + 1}}}', '{"\uffff":1,"\U0001f600":1}', None, b"{"],
)  # fmt: skip
def test_what_is_not_canonical_is_refused(text: Any) -> None:
    with pytest.raises(Malformed):
        rows.read_text(text)


def test_what_is_plain_is_read_the_quick_way(monkeypatch: pytest.MonkeyPatch) -> None:
    """The careful way says the same, and takes ten times as long."""
    refs = canonical(Refs.of(heats=["H-1"], pieces=["p", "q"]).to_json()).decode()
    wanted = [
        refs_of(json.loads(refs)),
        nested(MAX_DEPTH, 1),
        {"é": ["\uffff", -MAX_INT, True, None, [], {}]},
    ]
    texts = [canonical(value).decode() for value in wanted[1:]]
    monkeypatch.setattr(rows, "read_canonical", None)
    assert [rows._refs_in(refs), *map(rows.read_text, texts)] == wanted
    with pytest.raises(TypeError, match="not callable"):
        rows.read_text('{"a":1.5}')


@pytest.mark.parametrize("seq", [0, 1, 300, MAX_INT])
def test_what_was_read_before_is_not_looked_at_again(seq: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Very many rows have the same person, station, act, and what was known."""
    event = replace(FULL, corrects=None)
    assert rows._unrow(columns(event)).event == event
    for name in ("event_of", "refs_of", "known_of"):
        monkeypatch.setattr(rows, name, None)
    again = event.at_seq(seq)
    assert rows._unrow(columns(again)) == Row(seq, again, again.leaf().hex(), again.canonical())


# --- heads and peaks -------------------------------------------------------------------------------


def grown(size: int) -> Peaks:
    peaks = Peaks()
    for n in range(size):
        peaks = peaks.add(leaf_hash(b"%d" % n))
    return peaks


def stored(peaks: Peaks) -> str:
    return "".join(peak.hex() for peak in peaks.peaks)


def test_the_head_is_that_of_the_last_commit(tables: sa.Connection) -> None:
    assert rows.head_of(tables) == Head()
    commit(tables, (2, "a"), (9, "c"), (4, "b"))
    assert rows.head_of(tables) == Head(9, "r9")


def test_the_tree_grows_from_the_last_commit_whose_peaks_give_its_root(tables: sa.Connection) -> None:
    assert rows.peaks_now(tables) == Peaks()
    for size in (6, 11, 7):
        tables.execute(
            sa.insert(schema.head).values(
                size=size, act_id=f"a{size}", root=grown(size).root.hex(), peaks=stored(grown(size))
            )
        )
    assert rows.peaks_now(tables) == grown(11)
    for change in ({"root": "0" * 64}, {"root": "f" * 64}, {"peaks": ""}, {"peaks": stored(grown(7))}):
        tables.execute(sa.update(schema.head).where(schema.head.c.size == 11).values(change))
        with pytest.raises(Stopped) as stopped:
            rows.peaks_now(tables)
        (said,) = stopped.value.troubles
        assert (said.code, said.found) == ("RW505", "event 11: the head stored with it does not fit")


@pytest.mark.parametrize("size", [0, 1, 2, 3, 7, 8])
def test_peaks_are_one_hash_for_each_power_of_two(size: int) -> None:
    peaks = grown(size)
    assert rows.peaks_of(size, stored(peaks)) == peaks
    for text in (
        stored(peaks) + "0",
        stored(peaks)[1:] + "g",
        stored(peaks) + "\n",
        stored(peaks) + "00" * 32,
    ):
        assert rows.peaks_of(size, text) is None
    assert rows.peaks_of(size + 1, stored(peaks)) is None or size.bit_count() == (size + 1).bit_count()
