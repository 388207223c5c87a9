"""The fixings of each item: its feet on the shelf, its panel screws on the rails.

The inertia force at the item's centre of gravity reaches its fixing points as the statically equivalent
forces of the least-squares rigid body: f = F/n + (J⁻¹ M) × r about the points' middle. A point that is
pulled loads its screw in tension; what lies across the screw loads it in shear.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.fit import equipment_corner
from rackwright.pieces.shelf_pieces import HANDS, screw_heights, screw_x
from rackwright.rack.model import Equipment
from rackwright.reference import bolts
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.checks.joint import bearing
from rackwright.strength.margin import Margin
from rackwright.strength.run import Run

__all__ = ["equipment", "fixing_forces"]

Array = NDArray[np.float64]


def equipment(run: Run) -> Iterator[Margin]:
    """Margins of every item's screws and of the metal they bear on."""
    for item in run.rack.definition.equipment:
        yield from _fixings(run, item)


def fixing_points(run: Run, item: Equipment) -> Array:
    """(points, 3) in metres from the corner of its body, so that no rounding hangs on where the item stands."""
    d = run.rack.definition
    if item.on_shelf is not None:
        return np.array([(x, y, 0) for x, y in item.on_shelf.feet]) * 1e-9
    assert d.rails is not None
    corner = equipment_corner(run.rack, item)
    points = [
        (screw_x(run.rack, hand), d.rails.setback, z) for hand in HANDS for z in screw_heights(d.rails, item)
    ]
    return np.asarray((np.array(points) - np.array(corner)) * 1e-9)


def fixing_forces(run: Run, item: Equipment) -> Array:
    """(V, C, points, 3) force of the item on each fixing point, ultimate cases, upper mass tolerance."""
    points = fixing_points(run, item)
    r = points - points.mean(axis=0)
    J = np.einsum("pi,pi->", r, r) * np.eye(3) - np.einsum("pi,pj->ij", r, r)
    F = run.inertia_force(item, "ultimate")
    M = np.cross((run.item_cg(item) - points.mean(axis=0))[:, None], F)
    turn = np.linalg.solve(J, M.reshape(-1, 3).T).T.reshape(F.shape)
    return np.asarray(F[:, :, None] / len(points) + np.cross(turn[:, :, None], r))


def _fixings(run: Run, item: Equipment) -> Iterator[Margin]:
    d, forces, head = run.rack.definition, fixing_forces(run, item), f"equipment.{item.name}"
    if item.on_shelf is not None:
        screw, piece, thickness = (
            d.shelf_make.screw,
            f"panel.{item.on_shelf.shelf}",
            d.shelf_make.panel.thickness,
        )
        shear, pull = np.hypot(forces[..., 0], forces[..., 1]), np.maximum(forces[..., 2], 0.0)
    else:
        assert d.rails is not None
        screw, piece, thickness = d.rails.screw, "rail.left", d.rails.angle.thickness
        shear, pull = np.hypot(forces[..., 0], forces[..., 2]), np.maximum(-forces[..., 1], 0.0)
    places = tuple(f"screw {n + 1}" for n in range(forces.shape[2]))
    mode = "equipment screws in shear and tension"
    yield shear_tension(run, f"{head}/screws", mode, screw.bolt, shear, pull, places)
    ids = [bolt.id for bolt in run.pieces.bolts if bolt.id.rpartition(".")[0] == head]
    diameter = bolts()[screw.bolt].diameter
    yield bearing(run, f"{head}/bearing", run.pieces.get(piece), ids, diameter, thickness * 1e-9, shear)
