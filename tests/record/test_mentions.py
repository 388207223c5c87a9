"""The index of names: what an event names, how far the index goes, and that it weighs what the events weigh."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from types import MappingProxyType
from typing import Any

import pytest
import sqlalchemy as sa

from histories import act
from rackwright.record import Event, Refs, mentions, rows, schema
from rackwright.record.mentions import Scales, cover, names, place_of, seqs_naming, upto
from rackwright.record.rows import Row
from rackwright.seal import Malformed
from states import heard


@pytest.fixture
def tables() -> Iterator[sa.Connection]:
    """The tables of a record, without the triggers that refuse what is written here."""
    with sa.create_engine("sqlite://").connect() as connection:
        schema.event.metadata.create_all(connection)
        yield connection


def named(body: dict[str, Any], type: str = "note", **more: Any) -> set[tuple[str, str]]:
    return mentions.mentions(act(1, type, body, **more))


def put(tables: sa.Connection, *held: tuple[str, str, int]) -> None:
    tables.execute(
        sa.insert(schema.mention), [dict(zip(("kind", "name", "seq"), row, strict=True)) for row in held]
    )


def indexed(tables: sa.Connection) -> list[tuple[str, str, int]]:
    return sorted((kind, name, seq) for kind, name, seq in tables.execute(sa.select(schema.mention)))


# --- what is named ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "place"),
    [
        ("H-1", "H-1"),
        ("x" * 200, "x" * 200),
        ("x" * 201, "x" * 200),
        ("x" * 200 + "\0", "x" * 200),
        ("\0H-\0" + "1", "H-1"),
        ("a\0" * 200 + "b", "a" * 200),
    ],
)
def test_a_long_name_shares_its_place_and_nothing_ends_in_the_middle(name: str, place: str) -> None:
    assert place_of("heat", name) == ("heat", place)


@pytest.mark.parametrize(
    ("field", "kind"),
    [
        ("heat", "heat"), ("heats", "heat"), ("lot", "lot"), ("lots", "lot"), ("stock_id", "stock"),
        ("stock_ids", "stock"), ("piece", "piece"), ("pieces", "piece"), ("old", "piece"), ("new", "piece"),
        ("serial", "serial"), ("serials", "serial"), ("gauge", "gauge"), ("gauges", "gauge"), ("order", "order"),
        ("job", "order"), ("person", "person"),
    ],
)  # fmt: skip
def test_a_name_is_found_wherever_it_lies_in_a_body(field: str, kind: str) -> None:
    field, one, other = heard(field), (kind, "N-1"), (kind, "N-2")
    assert named({field: "N-1"}) == {one}
    assert named({field: ["N-1", "N-2", "", 3, None]}) == named({field: ("N-1", "N-2")}) == {one, other}
    assert named({field: [["N-1"], {"x": "N-3"}]}) == {one}
    assert named({"x": {field: "N-1"}, "y": [{field: "N-2"}]}) == {one, other}
    assert named({"x": MappingProxyType({field: "N-1"})}) == {one}
    assert named({field: "", "x": 1, "y": True, "z": None}) == set()
    assert named({field: {"x": "N-1"}}) == set(), "a name of the object's own, not of the field that holds it"
    assert field in mentions.NAMING


def test_what_a_field_of_no_kind_holds_is_no_name() -> None:
    assert named({"text": "H-1", "blocks": ["H-1"], "values": {"a": "H-1", "b": [["H-1"]]}}) == set()


def test_refs_name_what_is_touched_and_no_file() -> None:
    refs = Refs.of(heats=["h"], lots=["l"], pieces=["p", "q"], serials=["s"], gauges=["g"], files=["ab" * 32])
    wanted = {("heat", "h"), ("lot", "l"), ("piece", "p"), ("piece", "q"), ("serial", "s"), ("gauge", "g")}
    assert named({}, refs=refs) == wanted
    assert named({}, refs=Refs.of(heats=["x" * 300])) == {("heat", "x" * 200)}


def test_a_correction_names_its_event_and_a_freeze_its_type() -> None:
    assert named({"reason": "x"}, "correction", corrects=12) == {("event", "12")}
    assert named({}, heard("freeze")) == {("type", "freeze")}


def test_a_row_beyond_reading_names_nothing() -> None:
    event = act(1, "hold", {"heats": ["H-1"]}).at_seq(1)
    assert mentions.mentioned(Row(1, event, "")) == {("heat", "H-1")}
    assert mentions.mentioned(Row(1, Malformed("", "no"), "")) == set()


# --- how far it goes -------------------------------------------------------------------------------


def receives(count: int, after: int = 0) -> list[Event]:
    """Event n names the heat H-n, and every one the supplier's lot."""
    return [
        act(n, "receive", {"stock_id": "", "lot": "L"}, refs=Refs.of(heats=[f"H-{n}"])).at_seq(n)
        for n in range(after + 1, after + count + 1)
    ]


def record(tables: sa.Connection, events: Iterable[Event]) -> None:
    for event in events:
        tables.execute(sa.insert(schema.event).values(rows.row_of(event)))
        tables.execute(sa.insert(schema.head).values(size=event.seq, act_id=event.act_id, root="", peaks=""))


def index_of(events: Iterable[Event]) -> list[tuple[str, str, int]]:
    return [
        row for event in events for row in (("heat", f"H-{event.seq}", event.seq), ("lot", "L", event.seq))
    ]


def test_an_index_goes_as_far_as_it_says(tables: sa.Connection) -> None:
    assert upto(tables) == 0
    put(
        tables,
        ("upto", "", 3),
        ("upto", "", 7),
        ("upto", "x", 90),
        ("heat", "", 91),
        ("lot", "L", 92),
        ("", "", 93),
        ("z", "", 94),
    )
    assert upto(tables) == 7


@pytest.mark.parametrize("step", [1, 2, 3, 5, 100])
@pytest.mark.parametrize("done", [0, 2, 5])
def test_what_an_older_program_left_behind_is_brought_along(
    tables: sa.Connection, step: int, done: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(mentions, "_STEP", step)
    events = receives(5)
    record(tables, events)
    put(tables, *index_of(events[:done]), ("upto", "", done))
    cover(tables)
    assert upto(tables) == 5
    assert [row for row in indexed(tables) if row[0] != "upto"] == sorted(index_of(events))
    before = indexed(tables)
    cover(tables)
    assert indexed(tables) == before


@pytest.mark.parametrize(("done", "fresh"), [(0, 3), (2, 1), (0, 1), (1, 1), (3, 0)])
def test_an_append_covers_what_it_wrote_and_what_is_missing(
    tables: sa.Connection, done: int, fresh: int
) -> None:
    events = receives(3)
    record(tables, events)
    put(tables, *index_of(events[:done]), ("upto", "", done))
    cover(tables, events[3 - fresh :])
    assert [row for row in indexed(tables) if row[0] != "upto"] == sorted(index_of(events))
    assert upto(tables) == 3


def test_what_was_just_written_is_not_read_back(tables: sa.Connection) -> None:
    put(tables, ("upto", "", 1001))
    fresh = receives(3, 1001)
    cover(tables, fresh)  # of which no row is there
    assert indexed(tables) == sorted([*index_of(fresh), ("upto", "", 1001), ("upto", "", 1004)])


def test_names_are_found_by_kind_and_each_once(
    tables: sa.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(
        tables,
        ("heat", "a", 1),
        ("heat", "a", 2),
        ("heat", "b", 3),
        ("lot", "e", 4),
        ("lot", "d", 7),
        ("heat", "c", 5),
        ("heat", "d", 6),
    )
    assert sorted(names(tables, "heat")) == ["a", "b", "c", "d"]
    assert names(tables, "piece") == ()
    assert seqs_naming(tables, [("heat", "a"), ("lot", "b"), ("lot", "e")]) == {1, 2, 4}
    assert seqs_naming(tables, []) == set()
    for many in (1, 2, 3):
        monkeypatch.setattr(mentions, "_MANY", many)
        assert seqs_naming(tables, (("heat", name) for name in "abcd")) == {1, 2, 3, 5, 6}


# --- what it weighs --------------------------------------------------------------------------------


def envelopes(events: Iterable[Event]) -> list[rows.Envelope]:
    return [rows._envelope([rows.row_of(each)[name] for name in schema.event.c.keys()]) for each in events]  # noqa: SIM118


def weighed(tables: sa.Connection, events: Iterable[Event], upto: int) -> bool:
    """Does the index weigh what these events do?"""
    scales = Scales(upto)
    return scales.events(envelopes(events)) == scales.index(tables)


@pytest.fixture
def covered(tables: sa.Connection) -> sa.Connection:
    record(tables, receives(6))
    cover(tables)
    return tables


def test_an_index_weighs_what_its_events_weigh_range_by_range(covered: sa.Connection) -> None:
    assert weighed(covered, receives(6), 6)
    scales = Scales(6)
    one, other = scales.events(envelopes(receives(2))), scales.events(envelopes(receives(4, 2)))
    assert (one + other) % Scales.PRIME == scales.index(covered)
    assert one != other
    assert 0 <= one < Scales.PRIME
    assert Scales(6).index(covered) != scales.index(covered), "by a key that nobody knew"


def test_types_and_corrections_are_weighed_as_they_are_indexed(tables: sa.Connection) -> None:
    events = [act(1, "freeze", {"revision": "A"}).at_seq(1), act(2, "correction", {}, corrects=1).at_seq(2)]
    record(tables, events)
    cover(tables)
    assert weighed(tables, events, 2)


def test_what_was_recorded_since_is_not_weighed(covered: sa.Connection) -> None:
    for size in range(1, 6):
        assert weighed(covered, receives(6), size)
        assert weighed(covered, receives(size), size)
        assert not weighed(covered, receives(size - 1), size)


def test_what_stands_before_the_first_event_weighs_nothing(covered: sa.Connection) -> None:
    scales = Scales(6)
    assert scales.events(envelopes([receives(1)[0].at_seq(0)])) == 0
    assert scales.events([((-1, *columns[1:]), *rest) for columns, *rest in envelopes(receives(2))]) == 0
    assert scales.events([]) == 0


@pytest.mark.parametrize(
    "change",
    [
        "DELETE FROM mention WHERE kind = 'heat' AND seq = 3",
        "INSERT INTO mention VALUES ('heat', 'H-1', 3)",
        "UPDATE mention SET seq = 4 WHERE kind = 'heat' AND seq = 3",
        "UPDATE mention SET seq = 11 - seq WHERE kind = 'heat' AND seq > 4",
        "UPDATE mention SET name = 'H-9' WHERE kind = 'heat' AND seq = 6",
        "INSERT INTO mention VALUES ('zone', 'z', 1)",
        "INSERT INTO mention VALUES ('', '', 1)",
        "UPDATE mention SET kind = 'lot' WHERE kind = 'heat' AND seq = 1",
    ],
)
def test_an_altered_index_weighs_something_else(covered: sa.Connection, change: str) -> None:
    covered.exec_driver_sql(change)
    assert Scales(6).index(covered) is not None
    assert not weighed(covered, receives(6), 6)


@pytest.mark.parametrize("seq", [-1, 0, 7, "x", 2.5, 2**70])
def test_an_index_of_what_is_no_event_weighs_nothing_at_all(covered: sa.Connection, seq: Any) -> None:
    covered.exec_driver_sql("UPDATE mention SET seq = ? WHERE kind = 'heat' AND seq = 6", (str(seq),))
    assert Scales(6).index(covered) is None


def test_an_index_that_goes_beyond_its_events_weighs_nothing_at_all(covered: sa.Connection) -> None:
    covered.exec_driver_sql("DELETE FROM mention WHERE kind = 'upto'")
    assert Scales(6).index(covered) is None


def test_the_weight_is_modulo_a_prime_of_127_bits() -> None:
    assert Scales.PRIME.bit_length() == 127
    assert all(pow(base, Scales.PRIME - 1, Scales.PRIME) == 1 for base in (2, 3, 5, 7))


def test_a_name_has_a_number_of_128_bits_that_is_held_for_a_while(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(mentions, "_HELD", 3)
    hashed, again, other = mentions._Hashed(b"k"), mentions._Hashed(b"k"), mentions._Hashed(b"l")
    wanted = [("heat", f"H-{n}") for n in range(60)]
    numbers = [hashed[name] for name in wanted]
    assert numbers == [again[name] for name in wanted]
    assert (
        len({*numbers, *(other[name] for name in wanted), hashed["heat\0H", "1"], hashed["heat", "H\x011"]})
        == 122
    )
    assert max(numbers).bit_length() == 128
    held = []
    for name in wanted:
        assert hashed[name] is hashed[name]
        held.append(len(hashed))
    assert set(held[4:]) == {1, 2, 3, 4}


@pytest.mark.parametrize("number", ["x", b"\x05", 1.5, None])
def test_a_number_of_the_index_that_was_altered_to_something_else_is_none(number: object) -> None:
    """The tables are STRICT, but a byte altered in the file makes a text, a blob or a fraction of a number."""
    with sa.create_engine("sqlite://").connect() as connection:
        connection.exec_driver_sql("CREATE TABLE mention (kind, name, seq)")
        rows = [(kind, name, number) for kind, name in (("upto", ""), ("heat", "H-1"))]
        connection.exec_driver_sql("INSERT INTO mention VALUES (?, ?, ?)", rows)
        assert mentions.upto(connection) == 0
        assert mentions.seqs_naming(connection, [("heat", "H-1")]) == set()
        connection.exec_driver_sql("INSERT INTO mention VALUES ('heat', 'H-1', 7)")
        assert mentions.seqs_naming(connection, [("heat", "H-1")]) == {7}
