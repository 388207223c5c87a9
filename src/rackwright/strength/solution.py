"""A frame solved under its cases, and what follows from that alone: each is worked out once, whoever reads it.

The rack that is judged by it may differ from the one it was made of in what the frame does not see: a damaged ring, a
worn hole.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rackwright.strength.frame import (
    Buckling,
    SecondOrder,
    Settled,
    Standing,
    buckling,
    internal_forces,
    second_order,
    standing,
)  # fmt: skip

__all__ = ["FRACTIONS", "Solution"]

Array = NDArray[np.float64]
FRACTIONS = np.linspace(0.0, 1.0, 5)


@dataclass(frozen=True, eq=False)
class Solution:
    """Where every case came to rest, with what is asked of it. Arrays have axes V (variant) and C (case)."""

    settled: Settled

    @cached_property
    def inside(self) -> Array:
        """(V, C, M, 5, 6): N, Vy, Vz, T, My, Mz at five stations of every member."""
        return internal_forces(self.settled.response, FRACTIONS)

    @cached_property
    def standing(self) -> Standing:
        """Where every case stands, made ready for the two questions below."""
        return standing(self.settled)

    @cached_property
    def buckling(self) -> Buckling:
        """At which multiple of each case the frame buckles: exact for the variant with the least of a case."""
        return buckling(self.standing, least=True)

    @cached_property
    def second(self) -> SecondOrder:
        """Equilibrium on the deformed frame, of every case and variant."""
        return second_order(self.standing)

    @cached_property
    def inside_second(self) -> Array:
        """As `inside`, of the deformed frame."""
        return self.second.internal_forces(FRACTIONS)
