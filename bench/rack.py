"""What a person waits for on the demo's rack: its proof, limits of damage, sensitivity, payloads and their envelope.

CPU time of one process, and how many times that of a general library in the same run: SuperLU, by SciPy, on the sparse
matrices of the same frame in all its variants, every strap and pad acting, displacements of all cases and no more.
`all` adds the envelope over every centre of gravity and fitting. Nothing is asserted.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: two threads stall on small matrices

import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from frame import entries_of
from scipy.sparse import csc_array
from scipy.sparse.linalg import splu
from variants import demo_design

from rackwright.strength import frame as fr
from rackwright.strength import inverse
from rackwright.strength.damage import damage_limits, missing_bolts
from rackwright.strength.frame.ready import Loads, Model
from rackwright.strength.sensitivity import sensitivities


def main(whole: bool) -> None:
    design = demo_design()
    _, batch = design.strength, design.batch
    run = design.strength.run
    assert run is not None
    _ = batch.own, batch.missing

    cases = fr.Cases(np.array([case.inertia for case in run.cases]))
    frame, curves = run.model.frame, run.model.curves
    peer = min(_cpu(lambda: by_superlu(frame, cases)) for _ in range(5))
    print(f"{frame.variants} variants, {len(cases)} cases; by SuperLU {1000 * peer:.0f} ms")

    def timed(words: str, work: Callable[[], object]) -> None:
        spent = _cpu(work)
        print(f"{words:58}{spent:8.2f} s   x {spent / peer:.1f}", flush=True)

    timed("the frame alone, followed to rest", lambda: fr.settle(fr.solve(frame, cases), curves))
    timed("proven: all margins, buckling, second order", lambda: replace(design).strength)
    timed("limits of damage, a bolt missing", lambda: (damage_limits(design.strength), missing_bolts(run)))
    timed("sensitivity", lambda: sensitivities(design.rack, design.pieces, design.strength))
    timed("largest payloads", lambda: inverse.payloads(batch))
    timed("all together", lambda: inverse.together(batch))
    if whole:
        timed("masses against centres of gravity", lambda: inverse.envelope(batch))
        timed("where fittings may lie", lambda: inverse.fitting_ranges(batch))


def by_superlu(frame: fr.Frame, cases: fr.Cases) -> list[np.ndarray]:
    """Displacements (rows, C) of every variant, all straps and pads acting both ways."""
    model = Model.of(frame)
    layout, pulls = model.layout, model.one_sided
    load = layout.gather(np.einsum("vdnf,cd->vcnf", Loads.of(model).unit, cases.inertia))
    found = []
    for v in range(frame.variants):
        rows = csc_array(pulls.rows(layout, v))
        acting = rows.T @ (rows.multiply(pulls.k[v][:, None]))
        found.append(splu((entries_of(model, v) + acting).tocsc()).solve(load[v].T))
    return found


def _cpu(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


if __name__ == "__main__":
    main("all" in sys.argv[1:])
