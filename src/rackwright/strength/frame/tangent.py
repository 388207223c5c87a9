"""The stiffness of a frame that is already loaded: what it keeps against one small motion more.

The state of a case (axial forces, forces on rigid arms, pulls, thrown masses) times λ changes the stiffness:
- members by `beam_column`, exactly, and by N/L against the sway of one end past the other;
- a force f at the end of a rigid arm r turns with it: with u_end = u + θ × r + θ × (θ × r)/2 the node is
  stiffened by (f rᵀ + r fᵀ)/2 - (f·r) 1, which holds for member ends, ties, pads, and for dead loads with -f;
- a carried mass above its points tilts with them, by the same form in their common turn θ = Σ Θk uk;
- an acting tie, pulled by T, resists its eye's sideways motion by T/L. That part is counted at λ = 1: the pull a
  tie has anyway is not taken to grow with the load, which would make more of it than there is.
Left out: what moments and shears alone do (lateral buckling of open sections in bending; it needs no check in
closed tubes), and the member's own uniform load along it (its axial force is taken at the middle).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.linalg.blas import dsbmv
from scipy.linalg.lapack import dpbtrf, dpbtrs

from rackwright.strength.frame.band import Layout, assemble, lay_out
from rackwright.strength.frame.beam import reach_rows
from rackwright.strength.frame.beam_column import own_limit, stiffness_under
from rackwright.strength.frame.carry import carrier_shares, carrier_turns, cross, turning
from rackwright.strength.frame.model import Array, Bools, Frame, Ints
from rackwright.strength.frame.ready import Model

__all__ = ["Loaded", "State", "Tangent", "axial_of", "factored", "solved", "tie_places", "times"]

NO_ARM = 1e-12  # m: a load nearer to its node than this needs no arm
_NO_ROWS, _NO_VALUES = np.zeros(0, dtype=np.int64), np.zeros(0)


@dataclass(frozen=True, eq=False)
class State:
    """The forces of one case."""

    axial: Array  # (M,) tension positive, at the middle
    ends: Array  # (M,2,3) force by the nodes on the beam ends, global
    pull: Array  # (T+Q,) of ties, push of pads
    inertia: Array  # (3,)


def axial_of(end_force: Array) -> Array:
    """Tension at the middle of members from their end forces (...,12)."""
    return np.asarray((end_force[..., 6] - end_force[..., 0]) / 2)


@dataclass(frozen=True, eq=False)
class Tangent:
    """A frame made ready for its loaded stiffness."""

    model: Model
    layout: Layout  # of members, ties and carried masses together
    members: Layout  # its part for the members alone
    sway: Array  # (V,M,2,12) sideways motion of end j past end i, from node displacements
    pairs: Ints  # (.,2) the nodes of every block: members, ties and pads, nodes, masses
    carried: Array  # (V,K,3,6) turn of a mass from the motion of each of its points
    arm: Array  # (V,P,3) from the middle of its points to the mass
    share: Array  # (V,K,3,3) force at each carrying point per unit force on its mass
    tilting: Ints  # (.,2) pairs of carrying points of one mass that has an arm
    alone: Array  # (V,M) compression at which a member buckles between still nodes
    known: dict[int, Frame] = field(default_factory=dict)  # frames of one variant, as they were asked for

    def one(self, v: int) -> Frame:
        """The frame of one variant."""
        if v not in self.known:
            self.known[v] = self.model.frame.variant(v)
        return self.known[v]

    @staticmethod
    def of(model: Model) -> Tangent:
        frame = model.frame
        m, pulls = frame.members, model.one_sided
        rows = np.zeros((*model.geo.length.shape, 2, 12))
        rows[..., 0, 1], rows[..., 0, 7] = -1.0, 1.0
        rows[..., 1, 2], rows[..., 1, 8] = -1.0, 1.0
        carried, arm = carrier_turns(frame)
        tilts = np.flatnonzero((np.abs(arm) > NO_ARM).any(axis=(0, 2)))
        tilting = np.array(
            [(a, b) for p in tilts for a in np.flatnonzero(frame.masses.carrier == p)
             for b in np.flatnonzero(frame.masses.carrier == p) if a <= b], dtype=np.int64,
        ).reshape(-1, 2)  # fmt: skip
        alone = np.repeat(np.arange(frame.nodes), 2).reshape(-1, 2)
        ground = np.concatenate([frame.ties.node[:, 1] < 0, np.ones(len(frame.pads), dtype=bool)])
        tied = np.where(ground[:, None], pulls.node[:, :1], pulls.node)
        pairs = np.concatenate([m.ends, tied, alone, frame.masses.node[tilting]])
        layout = lay_out(pairs, frame.fixed, frame.xyz[0])
        first = replace(
            layout, pick=layout.pick[: len(m)], target=layout.target[: int(layout.pick[: len(m)].sum())]
        )
        return Tangent(
            model, layout, first, reach_rows(rows, model.geo.turn, m.offset), pairs, carried, arm,
            carrier_shares(frame)[0], tilting, _alone(model),
        )  # fmt: skip

    def under(self, state: State, v: int, acts: Bools | None = None) -> Loaded:
        """One case. `acts` (T+Q): the ties and pads that act; if not given, those that pull or push."""
        force = state.pull
        on = force > 0 if acts is None else acts
        frame, rest = self.one(v), (len(self.pairs) - len(self.model.frame.members), 12, 12)
        fixed, growing = np.zeros(rest), np.zeros(rest)
        self._pulls(fixed, growing, v, np.where(on, force, 0.0), on)
        self._masses(growing, v, state.inertia)
        m, axial, sway = frame.members, state.axial, self.sway[v]
        bent = sway.swapaxes(-1, -2) @ ((axial / self.model.geo.length[v])[:, None, None] * sway)
        _on_turns(bent, turning(state.ends, m.offset[0]))
        springs = self.layout.place[frame.springs.node, frame.springs.freedom]
        both = [assemble(self.layout, np.concatenate([of_members, others]), springs, k)
                for of_members, others, k in ((0 * bent, fixed, frame.springs.k[0]),
                                              (bent, growing, 0 * frame.springs.k[0]))]  # fmt: skip
        return Loaded(self, v, axial, both[0], both[1])

    def _pulls(self, fixed: Array, growing: Array, v: int, force: Array, on: Bools) -> None:
        """Ties and pads, the first blocks of the rest."""
        frame, pulls = self.one(v), self.model.one_sided
        ties, count = len(frame.ties), len(pulls.node)
        coef = pulls.coef[v].reshape(-1, 12)
        fixed[:count] += np.where(on, pulls.k[v], 0.0)[:, None, None] * coef[:, :, None] * coef[:, None, :]
        if ties:
            away, arm, length = tie_places(frame, 0)
            way, ground = away / length[:, None], frame.ties.node[:, 1] < 0
            side = np.eye(3) - way[:, :, None] * way[:, None, :]
            rows = np.zeros((ties, 3, 12))
            for end, sign in ((0, -1.0), (1, 1.0)):
                rows[:, :, 6 * end : 6 * end + 3] = sign * np.eye(3)
                rows[:, :, 6 * end + 3 : 6 * end + 6] = -sign * cross(arm[:, end])
            rows[ground, :, 6:] = 0.0
            string = (force[:ties] / length)[:, None, None] * side
            fixed[:ties] += rows.swapaxes(-1, -2) @ (string @ rows)
            ends = force[:ties, None, None] * np.stack([-way, way], axis=1)
            _on_turns(fixed[:ties], turning(ends, arm))  # a ground end has no arm
        push = -force[ties:, None] * frame.pads.push[0][:, :3]
        growing[ties:count, 3:6, 3:6] += turning(push, frame.pads.offset[0])

    def _masses(self, growing: Array, v: int, inertia: Array) -> None:
        """Carrying points on arms, one block a node, then carried masses above their points, the last blocks."""
        frame, m = self.one(v), self.one(v).masses
        if len(m) == 0:
            return
        first = len(self.model.one_sided.node)
        force = self.share[v] @ inertia * m.m[0, m.carrier, None]
        np.add.at(growing[first : first + frame.nodes, 3:6, 3:6], m.node, -turning(force, m.offset[0]))
        blocks = growing[first + frame.nodes :]
        tilt = -turning(m.m[0, :, None] * inertia, self.arm[v])
        a, b = self.tilting.T
        mixed = self.carried[v, a].swapaxes(-1, -2) @ tilt[m.carrier[a]] @ self.carried[v, b]
        other = mixed.swapaxes(-1, -2)
        same, apart = a == b, m.node[a] != m.node[b]
        blocks[:, :6, :6] = np.where(
            (same | apart)[:, None, None], np.where(same[:, None, None], mixed, 0.0), mixed + other
        )
        blocks[apart, :6, 6:], blocks[apart, 6:, :6] = mixed[apart], other[apart]


@dataclass(frozen=True, eq=False)
class Loaded:
    """One case of one variant: K(λ) = members(λ) + fixed + λ growing, as lower bands."""

    tangent: Tangent
    v: int
    axial: Array  # (M,)
    fixed: Array
    growing: Array

    def band(self, by: float) -> Array:
        """K(λ)."""
        of, v = self.tangent, self.v
        m, geo = of.one(v).members, of.model.geo
        stiff = stiffness_under(m, geo.length[v : v + 1], by * self.axial[None, None])[0, 0]
        blocks = geo.reach[v].swapaxes(-1, -2) @ (stiff @ geo.reach[v])
        return assemble(of.members, blocks, _NO_ROWS, _NO_VALUES) + self.fixed + by * self.growing

    def stands(self, by: float) -> tuple[Array, Array | None]:
        """K(λ), and its factor if the frame stands at this multiple of its load."""
        band = self.band(by)
        holds = bool((-by * self.axial < self.tangent.alone[self.v]).all())
        return band, factored(band) if holds else None


def _alone(model: Model) -> Array:
    """(V,M) own limits, once for every stiffness that several variants share."""
    known: dict[bytes, Array] = {}
    for v, c in enumerate(model.geo.c):
        if c.tobytes() not in known:
            members = model.frame.variant(v).members
            known[c.tobytes()] = own_limit(members, model.geo.length[v : v + 1])[0]
    return np.array([known[c.tobytes()] for c in model.geo.c])


def factored(band: Array) -> Array | None:
    """The Cholesky factor of a band; None where it is not positive definite."""
    if len(band) == 0:
        return band.T
    lower, info = dpbtrf(band.T, lower=1)
    return lower if info == 0 else None


def solved(lower: Array, right: Array) -> Array:
    """Solve with a factor of `factored`: right (rows,) or (rows, r)."""
    return np.asarray(dpbtrs(lower, right, lower=1)[0]).reshape(right.shape) if right.size else right


def times(band: Array, x: Array) -> Array:
    """A band's symmetric matrix times a vector (rows,)."""
    return np.asarray(dsbmv(band.shape[1] - 1, 1.0, band.T, x, lower=1))


def _on_turns(blocks: Array, turned: Array) -> None:
    """Add 3x3 blocks (n,2,3,3) to the rotations of both ends of blocks (n,12,12)."""
    for end in (0, 1):
        at = slice(6 * end + 3, 6 * end + 6)
        blocks[:, at, at] += turned[:, end]


def tie_places(frame: Frame, v: int) -> tuple[Array, Array, Array]:
    """Of ties: the vector from first to second end (T,3), arms (T,2,3) from the nodes, length (T,)."""
    t = frame.ties
    ground = t.node[:, 1] < 0
    arm = np.array(t.offset[v])
    at = frame.xyz[v][np.where(t.node < 0, 0, t.node)] + arm
    at[ground, 1] = arm[ground, 1]
    arm[ground, 1] = 0.0
    away = at[:, 1] - at[:, 0]
    return away, arm, np.asarray(np.linalg.norm(away, axis=1))
