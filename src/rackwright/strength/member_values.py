"""Section and stiffness of the frame's members from a rack's tube and shelf angle, nominal sizes, SI."""

from __future__ import annotations

import numpy as np

from rackwright.formulas import section
from rackwright.rack.model import Rack, Tube

__all__ = ["angle_values", "tube_values"]


def tube_values(rack: Rack, tube: Tube | None = None) -> dict[str, float]:
    """Of the frame's tube, or of another one."""
    tube = tube or rack.definition.tube
    row = rack.rows.materials[tube.material]
    b, t, r = tube.side * 1e-9, tube.wall * 1e-9, tube.corner_radius * 1e-9
    area, second = float(section.tube_area(b, b, t, r)), float(section.tube_inertia(b, b, t, r))
    shear = float(section.tube_shear_area(area, row.nu or 0.33))
    torsion = float(section.tube_torsion(b, b, t, r))
    return {"A": area, "Iy": second, "Iz": second, "J": torsion, "Asy": shear, "Asz": shear, "E": row.E or 0.0,
            "G": row.G or 0.0}  # fmt: skip


def angle_values(rack: Rack) -> dict[str, float]:
    """The panel holds the angle upright, so it bends about its legs' axes, not about its principal ones."""
    angle = rack.definition.shelf_make.angle
    row = rack.rows.materials[angle.material]
    a, b, t = angle.post_leg * 1e-9, angle.carry_leg * 1e-9, angle.thickness * 1e-9
    return {"A": float(section.angle_area(a, b, t, 0.0, 0.0)), "Iy": float(section.angle_inertia(a, b, t, 0.0, 0.0)),
            "Iz": float(section.angle_inertia(b, a, t, 0.0, 0.0)), "J": (a + b - t) * t**3 / 3, "Asy": np.inf,
            "Asz": np.inf, "E": row.E or 0.0, "G": row.G or 0.0}  # fmt: skip
