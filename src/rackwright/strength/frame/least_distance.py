"""The sure way to the equilibrium of ties and pads: one case at a time, and a reason where there is none.

    min ½ nᵀH n + qᵀn,  Bwᵀ n = g,  n >= 0
With the balance eliminated and H = C Cᵀ this is a least distance problem, min ‖x‖ with G x >= h, which non-negative
least squares solve in a finite number of steps, or show to have no answer (Lawson & Hanson, Solving Least
Squares Problems, ch. 23). Only the acting set is taken from it; the forces come from the equations themselves.
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import cholesky, solve_triangular

from rackwright.strength.frame.conditions import (
    RANK,
    TOLERANCE,
    Problem,
    Verdict,
    meets,
    root_of,
    size_of,
)
from rackwright.strength.frame.model import Array, Bools

__all__ = ["sure"]


def sure(p: Problem, case: int) -> tuple[Array, Verdict | None]:
    """x = [n, y] of one case, or the reason why there is no unique equilibrium."""
    size, d = p.Bw.shape
    one = _alone(p, case)
    acts = _least_distance(one)
    if acts is not None:
        x = _polish(one, acts)
        n = x[:, : len(one.H)]
        limit = TOLERANCE * size_of(one, n)
        if n.min(initial=0.0) >= -limit[0] and _free(one, n, limit):
            y, idle = _play(one, n[0], float(limit[0]))
            if idle is not None:
                return np.zeros(size + d), Verdict("idle", idle)
            x[0, len(one.H) :] = y
            limit = limit * 1e4  # the linear programme that found y works to 1e-7
        if meets(one, x, limit)[0]:
            return np.concatenate([n[0, :size], x[0, len(one.H) :]]), None
    return np.zeros(size + d), Verdict("thrown", _thrown(one))


def _alone(p: Problem, case: int) -> Problem:
    """One case, with the stiffness R of soft motions as pairs of elements that act one each way."""
    size, d = p.Bw.shape
    rows = root_of(p.R)
    rows = rows[np.linalg.norm(rows, axis=1) > RANK]
    both = np.concatenate([p.Bw, rows, -rows])
    H = np.eye(len(both))
    H[:size, :size] = p.H
    q = np.concatenate([p.q[case], np.zeros(2 * len(rows))])
    return Problem(H, both, np.zeros((d, d)), q[None], p.g[case : case + 1])


def _least_distance(p: Problem) -> Bools | None:
    """The elements that act (or just touch): None when no forces N >= 0 balance the load."""
    size, d = p.Bw.shape
    Q, R = np.linalg.qr(p.Bw, mode="complete")
    start = Q[:, :d] @ np.linalg.solve(R[:d].T, p.g[0]) if d else np.zeros(size)
    Z = Q[:, d:]
    if Z.shape[1] == 0:
        return np.ones(size, dtype=bool)
    C = cholesky(Z.T @ p.H @ Z, lower=True)
    r = solve_triangular(C, Z.T @ (p.H @ start + p.q[0]), lower=True)
    G = solve_triangular(C, Z.T, lower=True)  # N = start + Gᵀ (x - r) >= 0
    h = G.T @ r - start
    scale = np.abs(h).max() or 1.0
    target = np.zeros(len(G) + 1)
    target[-1] = 1.0
    from scipy.optimize import nnls  # imported late: a third of a second, and few racks come here

    u, rest = nnls(np.vstack([G, h / scale]), target, maxiter=50 * (size + 1))
    return None if rest < 1e-10 else u <= 0


def _polish(p: Problem, acts: Bools) -> Array:
    """N and y for the acting set, by least squares where it leaves a motion free."""
    size, d = p.Bw.shape
    on = np.flatnonzero(acts)
    matrix = np.zeros((len(on) + d, len(on) + d))
    matrix[: len(on), : len(on)] = p.H[np.ix_(on, on)]
    matrix[: len(on), len(on) :] = -p.Bw[on]
    matrix[len(on) :, : len(on)] = p.Bw[on].T
    x = np.zeros((1, size + d))
    found = np.linalg.lstsq(matrix, np.concatenate([-p.q[0, on], p.g[0]]), rcond=1e-13)[0]
    x[0, on], x[0, size:] = found[: len(on)], found[len(on) :]
    return x


def _free(p: Problem, n: Array, limit: Array) -> bool:
    """Do the pressing elements leave a loose motion free?"""
    d = p.Bw.shape[1]
    return bool(d > 0) and int(np.linalg.matrix_rank(p.Bw[n[0] > limit[0]], tol=RANK)) < d


def _play(p: Problem, n: Array, limit: float) -> tuple[Array, Array | None]:
    """y, and a motion that can still happen without a change of force (None if there is none).

    The possible y: those that leave every acting element as it is and tighten no slack one.
    """
    d = p.Bw.shape[1]
    scale = max(float(np.abs(n).max()), float(np.abs(p.q).max()), np.finfo(float).tiny)
    room = (p.H @ n + p.q[0]) / scale
    acts = n > limit
    ends = []
    for direction in np.concatenate([np.eye(d), -np.eye(d)]):
        from scipy.optimize import linprog

        lp = linprog(
            -direction, A_ub=p.Bw[~acts], b_ub=room[~acts], A_eq=p.Bw[acts] if acts.any() else None,
            b_eq=room[acts] if acts.any() else None, bounds=[(-1e3, 1e3)] * d,
        )  # fmt: skip
        if lp.x is None:
            return np.full(d, np.nan), None
        ends.append(lp.x)
    middle = np.mean(ends, axis=0)
    widths = [ends[i] - ends[i + d] for i in range(d)]
    widest = max(widths, key=lambda w: float(np.abs(w).max()))
    return middle * scale, (widest if np.abs(widest).max() > 1e-4 else None)


def _thrown(p: Problem) -> Array:
    """The loose motion that the load drives most while every element lets go."""
    d = p.Bw.shape[1]
    from scipy.optimize import linprog

    lp = linprog(-p.g[0], A_ub=p.Bw, b_ub=np.zeros(len(p.Bw)), bounds=[(-1, 1)] * d)
    return np.asarray(lp.x if lp.x is not None and np.any(lp.x) else p.g[0])
