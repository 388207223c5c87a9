"""`rackwright serve` where it cannot begin: one clear fault, and the record let go."""

from __future__ import annotations

import importlib.util
import socket
from pathlib import Path

import pytest

from faces.cli.shop_desk import runner
from rackwright import record as records


def told(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *args: str | Path) -> str:
    code, out, err = runner(capsys, monkeypatch)("serve", *args)
    assert (code, out) == (2, "")
    (line,) = err.splitlines()
    return line


def test_a_folder_without_a_record_and_an_engine_set_weaker(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "RW501" in told(capsys, monkeypatch, "--shop", tmp_path, "--port", "0")
    (tmp_path / "record.db").write_bytes(b"no database at all, but long enough to be read as one" * 100)
    assert "RW501" in told(capsys, monkeypatch, "--shop", tmp_path, "--port", "0")


def test_an_address_that_is_taken_or_is_none(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    records.create(tmp_path / "record.db").close()
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = str(other.getsockname()[1])
        line = told(capsys, monkeypatch, "--shop", tmp_path, "--port", port)
        assert "RW001" in line
        assert f"127.0.0.1:{port}" in line
    assert "RW001" in told(capsys, monkeypatch, "--shop", tmp_path, "--host", "256.0.0.1")


def test_without_its_extra_it_says_what_to_install(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "jinja2" else name)
    line = told(capsys, monkeypatch, "--shop", tmp_path)
    assert "RW008" in line
    assert "rackwright[serve]" in line
