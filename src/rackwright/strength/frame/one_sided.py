"""The equilibrium of ties and pads in every load case.

The conditions are those of `conditions`. Two ways, checked against them, and against each other in the tests:
  quick   all cases at once: semismooth Newton, i.e. solve for the acting set, replace it by
          {N > 0 or s < 0}, repeat (elements come back on). A few passes; where these no longer lessen the
          elements in the wrong set, one of them changes at a time, which ends cycles (block principal
          pivoting: Portugal, Judice & Vicente, Mathematics of Computation 63, 1994).
  sure    case by case, in `least_distance`: ends after a finite number of steps. Used where quick does not pass
          the check.
"""

from __future__ import annotations

import numpy as np

from rackwright.strength.frame.conditions import (
    RANK,
    TOLERANCE,
    Problem,
    Verdict,
    forces_and_slacks,
    meets,
    root_of,
    size_of,
)
from rackwright.strength.frame.least_distance import sure
from rackwright.strength.frame.model import Array, Bools, Ints

__all__ = ["acting_forces"]

PASSES = 60
PATIENCE = 3  # passes in which all may change though no fewer are wrong


def acting_forces(problem: Problem) -> tuple[Array, Array, list[Verdict | None]]:
    """Forces N (C,U), motions y (C,d), and a verdict for each case that has no unique equilibrium."""
    cases, size = problem.q.shape
    d = problem.Bw.shape[1]
    D = 1 / np.sqrt(np.diagonal(problem.H))
    rows = np.concatenate([D[:, None] * problem.Bw, root_of(problem.R)])
    long = np.linalg.norm(rows, axis=0)
    loose = _unresisted(rows, long)
    if loose is not None:
        return np.zeros((cases, size)), np.zeros((cases, d)), [Verdict("loose", loose)] * cases
    scaled = Problem(
        D[:, None] * problem.H * D, D[:, None] * problem.Bw / long, problem.R / long / long[:, None],
        problem.q * D, problem.g / long,
    )  # fmt: skip
    x, good = _quick(scaled)
    verdicts: list[Verdict | None] = [None] * cases
    for case in np.flatnonzero(~good):
        x[case], verdict = sure(scaled, int(case))
        verdicts[case] = verdict and Verdict(verdict.kind, verdict.y / long)
    n, y = x[:, :size], x[:, size:]
    n = np.where(n > 1e-3 * TOLERANCE * size_of(scaled, n)[:, None], n, 0.0)
    return n * D, y / long, verdicts


def _unresisted(rows: Array, long: Array) -> Array | None:
    """A motion that no element resists even if all act, or None."""
    d = rows.shape[1]
    if d == 0:
        return None
    if np.any(long <= 0):
        return np.asarray(np.eye(d)[int(np.argmin(long))])
    _, size, turned = np.linalg.svd(rows / long, full_matrices=False)  # at least d rows: those of R
    if size[-1] >= RANK:
        return None
    return np.asarray(turned[-1] / long, float)


def _quick(p: Problem) -> tuple[Array, Bools]:
    """All cases at once: x = [n, y]; `good` marks those that meet the conditions, all motions blocked."""
    cases, size = p.q.shape
    d = p.Bw.shape[1]
    acts: Bools = np.ones((cases, size), dtype=bool)
    x = np.zeros((cases, size + d))
    todo = np.arange(cases)
    fewest, patience = np.full(cases, size + 1), np.full(cases, PATIENCE)
    for _ in range(PASSES):
        x[todo] = _solve_for(p, acts[todo], todo)
        n, s = forces_and_slacks(p, x)
        wrong = np.where(acts, n <= 0, s < 0)
        count = np.count_nonzero(wrong, axis=1)
        todo = np.flatnonzero(count)
        if todo.size == 0:
            break
        patience = np.where(count < fewest, PATIENCE, patience - 1)
        fewest = np.minimum(count, fewest)
        last = size - 1 - np.argmax(wrong[:, ::-1], axis=1)
        wrong &= (patience >= 0)[:, None] | (np.arange(size) == last[:, None])
        acts ^= wrong
    n = x[:, :size]
    limit = TOLERANCE * size_of(p, n)
    good = meets(p, x, limit)
    if d:
        pressing = np.where(n[:, :, None] > limit[:, None, None], p.Bw, 0.0)
        soft = np.broadcast_to(root_of(p.R), (cases, d, d))
        good &= np.linalg.svd(np.concatenate([pressing, soft], axis=1), compute_uv=False)[:, -1] > RANK
    return x, good


def _solve_for(p: Problem, acts: Bools, cases: Ints) -> Array:
    """n and y with the acting sets given: a soft support κ keeps every system regular and is refined away.

    Many cases share few acting sets: each set's matrix is inverted once.
    """
    size, d = p.Bw.shape
    packed = np.packbits(acts, axis=1)
    _, first, of_set = np.unique(packed.view(f"S{packed.shape[1]}"), return_index=True, return_inverse=True)
    of_set, on = of_set.ravel(), acts[first].astype(float)
    matrix = np.zeros((len(on), size + d, size + d))
    matrix[:, :size, :size] = on[:, :, None] * on[:, None, :] * p.H
    diagonal = np.arange(size)
    matrix[:, diagonal, diagonal] += 1 - on
    matrix[:, :size, size:] = -on[:, :, None] * p.Bw
    matrix[:, size:, :size] = (on[:, :, None] * p.Bw).swapaxes(1, 2)
    matrix[:, size:, size:] = p.R
    kept = matrix.copy()
    kept[:, range(size, size + d), range(size, size + d)] += 1e-10
    matrix, inverse = matrix[of_set], np.linalg.inv(kept)[of_set]
    right = np.concatenate([-p.q[cases] * acts, p.g[cases]], axis=1)[..., None]
    x = inverse @ right
    for _ in range(2 if d else 1):
        x = x + inverse @ (right - matrix @ x)
    return np.asarray(x[..., 0])
