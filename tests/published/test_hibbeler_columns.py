"""Hibbeler, Mechanics of Materials, chapter 13, examples 13.1 and 13.2.

How known: read, in a public copy of the chapter.
"""

from __future__ import annotations

from rackwright.formulas import column, section

SOURCE = "Hibbeler, Mechanics of Materials"


def test_13_1_steel_tube(published):
    """Round tube, radii 75 and 70 mm, 7.2 m long, pinned, E 200 GPa: 228.2 kN, 100.2 N/mm2."""
    inertia = section.round_inertia(150.0) - section.round_inertia(140.0)
    load = column.euler_load(200.0, inertia, 7200.0)
    area = section.round_area(150.0) - section.round_area(140.0)
    published(SOURCE, "example 13.1, critical load kN", load, "228.2", "published")
    published(SOURCE, "example 13.1, stress MPa", 1000 * load / area, "100.2", "published")


def test_13_2_wide_flange(published):
    """W200 x 46, A 5890 mm2, Iy 15.3e6 mm4, 4 m, pinned: 1887.6 kN, 320.5 N/mm2, above yield."""
    load = column.euler_load(200.0, 15.3e6, 4000.0)
    by_slenderness = column.euler_stress(
        200e3, column.slenderness(4000.0, section.radius_of_gyration(15.3e6, 5890.0))
    )
    published(SOURCE, "example 13.2, critical load kN", load, "1887.6", "published")
    published(SOURCE, "example 13.2, stress MPa", by_slenderness, "320.5", "published")
