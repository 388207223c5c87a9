"""A station killed at any instant: whatever it said was recorded is there, and no act is there in part.

A kill leaves the system's page cache alive, so this cannot show what a power cut does; against that the
store insists on synchronous=FULL (tests/record/test_store.py).
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rackwright import record
from rackwright.record import Record

KILLS = 20

STATION = """
import sys
from rackwright import record
from rackwright.record import new_event
shop = record.open(sys.argv[1])
start = shop.head()
number = start.size
while True:  # acts of two events, acknowledged on stdout after the append came back
    number += 2
    act = [new_event('supplier', {'supplier': f'S-{number}-{i}', 'scope': ['x' * 400]}, act_id=f'act-{number}',
                     at='2031-05-04T13:00:00Z', by='Ada') for i in (1, 2)]
    done = shop.append(act, shop.head())
    sys.stdout.write(f'recorded {done.events[-1].seq} {done.head.root}\\n')
    sys.stdout.flush()
"""


@pytest.mark.long
def test_killed_at_random_instants_nothing_acknowledged_is_missing(tmp_path: Path) -> None:
    path = tmp_path / "record.db"
    record.create(path).close()
    chance = random.Random(20310504)
    acknowledged: dict[int, str] = {}
    for _ in range(KILLS):
        station = subprocess.Popen(
            [sys.executable, "-c", STATION, str(path)], stdout=subprocess.PIPE, text=True
        )
        assert station.stdout is not None
        first = station.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.05))
        os.kill(station.pid, signal.SIGKILL)
        lines = [first, *station.stdout.read().splitlines(keepends=True)]
        station.wait()
        station.stdout.close()
        for line in lines:
            if line.endswith("\n"):  # a line cut off by the kill was never read by anyone
                _, seq, root = line.split()
                acknowledged[int(seq)] = root
    assert len(acknowledged) >= KILLS
    with record.open(path) as shop:
        assert record.audit(shop).ok
        heads = {head.size: head.root for head in shop.heads()}
        assert {seq: heads.get(seq) for seq in acknowledged} == acknowledged
        assert shop.head().size % 2 == 0  # no act of two events is there by half
        assert (
            len(shop.events()) - 2 * len(acknowledged) <= 2 * KILLS
        )  # at most one unacknowledged act a kill


@pytest.mark.parametrize("when", ["before", "between", "after"])
def test_a_station_that_dies_inside_an_append_leaves_all_or_nothing(tmp_path: Path, when: str) -> None:
    path = tmp_path / "record.db"
    record.create(path).close()
    dies = {
        "before": "Record._write = lambda *_: os._exit(9)",
        "between": "sa.event.listen(shop._engine, 'commit', lambda *_: os._exit(9))",
        "after": "shop.append = lambda act, seen, go=shop.append: (go(act, seen), os._exit(9))",
    }[when]
    code = STATION.replace("start = shop.head()", f"start = shop.head()\n{dies}")
    start = "import os\nimport sqlalchemy as sa\nfrom rackwright.record import Record\n"
    done = subprocess.run([sys.executable, "-c", start + code, str(path)], capture_output=True, check=False)
    assert done.returncode == 9
    with record.open(path) as shop:
        assert shop.head().size == (2 if when == "after" else 0)
        assert record.audit(shop).ok
        assert go_on(shop) == shop.head().size


def go_on(shop: Record) -> int:
    """The act repeated by the next station: recorded once, whatever the first one reached."""
    act = [record.new_event("supplier", {"supplier": f"S-2-{i}", "scope": ["x" * 400]}, act_id="act-2",
                            at="2031-05-04T13:05:00Z", by="Ada") for i in (1, 2)]  # fmt: skip
    return shop.append(act, shop.head()).events[-1].seq
