"""A second look at a case whose balance came out worse than it should.

The frame without its ties and pads may be very soft in a motion that they resist stiffly; the flexibility then
holds large numbers that cancel, and digits are lost. Once the acting set is known nothing of this is needed:
the acting elements are springs, u = (K + Bₐᵀ k Bₐ)⁻¹ (f - BₐᵀT0), by a sparse factor with pivoting.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import csc_array, dia_array
from scipy.sparse.linalg import splu

from rackwright.strength.frame.model import Array, Bools
from rackwright.strength.frame.ready import Model

__all__ = ["with_acting_set"]


def with_acting_set(model: Model, v: int, acts: Bools, load: Array) -> tuple[Array, Array] | None:
    """Displacements (N,6) and one-sided forces (U,) of one case under nodal loads (N,6).

    None where the acting elements leave a motion free, or where they turn out not to be the acting ones.
    """
    k, T0 = model.one_sided.k[v], model.one_sided.T0[v]
    B = model.one_sided.rows(model.layout, v)
    on = csc_array(B[acts])
    try:
        factor = splu((whole_matrix(model.band(v)) + on.T @ (on * k[acts, None])).tocsc())
    except RuntimeError:  # exactly singular
        return None
    rows = factor.solve(model.layout.gather(load) - B[acts].T @ T0[acts])
    tension = T0 + k * (B @ rows)
    if not np.isfinite(rows).all() or np.any((tension > 0) != acts):
        return None
    return model.layout.scatter(rows), np.where(acts, tension, 0.0)


def whole_matrix(band: Array) -> dia_array:
    """The symmetric matrix of a lower band (rows, half+1)."""
    rows, width = band.shape
    below = np.zeros((width, rows))  # dia format: column j of diagonal -i holds entry (i+j, j)
    above = np.zeros((width, rows))
    for i in range(width):
        below[i] = band[:, i]
        above[i, i:] = band[: max(rows - i, 0), i]
    offsets = np.arange(width)
    return dia_array(
        (np.concatenate([below, above[1:]]), np.concatenate([-offsets, offsets[1:]])), shape=(rows, rows)
    )
