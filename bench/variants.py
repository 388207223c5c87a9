"""Variants of a rack in one batch beside the same variants one by one: time of each, and how far their margins differ.

First the frame alone: a seeded rack of 40 members on pads and ties, 5 cases, 10 000 sets of masses, two processes, with
and without the margins of every tube, tie and pad. Then the demo's rack, where every variant is the whole proof: both
pretensions and both bounds of its joints at every corner of its centres of gravity, each followed to where its straps
let it rest, and all margins of all checks. Printed: microseconds a variant, the ratio, and the largest relative
difference of any margin. Nothing is asserted.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: two threads stall on small matrices

import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from importlib import resources

import numpy as np
from frame import margins, rack

from rackwright.design import Design
from rackwright.rack import Source, read_rack
from rackwright.strength import frame as fr
from rackwright.strength.analyse import analyse
from rackwright.strength.vary import Variants

ALONE = 10  # variants proven one by one


def demo_design() -> Design:
    """The demo's standard rack."""
    path = resources.files("rackwright.demo") / "shop" / "standards" / "er-47.toml"
    rack, faults = read_rack(Source("er-47.toml", path.read_bytes()), {})
    assert rack is not None, faults
    return Design(rack)


FRAMES, PORTION, CASES = 10_000, 100, 5


def masses(n: int, count: int) -> np.ndarray:
    """(count, 10) kg of portion n."""
    return np.random.default_rng(n).uniform(3, 25, (count, 10))


def proven(kg: np.ndarray, judged: bool) -> list[np.ndarray]:
    """Least margins (V,) of the frame with masses (V,10), of tubes, ties and pads; or displacements (V,C,N,6)."""
    one = rack(40, floating=True)
    parts = {
        name: replace(group, **{f: getattr(group, f)[0] for f in group.tails})
        for name, group in ((name, getattr(one, name)) for name in fr.Frame.GROUPS)
    }
    parts["masses"] = replace(parts["masses"], m=kg)
    inertia = np.random.default_rng(1).uniform(-90, 90, (CASES, 3))
    response = fr.solve(fr.Frame(one.xyz[0], one.fixed, **parts), fr.Cases(inertia))
    if not judged:
        return [response.displacement]
    return [values.reshape(len(kg), -1).min(axis=1) for values in margins(response).values()]


def portion(n: int, judged: bool) -> list[np.ndarray]:
    return [part if judged else part[:, :, -1, 0] for part in proven(masses(n, PORTION), judged)]


def frames() -> None:
    with ProcessPoolExecutor(2) as pool:
        list(pool.map(portion, range(2), [True] * 2))  # both awake
        for judged, words in ((False, "forces and balance"), (True, "and all margins")):
            start = time.perf_counter()
            found = list(pool.map(portion, range(FRAMES // PORTION), [judged] * (FRAMES // PORTION)))
            each = (time.perf_counter() - start) / FRAMES
            print(
                f"40 members, {CASES} cases, frame alone, {words}: {1e6 * each:.0f} µs a variant on two processes"
            )
    worst = 0.0
    for n in range(ALONE):
        alone = proven(masses(n, PORTION)[n : n + 1], True)
        for together, value in zip(found[n], alone, strict=True):
            worst = max(worst, float(abs(together[n] - value[0]) / (1 + abs(value[0]))))
    print(f"largest relative difference to one by one: {worst:.1e}")


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
    frames()
    main(*map(int, sys.argv[1:]))
