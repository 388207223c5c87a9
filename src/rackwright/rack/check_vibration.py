"""Sense checks of the vibration tables: ranges, order, and what is given twice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from rackwright.rack.model import Rack
from rackwright.rack.vibration import BroadbandPoint, Spectrum, Tone, Vibration
from rackwright.trouble import Fault

__all__ = ["vibration"]

MOST = 60  # harmonics, spectra, tones or points of a spectrum
HIGHEST = 1e5  # Hz: no floor is described beyond


def vibration(rack: Rack) -> Iterator[Fault]:
    """Faults of `[vibration]` and of isolators."""
    for item in rack.definition.equipment:
        if item.isolators is not None:
            path = f"equipment.{item.name}.isolators"
            yield from _within(rack, f"{path}.damping", item.isolators.damping, 0.001, 0.5)
            for n, k in enumerate(item.isolators.stiffness):
                yield from _within(rack, f"{path}.stiffness.{n}", k, 100, 1e9, "N/m")
    given = rack.definition.vibration
    if given is None:
        return
    if given.damping is not None:
        yield from _within(rack, "vibration.damping.ratio", given.damping.ratio, 0.001, 0.5)
    if given.separation is not None:
        path = "vibration.separation"
        yield from _within(rack, f"{path}.percent", given.separation.percent, 0, 100, "percent")
        least = given.separation.effective_mass_percent or 0
        yield from _within(rack, f"{path}.effective_mass_percent", least, 0, 50, "percent")
    yield from _twice(rack, given)
    for one in given.harmonic:
        path = f"vibration.harmonic.{one.name}"
        yield from _within(rack, f"{path}.frequency", one.frequency, 0.1, HIGHEST, "Hz")
        yield from _within(rack, f"{path}.spread_percent", one.spread_percent or 0, 0, 50, "percent")
    for spectrum in given.spectrum:
        yield from _spectrum(rack, spectrum, f"vibration.spectrum.{spectrum.name}")


def _twice(rack: Rack, given: Vibration) -> Iterator[Fault]:
    """Names and axes that stand there twice; lists that are too long."""
    for table, rows in (("harmonic", given.harmonic), ("spectrum", given.spectrum)):
        if len(rows) > MOST:
            found = f"{len(rows)} of vibration.{table}"
            yield Fault("RW106", rack.where(f"vibration.{table}"), found, f"give at most {MOST}")
        for name, count in Counter(one.name for one in rows).items():
            if count > 1:
                place = rack.where(f"vibration.{table}.{name}")
                yield Fault("RW107", place, f"{table} {name!r} is there twice", "give each its own name")
    taken: dict[str, str] = {}
    for spectrum in given.spectrum:
        for axis in spectrum.axes:
            if axis in taken:
                found = f"{axis} already has the spectrum {taken[axis]!r}"
                place = rack.where(f"vibration.spectrum.{spectrum.name}.axes")
                yield Fault("RW107", place, found, "give each axis one spectrum")
            taken[axis] = spectrum.name


def _spectrum(rack: Rack, spectrum: Spectrum, path: str) -> Iterator[Fault]:
    if not spectrum.axes:
        yield Fault("RW101", rack.where(f"{path}.axes"), "no axis", "name forward, left or up")
    if not spectrum.tone and not spectrum.broadband:
        yield Fault("RW101", rack.where(path), "the spectrum is empty", "give tones, random points or both")
    tables: tuple[tuple[str, tuple[Tone | BroadbandPoint, ...]], ...] = (
        ("tone", spectrum.tone),
        ("broadband", spectrum.broadband),
    )
    for name, rows in tables:
        if len(rows) > MOST:
            yield Fault("RW106", rack.where(f"{path}.{name}"), f"{len(rows)} of them", f"give at most {MOST}")
        for n, row in enumerate(rows):
            yield from _within(rack, f"{path}.{name}.{n}.frequency", row.frequency, 0.1, HIGHEST, "Hz")
    for n, tone in enumerate(spectrum.tone):
        yield from _within(rack, f"{path}.tone.{n}.peak", tone.peak, 1e-6, 1e3, "g")
        yield from _within(
            rack, f"{path}.tone.{n}.spread_percent", tone.spread_percent or 0, 0, 50, "percent"
        )
    for n, point in enumerate(spectrum.broadband):
        yield from _within(rack, f"{path}.broadband.{n}.density", point.density, 1e-12, 1e3, "g2/Hz")
    if len(spectrum.broadband) == 1:
        yield Fault("RW101", rack.where(f"{path}.broadband"), "one point is no spectrum", "give two or more")
    for n, (low, high) in enumerate(pairwise(spectrum.broadband), start=1):
        if high.frequency <= low.frequency:
            found = f"{high.frequency:g} Hz follows {low.frequency:g} Hz"
            place = rack.where(f"{path}.broadband.{n}.frequency")
            yield Fault("RW106", place, found, "give the points in ascending order")


def _within(
    rack: Rack, path: str, value: float, low: float, high: float, unit: str = "of critical"
) -> Iterator[Fault]:
    if not low <= value <= high:
        found = f"{value:.4g} {unit} is out of range"
        yield Fault("RW106", rack.where(path), found, f"give {low:.4g} to {high:.4g} {unit}")
