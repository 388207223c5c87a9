"""A public machining formula sheet (3.819 V/D; aluminium 3 to 5 in³/min for one hp), and arithmetic of mill and jet.

How known: the sheet was read; numbers follow from its formulas. Jet time over thickness and quality is the form of
Zeng and Kim's equation, from memory.
"""

from __future__ import annotations

from math import pi, radians

import pytest

from rackwright.formulas import jet, machining
from rackwright.units import unit_factor

SHEET = "machining formula sheet"
INCH, FOOT, MIN, HP = (float(unit_factor(word)) for word in ("in", "ft", "min", "hp"))


def test_speed_and_feed(published):
    """0.5 in end mill at 800 sfm, 3 teeth, 0.004 in a tooth."""
    n = machining.spindle_speed(800 * FOOT / MIN, 0.5 * INCH)
    published(SHEET, "rpm", n * MIN, 6111.549815, "closed form", 1e-9)
    feed = machining.feed_rate(n, 3, 0.004 * INCH)
    published(SHEET, "feed in/min", feed / INCH * MIN, 73.33859778, "closed form", 1e-9)


@pytest.mark.parametrize(("K", "hp"), [(3, 3.055833333), (5, 1.8335)])
def test_removal_rate_and_power(published, K, hp):
    """Slot 0.5 wide, 0.25 deep at 73.34 in/min."""
    Q = machining.removal_rate(0.5 * INCH, 0.25 * INCH, 73.34 * INCH / MIN)
    published(SHEET, "removal rate in³/min", Q / INCH**3 * MIN, 9.1675, "closed form", 1e-9)
    kc = HP / (K * INCH**3 / MIN)  # K in³/min for one hp
    published(SHEET, f"hp at K {K}", machining.cutting_power(Q, kc) / HP, hp, "closed form", 1e-9)


def test_chip_thinning_and_pivot(published):
    published(
        "chip geometry",
        "0.05 of a 0.5 in cutter",
        machining.chip_thinning(0.05, 0.5),
        1.666666667,
        "closed form",
        1e-9,
    )
    e = machining.pivot_error(0.001, radians(90))
    published("geometry", "pivot off 0.001 in at 90 deg", e, 0.001414213562, "closed form", 1e-9)


def test_cycle_of_a_corner_block(published):
    """From a 2 in cube, finished 3.2 in³, minutes and inches."""
    total = machining.block_time(
        8.0 - 3.2, 9.17, 0.6, 24.0, 12.0, 6 * 1.0, 12.0, 9, 8 / 60, 5, 3 / 60, 90 / 60
    )
    published("sum of a cycle", "corner block, min", total, 6.322410033, "closed form", 1e-9)


def test_jet(published):
    published(
        "Zeng-Kim form", "thickness doubled", jet.jet_time_ratio(2.0, 1.0), 2.219138944, "closed form", 1e-9
    )
    published(
        "Zeng-Kim form", "quality 3 to 5", jet.jet_time_ratio(1.0, 5 / 3), 1.799393147, "closed form", 1e-9
    )
    published("geometry", "offset of kerf 0.042", jet.jet_offset(0.042), 0.021, "closed form")
    published("geometry", "0.5 hole without offset", jet.uncompensated_hole(0.5, 0.042), 0.542, "closed form")


def test_time_of_a_blank(published):
    """3 x 1.5 in, corners 0.375, one 0.5 hole at half speed, 10 in/min, two pierces of 6 s, moves 10 s; minutes."""
    outer = jet.rounded_rectangle_perimeter(3.0, 1.5, 0.375)
    published("geometry", "blank, outer path in", outer, 8.35619449, "closed form", 1e-9)
    time = jet.jet_time(outer, 0.5 * pi, 10.0, 0.5, 2, 0.1, 10 / 60)
    published("sum of a cycle", "blank on the jet, min", time, 1.516445381, "closed form", 1e-9)


def test_blanks_of_a_sheet(published):
    """3 x 1.5 in blanks, web 0.25, border 0.375, on 24 x 12 in."""
    published("arithmetic", "columns", jet.blanks_in_a_row(24, 0.375, 0.25, 3.0), 7, "closed form")
    published("arithmetic", "rows", jet.blanks_in_a_row(12, 0.375, 0.25, 1.5), 6, "closed form")
