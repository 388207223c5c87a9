"""A maker's load-stretch curve of a strap, rope or chain: force against strain, straight between its points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackwright.strength.frame.model import Array

__all__ = ["Curve"]


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

    def beyond(self, strain: Array) -> Array:
        """Which strains lie beyond the last point."""
        return np.asarray(strain > self.strain[-1])

    def strained(self, force: Array) -> Array:
        """The strain at forces; below zero as the first part goes on."""
        first = self.force[1] / self.strain[1]
        return np.where(force < 0, force / first, np.interp(force, self.force, self.strain))
