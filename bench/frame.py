"""The frame solver beside two plain ways, in one run: dense Cholesky and sparse LU of the same matrix.

Seeded racks of 40, 120 and 200 members (posts, rings of rails, diagonals), 24 inertia cases. Each way starts
from the member matrices and ends with the displacements of all cases; ours also reports the whole answer
(assembly, forces, balance), the same rack standing on pads and ties, and that with its margins: of every tube at five
stations, every tie and every pad. Printed: median, 95th percentile, and the ratio to our median. Nothing is asserted:
times belong to the machine.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: two threads stall on small matrices

import time
from collections.abc import Callable

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from rackwright.formulas import column, interaction
from rackwright.strength import frame as fr
from rackwright.strength.frame.ready import Loads, Model

GRIDS = {40: (2, 2), 120: (3, 2), 200: (3, 3)}  # members -> posts wide and deep
CASES = 24
RUNS = 15


def rack(members: int, *, floating: bool, seed: int = 7, grid: tuple[int, int] | None = None) -> fr.Frame:
    """Posts on a grid, rails on every level, so many members; ten masses; fixed feet, or pads and ties."""
    rng = np.random.default_rng(seed)
    wide, deep = grid or GRIDS[members]
    floor = [[0.3 * i, 0.35 * j] for j in range(deep) for i in range(wide)]
    posts = len(floor)
    rails = [(n, n + 1) for n in range(posts) if (n + 1) % wide] + [
        (n, n + wide) for n in range(posts - wide)
    ]
    ends: list[tuple[int, int]] = []
    level = 0
    while len(ends) < members:
        base = posts * level
        ends += [(base - posts + n, base + n) for n in range(posts)] if level else []
        ends += [(base + i, base + j) for i, j in rails]
        level += 1
    ends = ends[:members]
    used = max(max(pair) for pair in ends) + 1
    xyz = np.array([[*floor[n % posts], 0.2 * (n // posts)] for n in range(used)])
    xyz = xyz + rng.uniform(-0.01, 0.01, xyz.shape)
    beams = fr.Members(
        np.array(ends), zref=np.array([0.3, 0.2, 0.93]), E=np.array(68.3e9), G=np.array(26e9),
        A=rng.uniform(2.5e-4, 4.5e-4, members), Iy=np.array(6e-8), Iz=np.array(6e-8),
        J=np.array(9e-8), rho=np.array(2700.0), Asy=np.array(1.5e-4), Asz=np.array(1.5e-4),
    )  # fmt: skip
    heavy = rng.choice(np.arange(posts, used), 10, replace=False)
    parts = {"masses": fr.Masses.on_nodes(heavy, rng.uniform(3, 25, 10), xyz)}
    fixed = np.zeros((len(xyz), 6), bool)
    if not floating:
        fixed[:posts] = True
        return fr.Frame(xyz, fixed, beams, **parts)
    high = rng.choice(np.arange(posts, used), 8, replace=False)
    ground = np.stack(
        [np.zeros((8, 3)), np.column_stack([rng.uniform(-1, 1.6, (8, 2)), np.zeros(8)])], axis=1
    )
    parts["ties"] = fr.Ties(
        np.stack([high, np.full(8, -1)], axis=1), k=np.array(2e6), T0=np.array(500.0), offset=ground
    )
    parts["pads"] = fr.Pads(np.arange(posts), push=np.array([0.0, 0, 1, 0, 0, 0]), k=np.array(1e7))
    fixed[:2, :2] = True
    return fr.Frame(xyz, fixed, beams, **parts)


def run() -> None:
    rng = np.random.default_rng(1)
    cases = fr.Cases(rng.uniform(-90, 90, (CASES, 3)))
    print(f"frame: {CASES} cases, {RUNS} runs, times in ms (median, p95), ratio to our displacements alone")
    for size in GRIDS:
        frame, floating = rack(size, floating=False), rack(size, floating=True)
        model = Model.of(frame)
        load = model.layout.gather(np.einsum("dnf,cd->cnf", Loads.of(model).unit[0], cases.inertia)).T
        ways = {
            "ours, band of all cases": lambda m=model, f=load: m.factor(0).solve(f),
            "dense Cholesky": lambda m=model, f=load: _dense(m, f),
            "sparse LU": lambda m=model, f=load: _sparse(m, f),
            "ours, whole answer": lambda f=frame: fr.solve(f, cases),
            "ours, on pads and ties": lambda f=floating: fr.solve(f, cases),
            "ours, with all margins": lambda f=floating: margins(fr.solve(f, cases)),
        }
        first, *others = (way() for way in list(ways.values())[:3])
        worst = max(float(np.abs(other - first).max() / np.abs(first).max()) for other in others)
        print(f"{len(frame.members)} members, {model.layout.rows} freedoms, half-band {model.layout.half}; "
              f"the three ways differ by {worst:.1e}")  # fmt: skip
        base = 0.0
        for name, way in ways.items():
            median, p95 = _times(way)
            base = base or median
            print(f"  {name:<26} {median:8.3f} {p95:8.3f}   x {median / base:.2f}")


def margins(response: fr.Response) -> dict[str, np.ndarray]:
    """Margins of every tube (V,C,M,5) as beam-column, tie (V,C,T) and pad (V,C,Q): an invented tube
    of 1 in by 1/16 in, rating and floor."""
    m, f = response.frame.members, fr.internal_forces(response, np.linspace(0.0, 1.0, 5))
    E, A, I, L = (
        m.E[:, None, :, None],
        m.A[:, None, :, None],
        6e-8,
        response.model.geo.length[:, None, :, None],
    )
    Fcc, Ftu, Fsu, c, wall, inside = 241e6, 290e6, 186e6, 0.0127, 1.6e-3, 5.7e-4
    Fc = column.johnson_euler(E, Fcc, column.slenderness(L, np.sqrt(I / A)))
    N, fb = f[..., 0], (np.abs(f[..., 4]) + np.abs(f[..., 5])) * c / I
    P, V, T = np.maximum(-N, 0.0), np.abs(f[..., 1]) + np.abs(f[..., 2]), np.abs(f[..., 3])
    Rs = (V / (2 * wall * 2 * c) + T / (2 * inside * wall)) / Fsu
    pressed = interaction.beam_column_shear(P / (A * Fc), fb / Fcc, P / column.euler_load(E, I, L), Rs)
    pulled = interaction.bending_shear(
        1 / interaction.tension_bending(np.maximum(N, 0.0) / (A * Ftu), fb / Fcc), Rs
    )
    return {
        "tubes": np.where(P > 0, pressed, pulled) - 1,
        "ties": 22e3 / np.maximum(response.tie_force, 1e-9) - 1,
        "pads": 15e3 / np.maximum(response.pad_force, 1e-9) - 1,
    }


def entries_of(model: Model, v: int = 0) -> coo_array:
    at = model.layout.place[model.frame.members.ends].reshape(-1, 12)
    down, across = np.broadcast_arrays(at[:, :, None], at[:, None, :])
    free = (down >= 0) & (across >= 0)
    n = model.layout.rows
    return coo_array((model.stiffness(v)[free], (down[free], across[free])), shape=(n, n))


def _dense(model: Model, load: np.ndarray) -> np.ndarray:
    return cho_solve(cho_factor(entries_of(model).toarray()), load)


def _sparse(model: Model, load: np.ndarray) -> np.ndarray:
    return splu(entries_of(model).tocsc()).solve(load)


def _times(way: Callable[[], object]) -> tuple[float, float]:
    way()
    spent = []
    for _ in range(RUNS):
        start = time.perf_counter()
        way()
        spent.append(1000 * (time.perf_counter() - start))
    return float(np.median(spent)), float(np.percentile(spent, 95))


if __name__ == "__main__":
    run()
