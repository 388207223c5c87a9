"""The frame solver beside two general-purpose libraries, in one run: the same racks, 24 cases, everything read back.

OpenSeesPy (compiled) and PyNiteFEA (pure Python) analyse the seeded racks of `frame.py` as Euler-Bernoulli frames with
fixed feet, their model built within the time; OpenSeesPy also analyses them on pads and ties, by Newton's steps of
elements that give way one way. PyNiteFEA is not asked there: it switches a slack tie off and never on again. Printed:
least time of the runs, how many times ours, and the largest difference of any displacement. Nothing is asserted.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: two threads stall on small matrices

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from frame import CASES, GRIDS, rack

from rackwright.strength import frame as fr
from rackwright.strength.frame.ready import Loads, Model

sys.path.insert(0, str(Path(__file__).parents[1]))
from tests.peers import VERSIONS, opensees

FREEDOMS = ("DX", "DY", "DZ", "RX", "RY", "RZ")


def plain(members: int, *, floating: bool) -> fr.Frame:
    """The rack with members that do not shear and weigh nothing: what all libraries understand alike."""
    frame = rack(members, floating=floating)
    same = {"Asy": np.array(np.inf), "Asz": np.array(np.inf), "rho": np.array(0.0)}
    shape = (1, len(frame.members))
    thin = replace(frame.members, **{name: np.broadcast_to(value, shape) for name, value in same.items()})
    return replace(frame, members=thin)


def run() -> None:
    inertia = np.random.default_rng(1).uniform(-90, 90, (CASES, 3))
    print(f"peers: {CASES} cases, least of the runs; {', '.join(VERSIONS)}")
    for size in GRIDS:
        for floating in (False, True):
            frame = plain(size, floating=floating)
            loads = np.einsum("dnf,cd->cnf", Loads.of(Model.of(frame)).unit[0], inertia)
            ours, mine = _least(lambda f=frame: fr.solve(f, fr.Cases(inertia)).displacement[0], 15)
            words = "on pads and ties" if floating else "fixed feet"
            print(f"{size} members, {words}: ours {1000 * ours:.1f} ms")
            ways: list[tuple[str, Callable[[], np.ndarray], int]] = [
                ("OpenSeesPy", lambda f=frame, p=loads: by_opensees(f, p), 5)
            ]
            if not floating:
                ways.append(("PyNiteFEA", lambda f=frame, p=loads: by_pynite(f, p), 1))
            for name, way, runs in ways:
                spent, theirs = _least(way, runs)
                off = np.abs(theirs - mine).max(axis=(1, 2)) / np.abs(mine).max(axis=(1, 2))
                print(f"  {name:<12} {1000 * spent:9.1f} ms   x {spent / ours:7.1f}   displacements differ by "
                      f"{np.median(off):.0e}, at most {off.max():.0e}")  # fmt: skip


def by_opensees(frame: fr.Frame, loads: np.ndarray) -> np.ndarray:
    """Displacements (C,N,6); NaN where its steps do not end."""
    ops, m, many = opensees(), frame.members, frame.nodes
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", 6)
    for n, (at, held) in enumerate(zip(frame.xyz[0].tolist(), frame.fixed.astype(int).tolist(), strict=True)):
        ops.node(n, *at)
        ops.fix(n, *held)
    for n, (i, j) in enumerate(m.ends.tolist()):
        A, E, G, J, Iy, Iz = (float(getattr(m, name)[0, n]) for name in ("A", "E", "G", "J", "Iy", "Iz"))
        ops.geomTransf("Linear", n, *m.zref[0, n].tolist())
        ops.element("elasticBeamColumn", n, i, j, A, E, G, J, Iy, Iz, n)
    _one_way(ops, frame)
    ops.timeSeries("Constant", 1)
    ops.system("BandSPD" if not frame.one_sided else "UmfPack")
    ops.numberer("RCM")
    ops.constraints("Plain")
    ops.test("NormDispIncr", 1e-12, 50)
    ops.algorithm("Newton" if frame.one_sided else "Linear")
    ops.integrator("LoadControl", 1.0)
    ops.analysis("Static")
    found = np.full(loads.shape, np.nan)
    for c, load in enumerate(loads):
        ops.reset()
        ops.setTime(0.0)
        ops.pattern("Plain", 1, 1)
        for n in np.flatnonzero(load.any(axis=1)).tolist():
            ops.load(n, *load[n].tolist())
        if ops.analyze(1) == 0:
            found[c] = [ops.nodeDisp(n) for n in range(many)]
            [ops.eleResponse(n, "localForces") for n in range(len(m))]
        ops.remove("loadPattern", 1)
    return found


def _one_way(ops: Any, frame: fr.Frame) -> None:
    """Ties as trusses that only pull, pads as springs that only push."""
    t, p, many, first = frame.ties, frame.pads, frame.nodes, len(frame.members)
    for n in range(len(t)):
        node, ground = int(t.node[n, 0]), t.offset[0, n, 1]
        length, k, T0 = (
            float(np.linalg.norm(ground - frame.xyz[0, node])),
            float(t.k[0, n]),
            float(t.T0[0, n]),
        )
        ops.node(many + n, *ground.tolist())
        ops.fix(many + n, 1, 1, 1, 1, 1, 1)
        ops.uniaxialMaterial("Elastic", 2 * n + 1, k * length, 0.0, 0.0)
        ops.uniaxialMaterial("InitStrainMaterial", 2 * n + 2, 2 * n + 1, T0 / (k * length))
        ops.element("Truss", first + n, node, many + n, 1.0, 2 * n + 2)
    for n, node in enumerate(p.node.tolist()):
        ground, kind = many + len(t) + n, 2 * len(t) + n + 1
        ops.node(ground, *frame.xyz[0, node].tolist())
        ops.fix(ground, 1, 1, 1, 1, 1, 1)
        ops.uniaxialMaterial("Elastic", kind, 1e-6, 0.0, float(p.k[0, n]))
        ops.element("zeroLength", first + len(t) + n, ground, node, "-mat", kind, "-dir", 3)


def by_pynite(frame: fr.Frame, loads: np.ndarray) -> np.ndarray:
    """Displacements (C,N,6) of all cases as combinations of one model."""
    from Pynite import FEModel3D

    model, m = FEModel3D(), frame.members
    for n, (at, held) in enumerate(zip(frame.xyz[0].tolist(), frame.fixed.tolist(), strict=True)):
        model.add_node(str(n), *at)
        model.def_support(str(n), *held)
    for n, (i, j) in enumerate(m.ends.tolist()):
        A, E, G, J, Iy, Iz = (float(getattr(m, name)[0, n]) for name in ("A", "E", "G", "J", "Iy", "Iz"))
        model.add_material(str(n), E, G, 0.3, 1.0)
        model.add_section(str(n), A, Iy, Iz, J)
        model.add_member(str(n), str(i), str(j), str(n), str(n))
    for c, load in enumerate(loads):
        model.add_load_combo(str(c), {str(c): 1.0})
        for n in np.flatnonzero(load.any(axis=1)).tolist():
            for way, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), load[n].tolist(), strict=True):
                model.add_node_load(str(n), way, value, str(c))
    model.analyze_linear(check_stability=False)
    nodes = [model.nodes[str(n)] for n in range(frame.nodes)]
    [model.members[str(n)].f(str(c)) for n in range(len(m)) for c in range(len(loads))]
    return np.array(
        [[[getattr(node, way)[str(c)] for way in FREEDOMS] for node in nodes] for c in range(len(loads))]
    )


def _least(way: Callable[[], np.ndarray], runs: int) -> tuple[float, np.ndarray]:
    spent, found = [], np.zeros(0)
    for _ in range(runs):
        start = time.perf_counter()
        found = way()
        spent.append(time.perf_counter() - start)
    return min(spent), found


if __name__ == "__main__":
    run()
