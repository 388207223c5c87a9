"""A frame and the bodies on it, as a modal model: every motion as a sum of natural modes.

    modal = modal_model(frame, bodies, v, acting, up_to)

K φ = ω² M φ with the whole matrices. M = Σ Tᵀ m T + ∫ ρA NᵀN dx, N the static shape of the beam with its shear
flexibility and releases, integrated exactly by Gauss's rule; a tube's rotary inertia is left out, that of a
body (a mass with an inertia tensor) is not. A body rests rigidly on its carrying points, as `carry` has it, or on
springs between them and itself:  with J = [-G, 1], G the rigid motion of the points at the body's place,
K gains Jᵀ k J and the body six freedoms of its own.

When the floor moves with a, the frame moves relative to it by Σ φᵢ qᵢ,  q̈ᵢ + 2 ζᵢ ωᵢ q̇ᵢ + ωᵢ² qᵢ = -Lᵢ a,
with the participation factors L = φᵀ M r of mass-normalised modes; L² is the effective mass, and over all modes
of a frame that no freedom of is held they add up to the mass. Modes beyond the highest one kept follow the
floor statically: `static` is K⁻¹ M r (Clough and Penzien, Dynamics of Structures, chapters 12, 13 and 26).

Ties and pads are linear springs here if they act, and absent if not.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.linalg import cho_solve, cholesky, eigh, solve_triangular

from rackwright.strength.frame.beam import held_ends, local_to_nodes, point_load
from rackwright.strength.frame.carry import carrier_couples, carrier_shares
from rackwright.strength.frame.loose import Factor
from rackwright.strength.frame.model import Array, Bools, Frame, Ints, pile
from rackwright.strength.frame.ready import Model, carried_loads, member_mass_ends
from rackwright.strength.frame.refine import whole_matrix
from rackwright.strength.frame.words import WHY, describe

__all__ = ["Bodies", "Modal", "Motion", "Whole", "free_motion", "modal_model"]

RIGID = 1e-13  # eigenvalues below this share of the largest belong to masses that cannot move
SHIFT = 1.0  # (rad/s)²: added to every ω² of a frame with loose motions, and taken away again


@dataclass(frozen=True, eq=False)
class Bodies:
    """Carried masses that turn, and may stand on springs; B of them.

    `mass` are their numbers among `frame.masses`. `spring` (B,6,6) is the stiffness [force, moment] of all springs of
    a body at the mass's place, global axes; zero for a body that rests rigidly on its points.
    """

    mass: Ints  # (B,)
    inertia: Array  # (B,3,3) kg m² about the mass's place, global axes
    spring: Array  # (B,6,6)

    @staticmethod
    def none() -> Bodies:
        return Bodies(np.zeros(0, dtype=np.int64), np.zeros((0, 3, 3)), np.zeros((0, 6, 6)))

    @property
    def sprung(self) -> Ints:
        """Which bodies stand on springs."""
        return np.flatnonzero(np.any(self.spring, axis=(1, 2)))


@dataclass(frozen=True, eq=False)
class Motion:
    """S motions of nodes, bodies, and of the seats of bodies: the rigid motion of their points at their place."""

    node: Array  # (S,N,6)
    body: Array  # (S,B,6)
    seat: Array  # (S,B,6)


@dataclass(frozen=True, eq=False)
class Modal:
    """The lowest n modes of one variant. Empty where a frame has none."""

    hz: Array  # (n,) zero for a loose motion
    motion: Motion  # mass-normalised
    participation: Array  # (n,3) √kg, for motion of the floor along x, y, z
    energy: Array  # (n,B) share of a mode's strain energy in the springs under each body
    static: Motion | None  # (3,...) K⁻¹ M r; None where a motion is loose
    mass: Array  # (3,) kg that the floor's motion reaches
    loose: str | None  # a motion that nothing resists

    @property
    def effective_mass(self) -> Array:
        """(n,3) kg"""
        return np.asarray(self.participation**2)


def modal_model(
    frame: Frame, bodies: Bodies, v: int, acting: Bools, up_to: float = np.inf, at_least: int = 1
) -> Modal:
    """The modes of variant v up to a frequency (Hz), though at least so many. `acting` (T+Q,)."""
    whole = Whole.of(Model.of(frame), bodies)
    return whole.modal(v, np.where(acting, whole.model.one_sided.k[v], 0.0), up_to, at_least)


@dataclass(frozen=True, eq=False)
class Whole:
    """What the whole matrices of all variants are made of; F freedoms: 6N of nodes, 6 of each sprung body."""

    model: Model
    bodies: Bodies
    unit: Array  # (V,P+R,3,N,6) loads on nodes for unit forces on each mass
    couple: Array  # (V,P,3,N,6) the same for unit couples
    own: Array  # (V,6N,6N) the members' mass
    factors: dict[int, Factor] = field(default_factory=dict)  # of variants asked for

    @staticmethod
    def of(model: Model, bodies: Bodies) -> Whole:
        return Whole(
            model,
            bodies,
            unit_loads(model),
            _by_mass(model, *carrier_couples(model.frame)),
            _member_mass(model),
        )

    def modal(self, v: int, k: Array, up_to: float = np.inf, at_least: int = 1) -> Modal:
        """The modes of variant v with ties and pads of stiffness k (T+Q,) N/m, zero of those that do not act."""
        model = self.model
        if v not in self.factors:
            self.factors[v] = model.factor(v)
        free, why = free_motion(model, self.factors[v], v, k > 0)
        K, M, seat, rows = self._matrices(v, k)
        base = self._base()
        if len(rows) == 0:
            nothing = self._motion(np.zeros((0, 0)), rows, seat)
            return Modal(
                np.zeros(0), nothing, np.zeros((0, 3)), np.zeros((0, len(seat))), nothing, np.zeros(3), why
            )
        Mff = M[np.ix_(rows, rows)]
        shift = SHIFT if free else 0.0
        root = cholesky(K + shift * Mff, lower=True)
        half = solve_triangular(root, Mff, lower=True)
        S = solve_triangular(root, half.T, lower=True)
        floor = 1 / ((2 * np.pi * up_to) ** 2 + shift) if up_to > 0 else np.inf
        few = None if up_to > 0 else [max(0, len(S) - at_least), len(S) - 1]
        size, z = eigh((S + S.T) / 2, subset_by_index=few)
        size, z = size[::-1], z[:, ::-1]
        known = int(np.count_nonzero(size > RIGID * size.max(initial=0.0)))
        count = min(known, max(at_least, int(np.count_nonzero(size >= floor))))
        size, z = size[:count], z[:, :count]
        shapes = solve_triangular(root, z, lower=True, trans="T").T / np.sqrt(size)[:, None]
        square = (1 / size - shift).clip(min=0.0)
        square[:free] = 0.0
        pushed = M[rows] @ base.T
        still = None if free else self._motion(cho_solve((root, True), pushed).T, rows, seat)
        moved = self._motion(shapes, rows, seat)
        apart = moved.body - moved.seat
        energy = np.einsum("nbi,bij,nbj->nb", apart, self.bodies.spring, apart)
        energy = energy / np.where(square > 0, square, 1.0)[:, None]
        mass = np.einsum("df,fg,dg->d", base, M, base)
        return Modal(np.sqrt(square) / (2 * np.pi), moved, shapes @ pushed, energy, still, mass, why)

    def _matrices(self, v: int, k: Array) -> tuple[Array, Array, Array, Ints]:
        """K of the free freedoms, M of all, the seats (B,6,6N), and which freedoms are free."""
        model, bodies, frame = self.model, self.bodies, self.model.frame
        size, sprung = 6 * frame.nodes, bodies.sprung
        mass = np.concatenate([frame.masses.m[v], frame.member_masses.m[v]])
        flat = self.unit[v].reshape(len(mass), 3, size)
        turned = self.couple[v, bodies.mass].reshape(len(bodies.mass), 3, size)
        seat = np.concatenate([flat[bodies.mass], turned], axis=1)
        on_points = np.repeat(np.where(np.isin(np.arange(len(mass)), bodies.mass[sprung]), 0.0, mass), 3)
        M = np.zeros((size + 6 * len(sprung), size + 6 * len(sprung)))
        every = flat.reshape(3 * len(mass), size)
        M[:size, :size] = self.own[v] + every.T @ (on_points[:, None] * every)
        rows = np.concatenate([model.layout.order, size + np.arange(6 * len(sprung))])
        K = np.zeros((len(rows), len(rows)))
        n = model.layout.rows
        K[:n, :n] = stiffness(model, v, k)
        for b, number in enumerate(bodies.mass):
            if b not in sprung:
                M[:size, :size] += seat[b, 3:].T @ bodies.inertia[b] @ seat[b, 3:]
                continue
            own = size + 6 * int(np.searchsorted(sprung, b)) + np.arange(6)
            M[own[:3], own[:3]] = mass[number]
            M[np.ix_(own[3:], own[3:])] = bodies.inertia[b]
            J = np.zeros((6, len(rows)))
            J[:, :n] = -seat[b][:, model.layout.order]
            J[:, n + own - size] = np.eye(6)
            K += J.T @ bodies.spring[b] @ J
        return K, M, seat, rows

    def _base(self) -> Array:
        """(3,F): the freedoms when everything moves along x, y, z."""
        count = self.model.frame.nodes + len(self.bodies.sprung)
        return np.tile(np.eye(3, 6), (count, 1, 1)).swapaxes(0, 1).reshape(3, -1)

    def _motion(self, shapes: Array, rows: Ints, seat: Array) -> Motion:
        """Shapes over the free freedoms (S,rows) as motions."""
        count, size = len(shapes), 6 * self.model.frame.nodes
        full = np.zeros((count, size + 6 * len(self.bodies.sprung)))
        full[:, rows] = shapes
        seats = np.einsum("bif,sf->sbi", seat, full[:, :size])
        body = seats.copy()
        body[:, self.bodies.sprung] = full[:, size:].reshape(count, len(self.bodies.sprung), 6)
        return Motion(full[:, :size].reshape(count, self.model.frame.nodes, 6), body, seats)


def free_motion(model: Model, factor: Factor, v: int, acts: Bools) -> tuple[int, str | None]:
    """How many motions neither the frame nor an acting tie or pad resists, and one of them in words."""
    if factor.loose == 0:
        return 0, None
    blocked = model.one_sided.rows(model.layout, v)[acts] @ factor.W[:, : factor.loose]
    _, size, turned = np.linalg.svd(blocked, full_matrices=True)
    free = factor.loose - int(np.count_nonzero(size > 1e-9 * size.max(initial=0.0)))
    if free == 0:
        return 0, None
    motion = model.layout.scatter(factor.W[:, : factor.loose] @ turned[-1])
    return free, f"{describe(motion, model.frame.xyz[v], model.frame.names)}: {WHY['loose']}"


def stiffness(model: Model, v: int, k: Array) -> Array:
    """The whole stiffness matrix (rows, rows) with ties and pads of stiffness k (T+Q,)."""
    whole = whole_matrix(model.band(v)).toarray()
    B = model.one_sided.rows(model.layout, v)[k > 0]
    return np.asarray(whole + B.T @ (k[k > 0, None] * B))


def unit_loads(model: Model) -> Array:
    """(V,P+R,3,N,6): loads on the nodes for a unit force along x, y, z on each mass (carried, then on members)."""
    frame = model.frame
    mm = frame.member_masses
    out = np.zeros((frame.variants, len(frame.masses) + len(mm), 3, frame.nodes, 6))
    out[:, : len(frame.masses)] = _by_mass(model, *carrier_shares(frame))
    if len(mm):
        ends = -_held_on_nodes(model, member_mass_ends(model), mm.member)
        for r, member in enumerate(mm.member):
            pile(out[:, len(frame.masses) + r], frame.members.ends[member], ends[:, :, r])
    return out


def _by_mass(model: Model, share: Array, twist: Array) -> Array:
    """(V,P,3,N,6) from forces and moments at the carrying points."""
    m = model.frame.masses
    out = np.zeros((model.frame.variants, len(m), 3, model.frame.nodes, 6))
    each = carried_loads(model.frame, share, twist, times_mass=False)
    for point, mass in enumerate(m.carrier):
        out[:, mass, :, m.node[point]] += each[:, :, point]
    return out


def _held_on_nodes(model: Model, held: Array, member: Ints) -> Array:
    """Held end forces (V,R,12,3) for unit *local* forces → (V,3,R,2,6) for unit *global* forces, on nodes."""
    turned = held @ model.geo.turn[:, member]
    return local_to_nodes(model.frame, model.geo, np.moveaxis(turned, -1, 1), member)


def _member_mass(model: Model) -> Array:
    """∫ ρA NᵀN dx of all members on the nodes: (V,6N,6N)."""
    frame, geo = model.frame, model.geo
    m, count = frame.members, len(frame.members)
    out = np.zeros((frame.variants, frame.nodes * 6, frame.nodes * 6))
    places, weights = np.polynomial.legendre.leggauss(4)  # N is cubic: NᵀN of degree 6 is exact
    all_members = np.arange(count)
    element = np.zeros((frame.variants, count, 12, 12))
    for place, weight in zip((places + 1) / 2, weights / 2, strict=True):
        held = held_ends(geo.chord, geo.c, point_load(frame, geo, all_members, place * geo.length))
        shape = -_held_on_nodes(model, held, all_members).reshape(frame.variants, 3, count, 12)
        amount = weight * m.rho * m.A * geo.length
        element += amount[..., None, None] * np.einsum("vdmi,vdmj->vmij", shape, shape)
    freedoms = (6 * m.ends[:, :, None] + np.arange(6)).reshape(count, 12)
    size = 6 * frame.nodes
    flat = (size * freedoms[:, :, None] + freedoms[:, None, :]).ravel()
    for v in range(frame.variants):
        out[v] = np.bincount(flat, weights=element[v].ravel(), minlength=size * size).reshape(size, size)
    return out
