"""Equipment as rigid bodies: it turns, and may stand on isolators.

An item's inertia is that of a uniform box of its size, taken about its stated centre of gravity (the mass may lie
otherwise in it; no document states its moments). An isolator stands at each of its fixing points; together they
are one stiffness at the centre of gravity,  K = Σ Gᵀ k G  with  G = [1, -r×].
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.build import Pieces
from rackwright.pieces.weight import equipment_cg
from rackwright.rack.model import Equipment, Rack
from rackwright.strength.frame import Bodies

__all__ = ["fixing_places", "item_bodies", "lever"]

Array = NDArray[np.float64]


def item_bodies(rack: Rack, pieces: Pieces) -> Bodies:
    """Every item with its upper mass tolerance, as the first of the frame's masses; its springs if it has any."""
    items = rack.definition.equipment
    inertia, spring = np.zeros((len(items), 3, 3)), np.zeros((len(items), 6, 6))
    for n, item in enumerate(items):
        a, b, c = (size * 1e-9 for size in item.size)
        mass = item.mass + (item.mass_tolerance or 0.0)
        inertia[n] = np.diag([b * b + c * c, a * a + c * c, a * a + b * b]) * mass / 12
        if item.isolators is not None:
            k = np.array(item.isolators.stiffness)
            for arm in fixing_places(pieces, item) - equipment_cg(rack, item):
                G = lever(arm)
                spring[n] += G.T @ (k[:, None] * G)
    return Bodies(np.arange(len(items)), inertia, spring)


def fixing_places(pieces: Pieces, item: Equipment) -> Array:
    """(points, 3) m, rack axes: where its screws are."""
    head = f"equipment.{item.name}"
    return np.array([bolt.point for bolt in pieces.bolts if bolt.id.rpartition(".")[0] == head]) * 1e-9


def lever(arm: Array) -> Array:
    """(3, 6): displacement of a point at `arm` from a body's place, of the body's motion there."""
    x, y, z = arm
    return np.array([[1, 0, 0, 0, z, -y], [0, 1, 0, -z, 0, x], [0, 0, 1, y, -x, 0]], dtype=float)
