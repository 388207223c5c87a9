"""Frames that straps hold, followed to where they really come to rest.

A rack on straps and pads sways by inches in a crash case: its straps then pull another way than they were drawn, its
pads press elsewhere, and the answer of small displacements is that of another rack. `afloat` finds the place of every
case; here the frame's flexibility is brought to its ties and pads (G = S A Sᵀ, with A of `band`), and what they do at
that place is put on the frame in its own axes, where balance is proven as for every other answer.

Small stays only what the frame itself deforms; what its compression adds to its moments is for `second_order`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from rackwright.strength.frame.afloat import Afloat, Pulls, Rest, rotation_vector
from rackwright.strength.frame.beam import local_to_nodes
from rackwright.strength.frame.carry import crossed
from rackwright.strength.frame.curve import Curve
from rackwright.strength.frame.loose import Factor
from rackwright.strength.frame.model import Array, Cases, Frame, Ints, pile
from rackwright.strength.frame.ready import Loads, Model, OneSided, initial_ends, moved_loads, moved_shares
from rackwright.strength.frame.solve import Response, respond

__all__ = ["Settled", "as_drawn", "settle"]

ANSWERS = ("displacement", "reaction", "spring_force", "tie_force", "pad_force", "end_force", "carrier_force",
           "carrier_moment", "residual")  # fmt: skip


@dataclass(frozen=True, eq=False)
class Settled:
    """Where every case came to rest, and the answer there: values of `response` in the frame's own axes.

    `response.cases.inertia` is (V,C,3): loads as the turned frame sees them. `moved` holds the pairs (v, c) that
    were followed as variants of one case each, their ties and pads as they pull there. Cases that were not followed
    stand as drawn.
    """

    response: Response
    turn: Array  # (V,C,3,3) from the frame's axes to those in which it was drawn
    travel: Array  # (V,C,N,6) of nodes from where they were drawn: displacement and rotation vector, axes as drawn
    eye: Array  # (V,C,T,3) first end of each tie, m, frame's axes
    way: Array  # (V,C,T,3) unit vector from there to its second end
    push: Array  # (V,C,Q,3) direction in which each pad pushes
    pad: Array  # (V,C,Q,3) where it does, m, frame's axes
    shift: Array  # (V,C,3) m: what lies at x in the frame's axes lies at turn x + shift
    swing: Array  # (V,C,T) rad by which a tie has turned, axes as drawn
    stretch: Array  # (V,C,T) m by which a tie is longer than without tension; 0 where slack
    steps: Ints  # (V,C) of the search; 0: not followed
    moved: Response | None
    pairs: Mapping[tuple[int, int], int]  # (v, c) -> variant of `moved`

    @property
    def way_drawn(self) -> Array:
        """(V,C,T,3) as `way`, in axes as drawn: those of the aircraft, in which fittings stand."""
        return np.asarray(np.einsum("vcij,vctj->vcti", self.turn, self.way))

    def places(self, at: Array) -> Array:
        """(V,C,...,3) where places (V,C,...,3) of the frame's axes lie, axes as drawn."""
        shift = self.shift.reshape(*self.shift.shape[:2], *(1,) * (at.ndim - 3), 3)
        return np.asarray(np.einsum("vcij,vc...j->vc...i", self.turn, at) + shift)


def settle(response: Response, curves: Mapping[int, Curve] | None = None) -> Settled:
    """Follow every case of a frame with ties that has an equilibrium at small displacements.

    `curves`: load-stretch curves of ties, by number; another tie is straight, T = T0 + k e. A case that finds no
    place to rest, or pulls a tie beyond its curve, is loose and says so. Raises ValueError on forces on nodes, and pads
    that turn, which a rack does not have.
    """
    frame, cases = response.frame, response.cases
    drawn = as_drawn(response)
    stands = np.array([[why is None for why in row] for row in response.loose]).reshape(
        response.residual.shape
    )
    if not len(frame.ties) or not stands.any():
        return drawn
    if cases.nodal is not None or frame.pads.push[..., 3:].any():
        raise ValueError("forces on nodes, and pads that turn are not followed")
    model, loads = response.model, response.loads
    todo = np.argwhere(stands)
    by_stiffness = [todo[np.isin(todo[:, 0], equal)] for equal in model.equal(_points(frame)[1])]
    groups = [_Found.of(model, loads, pairs, cases, curves or {}) for pairs in by_stiffness if len(pairs)]
    return _put_in(drawn, model, loads, _together(groups))


def as_drawn(response: Response) -> Settled:
    """Every case as solved, for what is asked of small displacements alone."""
    frame, shape = response.frame, response.residual.shape
    ties = OneSided.of(frame).coef[:, : len(frame.ties), 0, :3]  # the way back
    eye = frame.xyz[:, frame.ties.node[:, 0]] + frame.ties.offset[:, :, 0]
    pull = response.tie_force

    def each(values: Array) -> Array:
        return np.repeat(values[:, None], shape[1], axis=1)

    return Settled(
        response, np.broadcast_to(np.eye(3), (*shape, 3, 3)).copy(), response.displacement.copy(), each(eye),
        each(-ties), each(frame.pads.push[..., :3]),
        each(frame.xyz[:, frame.pads.node] + frame.pads.offset), np.zeros((*shape, 3)), np.zeros_like(pull),
        np.where(pull > 0, pull / frame.ties.k[:, None], 0.0),
        np.zeros(shape, dtype=np.int64), None, {},
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class _Found:
    """Pairs (P,2) of variants and cases, brought to rest; those of one stiffness, or of all together."""

    pairs: Ints
    middle: Array  # (P,3)
    arm: Array  # (P,J,3) of each point from its node
    rest: Rest
    bent: Array  # (P,N,6) elastic displacements in the frame's axes
    why: tuple[str | None, ...]  # no answer

    @staticmethod
    def of(model: Model, loads: Loads, pairs: Ints, cases: Cases, curves: Mapping[int, Curve]) -> _Found:
        frame, layout, v = model.frame, model.layout, pairs[:, 0]
        body = _Elastic.of(model, int(v[0]))
        node, arm, second = _points(frame)
        rows = layout.gather(_units(frame.nodes, node, arm[v[0]]).reshape(-1, frame.nodes, 6))  # S (3J,rows)
        own, place = np.unique(v, return_inverse=True)
        on_nodes = loads.unit[own]
        if cases.moved is not None:  # every case has loads of its own
            own, place, each = v, np.arange(len(v)), np.broadcast_to(np.eye(3), (len(v), 3, 3))
            moved = cases.moved[v, pairs[:, 1]]
            on_nodes = loads.unit[v] + moved_loads(frame, v, *moved_shares(frame, v, moved, each))
        unit = layout.gather(on_nodes)  # (v,3,rows)
        middle, (mass, moment) = frame.xyz[v].mean(axis=1), _resultant(on_nodes, frame.xyz[own])
        thrown = cases.thrown(frame.variants)[v, pairs[:, 1]]
        t, p = frame.ties, frame.pads
        point = frame.xyz[v][:, node] + arm[v] - middle[:, None]
        ends = np.where((second < 0)[:, None], t.offset[v, :, 1] - middle[:, None], point[:, second])
        d0 = (body.under(unit) @ rows.T).reshape(len(own), 3, len(node), 3).transpose(0, 2, 3, 1)
        grown = _grown(model, pairs, cases)  # (P,rows), or nothing
        own_d = 0.0 if grown is None else (body.under(grown) @ rows.T).reshape(len(v), -1, 3)
        rest = Afloat(
            body.free, point, rows @ body.under(rows).T, d0[place], np.broadcast_to(own_d, point.shape), mass[place],
            moment[place], thrown, second, ends, np.linalg.norm(ends - point[:, : len(t)], axis=-1), t.k[v],
            t.T0[v], tuple(curves.get(n) for n in range(len(t))), p.push[v, :, :3], p.k[v], p.T0[v],
        ).rest()  # fmt: skip
        pulled, on_nodes = rest.pulls.force, np.zeros((len(v), frame.nodes, 6))
        turned = crossed(arm[v] + rest.d, pulled)  # where the points have bent to
        pile(on_nodes, node, np.concatenate([pulled, turned], axis=-1))
        f = layout.gather(on_nodes)
        f = f + np.einsum("pd,pdr->pr", np.einsum("pji,pj->pi", rest.turn, thrown), unit[place])
        f = f if grown is None else f + grown
        return _Found(pairs, middle, arm[v], rest, layout.scatter(body.under(f)), _reasons(rest, body.whole))


def _grown(model: Model, pairs: Ints, cases: Cases) -> Array | None:
    """Loads (P,rows) of members that do not fit between their nodes; they go with the frame as it turns."""
    start = initial_ends(model, cases)
    if start is None:
        return None
    v, c = pairs.T
    out = np.zeros((len(v), model.frame.nodes, 6))
    ends = local_to_nodes(model.frame.take(v), model.geo.take(v), start[v, c], slice(None))
    pile(out, model.frame.members.ends, -ends)
    return model.layout.gather(out)


def _reasons(rest: Rest, whole: bool) -> tuple[str | None, ...]:
    """Why a pair has no answer."""

    def why(n: int) -> str | None:
        if not whole:
            return "a mechanism hangs on its ties, and how it turns is not followed"
        if not rest.found[n]:
            return "no place to rest is found: its ties do not catch it"
        tie = int(rest.beyond[n])
        return None if tie < 0 else f"tie {tie + 1} is pulled beyond the last point of its maker's curve"

    return tuple(why(n) for n in range(len(rest.found)))


def _together(groups: list[_Found]) -> _Found:
    """All groups as one."""
    rests = [one.rest for one in groups]
    pulls = Pulls(*(np.concatenate(parts) for parts in zip(*(rest.pulls for rest in rests), strict=True)))
    values: dict[str, Any] = {
        f.name: np.concatenate([getattr(rest, f.name) for rest in rests])
        for f in fields(Rest)
        if f.name != "pulls"
    }
    joined: dict[str, Any] = {
        name: np.concatenate([getattr(one, name) for one in groups])
        for name in ("pairs", "middle", "arm", "bent")
    }
    why = tuple(why for one in groups for why in one.why)
    return _Found(rest=Rest(pulls=pulls, **values), why=why, **joined)


def _points(frame: Frame) -> tuple[Ints, Array, Ints]:
    """Nodes (J,) and arms (V,J,3) of the points of ties and pads, and each tie's second point (T,), -1 for ground."""
    t, p = frame.ties, frame.pads
    on_body = np.flatnonzero(t.node[:, 1] >= 0)
    second = np.full(len(t), -1)
    second[on_body] = len(t) + np.arange(len(on_body))
    node = np.concatenate([t.node[:, 0], t.node[on_body, 1], p.node])
    return node, np.concatenate([t.offset[:, :, 0], t.offset[:, on_body, 1], p.offset], axis=1), second


def _units(nodes: int, node: Ints, arm: Array) -> Array:
    """(...,J,3,N,6): unit forces along x, y, z at points on arms (...,J,3), brought to their nodes."""
    out = np.zeros((*arm.shape[:-1], 3, nodes, 6))
    each = np.arange(len(node))
    for axis, way in enumerate(np.eye(3)):
        out[..., each, axis, node, axis] = 1.0
        out[..., each, axis, node, 3:] = crossed(arm, way)
    return out


@dataclass(frozen=True, eq=False)
class _Elastic:
    """What a frame's own deformation is under loads, in axes that go with it: those in which its nodes shift and turn
    least. A load that the frame cannot balance is spread over its nodes first, as if each had the same mass."""

    free: bool
    whole: bool  # nothing else moves freely
    soft: Factor
    rigid: Array  # (rows,6) motions of the whole; none where it is held
    spread: Array  # (rows,6) loads over the nodes with unit resultants: spreadᵀ rigid = 1

    @staticmethod
    def of(model: Model, v: int) -> _Elastic:
        frame, factor = model.frame, model.factor(v)
        free = not frame.fixed.any() and not len(frame.springs)
        n = factor.loose
        soft = replace(factor, W=factor.W[:, n:], R=factor.R[n:, n:])
        motion = np.zeros((6 if free else 0, frame.nodes, 6))
        if free:
            arms = frame.xyz[v] - frame.xyz[v].mean(axis=0)
            motion[range(6), :, range(6)] = 1.0
            motion[3:, :, :3] = crossed(np.eye(3)[:, None], arms)
        size = float(np.linalg.norm(np.ptp(frame.xyz[v], axis=0))) or 1.0
        rigid = model.layout.gather(motion).T
        heavy = model.layout.gather(motion * ([1.0] * 3 + [1e-3 * size**2] * 3)).T
        spread = np.asarray(np.linalg.solve(rigid.T @ heavy, heavy.T).T) if free else heavy
        return _Elastic(free, n == len(motion), soft, rigid, spread)

    def under(self, loads: Array) -> Array:
        """Displacements (...,rows) under loads (...,rows)."""
        balanced = loads - (loads @ self.rigid) @ self.spread.T
        bent = self.soft.solve(balanced.reshape(-1, loads.shape[-1]).T).T.reshape(loads.shape)
        return np.asarray(bent - (bent @ self.spread) @ self.rigid.T)


def _resultant(unit: Array, xyz: Array) -> tuple[Array, Array]:
    """Mass (V,), and mass times the place of its centre from the middle of the nodes (V,3), of unit loads (V,3,N,6)."""
    arms = xyz - xyz.mean(axis=1, keepdims=True)
    moment = (unit[..., 3:] + crossed(arms[:, None], unit[..., :3])).sum(axis=2)  # (V,3,3): M × unit vectors
    x, y, z = moment[:, 0], moment[:, 1], moment[:, 2]
    centre = np.stack([(y[:, 2] - z[:, 1]) / 2, (z[:, 0] - x[:, 2]) / 2, (x[:, 1] - y[:, 0]) / 2], axis=-1)
    return unit[:, 0, :, 0].sum(axis=-1), centre


# --- back to forces -------------------------------------------------------------------------------------


def _put_in(drawn: Settled, model: Model, loads: Loads, found: _Found) -> Settled:
    """The answers at the places found, proven there, in their places among all cases."""
    response, frame, rest = drawn.response, model.frame, found.rest
    v, c = found.pairs.T
    thrown = np.einsum("pji,pj->pi", rest.turn, response.cases.thrown(frame.variants)[v, c])
    here = _warmed(_where(frame, found), response.cases, c)
    there = Model(here, model.geo.take(v), model.layout, OneSided.of(here))
    pull = np.maximum(np.concatenate([rest.pulls.tie, rest.pulls.pad], axis=1), 0.0)
    bent = found.bent[:, None]
    off = None if response.cases.moved is None else response.cases.moved[v, c][:, None]
    moved = respond(there, loads.take(v), Cases(thrown[:, None], moved=off), bent, bent, pull[:, None],
                    tuple((why,) for why in found.why))  # fmt: skip
    good = np.array([why is None for why in found.why])

    def put(into: Array, values: Array) -> Array:
        out = np.array(into)
        out[v, c] = np.where(good.reshape(-1, *[1] * (values.ndim - 1)), values, np.nan)
        return out

    loose = [list(row) for row in response.loose]
    for (one, case), why in zip(found.pairs, found.why, strict=True):
        loose[one][case] = why
    inertia, steps = np.array(response.cases.thrown(frame.variants)), drawn.steps.copy()
    inertia[v, c], steps[v, c] = thrown, rest.steps
    answers: dict[str, Any] = {
        name: put(getattr(response, name), getattr(moved, name)[:, 0]) for name in ANSWERS
    }
    whole = replace(
        response, cases=replace(response.cases, inertia=inertia), loose=tuple(map(tuple, loose)), **answers
    )
    shift = rest.shift + found.middle - np.einsum("pij,pj->pi", rest.turn, found.middle)
    points = frame.xyz[v][:, _points(frame)[0]] + found.arm + rest.d
    swing = _angle(drawn.way[v, c], np.einsum("pij,ptj->pti", rest.turn, rest.pulls.way))
    return replace(
        drawn, response=whole, turn=put(drawn.turn, rest.turn), travel=put(drawn.travel, _travel(frame.xyz[v], found)),
        eye=put(drawn.eye, points[:, : len(frame.ties)]), way=put(drawn.way, rest.pulls.way),
        push=put(drawn.push, rest.pulls.push), pad=put(drawn.pad, points[:, points.shape[1] - len(frame.pads) :]),
        shift=put(drawn.shift, shift), swing=put(drawn.swing, swing),
        stretch=put(drawn.stretch, rest.stretch), steps=steps, moved=moved,
        pairs={(a, b): n for n, (a, b) in enumerate(found.pairs.tolist()) if good[n]},
    )  # fmt: skip


def _warmed(here: Frame, cases: Cases, c: Ints) -> Frame:
    """The frame of each pair, grown by what its case warms it."""
    if cases.warming is None:
        return here
    m = here.members
    return replace(here, members=replace(m, growth=m.growth + m.alpha * cases.warming[c]))


def _travel(xyz: Array, found: _Found) -> Array:
    """(P,N,6) of nodes at xyz (P,N,3)."""
    turn, middle = found.rest.turn, found.middle[:, None]
    place = np.einsum("pij,pnj->pni", turn, xyz - middle + found.bent[..., :3])
    turned = rotation_vector(turn)[:, None] + np.einsum("pij,pnj->pni", turn, found.bent[..., 3:])
    return np.concatenate([place + middle + found.rest.shift[:, None] - xyz, turned], axis=-1)


def _angle(a: Array, b: Array) -> Array:
    """Between unit vectors (...,3)."""
    return np.asarray(np.arctan2(np.linalg.norm(crossed(a, b), axis=-1), (a * b).sum(axis=-1)))


def _where(frame: Frame, found: _Found) -> Frame:
    """The frame in its own axes, once for each pair: ground points and floor as they lie about it, its ties from the
    points where the frame has bent to. Their T0 is such that they pull as they do with the frame so bent."""
    rest, at = found.rest, frame.take(found.pairs[:, 0])
    t, p, arm = at.ties, at.pads, found.arm + rest.d
    on_body = np.flatnonzero(t.node[:, 1] >= 0)
    away = t.offset[:, :, 1] - (found.middle + rest.shift)[:, None]
    offset = np.stack(
        [arm[:, : len(t)], np.einsum("pji,ptj->pti", rest.turn, away) + found.middle[:, None]], axis=2
    )
    offset[:, on_body, 1] = arm[:, len(t) : len(t) + len(on_body)]
    push = np.concatenate([rest.pulls.push, np.zeros_like(rest.pulls.push)], axis=-1)
    t = replace(t, offset=offset, k=rest.pulls.tie_slope)
    p = replace(p, push=push, offset=arm[:, len(arm[0]) - len(p) :])
    pulls = OneSided.of(replace(at, ties=t, pads=p))
    given = pulls.k * np.einsum("puef,puef->pu", pulls.coef, found.bent[:, pulls.node])
    T0 = np.concatenate([rest.pulls.tie, rest.pulls.pad], axis=1) - given
    return replace(at, ties=replace(t, T0=T0[:, : len(t)]), pads=replace(p, T0=T0[:, len(t) :]))
