"""A moving rack as the linear parts of checks read it: one motion a case, without weight or pretension.

A case is a displacement, or an acceleration, or a unit couple on an item: what a check reads off the first comes from
the stiffness of what is deformed, off the second from the inertia of what moves. Inside a member between its nodes the
mean acceleration of its two nodes acts on all of it. An item's whole inertia, its turning too, reaches its fixing
points: by the springs of its isolators where it has any, and what their damping carries as a rigid body shares it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rackwright.rack.model import Equipment
from rackwright.strength.bodies import fixing_points, lever
from rackwright.strength.checks.rigid import couple, shared
from rackwright.strength.frame import Motion, forces_within
from rackwright.strength.isolators import Floated
from rackwright.strength.run import Run
from rackwright.strength.solution import FRACTIONS
from rackwright.strength.vibration.states import State

__all__ = ["Moving", "motions"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Moving(Run):
    """Every motion of a state as a case, C of them: of the rack at rest the pieces, sizes and stiffness."""

    state: State
    displaced: Motion  # (C,...)
    accelerated: Motion  # (C,...)
    couples: Array  # (C, items, 3) N·m on items

    def chosen(self, level: str) -> list[int]:
        return list(range(len(self.couples)))

    def _at(self, level: str) -> Array:
        return self.inside

    @cached_property
    def _mass(self) -> Array:
        """(items,) kg"""
        return np.asarray(self.model.item_mass[0])

    def inertia_force(self, item: Equipment, level: str) -> Array:
        n = self.model.items.index(item.name)
        return np.asarray(-self._mass[n] * self.accelerated.body[None, :, n, :3])

    def turning(self, item: Equipment) -> Array:
        n = self.model.items.index(item.name)
        inertia = self.model.bodies.inertia[n]
        return np.asarray((self.couples[:, n] - self.accelerated.body[:, n, 3:] @ inertia)[None])

    @cached_property
    def on_isolators(self) -> Mapping[str, Floated]:
        """The forces of isolators; the couples of their stretched lengths are cases of their own."""
        found = {}
        for n, item in enumerate(self.rack.definition.equipment):
            if item.isolators is not None:
                found[item.name] = self._floated(n, item, np.array(item.isolators.stiffness))
        return found

    def _floated(self, n: int, item: Equipment, k: Array) -> Floated:
        points, cg = fixing_points(self.rack, item), self.model.item_cg[0, n]
        apart = self.displaced.body[:, n] - self.displaced.seat[:, n]
        stretch = np.stack([apart @ lever(arm).T for arm in points - cg], axis=1)
        spring = k * stretch
        damped = self.inertia_force(item, "")[0] - spring.sum(axis=1)
        left = np.cross(points - cg, spring).sum(axis=1)
        force = (spring + shared(points, damped, cg) - couple(points, left))[None]
        nothing = np.zeros_like(force)
        return Floated(
            nothing[..., 0, :], np.zeros((*force.shape[:2], 3, 3)), nothing, force, np.full(3, np.inf)
        )

    @cached_property
    def stretches(self) -> Mapping[str, Array]:
        """(1, C, isolators, 3) m of every item's isolators."""
        found = {}
        for n, item in enumerate(self.rack.definition.equipment):
            if item.isolators is not None:
                apart = self.displaced.body[:, n] - self.displaced.seat[:, n]
                arms = fixing_points(self.rack, item) - self.model.item_cg[0, n]
                found[item.name] = np.stack([apart @ lever(arm).T for arm in arms], axis=1)[None]
        return found

    @cached_property
    def _one_sided(self) -> Array:
        """(1, C, straps and pads) N; those that do not act carry nothing."""
        one, v = self.response.model.one_sided, self.state.variant
        stretch = np.einsum("uei,cuei->cu", one.coef[v], self.displaced.node[:, one.node])
        return np.asarray(self.state.stiffness * stretch)[None]

    def tension(self, level: str) -> Array:
        return self._one_sided[..., : len(self.model.straps)]

    @property
    def pushes(self) -> Array:
        """(1, C, pads) N"""
        return self._one_sided[..., len(self.model.straps) :]

    @property
    def foot_force(self) -> Array:
        springs = self.response.frame.springs
        force = -springs.k[self.state.variant] * self.displaced.node[:, springs.node, springs.freedom]
        return np.asarray(force.reshape(1, len(force), -1, 3))

    @cached_property
    def inside(self) -> Array:
        geo, v, members = self.response.model.geo, self.state.variant, self.response.frame.members
        count = len(self.couples)
        moved = self.displaced.node[:, members.ends].reshape(count, len(members.ends), 12)
        basic = np.einsum("mij,cmj->cmi", geo.c[v] @ geo.reach[v], moved)
        thrown = -self.accelerated.node[:, members.ends, :3].mean(axis=2)
        end = np.einsum("mij,cmi->cmj", geo.chord[v], basic)
        end += np.einsum("mij,cmj->cmi", self.response.loads.held[v], thrown)
        line = np.einsum("mij,cmj->cmi", (members.rho * members.A)[v, :, None, None] * geo.turn[v], thrown)
        return forces_within(end[None], line[None], geo.length[v : v + 1], FRACTIONS)


def motions(state: State) -> Motion:
    """(n+6,...) the modes of a state, what modes left out do for each axis of the floor, and the floor's own motion.

    Displacements for unit modal coordinates and 1 m/s² of the floor; the floor's own: the rack as it moves with it.
    """
    modal = state.modal
    assert modal.static is not None
    kept = modal.participation.T / (2 * np.pi * modal.hz) ** 2  # (3,n)
    parts = []
    for name in ("node", "body", "seat"):
        shape, still = getattr(modal.motion, name), getattr(modal.static, name)
        left = np.einsum("dn,n...->d...", kept, shape) - still
        floor = np.zeros((3, *shape.shape[1:]))
        for axis in range(3):
            floor[axis, ..., axis] = 1.0
        parts.append(np.concatenate([shape, left, floor]))
    return Motion(*parts)
