"""sectionproperties 3.10.2, a peer library: the same sections by finite elements.

Kind: peer library. Mesh area 2e-4 in2, 32 points a corner, so areas and moments agree to about 1e-3 and
torsion to its own mesh. Bredt's thin-wall torsion is expected about two percent below the meshed value. Shear
stresses: 1000 lbf and 1000 in-lbf; at mid-depth, and the mean through the middle of a wall, meshed to an eighth of t².
"""

from __future__ import annotations

import pytest

from rackwright.formulas import section, spigot, thin_wall

SOURCE = "sectionproperties 3.10.2"


def test_square_tube(published):
    """1.5 x 1.5 x 0.125 in, outside radius 0.1875 in."""
    size = (1.5, 1.5, 0.125, 0.1875)
    published(
        SOURCE, "tube 1.5 x 1.5 x 0.125, A", section.tube_area(*size), 0.6606747704, "peer library", 1e-3
    )
    published(
        SOURCE, "tube 1.5 x 1.5 x 0.125, I", section.tube_inertia(*size), 0.2045072005, "peer library", 1e-3
    )
    published(
        SOURCE, "tube 1.5 x 1.5 x 0.125, Z", section.tube_plastic(*size), 0.3361187278, "peer library", 2e-3
    )
    published(
        SOURCE, "tube 1.5 x 1.5 x 0.125, J", section.tube_torsion(*size), 0.3387746328, "peer library", 0.02
    )
    assert section.tube_torsion(*size) < 0.3387746328


def test_rectangular_tube(published):
    """2 x 1 x 0.083 in, outside radius 0.125 in; depth 1 in and depth 2 in."""
    low, tall = (2.0, 1.0, 0.083, 0.125), (1.0, 2.0, 0.083, 0.125)
    published(
        SOURCE, "tube 2 x 1 x 0.083, Ix", section.tube_inertia(*low), 0.07526421523, "peer library", 1e-3
    )
    published(
        SOURCE, "tube 2 x 1 x 0.083, Iy", section.tube_inertia(*tall), 0.2265037498, "peer library", 1e-3
    )
    published(
        SOURCE, "tube 2 x 1 x 0.083, Zx", section.tube_plastic(*low), 0.1753643939, "peer library", 2e-3
    )
    published(SOURCE, "tube 2 x 1 x 0.083, J", section.tube_torsion(*low), 0.1863139751, "peer library", 0.02)


@pytest.mark.parametrize(
    ("name", "size", "area", "centroid", "inertia"),
    [
        ("1.5 x 1.5 x 0.125", (1.5, 1.5, 0.125, 0.1875, 0.0625), 0.3652522077, 0.4142004708, 0.0772120411),
        ("2 x 1.25 x 0.125", (2.0, 1.25, 0.125, 0.1, 0.05), 0.3916996894, 0.658606468, 0.1620760843),
        ("1.25 x 2 x 0.125", (1.25, 2.0, 0.125, 0.1, 0.05), 0.3916996894, 0.2856642104, 0.04985235859),
    ],
)
def test_angles(published, name, size, area, centroid, inertia):
    """Root and toe radii rounded; legs across and along the axis."""
    published(SOURCE, f"angle {name}, A", section.angle_area(*size), area, "peer library", 1e-3)
    published(SOURCE, f"angle {name}, y", section.angle_centroid(*size), centroid, "peer library", 1e-3)
    published(SOURCE, f"angle {name}, I", section.angle_inertia(*size), inertia, "peer library", 1e-3)


@pytest.mark.parametrize(
    ("b", "t", "r", "transverse", "torsion", "close"),
    [
        (1.5, 0.125, 0.1875, 3289.371490, 2112.092530, 0.01),  # a wall of a twelfth: Bredt is a little high
        (1.5, 0.065, 0.13, 6062.189025, 3742.265684, 0.003),
        (2.0, 0.083, 0.166, 3552.955690, 1642.164210, 0.003),
    ],
)
def test_shear_stress_of_square_tubes(published, b, t, r, transverse, torsion, close):
    size = (b, b, t, r)
    found = thin_wall.tube_shear_stress(1000.0, section.tube_plastic(*size), section.tube_inertia(*size), t)
    published(SOURCE, f"tube {b} x {t}, shear, psi", found, transverse, "peer library", 1e-3)
    found = thin_wall.tube_torsion_stress(1000.0, thin_wall.enclosed_area(*size), t)
    published(SOURCE, f"tube {b} x {t}, torsion, psi", found, torsion, "peer library", close)


def test_shear_stress_of_a_solid_square(published):
    """1 x 1 in under 1 lbf and 1 in-lbf."""
    published(
        SOURCE, "square, shear, psi", spigot.rectangle_shear(1.0, 1.0, 1.0), 1.500987732, "peer library", 1e-3
    )
    published(SOURCE, "square, torsion, psi", spigot.square_torsion(1.0, 1.0), 4.804874, "peer library", 1e-3)
