"""Equilibrium on the deformed frame: what the forces do by the displacements they cause.

Each case is solved with its loaded stiffness at λ = 1 (`tangent`), so that axial forces act at the sway of the members'
ends (P-Δ) and, exactly, at their bow (P-δ); fixed-end moments of the members' own load and the moments along
them are those of `beam_column`. The axial forces and the acting ties and pads come from the answer itself: repeat
until neither changes. Elements come back in as freely as they leave. A case that its load buckles has no such
answer, and says so. Turns stay small here; what turns far is for `settle`.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np

from rackwright.strength.frame.beam import Geometry, held_ends, local_to_nodes, uniform_load
from rackwright.strength.frame.beam_column import bent_ends, moments_along, stiffness_under
from rackwright.strength.frame.buckling import states_of
from rackwright.strength.frame.inside import internal_forces
from rackwright.strength.frame.model import Array, Frame, Ints, pile
from rackwright.strength.frame.ready import Loads, along_members, initial_tension
from rackwright.strength.frame.settle import Settled
from rackwright.strength.frame.solve import Response
from rackwright.strength.frame.tangent import State, Tangent, axial_of, solved

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


def second_order(of: Response | Settled, pairs: Collection[tuple[int, int]] | None = None) -> SecondOrder:
    """Second-order answers of all cases that have a first-order one, or of the (variant, case) that `pairs` names.

    Of a case that was followed, about where it stands. A member with a mass within its span is to be split there first.
    Raises ValueError where that was not done.
    """
    response = of if isinstance(of, Response) else of.response
    frame = response.frame
    if len(frame.member_masses):
        raise ValueError("a member carries a mass within its span: split it there")
    ready = _ready(response)
    there = {} if isinstance(of, Response) or of.moved is None else dict(of.pairs)
    followed = _ready(of.moved) if there and isinstance(of, Settled) and of.moved is not None else ready
    u, ends = np.full_like(response.displacement, np.nan), np.full_like(response.end_force, np.nan)
    pull = np.full((*u.shape[:2], frame.one_sided), np.nan)
    passes: Ints = np.zeros(u.shape[:2], dtype=np.int64)
    why = [list(row) for row in response.loose]
    for v, c in np.ndindex(*passes.shape):
        if why[v][c] is None and (pairs is None or (v, c) in pairs):
            found = _one(followed, there[v, c], 0) if (v, c) in there else _one(ready, v, c)
            if isinstance(found, str):
                why[v][c] = found
            else:
                u[v, c], ends[v, c], pull[v, c], passes[v, c] = found
    ties = len(frame.ties)
    return SecondOrder(response, u, ends, pull[..., :ties], pull[..., ties:], passes, tuple(map(tuple, why)))


@dataclass(frozen=True, eq=False)
class _Ready:
    """What the cases of a response need."""

    response: Response
    tangent: Tangent
    loads: Loads
    states: dict[tuple[int, int], State]


def _ready(response: Response) -> _Ready:
    model = response.model
    return _Ready(response, Tangent.of(model), response.loads, states_of(response, model))


def _one(ready: _Ready, v: int, c: int) -> tuple[Array, Array, Array, int] | str:
    """Displacements, end forces, pulls and passes of one case, or why it has none."""
    tangent, loads, first, response = ready.tangent, ready.loads, ready.states[v, c], ready.response
    model, frame, cases = tangent.model, tangent.one(v), response.cases
    geo, layout = model.geo.one(v), tangent.layout
    B, k, T0 = model.one_sided.rows(layout, v), model.one_sided.k[v], model.one_sided.T0[v]
    a = cases.thrown(response.frame.variants)[v, c : c + 1]
    outer = np.einsum("dnf,d->nf", loads.unit[v], a[0]) + (0.0 if cases.nodal is None else cases.nodal[c])
    first_held = loads.held[v] @ a[0]
    own = _on_nodes(frame, geo, first_held)
    tension = initial_tension(response.frame, cases)
    start = np.zeros_like(first_held) if tension is None else along_members(tension[v, c])
    axial, at_ends, pull = first.axial, first.ends, first.pull
    acts = pull > 0
    for number in range(1, PASSES + 1):
        state = State(axial, at_ends, np.where(acts, pull, 0.0), a[0])
        stiff = stiffness_under(frame.members, geo.length, axial[None, None])
        held = _held(frame, geo, stiff, axial, a[0]) + start
        f = layout.gather(outer + own - _on_nodes(frame, geo, held))
        _, lower = tangent.under(state, v, acts).stands(1.0)
        if lower is None:
            return "its load buckles it: no second-order equilibrium"
        u = solved(lower, f - B[acts].T @ T0[acts])
        moved = layout.scatter(u)
        tension = T0 + k * (B @ u)
        flat = moved[frame.members.ends].reshape(-1, 12)
        basic = stiff[0, 0] @ (geo.reach[0] @ flat[..., None])
        local = (geo.chord[0].swapaxes(-1, -2) @ basic)[..., 0] + held
        sway = (tangent.sway[v] @ flat[..., None])[..., 0] * (axial / geo.length[0])[:, None]
        local[:, 1:3] -= sway
        local[:, 7:9] += sway
        now, was = axial_of(local), axial
        again = tension > 0
        same = bool((again == acts).all())
        axial, acts, pull = now, again, np.where(again, tension, 0.0)
        at_ends = local.reshape(-1, 4, 3)[:, 0::2] @ geo.turn[0]
        if same and np.abs(now - was).max(initial=0.0) <= SETTLED * np.abs(now).max(initial=0.0):
            return moved, local, pull, number
    return "its axial forces, ties and pads do not settle in second order"


def _held(frame: Frame, geo: Geometry, stiff: Array, axial: Array, inertia: Array) -> Array:
    """End forces (M,12) of the members held under their own uniform load, bent by their axial forces."""
    span = uniform_load(frame, geo)
    span = replace(span, d0=bent_ends(frame.members, geo.length, axial[None, None])[:, 0])
    one = held_ends(geo.chord, stiff[:, 0], span) @ (
        (frame.members.rho * frame.members.A)[..., None, None] * geo.turn
    )
    return np.asarray(one[0] @ inertia)


def _on_nodes(frame: Frame, geo: Geometry, local: Array) -> Array:
    """(N,6) of local end forces (M,12)."""
    out = np.zeros((1, frame.nodes, 6))
    pile(out, frame.members.ends, local_to_nodes(frame, geo, local[None], slice(None)))
    return np.asarray(out[0])
