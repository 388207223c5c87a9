"""What shakes the aircraft's floor, and what the equipment stands on, as frozen data of documents.

The floor's motion is the base input of the rack: sine tones (of rotors, propellers, engines) on a random
spectrum, each an acceleration along an axis of the aircraft in multiples of g. Harmonics are the frequencies
that natural frequencies are to stay away from. Nothing here has a default: what a document does not state is absent.
"""

from __future__ import annotations

from typing import Literal

from rackwright.fields import Force, Frequency, Length, Name, Number, Stiffness, Stress, Text
from rackwright.fields import definition as _definition

__all__ = [
    "AIRCRAFT_AXES",
    "BroadbandPoint",
    "Damping",
    "Harmonic",
    "Isolators",
    "Separation",
    "Spectrum",
    "Tone",
    "Vibration",
    "VibrationAllowable",
]

AIRCRAFT_AXES = ("forward", "left", "up")


@_definition
class Damping:
    """Of every mode, as a share of critical damping, without what isolators add."""

    ratio: Number
    document: Text


@_definition
class Separation:
    """How far a natural frequency must stay from a harmonic, in percent of the harmonic.

    `effective_mass_percent`: modes that carry less of the rack's mass than this in every direction do not count;
    absent, every mode counts.
    """

    percent: Number
    document: Text
    effective_mass_percent: Number | None = None


@_definition
class Harmonic:
    """A frequency of the aircraft; `spread_percent` of it either way is the range of the rotor's speed."""

    name: Name
    frequency: Frequency
    spread_percent: Number | None = None
    document: Text | None = None


@_definition
class Tone:
    """A sine: its peak acceleration in multiples of g. `spread_percent`: it may lie anywhere that near."""

    frequency: Frequency
    peak: Number
    spread_percent: Number | None = None


@_definition
class BroadbandPoint:
    """Acceleration spectral density in g²/Hz, one-sided; straight between points where both scales are logarithmic."""

    frequency: Frequency
    density: Number


@_definition
class Spectrum:
    """The motion of the floor along axes of the aircraft."""

    name: Name
    axes: tuple[Literal["forward", "left", "up"], ...]
    tone: tuple[Tone, ...] = ()
    broadband: tuple[BroadbandPoint, ...] = ()
    document: Text | None = None


@_definition
class VibrationAllowable:
    """What a document allows in vibration alone, peak values about the state at rest."""

    document: Text
    tube_stress: Stress | None = None
    strap_pull: Force | None = None


@_definition
class Vibration:
    damping: Damping | None = None
    separation: Separation | None = None
    harmonic: tuple[Harmonic, ...] = ()
    spectrum: tuple[Spectrum, ...] = ()
    allowable: VibrationAllowable | None = None


@_definition
class Isolators:
    """One isolator at each fixing point of an item; dynamic stiffness of each along rack x, y, z.

    `damping` is the share of critical damping of the item on its isolators; `sway` the room each may move in, either
    way along x, y, z. `allowable_ultimate` is what each holds captive, its stop included, in any direction.
    """

    stiffness: tuple[Stiffness, Stiffness, Stiffness]
    damping: Number
    sway: tuple[Length, Length, Length] | None = None
    allowable_ultimate: Force | None = None
    document: Text | None = None
