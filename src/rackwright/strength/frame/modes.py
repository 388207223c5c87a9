"""Natural frequencies and mode shapes.

Two ways to the same eigenproblem K φ = ω² M φ:
  point masses only   Massless freedoms are condensed exactly by working with the flexibility at the masses,
                      F = T K⁻¹ Tᵀ (plus the bending of a member between its nodes for masses on members):
                      the largest eigenvalues of √m F √m are 1/ω². No mass is moved and none is lumped.
  with member mass    M = Σ Tᵀ m T + ∫ ρA NᵀN dx, N the static shape of the beam with its shear flexibility and
                      releases, integrated exactly by Gauss's rule; rotary inertia is left out. Masses on
                      members then move by N too. Split long members for higher modes.

Ties and pads are linear springs here if they act, and absent if not: the acting set of a load case is the set
about which the frame vibrates slightly.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from scipy.linalg import cho_solve, cholesky, eigh, solve_triangular

from rackwright.strength.frame.beam import held_ends, local_to_nodes, point_load, span_flexibility
from rackwright.strength.frame.carry import carrier_shares
from rackwright.strength.frame.loose import Factor
from rackwright.strength.frame.model import Array, Bools, Frame, Ints, pile
from rackwright.strength.frame.ready import Model, carried_loads, member_mass_ends
from rackwright.strength.frame.refine import whole_matrix
from rackwright.strength.frame.words import WHY, describe

__all__ = ["Modes", "modes"]

RIGID = 1e-13  # eigenvalues below this share of the largest belong to masses that cannot move


@dataclass(frozen=True, eq=False)
class Modes:
    """The lowest n modes; NaN where there are fewer, or where the frame is loose. Shapes are mass-normalised."""

    hz: Array  # (V,n)
    shape: Array  # (V,n,N,6)
    effective_mass: Array  # (V,n,3) kg moved by base motion along x, y, z
    loose: tuple[str | None, ...]  # why a variant has no modes


def modes(frame: Frame, n: int, acting: Bools | None = None, member_mass: bool = True) -> Modes:
    """The first n modes. `acting` (V,T+Q) or (T+Q,): which ties, then pads, act (default: none of them)."""
    model = Model.of(frame)
    acts = np.broadcast_to(
        np.zeros(frame.one_sided, bool) if acting is None else acting, (frame.variants, frame.one_sided)
    )
    unit = _unit_loads(model)
    own = _member_mass(model) if member_mass else None
    hz = np.full((frame.variants, n), np.nan)
    shape = np.full((frame.variants, n, frame.nodes, 6), np.nan)
    effective = np.full((frame.variants, n, 3), np.nan)
    loose: list[str | None] = []
    for v in range(frame.variants):
        factor = model.factor(v)
        loose.append(_loose(model, factor, v, acts[v]))
        if loose[v] is not None or (own is not None and model.layout.rows == 0):
            continue
        if own is not None:
            root = cholesky(_stiffness(model, v, acts[v]), lower=True)
            size, moved, taken = _by_mass_matrix(model, v, root, unit[v], own[v])
        elif acts[v].any():
            root = cholesky(_stiffness(model, v, acts[v]), lower=True)
            size, moved, taken = _by_flexibility(model, v, partial(cho_solve, (root, True)), unit[v])
        else:
            size, moved, taken = _by_flexibility(model, v, factor.solve, unit[v])
        found = min(n, int(np.count_nonzero(size > RIGID * size.max(initial=0.0))))
        hz[v, :found] = 1 / (2 * np.pi * np.sqrt(size[:found]))
        shape[v, :found] = model.layout.scatter(moved[:found])
        effective[v, :found] = taken[:found] ** 2
    return Modes(hz, shape, effective, tuple(loose))


def _loose(model: Model, factor: Factor, v: int, acts: Bools) -> str | None:
    """The motion that neither the frame nor an acting tie or pad resists."""
    if factor.loose == 0:
        return None
    blocked = model.one_sided.rows(model.layout, v)[acts] @ factor.W[:, : factor.loose]
    _, size, turned = np.linalg.svd(blocked, full_matrices=True)
    if len(size) == factor.loose and size[-1] > 1e-9 * size[0]:
        return None
    motion = model.layout.scatter(factor.W[:, : factor.loose] @ turned[-1])
    return f"{describe(motion, model.frame.xyz[v], model.frame.names)}: {WHY['loose']}"


def _stiffness(model: Model, v: int, acts: Bools) -> Array:
    """The whole stiffness matrix (rows, rows) with the acting ties and pads."""
    whole = whole_matrix(model.band(v)).toarray()
    B = model.one_sided.rows(model.layout, v)[acts]
    return np.asarray(whole + B.T @ (model.one_sided.k[v, acts, None] * B))


def _unit_loads(model: Model) -> Array:
    """(V,P+R,3,N,6): loads on the nodes for a unit force along x, y, z on each mass (carried, then on members)."""
    frame = model.frame
    m, mm = frame.masses, frame.member_masses
    out = np.zeros((frame.variants, len(m) + len(mm), 3, frame.nodes, 6))
    each = carried_loads(frame, *carrier_shares(frame), times_mass=False)
    for point, mass in enumerate(m.carrier):
        out[:, mass, :, m.node[point]] += each[:, :, point]
    if len(mm):
        ends = -_held_on_nodes(model, member_mass_ends(model), mm.member)
        for r, member in enumerate(mm.member):
            pile(out[:, len(m) + r], frame.members.ends[member], ends[:, :, r])
    return out


def _held_on_nodes(model: Model, held: Array, member: Ints) -> Array:
    """Held end forces (V,R,12,3) for unit *local* forces → (V,3,R,2,6) for unit *global* forces, on nodes."""
    turned = held @ model.geo.turn[:, member]
    return local_to_nodes(model.frame, model.geo, np.moveaxis(turned, -1, 1), member)


def _by_flexibility(
    model: Model, v: int, solve: Callable[[Array], Array], unit: Array
) -> tuple[Array, Array, Array]:
    """1/ω², nodal shapes and participations, from the point masses alone."""
    frame = model.frame
    m, mm = frame.masses, frame.member_masses
    mass = np.concatenate([m.m[v], mm.m[v]])
    if mass.size == 0:
        return np.zeros(0), np.zeros((0, model.layout.rows)), np.zeros((0, 3))
    loads = model.layout.gather(unit).reshape(3 * len(mass), model.layout.rows)
    moved = solve(loads.T).T
    F = loads @ moved.T
    at = 3 * len(m)
    for member in np.unique(mm.member):
        on = np.flatnonzero(mm.member == member)
        local = span_flexibility(frame.variant(v), model.geo.one(v), int(member), mm.at[v : v + 1, on])[0]
        turn = model.geo.turn[v, member]
        own = np.einsum("ia,kilj,jb->kalb", turn, local, turn)
        for k, row in enumerate(on):
            for l, column in enumerate(on):
                r, c = at + 3 * row, at + 3 * column
                F[r : r + 3, c : c + 3] += own[k, :, l]
    s = np.repeat(np.sqrt(mass), 3)
    size, vectors = eigh((F + F.T) / 2 * s[:, None] * s)
    size, vectors = size[::-1].clip(min=0), vectors[:, ::-1].T
    taken = (vectors * s).reshape(len(vectors), len(mass), 3).sum(axis=1)
    lengths = np.where(size > 0, size, 1.0)[:, None]
    return size, (vectors * s) @ moved / lengths, taken


def _by_mass_matrix(model: Model, v: int, root: Array, unit: Array, own: Array) -> tuple[Array, Array, Array]:
    """The same from the whole mass matrix, members included: own (6N,6N)."""
    frame = model.frame
    mass = np.repeat(np.concatenate([frame.masses.m[v], frame.member_masses.m[v]]), 3)
    loads = unit.reshape(len(mass), frame.nodes * 6)
    M = own + loads.T @ (mass[:, None] * loads)
    rows = model.layout.order
    half = solve_triangular(root, M[np.ix_(rows, rows)], lower=True)
    S = solve_triangular(root, half.T, lower=True)
    size, z = eigh((S + S.T) / 2)
    size, z = size[::-1].clip(min=0), z[:, ::-1]
    shapes = (
        solve_triangular(root, z, lower=True, trans="T").T / np.sqrt(np.where(size > 0, size, 1.0))[:, None]
    )
    base = np.tile(np.eye(3, 6), (frame.nodes, 1, 1)).swapaxes(0, 1).reshape(3, -1)
    return size, shapes, shapes @ (M[rows] @ base.T)


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
