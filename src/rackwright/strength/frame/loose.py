"""Which of the supported motions are loose, and how stiff the others are.

`band` put supports under every freedom that looked weak. Whether a motion is loose is a question of shape, not
of stiffness: it is loose when no member or spring deforms in it by more than rounding. The others are soft, and
their stiffness is the energy of their deformations, summed member by member: with G = Wᵀ K W and Eᵀ W the motions of
the supported freedoms, R = (EᵀW)⁻ᵀ G, in which a spring 1e-15 times softer than its neighbours still counts, while
in the assembled matrix it is rounded away. So a soft frame is never called a mechanism, nor a mechanism soft,
whatever the units and the contrast of stiffness.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackwright.strength.frame.band import Propped
from rackwright.strength.frame.beam import Geometry
from rackwright.strength.frame.model import Array, Frame

__all__ = ["LOOSE", "Factor", "sort_out"]

LOOSE = 1e-7  # largest relative deformation of a loose motion (rounding: 1e-12; a chain of 1000 beams: 1e-6)


@dataclass(frozen=True, eq=False)
class Factor:
    """One variant's factored frame: u = A f + W y, R y = Wᵀ f. The first `loose` motions are loose: R is 0 there."""

    propped: Propped
    W: Array  # (rows,d)
    R: Array  # (d,d)
    loose: int

    @property
    def held(self) -> tuple[int, ...]:
        return self.propped.held

    def solve(self, right: Array) -> Array:
        """K⁻¹ right (rows,r), for a frame that has no loose motion."""
        out = self.propped.solve(right)
        if len(self.R):
            out = out + self.W @ self.soft(self.W.T @ right)
        return out

    def soft(self, push: Array) -> Array:
        """R⁻¹ push (d,r), for a frame that has no loose motion."""
        scale = 1 / np.sqrt(np.diagonal(self.R))
        return np.asarray(
            scale[:, None] * np.linalg.solve(scale[:, None] * self.R * scale, scale[:, None] * push)
        )


def sort_out(frame: Frame, geo: Geometry, v: int, propped: Propped, motions: Array) -> Factor:
    """Tell loose motions from soft ones. `motions` (d,N,6) is W over all freedoms."""
    d = len(motions)
    if d == 0:
        return Factor(propped, propped.W, np.zeros((0, 0)), 0)
    size, deformed, forces = _deform(frame, geo, v, motions)
    deformed = np.concatenate([deformed, np.zeros((d, d))])  # at least as many rows as motions
    _, worst, turned = np.linalg.svd(deformed, full_matrices=False)
    worst = worst[::-1]  # ascending: loose ones first
    mix = turned[::-1].T / size[:, None]
    loose = int(np.count_nonzero(worst < LOOSE))
    energy = forces.T @ forces
    R = np.linalg.solve(propped.W[list(propped.held)].T, energy)
    R = mix.T @ R @ mix
    R[:loose] = R[:, :loose] = 0.0
    return Factor(propped, propped.W @ mix, (R + R.T) / 2, loose)


def _deform(frame: Frame, geo: Geometry, v: int, motions: Array) -> tuple[Array, Array, Array]:
    """Sizes (d,), relative deformations (many,d), and √stiffness times deformation (many,d) of motions (d,N,6).

    The size is the largest displacement, a turn counting by how far it moves the frame's far end. A member's
    deformation counts beside the largest that motions of that size could give it.
    """
    span = float(np.linalg.norm(np.ptp(frame.xyz[v], axis=0))) or 1.0
    unit = np.array([1.0] * 3 + [1 / span] * 3)
    size = np.abs(motions / unit).max(axis=(1, 2), initial=0.0)
    ends, springs = frame.members.ends, frame.springs
    flat = motions[:, ends].reshape(len(motions), len(ends), 12, 1)
    c, reach = geo.c[v], geo.reach[v]
    strain = reach @ flat
    bound = np.abs(c) @ (np.abs(reach) @ np.tile(unit, 2))[..., None]
    members = (c @ strain / np.where(bound > 0, bound, 1.0)).reshape(len(motions), 6 * len(ends))
    stretch = motions[:, springs.node, springs.freedom]
    relative = np.concatenate([members, stretch / unit[springs.freedom]], axis=1)
    root = (_root(c) @ strain).reshape(len(motions), 6 * len(ends))
    forces = np.concatenate([root, np.sqrt(springs.k[v]) * stretch], axis=1)
    return size, (relative / np.where(size > 0, size, 1.0)[:, None]).T, forces.T


def _root(c: Array) -> Array:
    """A matrix S with SᵀS = c, for the members' stiffness (M,6,6)."""
    size, axes = np.linalg.eigh(c)
    return np.asarray(np.sqrt(size.clip(min=0))[..., None] * axes.swapaxes(-1, -2))
