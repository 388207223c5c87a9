"""A shop's record in PostgreSQL as it is typed: moved there and back, restored, audited, traced, with the same answers.

The drill: the demo's whole shop goes through a backup into a database and from there through another backup into a
file again. Export and backup are compared byte for byte, and every answer that the record gives.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from faces.cli.shop_desk import Run, answer, runner, troubles
from played import Ran
from private_postgres import Server
from rackwright.record import Event

pytestmark = pytest.mark.postgres


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, monkeypatch)


def asked(events: tuple[Event, ...]) -> list[tuple[str, str]]:
    """Kind and name: the first and the last of whatever trace is to know."""
    names = {kind: sorted({name for event in events for name in getattr(event.refs, f"{kind}s")})
             for kind in ("heat", "piece", "serial", "gauge")}  # fmt: skip
    return [(kind, name) for kind, found in names.items() for name in (found[0], found[-1])]


@pytest.mark.long
def test_the_drill_through_both_engines_loses_nothing(
    run: Run, played_demo: Ran, server: Server, tmp_path: Path
) -> None:
    backup, again = tmp_path / "demo.zip", tmp_path / "again.zip"
    served, back = tmp_path / "served", tmp_path / "back"
    answer(run, "backup", "--shop", played_demo.folder, "--out", backup)
    url = server.url(server.database(tmp_path))
    restored = answer(run, "restore", backup, "--into", served, "--record", url)
    assert restored["answers"] == {"whole": True, "balanced": True, "believed": True}
    assert (served / "record.url").read_text() == f"{url}\n"
    assert not (served / "record.db").exists()
    answer(run, "backup", "--shop", served, "--out", again)
    assert again.read_bytes() == backup.read_bytes()
    answer(run, "restore", again, "--into", back)
    folders = (played_demo.folder, served, back)
    for kind, name in asked(played_demo.events):
        traced = [run("trace", kind, name, "--shop", folder)[:2] for folder in folders]
        assert traced[0][0] == 0
        assert traced[1:] == traced[:1] * 2
    exports = [run("export", "--shop", folder)[1] for folder in folders]
    assert exports[1:] == exports[:1] * 2
    assert len(exports[0].splitlines()) == len(played_demo.events) + 1
    audits = [answer(run, "audit", folder) for folder in folders]
    assert [one["head"] for one in audits] == [audits[0]["head"]] * 3
    assert all(one["answers"] == restored["answers"] for one in audits)


def test_a_shop_begun_in_a_database_and_taken_home(run: Run, server: Server, tmp_path: Path) -> None:
    shop, url = tmp_path / "shop", server.url(server.database(tmp_path))
    sign = tmp_path / "sign"
    sign.write_text("four tubes and a block\n")
    answer(run, "new", shop, "--name", "Fell (invented)", "--by", "A. Quill", "--record", url, "--sign", sign)
    run("log", "person", "--shop", shop, "--by", "A. Quill", "person=C. Vint", "roles=saw", "--sign", sign)
    code, out, _ = run("log", "list", "--shop", shop, "--json")
    assert code == 0
    assert [event["type"] for event in json.loads(out)["events"]] == ["found", "person", "secret", "person"]
    assert run("export", "--shop", shop, "--out", tmp_path / "e.jsonl")[0] == 0
    answer(run, "import", tmp_path / "e.jsonl", "--into", tmp_path / "home")
    assert run("export", "--shop", tmp_path / "home")[1].encode() == (tmp_path / "e.jsonl").read_bytes()
    other = server.url(server.database(tmp_path))
    answer(run, "import", tmp_path / "e.jsonl", "--into", tmp_path / "other", "--record", other)
    assert run("export", "--shop", tmp_path / "other")[1] == run("export", "--shop", tmp_path / "home")[1]


def test_a_record_that_cannot_be_made_leaves_no_folder_that_names_it(
    run: Run, server: Server, tmp_path: Path
) -> None:
    shop, url = tmp_path / "shop", server.url(server.database(tmp_path))
    new = ["--name", "Fell (invented)", "--by", "A. Quill", "--record"]
    answer(run, "new", shop, *new, url)
    assert troubles(run, "new", tmp_path / "two", *new, url, code=2) == ["RW501"]
    assert troubles(run, "new", tmp_path / "two", *new, url.replace("@", ":secret@"), code=2) == ["RW501"]
    assert troubles(run, "new", tmp_path / "two", *new, "sqlite:///x", code=2) == ["RW501"]
    assert [path.name for path in tmp_path.iterdir()] == ["shop"]
    run("export", "--shop", shop, "--out", tmp_path / "e.jsonl")
    (tmp_path / "kept").mkdir()
    for into in (tmp_path / "kept", shop):
        assert troubles(run, "import", tmp_path / "e.jsonl", "--into", into, "--record", url, code=2) == [
            "RW501"
        ]
    assert list((tmp_path / "kept").iterdir()) == []
    assert (shop / "record.url").read_text() == f"{url}\n", "the record that is there goes on"
    (shop / "record.db").write_bytes(b"")
    assert troubles(run, "audit", shop, code=2) == ["RW501"]
    assert "stands beside it" in run("audit", shop)[2]
