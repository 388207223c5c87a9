"""`trace`, `audit`, `verify`, `export`, `import` as they are typed, on a small invented history."""

from __future__ import annotations

import json
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from faces.cli.shop_desk import Run, answer, runner, troubles
from histories import act, append_all, lawful_history, make_record, notes, shop_history
from rackwright import record
from rackwright.record import Event, Record, Refs
from rackwright.seal import DEMO_SEED, key_id, make_seal, public_key, write_key, write_public_key
from rackwright.trouble import DEFERENCE

SEED = bytes(range(32))
KEY = key_id(public_key(SEED))
SERIAL = "SN-0001"
PDF = b"%PDF-1.7 an invented dossier"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, monkeypatch)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A shop's folder: a record whose frozen text and certificate are there, and one dossier with its seal."""
    return make_folder(tmp_path / "shop")


@pytest.fixture
def lawful(tmp_path: Path) -> Path:
    """The same up to the serial's number: so far every gate would have let it pass."""
    return make_folder(tmp_path / "lawful", history=lawful_history)


def make_folder(
    folder: Path, seed: bytes = SEED, history: Callable[[str], list[list[Event]]] = shop_history
) -> Path:
    (folder / "papers").mkdir(parents=True)
    (folder / "shop.toml").write_text("", "utf-8")
    made = record.create(folder / "record.db")
    acts = history(made.put_file(b"certificate C-1 (invented)"))
    text = made.put_file(b"a definition")
    acts[0][0].body["key_id"] = key_id(public_key(seed))  # type: ignore[index]
    acts[5][0].body["texts"][0]["file"] = text
    acts[5][0] = replace(acts[5][0], refs=Refs.of(files=[text]))
    with append_all(made, acts):
        dossier(folder, made, SERIAL, seed)
    return folder


def dossier(folder: Path, made: Record, serial: str, seed: bytes = SEED) -> None:
    (folder / "papers" / f"{serial}.pdf").write_bytes(PDF)
    events = [event.to_json() for event in made.events() if SERIAL in event.refs.serials]
    seal = make_seal(SERIAL, PDF, events, made.tree(), "2031-05-05T07:00:00Z", seed, made.heads())
    (folder / "papers" / f"{serial}.seal").write_bytes(seal)


def go_on(folder: Path, count: int, start: int) -> Record:
    return append_all(record.open(folder / "record.db"), notes(count, start))


# --- trace ---------------------------------------------------------------------------------------


def test_trace_each_kind(run: Run, folder: Path) -> None:
    heat = answer(run, "trace", "heat", "H-7719", "--shop", folder)
    assert [row["piece"] for row in heat["pieces"]] == ["P-1", "P-2"]
    assert heat["pieces"][0]["margin"] == "0.42"
    assert {row["stock_id"] for row in heat["stock"]} == {"B-1", "B-1-R"}
    piece = answer(run, "trace", "piece", "P-1", "--shop", folder)
    assert (piece["heat"], piece["serial"], piece["stock"]["certificate"]) == ("H-7719", SERIAL, "C-1")
    serial = answer(run, "trace", "serial", SERIAL, "--shop", folder)
    assert serial["heats"] == ["H-7719"]
    gauge = answer(run, "trace", "gauge", "CAL-3", "--shop", folder)
    assert gauge["passed_pieces"] == ["P-1"]
    for document in (heat, piece, serial, gauge):
        assert document["events"]
        _, out, _ = run("trace", document["kind"], document["id"], "--shop", folder)
        assert out.startswith(f"{document['kind']} {document['id']}\n")
        assert out.count("\n") > len(document["events"])
    _, out, _ = run("trace", "heat", "H-7719", "--shop", folder)
    assert "+0.420  buckling" in out


def test_an_id_that_the_record_does_not_know_is_a_no(run: Run, folder: Path) -> None:
    for kind in ("heat", "piece", "serial", "gauge"):
        assert troubles(run, "trace", kind, "nonsense", "--shop", folder, code=1) == ["RW503"]
    assert troubles(run, "trace", "bolt", "x", "--shop", folder, code=2) == ["RW001"]


def test_without_a_shop_or_a_record_it_is_said(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert troubles(run, "trace", "heat", "H", code=2) == ["RW002"]
    assert troubles(run, "trace", "heat", "H", "--shop", tmp_path, code=2) == ["RW501"]
    assert troubles(run, "audit", code=2) == ["RW002"]
    assert troubles(run, "audit", tmp_path, code=2) == ["RW501"]


def test_the_shop_is_found_as_far_up_as_needed(
    run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / "variations").mkdir()
    monkeypatch.chdir(folder / "variations")
    assert answer(run, "trace", "serial", SERIAL)["state"] == "released"
    monkeypatch.chdir(folder.parent)
    monkeypatch.setenv("RACKWRIGHT_SHOP", str(folder))
    assert answer(run, "trace", "serial", SERIAL)["state"] == "released"


def test_words_of_a_record_cannot_drive_the_terminal(run: Run, tmp_path: Path) -> None:
    (tmp_path / "papers").mkdir()
    make_record(tmp_path / "record.db", [
        [act(0, "found", {"shop": "Larkfield Racks (invented)", "demo": True})],
        [act(1, "gauge", {"gauge": "N-1", "kind": "caliper\x1b[31m", "due": "2031-12-31"})],
    ]).close()  # fmt: skip
    _, out, _ = run("trace", "gauge", "N-1", "--shop", tmp_path)
    assert "\x1b" not in out
    assert "caliper?" in out


# --- audit ---------------------------------------------------------------------------------------


def test_a_sound_record_and_its_export(run: Run, lawful: Path) -> None:
    run("export", "--shop", lawful, "--out", lawful / "export.jsonl")
    sound = {"whole": True, "balanced": True, "believed": True}
    for target in (lawful, lawful / "export.jsonl"):
        document = answer(run, "audit", target)
        assert document["answers"] == sound
        assert "trouble" not in document
        code, out, err = run("audit", target)
        assert (code, err) == (0, "")
        assert [line.split() for line in out.splitlines()[1:4]] == [[word, "yes"] for word in sound]


def test_an_altered_event_is_found(run: Run, folder: Path) -> None:
    with closing(sqlite3.connect(folder / "record.db")) as connection, connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute("UPDATE event SET body = replace(body, '45.2', '45.3') WHERE type = 'receive'")
    document = answer(run, "audit", folder, code=1)
    assert document["answers"] == {"whole": False, "balanced": None, "believed": False}
    assert any("event 9" in trouble["found"] for trouble in document["trouble"])
    _, out, _ = run("audit", folder)
    assert "whole     NO" in out
    assert "[RW505]" in out


def test_a_cut_tail_is_found_by_the_seal_outside(run: Run, lawful: Path) -> None:
    with go_on(lawful, 3, 100) as made:
        dossier(lawful, made, SERIAL)
    shorter = make_folder(lawful.parent / "shorter", history=lawful_history)
    assert answer(run, "audit", shorter)["answers"]["believed"] is True, "whole in itself"
    shutil.copy(lawful / "papers" / f"{SERIAL}.seal", shorter / "papers" / "kept.seal")
    document = answer(run, "audit", shorter, code=1)
    assert document["answers"] == {"whole": True, "balanced": True, "believed": False}
    (trouble,) = document["trouble"]
    assert trouble["code"] == "RW509"
    assert "3 events behind the head on the dossier of SN-0001" in trouble["found"]
    run("export", "--shop", shorter, "--out", shorter / "export.jsonl")
    assert troubles(run, "audit", shorter / "export.jsonl", code=1) == ["RW509"]


def test_a_fork_is_found_by_the_seal_outside(run: Run, lawful: Path) -> None:
    other = make_folder(lawful.parent / "other", history=lawful_history)
    with go_on(other, 2, 200) as made:
        dossier(other, made, SERIAL)
    go_on(lawful, 2, 300).close()
    shutil.copy(other / "papers" / f"{SERIAL}.seal", lawful / "papers" / "other.seal")
    (trouble,) = answer(run, "audit", lawful, code=1)["trouble"]
    assert "history was rewritten, or two copies were both continued, as after a restore" in trouble["found"]
    with record.open(lawful / "record.db") as mine, record.open(other / "record.db") as theirs:
        agreed = len([a for a, b in zip(mine.events(), theirs.events(), strict=True) if a.leaf() == b.leaf()])
    assert f"they part after event {agreed} or later" in trouble["found"], "its own dossier's head agrees"


def test_a_seal_that_is_broken_or_of_another_key_is_a_finding(run: Run, lawful: Path) -> None:
    seal = lawful / "papers" / f"{SERIAL}.seal"
    good = seal.read_bytes()
    seal.write_bytes(good.replace(b"SN-0001", b"SN-0007"))
    assert troubles(run, "audit", lawful, code=1) == ["RW601"]
    seal.write_bytes(b"not a seal")
    assert troubles(run, "audit", lawful, code=1) == ["RW601"]
    seal.write_bytes(good)
    make_folder(lawful.parent / "demo", DEMO_SEED)
    shutil.copy(lawful.parent / "demo" / "papers" / f"{SERIAL}.seal", lawful / "papers" / "zz.seal")
    (trouble,) = answer(run, "audit", lawful, code=1)["trouble"]
    assert "not by the shop's key" in trouble["found"]


def test_a_missing_attachment_is_found(run: Run, folder: Path) -> None:
    next((folder / "attachments").iterdir()).unlink()
    assert troubles(run, "audit", folder, code=1) == ["RW507"]


def test_a_gate_that_did_not_hold_is_found_in_hindsight(run: Run, tmp_path: Path) -> None:
    acts = shop_history()
    acts[5][0].body["texts"].clear()
    acts = [acts[0], *acts[1:8], acts[9], acts[10]]  # received, never accepted, but issued
    acts[7][0] = act(7, "receive", dict(acts[7][0].body))
    with make_record(tmp_path / "record.db", acts):
        document = answer(run, "audit", tmp_path, code=1)
    assert document["answers"]["balanced"] is False
    assert {trouble["code"] for trouble in document["found"]["balanced"]} >= {"RW511"}


def test_every_flipped_byte_of_an_export_is_found(run: Run, folder: Path) -> None:
    code, out, _ = run("export", "--shop", folder)
    data = out.encode()
    assert code == 0
    path = folder / "export.jsonl"
    for place in range(0, len(data), 97):
        path.write_bytes(data[:place] + bytes([data[place] ^ 1]) + data[place + 1 :])
        code, _, _ = run("audit", path)
        assert code in (1, 2), place  # 2 where its first line no longer says what it is
        assert code == 1 or place < data.index(b"\n"), place


# --- export and import ---------------------------------------------------------------------------


def test_an_export_and_its_import_are_the_same_bytes(run: Run, folder: Path, tmp_path: Path) -> None:
    code, out, err = run("export", "--shop", folder)
    assert (code, err) == (0, "")
    told = answer(run, "export", "--shop", folder, "--out", tmp_path / "one.jsonl")
    assert (tmp_path / "one.jsonl").read_bytes() == out.encode()
    done = answer(run, "import", tmp_path / "one.jsonl", "--into", tmp_path / "copy")
    assert (done["size"], done["root"]) == (told["size"], told["root"])
    assert run("export", "--shop", tmp_path / "copy")[1] == out


def test_an_import_that_is_not_whole_makes_no_record(run: Run, folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "bad.jsonl"
    run("export", "--shop", folder, "--out", path)
    path.write_bytes(path.read_bytes().replace(b"45.2 ksi", b"45.9 ksi"))
    assert "RW505" in troubles(run, "import", path, "--into", tmp_path / "copy", code=1)
    assert not (tmp_path / "copy").exists()
    path.write_text("nonsense", "utf-8")
    assert troubles(run, "import", path, "--into", tmp_path / "copy", code=2) == ["RW508"]
    run("export", "--shop", folder, "--out", path)
    assert troubles(run, "import", path, "--into", folder, code=2) == ["RW501"], "a record stands there"


def test_an_export_that_cannot_be_written_is_said(run: Run, folder: Path) -> None:
    out = folder / "nowhere" / "x.jsonl"
    assert troubles(run, "export", "--shop", folder, "--out", out, code=2) == ["RW002"]
    assert troubles(run, "export", "--shop", folder, code=2) == ["RW001"], "stdout is taken by the export"


# --- verify --------------------------------------------------------------------------------------


def test_a_dossier_as_sealed(run: Run, folder: Path) -> None:
    pdf = folder / "papers" / f"{SERIAL}.pdf"
    document = answer(run, "verify", pdf, "--key", KEY)
    assert document["good"] is True
    assert (document["serial"], document["key_id"], document["mark"]) == (SERIAL, KEY, "")
    assert all(check["ok"] for check in document["checks"])
    code, out, err = run("verify", pdf)
    assert (code, err) == (0, "")
    assert "The dossier is as sealed." in out
    assert out.rstrip().endswith(DEFERENCE)


def test_a_dossier_by_the_shop_s_public_key_file(run: Run, folder: Path, tmp_path: Path) -> None:
    pdf, own, his = folder / "papers" / f"{SERIAL}.pdf", tmp_path / "shop.pub", tmp_path / "his.pub"
    own.write_text(write_public_key(public_key(SEED)), "ascii")
    his.write_text(write_public_key(public_key(DEMO_SEED)), "ascii")
    assert "trusted key you gave" in run("verify", pdf, "--key", own)[1]
    assert answer(run, "verify", pdf, "--key", own)["good"] is True
    assert answer(run, "verify", pdf, "--key", his, code=1)["good"] is False
    own.write_text(own.read_text("ascii").replace(KEY, key_id(public_key(DEMO_SEED))), "ascii")
    code, _, err = run("verify", pdf, "--key", own)
    assert (code, "the id is not the id of this public key" in err) == (2, True)
    own.write_text(write_key(SEED), "ascii")
    assert "private key, which leaves the shop never" in run("verify", pdf, "--key", own)[2]


@pytest.mark.parametrize("altered", ["pdf", "seal value", "seal cut", "key"])
def test_a_dossier_not_as_sealed(run: Run, folder: Path, altered: str) -> None:
    pdf = folder / "papers" / f"{SERIAL}.pdf"
    seal = pdf.with_suffix(".seal")
    if altered == "pdf":
        pdf.write_bytes(PDF + b" ")
    elif altered == "seal value":
        seal.write_bytes(seal.read_bytes().replace(b"45.2 ksi", b"45.9 ksi"))
        seal.write_bytes(seal.read_bytes().replace(b'"serial":"SN-0001"', b'"serial":"SN-0002"'))
    elif altered == "seal cut":
        seal.write_bytes(seal.read_bytes()[:-40])
    found = troubles(run, "verify", pdf, *(["--key", "ab" * 32] if altered == "key" else []), code=1)
    assert set(found) == {"RW601"}
    assert run("verify", pdf, *(["--key", "ab" * 32] if altered == "key" else []))[0] == 1


def test_what_is_no_dossier(run: Run, folder: Path) -> None:
    pdf = folder / "papers" / f"{SERIAL}.pdf"
    assert troubles(run, "verify", folder / "nowhere.pdf", code=2) == ["RW602"]
    assert troubles(run, "verify", folder, code=2) == ["RW602"]
    assert troubles(run, "verify", pdf, "--key", "nonsense", code=2) == ["RW604"]
    assert troubles(run, "verify", pdf, "--key", folder / "shop.toml", code=2) == ["RW604"]
    pdf.with_suffix(".seal").write_bytes(b"something else\n")
    assert troubles(run, "verify", pdf, code=2) == ["RW602"]
    pdf.with_suffix(".seal").unlink()
    assert troubles(run, "verify", pdf, code=2) == ["RW602"]


def test_two_dossiers_of_one_record_and_of_a_fork(run: Run, folder: Path) -> None:
    with go_on(folder, 2, 300) as made:
        dossier(folder, made, "second")
    first, second = (folder / "papers" / f"{name}.pdf" for name in (SERIAL, "second"))
    document = answer(run, "verify", first, second)
    assert [check["ok"] for check in document["compared"]] == [True, True]
    other = make_folder(folder.parent / "other")
    with go_on(other, 2, 200) as made:
        dossier(other, made, "forked")
    forked = other / "papers" / "forked.pdf"
    document = answer(run, "verify", second, forked, code=1)
    assert document["good"] is False
    assert any("forked" in trouble["found"] for trouble in document["trouble"])
    code, out, _ = run("verify", second, forked)
    assert code == 1
    assert "NO  one history" in out


# --- without the engineering libraries -----------------------------------------------------------


def test_the_record_is_read_where_no_engineering_library_is_installed(
    run: Run, folder: Path, lawful: Path
) -> None:
    run("export", "--shop", lawful, "--out", lawful / "export.jsonl")
    for args in (
        ["verify", "papers/SN-0001.pdf"], ["audit"], ["audit", "export.jsonl"], ["trace", "heat", "H-7719"],
        ["export"], ["import", "export.jsonl", "--into", "copy"],
    ):  # fmt: skip
        program = (
            "import sys\n"
            "for name in ('numpy', 'scipy', 'pydantic', 'pint', 'typst', 'highspy'): sys.modules[name] = None\n"
            + ("sys.modules['sqlalchemy'] = None\n" if args[0] == "verify" else "")
            + f"from rackwright.faces.cli.main import main\nmain({args!r})\n"
        )
        done = subprocess.run(
            [sys.executable, "-c", program],
            capture_output=True,
            text=True,
            check=False,
            cwd=folder if args[0] == "verify" else lawful,
        )
        assert done.returncode == 0, (args, done.stderr)
    assert json.loads((lawful / "export.jsonl").read_text("utf-8").splitlines()[0])["size"] > 10
