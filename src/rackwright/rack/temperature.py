"""How warm and how cold the rack gets in the aircraft, and how what it is made of grows, as frozen data of documents.

The rack is fixed to the aircraft at one temperature and then lives between two extremes, the floor, the frame and its
straps each at the same one. Where they grow differently they press on each other. Nothing here has a default but the
one limit: reference rows are of room temperature, 10 to 38 °C (ASTM E8/E8M-21 §1.4, read), so that a hotter rack has
no margin until a document says what is left of its strength.
"""

from __future__ import annotations

from typing import Annotated

from rackwright.fields import Name, Number, Quantity, Temperature, Text
from rackwright.fields import definition as _definition
from rackwright.reference import Rows

__all__ = ["ROOM", "At", "Coefficient", "Expands", "Left", "Temperatures"]

ROOM = 311.15  # K: up to here reference rows hold
Coefficient = Annotated[float, Quantity("expansion")]  # 1/K; some fibres shrink as they warm


@_definition
class At:
    """A temperature, K, with the document that states it."""

    at: Temperature
    document: Text | None = None


@_definition
class Expands:
    """How a material grows: by a reference row of expansion, or by a coefficient with its document."""

    row: Name | None = None
    coefficient: Coefficient | None = None
    document: Text | None = None

    def per_kelvin(self, rows: Rows) -> float:
        """Mean coefficient, 1/K; KeyError where the row does not exist."""
        return rows.expansions[self.row or ""].alpha_per_K if self.coefficient is None else self.coefficient

    def source(self, rows: Rows) -> str:
        """Who says so, in words."""
        if self.coefficient is not None:
            return self.document or "no document"
        row = rows.expansions[self.row or ""]
        return f"{row.id}: {row.known}"


@_definition
class Left:
    """What is left of strength and stiffness at the hot extreme: the least share of any value of any part."""

    share: Number
    document: Text


@_definition
class Temperatures:
    """Fixed: as the rack was fastened and its straps tensioned. Frame: tubes, blocks, angles and panels, one metal."""

    fixed: At
    hot: At
    cold: At
    floor: Expands
    frame: Expands
    left: Left | None = None
