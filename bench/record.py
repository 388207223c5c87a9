"""The record at size: append, look, trace, audit, open, and how they grow. Reported, never asserted.

    python bench/record.py [EVENTS | RECORD.db]    1 000 000 unless given; it takes minutes and a folder on a real disk

A record that is given was filled by this program before; it is appended to. Every wall time stands beside the time of
the processor, and the load of the machine is printed: on a busy one only the second says something of the program.

The table of 2026-11-27, on 2 quiet cores (load 1.0 to 1.1); audits in events a second of the wall:

     events  record   state     open  trace  append p99  raw sync p99   audit  on 2 cores  judged  on 2 cores
    102,000   55 MB   27 MB   2.7 ms  12 ms      2.3 ms        0.5 ms  41,106      75,926  26,701      27,264
    302,000  162 MB   82 MB   2.7 ms  16 ms      3.5 ms        1.1 ms  33,623      55,040  21,039      33,018
  1,002,000  536 MB  274 MB   2.8 ms  11 ms      2.2 ms        0.3 ms  36,428      68,133  22,938      34,530

Later that day of rows that are sound no event was made any more, and the machine was another one: 1,000,000 events, 2
quiet cores (load 1.4), three runs: 43,716 to 59,668 a second on one core, 110,290 to 114,439 on two, 17 us of processor
an event; the code before, an hour earlier beside other work, 57,639 on two.

2026-11-28, a third machine, 202,000 events: 45,996 a second on one core, 78,591 on two (22 us of processor an event);
the code of the day before was as slow there. Rows read and asked a hundred at a time: 17.4 us; 1,000,000 events on two
quiet cores 103,691 to 109,302 a second, six audits, two in a process of their own.

Where the audit's instructions went before (cachegrind, in thousands an event of 188; 310 with the judge): rows read
20, envelope decoded and held to its canonical form 62, leaf hash, order and acts 35, the tree 10, the names in it and
their weights 33, the index 24, SQLite's own check 10, files and clock 4; each counted by itself, so that they sum to
more. An act of one event takes as much again: the root and peaks of its commit are recomputed. Here many events share
a commit.

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
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import islice
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from rackwright import record as records
from rackwright.record import Record, Refs, audit, checkpoint, new_event, project, state_of
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.run import shared
from rackwright.work.serials.tracing import trace_in

GROWTH = (100_000, 300_000)  # measured on the way
COMMIT = 500  # events a commit while filling
SINGLE = 2000  # acts that are timed one by one
AT = "2031-05-04T13:00:00Z"
ADA, BRAM = "Ada Quill", "Bram Oole"
BARS, RACKS = 6, 50  # bars a rack, racks an order

Act = tuple[str, str, dict[str, Any], Refs]  # by, type, body, refs


def founding() -> Iterator[Act]:
    """Who acts, with which gauge, by which definition."""
    yield ADA, "found", {"shop": "Larkfield Racks (invented)", "demo": True}, Refs()
    yield ADA, "person", {"person": ADA, "roles": ["lead", "saw", "receiving"]}, Refs()
    yield ADA, "person", {"person": BRAM, "roles": ["inspector", "receiving"]}, Refs()
    yield ADA, "gauge", {"gauge": "LB-2", "kind": "length bar", "due": "2099-12-31"}, Refs.of(gauges=["LB-2"])
    yield ADA, "freeze", {"revision": "A", "texts": [{"name": "rack.toml", "file": "ab" * 32}]}, Refs()
    yield ADA, "approval_reference", {"revision": "A", "reference": "DOC-INVENTED-1"}, Refs()


def bar(number: int) -> Iterator[Act]:
    """One bar, which may start an order and a rack: received, accepted, issued, cut into three and a remnant with its
    label, each piece measured twice. Every act is one that its gate lets pass."""
    id, heat = f"T-{number}", f"H-{number // 20}"
    order, rack = f"PO-{number // (BARS * RACKS)}", f"SN-{number // BARS}"
    pieces = [f"{rack}/p{number % BARS}.{n}" for n in range(3)]
    refs, made = Refs.of(heats=[heat]), Refs.of(heats=[heat], pieces=pieces)
    if number % (BARS * RACKS) == 0:
        body = {"order": order, "customer": "Invented Survey", "variation": "alpine", "quantity": RACKS}
        yield ADA, "order", body, Refs()
    if number % BARS == 0:
        yield ADA, "serial", {"serial": rack, "order": order, "revision": "A"}, Refs.of(serials=[rack])
    yield ADA, "receive", {"stock_id": id, "form": "bar", "section": "SQ 1.5x0.125", "stock_spec": "6061-T6",
                           "heat": heat, "length_nm": 6_096_000_000,
                           "certificate": {"number": f"C-{heat}", "file": f"{number // 20:064x}"}}, refs  # fmt: skip
    yield BRAM, "accept", {"stock_id": id, "entered_by": ADA, "checks": [
        {"name": "Ftu", "required": "42 ksi", "found": "45.2 ksi", "ok": True}]}, refs  # fmt: skip
    yield ADA, "issue", {"stock_id": id, "job": order, "revision": "A", "pieces": pieces,
                         "length_nm": 6_096_000_000}, made  # fmt: skip
    yield ADA, "cut", {"stock_id": id, "job": order, "kerf_nm": 9_525_000, "trim_nm": 0, "scrap_nm": 86_475_000,
                       "pieces": [{"piece": each, "length_nm": 1_800_000_000, "serial": rack} for each in pieces],
                       "remnant": {"stock_id": f"{id}-R", "length_nm": 600_000_000, "label": f"L-{number}"}},\
        made  # fmt: skip
    for each in pieces:
        for what in ("length", "angle"):
            yield BRAM, "measure", {"piece": each, "characteristic": what, "value": "40.001 in", "lower": "39.99 in",
                                    "upper": "40.01 in", "gauge": "LB-2", "within": True,
                                    "guard": {"r": "0"}}, Refs.of(pieces=[each])  # fmt: skip


def acts(size: int) -> Iterator[Act]:
    """What follows in a record of so many events."""
    if size == 0:
        yield from founding()
    number = -(-size // (BARS * RACKS)) * BARS * RACKS  # an order and bars that are not there yet
    while True:
        yield from bar(number)
        number += 1


@dataclass
class Timed:
    """What a call gave, and the seconds it took of the wall and of the processor."""

    found: Any
    wall: float
    busy: float


def timed(words: str, call: Callable[[], Any], per: int = 0) -> Timed:
    start, before = time.perf_counter(), processor()
    found = call()
    took, busy = time.perf_counter() - start, processor() - before
    rate = f"   {per / took:12,.0f} events/s, {per / busy:,.0f} a second of the processor" if per else ""
    print(f"{words:44} {took * 1000:12,.1f} ms, processor {busy * 1000:12,.1f} ms{rate}", flush=True)
    return Timed(found, took, busy)


def alone(words: str, path: Path, size: int, judge: bool = False, each: bool = False) -> Timed:
    """An audit in a process of its own, as the command runs it: what was done before in this one costs it a third."""
    with ProcessPoolExecutor(1, get_context("spawn")) as pool:
        return pool.submit(audited_alone, words, path, size, judge, each).result()


def audited_alone(words: str, path: Path, size: int, judge: bool, each: bool) -> Timed:
    with records.open(path) as record:
        done = timed(
            words,
            lambda: audit(record, judge=in_hindsight if judge else None, each=shared if each else None),
            size,
        )
    assert done.found.ok
    return Timed(None, done.wall, done.busy)


def processor() -> float:
    """Seconds of the processor until now, of this process and of those it started."""
    spent = os.times()
    return spent.user + spent.system + spent.children_user + spent.children_system


def fill(record: Record, size: int) -> None:
    head, number = record.head(), 0
    first = head.size
    source = acts(head.size)
    step = max(COMMIT, size // 5 // COMMIT * COMMIT)
    start = time.perf_counter()
    while head.size < size:
        number += 1
        some = islice(source, min(COMMIT, size - head.size))
        many = [
            new_event(type, body, act_id=f"fill {size} {number}", at=AT, by=by, refs=refs)
            for by, type, body, refs in some
        ]
        head = record.append(many, head).head
        if head.size % step == 0:
            bytes_ = record.path.stat().st_size
            took = time.perf_counter() - start
            print(f"  {head.size:9,} events   {bytes_ / 1e6:8.1f} MB   {bytes_ / head.size:5.0f} bytes/event   "
                  f"filled at {(head.size - first) / took:8,.0f} events/s", flush=True)  # fmt: skip


def singles(record: Record) -> float:
    took, head = [], record.head()
    for number in range(head.size, head.size + SINGLE):
        one = [new_event("supplier", {"supplier": f"S-{number}", "scope": ["coat"]}, act_id=f"one {number}", at=AT,
                         by=ADA)]  # fmt: skip
        start = time.perf_counter()
        head = record.append(one, head).head
        took.append(time.perf_counter() - start)
    return told("append of one act, synced", took)


def raw_syncs(path: Path) -> float:
    """What the disk alone takes: four pages written at the end of a file and synced."""
    took = []
    with open(path, "wb", buffering=0) as file:
        for _ in range(SINGLE):
            start = time.perf_counter()
            file.write(bytes(16384))
            os.fdatasync(file.fileno())
            took.append(time.perf_counter() - start)
    path.unlink()
    return told("raw write and sync of 16 KB", took)


def told(words: str, took: list[float]) -> float:
    """Printed; the 99th percentile in ms."""
    cuts = statistics.quantiles(took, n=1000)
    print(f"{words}: median {cuts[499] * 1e3:.2f} ms, p99 {cuts[989] * 1e3:.2f} ms, "
          f"p99.9 {cuts[998] * 1e3:.2f} ms, worst {max(took) * 1e3:.1f} ms", flush=True)  # fmt: skip
    return cuts[989] * 1e3


def row(path: Path, folder: Path) -> list[str]:
    """Everything measured at one size; the state kept beside the record is made by the first look."""
    path.with_name(checkpoint.FILE).unlink(missing_ok=True)
    raw_syncs(folder / "raw")
    record = timed("open", lambda: records.open(path)).found
    appended = singles(record)
    raw = raw_syncs(folder / "raw")
    size = record.head().size
    traced = [timed(f"trace of the heat {heat}, by the index", lambda heat=heat: trace_in(record, "heat", heat))
              for heat in ("H-7", "H-7", "H-8", "H-9")]  # fmt: skip
    audited = alone("audit: whole and believed", path, size)
    alone("the same over all cores", path, size, each=True)
    alone("the same with its judge: balanced", path, size, judge=True)
    alone("the same over all cores", path, size, judge=True, each=True)
    seen = timed("all events, the first time", record.events, size)
    folded = timed("fold of the whole history", lambda: project(seen.found), size)
    del seen.found, folded.found
    record.close()
    firsts = []
    for words in ("first act's look: all is folded, and kept", "first act's look: what is kept is read"):
        with records.open(path) as record:
            firsts.append(timed(words, lambda record=record: state_of(record)))
            del firsts[-1].found
    opened = timed("open, again", lambda: records.open(path).close())
    return [f"{size:,}", f"{path.stat().st_size / 1e6:.0f}",
            f"{path.with_name(checkpoint.FILE).stat().st_size / 1e6:.0f}", f"{1e3 * opened.wall:.1f}",
            f"{1e3 * max(each.wall for each in traced[1:]):.1f}", f"{appended:.2f}", f"{raw:.2f}",
            *(f"{size / each.busy:,.0f}" for each in (audited, seen, folded)),
            *(f"{each.busy:.2f}" for each in firsts)]  # fmt: skip


COLUMNS = ("events", "record, MB", "state, MB", "open, ms", "trace, ms", "append p99, ms", "raw sync p99, ms",
           "audit/s", "read/s", "fold/s", "first look, s", "from state, s")  # fmt: skip


def main() -> None:
    given = sys.argv[1] if len(sys.argv) > 1 else "1000000"
    rows = [COLUMNS]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "record.db" if given.isdecimal() else Path(given)
        sizes = [size for size in GROWTH if size < int(given)] + [int(given)] if given.isdecimal() else [0]
        for size in sizes:
            with records.create(path) if not path.exists() else records.open(path) as record:
                fill(record, size)
            print(f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
            rows.append(row(path, Path(folder)))
    print("\ngrowth; events a second and seconds are of the processor, milliseconds of the wall")
    for each in rows:
        print("  ".join(f"{cell:>16}" for cell in each))
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"load {os.getloadavg()[0]:.1f}; largest memory {memory:.2f} GB")


if __name__ == "__main__":
    main()
