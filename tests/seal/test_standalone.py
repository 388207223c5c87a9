"""`verify.pyz`: one file that verifies a dossier where rackwright is not installed."""

from __future__ import annotations

import subprocess
import sys
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest

from rackwright.seal import Head, Tree, canonical, key_id, leaf_hash, make_seal, public_key, write_public_key
from rackwright.seal.standalone import main, one_file

PDF = b"%PDF-1.7 invented\n"
SEED = sha256(b"an invented shop").digest()
AT = "2031-05-04T13:00:00Z"
EVENTS = [{"seq": seq, "type": "release", "refs": {"serials": [f"SN-{seq}"]}} for seq in (1, 2, 3)]


def tree(size: int) -> Tree:
    return Tree(leaf_hash(canonical(event)) for event in EVENTS[:size])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "verify.pyz").write_bytes(one_file())
    (tmp_path / "SN-2.pdf").write_bytes(PDF)
    (tmp_path / "SN-2.seal").write_bytes(make_seal("SN-2", PDF, EVENTS[1:2], tree(2), AT, SEED))
    (tmp_path / "SN-3.seal").write_bytes(make_seal("SN-3", PDF, EVENTS[2:], tree(3), AT, SEED))
    return tmp_path


def run(folder: Path, *args: str) -> subprocess.CompletedProcess[str]:
    """As its receiver would; the file is first on Python's path, so the package in it is the one used."""
    command = [sys.executable, "verify.pyz", *args]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)


def test_one_file_verifies_alone(folder: Path) -> None:
    done = run(folder, "SN-2.pdf", "--key", key_id(public_key(SEED)))
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count("ok ") == 7
    assert "The dossier is as it was sealed." in done.stdout
    assert "it is the trusted key you gave" in done.stdout
    assert "Not approved data" in done.stdout


def test_the_one_file_takes_the_public_key_file(folder: Path) -> None:
    (folder / "shop.pub").write_text(write_public_key(public_key(SEED)), "ascii")
    done = run(folder, "SN-2.pdf", "--key", "shop.pub")
    assert (done.returncode, done.stderr) == (0, "")
    assert "it is the trusted key you gave" in done.stdout
    (folder / "shop.pub").write_text(write_public_key(public_key(bytes(32))), "ascii")
    assert run(folder, "SN-2.pdf", "--key", "shop.pub").returncode == 1


def test_it_holds_and_imports_nothing_but_the_seal(folder: Path) -> None:
    with ZipFile(folder / "verify.pyz") as archive:
        texts = {name: archive.read(name).decode() for name in archive.namelist()}
    own = [name for name in texts if not name.startswith("rackwright/seal/")]
    assert own == ["__main__.py", "rackwright/__init__.py", "rackwright/trouble.py"]
    imports = {line.split()[1] for text in texts.values() for line in text.splitlines()
               if line.strip().startswith(("import ", "from ")) and "import" in line}  # fmt: skip
    foreign = {name for name in imports if name.split(".")[0] not in sys.stdlib_module_names}
    assert {name for name in foreign if not name.startswith(("rackwright.seal", "rackwright.trouble"))} == {
        "cryptography.hazmat.primitives.asymmetric"
    }


def test_the_same_sources_give_the_same_small_file() -> None:
    assert one_file() == one_file()
    assert len(one_file()) < 100_000
    with ZipFile(BytesIO(one_file())) as archive:
        assert {item.date_time for item in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_what_is_altered_is_said_and_ends_with_1(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "SN-2.pdf").write_bytes(PDF.replace(b"invented", b"Invented"))
    assert main([str(folder / "SN-2.pdf")]) == 1
    said = capsys.readouterr().out
    assert "NO pdf: the PDF was altered after sealing" in said
    assert "The dossier is NOT as it was sealed." in said
    assert main([str(folder / "SN-2.pdf"), "--key", "00" * 32]) == 1


def test_two_seals_without_a_proof_between_them(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([str(folder / "SN-2.pdf"), "--against", str(folder / "SN-3.seal")]) == 1
    assert "ask the shop" in capsys.readouterr().out
    proven = make_seal("SN-3", PDF, EVENTS[2:], tree(3), AT, SEED, [Head(2, tree(2).root().hex())])
    (folder / "SN-3.seal").write_bytes(proven)
    assert main([str(folder / "SN-2.pdf"), "--against", str(folder / "SN-3.seal")]) == 0


@pytest.mark.parametrize(
    ("args", "code"),
    [([], "RW001"), (["--key"], "RW001"), (["a", "b"], "RW001"), (["SN-9.pdf"], "RW002"),
     (["SN-2.pdf", "--key", "the one on the wall"], "RW604"), (["SN-2.pdf", "--against", "verify.pyz"], "RW602")],
)  # fmt: skip
def test_wrong_use_is_told_and_ends_with_2(
    folder: Path,
    args: list[str],
    code: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(folder)
    assert main(args) == 2
    assert f"[{code}]" in capsys.readouterr().err
