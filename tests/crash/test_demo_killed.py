"""A demo that is killed again and again and started again: nothing printed `recorded` is missing, nothing doubled.

kill -9 leaves the page cache alive, so this proves the order of commit and print and the going on, not the
disk; the settings that a power cut needs are checked when a record is opened.
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from played import Ran, command
from rackwright import record as records

pytestmark = [pytest.mark.long, pytest.mark.soak]

Printed = list[tuple[int, str]]


def test_what_was_printed_recorded_is_there_and_the_demo_goes_on(played_demo: Ran, tmp_path: Path) -> None:
    folder, printed = tmp_path / "shop", []
    for more in (1, 40, 260):
        printed += _killed(folder, more)
        with records.open(folder / "record.db") as record:
            assert set(printed) <= {(event.seq, event.type) for event in record.events()}
            assert records.audit(record).ok

    whole = subprocess.run(command(folder), capture_output=True, text=True)
    assert whole.returncode == 0, whole.stderr
    assert "going on with a demo that was cut off" in whole.stdout
    with records.open(folder / "record.db") as record:
        events = record.events()
        assert records.audit(record).ok
    assert [event.seq for event in events] == list(range(1, len(events) + 1))
    assert len({event.act_id for event in events if event.type == "order"}) == 1, (
        "what was done is not done again"
    )
    assert set(printed) <= {(event.seq, event.type) for event in events}
    assert (folder / "export.jsonl").read_bytes() == (played_demo.folder / "export.jsonl").read_bytes()


def _killed(folder: Path, after: int) -> Printed:
    """Kill the demo once it has printed so many `recorded` lines; what it had printed by then."""
    printed: Printed = []
    with subprocess.Popen(command(folder), stdout=subprocess.PIPE, text=True) as demo:
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
    assert len(printed) >= after
    return printed
