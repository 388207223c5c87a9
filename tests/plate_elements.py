"""Rectangular plate elements of twelve freedoms (Adini, Clough and Melosh), for a panel that rests on a leg.

Each node has deflection and two slopes. The panel and the leg share their nodes' places: there they press on each
other and do not pull, but at the screws, which do both. Which nodes press is found by trying until it settles.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import spsolve

POWERS = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3), (3, 1), (1, 3))
STIFF = 5e5  # lbf/in where they press: much more than either plate


def _terms(x: float, y: float, dx: int, dy: int) -> list[float]:
    """The polynomial's terms differentiated dx and dy times."""
    found = []
    for i, j in POWERS:
        whole = np.prod([i - n for n in range(dx)]) * np.prod([j - n for n in range(dy)])
        found.append(float(whole) * x ** max(i - dx, 0) * y ** max(j - dy, 0) if whole else 0.0)
    return found


def element(a: float, b: float, D: float, nu: float) -> tuple[np.ndarray, np.ndarray]:
    """Stiffness (12,12) of a plate a x b, and the moment across it at its four corners (4,12)."""
    corners = ((0.0, 0.0), (a, 0.0), (a, b), (0.0, b))
    inverse = np.linalg.inv([_terms(x, y, *d) for x, y in corners for d in ((0, 0), (1, 0), (0, 1))])
    metal = D * np.array([[1, nu, 0], [nu, 1, 0], [0, 0, (1 - nu) / 2]])

    def bent(x: float, y: float) -> np.ndarray:
        curve = np.array([_terms(x, y, 2, 0), _terms(x, y, 0, 2), 2 * np.array(_terms(x, y, 1, 1))])
        return np.asarray(curve @ inverse)

    at, weight = np.polynomial.legendre.leggauss(3)
    stiff = sum(
        bent((p + 1) * a / 2, (q + 1) * b / 2).T @ metal @ bent((p + 1) * a / 2, (q + 1) * b / 2) * u * v * a * b / 4
        for p, u in zip(at, weight, strict=True) for q, v in zip(at, weight, strict=True)
    )  # fmt: skip
    return np.asarray(stiff), np.array([(metal @ bent(x, y))[0] for x, y in corners])


@dataclass(frozen=True)
class Rest:
    """Half a panel (its middle is a mirror) on one leg, in and psi; feet: (from the toe, from the front, lbf)."""

    leg: float  # thickness
    panel: float
    reach: float
    screw: float  # from the root
    half: float  # from the toe to the panel's middle
    depth: float
    screws: tuple[float, ...]
    feet: tuple[tuple[float, float, float], ...]
    E: float = 9.9e6
    nu: float = 0.33

    def root(self, step: float = 0.5) -> float:
        """The greatest moment of the leg's root for each inch of it."""
        steps = [np.linspace(0, self.screw, 3), np.linspace(self.screw, self.reach, 3)[1:]]
        xl = np.concatenate(steps)
        out = np.unique(
            [*(self.half * np.linspace(0, 1, 9)[1:] ** 1.5), *(x for x, _, _ in self.feet if x > 0)]
        )
        xs, ys = (xl, np.concatenate([xl, self.reach + out])), np.arange(0, self.depth + step / 2, step)
        start, many = 3 * len(xl) * len(ys), len(ys)

        def node(plate: int, x: float, y: float) -> int:
            i, j = int(np.abs(xs[plate] - x).argmin()), int(np.abs(ys - y).argmin())
            return plate * start + 3 * (i * many + j)

        rows, columns, values, moments = [], [], [], {}
        for plate, t in enumerate((self.leg, self.panel)):
            D = self.E * t**3 / (12 * (1 - self.nu**2))
            for i in range(len(xs[plate]) - 1):
                stiff, across = element(xs[plate][i + 1] - xs[plate][i], step, D, self.nu)
                for j in range(many - 1):
                    corner = [i * many + j, (i + 1) * many + j, (i + 1) * many + j + 1, i * many + j + 1]
                    at = plate * start + np.array([3 * n + r for n in corner for r in range(3)])
                    rows, columns = [*rows, np.repeat(at, 12)], [*columns, np.tile(at, 12)]
                    values.append(stiff.ravel())
                    if plate == i == 0:
                        moments[j] = at, across
        size = start + 3 * len(xs[1]) * many
        plates = sp.csr_matrix(
            (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), (size, size)
        )
        load = np.zeros(size)
        for x, y, P in self.feet:
            load[node(1, self.reach + x, y)] -= P
        held = [node(0, 0, y) + r for y in ys for r in range(3)] + [node(1, xs[1][-1], y) + 1 for y in ys]
        free = np.setdiff1d(np.arange(size), held)
        pairs = [(node(0, x, y), node(1, x, y)) for x in xl for y in ys]
        screws = {(node(0, self.screw, y), node(1, self.screw, y)) for y in self.screws}
        touching = screws | {(node(0, self.reach, y), node(1, self.reach, y)) for y in ys}
        for _ in range(60):
            a, b = np.array(sorted(touching)).T
            spring = np.concatenate([np.full(2 * len(a), STIFF), np.full(2 * len(a), -STIFF)])
            places = np.concatenate([a, b, a, b]), np.concatenate([a, b, b, a])
            moved = np.zeros(size)
            whole = (plates + sp.csr_matrix((spring, places), (size, size)))[free][:, free]
            moved[free] = spsolve(whole.tocsc(), load[free])
            now = screws | {(a, b) for a, b in pairs if moved[b] < moved[a]}
            if now == touching:
                break
            touching = now
        else:
            raise ArithmeticError("what touches does not settle")
        found = np.zeros(many)
        for j, (at, across) in moments.items():
            found[[j, j + 1]] += (across @ moved[at])[[0, 3]] / 2
        found[[0, -1]] *= 2  # of one element alone
        return float(np.abs(found).max())
