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
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from private_postgres import Place
from rackwright import record
from rackwright.record import Record
from soaked import ROUND

KILLS, LOTS = 100, range(100 if ROUND else 5)  # 10 000, in CI 500; on PostgreSQL 4 000, in CI 200

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
#: starts a station at each word, in a process of its own, and says when it is gone: what is imported is imported once
NURSERY = f"""
import os, sys
from rackwright import record
record.open(sys.argv[1]).close()
for _ in sys.stdin:
    child = os.fork()
    if not child:
        print('station', os.getpid(), flush=True)
        try:
            exec({STATION!r})
        finally:
            os._exit(1)
    os.waitpid(child, 0)
    print('\\ngone', flush=True)
"""


@contextmanager
def nursery(path: Path) -> Iterator[Callable[[bool, float], list[str]]]:
    """Kills a station so many seconds after it began, or after its first word: what it had said by then."""
    words = [sys.executable, "-c", NURSERY, str(path)]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdin is not None
        assert running.stdout is not None

        def killed(heard: bool, after: float) -> list[str]:
            print("go", file=running.stdin, flush=True)
            _, child = running.stdout.readline().split()
            first = [running.stdout.readline()] if heard else []
            time.sleep(after)
            os.kill(int(child), signal.SIGKILL)
            return [*first, *iter(running.stdout.readline, "gone\n")]

        yield killed
        running.stdin.close()


@pytest.mark.long
@pytest.mark.parametrize("lot", LOTS)
def test_killed_at_random_instants_nothing_acknowledged_is_missing(
    place: Place, tmp_path: Path, lot: int, record_property: Callable[[str, int], None]
) -> None:
    path = place(tmp_path)
    kills = KILLS if path.name == "record.db" else KILLS * 2 // 5
    record.create(path).close()
    chance = random.Random(f"kill {lot} {ROUND}")
    acknowledged: dict[int, str] = {}
    with nursery(path) as killed:
        for number in range(kills):
            for line in killed(
                number % 5 > 0, chance.uniform(0.0, 0.05)
            ):  # each fifth while it opens, or soon after
                if line.startswith("recorded ") and line.endswith(
                    "\n"
                ):  # cut off by the kill nobody has read it
                    _, seq, root = line.split()
                    acknowledged[int(seq)] = root
    assert len(acknowledged) >= kills * 4 // 5
    with record.open(path) as shop:
        assert record.audit(shop).ok
        heads = {head.size: head.root for head in shop.heads()}
        assert {seq: heads.get(seq) for seq in acknowledged} == acknowledged
        assert shop.head().size % 2 == 0  # no act of two events is there by half
        assert (
            len(shop.events()) - 2 * len(acknowledged) <= 2 * kills
        )  # at most one unacknowledged act a kill
    record_property("done", kills)


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
