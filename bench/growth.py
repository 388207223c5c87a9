"""How the frame solver's time grows to 2000 members, against the arithmetic of a band factor, members × half-band².

Racks of `frame.py` that grow upwards (four posts: the band stays) and in all directions (the band grows), on fixed
feet, 24 cases. Timed: band, factor and displacements of all cases, and the whole answer. Written beside the table:
`growth.tsv` and `growth.svg` in the folder given (here: build). The exponent is that of time ~ (members × half-band²)^n
from the least to the largest rack: no more than 1 is as it should be.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: two threads stall on small matrices

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from frame import CASES, rack

from rackwright.papers.chart import Chart, Line, chart_svg
from rackwright.strength import frame as fr
from rackwright.strength.frame.ready import Loads, Model

SIZES = (40, 80, 160, 320, 640, 1000, 2000)
WAYS = "displacements", "whole answer"


def main(folder: str = "build", runs: int = 5) -> None:
    cases = fr.Cases(np.random.default_rng(1).uniform(-90, 90, (CASES, 3)))
    rows, lines = ["grows\tmembers\tfreedoms\thalf-band\tdisplacements, ms\twhole answer, ms"], []
    for words, posts in (
        ("upwards", lambda n: 2),
        ("in all directions", lambda n: round((n / 5) ** (1 / 3))),
    ):
        work, spent = [], []
        for size in SIZES:
            frame = rack(size, floating=False, grid=(posts(size), posts(size)))
            model = Model.of(frame)
            load = model.layout.gather(np.einsum("dnf,cd->cnf", Loads.of(model).unit[0], cases.inertia)).T
            times = (
                _least(lambda m=model, f=load: m.factor(0).solve(f), runs),
                _least(lambda f=frame: fr.solve(f, cases), runs),
            )
            work.append(size * model.layout.half**2)
            spent.append(times)
            rows.append("\t".join([words, *map(str, (size, model.layout.rows, model.layout.half)),
                                   *(f"{1000 * t:.3f}" for t in times)]))  # fmt: skip
        for way, times in zip(WAYS, np.array(spent).T, strict=True):
            exponent = np.log(times[-1] / times[0]) / np.log(work[-1] / work[0])
            rows.append(f"{words}: {way} grow as (members × half-band²)^{exponent:.2f}")
            points = tuple((float(w), 1000 * float(t)) for w, t in zip(work, times, strict=True))
            lines.append(Line(f"{way}, {words}", points))
    print("\n".join(rows))
    out = Path(folder)
    out.mkdir(parents=True, exist_ok=True)
    (out / "growth.tsv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    chart = Chart("time against arithmetic", "members × half-band²", "ms", tuple(lines), logarithmic=True)
    (out / "growth.svg").write_text(chart_svg(chart), encoding="utf-8")


def _least(way: Callable[[], object], runs: int) -> float:
    spent = []
    for _ in range(runs):
        start = time.perf_counter()
        way()
        spent.append(time.perf_counter() - start)
    return min(spent)


if __name__ == "__main__":
    main(*sys.argv[1:2])
