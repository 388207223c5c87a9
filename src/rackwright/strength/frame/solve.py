"""Load cases on frames: displacements, forces, and proof that every case is in equilibrium.

    response = solve(frame, Cases(inertia=np.array([[88.26, 0, 0]])))

Each case starts from the unloaded state. Without ties and pads the answer is linear in the load; with them it
is the one equilibrium in which each acts in its own sense only. A case without a unique equilibrium
carries NaN and says why in `response.loose`.

For a great many variants call `solve` in portions of about a hundred: every result is kept in memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackwright.strength.frame.beam import local_to_nodes, to_nodes
from rackwright.strength.frame.carry import crossed
from rackwright.strength.frame.conditions import Problem
from rackwright.strength.frame.loose import Factor
from rackwright.strength.frame.model import Array, Bools, Cases, Frame, Ints, lean, one_hot, pile
from rackwright.strength.frame.one_sided import acting_forces
from rackwright.strength.frame.ready import (
    Loads,
    Model,
    initial_ends,
    moved_loads,
    moved_shares,
)
from rackwright.strength.frame.refine import with_acting_set
from rackwright.strength.frame.words import WHY, describe

__all__ = ["Response", "respond", "solve"]

SECOND_LOOK = 1e-10  # of the applied load: less balance than this is looked into


@dataclass(frozen=True, eq=False)
class Response:
    """Everything known about V variants under C cases. SI; global axes unless said otherwise."""

    frame: Frame
    cases: Cases
    displacement: Array  # (V,C,N,6)
    reaction: Array  # (V,C,N,6) force of the supports on the structure; zero in freedoms not held
    spring_force: Array  # (V,C,S) on the node along its freedom: -k u
    tie_force: Array  # (V,C,T) tension
    pad_force: Array  # (V,C,Q) push on the structure
    end_force: Array  # (V,C,M,12) local axes, by the nodes on the member's beam ends
    carrier_force: Array  # (V,C,K,3) by the mass on the structure at each carrying point
    carrier_moment: Array  # (V,C,K,3) zero unless the points lie on a line
    mass: Array  # (V,) kg
    residual: Array  # (V,C) largest imbalance, of the whole and of any node, over the applied load
    loose: tuple[tuple[str | None, ...], ...]  # [V][C] why there is no unique equilibrium
    model: Model  # the frame made ready, and what unit inertia does: for what is asked next
    loads: Loads

    @property
    def tie_acts(self) -> Bools:
        """(V,C,T)"""
        return np.asarray(self.tie_force > 0)

    @property
    def pad_acts(self) -> Bools:
        """(V,C,Q)"""
        return np.asarray(self.pad_force > 0)


def solve(frame: Frame, cases: Cases) -> Response:
    """Analyse all variants under all cases. Raises ValueError where the geometry is not one of a frame, and
    FloatingPointError or LinAlgError where the numbers lie beyond what 16 digits carry."""
    model = Model.of(frame)
    loads = Loads.of(model)
    thrown = cases.thrown(frame.variants)
    applied = np.einsum("vdnf,vcd->vcnf", loads.unit, thrown)
    own = (
        np.zeros_like(applied)
        if cases.nodal is None
        else np.repeat(cases.nodal[None], frame.variants, axis=0)
    )
    if cases.moved is not None:
        own += _of_moved(frame, cases, *_moved(frame, cases, cases.moved))
    held = initial_ends(model, cases)
    if held is not None:
        pile(own, frame.members.ends, -local_to_nodes(frame, model.geo, held, slice(None)))
    applied += own
    alone = np.flatnonzero(own.any(axis=(0, 2, 3)))
    u = np.empty((frame.variants, len(cases), frame.nodes, 6))
    elastic = np.empty_like(u)
    pull = np.empty((frame.variants, len(cases), frame.one_sided))
    loose: dict[int, tuple[str | None, ...]] = {}
    guess: tuple[int, ...] = ()
    for alike in model.alike():
        factor = model.factor(int(alike[0]), guess)
        guess = factor.held
        u[alike], elastic[alike], pull[alike], why = _variants(
            model, factor, alike, applied[alike], loads.unit[alike], thrown[alike], alone
        )
        loose |= dict(zip(alike.tolist(), why, strict=True))
    reasons = tuple(loose[v] for v in range(frame.variants))
    response = respond(model, loads, cases, u, elastic, pull, reasons)
    again = np.argwhere((response.residual > SECOND_LOOK) & (frame.one_sided > 0))
    for v, case in again:
        better = with_acting_set(model, v, pull[v, case] > 0, applied[v, case])
        if better is not None:
            u[v, case], pull[v, case] = better
            elastic[v, case] = u[v, case]
    return respond(model, loads, cases, u, elastic, pull, reasons) if len(again) else response


def _moved(frame: Frame, cases: Cases, moved: Array) -> tuple[Array, Array]:
    """What masses off their places add at their carrying points: (V,C,K,3) each."""
    v, thrown = np.repeat(np.arange(frame.variants), len(cases)), cases.thrown(frame.variants)
    both = moved_shares(frame, v, moved.reshape(len(v), -1, 3), thrown.reshape(len(v), 1, 3))
    force, moment = (each.reshape(frame.variants, len(cases), -1, 3) for each in both)
    return force, moment


def _of_moved(frame: Frame, cases: Cases, force: Array, moment: Array) -> Array:
    v = np.repeat(np.arange(frame.variants), len(cases))
    points = (each.reshape(len(v), 1, -1, 3) for each in (force, moment))
    return moved_loads(frame, v, *points).reshape(frame.variants, len(cases), frame.nodes, 6)


# --- variants of one stiffness ---------------------------------------------------------------------------

Reasons = list[tuple[str | None, ...]]


def _variants(
    model: Model, factor: Factor, alike: Ints, applied: Array, unit: Array, thrown: Array, own: Ints
) -> tuple[Array, Array, Array, Reasons]:
    """Displacements (G,C,N,6), the same without loose motion, one-sided forces (G,C,U) and reasons.

    The G variants differ in loads and initial tensions alone, so that all their cases are cases of one problem. `own`
    are the cases that have more loads than inertia.
    """
    layout, pulls, v = model.layout, model.one_sided, int(alike[0])
    (many, count), size = applied.shape[:2], len(pulls.node)
    f = layout.gather(applied)  # (G,C,rows)
    B = pulls.rows(layout, v)
    loads = np.concatenate([layout.gather(unit), f[:, own]], axis=1)  # (G,3+own,rows)
    solved = factor.propped.solve(np.concatenate([loads.reshape(many * loads.shape[1], layout.rows), B]).T).T
    each, back = (
        solved[: -size or None].reshape(loads.shape),
        solved[len(solved) - size :],
    )  # back: A Bᵀ, (U,rows)
    free = thrown @ each[:, :3]
    free[:, own] = each[:, 3:]
    free, push = free.reshape(many * count, layout.rows), f.reshape(many * count, layout.rows) @ factor.W

    def spread(moved: Array) -> Array:
        return layout.scatter(moved).reshape(many, count, *layout.place.shape)

    if size == 0 and factor.loose:
        return _nothing(model, many, count, _why(model, factor, v, "loose", np.eye(len(factor.R))[0]))
    if size == 0:
        moved = spread(free + factor.soft(push.T).T @ factor.W.T)
        return moved, moved, np.zeros((many, count, 0)), [(None,) * count] * many
    H = B @ back.T
    gap = np.repeat(-pulls.T0[alike] / pulls.k[v], count, axis=0)
    problem = Problem((H + H.T) / 2 + np.diag(1 / pulls.k[v]), B @ factor.W, factor.R, gap - free @ B.T, push)
    if not (np.isfinite(problem.H).all() and np.isfinite(problem.q).all() and np.isfinite(push).all()):
        raise FloatingPointError("the stiffnesses or loads are not finite")
    pull, y, verdicts = acting_forces(problem)
    loose = factor.loose
    elastic = spread(free - pull @ back + y[:, loose:] @ factor.W[:, loose:].T)
    moved = elastic + spread(y[:, :loose] @ factor.W[:, :loose].T)
    said = {id(x): _why(model, factor, v, x.kind, x.y) for x in verdicts if x is not None}
    reasons = [None if x is None else said[id(x)] for x in verdicts]
    pull, bad = (
        pull.reshape(many, count, size),
        np.array([x is not None for x in verdicts]).reshape(many, count),
    )
    moved[bad], elastic[bad], pull[bad] = np.nan, np.nan, np.nan
    return moved, elastic, pull, [tuple(reasons[n : n + count]) for n in range(0, many * count, count)]


def _nothing(model: Model, many: int, count: int, why: str) -> tuple[Array, Array, Array, Reasons]:
    moved = np.full((many, count, *model.layout.place.shape), np.nan)
    return moved, moved, np.full((many, count, len(model.one_sided.node)), np.nan), [(why,) * count] * many


def _why(model: Model, factor: Factor, v: int, kind: str, y: Array) -> str:
    motion = model.layout.scatter(factor.W @ y)
    return f"{describe(motion, model.frame.xyz[v], model.frame.names)}: {WHY[kind]}"


# --- back to forces --------------------------------------------------------------------------------------


def respond(
    model: Model, loads: Loads, cases: Cases, u: Array, elastic: Array, pull: Array,
    loose: tuple[tuple[str | None, ...], ...],
) -> Response:  # fmt: skip
    frame, geo, thrown = model.frame, model.geo, cases.thrown(model.frame.variants)
    m, ties = frame.members, len(frame.ties)
    # forces from the elastic part: the loose motion deforms nothing, and would only add rounding
    moved = elastic[:, :, m.ends].reshape(*u.shape[:2], len(m), 12)
    basic = np.einsum("vmij,vcmj->vcmi", geo.c, _each(geo.reach, moved))
    ends = _each(geo.chord.swapaxes(-1, -2), basic)
    ends += _thrown(loads.held, thrown)
    held = initial_ends(model, cases)
    if held is not None:
        ends += held
    spring = -frame.springs.k[:, None] * elastic[:, :, frame.springs.node, frame.springs.freedom]
    kg = frame.masses.m[:, None, frame.masses.carrier, None]
    force, moment = kg * _thrown(loads.share, thrown), kg * _thrown(loads.twist, thrown)
    if cases.moved is not None:
        more, twist = _moved(frame, cases, cases.moved)
        force, moment = force + more, moment + twist
    by_pulls = model.one_sided.on_nodes(pull, frame.nodes)
    missing, reaction = _balance_nodes(model, loads, cases, ends, spring, by_pulls, force, moment)
    mass = (
        frame.masses.m.sum(axis=1)
        + frame.member_masses.m.sum(axis=1)
        + (m.rho * m.A * geo.length).sum(axis=1)
    )
    residual = _residual(model, cases, missing, reaction, spring, by_pulls)
    return Response(
        frame, cases, u, reaction, spring, pull[..., :ties], pull[..., ties:], ends, force, moment, mass,
        residual, loose, model, loads,
    )  # fmt: skip


def _each(matrix: Array, values: Array) -> Array:
    """Matrices of members (V,M,i,j) on values (V,C,M,j): (V,C,M,i). Those that variants share act on all at once."""
    once = lean(matrix)
    if len(once) > 1:
        return np.asarray(np.einsum("vmij,vcmj->vcmi", matrix, values))
    (v, c, m, j), rows = values.shape, matrix.shape[2]
    found = values.transpose(2, 0, 1, 3).reshape(m, v * c, j) @ once[0].swapaxes(-1, -2)
    return np.asarray(found.reshape(m, v, c, rows).transpose(1, 2, 0, 3))


def _thrown(unit: Array, thrown: Array) -> Array:
    """What inertia (V,C,3) does where unit inertia does (V,n,i,3): (V,C,n,i)."""
    v, n, rows, _ = unit.shape
    found = thrown @ unit.reshape(v, n * rows, 3).swapaxes(-1, -2)
    return np.asarray(found.reshape(*thrown.shape[:2], n, rows))


def _balance_nodes(
    model: Model, loads: Loads, cases: Cases, ends: Array, spring: Array, by_pulls: Array, force: Array,
    moment: Array,
) -> tuple[Array, Array]:  # fmt: skip
    """What is missing at each node for balance (V,C,N,6): in held freedoms it is the reaction."""
    frame = model.frame
    m = frame.masses
    missing = -by_pulls
    if cases.nodal is not None:
        missing = missing - cases.nodal
    on_members = _each(to_nodes(frame, model.geo), ends)
    pile(missing, frame.members.ends, on_members)
    pile(missing, frame.springs.node, one_hot(-spring, frame.springs.freedom))
    carried = np.concatenate([force, moment + crossed(m.offset[:, None], force)], axis=-1)
    pile(missing, m.node, -carried)
    return np.where(frame.fixed, 0.0, missing), np.where(frame.fixed, missing, 0.0)


def _residual(
    model: Model, cases: Cases, missing: Array, reaction: Array, spring: Array, by_pulls: Array
) -> Array:
    """Largest imbalance of force, or of moment over the frame's size, relative to the applied load.

    The whole is balanced with the loads at their true places (masses, member centres), independently of how
    they were brought to the nodes.
    """
    frame = model.frame
    m, mm = frame.members, frame.member_masses
    start = frame.xyz[:, m.ends[:, 0]] + m.offset[:, :, 0]
    half = model.geo.turn[..., 0, :] * model.geo.length[..., None] / 2
    on_axis = start[:, mm.member] + mm.at[..., None] * model.geo.turn[:, mm.member, 0]
    place = np.concatenate([start + half, frame.masses.xyz, on_axis], axis=1)
    weight = np.concatenate([m.rho * m.A * model.geo.length, frame.masses.m, mm.m], axis=1)
    centre = frame.xyz.mean(axis=1, keepdims=True)
    thrown = cases.thrown(frame.variants)
    moment = crossed((weight[:, None] @ (place - centre)), thrown)
    if cases.moved is not None:
        moment = moment + crossed(np.einsum("vp,vcpd->vcd", frame.masses.m, cases.moved), thrown)
    total = np.concatenate([weight.sum(axis=1)[:, None, None] * thrown, moment], axis=-1)
    size = np.abs(weight).sum(axis=1)[:, None] * np.linalg.norm(thrown, axis=-1)
    onto = reaction + by_pulls
    pile(onto, frame.springs.node, one_hot(spring, frame.springs.freedom))
    if cases.nodal is not None:
        onto = onto + cases.nodal
        size = size + np.linalg.norm(cases.nodal[..., :3], axis=-1).sum(axis=-1)
    reach = np.linalg.norm(np.ptp(frame.xyz, axis=1), axis=-1)
    reach = np.where(reach > 0, reach, 1.0)[:, None]
    if cases.nodal is not None:
        size = size + np.linalg.norm(cases.nodal[..., 3:], axis=-1).sum(axis=-1) / reach
    size = size + model.one_sided.T0.clip(min=0).sum(axis=1)[:, None]
    held = initial_ends(model, cases)
    size = size if held is None else size + np.abs(held[..., 6:9]).max(axis=-1).sum(axis=-1)
    total = total + _resultant(onto[..., :3], frame.xyz - centre)
    total[..., 3:] += onto[..., 3:].sum(axis=2)
    both = np.concatenate([total[:, :, None], missing], axis=2)
    both[..., 3:] /= reach[..., None, None]
    worst = np.abs(both).max(axis=(2, 3))
    return np.asarray(worst / np.where(size > 0, size, 1.0))


def _resultant(forces: Array, arms: Array) -> Array:
    """(V,C,...,6) about the point the arms (V,n,3) start from, of forces (V,C,n,3)."""
    both = arms[:, None].swapaxes(-1, -2) @ forces  # Σ r Fᵀ: the moment is what is not symmetric in it
    moment = np.stack([both[..., i, j] - both[..., j, i] for i, j in ((1, 2), (2, 0), (0, 1))], axis=-1)
    return np.concatenate([forces.sum(axis=2), moment], axis=-1)
