"""Rails on the front posts: their bolts carry what panel equipment puts on them.

A rail's bolts stand in one line along the post. They share the force of all panel screws on that rail; its moment
about the line's middle is held by the elastic vector method along the line, and about the line itself by prying
over the nearer edge of the leg that lies on the post. The rail between its bolts is not checked as a beam: they
stand 4 in apart or less.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.shelf_pieces import HANDS, equipment_corner
from rackwright.rack.model import Rails
from rackwright.reference import bolts
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.checks.equipment import fixing_forces, fixing_points, panel_count
from rackwright.strength.checks.joint import bearing
from rackwright.strength.margin import Margin
from rackwright.strength.run import Run

__all__ = ["rails"]

Array = NDArray[np.float64]


def rails(run: Run) -> Iterator[Margin]:
    """Margins of both rails' bolts and of the metal they bear on; none without panel equipment."""
    made = run.rack.definition.rails
    if made is None or not any(item.on_rails for item in run.rack.definition.equipment):
        return
    for n, hand in enumerate(HANDS):
        yield from _rail(run, made, hand, n)


def _rail(run: Run, made: Rails, hand: str, n: int) -> Iterator[Margin]:
    head = f"rail.{hand}"
    held = [bolt for bolt in run.pieces.bolts if bolt.id.rpartition(".")[0] == head]
    post = run.pieces.get(f"post.front-{hand}")
    points = np.array([bolt.point for bolt in held])
    points[:, 0] = (post.hi if hand == "left" else post.lo)[0]  # where rail and post meet
    z = (points[:, 2] - points[:, 2].mean()) * 1e-9
    shear, pull = _shared(z, *_load(run, n, points.mean(axis=0)), _heel(run, made))
    ids, row = [bolt.id for bolt in held], bolts()[made.hardware.bolt]
    places = tuple(f"bolt {number + 1}" for number in range(len(held)))
    yield shear_tension(run, f"{head}/bolts", "rail bolts in shear and tension", row.id, shear, pull, places)
    wall, leg = run.rack.definition.tube.wall * 1e-9, made.angle.thickness * 1e-9
    yield bearing(run, f"{head}/rail bearing", run.pieces.get(head), ids, row.diameter, leg, shear)
    yield bearing(run, f"{head}/post bearing", post, ids, row.diameter, wall, shear)


def _load(run: Run, n: int, middle: Array) -> tuple[Array, Array]:
    """(V, C, 3) force of all items on one rail and its moment about the middle (nm) of the rail's bolts."""
    force = np.zeros((len(run.model.item_mass), len(run.chosen("ultimate")), 3))
    moment = np.zeros_like(force)
    for item in run.rack.definition.equipment:
        if item.on_rails is None:
            continue
        at = fixing_points(run, item) + (np.array(equipment_corner(run.rack, item)) - middle) * 1e-9
        each, half = fixing_forces(run, item), panel_count(item) // 2
        here = slice(n * half, (n + 1) * half)  # the points of one side follow each other
        force, moment = (
            force + each[:, :, here].sum(axis=2),
            moment + np.cross(at[here], each[:, :, here]).sum(axis=2),
        )
    return force, moment


def _shared(z: Array, force: Array, moment: Array, heel: float) -> tuple[Array, Array]:
    """(V, C, bolts) shear across and pull along bolts at heights z from their middle, x along them."""
    lever = z / float(np.sum(z**2))
    y = force[..., 1, None] / len(z) - moment[..., 0, None] * lever
    shear = np.hypot(y, force[..., 2, None] / len(z))
    pull = np.abs(force[..., 0, None]) / len(z) + np.abs(moment[..., 1, None] * lever)
    return shear, pull + np.abs(moment[..., 2, None]) / (len(z) * heel)


def _heel(run: Run, made: Rails) -> float:
    """From the bolts to the nearer edge of what the rail's leg shares with the post's flat face, m."""
    tube = run.rack.definition.tube
    front = max(made.setback, tube.corner_radius)
    back = min(made.setback + made.angle.post_leg, tube.side - tube.corner_radius)
    return min(tube.side // 2 - front, back - tube.side // 2) * 1e-9
