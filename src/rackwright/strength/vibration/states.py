"""The states about which a rack vibrates, and each natural frequency as a range over them.

A slack strap has no stiffness and a pad that has lifted none, so natural frequencies hang on what acts. The states
are: every strap and pad acting; what acts at rest under 1 g, at low and at high pretension; and what acts when its
own weight pushes the rack to each side at low pretension (a bound of ours, no rule); all with continuous joints and
with flexible ones. Where straps are too slack to say where the rack stands, none of them acts at rest. More stiffness
of straps and pads lowers no natural frequency (Courant's minimax principle): whatever acts a part of the time, the k-th
frequency lies between the k-th frequencies of a state where less and of one where more acts. Modes are counted,
not matched.

A strap with a load-stretch curve is as stiff as its curve is steep at its force at rest (tangent), found in every
variant where the rack comes to rest, at corners of tolerances and at each temperature too; those equally stiff are one
state. On a corner of the curve there are two, by the slope to either side. Neither a steep nor a shallow one is always
the worse: peaks are those of the worst state. Where every strap acts each is as steep as anywhere at rest, where the
rack is pushed as shallow as there, so that the range holds what lies between. What tension adds to a strap's stiffness
across it, its strain over that along it, is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas.loads import G0
from rackwright.rack.vibration import Harmonic, Separation
from rackwright.strength.frame import Cases, Modal, Response, solve
from rackwright.strength.frame.modal import Whole
from rackwright.strength.frame.ready import Model
from rackwright.strength.rack_frame import PRETENSIONS, RackFrame

__all__ = ["ALL_ACT", "Apart", "ModeRange", "State", "distances", "every_part_acting", "ranges", "states"]

Array = NDArray[np.float64]
ALL_ACT = "every strap and pad acts"
PUSHES = {"+x": (1, 0), "-x": (-1, 0), "+y": (0, 1), "-y": (0, -1)}


@dataclass(frozen=True, eq=False)
class State:
    """States that are equally stiff, and their modes."""

    names: tuple[str, ...]
    variant: int  # the first variant with these joints
    stiffness: Array  # (T+Q,) N/m of straps, then pads, at rest; zero of those that do not act
    idle: tuple[str, ...]
    modal: Modal
    rests: tuple[int, ...]  # variants that rest so
    force: Array  # (rests, T+Q) N of straps, then pads, at rest

    @property
    def acting(self) -> NDArray[np.bool_]:
        return np.asarray(self.stiffness > 0)

    @property
    def at_rest(self) -> bool:
        return bool(self.rests)


@dataclass(frozen=True, eq=False)
class ModeRange:
    """The k-th natural frequency over all states, and the largest share of the mass it carries along x, y, z."""

    low_hz: float
    high_hz: float
    low_state: str
    mass_share: Array  # (3,)


def states(
    model: RackFrame, still: Response, up_to: float, up_to_rest: float, at_least: int
) -> tuple[State, ...]:
    """Every state that has an equilibrium, those equally stiff as one; the stiffest first. `still`: the rack under its
    weight, every variant where it comes to rest, in one case.

    Modes reach up to a frequency (Hz) in every state, up to another at rest, and are as many in each as in that which
    has the most below `up_to`: a mode near a harmonic in one state has its number in all.
    """
    whole = Whole.of(Model.of(model.frame), model.bodies)
    rest = list(_rest(model, still))
    found: dict[tuple[int, bytes], list[_Named]] = {}
    for one in (*_all_act(rest), *rest, *_pushed(model, rest)):
        found.setdefault((one.joints, one.stiffness.tobytes()), []).append(one)
    made, parts = [], [*(f"strap.{n}" for n in model.straps), *(f"pad.{n}" for n in model.pads)]
    for rows in found.values():
        first, rests = rows[0], [one for one in rows if one.rests is not None]
        made.append(State(
            _names(rows), first.joints, first.stiffness,
            tuple(name for name, k in zip(parts, first.stiffness, strict=True) if not k > 0),
            whole.modal(first.joints, first.stiffness, max(up_to, up_to_rest if rests else 0.0), at_least),
            tuple(one.rests for one in rests if one.rests is not None),
            np.array([one.force for one in rests]).reshape(len(rests), len(parts)),
        ))  # fmt: skip
    need = max((int(np.count_nonzero(one.modal.hz < up_to)) for one in made), default=0)
    return tuple(
        one if len(one.modal.hz) >= need
        else replace(one, modal=whole.modal(one.variant, one.stiffness, 0.0, need))
        for one in made
    )  # fmt: skip


def every_part_acting(model: RackFrame, still: Response, count: int) -> Modal:
    """The first modes of the rack as drawn with every strap and pad acting, each as stiff as anywhere at rest; `still`
    as in `states`."""
    first = next(_all_act(list(_rest(model, still))))
    return Whole.of(Model.of(model.frame), model.bodies).modal(first.joints, first.stiffness, 0.0, count)


@dataclass(frozen=True, eq=False)
class _Named:
    """One state: the first variant with its joints, its forces, and which variant rests so."""

    name: str
    joints: int
    force: Array  # (T+Q,) N
    slope: Array  # (T+Q,) N/m, of those that act
    rests: int | None = None

    @property
    def stiffness(self) -> Array:
        return np.where(self.force > 0, self.slope, 0.0)


def _names(rows: Sequence[_Named]) -> tuple[str, ...]:
    """Those of corners of tolerances and of temperatures only where there are no others."""
    drawn = [one.name for one in rows if one.rests is None or one.rests < len(PRETENSIONS)]
    return tuple(dict.fromkeys(drawn or [one.name for one in rows]))


def _rest(model: RackFrame, still: Response) -> Iterator[_Named]:
    """Every variant that comes to rest; on a corner of a curve, with the slopes to either side of it. One of those as
    drawn that does not stands on its pads, and may slide."""
    on_pads = np.repeat([0.0, 1.0], [len(model.straps), len(model.pads)])
    for v, name in enumerate(model.variants):
        loose = still.loose[v][0] is not None
        if loose and v >= len(PRETENSIONS):
            continue
        force = on_pads if loose else np.concatenate([still.tie_force[v, 0], still.pad_force[v, 0]])
        pretension, _, more = name.partition(", ")
        name = f"at rest, {pretension} pretension" + (f", {more}" if more else "")
        below, above = (_slopes(model, v, force, side) for side in (0, 1))
        corner = bool(np.any((below != above) & (force > 0)))
        yield _Named(name + ", by slopes below" * corner, _joints(v), force, below, v)
        if corner:
            yield _Named(name + ", by slopes above", _joints(v), force, above, v)


def _slopes(model: RackFrame, v: int, force: Array, side: int) -> Array:
    """(T+Q,) N/m of straps and pads that carry a force (T+Q,) N, below (0) or above (1) a corner that lies there."""
    ties = model.frame.ties
    k = np.concatenate([ties.k[v], model.frame.pads.k[v]])
    for n, curve in model.curves.items():
        eye = model.frame.xyz[v, ties.node[n, 0]] + ties.offset[v, n, 0]
        k[n] = curve.sides(float(force[n]))[side] / np.linalg.norm(ties.offset[v, n, 1] - eye)
    return k


def _all_act(rest: Sequence[_Named]) -> Iterator[_Named]:
    """Every strap and pad, as stiff as it is anywhere at rest."""
    for v in sorted({one.joints for one in rest}):
        stiffness = np.max([one.slope for one in rest if one.joints == v], axis=0)
        joints = PRETENSIONS[v].partition(", ")[2]
        yield _Named(f"{ALL_ACT}, {joints}" if joints else ALL_ACT, v, np.ones_like(stiffness), stiffness)


def _pushed(model: RackFrame, rest: Sequence[_Named]) -> Iterator[_Named]:
    """Low pretension, pushed to each side, each strap as soft as it is anywhere at rest or as it is pulled here."""
    ways = np.array([(x, y, -1) for x, y in PUSHES.values()]) * G0
    low = sorted({one.joints for one in rest})
    found = solve(model.frame.take(np.array(low)), Cases(inertia=ways))
    for n, v in enumerate(low):
        softest = np.min([one.slope for one in rest if one.joints == v], axis=0)
        pretension, _, joints = PRETENSIONS[v].partition(", ")
        for c, way in enumerate(PUSHES):
            if found.loose[n][c] is None:
                force = np.concatenate([found.tie_force[n, c], found.pad_force[n, c]])
                slope = np.min([softest, *(_slopes(model, v, force, side) for side in (0, 1))], axis=0)
                name = f"pushed by its weight towards {way}, {pretension} pretension"
                yield _Named(f"{name}, {joints}" if joints else name, v, force, slope)


def _joints(v: int) -> int:
    """The first variant with the same joints, whatever the pretension."""
    joints = PRETENSIONS[v % len(PRETENSIONS)].partition(", ")[2]
    return next(n for n, name in enumerate(PRETENSIONS) if name.partition(", ")[2] == joints)


def ranges(found: Sequence[State]) -> tuple[ModeRange, ...]:
    """The range of each mode that every state has."""
    count = min(len(state.modal.hz) for state in found)
    hz = np.array([state.modal.hz[:count] for state in found])
    share = np.array([state.modal.effective_mass[:count] / state.modal.mass for state in found])
    low = hz.argmin(axis=0)
    return tuple(
        ModeRange(
            float(hz[low[k], k]), float(hz[:, k].max()), found[low[k]].names[0], share[:, k].max(axis=0)
        )
        for k in range(count)
    )


@dataclass(frozen=True)
class Apart:
    """How far the nearest mode stays from a harmonic. `apart` is a share of it; None: no mode counts."""

    harmonic: str
    low_hz: float  # of the harmonic's own range
    high_hz: float
    document: str | None
    mode: int | None  # counted from 1
    mode_hz: float | None  # its nearest frequency
    apart: float | None
    required: float | None
    holds: bool | None  # None: nothing is required, so nothing is judged


def distances(
    modes: Sequence[ModeRange], harmonics: Sequence[Harmonic], required: Separation | None
) -> tuple[Apart, ...]:
    """Each harmonic with its nearest mode, of those that count by the document that requires a distance."""
    least = (required.effective_mass_percent or 0.0) / 100 if required else 0.0
    counted = [(k, one) for k, one in enumerate(modes, 1) if float(one.mass_share.max()) >= least]
    need = required.percent / 100 if required else None
    rows = []
    for harmonic in harmonics:
        spread = (harmonic.spread_percent or 0.0) / 100
        low, high = harmonic.frequency * (1 - spread), harmonic.frequency * (1 + spread)
        near = min(((*_nearest(one, low, high), k) for k, one in counted), default=None)
        apart, hz, mode = near or (None, None, None)
        holds = None if need is None else apart is None or apart >= need
        rows.append(Apart(harmonic.name, low, high, harmonic.document, mode, hz, apart, need, holds))
    return tuple(rows)


def _nearest(mode: ModeRange, low: float, high: float) -> tuple[float, float]:
    """Distance over the harmonic, and the frequency of the mode that is nearest to it."""
    if mode.low_hz > high:
        return (mode.low_hz - high) / high, mode.low_hz
    if mode.high_hz < low:
        return (low - mode.high_hz) / low, mode.high_hz
    return 0.0, min(max(mode.low_hz, low), mode.high_hz)
