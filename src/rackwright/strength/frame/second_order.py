"""Equilibrium on the deformed frame: what the forces do by the displacements they cause.

Each case is solved with its loaded stiffness at λ = 1 (`tangent`), so that axial forces act at the sway of the members'
ends (P-Δ) and, exactly, at their bow (P-δ); fixed-end moments of the members' own load and the moments along
them are those of `beam_column`. The axial forces and the acting ties and pads come from the answer itself: repeat
until neither changes. Elements come back in as freely as they leave. A case that its load buckles has no such
answer, and says so. Turns stay small here; what turns far is for `settle`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rackwright.strength.frame.beam import Geometry, held_ends, local_to_nodes, uniform_load
from rackwright.strength.frame.beam_column import bent_ends, moments_along, stiffness_under
from rackwright.strength.frame.inside import internal_forces
from rackwright.strength.frame.model import Array, Frame, Ints, of_variants, pile
from rackwright.strength.frame.ready import initial_ends, moved_loads, moved_shares
from rackwright.strength.frame.settle import Settled
from rackwright.strength.frame.solve import Response
from rackwright.strength.frame.standing import Group, Standing, standing
from rackwright.strength.frame.tangent import axial_of, solved

__all__ = ["SecondOrder", "second_order"]

PASSES = 40
SETTLED = 1e-8  # of the largest axial force


@dataclass(frozen=True, eq=False)
class SecondOrder:
    """Displacements and forces as in `Response`; NaN where `why` says there is no answer, or none was asked for."""

    response: Response  # the first-order one it started from
    displacement: Array  # (V,C,N,6)
    end_force: Array  # (V,C,M,12), in the members' axes before they move
    tie_force: Array  # (V,C,T)
    pad_force: Array  # (V,C,Q)
    passes: Ints  # (V,C)
    why: tuple[tuple[str | None, ...], ...]

    def internal_forces(self, stations: Array) -> Array:
        """As `inside.internal_forces`, the moments with the bow of each member: (V,C,M,s,6)."""
        frame, cases = self.response.frame, self.response.cases
        model = self.response.model
        found = internal_forces(replace(self.response, end_force=self.end_force), stations)
        load = (frame.members.rho * frame.members.A)[..., None, None] * model.geo.turn
        line = np.einsum("vmij,vcj->vcmi", load, cases.thrown(frame.variants))
        axial = np.where(frame.members.straight, 0.0, axial_of(self.end_force))
        found[..., 4], found[..., 5] = moments_along(
            frame.members, model.geo.length, axial, self.end_force, line, stations
        )
        return found


def second_order(of: Response | Settled | Standing) -> SecondOrder:
    """Second-order answers of all cases that have a first-order one.

    Of a case that was followed, about where it stands. A member with a mass within its span is to be split there first.
    Raises ValueError where that was not done.
    """
    stands = of if isinstance(of, Standing) else standing(of)
    response = stands.response
    frame = response.frame
    if len(frame.member_masses):
        raise ValueError("a member carries a mass within its span: split it there")
    u, ends = np.full_like(response.displacement, np.nan), np.full_like(response.end_force, np.nan)
    pull = np.full((*u.shape[:2], frame.one_sided), np.nan)
    passes: Ints = np.zeros(u.shape[:2], dtype=np.int64)
    why = [list(row) for row in response.loose]
    for group in stands.groups:
        for part in group.portions(np.arange(len(group.pairs))):
            v, c = group.pairs[part].T
            u[v, c], ends[v, c], pull[v, c], passes[v, c], said = _answers(group, part)
            for n, no in said.items():
                why[v[n]][c[n]] = no
    ties = len(frame.ties)
    return SecondOrder(response, u, ends, pull[..., :ties], pull[..., ties:], passes, tuple(map(tuple, why)))


def _answers(group: Group, part: Ints) -> tuple[Array, Array, Array, Ints, dict[int, str]]:
    """Displacements, end forces, pulls and passes of some cases of a group, NaN of those that have none; and why."""
    tangent, response, first = group.tangent, group.response, group.state.part(part)
    model, cases, layout = response.model, response.cases, tangent.layout
    frame, geo = model.frame.take(first.v), model.geo.take(first.v)
    pulls, loads = model.one_sided.take(first.v), response.loads.take(first.v)
    outer = np.einsum("pdnf,pd->pnf", loads.unit, first.inertia)
    if cases.nodal is not None:
        outer = outer + cases.nodal[group.case[part]]
    if first.moved is not None:
        shares = moved_shares(response.frame, first.v, first.moved, first.inertia[:, None])
        outer += moved_loads(response.frame, first.v, *shares)[:, 0]
    first_held = (loads.held @ first.inertia[:, None, :, None])[..., 0]
    outer += _on_nodes(frame, geo, first_held)
    initial = initial_ends(model, cases)
    start = np.zeros_like(first_held) if initial is None else initial[first.v, group.case[part]]
    u = np.full((len(part), frame.nodes, 6), np.nan)
    ends, pull = np.full_like(first_held, np.nan), np.full_like(first.pull, np.nan)
    passes, why = np.zeros(len(part), dtype=np.int64), {}
    left, state, acts = np.arange(len(part)), first, first.pull > 0
    for number in range(1, PASSES + 1):
        here, shape, own = frame.take(left), geo.take(left), pulls.take(left)
        axial = state.axial
        stiff = stiffness_under(here.members, shape.length, axial[:, None])[:, 0]
        held = _held(here, shape, stiff, axial, state.inertia) + start[left]
        slack = own.on_nodes(np.where(acts, own.T0, 0.0)[:, None], here.nodes)[:, 0]
        f = layout.gather(outer[left] + slack - _on_nodes(here, shape, held))
        _, lowers = tangent.under(state, acts).stands(1.0)
        for n, lower in enumerate(lowers):
            if lower is None:
                why[int(left[n])] = "its load buckles it: no second-order equilibrium"
        up = np.array([lower is not None for lower in lowers])
        moved = layout.scatter(
            np.array([0 * load if lower is None else solved(lower, load)
                      for lower, load in zip(lowers, f, strict=True)]).reshape(f.shape)
        )  # fmt: skip
        tension = own.T0 + own.k * np.einsum("puef,puef->pu", own.coef, moved[:, own.node])
        flat = moved[:, here.members.ends].reshape(*axial.shape, 12, 1)
        basic = stiff @ (shape.reach @ flat)
        local = (shape.chord.swapaxes(-1, -2) @ basic)[..., 0] + held
        sway = (of_variants(tangent.sway, state.v) @ flat)[..., 0] * (axial / shape.length)[..., None]
        local[..., 1:3] -= sway
        local[..., 7:9] += sway
        now, again = axial_of(local), tension > 0
        off = np.abs(now - axial).max(axis=1, initial=0.0) / np.abs(now).max(axis=1, initial=1e-300)
        done = up & (again == acts).all(axis=1) & (off <= SETTLED)
        at, pulled = left[done], np.where(again, tension, 0.0)
        u[at], ends[at], pull[at], passes[at] = moved[done], local[done], pulled[done], number
        on = np.flatnonzero(up & ~done)
        if not len(on):
            return u, ends, pull, passes, why
        by_nodes = local.reshape(*axial.shape, 4, 3)[..., 0::2, :] @ shape.turn
        state = replace(state, axial=now, ends=by_nodes, pull=pulled).part(on)
        left, acts = left[on], again[on]
    return (
        u,
        ends,
        pull,
        passes,
        why | dict.fromkeys(left.tolist(), "its axial forces, ties and pads do not settle in second order"),
    )


def _held(frame: Frame, geo: Geometry, stiff: Array, axial: Array, inertia: Array) -> Array:
    """End forces (V,M,12) of the members held under their own uniform load, bent by their axial forces (V,M)."""
    span = uniform_load(frame, geo)
    span = replace(span, d0=bent_ends(frame.members, geo.length, axial[:, None])[:, 0])
    unit = held_ends(geo.chord, stiff, span) @ (
        (frame.members.rho * frame.members.A)[..., None, None] * geo.turn
    )
    return np.asarray((unit @ inertia[:, None, :, None])[..., 0])


def _on_nodes(frame: Frame, geo: Geometry, local: Array) -> Array:
    """(V,N,6) of local end forces (V,M,12)."""
    out = np.zeros((len(local), frame.nodes, 6))
    pile(out, frame.members.ends, local_to_nodes(frame, geo, local, slice(None)))
    return out
