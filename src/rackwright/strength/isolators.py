"""An item on isolators under a steady force: how far it travels, and what each isolator carries.

The item is rigid; its isolators stand at its fixing points, at r from its centre of gravity. It shifts by s and
turns by R, an isolator is stretched by δ = s + (R − 1) r and holds with f = k δ along each rack axis; beyond its
sway space it is on its stop, `STOP` times as stiff as itself, so that stops share a load as their isolators do and
give next to none.
Balance about the moved centre, where the force F (a direction that does not turn) then acts,
    Σ f = F,    Σ (R r) × f = 0,
is where Π = Σ W(δ) − F·s is least near the start. Newton's steps with the exact second derivatives find it, each halved
until Π falls; an item that would tip over its isolators, where Π is not convex, has no rest.
The stiffness is that of the document, dynamic for want of another; damping and the rise of the load play no part.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.rack.model import Rack
from rackwright.strength.bodies import fixing_points
from rackwright.strength.frame import cross, turning

__all__ = ["STOP", "Floated", "float_all", "float_on"]

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
STOP = 1000.0
STEPS = 80
HALVINGS = 40
BALANCED = 1e-22  # of the energy: what the next step would gain
FALLS = (
    1e-9  # of the largest stiffness: one below zero by more is a fall; turning freely about its force is none
)
KNOWN = 1e-14  # of the energy: below this two energies cannot be told apart


@dataclass(frozen=True, eq=False)
class Floated:
    """Where an item on n isolators rests; NaN where it finds no rest. Leading axes (...) are those of the force."""

    shift: Array  # (...,3) m of its centre of gravity
    tilt: Array  # (...,3,3) R − 1
    stretch: Array  # (...,n,3) m of each isolator, item past seat
    force: Array  # (...,n,3) N of the item on each isolator's seat, stop included
    sway: Array  # (3,) m, infinite where no stop is stated

    @property
    def on_stop(self) -> Bools:
        """(...,n,3)"""
        return np.asarray(np.abs(self.stretch) >= self.sway)


def float_on(k: Array, sway: Array, r: Array, force: Array) -> Floated:
    """k (3,) N/m and sway (3,) m of each isolator; r (B,n,3) m from the centre of gravity; force (B,3) N."""
    whole = _Item(k, sway, r, force, float(np.abs(r).max()) or 1.0)
    shift, tilt = np.zeros((len(r), 3)), np.zeros((len(r), 3, 3))
    left = np.flatnonzero(np.isfinite(force).all(axis=-1) & np.isfinite(r).all(axis=(1, 2)))
    rests = np.zeros(len(r), dtype=bool)
    for _ in range(STEPS):
        if not len(left):
            break
        item = whole.some(left)
        shift[left], tilt[left], done = item.step(shift[left], tilt[left])
        rests[left[done]] = True
        left = left[~done]
    at = np.flatnonzero(rests)
    curve = np.linalg.eigvalsh(whole.some(at).slopes(shift[at], tilt[at])[0])
    rests[at[curve[:, 0] < -FALLS * curve[:, -1]]] = False
    shift[~rests], tilt[~rests] = np.nan, np.nan
    stretch = shift[:, None] + r @ tilt.swapaxes(-1, -2)
    return Floated(shift, tilt, stretch, whole.held(stretch), sway)


@dataclass(frozen=True, eq=False)
class _Item:
    k: Array
    sway: Array
    r: Array
    force: Array
    size: float  # m: turns are scaled by it

    def some(self, of: NDArray[np.int64]) -> _Item:
        return _Item(self.k, self.sway, self.r[of], self.force[of], self.size)

    def _beyond(self, stretch: Array) -> Array:
        return np.sign(stretch) * np.maximum(np.abs(stretch) - self.sway, 0.0)

    def held(self, stretch: Array) -> Array:
        return np.asarray(self.k * (stretch + (STOP - 1) * self._beyond(stretch)))

    def energy(self, shift: Array, tilt: Array) -> Array:
        stretch = shift[:, None] + self.r @ tilt.swapaxes(-1, -2)
        springs = self.k * (stretch**2 + (STOP - 1) * self._beyond(stretch) ** 2) / 2
        return np.asarray(springs.sum(axis=(1, 2)) - (self.force * shift).sum(axis=-1))

    def step(self, shift: Array, tilt: Array) -> tuple[Array, Array, Bools]:
        """One step of Newton's, and which were at rest before it (they take it too: it costs nothing)."""
        H, uphill, f, stretch = self.slopes(shift, tilt)
        way = _downhill(H, uphill)
        gain = -(uphill * way).sum(axis=-1)
        scale = np.abs(f * stretch).sum(axis=(1, 2)) + np.abs(self.force * shift).sum(axis=-1) + gain
        done = gain <= BALANCED * scale
        return *self._down(shift, tilt, way, gain, gain > KNOWN * scale), done

    def slopes(self, shift: Array, tilt: Array) -> tuple[Array, Array, Array, Array]:
        """Second (B,6,6) and first (B,6) derivatives of the energy, in m and turns times `size`; forces, stretches."""
        turned = self.r @ tilt.swapaxes(-1, -2)
        stretch, arm = shift[:, None] + turned, self.r + turned
        f = self.held(stretch)
        slope = self.k * np.where(np.abs(stretch) > self.sway, STOP, 1.0)
        G = np.concatenate([np.broadcast_to(np.eye(3), (*arm.shape, 3)), -cross(arm) / self.size], axis=-1)
        uphill = np.einsum("bnij,bni->bj", G, f)
        uphill[:, :3] -= self.force
        H = (G.swapaxes(-1, -2) @ (slope[..., None] * G)).sum(axis=1)
        H[:, 3:, 3:] += turning(f, arm).sum(axis=1) / self.size**2
        return H, uphill, f, stretch

    def _down(self, shift: Array, tilt: Array, way: Array, gain: Array, asked: Bools) -> tuple[Array, Array]:
        """Along `way`, halved until the energy falls by a part of what was promised, where that can be told."""
        start, by = self.energy(shift, tilt), np.ones(len(shift))
        for _ in range(HALVINGS):
            new_shift, new_tilt = _moved(shift, tilt, by[:, None] * way, self.size)
            worse = asked & (self.energy(new_shift, new_tilt) > start - 1e-4 * by * gain)
            if not worse.any():
                break
            by = np.where(worse, by / 2, by)
        return new_shift, new_tilt


def _downhill(H: Array, uphill: Array) -> Array:
    """-H⁻¹ uphill; where that leads up, or H has no inverse, with the sizes of H's eigenvalues."""
    low = 1e-15 * np.trace(H, axis1=1, axis2=2)[:, None, None] * np.eye(6)
    way = -np.linalg.solve(H + low, uphill[..., None])[..., 0]
    up = np.flatnonzero((uphill * way).sum(axis=-1) > 0)
    if len(up):
        size, axes = np.linalg.eigh(H[up])
        size = np.maximum(np.abs(size), 1e-12 * np.abs(size).max(axis=-1, keepdims=True))
        along = np.einsum("bij,bi->bj", axes, uphill[up]) / size
        way[up] = -np.einsum("bij,bj->bi", axes, along)
    return np.asarray(way)


def _moved(shift: Array, tilt: Array, way: Array, size: float) -> tuple[Array, Array]:
    """The place after a step: R becomes exp(ω) R, kept as R − 1 so that small turns lose no digits."""
    w = way[:, 3:] / size
    angle = np.linalg.norm(w, axis=-1)[:, None, None]
    K, half = cross(w), np.sinc(angle / (2 * np.pi))
    E = np.sinc(angle / np.pi) * K + half**2 / 2 * (K @ K)
    return shift + way[:, :3], E + tilt + E @ tilt


def float_all(rack: Rack, mass: Array, cg: Array, thrown: Array) -> Mapping[str, Floated]:
    """Every item on isolators under inertia `thrown` (V,C,3) N/kg: its name, and arrays (V,C,...).

    mass (V,items) kg; cg (V,items,3) m from the corner of each item's body.
    """
    found = {}
    for n, item in enumerate(rack.definition.equipment):
        if item.isolators is not None:
            shape = thrown.shape[:2]
            room = item.isolators.sway
            sway = np.full(3, np.inf) if room is None else np.array(room) * 1e-9
            arms = fixing_points(rack, item) - cg[:, n, None]
            arms = np.repeat(arms, shape[1], axis=0)
            force = (mass[:, n, None, None] * thrown).reshape(-1, 3)
            one = float_on(np.array(item.isolators.stiffness), sway, arms, force)
            shift, tilt, stretch, held = (
                part.reshape(*shape, *part.shape[1:])
                for part in (one.shift, one.tilt, one.stretch, one.force)
            )
            found[item.name] = Floated(shift, tilt, stretch, held, sway)
    return found
