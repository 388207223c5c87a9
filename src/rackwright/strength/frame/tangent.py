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

from dataclasses import dataclass

import numpy as np
from scipy.linalg.blas import dsbmv
from scipy.linalg.lapack import dpbtrf, dpbtrs

from rackwright.strength.frame.band import Layout, lay_out, summed
from rackwright.strength.frame.beam import reach_rows
from rackwright.strength.frame.beam_column import own_limit, stiffness_under
from rackwright.strength.frame.carry import carrier_turns, cross, turning
from rackwright.strength.frame.model import Array, Bools, Frame, Ints, of_variants
from rackwright.strength.frame.ready import Model

__all__ = ["Loaded", "State", "Tangent", "axial_of", "factored", "solved", "tie_places", "times"]

NO_ARM = 1e-12  # m: a load nearer to its node than this needs no arm
_BLOCK = np.arange(12) // 6


@dataclass(frozen=True, eq=False)
class State:
    """The forces of P cases, each of one variant."""

    v: Ints  # (P,)
    axial: Array  # (P,M) tension positive, at the middle
    ends: Array  # (P,M,2,3) force by the nodes on the beam ends, global
    pull: Array  # (P,T+Q) of ties, push of pads
    inertia: Array  # (P,3)
    carried: Array  # (P,K,3) by the masses at their carrying points
    moved: Array | None = None  # (P,masses,3) m of masses off their places

    def part(self, some: Ints) -> State:
        """Some of the cases."""
        every = {name: values[some] for name, values in vars(self).items() if values is not None}
        return State(**every)


def axial_of(end_force: Array) -> Array:
    """Tension at the middle of members from their end forces (...,12)."""
    return np.asarray((end_force[..., 6] - end_force[..., 0]) / 2)


@dataclass(frozen=True, eq=False)
class Tangent:
    """A frame made ready for its loaded stiffness."""

    model: Model
    layout: Layout  # of members, ties and carried masses together
    members: Layout  # its part for the members alone
    pulls: Layout  # and that for ties and pads
    sway: Array  # (V,M,2,12) sideways motion of end j past end i, from node displacements
    pairs: Ints  # (.,2) the nodes of every block: members, ties and pads, nodes, masses
    carried: Array  # (V,K,3,6) turn of a mass from the motion of each of its points
    arm: Array  # (V,P,3) from the middle of its points to the mass
    tilting: Ints  # (.,2) pairs of carrying points of one mass that has an arm
    alone: Array  # (V,M) compression at which a member buckles between still nodes

    @staticmethod
    def of(model: Model, moved: Array | None = None) -> Tangent:
        """`moved` (V,C,P,3) as in `Cases`."""
        frame = model.frame
        m, pulls = frame.members, model.one_sided
        rows = np.zeros((*model.geo.length.shape, 2, 12))
        rows[..., 0, 1], rows[..., 0, 7] = -1.0, 1.0
        rows[..., 1, 2], rows[..., 1, 8] = -1.0, 1.0
        carried, arm = carrier_turns(frame)
        arms = arm[:, None] if moved is None else arm[:, None] + moved
        tilts = np.flatnonzero((np.abs(arms) > NO_ARM).any(axis=(0, 1, 3)))
        tilting = np.array(
            [(a, b) for p in tilts for a in np.flatnonzero(frame.masses.carrier == p)
             for b in np.flatnonzero(frame.masses.carrier == p) if a <= b], dtype=np.int64,
        ).reshape(-1, 2)  # fmt: skip
        alone = np.repeat(np.arange(frame.nodes), 2).reshape(-1, 2)
        ground = np.concatenate([frame.ties.node[:, 1] < 0, np.ones(len(frame.pads), dtype=bool)])
        tied = np.where(ground[:, None], pulls.node[:, :1], pulls.node)
        pairs = np.concatenate([m.ends, tied, alone, frame.masses.node[tilting]])
        own = (pairs[:, 0] == pairs[:, 1])[:, None, None]  # blocks of one node alone fill their first quarter
        layout = lay_out(pairs, frame.fixed, frame.xyz[0]).only(~own | (np.add.outer(_BLOCK, _BLOCK) == 0))
        first, second = layout.part(0, len(m)), layout.part(len(m), len(m) + len(pulls.node))
        return Tangent(
            model, layout, first, second, reach_rows(rows, model.geo.turn, m.offset), pairs, carried, arm,
            tilting, _alone(model),
        )  # fmt: skip

    def under(self, state: State, acts: Bools | None = None) -> Loaded:
        """Cases. `acts` (P,T+Q): the ties and pads that act; if not given, those that pull or push."""
        on = state.pull > 0 if acts is None else acts
        frame = self.model.frame.take(state.v)
        many, m, axial = len(state.v), frame.members, state.axial
        growing = np.zeros((many, len(self.pairs), 12, 12))
        sway = of_variants(self.sway, state.v)
        length = of_variants(self.model.geo.length, state.v)
        growing[:, : len(m)] = sway.swapaxes(-1, -2) @ ((axial / length)[..., None, None] * sway)
        _on_turns(growing[:, : len(m)], turning(state.ends, m.offset))
        others = growing[:, len(m) :]
        fixed = self._pulls(others, frame, state.v, np.where(on, state.pull, 0.0), on)
        self._masses(others, frame, state)
        return Loaded(self, state, frame, self.pulls.entries(fixed), self.layout.entries(growing))

    def _pulls(self, growing: Array, frame: Frame, v: Ints, force: Array, on: Bools) -> Array:
        """Ties and pads, the first blocks of the rest: what they are, and to `growing` what grows with the load."""
        pulls = self.model.one_sided
        ties, count = len(frame.ties), len(pulls.node)
        coef = of_variants(pulls.coef, v).reshape(len(v), count, 12)
        k = np.where(on, of_variants(pulls.k, v), 0.0)
        fixed = k[..., None, None] * coef[..., :, None] * coef[..., None, :]
        if ties:
            away, arm, length = tie_places(frame)
            way, ground = away / length[..., None], frame.ties.node[:, 1] < 0
            side = np.eye(3) - way[..., :, None] * way[..., None, :]
            rows = np.zeros((len(v), ties, 3, 12))
            for end, sign in ((0, -1.0), (1, 1.0)):
                rows[..., 6 * end : 6 * end + 3] = sign * np.eye(3)
                rows[..., 6 * end + 3 : 6 * end + 6] = -sign * cross(arm[:, :, end])
            rows[:, ground, :, 6:] = 0.0
            string = (force[:, :ties] / length)[..., None, None] * side
            fixed[:, :ties] += rows.swapaxes(-1, -2) @ (string @ rows)
            ends = force[:, :ties, None, None] * np.stack([-way, way], axis=2)
            _on_turns(fixed[:, :ties], turning(ends, arm))  # a ground end has no arm
        push = -force[:, ties:, None] * frame.pads.push[..., :3]
        growing[:, ties:count, 3:6, 3:6] += turning(push, frame.pads.offset)
        return np.asarray(fixed)

    def _masses(self, growing: Array, frame: Frame, state: State) -> None:
        """Carrying points on arms, one block a node, then carried masses above their points, the last blocks."""
        m, v = frame.masses, state.v
        if len(m) == 0:
            return
        first = len(self.model.one_sided.node)
        lean_in = -turning(state.carried, m.offset)  # (P,K,3,3)
        for point, node in enumerate(m.node):
            growing[:, first + node, 3:6, 3:6] += lean_in[:, point]
        blocks = growing[:, first + frame.nodes :]
        arm = of_variants(self.arm, v)
        arm = arm if state.moved is None else arm + state.moved
        tilt = -turning(m.m[..., None] * state.inertia[:, None], arm)
        a, b = self.tilting.T
        carried = of_variants(self.carried, v)
        mixed = carried[:, a].swapaxes(-1, -2) @ tilt[:, m.carrier[a]] @ carried[:, b]
        other = mixed.swapaxes(-1, -2)
        same, apart = a == b, m.node[a] != m.node[b]
        blocks[:, :, :6, :6] = np.where(
            (same | apart)[:, None, None], np.where(same[:, None, None], mixed, 0.0), mixed + other
        )
        blocks[:, apart, :6, 6:], blocks[:, apart, 6:, :6] = mixed[:, apart], other[:, apart]


@dataclass(frozen=True, eq=False)
class Loaded:
    """P cases: K(λ) = members(λ) + fixed + λ growing, as entries of the lower band before they are summed."""

    tangent: Tangent
    state: State
    frame: Frame  # of P variants
    fixed: Array  # (P,.) of ties and pads
    growing: Array  # (P,.) of all

    def one(self, p: int) -> Loaded:
        """One of the cases."""
        some = np.array([p])
        return Loaded(
            self.tangent, self.state.part(some), self.frame.take(some), self.fixed[some], self.growing[some]
        )

    def band(self, by: float | Array) -> Array:
        """K(λ) (P,rows,half+1)."""
        of, state, geo = self.tangent, self.state, self.tangent.model.geo
        share = np.broadcast_to(by, (len(state.v),))
        length, reach = of_variants(geo.length, state.v), of_variants(geo.reach, state.v)
        stiff = stiffness_under(self.frame.members, length, (share[:, None] * state.axial)[:, None])[:, 0]
        blocks = reach.swapaxes(-1, -2) @ (stiff @ reach)
        entries, first = share[:, None] * self.growing, len(of.members.target)
        entries[:, :first] += of.members.entries(blocks)
        entries[:, first : first + len(of.pulls.target)] += self.fixed
        springs = self.frame.springs
        return summed(of.layout, entries, of.layout.place[springs.node, springs.freedom], springs.k)

    def stands(self, by: float | Array) -> tuple[Array, list[Array | None]]:
        """K(λ), and of each case its factor if the frame stands at this multiple of its load."""
        band = self.band(by)
        share = np.broadcast_to(by, (len(self.state.v),))
        fails = np.any(
            -share[:, None] * self.state.axial >= self.tangent.alone[self.state.v], axis=1
        ).tolist()
        return band, [None if fails[n] else factored(one) for n, one in enumerate(band)]


def _alone(model: Model) -> Array:
    """(V,M) own limits, once for every stiffness that several variants share."""
    known: dict[bytes, int] = {}
    first: list[int] = []
    which = []
    for v, c in enumerate(model.geo.c):
        key = c.tobytes()
        if key not in known:
            known[key] = len(first)
            first.append(v)
        which.append(known[key])
    some = np.array(first)
    return own_limit(model.frame.take(some).members, of_variants(model.geo.length, some))[which]


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
    """Add 3x3 blocks (...,2,3,3) to the rotations of both ends of blocks (...,12,12)."""
    for end in (0, 1):
        at = slice(6 * end + 3, 6 * end + 6)
        blocks[..., at, at] += turned[..., end, :, :]


def tie_places(frame: Frame) -> tuple[Array, Array, Array]:
    """Of ties: the vector from first to second end (V,T,3), arms (V,T,2,3) from the nodes, length (V,T)."""
    t = frame.ties
    ground = t.node[:, 1] < 0
    arm = np.array(t.offset)
    at = frame.xyz[:, np.where(t.node < 0, 0, t.node)] + arm
    at[:, ground, 1] = arm[:, ground, 1]
    arm[:, ground, 1] = 0.0
    away = at[:, :, 1] - at[:, :, 0]
    return away, arm, np.asarray(np.linalg.norm(away, axis=-1))
