"""How a mass at a point in space rests on several points of the frame without stiffening it.

Let a mass at p be carried by points k (rigidly attached to their nodes) with weights w, c their weighted
centroid, r = place - c, W = Σw, J = Σ w (r·r 1 - r rᵀ). Its inertia force F reaches the points as
    f = w/W F + w (J⁺ M) × r,      M = (p - c) × F,
the least-squares rigid motion of the points read backwards (virtual work): the mass moves as their best
rigid body. The same map T gives the load Tᵀ m a and the mass matrix Tᵀ m T. It is statically equivalent to F
at p and adds no stiffness.

Points on one line (or a single point) cannot say how the body turns about that line. J is then singular, and
the rotation about it is taken from the nodes themselves, as the weighted mean of their rotations; so the
moment about the line is handed to the nodes as moments, w/W of it each. A direction counts as such when the
points' radius of gyration about it is below `SLENDER` of the largest: short arms would
otherwise answer a moment with very large couples.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackwright.strength.frame.model import Array, Frame, Ints, lean

__all__ = ["SLENDER", "carrier_couples", "carrier_shares", "carrier_turns", "cross", "crossed", "turning"]

SLENDER = 1e-2


def carrier_shares(frame: Frame) -> tuple[Array, Array]:
    """Force and moment at each carrying point for unit forces on its mass: (V,K,3,3) each, [component, F].

    The moment is about the carrying point and is zero unless the points lie on a line.
    """
    if len(frame.masses) == 0:
        return _nothing(frame)
    rest = _rest(frame)
    moment = cross(frame.masses.xyz - rest.centre)  # M = moment @ F
    forces, moments = rest.couple(moment)
    return rest.w[..., None, None] * np.eye(3) + forces, moments


def carrier_couples(frame: Frame) -> tuple[Array, Array]:
    """The same for unit couples on the mass, which it has where it is a body that turns."""
    if len(frame.masses) == 0:
        return _nothing(frame)
    rest = _rest(frame)
    return rest.couple(np.broadcast_to(np.eye(3), (*frame.masses.xyz.shape, 3)))


def carrier_turns(frame: Frame) -> tuple[Array, Array]:
    """How a mass turns with its points: Θ (V,K,3,6) from the motion of each node, and its arm (V,P,3) from their
    centroid. The same map as `carrier_couples`, read forwards."""
    if len(frame.masses) == 0:
        return np.zeros((frame.variants, 0, 3, 6)), np.zeros((frame.variants, 0, 3))
    forces, moments = (values.swapaxes(-1, -2) for values in carrier_couples(frame))
    turned = moments - forces @ cross(frame.masses.offset)
    return np.concatenate([forces, turned], axis=-1), frame.masses.xyz - _rest(frame).centre


@dataclass(frozen=True, eq=False)
class _Rest:
    """How the masses rest: weights and arms of the points, and how a moment reaches them; V is 1 where all share it."""

    carrier: Ints
    w: Array  # (V,K) adding up to one for each mass
    centre: Array  # (V,P,3)
    r: Array  # (V,K,3)
    turn: Array  # (V,P,3,3) J⁺
    blind: Array  # (V,P,3,3) onto directions that the points cannot see

    def couple(self, moment: Array) -> tuple[Array, Array]:
        """Forces and moments at the points for M (V,P,3,...) about the centre: (J⁺M) × r = -r × (J⁺M)."""
        about = (self.turn @ moment)[:, self.carrier]
        forces = -self.w[..., None, None] * (cross(self.r) @ about)
        return forces, self.w[..., None, None] * (self.blind @ moment)[:, self.carrier]


def _rest(frame: Frame) -> _Rest:
    m = frame.masses
    start = np.searchsorted(m.carrier, np.arange(len(m)))

    def total(values: Array) -> Array:
        summed: Array = np.add.reduceat(values, start, axis=1)
        return summed

    weight = lean(m.weight)
    place = lean(frame.xyz)[:, m.node] + lean(m.offset)
    w = weight / total(weight)[:, m.carrier]
    centre = total(w[..., None] * place)
    r = place - centre[:, m.carrier]
    square = np.einsum("vki,vki->vk", r, r)
    J = total(w[..., None, None] * (square[..., None, None] * np.eye(3) - r[..., :, None] * r[..., None, :]))
    size, axes = np.linalg.eigh(J)  # ascending
    dust = (1e-9 * np.abs(place).max()) ** 2  # places nearer than this are one place
    known = size > np.maximum(SLENDER**2 * size[..., -1:], dust)
    inverse = np.where(known, 1 / np.where(known, size, 1.0), 0.0)
    turn = np.einsum("vpij,vpj,vpkj->vpik", axes, inverse, axes)
    blind = np.einsum("vpij,vpj,vpkj->vpik", axes, np.where(known, 0.0, 1.0), axes)
    return _Rest(m.carrier, w, centre, r, turn, blind)


def _nothing(frame: Frame) -> tuple[Array, Array]:
    empty = np.zeros((frame.variants, 0, 3, 3))
    return empty, empty


def cross(a: Array) -> Array:
    """The matrix that crosses: cross(a) @ b = a × b."""
    out = np.zeros((*a.shape, 3))
    out[..., 0, 1], out[..., 0, 2] = -a[..., 2], a[..., 1]
    out[..., 1, 0], out[..., 1, 2] = a[..., 2], -a[..., 0]
    out[..., 2, 0], out[..., 2, 1] = -a[..., 1], a[..., 0]
    return out


def crossed(a: Array, b: Array) -> Array:
    """a × b (...,3), as numpy's own to the last bit; on a few vectors that spends most of its time on its axes."""
    x, y, z = a[..., 0], a[..., 1], a[..., 2]
    u, v, w = b[..., 0], b[..., 1], b[..., 2]
    first = y * w - z * v
    out = np.empty((*first.shape, 3))
    out[..., 0], out[..., 1], out[..., 2] = first, z * u - x * w, x * v - y * u
    return out


def turning(force: Array, arm: Array) -> Array:
    """(f rᵀ + r fᵀ)/2 - (f·r) 1 of forces and arms (...,3): half of it is what f does beyond first order as r turns."""
    both = force[..., :, None] * arm[..., None, :]
    dot = np.einsum("...i,...i->...", force, arm)
    return np.asarray((both + both.swapaxes(-1, -2)) / 2 - dot[..., None, None] * np.eye(3))
