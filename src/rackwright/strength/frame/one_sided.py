"""The equilibrium of ties and pads: one small convex problem for each load case.

With u = A (f - BᵀN) + W y (A the factored frame, W its loose motions), the forces N >= 0 of the one-sided
elements and their slacks s satisfy
    s = H N - Bw y + q >= 0,   N >= 0,   N·s = 0,   Bwᵀ N = g,
    H = 1/k + B A Bᵀ,  Bw = B W,  q = -T0/k - B A f,  g = Wᵀ f.
These are the conditions of the strictly convex problem  min ½NᵀHN + qᵀN,  BwᵀN = g,  N >= 0:  the forces are unique
if they exist at all, and y is unique when what acts, or just touches, blocks every loose motion.

Two ways, checked against the conditions and against each other in the tests:
  quick   all cases at once: semismooth Newton, i.e. solve for the acting set, replace it by
          {N > 0 or s < 0}, repeat (elements come back on); a few passes, but it may cycle.
  sure    case by case: least distance programming by non-negative least squares, which ends after a finite
          number of steps (Lawson & Hanson, Solving Least Squares Problems, ch. 23). Used where quick
          does not pass the check.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cholesky, solve_triangular
from scipy.optimize import linprog, nnls

from rackwright.strength.frame.model import Array, Bools, Ints

__all__ = ["Problem", "Verdict", "acting_forces"]

PASSES = 25
TOLERANCE = 1e-10  # of the largest force, in the conditions above
RANK = 1e-9


@dataclass(frozen=True, eq=False)
class Problem:
    """U elements, d loose motions, C cases: H (U,U), Bw (U,d), q (C,U), g (C,d)."""

    H: Array
    Bw: Array
    q: Array
    g: Array


@dataclass(frozen=True, eq=False)
class Verdict:
    """Why a case has no unique equilibrium: `kind` is "loose" (nothing resists the motion), "thrown" (the load
    drives it and every one-sided element lets go) or "idle" (nothing blocks it, and no load drives it).

    `y` (d) is the motion.
    """

    kind: str
    y: Array


def acting_forces(problem: Problem) -> tuple[Array, Array, list[Verdict | None]]:
    """Forces N (C,U), loose motions y (C,d), and a verdict for each case that has no unique equilibrium."""
    cases, size = problem.q.shape
    d = problem.Bw.shape[1]
    D = 1 / np.sqrt(np.diagonal(problem.H))
    rows = D[:, None] * problem.Bw
    long = np.linalg.norm(rows, axis=0)
    loose = _unresisted(rows, long)
    if loose is not None:
        return np.zeros((cases, size)), np.zeros((cases, d)), [Verdict("loose", loose)] * cases
    scaled = Problem(
        D[:, None] * problem.H * D, rows / np.where(long > 0, long, 1), problem.q * D, problem.g / long
    )
    n, y, good = _quick(scaled)
    verdicts: list[Verdict | None] = [None] * cases
    for case in np.flatnonzero(~good):
        n[case], y[case], verdicts[case] = _sure(scaled, int(case))
    for verdict in verdicts:
        if verdict is not None:
            verdict.y[:] = verdict.y / long
    n = np.where(n > 1e-3 * TOLERANCE * _scale(scaled, n)[:, None], n, 0.0)
    return n * D, y / long, verdicts


def _unresisted(rows: Array, long: Array) -> Array | None:
    """A loose motion that no element resists even if all act, or None."""
    d = rows.shape[1]
    if d == 0:
        return None
    if np.any(long <= 0):
        return np.asarray(np.eye(d)[int(np.argmin(long))])
    _, size, turned = np.linalg.svd(rows / long, full_matrices=True)
    weakest = float(size[-1]) if len(size) == d else 0.0
    if weakest >= RANK:
        return None
    motion: Array = np.asarray(turned[-1] / long, float)
    return motion


def _scale(p: Problem, n: Array) -> Array:
    """The size of forces in each case."""
    biggest = np.maximum(np.abs(n).max(axis=1, initial=0.0), np.abs(p.q).max(axis=1, initial=0.0))
    return np.asarray(np.maximum(biggest, np.abs(p.g).max(axis=1, initial=0.0)) + np.finfo(float).tiny)


def _quick(p: Problem) -> tuple[Array, Array, Bools]:
    """Semismooth Newton on all cases; `good` marks those that meet the conditions with a stable acting set."""
    cases, size = p.q.shape
    d = p.Bw.shape[1]
    acts: Bools = np.ones((cases, size), dtype=bool)
    x = np.zeros((cases, size + d))
    todo = np.arange(cases)
    for _ in range(PASSES):
        x[todo] = _solve_for(p, acts[todo], todo)
        n, s = _forces_and_slacks(p, x)
        now = np.where(acts, n > 0, s < 0)
        todo = np.flatnonzero((now != acts).any(axis=1))
        if todo.size == 0:
            break
        acts = now
    n, s = _forces_and_slacks(p, x)
    limit = TOLERANCE * _scale(p, n)
    good = _meets(p, n, s, limit)
    if d:
        pressing = np.where(n[:, :, None] > limit[:, None, None], p.Bw, 0.0)
        weakest = np.linalg.svd(pressing, compute_uv=False)
        good &= (weakest[:, -1] > RANK) if size >= d else False
    return n, x[:, size:], good


def _solve_for(p: Problem, acts: Bools, cases: Ints) -> Array:
    """N and y with the acting sets given: a soft support κ keeps every system regular and is refined away."""
    size, d = p.Bw.shape
    on = acts.astype(float)
    matrix = np.zeros((len(acts), size + d, size + d))
    matrix[:, :size, :size] = on[:, :, None] * on[:, None, :] * p.H
    diagonal = np.arange(size)
    matrix[:, diagonal, diagonal] += 1 - on
    matrix[:, :size, size:] = -on[:, :, None] * p.Bw
    matrix[:, size:, :size] = (on[:, :, None] * p.Bw).swapaxes(1, 2)
    right = np.concatenate([-p.q[cases] * on, p.g[cases]], axis=1)[..., None]
    soft = matrix.copy()
    soft[:, range(size, size + d), range(size, size + d)] = 1e-10
    x = np.linalg.solve(soft, right)
    for _ in range(2):
        x = x + np.linalg.solve(soft, right - matrix @ x)
    return np.asarray(x[..., 0])


def _forces_and_slacks(p: Problem, x: Array) -> tuple[Array, Array]:
    size = len(p.H)
    n = x[:, :size]
    return n, n @ p.H - x[:, size:] @ p.Bw.T + p.q


def _meets(p: Problem, n: Array, s: Array, limit: Array) -> Bools:
    """The conditions of equilibrium, within `limit` (C,)."""
    worst = np.maximum(-n, -s).max(axis=1, initial=0.0)
    both = np.minimum(np.abs(n), np.abs(s)).max(axis=1, initial=0.0)
    balance = np.abs(n @ p.Bw - p.g).max(axis=1, initial=0.0)
    return np.asarray(np.isfinite(worst) & (np.maximum(np.maximum(worst, both), balance) <= limit))


# --- the sure way ----------------------------------------------------------------------------------------


def _sure(p: Problem, case: int) -> tuple[Array, Array, Verdict | None]:
    one = Problem(p.H, p.Bw, p.q[case : case + 1], p.g[case : case + 1])
    size, d = p.Bw.shape
    acts = _least_distance(one)
    if acts is not None:
        x = _polish(one, acts)
        n, s = _forces_and_slacks(one, x)
        limit = TOLERANCE * _scale(one, n)
        if n.min(initial=0.0) >= -limit[0] and _range_matters(one, n, limit):
            y, idle = _play(one, n[0], float(limit[0]))
            if idle is not None:
                return n[0], y, Verdict("idle", idle)
            x[0, size:] = y
            n, s = _forces_and_slacks(one, x)
            limit = limit * 1e4  # the linear programme that found y works to 1e-7
        if _meets(one, n, s, limit)[0]:
            return n[0], x[0, size:], None
    return np.zeros(size), np.zeros(d), Verdict("thrown", _thrown(one))


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


def _range_matters(p: Problem, n: Array, limit: Array) -> bool:
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
    lp = linprog(-p.g[0], A_ub=p.Bw, b_ub=np.zeros(len(p.Bw)), bounds=[(-1, 1)] * d)
    return np.asarray(lp.x if lp.x is not None and np.any(lp.x) else p.g[0])
