"""Natural frequencies and mode shapes.

Two ways to the same eigenproblem K φ = ω² M φ:
  point masses only   Massless freedoms are condensed exactly by working with the flexibility at the masses,
                      F = T K⁻¹ Tᵀ (plus the bending of a member between its nodes for masses on members):
                      the largest eigenvalues of √m F √m are 1/ω². No mass is moved and none is lumped.
  with member mass    the whole matrices of `modal`. Masses on members then move by the beam's static shape too.
                      Split long members for higher modes.

Ties and pads are linear springs here if they act, and absent if not: the acting set of a load case is the set
about which the frame vibrates slightly.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from scipy.linalg import cho_solve, cholesky, eigh

from rackwright.strength.frame.beam import span_flexibility
from rackwright.strength.frame.modal import RIGID, Bodies, Whole, free_motion, stiffness, unit_loads
from rackwright.strength.frame.model import Array, Bools, Frame
from rackwright.strength.frame.ready import Model

__all__ = ["Modes", "modes"]


@dataclass(frozen=True, eq=False)
class Modes:
    """The lowest n modes; NaN where there are fewer, or where the frame is loose. Shapes are mass-normalised."""

    hz: Array  # (V,n)
    shape: Array  # (V,n,N,6)
    effective_mass: Array  # (V,n,3) kg moved by base motion along x, y, z
    loose: tuple[str | None, ...]  # why a variant has no modes


def modes(
    frame: Frame, n: int, acting: Bools | None = None, member_mass: bool = True, bodies: Bodies | None = None
) -> Modes:
    """The first n modes. `acting` (V,T+Q) or (T+Q,): which ties, then pads, act (default: none of them).

    `bodies` are masses that turn or stand on springs; they need the members' mass to be counted.
    """
    if bodies is not None and not member_mass:
        raise ValueError("bodies need the members' mass")
    model = Model.of(frame)
    acts = np.broadcast_to(
        np.zeros(frame.one_sided, bool) if acting is None else acting, (frame.variants, frame.one_sided)
    )
    whole = Whole.of(model, bodies or Bodies.none()) if member_mass else None
    unit = unit_loads(model) if whole is None else whole.unit
    hz = np.full((frame.variants, n), np.nan)
    shape = np.full((frame.variants, n, frame.nodes, 6), np.nan)
    effective = np.full((frame.variants, n, 3), np.nan)
    loose: list[str | None] = []
    for v in range(frame.variants):
        factor, k = model.factor(v), np.where(acts[v], model.one_sided.k[v], 0.0)
        loose.append(free_motion(model, factor, v, acts[v])[1])
        if loose[v] is not None:
            continue
        if whole is not None:
            modal = whole.modal(v, k, 0.0, n)
            found = len(modal.hz)
            hz[v, :found], shape[v, :found] = modal.hz, modal.motion.node
            effective[v, :found] = modal.effective_mass
            continue
        solve: Callable[[Array], Array] = factor.solve
        if acts[v].any():
            solve = partial(cho_solve, (cholesky(stiffness(model, v, k), lower=True), True))
        size, moved, taken = _by_flexibility(model, v, solve, unit[v])
        found = min(n, int(np.count_nonzero(size > RIGID * size.max(initial=0.0))))
        hz[v, :found] = 1 / (2 * np.pi * np.sqrt(size[:found]))
        shape[v, :found] = model.layout.scatter(moved[:found])
        effective[v, :found] = taken[:found] ** 2
    return Modes(hz, shape, effective, tuple(loose))


def _by_flexibility(
    model: Model, v: int, solve: Callable[[Array], Array], unit: Array
) -> tuple[Array, Array, Array]:
    """1/ω², nodal shapes and participations, from the point masses alone."""
    frame = model.frame
    m, mm = frame.masses, frame.member_masses
    mass = np.concatenate([m.m[v], mm.m[v]])
    if mass.size == 0:
        return np.zeros(0), np.zeros((0, model.layout.rows)), np.zeros((0, 3))
    loads = model.layout.gather(unit).reshape(3 * len(mass), model.layout.rows)
    moved = solve(loads.T).T
    F = loads @ moved.T
    at = 3 * len(m)
    for member in np.unique(mm.member):
        on = np.flatnonzero(mm.member == member)
        local = span_flexibility(frame.variant(v), model.geo.one(v), int(member), mm.at[v : v + 1, on])[0]
        turn = model.geo.turn[v, member]
        own = np.einsum("ia,kilj,jb->kalb", turn, local, turn)
        for k, row in enumerate(on):
            for l, column in enumerate(on):
                r, c = at + 3 * row, at + 3 * column
                F[r : r + 3, c : c + 3] += own[k, :, l]
    s = np.repeat(np.sqrt(mass), 3)
    size, vectors = eigh((F + F.T) / 2 * s[:, None] * s)
    size, vectors = size[::-1].clip(min=0), vectors[:, ::-1].T
    taken = (vectors * s).reshape(len(vectors), len(mass), 3).sum(axis=1)
    lengths = np.where(size > 0, size, 1.0)[:, None]
    return size, (vectors * s) @ moved / lengths, taken
