"""Mass, centre and inertia of simple solids, and the names of stock sections.

Inertia about the solid's own centre: box m(a²+b²)/12; a prism of section area A and second moments I has
m(I/A) about its axis pair plus m L²/12 across.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.pieces.model import IN, Box, axis_index

__all__ = ["Solid", "angle_section", "box_solid", "inches", "prism", "square_section"]

Triple = tuple[float, float, float]


@dataclass(frozen=True)
class Solid:
    """Mass (kg), centre (m, rack axes), inertia about the centre (kg m²)."""

    mass: float
    cg: Triple
    inertia: Triple


def box_solid(box: Box, density: float) -> Solid:
    a, b, c = (box.size(i) * 1e-9 for i in range(3))
    mass = density * a * b * c
    return Solid(
        mass,
        box.centre,
        (mass * (b * b + c * c) / 12, mass * (a * a + c * c) / 12, mass * (a * a + b * b) / 12),
    )


def prism(
    centre: Triple, axis: str, length: int, area: float, second: tuple[float, float], density: float
) -> Solid:
    """A bar of constant section: `second` are its second moments (m⁴) about the two cross axes in xyz order."""
    long = length * 1e-9
    mass, along = density * area * long, axis_index(axis)
    cross = [i for i in range(3) if i != along]
    inertia = [0.0, 0.0, 0.0]
    inertia[along] = mass * sum(second) / area
    for i, moment in zip(cross, second, strict=True):
        inertia[i] = mass * (moment / area + long * long / 12)
    return Solid(mass, centre, (inertia[0], inertia[1], inertia[2]))


def together(solids: list[Solid]) -> Solid:
    """Several solids as one (parallel axes)."""
    mass = sum(s.mass for s in solids)
    cg = [sum(s.mass * s.cg[i] for s in solids) / mass for i in range(3)]
    inertia = [0.0, 0.0, 0.0]
    for s in solids:
        d = [s.cg[i] - cg[i] for i in range(3)]
        for i in range(3):
            inertia[i] += s.inertia[i] + s.mass * (sum(x * x for x in d) - d[i] * d[i])
    return Solid(mass, (cg[0], cg[1], cg[2]), (inertia[0], inertia[1], inertia[2]))


def inches(nm: int) -> str:
    """Inches without trailing zeros, for section names."""
    return f"{nm / IN:.5f}".rstrip("0").rstrip(".")


def square_section(side: int, wall: int) -> str:
    return f"SQ {inches(side)}x{inches(wall)}"


def angle_section(leg: int, other: int, thickness: int) -> str:
    return f"L {inches(leg)}x{inches(other)}x{inches(thickness)}"
