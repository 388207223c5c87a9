"""What a person waits for on the demo's rack: its proof, limits of damage, sensitivity, payloads and their envelope.

CPU time of one process, the frame alone beside it; `all` adds the envelope over every centre of gravity and fitting.
Nothing is asserted.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: two threads stall on small matrices

import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from variants import demo_design

from rackwright.strength import frame as fr
from rackwright.strength import inverse
from rackwright.strength.damage import damage_limits, missing_bolts
from rackwright.strength.sensitivity import sensitivities


def main(whole: bool) -> None:
    design = demo_design()
    _, batch = design.strength, design.batch
    run = design.strength.run
    assert run is not None
    _ = batch.own, batch.missing

    def timed(words: str, work: Callable[[], object]) -> None:
        start = time.process_time()
        work()
        print(f"{words:58}{time.process_time() - start:8.2f} s", flush=True)

    cases = fr.Cases(np.array([case.inertia for case in run.cases]))
    frame, curves = run.model.frame, run.model.curves
    timed("the frame alone, followed to rest", lambda: fr.settle(fr.solve(frame, cases), curves))
    timed("proven: all margins, buckling, second order", lambda: replace(design).strength)
    timed("limits of damage, a bolt missing", lambda: (damage_limits(design.strength), missing_bolts(run)))
    timed("sensitivity", lambda: sensitivities(design.rack, design.pieces, design.strength))
    timed("largest payloads", lambda: inverse.payloads(batch))
    timed("all together", lambda: inverse.together(batch))
    if whole:
        timed("masses against centres of gravity", lambda: inverse.envelope(batch))
        timed("where fittings may lie", lambda: inverse.fitting_ranges(batch))


if __name__ == "__main__":
    main("all" in sys.argv[1:])
