"""The file that stands for a record says which engine keeps it; while much is made the collector rests."""

from __future__ import annotations

import gc
from pathlib import Path

import pytest

from rackwright.record.bulk import in_bulk
from rackwright.record.engine import Kind, unusable, weaker
from rackwright.record.engines import engine_of
from rackwright.record.postgres import Postgres
from rackwright.record.sqlite import Sqlite
from rackwright.trouble import Fault


@pytest.mark.parametrize(
    ("name", "kind"),
    [("record.db", Sqlite), ("record.url", Postgres), ("record", Sqlite), ("record.zzz", Sqlite), ("url", Sqlite)],
)  # fmt: skip
def test_a_url_is_of_postgresql_and_every_other_file_of_sqlite(
    tmp_path: Path, name: str, kind: type[object]
) -> None:
    path = tmp_path / name
    path.write_text("postgresql://station@db.example/larkfield\n")
    engine = engine_of(path)
    assert (type(engine), engine.path) == (kind, path)
    assert vars(engine)["busy_ms"] == 2000
    assert vars(engine_of(path, 7))["busy_ms"] == 7


def test_what_cannot_be_used_is_a_fault_with_its_place(tmp_path: Path) -> None:
    path = tmp_path / "record.url"
    assert unusable(path, "nothing", "write it").troubles[0].to_json() == {
        "code": "RW501", "file": str(path), "line": 0, "field": "", "found": "nothing", "do": "write it"}  # fmt: skip
    (told,) = unusable(path, "nothing", "write it", 3, "user").troubles
    assert (type(told), told.where.line, told.where.field) == (Fault, 3, "user")
    (told,) = weaker(path, "the server", "fsync", "off", "on", "set it").troubles
    assert (told.where.line, told.found, told.do) == (
        0, "the server answers fsync = off where on is needed", "set it")  # fmt: skip


def test_each_kind_of_error_means_something_of_its_own() -> None:
    assert len({kind.value for kind in Kind}) == len(Kind.__members__) == 5


@pytest.mark.parametrize("running", [True, False])
def test_the_collector_rests_and_then_runs_only_where_it_ran(running: bool) -> None:
    was = gc.isenabled()
    try:
        (gc.enable if running else gc.disable)()
        with in_bulk():
            assert not gc.isenabled()
            with in_bulk():
                assert not gc.isenabled()
            assert not gc.isenabled()
        assert gc.isenabled() is running
        with pytest.raises(LookupError), in_bulk():
            raise LookupError
        assert gc.isenabled() is running
    finally:
        (gc.enable if was else gc.disable)()
