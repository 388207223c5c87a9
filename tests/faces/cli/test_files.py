"""Reading a file the user named: its bytes, or a trouble that names it."""

from __future__ import annotations

import io
import os
from pathlib import Path
from types import SimpleNamespace

import pytest

from rackwright.faces.cli.files import read_bytes
from rackwright.located import MAX_BYTES
from rackwright.trouble import Stopped


def test_the_bytes_of_a_file(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_bytes(b"a = 1\r\n")
    assert read_bytes(tmp_path / "a.toml") == b"a = 1\r\n"
    assert read_bytes(str(tmp_path / "a.toml")) == b"a = 1\r\n"


def test_a_dash_is_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=io.BytesIO(b"a = 1")))
    assert read_bytes("-") == b"a = 1"


@pytest.mark.parametrize("name", ["missing.toml", ".", "a.toml/b", "nul\0byte", "n" * 5000])
def test_what_cannot_be_read_is_named(tmp_path: Path, name: str) -> None:
    (tmp_path / "a.toml").write_bytes(b"")
    path = f"{tmp_path}/{name}"
    with pytest.raises(Stopped) as caught:
        read_bytes(path)
    (fault,) = caught.value.troubles
    assert (fault.code, fault.where.file, caught.value.exit_code) == ("RW002", path, 2)
    assert fault.found


def test_a_file_without_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:  # the superuser may read everything, so the refusal is played
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("builtins.open", refuse)
    with pytest.raises(Stopped, match="permission denied"):
        read_bytes(tmp_path / "a.toml")


def test_no_more_than_the_limit_is_read(tmp_path: Path) -> None:
    endless = Path("/dev/zero")
    big = tmp_path / "big"
    big.touch()
    os.truncate(big, MAX_BYTES + 1)
    for path in [big, *([endless] if endless.exists() else [])]:
        with pytest.raises(Stopped) as caught:
            read_bytes(path)
        assert caught.value.troubles[0].code == "RW005"
    os.truncate(big, MAX_BYTES)
    assert len(read_bytes(big)) == MAX_BYTES
    assert len(read_bytes(big, limit=MAX_BYTES)) == MAX_BYTES
