"""An elastic body on ties and pads, and the place where it comes to rest.

A frame reaches its ties and pads by a few points alone. In axes that go with it they move by d = d₀ + G F under the
forces F on them; as a whole it turns by R and shifts by s (a floating frame of reference: Shabana, Dynamics of
Multibody Systems, ch. 5). With G = Ψ Ψᵀ and d = d₀ + Ψ e its place is where the energy
    Π(R, s, e) = ½ e·e + Σ ∫ T dl + Σ ½ k depth² - work of the loads,     points at R (X + d) + s,
is least near the start. Newton's steps with the exact second derivatives find it: where Π is not convex its rigid
part is made so (by the absolute values of its six eigenvalues), no step is longer than `STRIDE`, and each is halved
until Π falls, which rules out going to and fro between sets of acting ties and pads (Nocedal & Wright, Numerical
Optimization, ch. 3). Loads and the floor keep their directions; masses act at their places in the unbent body.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from rackwright.strength.frame.carry import cross, crossed, turning
from rackwright.strength.frame.curve import Curve
from rackwright.strength.frame.model import Array, Bools, Ints

__all__ = ["Afloat", "Pulls", "Rest", "rotation", "rotation_vector"]

STEPS = 100
STRIDE = 0.2  # rad, and of the body's size: it moves no further in one step
BALANCED = 1e-11  # of the applied load
FEEBLE = 1e-13  # of the largest: a flexibility below this is none


class Pulls(NamedTuple):
    """Forces at a place: of ties (P,T) and pads (P,Q) as if they acted both ways, with what hangs on them."""

    tie: Array
    pad: Array
    tie_slope: Array
    way: Array  # (P,T,3) from a tie's first end to its second
    length: Array  # (P,T)
    push: Array  # (P,Q,3)
    force: Array  # (P,J,3) on the body at its points, of what acts
    energy: Array  # (P,)


class _Second(NamedTuple):
    """Second derivatives of the energy of P bodies, in a shift and a turn, and in e."""

    outer: Array  # (P,6,6)
    mixed: Array  # (P,6,r)
    inner: Array  # (P,r,r)


class _Place(NamedTuple):
    """Where P bodies lie, in a search for rest: turn, shift, e, and what follows from them."""

    turn: Array
    shift: Array
    e: Array
    sag: Array  # (P,J,3) d₀
    at: Array  # (P,J,3) points
    a: Array  # (P,3) inertia in the bodies' axes
    pulls: Pulls
    slope: Array  # (P,6+r) of the energy
    total: Array  # (P,) N of all loads and pulls
    balanced: Bools

    def part(self, some: Bools) -> _Place:
        """Of some of the bodies."""
        pulls = Pulls(*(values[some] for values in self.pulls))
        parts: dict[str, Any] = {
            name: values[some] for name, values in self._asdict().items() if name != "pulls"
        }
        return _Place(pulls=pulls, **parts)


@dataclass(frozen=True, eq=False)
class Rest:
    """Where P bodies rest: turn (P,3,3), shift (P,3) of their middle, d (P,J,3), and what pulls there.

    `found` is false where no place was found; `beyond` (P,) names a tie pulled beyond its curve, or is -1.
    """

    turn: Array
    shift: Array
    d: Array
    pulls: Pulls
    stretch: Array  # (P,T) m by which a tie is longer than without tension; 0 where slack
    steps: Ints
    found: Bools
    beyond: Ints


@dataclass(frozen=True, eq=False)
class Afloat:
    """P bodies of one flexibility: J points, first ends of T ties, then second ends that are on the body, then Q pads.

    Lengths in axes of the body with its middle as origin; m, N, N/kg.
    """

    free: bool  # it moves as a whole; else it is held to the ground
    point: Array  # (P,J,3)
    G: Array  # (3J,3J) m/N
    d0: Array  # (P,J,3,3) by which points move, per N/kg along x, y, z
    own: Array  # (P,J,3) by which they move as the body's own members grow
    mass: Array  # (P,)
    moment: Array  # (P,3) mass times place of its centre of gravity
    inertia: Array  # (P,3) N/kg, axes of the ground
    second: Ints  # (T,) the point of each tie's second end, or -1: ground
    ground: Array  # (P,T,3) place of second ends on the ground
    length: Array  # (P,T) as drawn, where a tie pulls by T0
    k: Array  # (P,T)
    T0: Array  # (P,T)
    curves: tuple[Curve | None, ...]  # (T,)
    push: Array  # (P,Q,3) axes of the ground
    pad_k: Array  # (P,Q)
    pad_T0: Array  # (P,Q)

    @property
    def ties(self) -> int:
        return len(self.second)

    @property
    def size(self) -> float:
        """The farthest point's farthest coordinate, m."""
        return float(np.abs(self.point).max()) or 1.0

    def part(self, some: Ints | Bools) -> Afloat:
        """Some of the bodies."""
        per = (
            "point",
            "d0",
            "own",
            "mass",
            "moment",
            "inertia",
            "ground",
            "length",
            "k",
            "T0",
            "push",
            "pad_k",
            "pad_T0",
        )
        values = {name: getattr(self, name)[some] for name in per}
        return Afloat(self.free, G=self.G, second=self.second, curves=self.curves, **values)

    def rest(self) -> Rest:
        """Where each comes to rest from the place it was drawn at."""
        many = len(self.mass)
        modes = _modes(self.G)
        turn, shift = np.repeat(np.eye(3)[None], many, axis=0), np.zeros((many, 3))
        e, steps, found = (
            np.zeros((many, modes.shape[1])),
            np.zeros(many, dtype=np.int64),
            np.zeros(many, dtype=bool),
        )
        left, part = np.arange(many), self
        for _ in range(STEPS):
            steps[left] += 1
            place = part._place(modes, turn[left], shift[left], e[left])
            waits = ~place.balanced
            found[left[~waits]] = True
            if not waits.any():
                break
            if not waits.all():
                left, part, place = left[waits], part.part(waits), place.part(waits)
            turn[left], shift[left], e[left] = part._step(modes, place)
        d = self._sag(turn) + self._of(modes, e)
        pulls = self._pulls(turn, shift, d)
        stretch, beyond = pulls.tie / self.k, np.full(many, -1)
        for t, curve in enumerate(self.curves):
            if curve is not None:
                strain = self._strain(t, pulls.length[:, t])
                stretch[:, t] = strain * self.length[:, t]
                beyond[curve.beyond(strain)] = t
        return Rest(turn, shift, d, pulls, np.where(pulls.tie > 0, stretch, 0.0), steps, found, beyond)

    # --- one step --------------------------------------------------------------------------------------

    def _place(self, modes: Array, turn: Array, shift: Array, e: Array) -> _Place:
        """What the bodies are under where they lie."""
        sag = self._sag(turn)
        d = sag + self._of(modes, e)
        pulls = self._pulls(turn, shift, d)
        a = self._seen(turn)
        at, load = self.point + d, self.mass[:, None] * a
        slope = np.concatenate(
            [-(pulls.force.sum(axis=1) + load),
             -(crossed(at, pulls.force).sum(axis=1) + crossed(self.moment, a)),
             e - pulls.force.reshape(len(e), -1) @ modes], axis=1,
        )  # fmt: skip
        if not self.free:
            slope[:, :6] = 0.0
        total = np.linalg.norm(load, axis=1) + np.abs(pulls.force).sum(axis=(1, 2)) + 1e-300
        off = (
            np.maximum(np.abs(slope[:, :3]).max(axis=1), np.abs(slope[:, 3:6]).max(axis=1) / self.size)
            / total
        )
        bend = np.abs(self._of(modes, slope[:, 6:])).max(axis=(1, 2), initial=0.0) / self.size
        balanced = (off <= BALANCED) & (bend <= BALANCED)
        return _Place(turn, shift, e, sag, at, a, pulls, slope, total, balanced)

    def _step(self, modes: Array, place: _Place) -> tuple[Array, Array, Array]:
        """The next turn, shift and e."""
        turn, shift, e = np.array(place.turn), np.array(place.shift), np.array(place.e)
        step = _newton(self._second(modes, place.at, place.pulls, place.a), place.slope, self.size, self.free)
        stride = np.maximum(np.abs(step[:, :3]).max(axis=1) / self.size, np.abs(step[:, 3:6]).max(axis=1))
        by = np.minimum(1.0, STRIDE / np.maximum(stride, 1e-300))
        start = self._energy(place.pulls, turn, shift, e)
        fall = (place.slope * step).sum(axis=1)
        room = 1e-14 * (np.abs(start) + place.total * self.size)
        waits = np.arange(len(e))
        for _ in range(40):
            part = self if len(waits) == len(e) else self.part(waits)
            now = _moved(place.turn[waits], place.shift[waits], place.e[waits], by[waits, None] * step[waits])
            pulls = part._pulls(now[0], now[1], place.sag[waits] + self._of(modes, now[2]))
            enough = start[waits] + 1e-4 * by[waits] * fall[waits] + room[waits]
            good = part._energy(pulls, *now) <= enough
            for kept, values in zip((turn, shift, e), now, strict=True):
                kept[waits[good]] = values[good]
            waits = waits[~good]
            if not len(waits):
                break
            by[waits] /= 2
        return turn, shift, e

    def _second(self, modes: Array, at: Array, pulls: Pulls, a: Array) -> _Second:
        """Second derivatives of the energy."""
        many, points, ties = len(at), at.shape[1], self.ties
        r = modes.shape[1]
        acts = pulls.tie > 0
        along = pulls.way[..., :, None] * pulls.way[..., None, :]
        K = np.where(acts, pulls.tie_slope, 0.0)[..., None, None] * along
        K = K + np.where(acts, pulls.tie / pulls.length, 0.0)[..., None, None] * (np.eye(3) - along)
        pad = (
            np.where(pulls.pad > 0, self.pad_k, 0.0)[..., None, None]
            * pulls.push[..., :, None]
            * pulls.push[..., None, :]
        )
        stiff = np.concatenate([K, pad], axis=1)  # (P,T+Q,3,3) against the motion of first ends and pads
        each = np.r_[:ties, points - pulls.pad.shape[1] : points]
        moved = np.concatenate([np.broadcast_to(np.eye(3), (many, points, 3, 3)), -cross(at)], axis=-1)
        bent = modes.reshape(points, 3, r)
        on_body = np.flatnonzero(self.second >= 0)
        rigid, shape = moved[:, each], bent[each]
        rigid[:, on_body] -= moved[:, self.second[on_body]]  # a tie feels what its ends do apart
        shape[on_body] -= bent[self.second[on_body]]
        rows, flat = rigid.reshape(many, -1, 6), shape.reshape(-1, r)
        pulled = (stiff @ rigid).reshape(many, -1, 6)
        outer = rows.swapaxes(-1, -2) @ pulled
        outer[:, 3:, 3:] -= turning(pulls.force, at).sum(axis=1) + turning(a, self.moment)
        mixed = pulled.swapaxes(-1, -2) @ flat
        mixed[:, 3:] += cross(pulls.force).transpose(0, 2, 1, 3).reshape(many, 3, 3 * points) @ modes
        return _Second(outer, mixed, flat.T @ (stiff @ shape).reshape(many, -1, r) + np.eye(r))

    # --- at a place ------------------------------------------------------------------------------------

    def _of(self, modes: Array, e: Array) -> Array:
        """Ψ e (P,J,3)."""
        return np.asarray((e @ modes.T).reshape(len(e), -1, 3))

    def _sag(self, turn: Array) -> Array:
        """d₀ (P,J,3): under the loads, as the turned body sees them, and of its own growth."""
        return np.asarray(np.einsum("pjik,pk->pji", self.d0, self._seen(turn)) + self.own)

    def _seen(self, turn: Array) -> Array:
        """Inertia (P,3) in the body's axes."""
        return np.asarray(np.einsum("pji,pj->pi", turn, self.inertia))

    def _strain(self, t: int, length: Array) -> Array:
        """Strain of tie t, of a length (P,)."""
        curve = self.curves[t]
        assert curve is not None
        return np.asarray((length - self.length[:, t]) / self.length[:, t] + curve.strained(self.T0[:, t]))

    def _pulls(self, turn: Array, shift: Array, d: Array) -> Pulls:
        at = self.point + d
        ties, pads = self.ties, self.push.shape[1]
        end = np.einsum("pji,ptj->pti", turn, self.ground - shift[:, None])
        on_body = self.second >= 0
        end[:, on_body] = at[:, self.second[on_body]]
        away = end - at[:, :ties]
        length = np.linalg.norm(away, axis=-1)
        way = away / np.maximum(length, 1e-300)[..., None]
        longer = length - self.length
        tie, slope = self.T0 + self.k * longer, np.array(self.k)
        work = np.maximum(tie, 0.0) ** 2 / (2 * self.k)
        for t, curve in enumerate(self.curves):
            if curve is not None:
                tie[:, t], per_strain, each = curve.pull(self._strain(t, length[:, t]))
                slope[:, t] = per_strain / self.length[:, t]
                work[:, t] = np.where(tie[:, t] > 0, each, 0.0) * self.length[:, t]
        push = np.einsum("pji,pqj->pqi", turn, self.push)
        last = self.point.shape[1] - pads
        down = (push * at[:, last:]).sum(axis=-1) + (self.push * (shift[:, None] - self.point[:, last:])).sum(
            axis=-1
        )
        pad = self.pad_T0 - self.pad_k * down
        force = np.zeros_like(at)
        pulled = np.maximum(tie, 0.0)[..., None] * way
        force[:, :ties] += pulled
        force[:, self.second[on_body]] -= pulled[:, on_body]
        force[:, last:] += np.maximum(pad, 0.0)[..., None] * push
        energy = work.sum(axis=1) + (np.maximum(pad, 0.0) ** 2 / (2 * self.pad_k)).sum(axis=1)
        return Pulls(tie, pad, slope, way, length, push, force, energy)

    def _energy(self, pulls: Pulls, turn: Array, shift: Array, e: Array) -> Array:
        """Π (P,)."""
        arm = np.einsum("pij,pj->pi", turn, self.moment)
        work = (self.inertia * (self.mass[:, None] * shift + arm)).sum(axis=1)
        return np.asarray((e**2).sum(axis=1) / 2 + pulls.energy - work)


def _modes(G: Array) -> Array:
    """Ψ (3J,r) with Ψ Ψᵀ = G."""
    if not len(G):
        return np.zeros((0, 0))
    size, axes = np.linalg.eigh((G + G.T) / 2)
    keep = size > FEEBLE * max(float(size[-1]), 0.0)
    return np.asarray(axes[:, keep] * np.sqrt(size[keep]))


def _newton(of: _Second, slope: Array, size: float, free: bool) -> Array:
    """A step (P,6+r) down: Newton's where the energy is convex."""
    if not free:
        step = np.zeros_like(slope)
        step[:, 6:] = -np.linalg.solve(of.inner, slope[:, 6:, None])[..., 0]
        return step
    unit = np.array([1.0] * 3 + [1 / size] * 3)
    solved = np.linalg.solve(
        of.inner, np.concatenate([of.mixed.swapaxes(-1, -2), slope[:, 6:, None]], axis=-1)
    )
    outer = of.outer - of.mixed @ solved[..., :6]
    right = slope[:, :6] - (of.mixed @ solved[..., 6:])[..., 0]
    worth, axes = np.linalg.eigh(unit[:, None] * (outer + outer.swapaxes(-1, -2)) / 2 * unit)
    least = 1e-9 * np.abs(worth).max(axis=1, keepdims=True) + 1e-300
    moved = -unit * (axes @ ((axes.swapaxes(-1, -2) @ (unit * right)[..., None])
                             / np.maximum(np.abs(worth), least)[..., None]))[..., 0]  # fmt: skip
    bent = -solved[..., 6] - (solved[..., :6] @ moved[..., None])[..., 0]
    return np.concatenate([moved, bent], axis=1)


def _moved(turn: Array, shift: Array, e: Array, step: Array) -> tuple[Array, Array, Array]:
    """The place after a step, which is told in the body's axes."""
    return (
        turn @ rotation(step[:, 3:6]),
        shift + np.einsum("pij,pj->pi", turn, step[:, :3]),
        e + step[:, 6:],
    )


def rotation(vector: Array) -> Array:
    """Rodrigues' rotations (...,3,3) by vectors (...,3)."""
    angle = np.linalg.norm(vector, axis=-1)[..., None, None]
    x = cross(np.asarray(vector))
    return np.asarray(np.eye(3) + np.sinc(angle / np.pi) * x + np.sinc(angle / (2 * np.pi)) ** 2 / 2 * x @ x)


def rotation_vector(turn: Array) -> Array:
    """The vectors (...,3) of rotations by less than half a turn."""
    twice = np.stack([turn[..., 2, 1] - turn[..., 1, 2], turn[..., 0, 2] - turn[..., 2, 0],
                      turn[..., 1, 0] - turn[..., 0, 1]], axis=-1)  # fmt: skip
    sine = np.linalg.norm(twice, axis=-1) / 2
    angle = np.arctan2(sine, (np.trace(turn, axis1=-2, axis2=-1) - 1) / 2)
    return np.asarray(twice / 2 * np.where(sine > 0, angle / np.maximum(sine, 1e-300), 1.0)[..., None])
