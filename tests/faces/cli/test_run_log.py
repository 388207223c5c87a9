"""The log of what the program did: asked for by the environment, whole lines, nothing that a person typed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from faces.cli.shop_desk import Run, runner
from rackwright import record
from rackwright.faces.cli import main

LEAD, NAME = "A. Quill", "Petal Works (invented)"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, monkeypatch)


@pytest.fixture
def log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RACKWRIGHT_LOG", str(tmp_path / "run.jsonl"))
    return tmp_path / "run.jsonl"


def lines(path: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in path.read_text("ascii").splitlines()]


def test_a_command_its_events_and_its_refusal(run: Run, log: Path, tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    sign = tmp_path / "sign"
    sign.write_text("four tubes and a block\n")
    assert run("new", shop, "--name", NAME, "--by", LEAD, "--sign", sign)[0] == 0
    assert (
        run("log", "supplier", "supplier=S\u202e-1\n", "scope=coat", "--by", "Nobody Known", "--shop", shop)[
            0
        ]
        == 1
    )
    assert (
        run("log", "supplier", "supplier=S-1", "scope=coat", "--by", LEAD, "--shop", shop, "--sign", sign)[0]
        == 0
    )
    with record.open(shop / "record.db") as made:
        events = made.events()
    told = lines(log)
    begun = [one for one in told if one["what"] in ("begun", "ended")]
    assert [(one["what"], one["command"], one.get("exit")) for one in begun] == [
        ("begun", "new", None), ("ended", "new", 0), ("begun", "log", None), ("ended", "log", 1),
        ("begun", "log", None), ("ended", "log", 0),
    ]  # fmt: skip
    appended = [one for one in told if one["what"] == "appended"]
    assert [type for one in appended for type in one["types"]] == [event.type for event in events]
    assert [one["first"] for one in appended][-1] == events[-1].seq
    assert [one["code"] for one in told if one["what"] == "trouble"] == ["RW516"]
    assert all(
        word not in log.read_text("ascii") for word in ("Nobody", "four", "Quill", "S-1", "\\u202e", "Petal")
    )


def test_a_log_that_cannot_be_written_stops_nobody(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for place in (tmp_path, Path("/dev/full")):  # a folder; a full disk
        monkeypatch.setenv("RACKWRIGHT_LOG", str(place))
        code, out, err = run("explain", "RW501")
        assert code == 0
        assert "RW501" in out
        assert err.count("RACKWRIGHT_LOG: nothing is logged:") == 1


def test_nothing_is_logged_where_nobody_asked(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RACKWRIGHT_LOG", "-")
    _, _, err = run("explain", "RW501")
    assert [json.loads(line)["what"] for line in err.splitlines()] == ["begun", "ended"]
    monkeypatch.delenv("RACKWRIGHT_LOG")
    assert run("explain", "RW501")[2] == ""


def test_a_fault_of_ours_is_told_by_its_place_and_not_by_what_was_typed(
    run: Run, log: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise LookupError("the PIN 7392")

    monkeypatch.setattr(main.cli, "main", broken)
    assert run("due")[0] == 3
    (fault,) = [one for one in lines(log) if one["what"] == "fault of ours"]
    assert fault["kind"] == "LookupError"
    assert any("broken" in step for step in fault["steps"])
    assert "7392" not in log.read_text("ascii")


def test_processes_that_share_a_log_write_whole_lines(tmp_path: Path) -> None:
    log = tmp_path / "run.jsonl"
    program = (
        "from rackwright.faces.run_log import begin, did; begin(); [did('x' * 3000, n=n) for n in range(200)]"
    )
    environment = os.environ | {"RACKWRIGHT_LOG": str(log)}
    several = [subprocess.Popen([sys.executable, "-c", program], env=environment) for _ in range(3)]
    assert [one.wait() for one in several] == [0, 0, 0]
    assert sorted((one["process"], one["n"]) for one in lines(log)) == sorted(
        (one.pid, n) for one in several for n in range(200)
    )


def test_where_no_log_is_asked_for_a_fault_is_its_one_line(tmp_path: Path) -> None:
    words = [sys.executable, "-m", "rackwright.faces.cli.main", "check", str(tmp_path / "none.toml")]
    environment = {name: value for name, value in os.environ.items() if name != "RACKWRIGHT_LOG"}
    done = subprocess.run(words, capture_output=True, text=True, env=environment, check=False)
    (line,) = done.stderr.splitlines()
    assert (done.returncode, "RW002" in line) == (2, True)
