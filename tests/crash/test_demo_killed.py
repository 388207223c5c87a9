"""A demo that is killed and started again: no event that was printed `recorded` is missing, none is doubled.

kill -9 leaves the page cache alive, so this proves the order of commit and print and the going on, not the
disk; the settings that a power cut needs are checked when a record is opened.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from rackwright import record as records

pytestmark = pytest.mark.long


@pytest.mark.parametrize("after", [1, 40, 260])
def test_what_was_printed_recorded_is_there_and_the_demo_goes_on(tmp_path: Path, after: int) -> None:
    folder = tmp_path / "shop"
    printed = _killed(folder, after)
    assert len(printed) >= after
    with records.open(folder / "record.db") as record:
        there = {(event.seq, event.type) for event in record.events()}
    assert set(printed) <= there

    whole = subprocess.run(_demo(folder), capture_output=True, text=True)
    assert whole.returncode == 0, whole.stderr
    assert "going on with a demo that was cut off" in whole.stdout
    with records.open(folder / "record.db") as record:
        events = record.events()
        assert records.audit(record).ok
    assert [event.seq for event in events] == list(range(1, len(events) + 1))
    assert set(printed) <= {(event.seq, event.type) for event in events}

    never_killed = tmp_path / "other"
    assert subprocess.run(_demo(never_killed), capture_output=True).returncode == 0
    assert (folder / "export.jsonl").read_bytes() == (never_killed / "export.jsonl").read_bytes()


def _demo(folder: Path) -> list[str]:
    return [sys.executable, "-m", "rackwright.faces.cli.main", "demo", str(folder)]


def _killed(folder: Path, after: int) -> list[tuple[int, str]]:
    """Kill the demo once it has printed so many `recorded` lines; what it had printed by then."""
    printed: list[tuple[int, str]] = []
    with subprocess.Popen(_demo(folder), stdout=subprocess.PIPE, text=True) as demo:
        assert demo.stdout is not None
        for line in demo.stdout:
            match = re.match(r"recorded (\d+) (\w+)", line)
            if match:
                printed.append((int(match[1]), match[2]))
            if len(printed) >= after:
                demo.kill()
                break
        printed += [
            (int(n), kind) for n, kind in re.findall(r"^recorded (\d+) (\w+)", demo.stdout.read(), re.M)
        ]
    return printed
