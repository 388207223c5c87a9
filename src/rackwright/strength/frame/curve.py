"""A maker's load-stretch curve of a strap, rope or chain: force against strain, straight between its points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackwright.strength.frame.model import Array

__all__ = ["Curve"]

CORNER = 1e-9  # of the last force: nearer to a point of the curve is on it


@dataclass(frozen=True, eq=False)
class Curve:
    """Forces (N) at strains, both rising from (0, 0); nothing is known beyond the last point.

    Raises ValueError on a curve that does not begin at (0, 0) or does not rise.
    """

    strain: Array
    force: Array

    def __post_init__(self) -> None:
        e, f = self.strain, self.force
        if len(e) < 2 or e[0] != 0 or f[0] != 0 or (np.diff(e) <= 0).any() or (np.diff(f) <= 0).any():
            raise ValueError("a load-stretch curve rises from zero force at zero stretch")

    @property
    def _work(self) -> Array:
        """Work per length up to each point, N."""
        return np.concatenate(
            [[0.0], np.cumsum(np.diff(self.strain) * (self.force[1:] + self.force[:-1]) / 2)]
        )

    def pull(self, strain: Array) -> tuple[Array, Array, Array]:
        """Force, slope and work per length at strains of any shape: below zero as the first part goes on, above the
        last point as the last one does (`beyond` tells)."""
        n = np.clip(np.searchsorted(self.strain, strain, side="right") - 1, 0, len(self.strain) - 2)
        slope = (np.diff(self.force) / np.diff(self.strain))[n]
        over = strain - self.strain[n]
        return self.force[n] + slope * over, slope, self._work[n] + self.force[n] * over + slope * over**2 / 2

    def sides(self, force: float) -> tuple[float, float]:
        """Slopes below and above a force; they differ at the curve's own points alone."""
        slope, near = np.diff(self.force) / np.diff(self.strain), CORNER * self.force[-1]
        n = np.clip(np.searchsorted(self.force, [force - near, force + near]) - 1, 0, len(slope) - 1)
        return float(slope[n[0]]), float(slope[n[1]])

    def straight(self, low: float, high: float) -> bool:
        """Has it one slope between two forces, and does it reach the greater?"""
        slope = np.diff(self.force) / np.diff(self.strain)
        first = max(int(np.searchsorted(self.force, low, side="right")) - 1, 0)
        last = int(np.searchsorted(self.force, high)) - 1
        met = slope[min(first, last) : max(first, last) + 1]
        return high <= self.force[-1] and bool(met.max() - met.min() <= 1e-9 * met.max())

    def beyond(self, strain: Array) -> Array:
        """Which strains lie beyond the last point."""
        return np.asarray(strain > self.strain[-1])

    def strained(self, force: Array) -> Array:
        """The strain at forces; below zero as the first part goes on."""
        first = self.force[1] / self.strain[1]
        return np.where(force < 0, force / first, np.interp(force, self.force, self.strain))
