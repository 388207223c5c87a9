"""The general-purpose nesting library at work: packs of strips, repeatable because its reports are counted.

Its search has a clock and no other end. But from one seed with one thread it takes the same steps each time, and it
reports every one: the best pack among the first so many reports is the same on every machine (tried, not promised by
the library; the packer's name tells version, seed and count). It runs in a child process that is ended when they have
come. Without the library our own packer stands, and the plan's packer says so.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from importlib.metadata import PackageNotFoundError, version
from itertools import accumulate, takewhile
from math import ceil
from typing import Any

from rackwright.making.flat import Flat
from rackwright.making.nest import (
    Layout,
    Pack,
    Strip,
    area_bound,
    laid,
    lay_out,
    room,
    strip_of,
    usable_length,
)
from rackwright.making.plate import Nest, PlateJob
from rackwright.making.sawing.cutting import Slot
from rackwright.plan import Plan
from rackwright.shop import StockItem
from rackwright.shop.machines import PlateCut
from rackwright.work.run import run_until

__all__ = ["REPORTS", "nested", "packed"]

REPORTS = 60  # of the library's search, for each strip: about a second for some dozens of blanks
LIBRARY = "spyrrow"
SEED = 1
MOST = 600.0  # s, for a machine that stands still: then our own packer stands
FEW = 4  # blanks on a plate
MOST_OF_IT = 0.5  # of a plate
TRIES = 5  # strips for a plate, each with fewer blanks


def nested(plan: Plan, reports: int = REPORTS) -> Plan:
    """The plan with the library's layouts offered for every job; our own count where they are better."""
    cut = plan.shop.plate
    try:
        packer = f"{LIBRARY} {version(LIBRARY)}, seed {SEED}, {reports} reports"
    except PackageNotFoundError:
        return plan
    if cut is None or reports == 0:
        return plan
    nests = []
    for job in plan.plate.jobs:
        if job.layouts and not _alike_rectangles(job):
            layouts, missing = _on_plates(job, cut, reports)
            nests.append(Nest(job.section, job.stock, layouts, missing, packer))
    return replace(plan, nests=tuple(nests)) if nests else plan


def _alike_rectangles(job: PlateJob) -> bool:
    """One size of rectangle: rows and columns are as good as anything."""
    flats = list(job.flats.values())
    straight = all(segment.centre is None for flat in flats for segment in flat.outline)
    return straight and len({flat.size for flat in flats}) == 1


def _on_plates(job: PlateJob, cut: PlateCut, reports: int) -> tuple[tuple[Layout, ...], tuple[Slot, ...]]:
    """Plate by plate, smallest first; remnants of another shape are left to our own packer."""
    slots = [one.slot for layout in job.layouts for one in layout.placed] + list(job.missing)
    left = sorted(slots, key=lambda slot: (-job.flats[slot.part].area, slot.part, slot))
    layouts = []
    whole = [item for item in job.plates if item.outline is None]
    for item in sorted(whole, key=lambda one: (one.length_nm or 0) * (one.width_nm or 0)):
        for number in range(1, item.count + 1):
            best = _on_one(left, job.flats, item, number, cut, reports)
            if best is not None:
                layouts.append(best)
                there = {one.slot for one in best.placed}
                left = [slot for slot in left if slot not in there]
    return tuple(layouts), tuple(sorted(left))


def _on_one(
    left: Sequence[Slot], flats: Mapping[str, Flat], item: StockItem, number: int, cut: PlateCut, reports: int
) -> Layout | None:
    """The largest blanks that one plate takes: by our packer, or by the library where it lays more.

    The library sees no more of them than the area holds. Where they are few, or one fills most of the plate, it is not
    asked: our packer lays them as well, and the reports of a strip that cannot be shortened come slowly.
    """
    fitting = [slot for slot in left if _fits(flats[slot.part], item, cut)]
    ours, _ = lay_out(fitting, flats, [replace(item, count=1)], cut)
    best = replace(ours[0], number=number) if ours else None
    count = _by_area(fitting, flats, item, cut)
    if count and flats[fitting[0].part].area > MOST_OF_IT * room(item, cut):
        return best
    for _ in range(TRIES):
        if count < FEW:
            break
        pack = packed(strip_of(fitting[:count], flats, item, cut), reports)
        if pack is None:
            break
        layout, over = laid(pack, fitting[:count], flats, item, number, cut)
        if layout.placed and (best is None or _net(layout, flats) > _net(best, flats)):
            best = layout
        if not over:
            break
        count = min(count - 1, ceil(count * usable_length(item, cut) / pack.length))
    return best


def _by_area(slots: Sequence[Slot], flats: Mapping[str, Flat], item: StockItem, cut: PlateCut) -> int:
    """How many of the first blanks, with their webs, have room by area."""
    free = room(item, cut)
    sums = accumulate(area_bound([slot], flats, cut) for slot in slots)
    return sum(1 for _ in takewhile(lambda area: area <= free, sums))


def _net(layout: Layout, flats: Mapping[str, Flat]) -> float:
    return sum(flats[one.slot.part].area for one in layout.placed)


def _fits(flat: Flat, item: StockItem, cut: PlateCut) -> bool:
    long, wide = ((side or 0) - 2 * cut.edge for side in (item.length_nm, item.width_nm))
    sizes = [flat.size if turned in (0, 180) else flat.size[::-1] for turned in flat.turns]
    return any(a <= long and b <= wide for a, b in sizes)


def packed(strip: Strip, reports: int) -> Pack | None:
    """The library's best pack of a strip among so many reports; None when it gave none."""
    outcome = run_until(time.monotonic() + MOST, [(_search, (strip, reports))])[0]
    return outcome.last if outcome.ended else None


def _search(strip: Strip, reports: int) -> Iterator[Pack]:
    """In the child: the library in a thread of its own, its reports counted here."""
    import spyrrow

    items = [
        spyrrow.Item(part, list(shape), count, [float(t) for t in turns])
        for part, shape, count, turns in strip.parts
    ]
    instance = spyrrow.StripPackingInstance("nest", strip.height, items)
    config = spyrrow.StripPackingConfig(
        min_items_separation=strip.gap, total_computation_time=None, exploration_time=int(MOST), compression_time=1,
        num_workers=1, seed=SEED, early_termination=False,
    )  # fmt: skip
    queue = spyrrow.ProgressQueue()
    solver = threading.Thread(target=instance.solve, args=(config, queue), daemon=True)
    solver.start()
    heard: list[Any] = []
    while len(heard) < reports and solver.is_alive():
        time.sleep(0.01)
        heard += queue.drain()
    heard += queue.drain()
    sound = [found for kind, found in heard[:reports] if kind == spyrrow.ReportType.ExplFeas]
    if sound:
        best = min(sound, key=lambda found: found.width)
        placed = tuple(
            (one.id, round(one.rotation) % 360, tuple(one.translation)) for one in best.placed_items
        )
        yield Pack(best.width, placed)
