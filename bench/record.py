"""The record at size: append, look, trace, audit, open, and how the file grows. Reported, never asserted.

    python bench/record.py [EVENTS | RECORD.db]    1 000 000 unless given; it takes minutes and a folder on a real disk

A record that is given was filled by this program before; it is appended to. Every wall time stands beside the time of
the processor, and the load of the machine is printed: on a busy one only the second says something of the program.

Bars are received, issued and cut into pieces that are measured, as a shop would over decades; many acts share a
commit while the record is filled, then single acts are timed with the settings that a power cut needs (FULL).
"""

from __future__ import annotations

import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from rackwright import record as records
from rackwright.record import Event, Record, Refs, audit, new_event, project
from rackwright.work.serials.tracing import trace_in

COMMIT = 500  # events a commit while filling
SINGLE = 2000  # acts that are timed one by one
AT = "2031-05-04T13:00:00Z"


def bar(number: int) -> Iterator[tuple[str, dict[str, Any], Refs]]:
    """Ten events of one bar: received, accepted, issued, cut into three, measured twice each."""
    id, heat = f"T-{number}", f"H-{number // 20}"
    pieces = [f"SN-{number // 6}/p{number % 6}.{n}" for n in range(3)]
    refs, made = Refs.of(heats=[heat]), Refs.of(heats=[heat], pieces=pieces)
    yield "receive", {"stock_id": id, "form": "bar", "section": "SQ 1.5x0.125", "stock_spec": "6061-T6", "heat": heat,
                      "length_nm": 6_096_000_000, "certificate": {"number": f"C-{heat}"}}, refs  # fmt: skip
    yield "accept", {"stock_id": id, "checks": [
        {"name": "Ftu", "required": "42 ksi", "found": "45.2 ksi", "ok": True}]}, refs  # fmt: skip
    yield (
        "issue",
        {"stock_id": id, "job": "PO-1", "revision": "A", "pieces": pieces, "length_nm": 6_096_000_000},
        made,
    )
    yield "cut", {"stock_id": id, "job": "PO-1", "pieces": [{"piece": each, "length_nm": 2_000_000_000} for each in
                  pieces], "kerf_nm": 9_525_000, "trim_nm": 0, "scrap_nm": 86_475_000}, made  # fmt: skip
    for each in pieces:
        for what in ("length", "angle"):
            yield "measure", {"piece": each, "characteristic": what, "value": "40.001 in", "lower": "39.99 in",
                              "upper": "40.01 in", "gauge": "LB-2", "within": True}, Refs.of(pieces=[each])  # fmt: skip


def events() -> Iterator[tuple[str, dict[str, Any], Refs]]:
    number = 0
    while True:
        yield from bar(number)
        number += 1


def timed(words: str, call: Callable[[], Any], per: int = 0) -> Any:
    start, busy = time.perf_counter(), time.process_time()
    found = call()
    took, busy = time.perf_counter() - start, time.process_time() - busy
    rate = f"   {per / took:12,.0f} events/s, {per / busy:,.0f} a second of the processor" if per else ""
    print(f"{words:44} {took * 1000:12,.1f} ms, processor {busy * 1000:12,.1f} ms{rate}", flush=True)
    return found


def fill(record: Record, size: int) -> None:
    source, head, number = events(), record.head(), 0
    step = max(COMMIT, size // 5 // COMMIT * COMMIT)
    start = time.perf_counter()
    while head.size < size:
        number += 1
        some = islice(source, min(COMMIT, size - head.size))
        many = [new_event(*each[:2], act_id=f"fill {number}", at=AT, by="Ada", refs=each[2]) for each in some]
        head = record.append(many, head).head
        if head.size % step == 0:
            bytes_ = record.path.stat().st_size
            took = time.perf_counter() - start
            print(f"  {head.size:9,} events   {bytes_ / 1e6:8.1f} MB   {bytes_ / head.size:5.0f} bytes/event   "
                  f"filled at {head.size / took:8,.0f} events/s", flush=True)  # fmt: skip


def singles(record: Record) -> None:
    took, head = [], record.head()
    for number in range(head.size, head.size + SINGLE):
        one = [new_event("supplier", {"supplier": f"S-{number}", "scope": ["coat"]}, act_id=f"one {number}", at=AT,
                         by="Ada")]  # fmt: skip
        start = time.perf_counter()
        head = record.append(one, head).head
        took.append(time.perf_counter() - start)
    told("append of one act, synced", took)


def raw_syncs(path: Path) -> None:
    """What the disk alone takes: four pages written at the end of a file and synced."""
    took = []
    with open(path, "wb", buffering=0) as file:
        for _ in range(SINGLE):
            start = time.perf_counter()
            file.write(bytes(16384))
            os.fdatasync(file.fileno())
            took.append(time.perf_counter() - start)
    path.unlink()
    told("raw write and sync of 16 KB", took)


def told(words: str, took: list[float]) -> None:
    cuts = statistics.quantiles(took, n=1000)
    print(f"{words}: median {cuts[499] * 1e3:.2f} ms, p99 {cuts[989] * 1e3:.2f} ms, "
          f"p99.9 {cuts[998] * 1e3:.2f} ms, worst {max(took) * 1e3:.1f} ms", flush=True)  # fmt: skip


def main() -> None:
    given = sys.argv[1] if len(sys.argv) > 1 else "1000000"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "record.db" if given.isdecimal() else Path(given)
        if given.isdecimal():
            with records.create(path) as record:
                fill(record, int(given))
        print(f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
        raw_syncs(Path(folder) / "raw")
        record = timed("open", lambda: records.open(path))
        singles(record)
        raw_syncs(Path(folder) / "raw")
        size = timed("head", record.head).size
        for heat in ("H-7", "H-7", "H-8", "H-9"):
            timed(f"trace of the heat {heat}, by the index", lambda heat=heat: trace_in(record, "heat", heat))
        timed("audit: whole and believed", lambda: audit(record).ok, size)
        seen: tuple[Event, ...] = timed("look, the first time", record.look, size)[1]
        timed("look, again", record.look)
        timed("fold of the whole history", lambda: project(seen), size)
        record.close()
    print(f"largest memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6:.2f} GB")


if __name__ == "__main__":
    main()
