"""What `make soak` has done: one line a test that ended, so that a run that was cut goes on where it stopped.

    {"done": 2500, "found": "", "part": "power cuts", "seconds": 41.2, "test": "tests/crash/test_power_cut.py::…"}

`done` is how many cuts, kills, bytes … the test says it has made, by its property of this name; 1 where it says
nothing. `seconds` are the processor's, with those of the processes that the test started and saw end: a busy machine
does not lengthen them. A line that was cut off is none.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

ROUND = os.environ.get("SOAK", "")  # "" in CI
_NOTES, _PART = os.environ.get("SOAK_NOTES", ""), os.environ.get("SOAK_PART", "")


@dataclass(frozen=True)
class Note:
    part: str
    test: str
    done: int
    found: str
    seconds: float


def notes_of(path: Path) -> Iterator[Note]:
    for line in path.read_text("utf-8").splitlines() if path.exists() else ():
        try:
            yield Note(**json.loads(line))
        except ValueError:  # the run was cut while it was written
            continue


def through() -> set[str]:
    """The tests that this round has behind it."""
    return {note.test for note in notes_of(Path(_NOTES))} if _NOTES else set()


def processor() -> float:
    """Seconds that this process and those it has seen end took of the processor."""
    return sum(os.times()[:4])


def note(report: Any) -> None:
    """Write down what a test did, or where it failed, once it has ended."""
    if not _NOTES or not (report.failed or report.when == "call"):
        return
    said = dict(report.user_properties)
    done = int(report.passed and said.get("done", 1))
    found = str(report.longrepr).strip().splitlines()[-1] if report.failed else ""
    test = re.sub(r"@\w+$", "", report.nodeid)  # its group, when tests run in several processes
    one = Note(_PART, test, done, found, round(said.get("processor", 0), 2))
    with open(_NOTES, "a", encoding="utf-8") as file:
        file.write(json.dumps(asdict(one), sort_keys=True) + "\n")
