"""The demo as a user runs it, in a process of its own; `conftest.py` keeps one whole run for the session."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from rackwright import record as records
from rackwright.record import Event

__all__ = ["Ran", "command", "run"]


@dataclass(frozen=True)
class Ran:
    """One run of `rackwright demo`."""

    folder: Path
    code: int
    out: str
    err: str

    @property
    def events(self) -> tuple[Event, ...]:
        with records.open(self.folder / "record.db") as record:
            return record.events()

    @property
    def files(self) -> dict[str, bytes]:
        return {str(path.relative_to(self.folder)): path.read_bytes()
                for path in sorted(self.folder.rglob("*")) if path.is_file()}  # fmt: skip


def command(folder: Path, variation: Path | None = None) -> list[str]:
    edited = ["--variation", str(variation)] if variation else []
    return [sys.executable, "-m", "rackwright.faces.cli.main", "demo", str(folder), *edited]


def run(folder: Path, variation: Path | None = None) -> Ran:
    done = subprocess.run(command(folder, variation), capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stdout + done.stderr
    return Ran(folder, done.returncode, done.stdout, done.stderr)
