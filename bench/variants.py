"""Variants of a rack in one batch beside the same variants one by one: time of each, and how far their margins differ.

Every variant is the whole proof: frame, active straps and pads in every case, all margins. Printed: microseconds a
variant (least of the runs), the ratio, and the largest relative difference of any margin. Nothing is asserted.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: two threads stall on small matrices

import sys
import time
from dataclasses import replace
from importlib import resources

import numpy as np

from rackwright.design import Design
from rackwright.rack import Source, read_rack
from rackwright.strength.analyse import analyse
from rackwright.strength.vary import Variants

ALONE = 10  # variants proven one by one


def demo_design() -> Design:
    """The demo's standard rack."""
    path = resources.files("rackwright.demo") / "shop" / "standards" / "er-47.toml"
    rack, faults = read_rack(Source("er-47.toml", path.read_bytes()), {})
    assert rack is not None, faults
    return Design(rack)


def main(count: int = 200, runs: int = 3) -> None:
    design = demo_design()
    batch, d = design.batch, design.rack.definition
    item = d.equipment[-1]
    kg = np.linspace(0.2, 1.2, count) * item.mass
    variants = Variants(count, mass={item.name: kg})
    batch.values(Variants(1))  # idealised once
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        ids, values = batch.values(variants)
        times.append(time.perf_counter() - start)
    together = min(times) / count
    worst, start = 0.0, time.perf_counter()
    picked = np.linspace(0, count - 1, ALONE).astype(int)
    for n in picked:
        lighter = replace(item, mass=float(kg[n]), mass_tolerance=0.0)
        equipment = tuple(lighter if one.name == item.name else one for one in d.equipment)
        rack = replace(design.rack, definition=replace(d, equipment=equipment))
        margins = {one.id: one.margin for one in analyse(rack, design.pieces).margins}
        for id, value in zip(ids, values[:, n], strict=True):
            alone = margins[id]
            if alone is not None and abs(alone) < 1e8:
                worst = max(worst, abs(value - alone) / (1 + abs(alone)))
    each = (time.perf_counter() - start) / ALONE
    frame = batch.model.frame
    print(f"{len(frame.members)} members, {frame.variants} frame variants a design, {len(ids)} margins")
    print(f"in one batch of {count}: {1e6 * together:9.0f} µs a variant")
    print(f"one by one:           {1e6 * each:9.0f} µs a variant, {each / together:.1f} times as long")
    print(f"largest relative difference of a margin: {worst:.1e}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
