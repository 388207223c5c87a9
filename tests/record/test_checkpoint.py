"""The folded state kept beside a record: what is read of it is what the events come to, or nothing is read."""

from __future__ import annotations

import errno
import gc
import json
from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass, replace
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import Any, get_args, get_origin, get_type_hints

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from failing_disk import Writing
from histories import act, append_all, make_record, notes, shop_history
from private_postgres import Place
from rackwright import record as records
from rackwright.record import Event, Follower, Record, State, checkpoint, durable, project, state_of
from rackwright.record.fold import Fold
from rackwright.record.indexed import Indexed
from rackwright.trouble import Stopped


@pytest.fixture(autouse=True)
def _often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checkpoint, "LEAST", 1)


@pytest.fixture
def shop(place: Place, tmp_path: Path) -> Iterator[Record]:
    """The small shop's record with its state kept, on either engine."""
    with make_record(place(tmp_path)) as made:
        state_of(made)
        yield made


def kept(shop: Record) -> Path:
    return shop.path.with_name("record.state")


def loaded(shop: Record) -> int:
    return checkpoint.load(shop)[0]


def rewritten(shop: Record, line: Mapping[str, Any] | None = None, tables: Any = None) -> None:
    """As someone writes it who works out the hash."""
    first, _, rest = kept(shop).read_bytes().partition(b"\n")
    second = (
        rest if tables is None else json.dumps(tables, ensure_ascii=False, separators=(",", ":")).encode()
    )
    of = {**json.loads(first), "sha256": sha256(second).hexdigest(), **(line or {})}
    kept(shop).write_bytes(json.dumps(of).encode() + b"\n" + second)


def correction(number: int, of: int) -> Event:
    body = {"reason": "misread", "changes": [], "fields": {"value": "40.002 in"}}
    return act(number, "correction", body, corrects=of)


def test_who_opens_it_next_reads_only_what_came_since(shop: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    append_all(shop, notes(2, 40))
    wanted = (shop.head(), project(shop.events()))
    asked = list[int]()
    plain = Record.look
    with records.open(shop.path) as again:
        monkeypatch.setattr(Record, "look", lambda self, after=0: asked.append(after) or plain(self, after))
        assert Follower().look(again) == wanted
    assert asked == [16]


@given(st.lists(st.integers(1, 19), max_size=6).map(sorted), st.booleans())
@settings(deadline=None, max_examples=30)
def test_following_through_any_stops_and_starts_comes_to_the_same(
    tmp_path_factory: pytest.TempPathFactory, stops: list[int], same: bool
) -> None:
    """A correction, and one of what was corrected, come last; `same`: one station all along."""
    acts = [*shop_history(), [correction(90, 14)], *notes(1, 95), [correction(91, 14)]]
    follower = Follower()
    with make_record(tmp_path_factory.mktemp("shop") / "record.db", []) as shop:
        done = 0
        for stop in [*stops, len(acts)]:
            append_all(shop, acts[done:stop])
            done = max(done, stop)
            follower = follower if same else Follower()
            assert follower.look(shop) == (shop.head(), project(shop.events()))
        assert loaded(shop) == shop.head().size


def test_a_correction_folds_anew_and_is_kept_at_once(shop: Record) -> None:
    append_all(shop, [[correction(90, 14)]])
    assert loaded(shop) == 16
    assert state_of(shop).measured("P-1")[0].value == "40.002 in"
    assert loaded(shop) == 17


def test_kept_again_only_where_a_share_was_folded(shop: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checkpoint, "LEAST", 3)
    follower = Follower()
    sizes = []
    for number in range(9):
        append_all(shop, notes(1, 60 + number))
        follower.look(shop)
        sizes.append(loaded(shop))
    assert sizes == [16, 16, 19, 19, 19, 22, 22, 22, 25]
    monkeypatch.undo()
    sizes = (0, 1999), (0, 2000), (80_000, 89_999), (80_000, 90_000), (80_001, 90_000), (80_001, 90_001)
    assert [checkpoint.due(*each) for each in sizes] == [False, True] * 3


def test_every_altered_byte_is_passed_over(shop: Record) -> None:
    whole, wanted = kept(shop).read_bytes(), project(shop.events())
    for at in range(len(whole)):
        kept(shop).write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        size, fold = checkpoint.load(shop)
        assert (size, fold.state()) in ((0, State()), (16, wanted)), at
    for cut in range(0, len(whole), 97):
        kept(shop).write_bytes(whole[:cut])
        assert loaded(shop) == 0


LINES: dict[str, dict[str, Any]] = {
    "another format": {"format": "rackwright/state/0"},
    "another program": {"program": "0" * 64},
    "another root": {"root": "0" * 64},
    "further than the record": {"size": 17},
    "within an act": {"size": 2},
    "a size that is none": {"size": "16"},
    "a size that is true": {"size": True},
    "nothing": {"size": 0, "root": sha256(b"").hexdigest()},
}


@pytest.mark.parametrize("how", LINES)
def test_what_is_of_something_else_is_passed_over_and_made_anew(shop: Record, how: str) -> None:
    rewritten(shop, LINES[how])
    assert loaded(shop) == 0
    assert records.audit(shop).ok
    assert state_of(shop) == project(shop.events())
    assert loaded(shop) == 16


def without(tables: dict[str, Any]) -> Any:
    del tables["gauges"]
    return tables


def strange(tables: dict[str, Any]) -> Any:
    tables["persons"]["Ada Quill"]["__class__"] = "os.system"
    return tables


def short(tables: dict[str, Any]) -> Any:
    del tables["stock"]["B-1"]["heat"]
    return tables


TABLES = {
    "a table is missing": without,
    "a table too many": lambda tables: tables | {"more": {}},
    "a field too many": strange,
    "a field is missing": short,
    "no nouns": lambda tables: tables | {"stock": {"B-1": 3}},
    "a list for a table": lambda tables: tables | {"stock": [1]},
    "a number for a list": lambda tables: tables | {"measurements": 7},
    "no pair": lambda tables: tables | {"heads": [[{"size": 1, "root": ""}]]},
    "no tables": lambda tables: [tables],
}


@pytest.mark.parametrize("how", TABLES)
def test_tables_that_are_none_are_passed_over(shop: Record, how: str) -> None:
    tables = json.loads(kept(shop).read_bytes().partition(b"\n")[2])
    rewritten(shop, tables=TABLES[how](tables))
    assert checkpoint.load(shop)[0] == 0
    assert checkpoint.load(shop)[1].state() == State()
    assert state_of(shop) == project(shop.events())


@pytest.mark.parametrize("role", ["a", "z"])
def test_an_audit_finds_a_state_that_the_events_do_not_come_to(shop: Record, role: str) -> None:
    good = records.audit(shop)
    assert good.ok
    assert "the state kept of the first 16 events: folded anew" in good.checked
    tables = json.loads(kept(shop).read_bytes().partition(b"\n")[2])
    tables["persons"]["Ada Quill"]["roles"] = [role]
    rewritten(shop, tables=tables)
    audit = records.audit(shop)
    assert [(each.code, each.found) for each in audit.whole] == [
        ("RW505", "the state kept in record.state is not what the first 16 events come to")
    ]
    assert "delete record.state" in audit.whole[0].do
    kept(shop).unlink()
    assert records.audit(shop).ok


def test_an_audit_says_why_none_is_used(shop: Record) -> None:
    kept(shop).write_bytes(b"{}")
    assert "no folded state is used: record.state is damaged" in records.audit(shop).checked
    kept(shop).unlink()
    assert "state" not in " ".join(records.audit(shop).checked)


def test_another_program_folds_for_itself(shop: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checkpoint, "_program", lambda: "another")
    assert loaded(shop) == 0
    audit = records.audit(shop)
    assert audit.ok
    assert "no folded state is used: record.state is of another version of the program" in audit.checked


def test_the_program_is_all_sources_that_decide(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    hashes = {checkpoint._program.__wrapped__()}
    for source in Path(checkpoint.__file__).parent.glob("*.py"):
        (tmp_path / source.name).write_bytes(source.read_bytes())
    monkeypatch.setattr(checkpoint, "__file__", str(tmp_path / "checkpoint.py"))
    assert {checkpoint._program.__wrapped__()} == hashes
    for name in ("fold.py", "fold_stock.py", "state.py", "events.py", "corrections.py"):
        with open(tmp_path / name, "a") as file:
            file.write("#")
        hashes.add(checkpoint._program.__wrapped__())
    assert len(hashes) == 6


def test_it_is_no_part_of_an_export_or_import(shop: Record, tmp_path: Path) -> None:
    data = b"".join(records.export_lines(shop.events()))
    with records.import_export(data, tmp_path / "again" / "record.db") as again:
        assert not kept(again).exists()
        assert state_of(again) == state_of(shop)


def test_a_disk_that_fails_at_any_of_its_writes_hinders_nobody(
    shop: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = kept(shop).read_bytes()
    append_all(shop, notes(3, 60))
    wanted = project(shop.events())
    for at in count(1):
        steps = count(1)

        def before(at: int = at, steps: Iterator[int] = steps) -> None:
            if next(steps) == at:
                raise OSError(errno.ENOSPC, "full")

        with monkeypatch.context() as failing:
            failing.setattr(durable, "os", Writing(before))
            assert state_of(shop) == wanted
        if next(steps) <= at:
            break
        assert kept(shop).read_bytes() == whole or loaded(shop) == 19
        assert [*shop.path.parent.glob(".*.new")] == []
        kept(shop).write_bytes(whole)
    assert at > 3
    assert loaded(shop) == 19


def test_what_is_further_than_json_goes_is_not_kept(shop: Record) -> None:
    before = kept(shop).read_bytes()
    fold = Fold()
    fold.stock["P"] = replace(state_of(shop).stock["B-1"], area_nm2=2**64)
    checkpoint.keep(shop, shop.head(), fold)
    assert kept(shop).read_bytes() == before


def test_an_altered_event_since_stops_the_look(tmp_path: Path) -> None:
    with make_record(tmp_path / "record.db") as shop:
        state_of(shop)
        append_all(shop, notes(1, 60))
        with shop._engine.connect().execution_options(writes=True) as connection:
            connection.exec_driver_sql("DROP TRIGGER event_keep")
            connection.exec_driver_sql("UPDATE event SET by = 'nobody' WHERE seq = 17")
            connection.commit()
    with records.open(tmp_path / "record.db") as again, pytest.raises(Stopped, match="event 17"):
        state_of(again)


def sample(kind: Any) -> Any:
    """A value of a declared kind, with something in every field."""
    origin, args = get_origin(kind), get_args(kind)
    if isinstance(kind, type) and issubclass(kind, Indexed):
        return kind({"ö": sample(kind.row)})
    if is_dataclass(kind):
        return kind(**{name: sample(each) for name, each in get_type_hints(kind).items()})
    if origin is tuple:
        return tuple(sample(each) for each in args if each is not ...)
    if origin is not None and issubclass(origin if isinstance(origin, type) else object, Mapping):
        return {"ö": sample(args[1])}
    if args:  # or None
        return sample(args[0])
    return {str: "text\n", int: 2**62, bool: True, Any: {"plain": [1, {"more": None}]}}[kind]


def test_every_noun_comes_back_as_it_was(shop: Record) -> None:
    """With something in every field of everything that a state holds."""
    fold, wanted = Fold(), sample(State)
    vars(fold).update(vars(wanted))
    checkpoint.keep(shop, shop.head(), fold)
    size, found = checkpoint.load(shop)
    assert (size, found.state()) == (16, wanted)
    assert repr(found.state()) == repr(wanted), "the same kinds too"
    found._odd(shop.events()[0], "it grows on")
    assert len(found.odd) == 2


def test_the_collector_runs_again_afterwards(shop: Record) -> None:
    assert gc.isenabled()
    records.audit(shop)
    state_of(shop)
    assert gc.isenabled()
