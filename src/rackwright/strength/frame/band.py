"""The linear frame as one band matrix: node order, assembly, factor, and supports under its soft motions.

Nodes are ordered so that the stiffness matrix is a narrow band (by reverse Cuthill-McKee, or plainly along an
axis where that is narrower), and its Cholesky factor costs N·b² (LAPACK pbtrf).

A frame that only ties and pads hold together floats, and its matrix is singular or nearly so. Wherever a pivot
comes out suspiciously small, a support of ordinary stiffness σ is put under that freedom:
    Ks = K + E Σ Eᵀ,   A = Ks⁻¹,   W = A E Σ.
That is no approximation. With y = Eᵀu the motion of the supported freedoms,
    u = A f + W y,   Wᵀ f = R y,   R = Σ (1 - EᵀW)
is K u = f again: A is well conditioned, and the softness is in the small matrix R alone (see `loose`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.linalg.lapack import dpbtrf, dpbtrs
from scipy.sparse import coo_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from rackwright.strength.frame.model import Array, Bools, Ints

__all__ = ["Layout", "Propped", "assemble", "lay_out", "prop", "summed"]

SUSPECT = 1e-3  # a pivot below this share of its diagonal is given a support


@dataclass(frozen=True, eq=False)
class Layout:
    """Where each freedom stands in the band: depends on the topology alone."""

    place: Ints  # (N,6) row of a freedom, -1 where held
    rows: int
    half: int  # half-bandwidth
    pick: Bools  # (M,12,12) the entries of member matrices that lie in the lower band
    target: Ints  # flat index in the (rows, half+1) band for each of them
    order: Ints  # (rows,) which freedom, counted through (N,6), stands in each row

    def part(self, first: int, end: int) -> Layout:
        """For some of the members."""
        start, stop = int(self.pick[:first].sum()), int(self.pick[:end].sum())
        return replace(self, pick=self.pick[first:end], target=self.target[start:stop])

    def only(self, entries: Bools) -> Layout:
        """Without the entries (M,12,12) that are zero anyway."""
        return replace(self, pick=self.pick & entries, target=self.target[entries[self.pick]])

    def entries(self, blocks: Array) -> Array:
        """(P,E) what lies in the lower band of member matrices (P,M,12,12)."""
        return np.asarray(blocks.reshape(len(blocks), self.pick.size)[:, np.flatnonzero(self.pick)])

    def gather(self, values: Array) -> Array:
        """(...,N,6) → (...,rows)."""
        return values.reshape(*values.shape[:-2], self.place.size)[..., self.order]

    def scatter(self, rows: Array) -> Array:
        """(...,rows) → (...,N,6), zero in held freedoms."""
        out = np.zeros((*rows.shape[:-1], self.place.size))
        out[..., self.order] = rows
        return out.reshape(*rows.shape[:-1], *self.place.shape)


def lay_out(ends: Ints, fixed: Bools, xyz: Array) -> Layout:
    """Order the nodes and number the free freedoms. ends (M,2), fixed (N,6), xyz (N,3)."""
    order = min(_orders(ends, xyz), key=lambda order: _spread(order, ends))
    place = np.full(fixed.shape, -1, dtype=np.int64)
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
    """Bands (...,rows, half+1), diagonal first: stiffness (...,M,12,12); springs (...,S) on rows (S,)."""
    lead = stiffness.shape[:-3]
    many = int(np.prod(lead))
    entries = layout.entries(stiffness.reshape(many, *stiffness.shape[-3:]))
    bands = summed(layout, entries, spring_rows, spring_k.reshape(many, -1))
    return bands.reshape(*lead, layout.rows, layout.half + 1)


def summed(layout: Layout, entries: Array, spring_rows: Ints, spring_k: Array) -> Array:
    """Bands (P,rows, half+1) of entries (P,E) that `Layout.entries` picked, and of springs (P,S)."""
    size = layout.rows * (layout.half + 1)
    bands = np.empty((len(entries), size))
    for band, one in zip(bands, entries, strict=True):
        band[:] = np.bincount(layout.target, weights=one, minlength=size)
    held = spring_rows >= 0
    if held.any():
        each = np.arange(len(bands))[:, None]
        np.add.at(bands, (each, spring_rows[held] * (layout.half + 1)), spring_k[:, held])
    return bands.reshape(len(bands), layout.rows, layout.half + 1)


def _orders(ends: Ints, xyz: Array) -> list[Ints]:
    """Orders worth trying: reverse Cuthill-McKee; as given; along each axis (racks are built floor by floor)."""
    nodes = len(xyz)
    pairs = np.concatenate([ends, ends[:, ::-1]])
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(nodes, nodes)).tocsr()
    along = [np.argsort(xyz[:, axis].round(2), kind="stable") for axis in range(3)]
    return [np.asarray(reverse_cuthill_mckee(graph, symmetric_mode=True), np.int64), np.arange(nodes), *along]


def _spread(order: Ints, ends: Ints) -> int:
    """The half-band in nodes."""
    rank = np.empty(len(order), dtype=np.int64)
    rank[order] = np.arange(len(order))
    return int(np.abs(rank[ends[:, 0]] - rank[ends[:, 1]]).max(initial=0))


@dataclass(frozen=True, eq=False)
class Propped:
    """The factor of Ks, and what its supports do: W (rows,d), their rows `held` and stiffness `sigma` (d,)."""

    lower: Array
    W: Array
    held: tuple[int, ...]
    sigma: Array

    def solve(self, right: Array) -> Array:
        """A right, for right (rows, r)."""
        if right.size == 0:
            return np.zeros_like(right)
        return np.asarray(dpbtrs(self.lower, right, lower=1)[0])


def prop(band: Array, stiff: float = 1.0, guess: tuple[int, ...] = ()) -> Propped:
    """Factor a band, with supports where pivots are small.

    `guess`: freedoms that are likely to need one (those of a neighbouring variant); `stiff`: a usual stiffness where
    the frame itself has none.
    """
    rows = len(band)
    if rows == 0:
        return Propped(np.zeros((1, 0)), np.zeros((0, 0)), (), np.zeros(0))
    diagonal = band[:, 0]
    usual = np.where(diagonal > 0, diagonal, max(float(diagonal.max(initial=0.0)), stiff))
    held = list(guess)
    while True:
        trial = band.copy()
        trial[held, 0] += usual[held]
        lower, info = dpbtrf(trial.T, lower=1)
        weak = _first_weak(lower, info, trial[:, 0])
        if weak is None:
            break
        if weak in held:
            raise FloatingPointError("the stiffnesses are not finite")
        held.append(weak)
    load = np.zeros((rows, len(held)))
    load[held, np.arange(len(held))] = usual[held]
    bare = Propped(lower, load, tuple(held), usual[held])
    return replace(bare, W=bare.solve(load))


def _first_weak(lower: Array, info: int, diagonal: Array) -> int | None:
    done = info - 1 if info > 0 else len(diagonal)
    small = lower[0, :done] ** 2 < SUSPECT * diagonal[:done]
    if small.any():
        return int(np.argmax(small))
    return done if info > 0 else None
