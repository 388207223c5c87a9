"""Where a floor fitting may lie, and between which angles its straps may then pull.

A fitting is moved over the floor in eight directions, its straps with it (as long as they then are), until a check
fails or a strap would run through the rack. The least of the eight distances is the radius of a circle about the
nominal place; on its rim the straps' angles give the cone that each may lie in. Between the eight directions, and
for several fittings moved at once, nothing is proven.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.fit import crossed_by
from rackwright.strength.inverse.stretch import Stretch, proven, stretch
from rackwright.strength.vary import Batch, Found, Variants

__all__ = ["Cone", "FittingRange", "fitting_ranges"]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
WAYS = 8
FARTHEST = 24 * 0.0254  # m from the nominal place: further is another installation


@dataclass(frozen=True)
class Cone:
    """Angles (rad) of one strap over the circle: above the floor, in plan from rack +x towards +y, and off nominal."""

    strap: str
    above_floor: tuple[float, float, float]  # least, nominal, most
    in_plan: tuple[float, float, float]
    half_angle: float  # every direction nearer to nominal lies within the circle's rim


@dataclass(frozen=True)
class FittingRange:
    """How far (m) one fitting may lie from its nominal place: in each direction (unit x, y in rack axes), and all."""

    fitting: str
    ways: tuple[tuple[tuple[float, float], Stretch], ...]
    radius: float | None  # None where not even the nominal place holds
    governing: str
    cones: tuple[Cone, ...]


def fitting_ranges(batch: Batch, only: str | None = None) -> tuple[FittingRange, ...]:
    """Of every floor fitting that holds a strap, or of one."""
    d, frame = batch.rack.definition, batch.model.frame
    used = [one for one in d.floor_fitting
            if only in (None, one.name) and any(strap.fitting == one.name for strap in d.strap)]  # fmt: skip
    if not used:
        return ()
    eyes = frame.xyz[0, frame.ties.node[:, 0]] + frame.ties.offset[0, :, 0]
    turn = 2 * np.pi * np.arange(WAYS) / WAYS
    ways = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1).round(12)
    place = np.array([one.at for one in used]) * 1e-9
    straps = {one.name: [n for n, strap in enumerate(d.strap) if strap.fitting == one.name] for one in used}

    def judge(rows: Ints, x: Array, whole: bool = False) -> Found:
        ground = np.tile(place, (len(x), 1, 1))
        own = rows // WAYS
        here = np.arange(len(x))
        ground[here, own] += ways[rows % WAYS] * x[:, None]
        moved = {one.name: ground[:, n] for n, one in enumerate(used)}
        found = batch.judge(Variants(len(x), ground=moved), whole)
        margin, governing, crossed = found.margin.copy(), list(found.governing), np.full(len(x), np.inf)
        for v in here:
            for n in straps[used[own[v]].name]:
                hit = crossed_by(batch.rack, batch.pieces.made, eyes[n] * 1e9, ground[v, own[v]] * 1e9)
                if hit is not None:
                    margin[v], governing[v] = -np.inf, f"strap.{d.strap[n].name}/runs through {hit}"
                    crossed[v] = -np.inf
        every = margin[None] if found.every is None else np.concatenate([found.every, crossed[None]])
        return Found(margin, tuple(governing), every)

    count = len(used) * WAYS
    found = proven(stretch(judge, np.zeros(count), np.full(count, FARTHEST)), partial(judge, whole=True))
    return tuple(
        _range(one.name, place[n], ways, found[n * WAYS : (n + 1) * WAYS],
               {d.strap[k].name: eyes[k] for k in straps[one.name]})
        for n, one in enumerate(used)
    )  # fmt: skip


def _range(
    name: str, place: Array, ways: Array, found: tuple[Stretch, ...], eyes: dict[str, Array]
) -> FittingRange:
    pairs = tuple(((float(way[0]), float(way[1])), one) for way, one in zip(ways, found, strict=True))
    if any(one.value is None for one in found):
        return FittingRange(name, pairs, None, found[0].governing, ())
    least = min(found, key=lambda one: one.value or 0.0)
    assert least.value is not None
    cones = tuple(_cone(strap, eye, place, place + ways * least.value) for strap, eye in eyes.items())
    return FittingRange(name, pairs, least.value, least.governing, cones)


def _cone(strap: str, eye: Array, place: Array, rim: Array) -> Cone:
    nominal, around = place - eye, rim - eye
    above = np.arctan2(-around[:, 2], np.hypot(around[:, 0], around[:, 1]))
    own = float(np.arctan2(-nominal[2], np.hypot(nominal[0], nominal[1])))
    plan = float(np.arctan2(nominal[1], nominal[0]))
    swing = np.arctan2(around[:, 1], around[:, 0]) - plan
    swing = (swing + np.pi) % (2 * np.pi) - np.pi
    cos = around @ nominal / np.linalg.norm(around, axis=1) / np.linalg.norm(nominal)
    return Cone(
        strap, (float(min(above.min(), own)), own, float(max(above.max(), own))),
        (plan + float(swing.min()), plan, plan + float(swing.max())), float(np.arccos(np.clip(cos, -1, 1)).min()),
    )  # fmt: skip
