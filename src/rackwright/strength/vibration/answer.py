"""What the question of vibration is answered with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.strength.margin import Margin, Step
from rackwright.strength.vibration.quantities import Quantity
from rackwright.strength.vibration.states import Apart, ModeRange, State

__all__ = ["NOT_ASSESSED", "Curve", "Miles", "Peak", "Vibration"]

Array = NDArray[np.float64]
NOT_ASSESSED = "NOT ASSESSED"


@dataclass(frozen=True)
class Peak:
    """One quantity under the floor's motion. Values in the quantity's unit, about the state at rest."""

    id: str
    quantity: Quantity
    state: str
    rms: Mapping[str, float]  # by aircraft axis
    tones: Mapping[str, float]  # their peaks added
    peak: float
    allowable: float | None
    source: str
    margin: float | None
    why_not: str  # why it is not judged
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Miles:
    """Miles' equation for the rack as one mass along an axis, where it applies; else why not."""

    axis: str
    hz: float
    rms_g: float | None
    why_not: str


@dataclass(frozen=True, eq=False)
class Curve:
    """Acceleration spectral density of an item's centre along an axis, floor moving along it. (F,) each."""

    item: str
    axis: str
    f: Array
    floor: Array  # g²/Hz
    item_density: Array


@dataclass(frozen=True, eq=False)
class Vibration:
    states: tuple[State, ...]
    modes: tuple[ModeRange, ...]
    apart: tuple[Apart, ...]
    peaks: tuple[Peak, ...]
    why_no_peaks: str
    bent: tuple[tuple[str, str, str], ...]  # state, the strap or pad that is not linear in it, and how
    miles: tuple[Miles, ...]
    curves: tuple[Curve, ...]
    margins: tuple[
        Margin, ...
    ]  # of the checks, with weight and pretension at rest; none where `why_no_margins`
    why_no_margins: str

    @property
    def judged(self) -> tuple[Peak, ...]:
        return tuple(one for one in self.peaks if one.margin is not None)

    @property
    def holds(self) -> bool:
        """Is nothing that is judged exceeded? What is not judged does not count."""
        found = [one.margin for one in self.peaks] + [one.margin for one in self.margins]
        return all(one.holds is not False for one in self.apart) and all(
            margin is None or margin >= 0 for margin in found
        )
