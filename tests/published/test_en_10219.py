"""EN 10219-2, cold formed welded structural hollow sections: sectional properties of rectangular sections.

How known: read, in a public table after the standard. mm in, cm out; outside corner radius 2 t up to 6 mm.
The standard's torsion constant is Bredt's plus t3 p/3 of the wall itself (p = length of the middle line).
"""

from __future__ import annotations

from math import pi

import pytest

from rackwright.formulas import section

SOURCE = "EN 10219-2, rectangular sections"

ROWS = {  # h, b, t: area, Ix, Wx, plastic Wx, ix, Iy, Wy, plastic Wy, iy, torsion
    (40, 20, 2.0): ("2.14", "4.05", "2.02", "2.61", "1.38", "1.34", "1.34", "1.60", "0.79", "3.45"),
    (40, 30, 3.0): ("3.61", "7.27", "3.63", "4.61", "1.42", "4.60", "3.07", "3.77", "1.13", "9.72"),
    (50, 30, 4.0): ("5.35", "15.25", "6.10", "8.05", "1.69", "6.69", "4.46", "5.58", "1.12", "16.53"),
}


@pytest.mark.parametrize("size", ROWS, ids=lambda size: "x".join(f"{v:g}" for v in size))
def test_rounded_tube(published, size):
    h, b, t = (value / 10 for value in size)
    r, name = 2 * t, "x".join(f"{value:g}" for value in size)
    area, major, minor = (
        section.tube_area(b, h, t, r),
        section.tube_inertia(b, h, t, r),
        section.tube_inertia(h, b, t, r),
    )
    length = 2 * (b + h - 2 * t) - (8 - 2 * pi) * (r - t / 2)
    ours = {
        "A": area, "Ix": major, "Wx": section.section_modulus(major, h / 2),
        "Wpx": section.tube_plastic(b, h, t, r), "ix": section.radius_of_gyration(major, area),
        "Iy": minor, "Wy": section.section_modulus(minor, b / 2), "Wpy": section.tube_plastic(h, b, t, r),
        "iy": section.radius_of_gyration(minor, area),
        "It": section.tube_torsion(b, h, t, r) + t**3 * length / 3,
    }  # fmt: skip
    for (symbol, value), printed in zip(ours.items(), ROWS[size], strict=True):
        published(SOURCE, f"{name}, {symbol}", value, printed, "published")
