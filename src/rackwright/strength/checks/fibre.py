"""How the stresses of one fibre come together, as steps that a reader can follow."""

from __future__ import annotations

from rackwright.strength.margin import Step

__all__ = ["fibre_steps"]


def fibre_steps(N: float, A: float, f1: float, f2: float) -> tuple[Step, ...]:
    """Axial force (N) on its area (m²), and its stress added to those of two bendings above (Pa)."""
    return ("axial_stress", {"N": N, "A": A}), ("fibre_stress", {"fa": N / A, "f1": f1, "f2": f2})
