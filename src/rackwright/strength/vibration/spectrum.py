"""Random and sine input, and the response of modes to it: arrays in, arrays out.

A quantity that is linear in the motion has, for floor acceleration along one direction, the transfer function
    h(f) = Σ sᵢ Hᵢ(f) + ρ,      Hᵢ = -Lᵢ / (ωᵢ² - ω² + 2 j ζᵢ ωᵢ ω),
sᵢ its value in mode i, and ρ what the modes left out do statically (residual flexibility). An absolute acceleration
is b - ω² h, b the floor's own direction. Random: σ² = ∫ |h|² S df = cᵀ Re(∫ S H H* df) c, so one matrix of
the modes serves every quantity, and every force read off the motion (`Driven`).
The integral is by Gauss's rule between break points that close in on each mode
to a part of its bandwidth: the integrand is smooth on the scale of every interval, and no step is guessed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rackwright.rack.vibration import BroadbandPoint, Tone

__all__ = [
    "Driven",
    "Rows",
    "Shaken",
    "density",
    "driven",
    "integration_points",
    "random_rms",
    "tone_peaks",
    "transfer",
]

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]
CLOSE = np.array(
    [0.0, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0]
)  # half-bandwidths from a mode where the rule breaks
GAUSS = 6  # points an interval
STEPS = 12  # intervals an octave away from modes


@dataclass(frozen=True, eq=False)
class Shaken:
    """The modes as one direction of the floor sees them."""

    hz: Array  # (n,)
    zeta: Array  # (n,)
    pushed: Array  # (n,) participation along the direction

    def coordinates(self, f: Array) -> Complex:
        """(F, n): modal coordinates for a unit floor acceleration."""
        w, wn = 2 * np.pi * f[:, None], 2 * np.pi * self.hz
        return np.asarray(-self.pushed / (wn**2 - w**2 + 2j * self.zeta * wn * w))


@dataclass(frozen=True, eq=False)
class Rows:
    """R quantities: in each mode, left over from higher modes, and the floor's own part.

    `absolute` quantities are accelerations: b - ω² h.
    """

    shape: Array  # (n, R)
    residual: Array  # (R,)
    base: Array  # (R,)
    absolute: NDArray[np.bool_]  # (R,)

    @property
    def columns(self) -> Array:
        """(2n+3, R) for `Driven`."""
        part = np.concatenate([self.shape, self.residual[None]])
        still, moving = np.where(self.absolute, 0.0, part), np.where(self.absolute, part, 0.0)
        return np.concatenate([still, moving, np.where(self.absolute, self.base, 0.0)[None]])


@dataclass(frozen=True, eq=False)
class Driven:
    """What the floor's motion along one direction does to n modes.

    A quantity is read by 2n+3 numbers: off the displacement of each mode and of what the modes left out, off the
    acceleration of the same, and off the floor's own acceleration.
    """

    covariance: Array  # (2n+3, 2n+3) of the random part
    tones: tuple[tuple[float, Complex], ...]  # peak of each tone, and the modes (F, 2n+3) within its spread

    @cached_property
    def _parts(self) -> list[tuple[float, Array, Array]]:
        """Real and imaginary parts, each in one block: a product with a strided one is many times slower."""
        return [(peak, modes.real.copy(), modes.imag.copy()) for peak, modes in self.tones]

    def rms(self, columns: Array) -> Array:
        """(R,) of quantities T (2n+3, R): √diag(Tᵀ Σ T)."""
        return np.asarray(np.sqrt(((self.covariance @ columns) * columns).sum(axis=0).clip(min=0.0)))

    def peaks(self, columns: Array) -> Array:
        """(tones, R), each at its worst frequency within its spread."""
        found = [
            peak * np.sqrt(((real @ columns) ** 2 + (imaginary @ columns) ** 2).max(axis=0))
            for peak, real, imaginary in self._parts
        ]
        return np.array(found).reshape(len(self.tones), columns.shape[1])


def transfer(shaken: Shaken, rows: Rows, f: Array) -> Complex:
    """(F, R)"""
    h = shaken.coordinates(f) @ rows.shape + rows.residual
    w2 = (2 * np.pi * f[:, None]) ** 2
    return np.asarray(np.where(rows.absolute, rows.base - w2 * h, h))


def density(points: Sequence[BroadbandPoint], f: Array) -> Array:
    """The spectral density at f (F,); straight on logarithmic scales, nothing beyond the ends."""
    at, level = np.array([p.frequency for p in points]), np.array([p.density for p in points])
    inside = (f >= at[0]) & (f <= at[-1])
    return np.where(inside, np.exp(np.interp(np.log(f), np.log(at), np.log(level))), 0.0)


def integration_points(corners: Array, shaken: Shaken) -> tuple[Array, Array]:
    """Frequencies (F,) and weights over the range of the corners (Hz, ascending)."""
    low, high = corners[0], corners[-1]
    count = max(1, int(np.ceil(STEPS * np.log2(high / low))))
    near = shaken.hz[:, None] * (1 + shaken.zeta[:, None] * np.concatenate([-CLOSE, CLOSE]))
    breaks = np.concatenate([corners, np.geomspace(low, high, count + 1), near.ravel()])
    breaks = np.unique(breaks[(breaks >= low) & (breaks <= high)])
    keep = np.concatenate([[True], np.diff(breaks) > 1e-9 * breaks[1:]])
    breaks = breaks[keep]
    x, w = np.polynomial.legendre.leggauss(GAUSS)
    half = np.diff(breaks)[:, None] / 2
    return ((breaks[:-1, None] + breaks[1:, None]) / 2 + half * x).ravel(), (half * w).ravel()


def driven(shaken: Shaken, points: Sequence[BroadbandPoint], tones: Sequence[Tone]) -> Driven:
    """The floor's spectrum put on the modes, once for all quantities."""
    size = 2 * len(shaken.hz) + 3
    covariance = np.zeros((size, size))
    if points:
        f, weight = integration_points(np.array([p.frequency for p in points]), shaken)
        modes = np.sqrt(weight * density(points, f))[:, None] * _modes(shaken, f)
        flat = np.concatenate([modes.real, modes.imag])
        covariance = flat.T @ flat
    return Driven(covariance, tuple((tone.peak, _modes(shaken, _spread(shaken, tone))) for tone in tones))


def _modes(shaken: Shaken, f: Array) -> Complex:
    """(F, 2n+3): what a quantity's numbers are multiplied by for a unit floor acceleration."""
    q, w2 = shaken.coordinates(f), (2 * np.pi * f[:, None]) ** 2
    one = np.ones_like(w2)
    return np.asarray(np.concatenate([q, one, -w2 * q, -w2, one], axis=1))


def _spread(shaken: Shaken, tone: Tone) -> Array:
    """Frequencies (F,) that a tone may have, close where modes peak."""
    spread = (tone.spread_percent or 0.0) / 100
    low, high = tone.frequency * (1 - spread), tone.frequency * (1 + spread)
    f = np.array([tone.frequency])
    if spread:
        f = np.concatenate([f, integration_points(np.array([low, high]), shaken)[0], [low, high]])
    return f


def random_rms(shaken: Shaken, rows: Rows, points: Sequence[BroadbandPoint]) -> Array:
    """(R,) root mean square under a random spectrum; zero without one."""
    return driven(shaken, points, ()).rms(rows.columns)


def tone_peaks(shaken: Shaken, rows: Rows, tones: Sequence[Tone]) -> Array:
    """(tones, R) peaks under sines, each at its worst frequency within its spread."""
    return driven(shaken, (), tones).peaks(rows.columns)
