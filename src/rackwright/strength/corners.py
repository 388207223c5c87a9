"""Where in its tolerance each centre of gravity lies: the corners of the box that a run must look at.

Moving a centre by d under an inertia force F adds the couple d × F. Forces follow from loads, and utilisation is
convex in them while no strap or pad changes state, so that the worst centre is a corner of the box. A force along
one axis makes its couple from the two components of d across it alone: of the eight corners four, in which every
pair of axes shows all four pairs of signs, hold the worst of every case that acts along one rack axis. A case in
several directions asks for all eight. A rack that tilts on its straps sees a small part of its load along the other
axes: on the demo's rack the four corners left out raise no load by more than 0.05 % (measured).

All items sit at the same corner at once: that is the worst for whatever carries them together (straps, floor,
posts) and, since shelf angles and screws hang on their own items, for these. A member between two items whose
centres err to opposite sides may see more; that is not looked at.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from rackwright.rack.model import Rack
from rackwright.strength.cases import load_cases

__all__ = ["NOMINAL", "at_corners", "corner_name", "corners"]

Array = NDArray[np.float64]
NOMINAL = (0.0, 0.0, 0.0)
FOUR = ((1.0, 1.0, 1.0), (1.0, -1.0, -1.0), (-1.0, 1.0, -1.0), (-1.0, -1.0, 1.0))
EIGHT = tuple(itertools.product((1.0, -1.0), repeat=3))


def corners(rack: Rack) -> tuple[tuple[float, ...], ...]:
    """Signs along x, y, z, the nominal place first; alone where no item has a tolerance."""
    if not any(any(item.cg_tolerance or ()) for item in rack.definition.equipment):
        return (NOMINAL,)
    along_one = all(np.count_nonzero(np.abs(case.rack) > 1e-9) <= 1 for case in load_cases(rack))
    return (NOMINAL, *(FOUR if along_one else EIGHT))


def corner_name(signs: tuple[float, ...]) -> str:
    """ ", CG +x -y -z" for a corner, nothing for the nominal place."""
    if signs == NOMINAL:
        return ""
    return ", CG " + " ".join(
        f"{'+' if sign > 0 else '-'}{axis}" for sign, axis in zip(signs, "xyz", strict=True)
    )


def at_corners(rack: Rack, per: int) -> tuple[Array, Array, Array]:
    """Mass (V, items), centre of gravity (V, items, 3) from the item's corner, and its shift; `per` variants each."""
    items = rack.definition.equipment
    signs = np.repeat(np.array(corners(rack)), per, axis=0)  # (V, 3)
    band = np.array([item.cg_tolerance or (0, 0, 0) for item in items]).reshape(-1, 3) * 1e-9
    shift = signs[:, None] * band
    mass = np.array([item.mass + (item.mass_tolerance or 0.0) for item in items])
    return (
        np.tile(mass, (len(signs), 1)),
        np.array([item.cg for item in items]).reshape(-1, 3) * 1e-9 + shift,
        shift,
    )
