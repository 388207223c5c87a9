"""The whole answer on vibration: states, modes, harmonics, and the peaks that the floor's motion brings.

The floor moves as one, along each axis of the aircraft that has a spectrum; what holds the rack moves with it.
Peaks are those of every axis at once: tones added in their worst phase, random parts as independent (root of the
sum of squares), three standard deviations of them. Each quantity is that of the worst state at rest. A mode's
damping is the structure's, and the isolators' by their share of its strain energy.

The model is linear about the state at rest. Where the peak exceeds what a strap or pad carries at rest, it goes slack
in every cycle; a strap whose force passes a corner of its load–stretch curve is not linear either: the peaks are then
shown and nothing is judged by them. A peak is judged only against what a document
allows in vibration, against the sway space of an isolator, or against the room there is; strength is judged by the
checks' own judges (`margins`); all else is NOT ASSESSED.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas.loads import G0, margin_of_safety
from rackwright.formulas.vibration import composite_damping, miles_rms, sine_on_random_peak
from rackwright.pieces.build import Pieces
from rackwright.rack import aircraft_axes
from rackwright.rack.model import Rack
from rackwright.rack.vibration import AIRCRAFT_AXES, Spectrum
from rackwright.rack.vibration import Vibration as Given
from rackwright.strength.rack_frame import RackFrame
from rackwright.strength.vibration.answer import Curve, Miles, Peak, Vibration
from rackwright.strength.vibration.in_vibration import BENDS, SIGMAS, SLACK, AtRest, Shakes
from rackwright.strength.vibration.margins import vibration_margins
from rackwright.strength.vibration.quantities import Quantity, Reader
from rackwright.strength.vibration.spectrum import (
    Driven,
    Rows,
    Shaken,
    density,
    driven,
    transfer,
)
from rackwright.strength.vibration.states import State, distances, ranges, states

__all__ = ["vibrate"]

Array = NDArray[np.float64]
FLAT = 1.1  # largest over least density that counts as flat for Miles' equation
ALONE = 0.1  # share of the mass above which another mode within an octave is a neighbour
LEAST_MODES = 12
REACH = 2.0  # modes are kept up to so many times a harmonic, or the highest frequency of a spectrum


def vibrate(rest: AtRest) -> Vibration:
    """Modes always; harmonics and peaks as far as documents state what is needed."""
    rack, pieces, model = rest.rack, rest.pieces, rest.model
    given = rack.definition.vibration or Given()
    tops = [tone.frequency for one in given.spectrum for tone in one.tone]
    tops += [point.frequency for one in given.spectrum for point in one.broadband]
    reach = max((REACH * one.frequency for one in given.harmonic), default=0.0)
    found = states(model, rest.response, reach, max((REACH * top for top in tops), default=0.0), LEAST_MODES)
    modes = ranges(found)
    apart = distances(modes, given.harmonic, given.separation)
    why = _why_not(rack, given, found)
    if why:
        return Vibration(found, modes, apart, (), why, (), (), (), (), why)
    shake = _Shake(rack, pieces, model, given)
    still = [state for state in found if state.at_rest and state.modal.static is not None]
    by = [shake.driven(state) for state in still]
    levels = [shake.level(state, each) for state, each in zip(still, by, strict=True)]
    bent = tuple((level.state.names[0], *one) for level in levels for one in shake.bent(level))
    peaks = tuple(shake.peaks(levels, bent))
    miles, curves = tuple(shake.miles(still[0])), tuple(shake.curves(still[0]))
    ways = [way for way, _ in shake.axes.values()]
    shakes = [
        Shakes(state, tuple(zip(ways, each.values(), strict=True)))
        for state, each in zip(still, by, strict=True)
    ]
    margins, why = vibration_margins(rest, shakes)
    return Vibration(found, modes, apart, peaks, "", bent, miles, curves, margins, why)


def _why_not(rack: Rack, given: Given, found: tuple[State, ...]) -> str:
    """Why no response is computed, if so."""
    if not given.spectrum:
        return "no vibration of the floor is stated"
    if given.damping is None:
        return "no damping is stated"
    if rack.definition.aircraft is None:
        return "the rack's orientation in the aircraft is not stated"
    rest = [state for state in found if state.at_rest]
    if not rest:
        return "the rack has no equilibrium at rest"
    loose = [state.modal.loose for state in rest if state.modal.loose is not None]
    return f"the rack is loose at rest: {loose[0]}" if loose else ""


@dataclass(frozen=True, eq=False)
class Level:
    """Every quantity (R,) in one state: root mean squares and added tones by axis, and the peak of all together."""

    state: State
    rms: Mapping[str, Array]
    tones: Mapping[str, Array]
    peak: Array


class _Shake:
    """The floor's motion put on the states of one rack."""

    def __init__(self, rack: Rack, pieces: Pieces, model: RackFrame, given: Given) -> None:
        aircraft = rack.definition.aircraft
        assert aircraft is not None
        assert given.damping is not None
        self.rack, self.given, self.model = rack, given, model
        self.reader = Reader(rack, pieces, model)
        self.damping = given.damping.ratio
        turn = aircraft_axes(aircraft.forward)
        #: aircraft axis -> its direction in rack axes, and its spectrum, in the aircraft's order
        self.axes: dict[str, tuple[Array, Spectrum]] = {
            axis: (turn[AIRCRAFT_AXES.index(axis)], spectrum)
            for axis in AIRCRAFT_AXES
            for spectrum in given.spectrum
            if axis in spectrum.axes
        }

    def _zeta(self, state: State) -> Array:
        items = self.rack.definition.equipment
        zeta = np.full(len(state.modal.hz), self.damping)
        for n, item in enumerate(items):
            if item.isolators is not None:
                zeta = zeta + composite_damping(
                    0.0, item.isolators.damping - self.damping, state.modal.energy[:, n]
                )
        return np.asarray(zeta, dtype=float)

    def _shaken(self, state: State, way: Array) -> Shaken:
        return Shaken(state.modal.hz, self._zeta(state), state.modal.participation @ way)

    def _seen(self, state: State, way: Array) -> tuple[Shaken, Rows]:
        """Modes and quantities as one direction of the floor sees them; inputs in g."""
        modal, quantities, shaken = state.modal, self.reader.quantities, self._shaken(state, way)
        assert modal.static is not None
        shape = self.reader.read(modal.motion, state.variant, state.stiffness)
        static = way @ self.reader.read(modal.static, state.variant, state.stiffness)
        residual = -static + (shaken.pushed / (2 * np.pi * modal.hz) ** 2) @ shape
        absolute = np.array([one.kind == "acceleration" for one in quantities])
        base = np.array([0.0 if one.along is None else way[one.along] for one in quantities])
        scale = np.where(absolute, 1.0, G0)
        return shaken, Rows(shape * scale, residual * scale, base, absolute)

    def driven(self, state: State) -> Mapping[str, Driven]:
        """What each axis of the floor does to the modes of a state; inputs in g."""
        return {
            axis: driven(self._shaken(state, way), spectrum.broadband, spectrum.tone)
            for axis, (way, spectrum) in self.axes.items()
        }

    def level(self, state: State, by: Mapping[str, Driven]) -> Level:
        """Every quantity in one state."""
        rms, tones = {}, {}
        for axis, (way, _) in self.axes.items():
            columns = self._seen(state, way)[1].columns
            rms[axis] = by[axis].rms(columns)
            tones[axis] = by[axis].peaks(columns).sum(axis=0)
        together = np.sqrt(np.sum([one**2 for one in rms.values()], axis=0))
        added = np.sum(list(tones.values()), axis=0)
        return Level(state, rms, tones, np.asarray(sine_on_random_peak(added, SIGMAS, together)))

    def bent(self, level: Level) -> Iterator[tuple[str, str]]:
        """Straps and pads whose peak is more than they carry at rest, and straps whose force passes a corner of their
        curve."""
        held = [n for n, one in enumerate(self.reader.quantities) if one.kind in ("strap", "pad")]
        for n, r in enumerate(held):
            name, size, carried = self.reader.quantities[r].subject, level.peak[r], level.state.force[:, n]
            curve = self.model.curves.get(n)
            if np.any((size > carried) & (carried > 0)):
                yield name, SLACK
            elif curve and not all(curve.straight(force - size, force + size) for force in carried):
                yield name, BENDS

    def peaks(self, levels: Sequence[Level], bent: Sequence[tuple[str, str, str]]) -> Iterator[Peak]:
        """The worst state of every quantity; of corners, ends and isolators alike the worst one."""
        groups: dict[str, list[int]] = {}
        for r, quantity in enumerate(self.reader.quantities):
            groups.setdefault(_group(quantity), []).append(r)
        for id, members in groups.items():
            sizes = np.array([[level.peak[r] for r in members] for level in levels])
            s, m = np.unravel_index(int(sizes.argmax()), sizes.shape)
            r = members[int(m)]
            worst = levels[int(s)]
            quantity, state = self.reader.quantities[r], worst.state.names[0]
            why = [f"{name} {how}" for where, name, how in bent if where == state]
            together = float(np.sqrt(sum(float(one[r]) ** 2 for one in worst.rms.values())))
            added = float(sum(float(one[r]) for one in worst.tones.values()))
            made = Peak(
                id, quantity, state, {axis: float(one[r]) for axis, one in worst.rms.items()},
                {axis: float(one[r]) for axis, one in worst.tones.items()}, float(worst.peak[r]), None, "", None, "",
                (("sine_on_random_peak", {"A": added, "n": SIGMAS, "s": together}),),
            )  # fmt: skip
            yield self._judged(made, why)

    def _judged(self, made: Peak, bent: list[str]) -> Peak:
        allowable, source, why = self._allowed(made.quantity)
        made = replace(made, allowable=allowable, source=source, why_not=why)
        if allowable is None:
            return made
        if bent:
            return replace(made, why_not=f"{bent[0]}, and the linear model does not hold")
        numbers = {"allowable": allowable, "applied": max(made.peak, 1e-30), "factor": 1.0}
        margin = min(float(margin_of_safety(*numbers.values())), 1e9)
        return replace(made, margin=margin, steps=(*made.steps, ("margin_of_safety", numbers)))

    def _allowed(self, quantity: Quantity) -> tuple[float | None, str, str]:
        """Allowable, its source, and why there is none."""
        given = self.given.allowable
        if quantity.kind == "gap":
            return quantity.room, "nominal room by this definition", ""
        if quantity.kind == "sway":
            name = quantity.subject.removeprefix("equipment.")
            item = next(one for one in self.rack.definition.equipment if one.name == name)
            document = item.isolators.document if item.isolators else None
            if quantity.room is None or document is None:
                return None, "", "no sway space with a document"
            return quantity.room, document, ""
        if quantity.kind == "stress" and given and given.tube_stress is not None:
            return given.tube_stress, given.document, ""
        if quantity.kind == "strap" and given and given.strap_pull is not None:
            return given.strap_pull, given.document, ""
        if quantity.kind == "acceleration":
            return None, "", "the level that the item is qualified for is not an input"
        return None, "", "no document allows anything in vibration"

    def miles(self, state: State) -> Iterator[Miles]:
        """Miles' equation for the mode that moves most of the mass along each axis, if it stands alone."""
        modal, zeta = state.modal, self._zeta(state)
        for axis, (way, spectrum) in self.axes.items():
            share = (modal.participation @ way) ** 2 / modal.mass[0]
            k = int(share.argmax())
            f, points = float(modal.hz[k]), spectrum.broadband
            near = (modal.hz > f / 2) & (modal.hz < 2 * f) & (share > ALONE)
            if not points:
                yield Miles(axis, f, None, "the input has no random part")
            elif near.sum() > 1:
                yield Miles(
                    axis, f, None, "another mode with a tenth of the mass or more lies within an octave"
                )
            elif points[0].frequency > f / 2 or points[-1].frequency < 2 * f:
                yield Miles(axis, f, None, "the input does not reach an octave to either side")
            else:
                about = density(points, np.geomspace(f / 2, 2 * f, 65))
                if about.max() > FLAT * about.min():
                    yield Miles(axis, f, None, "the input is not flat an octave to either side")
                else:
                    Q, S = 1 / (2 * zeta[k]), density(points, np.array([f]))[0]
                    yield Miles(axis, f, float(miles_rms(f, Q, S)), "")

    def curves(self, state: State) -> Iterator[Curve]:
        """Spectral densities along each axis with a random part, at frequencies that show every peak."""
        for axis, (way, spectrum) in self.axes.items():
            if not spectrum.broadband:
                continue
            shaken, rows = self._seen(state, way)
            low, high = spectrum.broadband[0].frequency, spectrum.broadband[-1].frequency
            near = shaken.hz[:, None] * (1 + shaken.zeta[:, None] * np.array([-2, -1, -0.5, 0, 0.5, 1, 2]))
            f = np.unique(np.concatenate([np.geomspace(low, high, 200), near.ravel()]))
            f = f[(f >= low) & (f <= high)]
            floor, along = density(spectrum.broadband, f), int(np.abs(way).argmax())
            h = transfer(shaken, rows, f)
            for r, quantity in enumerate(self.reader.quantities):
                if quantity.kind == "acceleration" and quantity.along == along:
                    name = quantity.subject.removeprefix("equipment.")
                    yield Curve(name, axis, f, floor, floor * np.abs(h[:, r]) ** 2)


def _group(quantity: Quantity) -> str:
    """The id under which like quantities share a row."""
    if quantity.kind == "stress":
        return f"{quantity.subject}/stress in vibration"
    if quantity.kind == "sway":
        return f"{quantity.subject}/sway {quantity.place[-1]}"
    if quantity.kind == "acceleration":
        return f"{quantity.subject}/acceleration {quantity.place[-1]}"
    if quantity.kind == "gap":
        return f"{quantity.subject}/gap {quantity.place[-2:]}"
    return f"{quantity.subject}/force in vibration"
