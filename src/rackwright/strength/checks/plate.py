"""A plate pulled off beside its bolts: what prying adds to them, and the plate's own bending.

The plate is a tee's flange that bends as far at the bolts, less their holes, as where it is pulled (alpha = 1): that
is the most that prying adds to the bolts, in balance with the plate's bending, which is judged elastic. Both stay
proportional to the load.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import prying
from rackwright.rack.model import Hardware
from rackwright.reference import Rows
from rackwright.reference.rows import Material
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["Plate", "least_in_bending"]

Array = NDArray[np.float64]


def least_in_bending(row: Material, thickness: float, level: str) -> float | None:
    """The lower of tension and compression in the weaker direction, ultimate or yield, Pa; None where one is missing
    or the row is of another thickness (m)."""
    given = (row.strength("Ftu" if level == "ultimate" else "Fty"), row.strength("Fcy"))
    known = [value for value in given if value is not None]
    return min(known) if row.covers(thickness) and len(known) == 2 else None


@dataclass(frozen=True)
class Plate:
    """A leg or flange on its bolts, lengths in m: `pulled` and `edge` from the bolts, `each` bolt's length of it."""

    rows: Rows
    material: str
    hardware: Hardware
    thickness: float
    pulled: float
    edge: float
    each: float

    def pried(self, pull: Array) -> Array:
        """Tension of a bolt from its pull, N."""
        return np.asarray(prying.pried_tension(pull, **self._sizes), dtype=float)

    def step(self, pull: float) -> Step:
        """How `pried` came about."""
        return "pried_tension", {"T": pull, **self._sizes}

    @property
    def _sizes(self) -> dict[str, float]:
        D, hole = self.rows.bolts[self.hardware.bolt].diameter, self.hardware.hole * 1e-9
        edge = min(self.edge, 1.25 * self.pulled)
        return {"b": self.pulled, "a": edge, "p": self.each, "D": D, "Dh": hole}

    def bending(self, run: Run, id: str, mode: str, pull: Array) -> Margin:
        """The plate between its bolts and where it is pulled."""
        row, D = self.rows.materials[self.material], self.rows.bolts[self.hardware.bolt].diameter
        about = Subject(id, mode, f"{row.id}, lower direction: {row.known}", row.unconfirmed, "Pa")
        Ftu = row.strength("Ftu")
        if Ftu is None or not row.covers(self.thickness):
            return missing(about, f"{row.id} gives no strength for {self.thickness / 0.0254:.3f} in")
        sizes = {
            "b": self.pulled,
            "p": self.each,
            "D": D,
            "Dh": self.hardware.hole * 1e-9,
            "t": self.thickness,
        }

        def steps(at: Index) -> tuple[Step, ...]:
            return (("pried_plate", {"T": float(pull[at[: pull.ndim]]), **sizes}),)

        stress = np.asarray(prying.pried_plate(pull, **sizes), dtype=float)
        return ratio(run.context("ultimate"), about, stress, Ftu, run.fitting_factor, steps)
