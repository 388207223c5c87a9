"""A long run that is cut goes on where it stopped: what ended is noted once, a line cut off is none."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import soaked


def report(test: str, when: str = "call", failed: bool = False, **said: float) -> Any:
    return SimpleNamespace(nodeid=test, when=when, failed=failed, passed=not failed, longrepr="why\nE  so",
                           user_properties=list(said.items()))  # fmt: skip


def test_what_ended_is_noted_and_is_behind_the_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "notes.jsonl"
    monkeypatch.setattr(soaked, "_NOTES", str(path))
    monkeypatch.setattr(soaked, "_PART", "cuts")
    assert soaked.through() == set()
    soaked.note(report("t.py::a", when="setup"))
    soaked.note(report("t.py::a[1]@demo", done=2500, processor=1.25))
    soaked.note(report("t.py::b", failed=True, done=2500, processor=2))
    soaked.note(report("t.py::c", when="setup", failed=True))
    soaked.note(report("t.py::d", processor=0.5))
    whole = path.read_text()
    path.write_text(whole + whole[:40])
    assert soaked.through() == {"t.py::a[1]", "t.py::b", "t.py::c", "t.py::d"}
    seen = [(note.part, note.done, note.found, note.seconds) for note in soaked.notes_of(path)]
    assert seen == [
        ("cuts", 2500, "", 1.25),
        ("cuts", 0, "E  so", 2),
        ("cuts", 0, "E  so", 0),
        ("cuts", 1, "", 0.5),
    ]


def test_without_a_run_nothing_is_noted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(soaked, "_NOTES", "")
    monkeypatch.chdir(tmp_path)
    soaked.note(report("t.py::a", done=1))
    assert soaked.through() == set()
    assert list(tmp_path.iterdir()) == []
