"""A vibrating rack as the judges of checks see it: of every demand the ends of its range.

A demand is linear in forces and motions. At rest the rack has one, d₀; the floor's motion adds ±p to it,
    p = tones in their worst phase + n σ,      σ² = Σ over axes of diag(Tᵀ Σ T),
T what the same linear part reads off each mode and Σ the covariance of the modes. Parts that meet in a judge peak
together: every corner of the box d₀ ± p holds, so that how they hang together only ever helps. A judge looks at most
parts by size, and the largest is |d₀| + p; of those whose sign it tells, it gets both ends. Two corners are so all
corners: no other is worse. These ranges are of service, and taken as limit loads; times the basis's factor of safety
they are ultimate, weight and pretension with them.

A stretched isolator carries its force off its foot. That couple is a product, and no linear part: |s₀+s| × |f₀+f| less
|s₀| × |f₀|, each at its most, is put on the item either way. It is not put on the frame's motion.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import block_diag

from rackwright.formulas.loads import G0
from rackwright.formulas.vibration import sine_on_random_peak
from rackwright.pieces.model import Piece
from rackwright.strength.checks.equipment import fixing_forces
from rackwright.strength.frame import Motion
from rackwright.strength.isolators import Floated
from rackwright.strength.margin import Context
from rackwright.strength.run import Run
from rackwright.strength.vibration.moving import Moving, motions
from rackwright.strength.vibration.spectrum import Driven
from rackwright.strength.vibration.states import State

__all__ = ["BENDS", "CASE", "SIGMAS", "SLACK", "AtRest", "InVibration", "Shakes", "in_vibration"]

Array = NDArray[np.float64]
SIGMAS = 3.0  # standard deviations of the random part in a peak: common practice
CASE = "vibration and 1 g"
SLACK = "goes slack"
BENDS = "is pulled past a corner of its load–stretch curve"
ENDS = (1.0, -1.0)


@dataclass(frozen=True, eq=False)
class Shakes:
    """A state at rest, and what each axis of the floor does to its modes: direction in rack axes, and inputs in g."""

    state: State
    by: tuple[tuple[Array, Driven], ...]


@dataclass(frozen=True, eq=False)
class AtRest(Run):
    """The rack under its weight alone, at whatever level a check asks."""

    def chosen(self, level: str) -> list[int]:
        return [0]


@dataclass(frozen=True, eq=False)
class _Shaken:
    """Motions of some variants, and how much of them there is."""

    moving: Moving
    floor: Driven  # every axis of the floor at once, for the 2n+9 cases of motion
    variants: list[int]
    couples: Array  # (variants, 3·items) N·m either way, beside the motions

    def peak(self, read: Callable[[Run], Array]) -> Array:
        """(variants, ...) of what is linear in the motions."""
        each = read(self.moving)
        each = each[self.variants] if len(each) > 1 else each
        flat = np.moveaxis(each.reshape(*each.shape[:2], -1), 1, 0)
        moved, turned = np.split(flat, [len(self.floor.covariance)])
        columns = G0 * moved.reshape(len(moved), -1)
        shaken = sine_on_random_peak(self.floor.peaks(columns).sum(axis=0), SIGMAS, self.floor.rms(columns))
        beside = np.matmul(self.couples[:, None], np.abs(turned).swapaxes(0, 1))[:, 0]
        peak = np.asarray(shaken).reshape(len(each), -1) + beside
        return np.asarray(peak.reshape(len(peak), *each.shape[2:]))


def _every_axis(shakes: Shakes) -> Driven:
    """Random parts of the axes as independent; numbers that are of three axes in place of one along each."""
    n = len(shakes.state.modal.hz)
    covariance, tones = np.zeros((2 * n + 9, 2 * n + 9)), []
    for way, driven in shakes.by:
        along = block_diag(np.eye(n), way[:, None], np.eye(n), way[:, None], way[:, None])
        covariance += along @ driven.covariance @ along.T
        tones += [(peak, modes @ along.T) for peak, modes in driven.tones]
    return Driven(covariance, tuple(tones))


@dataclass(frozen=True, eq=False)
class InVibration(Run):
    """Two cases a level, the ends of every demand's range; variants as at rest."""

    rest: AtRest
    shaken: tuple[_Shaken, ...]
    safety: float
    doubtful: bool
    known: dict[
        tuple[str, float], tuple[Array, ...]
    ]  # forces inside pieces, as limit: asked for at either level

    def chosen(self, level: str) -> list[int]:
        return [0, 1]

    def context(self, level: str) -> Context:
        doubtful = self.doubtful and level == "ultimate"  # limit loads are the peaks themselves
        return Context((CASE,) * len(ENDS), self.model.variants, (doubtful,) * len(ENDS))

    @property
    def levels(self) -> tuple[str, ...]:
        return "ultimate", "limit"

    def peak(self, read: Callable[[Run], Array]) -> Array:
        """(V, ...) either way of what is linear in the motion."""
        found = [(one.variants, one.peak(read)) for one in self.shaken]
        out = np.zeros((len(self.model.variants), *found[0][1].shape[1:]))
        for variants, part in found:
            out[variants] = np.maximum(out[variants], part)
        return out

    def demand(self, level: str, read: Callable[[Run], Array], signed: tuple[int, ...] = ()) -> Array:
        still, peak = read(self.rest), self.peak(read)[:, None]
        most = np.copysign(np.abs(still) + peak, still)
        ends = np.concatenate([most, most], axis=1)
        for part in signed:
            for n, way in enumerate(ENDS):
                ends[:, n, ..., part] = (still[..., part] + way * peak[..., part])[:, 0]
        return ends * self._factor(level)

    def _factor(self, level: str) -> float:
        return self.safety if level == "ultimate" else 1.0

    def tension(self, level: str) -> Array:
        """At both ends its most, whatever else a judge looks at."""
        return self.demand(level, lambda one: one.tension(level))

    def ways(self, level: str) -> Array:
        return np.repeat(self.rest.ways(level), len(ENDS), axis=1)

    def sides(self, piece: str, distance: float, level: str) -> tuple[Array, ...]:
        """The sign is told of the axial force alone: no check asks for another."""
        if (piece, distance) not in self.known:
            count = len(self.rest.sides(piece, distance, level))
            self.known[piece, distance] = tuple(
                self.demand("limit", partial(_side, piece=piece, distance=distance, n=n), (0,))
                for n in range(count)
            )
        return tuple(each * self._factor(level) for each in self.known[piece, distance])

    def along(self, piece: Piece, level: str, deformed: bool = False) -> Array:
        """As `sides`."""
        return self.demand(level, lambda one: one.along(piece, level), (0,))

    @cached_property
    def on_isolators(self) -> Mapping[str, Floated]:
        """At rest, at both ends: what isolators hold in vibration is a demand."""
        return {
            name: replace(one, **{
                part: np.repeat(getattr(one, part), len(ENDS), axis=1)
                for part in ("shift", "tilt", "stretch", "force")
            })
            for name, one in self.rest.on_isolators.items()
        }  # fmt: skip

    @property
    def why_not_linear(self) -> str:
        """A strap or pad whose peak exceeds what it carries at rest, a strap past a corner of its curve, an isolator
        that comes to its stop; else empty."""
        rest = self.rest.response
        for kind, names, carried, peak in (
            ("strap", self.model.straps, rest.tie_force[:, 0], self.peak(lambda one: one.tension(""))),
            ("pad", self.model.pads, rest.pad_force[:, 0], self.peak(_pushes)),
        ):
            for n, name in enumerate(names):
                if np.any((peak[:, n] > carried[:, n]) & (carried[:, n] > 0)):
                    return f"{kind}.{name} {SLACK}"
        pull, carried = self.peak(lambda one: one.tension("")), rest.tie_force[:, 0]
        for n, curve in self.model.curves.items():
            if not all(map(curve.straight, carried[:, n] - pull[:, n], carried[:, n] + pull[:, n])):
                return f"strap.{self.model.straps[n]} {BENDS}"
        for name, one in self.rest.on_isolators.items():
            sway = np.abs(one.stretch[:, 0]) + self.peak(partial(_stretches, item=name))
            if np.any(sway > one.sway):
                return f"the isolators of {name} come to their stops"
        return ""


def _side(run: Run, piece: str, distance: float, n: int) -> Array:
    return run.sides(piece, distance, "limit")[n]


def _pushes(run: Run) -> Array:
    assert isinstance(run, Moving)
    return run.pushes


def in_vibration(rest: AtRest, shakes: Sequence[Shakes], safety: float, doubtful: bool) -> InVibration | str:
    """A rack at rest with what shakes it; why not, where the modes of a variant are not known."""
    known = {v for one in shakes for v in one.state.rests}
    for v, name in enumerate(rest.model.variants):
        if v not in known:
            return f"with the variant “{name}” the rack is loose at rest"
    shaken = tuple(_with_couples(rest, one, list(one.state.rests)) for one in shakes)
    return InVibration(
        **vars(_bare(rest)), rest=rest, shaken=shaken, safety=safety, doubtful=doubtful, known={}
    )


def _bare(run: Run) -> Run:
    return Run(
        run.rack, run.pieces, run.model, run.cases, run.solution, run.fitting_factor, run.factor_source
    )


def _with_couples(rest: AtRest, shakes: Shakes, variants: list[int]) -> _Shaken:
    moving = _moving(rest, shakes.state)
    shaken = _Shaken(
        moving, _every_axis(shakes), variants, np.zeros((len(variants), 3 * len(rest.model.items)))
    )
    couples = np.zeros((len(variants), len(rest.model.items), 3))
    for item in rest.rack.definition.equipment:
        floated = rest.on_isolators.get(item.name)
        if floated is not None:
            s0, f0 = np.abs(floated.stretch[variants, 0]), np.abs(floated.force[variants, 0])
            s = shaken.peak(partial(_stretches, item=item.name))
            f = shaken.peak(partial(fixing_forces, item=item))
            more = _most((s0 + s), (f0 + f)) - _most(s0, f0)
            couples[:, rest.model.items.index(item.name)] = more.sum(axis=1)
    return replace(shaken, couples=couples.reshape(shaken.couples.shape))


def _stretches(run: Run, item: str) -> Array:
    assert isinstance(run, Moving)
    return run.stretches[item]


def _most(a: Array, b: Array) -> Array:
    """Largest size of each part of a × b for sizes (..., 3) of theirs."""
    return np.stack(
        [a[..., i] * b[..., j] + a[..., j] * b[..., i] for i, j in ((1, 2), (2, 0), (0, 1))], axis=-1
    )


def _moving(rest: AtRest, state: State) -> Moving:
    """Cases: displacement of modes and of what they left out, acceleration of the same and of the floor, couples."""
    every, n = motions(state), len(state.modal.hz)
    items = len(rest.model.items)
    couples = np.concatenate([np.zeros((2 * n + 9, 3 * items)), np.eye(3 * items)]).reshape(
        2 * n + 9 + 3 * items, items, 3
    )
    displaced, accelerated = {}, {}
    for name in ("node", "body", "seat"):
        values = getattr(every, name)
        none = np.zeros((3 * items, *values.shape[1:]))
        displaced[name] = np.concatenate([values[: n + 3], np.zeros_like(values), none])
        accelerated[name] = np.concatenate([np.zeros_like(values[: n + 3]), values, none])
    return Moving(
        **vars(_bare(rest)), state=state, displaced=Motion(**displaced), accelerated=Motion(**accelerated),
        couples=couples,
    )  # fmt: skip
