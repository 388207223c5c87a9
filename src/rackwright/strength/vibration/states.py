"""The states about which a rack vibrates, and each natural frequency as a range over them.

A slack strap has no stiffness and a pad that has lifted none, so natural frequencies hang on what acts. The states
are: every strap and pad acting; what acts at rest under 1 g, at low and at high pretension; and what acts when its
own weight pushes the rack to each side at low pretension (a bound of ours, no rule); all with continuous joints and
with flexible ones. Where straps are too slack to say where the rack stands, none of them acts at rest. More stiffness
of straps and pads lowers no natural frequency (Courant's minimax principle): whatever acts a part of the time, the k-th
frequency lies between the k-th frequencies of a state where less and of one where more acts. Modes are counted,
not matched.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas.loads import G0
from rackwright.rack.vibration import Harmonic, Separation
from rackwright.strength.frame import Cases, Modal, solve
from rackwright.strength.frame.modal import Whole
from rackwright.strength.frame.ready import Model
from rackwright.strength.rack_frame import PRETENSIONS, RackFrame

__all__ = ["ALL_ACT", "Apart", "ModeRange", "State", "distances", "ranges", "states"]

Array = NDArray[np.float64]
ALL_ACT = "every strap and pad acts"
PUSHES = {"+x": (1, 0), "-x": (-1, 0), "+y": (0, 1), "-y": (0, -1)}


@dataclass(frozen=True, eq=False)
class State:
    """States with the same acting set, and their modes. `force` is that of straps, then pads, at rest: the least of
    the states at rest among them; None where none is."""

    names: tuple[str, ...]
    variant: int  # the first variant of this stiffness
    acting: NDArray[np.bool_]  # straps, then pads
    idle: tuple[str, ...]
    modal: Modal
    force: Array | None  # (T+Q,) N

    @property
    def at_rest(self) -> bool:
        return self.force is not None


@dataclass(frozen=True, eq=False)
class ModeRange:
    """The k-th natural frequency over all states, and the largest share of the mass it carries along x, y, z."""

    low_hz: float
    high_hz: float
    low_state: str
    mass_share: Array  # (3,)


def states(model: RackFrame, up_to: float, up_to_rest: float, at_least: int) -> tuple[State, ...]:
    """Every state that has an equilibrium, those with the same acting set as one; the stiffest first.

    Modes reach up to a frequency (Hz) in every state, up to another at rest, and are as many in each as in that which
    has the most below `up_to`: a mode near a harmonic in one state has its number in all.
    """
    frame = model.frame
    whole = Whole.of(Model.of(frame), model.bodies)
    inertia = np.array([[0, 0, -1], *((x, y, -1) for x, y in PUSHES.values())]) * G0
    rest = solve(frame, Cases(inertia=inertia))
    found: dict[
        tuple[int, bytes], list[tuple[str, Array | None]]
    ] = {}  # stiffness, acting -> name, forces at rest
    every = np.ones(frame.one_sided, dtype=bool)
    for v, c, name in _named():
        if c is None:
            found[v, every.tobytes()] = [(name, None)]
        elif rest.loose[v][c] is None or c == 0:
            force = np.concatenate([rest.tie_force[v, c], rest.pad_force[v, c]])
            if rest.loose[v][c] is not None:  # nothing holds it: it stands on its pads, and may slide
                force = np.where(np.arange(len(force)) < len(model.straps), 0.0, 1.0)
            key = (_stiffness(v), (force > 0).tobytes())
            found.setdefault(key, []).append((name, force if c == 0 else None))
    made, names = [], [*(f"strap.{n}" for n in model.straps), *(f"pad.{n}" for n in model.pads)]
    for (v, key_acts), rows in found.items():
        acting = np.frombuffer(key_acts, dtype=bool)
        still = [force for _, force in rows if force is not None]
        made.append(State(
            tuple(name for name, _ in rows), v, acting,
            tuple(name for name, acts in zip(names, acting, strict=True) if not acts),
            whole.modal(v, acting, max(up_to, up_to_rest if still else 0.0), at_least),
            np.min(still, axis=0) if still else None,
        ))  # fmt: skip
    need = max((int(np.count_nonzero(one.modal.hz < up_to)) for one in made), default=0)
    return tuple(
        one if len(one.modal.hz) >= need
        else replace(one, modal=whole.modal(one.variant, one.acting, 0.0, need))
        for one in made
    )  # fmt: skip


def _stiffness(v: int) -> int:
    """The first variant that is as stiff: the same joints, whatever the pretension."""
    joints = PRETENSIONS[v].partition(", ")[2]
    return next(n for n, name in enumerate(PRETENSIONS) if name.partition(", ")[2] == joints)


def _named() -> Iterator[tuple[int, int | None, str]]:
    """Variant, case and name of every state; without a case everything acts."""
    for v, name in enumerate(PRETENSIONS):
        joints = name.partition(", ")[2]
        if _stiffness(v) == v:
            yield v, None, f"{ALL_ACT}, {joints}" if joints else ALL_ACT
    for v, name in enumerate(PRETENSIONS):
        pretension, _, joints = name.partition(", ")
        yield v, 0, f"at rest, {pretension} pretension" + (f", {joints}" if joints else "")
        if _stiffness(v) == v:
            for c, way in enumerate(PUSHES, start=1):
                yield (
                    v,
                    c,
                    f"pushed by its weight towards {way}, {pretension} pretension"
                    + (f", {joints}" if joints else ""),
                )


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
