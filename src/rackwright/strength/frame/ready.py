"""A frame made ready for its loads: geometry, band layout, one-sided elements, unit loads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackwright.strength.frame.band import Layout, assemble, lay_out, prop
from rackwright.strength.frame.beam import (
    Geometry,
    geometry,
    held_ends,
    local_to_nodes,
    point_load,
    uniform_load,
)
from rackwright.strength.frame.carry import carrier_couples, carrier_shares, crossed
from rackwright.strength.frame.loose import Factor, sort_out
from rackwright.strength.frame.model import Array, Cases, Frame, Ints, lean, of_variants, pile

__all__ = [
    "Loads",
    "Model",
    "OneSided",
    "carried_loads",
    "initial_ends",
    "member_mass_ends",
    "moved_loads",
    "moved_shares",
]


@dataclass(frozen=True, eq=False)
class OneSided:
    """Ties, then pads, in one form: elongation e = Σ coef · freedoms; force N on the structure: -N coef."""

    node: Ints  # (U,2)
    coef: Array  # (V,U,2,6)
    k: Array  # (V,U)
    T0: Array  # (V,U)

    @staticmethod
    def of(frame: Frame) -> OneSided:
        t, p = frame.ties, frame.pads
        ground = t.node[:, 1] < 0
        ends = np.where(t.node < 0, 0, t.node)
        arm = np.where(ground[:, None, None] & (np.arange(2)[:, None] == 1), 0.0, t.offset)
        at = frame.xyz[:, ends] + arm
        at[:, ground, 1] = t.offset[:, ground, 1]
        along = at[:, :, 1] - at[:, :, 0]
        length = np.linalg.norm(along, axis=-1, keepdims=True)
        if np.any(length <= 0):
            raise ValueError("a tie has no length")
        way = (along / length)[:, :, None] * np.array([-1.0, 1.0])[:, None]
        tie = np.concatenate([way, crossed(arm, way)], axis=-1)
        tie[:, ground, 1] = 0.0
        pad = np.zeros((frame.variants, len(p), 2, 6))
        pad[..., 0, :3] = -p.push[..., :3]
        pad[..., 0, 3:] = -p.push[..., 3:] - crossed(p.offset, p.push[..., :3])
        return OneSided(
            np.concatenate([ends, np.stack([p.node, p.node], axis=1)]), np.concatenate([tie, pad], axis=1),
            np.concatenate([t.k, p.k], axis=1), np.concatenate([t.T0, p.T0], axis=1),
        )  # fmt: skip

    def take(self, v: Ints) -> OneSided:
        """Those of some variants."""
        return OneSided(self.node, *(of_variants(values, v) for values in (self.coef, self.k, self.T0)))

    def rows(self, layout: Layout, v: int) -> Array:
        """B (U, rows) of one variant."""
        full = np.zeros((len(self.node), *layout.place.shape))
        for row in range(len(self.node)):
            pile(full[row], self.node[row], self.coef[v, row])
        return layout.gather(full)

    def on_nodes(self, pull: Array, nodes: int) -> Array:
        """Forces on the nodes (V,C,N,6) from element forces (V,C,U)."""
        out = np.zeros((*pull.shape[:2], nodes, 6))
        each = -pull[..., None, None] * self.coef[:, None]
        pile(out, self.node, each)
        return out


@dataclass(frozen=True, eq=False)
class Model:
    """A frame made ready: geometry, band layout, one-sided elements."""

    frame: Frame
    geo: Geometry
    layout: Layout
    one_sided: OneSided

    @staticmethod
    def of(frame: Frame) -> Model:
        geo = geometry(frame)
        layout = lay_out(frame.members.ends, frame.fixed, frame.xyz[0])
        return Model(frame, geo, layout, OneSided.of(frame))

    @property
    def spring_rows(self) -> Ints:
        return np.asarray(self.layout.place[self.frame.springs.node, self.frame.springs.freedom])

    def stiffness(self, v: int) -> Array:
        """(M,12,12) of the members of variant v, in global node freedoms."""
        reach = self.geo.reach[v]
        return np.asarray(reach.swapaxes(-1, -2) @ (self.geo.c[v] @ reach))

    def band(self, v: int) -> Array:
        """The stiffness of variant v without ties and pads, as a lower band (rows, half+1)."""
        return assemble(self.layout, self.stiffness(v), self.spring_rows, self.frame.springs.k[v])

    def alike(self) -> list[Ints]:
        """Groups of variants whose frame, ties and pads are equally stiff in the same places."""
        return self.equal(self.one_sided.coef, self.one_sided.k)

    def equal(self, *parts: Array) -> list[Ints]:
        """Groups of variants whose frames are equally stiff, and whose further values (V,...) are the same."""
        every = (self.geo.reach, self.geo.c, self.frame.springs.k, *parts)
        differ = [part for part in every if len(lean(part)) > 1]
        groups: dict[tuple[bytes, ...], list[int]] = {}
        for v in range(self.frame.variants):
            groups.setdefault(tuple(part[v].tobytes() for part in differ), []).append(v)
        return [np.array(group) for group in groups.values()]

    def factor(self, v: int, guess: tuple[int, ...] = ()) -> Factor:
        stiff = float(self.one_sided.k[v].max(initial=0.0)) or 1.0
        propped = prop(self.band(v), stiff, guess)
        return sort_out(self.frame, self.geo, v, propped, self.layout.scatter(propped.W.T))


@dataclass(frozen=True, eq=False)
class Loads:
    """What unit inertia (1 N/kg along x, y, z) does."""

    held: Array  # (V,M,12,3) end forces of members with held ends, local
    share: Array  # (V,K,3,3) carrying forces per unit force on the mass
    twist: Array  # (V,K,3,3)
    unit: Array  # (V,3,N,6) loads on the nodes

    @staticmethod
    def of(model: Model) -> Loads:
        frame, geo = model.frame, model.geo
        m, mm = frame.members, frame.member_masses
        span = uniform_load(frame, geo)
        held = held_ends(geo.chord, geo.c, span) @ ((m.rho * m.A)[..., None, None] * geo.turn)
        if len(mm):
            each = member_mass_ends(model) @ (mm.m[..., None, None] * geo.turn[:, mm.member])
            for r, member in enumerate(mm.member):
                held[:, member] += each[:, r]
        share, twist = carrier_shares(frame)
        unit = np.zeros((frame.variants, 3, frame.nodes, 6))
        ends = local_to_nodes(frame, geo, np.moveaxis(held, -1, 1), slice(None))  # (V,3,M,2,6)
        pile(unit, m.ends, -ends)
        pile(unit, frame.masses.node, carried_loads(frame, share, twist, True))
        return Loads(held, share, twist, unit)

    def take(self, v: Ints) -> Loads:
        """Those of some variants."""
        every = (self.held, self.share, self.twist, self.unit)
        return Loads(*(of_variants(values, v) for values in every))


def initial_ends(model: Model, cases: Cases) -> Array | None:
    """End forces (V,C,M,12), local, of members whose nodes are held: by preload and by growth; None if none.

    What grew by a strain g with its arms would fit between nodes moved by g times their places x, so that between
    nodes held it is deformed by -g reach x: an axial force alone where it has no arms (-EA g).
    """
    m, geo = model.frame.members, model.geo
    if cases.warming is None and not (m.preload.any() or m.growth.any()):
        return None
    growth = m.growth[:, None]
    if cases.warming is not None:
        growth = growth + m.alpha[:, None] * cases.warming
    apart = model.frame.xyz[:, m.ends[:, 1]] - model.frame.xyz[:, m.ends[:, 0]]
    unit = geo.chord.swapaxes(-1, -2) @ (geo.c @ (geo.reach[..., 6:9] @ apart[..., None]))
    found = along_members(m.preload)[:, None] - growth[..., None] * unit[:, None, ..., 0]
    return np.repeat(found, len(cases), axis=1) if found.shape[1] == 1 else found


def along_members(tension: Array) -> Array:
    """End forces (...,12) of a tension (...)."""
    out = np.zeros((*tension.shape, 12))
    out[..., 0], out[..., 6] = -tension, tension
    return out


def moved_shares(frame: Frame, v: Ints, moved: Array, thrown: Array) -> tuple[Array, Array]:
    """Force and moment (n,D,K,3) at each carrying point, beside those of `Loads`, of masses that lie `moved` (n,P,3)
    off their places, in variants v (n,) under D inertias `thrown` (n,D,3): a force F moved by d adds d × F."""
    couple = frame.masses.m[v, None, :, None] * crossed(moved[:, None], thrown[:, :, None])
    at = couple[:, :, frame.masses.carrier, :, None]
    force, moment = ((of_variants(each, v)[:, None] @ at)[..., 0] for each in carrier_couples(frame))
    return force, moment


def moved_loads(frame: Frame, v: Ints, force: Array, moment: Array) -> Array:
    """Loads on the nodes (n,D,N,6) of `moved_shares`."""
    arm = of_variants(frame.masses.offset, v)[:, None]
    out = np.zeros((*force.shape[:2], frame.nodes, 6))
    pile(out, frame.masses.node, np.concatenate([force, moment + crossed(arm, force)], axis=-1))
    return out


def member_mass_ends(model: Model) -> Array:
    """(V,R,12,3): held end forces for unit local forces at the masses on members."""
    mm, geo = model.frame.member_masses, model.geo
    span = point_load(model.frame, geo, mm.member, mm.at)
    return held_ends(geo.chord[:, mm.member], geo.c[:, mm.member], span)


def carried_loads(frame: Frame, share: Array, twist: Array, times_mass: bool) -> Array:
    """(V,3,K,6): loads on the carrying nodes for unit forces on the masses (or unit inertia)."""
    moment = twist + crossed(frame.masses.offset[..., None, :], share.swapaxes(-1, -2)).swapaxes(-1, -2)
    both = np.moveaxis(np.concatenate([share, moment], axis=-2), -1, 1)
    return np.asarray(both * frame.masses.m[:, None, frame.masses.carrier, None] if times_mass else both)
