"""A rigid body on several points: how it hands them its force, and how it moves when they do.

Equal points share a force F and a moment M about their middle as f = F/n + (J⁻¹ M) × r, J = Σ (r·r 1 − r rᵀ): the
elastic vector method in three dimensions, and the least-squares rigid motion of the points read backwards.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from rackwright.strength.frame import crossed

__all__ = ["couple", "rigid_motion", "shared"]

Array = NDArray[np.float64]


def shared(points: Array, force: Array, at: Array) -> Array:
    """(..., points, 3) force on each of `points` (points, 3) of `force` (..., 3) that acts at `at` (..., 3)."""
    return np.asarray(
        force[..., None, :] / len(points) + couple(points, crossed(at - points.mean(axis=0), force))
    )


def couple(points: Array, moment: Array) -> Array:
    """(..., points, 3) force on each of `points` of a moment (..., 3) alone."""
    r = points - points.mean(axis=0)
    return np.asarray(crossed(_solved(r, moment)[..., None, :], r))


def rigid_motion(points: Array, moved: Array) -> tuple[Array, Array]:
    """Motion (..., 3) of the points' middle and rotation (..., 3) that fit their motions (..., points, 3) best."""
    r, mean = points - points.mean(axis=0), moved.mean(axis=-2)
    return mean, _solved(r, crossed(r, moved - mean[..., None, :]).sum(axis=-2))


def _solved(r: Array, moment: Array) -> Array:
    J = np.einsum("pi,pi->", r, r) * np.eye(3) - np.einsum("pi,pj->ij", r, r)
    return np.asarray(np.linalg.solve(J, moment.reshape(-1, 3).T).T.reshape(moment.shape))
