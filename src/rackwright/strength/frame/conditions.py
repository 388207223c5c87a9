"""What ties and pads must meet, as one small problem in plain numbers.

With u = A (f - BᵀN) + W y (A the propped frame, W its loose and soft motions, R their stiffness: see `band`), the
forces N >= 0 of the one-sided elements and their slacks s satisfy
    s = H N - Bw y + q >= 0,   N >= 0,   N·s = 0,   Bwᵀ N + R y = g,
    H = 1/k + B A Bᵀ,  Bw = B W,  q = -T0/k - B A f,  g = Wᵀ f.
These are the conditions of a strictly convex problem for N: the forces are unique if they exist at all, and y is
unique when what acts, or just touches, blocks every loose motion.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackwright.strength.frame.model import Array, Bools

__all__ = ["RANK", "TOLERANCE", "Problem", "Verdict", "forces_and_slacks", "meets", "root_of", "size_of"]

TOLERANCE = 1e-10  # of the largest force
RANK = 1e-9  # a direction resisted by less than this share is not resisted


@dataclass(frozen=True, eq=False)
class Problem:
    """U elements, d loose or soft motions, C cases: H (U,U), Bw (U,d), R (d,d), q (C,U), g (C,d)."""

    H: Array
    Bw: Array
    R: Array
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


def size_of(p: Problem, n: Array) -> Array:
    """The size of forces in each case (C,)."""
    biggest = np.maximum(np.abs(n).max(axis=1, initial=0.0), np.abs(p.q).max(axis=1, initial=0.0))
    return np.asarray(np.maximum(biggest, np.abs(p.g).max(axis=1, initial=0.0)) + np.finfo(float).tiny)


def forces_and_slacks(p: Problem, x: Array) -> tuple[Array, Array]:
    """n and s (C,U) of solutions x = [n, y] (C,U+d)."""
    size = len(p.H)
    n = x[:, :size]
    return n, n @ p.H - x[:, size:] @ p.Bw.T + p.q


def meets(p: Problem, x: Array, limit: Array) -> Bools:
    """Are the conditions met within `limit` (C,)?"""
    n, s = forces_and_slacks(p, x)
    worst = np.maximum(-n, -s).max(axis=1, initial=0.0)
    both = np.minimum(np.abs(n), np.abs(s)).max(axis=1, initial=0.0)
    balance = np.abs(n @ p.Bw + x[:, len(p.H) :] @ p.R - p.g).max(axis=1, initial=0.0)
    return np.asarray(np.isfinite(worst) & (np.maximum(np.maximum(worst, both), balance) <= limit))


def root_of(R: Array) -> Array:
    """Rows S with SᵀS = R: the soft motions as if each were resisted by elements of its own."""
    size, axes = np.linalg.eigh(R)
    return np.asarray(np.sqrt(size.clip(min=0))[:, None] * axes.T)
