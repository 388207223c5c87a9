"""`backup` and `restore` as they are typed: one file, every byte accounted for, nothing half restored."""

from __future__ import annotations

import json
import shutil
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest

from faces.cli.shop_desk import Run, answer, runner, troubles
from faces.cli.test_record_commands import SEED, SERIAL, dossier, go_on, make_folder
from histories import lawful_history
from rackwright.seal import canonical, write_key
from rackwright.work.keeping.backup import closed

SOUND = {"whole": True, "balanced": True, "believed": True}


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, monkeypatch)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = make_folder(tmp_path / "shop", history=lawful_history)
    (folder / "standards").mkdir()
    (folder / "standards" / "er-47.toml").write_text("# a standard\n", "utf-8")
    (folder / "shop.key").write_text(write_key(SEED), "ascii")
    (folder / ".hidden").write_text("x", "utf-8")
    return folder


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def test_a_shop_there_and_back(run: Run, folder: Path, tmp_path: Path) -> None:
    made = answer(run, "backup", "--shop", folder, "--out", tmp_path / "b.zip")
    document = answer(run, "restore", tmp_path / "b.zip", "--into", tmp_path / "again")
    assert document["answers"] == SOUND
    assert document["head"] == made["head"]
    before, after = files(folder), files(tmp_path / "again")
    assert before.keys() - after.keys() == {"shop.key", ".hidden"}, "neither the key nor what is hidden"
    assert {name: data for name, data in after.items() if name != "record.db"} == {
        name: data for name, data in before.items() if name in after and name != "record.db"
    }
    assert run("export", "--shop", tmp_path / "again")[1] == run("export", "--shop", folder)[1]
    again = answer(run, "backup", "--shop", tmp_path / "again", "--out", tmp_path / "again.zip")
    assert (tmp_path / "again.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    assert again["files"] == made["files"]


def test_a_drill_proves_a_backup_and_leaves_nothing_behind(
    run: Run, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was restored is backed up again to the same bytes; a pack of the same files by another program is not."""
    answer(run, "backup", "--shop", folder, "--out", tmp_path / "b.zip")
    room = tmp_path / "room"
    room.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(room))
    document = answer(run, "restore", tmp_path / "b.zip", "--drill")
    assert document["answers"] == SOUND
    assert f"to the same {(tmp_path / 'b.zip').stat().st_size} bytes" in document["checked"][-1]
    other = repacked(tmp_path / "b.zip", tmp_path / "other.zip", {})
    assert other.read_bytes() != (tmp_path / "b.zip").read_bytes()
    assert troubles(run, "restore", other, "--drill", code=1) == ["RW523"]
    assert run("restore", tmp_path / "b.zip")[0] == 2
    assert run("restore", tmp_path / "b.zip", "--drill", "--into", tmp_path / "again")[0] == 2
    assert list(room.iterdir()) == []


def test_the_key_is_never_in_it(run: Run, folder: Path, tmp_path: Path) -> None:
    run("backup", "--shop", folder, "--out", tmp_path / "b.zip")
    with ZipFile(tmp_path / "b.zip") as archive:
        assert not any("key" in name for name in archive.namelist())
        assert not any(SEED.hex().encode() in archive.read(name) for name in archive.namelist())


def test_a_backup_overwrites_nothing(
    run: Run, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    code, out, _ = run("backup")
    assert code == 0
    name = out.partition(":")[0]
    assert name.startswith("backup-")
    assert run("backup")[0] == 0, "the same bytes again are no loss"
    (tmp_path / "other").write_text("mine", "utf-8")
    assert troubles(run, "backup", "--out", tmp_path / "other", code=2) == ["RW001"]
    assert (tmp_path / "other").read_text("utf-8") == "mine"
    assert troubles(run, "backup", "--out", tmp_path / "no" / "where", code=2) == ["RW002"]


def test_a_missing_attachment_is_told_and_the_rest_is_kept(run: Run, folder: Path, tmp_path: Path) -> None:
    gone = next((folder / "attachments").iterdir())
    gone.unlink()
    assert troubles(run, "backup", "--shop", folder, "--out", tmp_path / "b.zip", code=1) == ["RW507"]
    document = answer(run, "restore", tmp_path / "b.zip", "--into", tmp_path / "again", code=1)
    assert [trouble["code"] for trouble in document["trouble"]] == ["RW507"]
    assert (tmp_path / "again" / "record.db").is_file()


def test_a_backup_older_than_a_dossier_is_behind(run: Run, folder: Path, tmp_path: Path) -> None:
    run("backup", "--shop", folder, "--out", tmp_path / "old.zip")
    with go_on(folder, 3, 100) as made:
        dossier(folder, made, SERIAL)
    sent = tmp_path / "sent"
    sent.mkdir()
    shutil.copy(folder / "papers" / f"{SERIAL}.seal", sent)
    assert answer(run, "restore", tmp_path / "old.zip", "--into", tmp_path / "one")["answers"] == SOUND
    document = answer(
        run, "restore", tmp_path / "old.zip", "--into", tmp_path / "two", "--papers", sent, code=1
    )
    assert document["answers"] == {"whole": True, "balanced": True, "believed": False}
    assert "3 events behind" in document["trouble"][0]["found"]
    assert troubles(run, "audit", tmp_path / "one", "--papers", sent, code=1) == ["RW509"]


def test_every_altered_byte_is_refused_and_makes_no_folder(run: Run, folder: Path, tmp_path: Path) -> None:
    run("backup", "--shop", folder, "--out", tmp_path / "b.zip")
    good = (tmp_path / "b.zip").read_bytes()
    bad, into = tmp_path / "bad.zip", tmp_path / "again"
    for place in range(0, len(good), 41):
        bad.write_bytes(good[:place] + bytes([good[place] ^ 0x20]) + good[place + 1 :])
        assert run("restore", bad, "--into", into)[0] in (1, 2)
        assert not into.exists()
    assert {path.name for path in tmp_path.iterdir()} == {"shop", "b.zip", "bad.zip"}, (
        "nothing is left behind"
    )


def repacked(source: Path, target: Path, change: dict[str, bytes], manifest: bool = True) -> Path:
    """The backup with other contents, its manifest made to fit where asked."""
    with ZipFile(source) as archive:
        contents = {name: archive.read(name) for name in archive.namelist()} | change
    listed = json.loads(contents.pop("manifest.json"))
    if manifest:
        listed["files"] = [
            {"name": n, "sha256": sha256(d).hexdigest(), "length": len(d)} for n, d in contents.items()
        ]
    out = BytesIO()
    with ZipFile(out, "w") as archive:
        archive.writestr("manifest.json", canonical(listed))
        for name, data in contents.items():
            archive.writestr(name, data)
        archive.comment = bytes(64)
    target.write_bytes(closed(out.getvalue()[:-64]))
    return target


@pytest.mark.parametrize(
    "name", ["../outside.toml", "/outside.toml", "papers/../../outside.toml", "shop.key", ".hidden.toml",
             "papers/.x", "record.db", "other/file.toml", "a\\b.toml", "papers//x", "c:x.toml"],
)  # fmt: skip
def test_no_name_leads_out_of_the_folder(run: Run, folder: Path, tmp_path: Path, name: str) -> None:
    run("backup", "--shop", folder, "--out", tmp_path / "b.zip")
    bad = repacked(tmp_path / "b.zip", tmp_path / "bad.zip", {name: b"x"})
    (trouble,) = answer(run, "restore", bad, "--into", tmp_path / "deep" / "again", code=1)["trouble"]
    assert trouble["code"] == "RW523"
    assert "is not a name that a backup holds" in trouble["found"]
    assert not (tmp_path / "deep").exists()
    assert not (tmp_path / "outside.toml").exists()


def test_a_file_that_the_list_does_not_name_is_refused(run: Run, folder: Path, tmp_path: Path) -> None:
    run("backup", "--shop", folder, "--out", tmp_path / "b.zip")
    bad = repacked(tmp_path / "b.zip", tmp_path / "bad.zip", {"papers/x": b"x"}, manifest=False)
    assert troubles(run, "restore", bad, "--into", tmp_path / "again", code=1) == ["RW523"]
    other = repacked(tmp_path / "b.zip", tmp_path / "other.zip", {"shop.toml": b"other"}, manifest=False)
    assert troubles(run, "restore", other, "--into", tmp_path / "again", code=1) == ["RW523"]


def test_a_record_that_is_not_that_of_the_manifest_is_refused(run: Run, folder: Path, tmp_path: Path) -> None:
    run("backup", "--shop", folder, "--out", tmp_path / "b.zip")
    go_on(folder, 1, 100).close()
    run("export", "--shop", folder, "--out", tmp_path / "longer.jsonl")
    longer = {"export.jsonl": (tmp_path / "longer.jsonl").read_bytes()}
    bad = repacked(tmp_path / "b.zip", tmp_path / "bad.zip", longer)
    assert troubles(run, "restore", bad, "--into", tmp_path / "again", code=1) == ["RW523"]
    assert not (tmp_path / "again").exists()


def test_what_is_no_backup_and_where_none_may_go(run: Run, folder: Path, tmp_path: Path) -> None:
    (tmp_path / "text").write_text("nonsense", "utf-8")
    assert troubles(run, "restore", tmp_path / "text", "--into", tmp_path / "again", code=2) == ["RW523"]
    assert troubles(run, "restore", tmp_path / "nowhere", "--into", tmp_path / "again", code=2) == ["RW002"]
    run("backup", "--shop", folder, "--out", tmp_path / "b.zip")
    assert troubles(run, "restore", tmp_path / "b.zip", "--into", folder, code=2) == ["RW001"]
    assert troubles(run, "restore", tmp_path / "b.zip", code=2) == ["RW001"]
    assert troubles(run, "backup", "--shop", tmp_path, "--out", tmp_path / "x", code=2) == ["RW501"]


def test_a_restored_copy_that_went_on_beside_the_record_is_a_fork_and_where_it_parts_is_said(
    run: Run, folder: Path, tmp_path: Path
) -> None:
    """The backup is restored on a second machine, and both go on: each is whole; together they are not one history."""
    run("backup", "--shop", folder, "--out", tmp_path / "old.zip")
    copy, other = tmp_path / "copy", tmp_path / "other.jsonl"
    run("restore", tmp_path / "old.zip", "--into", copy)
    assert answer(run, "audit", copy, "--against", folder)["answers"] == SOUND, "not yet: they are the same"
    with go_on(folder, 3, 100) as made:
        size = made.head().size
    (behind,) = answer(run, "audit", copy, "--against", folder, code=1)["trouble"]
    assert "3 events behind" in behind["found"]
    assert answer(run, "audit", folder, "--against", tmp_path / "old.zip")["answers"] == SOUND
    go_on(copy, 2, 200).close()
    run("export", "--shop", copy, "--out", other)
    for one in (copy, other):
        document = answer(run, "audit", folder, "--against", one, code=1)
        (fork,) = document["trouble"]
        assert fork["code"] == "RW509"
        assert (
            f"part after event {size - 3}: 3 events are only here, from supplier by Ada Quill"
            in fork["found"]
        )
        assert "; 2 only there, from supplier by Ada Quill" in fork["found"]
        assert document["answers"] == {"whole": True, "balanced": True, "believed": False}
    assert troubles(run, "audit", folder, "--against", tmp_path / "nowhere", code=2) == ["RW002"]
