"""Pulls of straps on rings and fittings, with every direction that their cones allow.

A strap's nominal direction runs from the eye of its ring to its fitting, in each case where the rack then rests (a
corner is named by the direction it has as drawn). Installation, or the ring's drawing, allows
a cone about it. What a ring is checked for are the corners of a polyhedron around that cone (`formulas/cone.py`): its
load effects are convex in the pull, so that none inside is worse. Where several straps pull at one ring, their sum
may move by the sum of what each may: a cube around that ball is taken, which is on the safe side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas.cone import cone_excess, cone_rim
from rackwright.rack.model import Strap, Wear
from rackwright.strength.frame import crossed
from rackwright.strength.run import Run

__all__ = ["Pulls", "cone_of", "corners", "pulls_at", "spread_at", "way_words", "wear_of"]

Array = NDArray[np.float64]
AROUND = 48  # corners on a circle
STEP = 3.5 * np.pi / 180  # between circles, at most


@dataclass(frozen=True, eq=False)
class Pulls:
    """Pulls on a ring: (V, C, K, 3) N in rack axes at K corners, and what each corner is in words."""

    force: Array
    places: tuple[str, ...]


def cone_of(run: Run, strap: Strap) -> float | None:
    """Half-angle (rad) of the directions allowed: the larger of installation's and the drawing's; None if neither
    is."""
    ring = next(one for one in run.rack.definition.ring if one.name == strap.ring)
    return max((cone for cone in (strap.cone, ring.cone) if cone is not None), default=None)


def wear_of(run: Run, straps: Sequence[int]) -> list[Wear | None]:
    """What is said of each strap's hooks being removed often."""
    d = run.rack.definition
    types = {kind.name: kind for kind in d.strap_type}
    return [types[d.strap[n].type].wear for n in straps]


def pulls_at(run: Run, straps: Sequence[int], level: str = "ultimate") -> Pulls | None:
    """Every pull of some straps on their ring that their cones allow, in the cases of a level; None where a cone is
    not stated."""
    d, ways = run.rack.definition, run.ways(level)
    cones = [cone_of(run, d.strap[n]) for n in straps]
    tension = run.tension(level)[..., list(straps)]
    stated = [cone for cone in cones if cone is not None]
    if len(stated) < len(cones):
        return None
    if len(straps) == 1:
        at = corners(ways[:, :, straps[0]], stated[0])
        ties, xyz = run.model.frame.ties, run.model.frame.xyz[0]
        drawn = ties.offset[0, straps[0], 1] - xyz[ties.node[straps[0], 0]] - ties.offset[0, straps[0], 0]
        words = way_words(corners(drawn / np.linalg.norm(drawn), stated[0]))
        return Pulls(tension[..., None] * at, words)
    middle = np.einsum("vcn,vcni->vci", tension, ways[:, :, list(straps)])
    ball = np.einsum("vcn,n->vc", tension, 2 * np.sin(np.array(stated) / 2))
    cube = np.array([[i, j, k] for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)], dtype=float)
    force = middle[..., None, :] + ball[..., None, None] * cube
    return Pulls(force, ("the straps together, each anywhere in its cone",) * len(cube))


def spread_at(run: Run, straps: Sequence[int], level: str) -> tuple[Array, Array, Array] | None:
    """(V, C, 3) nominal pull of straps on their fitting, (V, C) by how much more and by which angle it may differ."""
    d, ways = run.rack.definition, run.settled.way_drawn[:, run.chosen(level)]
    stated = [cone for cone in (cone_of(run, d.strap[n]) for n in straps) if cone is not None]
    if len(stated) < len(straps):
        return None
    tension = run.response.tie_force[:, run.chosen(level)][..., list(straps)]
    middle = -np.einsum("vcn,vcni->vci", tension, ways[:, :, list(straps)])
    if len(straps) == 1:
        return middle, np.zeros(middle.shape[:2]), np.full(middle.shape[:2], stated[0])
    ball = np.einsum("vcn,n->vc", tension, 2 * np.sin(np.array(stated) / 2))
    size = np.linalg.norm(middle, axis=-1)
    return middle, ball, np.arcsin(np.clip(ball / np.maximum(size, 1e-12), 0.0, 1.0))


def corners(nominal: Array, half_angle: float) -> Array:
    """(..., K, 3) corners of a polyhedron around the directions within `half_angle` (rad) of unit vectors (..., 3).

    The first is the nominal direction itself, scaled like the others; alone and not scaled where the angle is zero.
    """
    if half_angle <= 0:
        return np.asarray(nominal[..., None, :])
    rim = float(cone_rim(half_angle, np.pi / AROUND))
    circles = int(np.ceil(rim / STEP))
    excess = float(cone_excess(rim / circles, 2 * np.pi / AROUND * np.sin(rim)))
    # beside the vertical, so that a turned rack has its corners turned
    steep = np.abs(nominal[..., 2:]) > 0.999
    first = crossed(nominal, np.where(steep, [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]))
    first = first / np.linalg.norm(first, axis=-1, keepdims=True)
    axes = np.stack([nominal, first, crossed(nominal, first)], axis=-2)
    polar, turn = np.meshgrid(
        rim * np.arange(1, circles + 1) / circles, 2 * np.pi * np.arange(AROUND) / AROUND, indexing="ij"
    )
    on_circles = [np.cos(polar), np.sin(polar) * np.cos(turn), np.sin(polar) * np.sin(turn)]
    parts = np.concatenate([[[1.0, 0.0, 0.0]], np.stack(on_circles, axis=-1).reshape(-1, 3)])
    return np.asarray(excess * parts @ axes)


def way_words(ways: Array) -> tuple[str, ...]:
    """Angles of directions (K, 3) in rack axes as drawn: from the level, and in plan from +x towards +y."""
    x, y, z = (ways / np.linalg.norm(ways, axis=-1, keepdims=True)).T
    plan, level = np.degrees(np.arctan2(y, x)), np.degrees(np.arcsin(np.clip(z, -1.0, 1.0)))
    return tuple(
        f"strap {abs(up):.1f}° {'below' if up < 0 else 'above'} the level, {way:+.1f}° in plan from +x"
        for up, way in zip(level.tolist(), plan.tolist(), strict=True)
    )
