"""The linear frame as one band matrix: node order, assembly, factor, and the motions it cannot resist.

Nodes are ordered by reverse Cuthill-McKee, so that the stiffness matrix is a narrow band and its Cholesky factor
costs N·b² (LAPACK pbtrf). A frame that only ties and pads hold together floats: its matrix is singular. Then a
support of ordinary stiffness σ is put under one freedom for each loose motion,
    Ks = K + σ E Eᵀ,   W = σ Ks⁻¹ E,
and W holds exactly the loose motions, scaled to 1 at those freedoms (K W = 0, EᵀW = 1). The one-sided elements
must carry the load along W; the support then carries nothing, so it is not an approximation (see `one_sided`).

Whether a motion is loose is a question of shape, not of stiffness: it is loose when no member or spring
deforms in it by more than rounding. A small pivot only raises the suspicion. So a soft frame is not called
a mechanism, nor a mechanism soft, whatever the units or the contrast of stiffness.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from scipy.linalg import qr
from scipy.linalg.lapack import dpbtrf, dpbtrs
from scipy.sparse import coo_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from rackwright.strength.frame.model import Array, Bools, Ints

__all__ = ["Factor", "Layout", "assemble", "factorise", "lay_out"]

SUSPECT = 1e-8  # a pivot below this share of its diagonal raises the suspicion of a loose motion
LOOSE = 1e-7  # largest relative deformation of a loose motion (rounding: 1e-12; a chain of 1000 beams: 1e-6)


@dataclass(frozen=True, eq=False)
class Layout:
    """Where each freedom stands in the band: depends on the topology alone."""

    place: Ints  # (N,6) row of a freedom, -1 where held
    rows: int
    half: int  # half-bandwidth
    pick: Bools  # (M,12,12) the entries of member matrices that lie in the lower band
    target: Ints  # flat index in the (rows, half+1) band for each of them
    order: Ints  # (rows,) which freedom, counted through (N,6), stands in each row

    def gather(self, values: Array) -> Array:
        """(...,N,6) → (...,rows)."""
        return values.reshape(*values.shape[:-2], self.place.size)[..., self.order]

    def scatter(self, rows: Array) -> Array:
        """(...,rows) → (...,N,6), zero in held freedoms."""
        out = np.zeros((*rows.shape[:-1], self.place.size))
        out[..., self.order] = rows
        return out.reshape(*rows.shape[:-1], *self.place.shape)


def lay_out(ends: Ints, fixed: Bools) -> Layout:
    """Order the nodes and number the free freedoms. ends (M,2), fixed (N,6)."""
    nodes = len(fixed)
    ones = np.ones(2 * len(ends))
    pairs = np.concatenate([ends, ends[:, ::-1]])
    graph = coo_array((ones, (pairs[:, 0], pairs[:, 1])), shape=(nodes, nodes)).tocsr()
    order = reverse_cuthill_mckee(graph, symmetric_mode=True)
    place = np.full((nodes, 6), -1, dtype=np.int64)
    free = ~fixed[order]
    numbers = np.full(free.shape, -1, dtype=np.int64)
    numbers[free] = np.arange(free.sum())
    place[order] = numbers
    at = place[ends].reshape(len(ends), 12)
    down, across = np.broadcast_arrays(at[:, :, None], at[:, None, :])
    pick = (down >= 0) & (across >= 0) & (down >= across)
    row, column = down[pick], across[pick]
    half = int((row - column).max(initial=0))
    flat = np.flatnonzero(place.ravel() >= 0)
    by_row = flat[np.argsort(place.ravel()[flat])]
    return Layout(place, len(flat), half, pick, column * (half + 1) + row - column, by_row)


def assemble(layout: Layout, stiffness: Array, spring_rows: Ints, spring_k: Array) -> Array:
    """Band (rows, half+1), diagonal first, of one variant: stiffness (M,12,12); springs on rows (S,)."""
    size = layout.rows * (layout.half + 1)
    band = np.asarray(np.bincount(layout.target, weights=stiffness[layout.pick], minlength=size), float)
    held = spring_rows >= 0
    np.add.at(band, spring_rows[held] * (layout.half + 1), spring_k[held])
    return band.reshape(layout.rows, layout.half + 1)


@dataclass(frozen=True, eq=False)
class Factor:
    """The factor of one variant, with its loose motions W (rows, d): none for a frame that stands by itself."""

    lower: Array
    loose: Array
    held: tuple[int, ...] = ()  # the supported rows
    sigma: Array = field(default_factory=lambda: np.zeros(0))  # the stiffness of their supports
    soft: bool = False  # some motion is so soft that assembly loses digits: refine

    def solve(self, right: Array) -> Array:
        """Ks⁻¹ right, for right (rows, r)."""
        if right.size == 0:
            return np.zeros_like(right)
        out, _ = dpbtrs(self.lower, right, lower=1)
        return np.asarray(out)


def factorise(
    band: Array, strain: Callable[[Array], Array], guess: tuple[int, ...] = (), stiff: float = 1.0
) -> Factor:
    """Factor a band; find its loose motions.

    `strain` gives, for motions (rows, d), the largest relative deformation of any member or spring in each.
    `guess`: freedoms that are likely to need support (those of a neighbouring variant); `stiff`: a usual stiffness
    where the frame itself has none.
    """
    rows = len(band)
    if rows == 0:
        return Factor(np.zeros((1, 0)), np.zeros((0, 0)))
    diagonal = band[:, 0].copy()
    usual = np.where(diagonal > 0, diagonal, max(float(diagonal.max(initial=0.0)), stiff))
    held = list(guess)
    cleared: set[int] = set()  # suspected freedoms that proved soft, not loose
    while True:
        lower, weak = _pivots(band, usual, held, cleared)
        if weak is not None and weak not in held:
            held.append(weak)
            continue
        if not held:
            return Factor(lower, np.zeros((rows, 0)), soft=bool(cleared))
        unit = np.zeros((rows, len(held)))
        unit[held, np.arange(len(held))] = usual[held]
        loose = np.asarray(dpbtrs(lower, unit, lower=1)[0])
        keep = _truly_loose(loose, held, usual[held], strain)
        if len(keep) == len(held) or cleared & set(held):  # the latter: too soft for this arithmetic
            return Factor(lower, loose, tuple(held), usual[held], bool(cleared))
        cleared |= set(held) - set(keep)
        held = keep


def _pivots(band: Array, usual: Array, held: list[int], cleared: set[int]) -> tuple[Array, int | None]:
    """The factor with supports under `held`, or the first freedom whose pivot is suspiciously small."""
    trial = band.copy()
    trial[held, 0] += usual[held]
    lower, info = dpbtrf(trial.T, lower=1)
    done = info - 1 if info > 0 else len(band)
    ratio = lower[0, :done] ** 2 / (trial[:done, 0] + np.finfo(float).tiny)
    small = ratio < SUSPECT
    small[[row for row in cleared if row < done]] = False
    if small.any():
        return lower, int(np.argmax(small))
    return lower, (done if info > 0 else None)


def _truly_loose(
    motions: Array, held: list[int], sigma: Array, strain: Callable[[Array], Array]
) -> list[int]:
    """Those held freedoms that are needed to fix the motions in which nothing deforms."""
    if np.all(strain(motions) < LOOSE):
        return held
    root = np.sqrt(sigma)
    gain = motions[held] / root * root[:, None]  # √σ EᵀKs⁻¹E √σ: 1 along loose motions, less along soft ones
    size, mix = np.linalg.eigh((gain + gain.T) / 2)
    combos = mix[:, np.abs(size - 1) < 1e-4] / root[:, None]
    combos = combos[:, strain(motions @ combos) < LOOSE]
    if combos.shape[1] == 0:
        return []
    order = qr(combos.T, pivoting=True, mode="r")[-1]
    return [held[i] for i in sorted(order[: combos.shape[1]])]
