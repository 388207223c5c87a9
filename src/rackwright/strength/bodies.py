"""Equipment as rigid bodies: it turns, and may stand on isolators.

An item's inertia is that of a uniform box of its size, taken about its stated centre of gravity (the mass may lie
otherwise in it; no document states its moments). An isolator stands at each of its fixing points; together they
are one stiffness at the centre of gravity,  K = Σ Gᵀ k G  with  G = [1, -r×].
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.shelf_pieces import (
    HANDS,
    equipment_corner,
    screw_heights,
    screw_x,
    shelf_feet,
    shelf_of,
)
from rackwright.rack.model import Equipment, Rack
from rackwright.strength.frame import Bodies

__all__ = ["fixing_points", "item_bodies", "lever", "panel_count"]

Array = NDArray[np.float64]


def item_bodies(rack: Rack) -> Bodies:
    """Every item with its upper mass tolerance, as the first of the frame's masses; its springs if it has any."""
    items = rack.definition.equipment
    inertia, spring = np.zeros((len(items), 3, 3)), np.zeros((len(items), 6, 6))
    for n, item in enumerate(items):
        a, b, c = (size * 1e-9 for size in item.size)
        mass = item.mass + (item.mass_tolerance or 0.0)
        inertia[n] = np.diag([b * b + c * c, a * a + c * c, a * a + b * b]) * mass / 12
        if item.isolators is not None:
            k = np.array(item.isolators.stiffness)
            for arm in fixing_points(rack, item) - np.array(item.cg) * 1e-9:
                G = lever(arm)
                spring[n] += G.T @ (k[:, None] * G)
    return Bodies(np.arange(len(items)), inertia, spring)


def panel_count(item: Equipment) -> int:
    return 2 * len(HANDS) if item.on_rails else 0


def fixing_points(rack: Rack, item: Equipment) -> Array:
    """(points, 3) in metres from the corner of its body, so that no rounding hangs on where the item stands.

    Screws into the rails come first (the left side, then the right), then feet on a shelf.
    """
    d = rack.definition
    corner, points = equipment_corner(rack, item), []
    if item.on_rails and d.rails:
        points = [
            (screw_x(rack, hand) - corner[0], d.rails.setback - corner[1], z - corner[2])
            for hand in HANDS
            for z in screw_heights(rack, item)
        ]
    shelf = next((s.height for s in d.shelf if s.name == shelf_of(item)), 0)
    points += [(x, y, shelf - corner[2]) for x, y in shelf_feet(item)]
    return np.array(points) * 1e-9


def lever(arm: Array) -> Array:
    """(3, 6): displacement of a point at `arm` from a body's place, of the body's motion there."""
    x, y, z = arm
    return np.array([[1, 0, 0, 0, z, -y], [0, 1, 0, -z, 0, x], [0, 0, 1, y, -x, 0]], dtype=float)
