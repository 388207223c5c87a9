"""FAA AC 43.13-1B, Acceptable Methods, Techniques, and Practices (8 September 1998, change 1 27 September 2001).

How known: read, in stored public copies of the pages. Answers stand in the circular.
"""

from __future__ import annotations

from math import radians

import pytest

from rackwright import reference
from rackwright.formulas import bend, fastener
from rackwright.units import unit_factor

SOURCE = "FAA AC 43.13-1B"
LBF = float(unit_factor("lbf"))


def test_4_56b2_bent_through_45_degrees(published):
    """0.064 in sheet, inside radius 0.25 in, open angle 135 degrees."""
    published(SOURCE, "4-56b(2) K at 45 deg", bend.setback(radians(45), 1.0, 0.0), "0.41421", "published")
    published(SOURCE, "4-56b(2) setback", bend.setback(radians(45), 0.25, 0.064), "0.130", "published")


def test_4_56b3_bent_through_135_degrees(published):
    published(SOURCE, "4-56b(3) K at 135 deg", bend.setback(radians(135), 1.0, 0.0), "2.4142", "published")
    published(SOURCE, "4-56b(3) setback", bend.setback(radians(135), 0.25, 0.064), "0.758", "published")


@pytest.mark.parametrize(
    ("degrees", "printed"), [(1, "0.0087"), (45, "0.4142"), (90, "1.000"), (120, "1.732"), (150, "3.732")]
)
def test_table_4_7_setback_factor(published, degrees, printed):
    ours = bend.setback(radians(degrees), 1.0, 0.0)
    published(SOURCE, f"table 4-7, {degrees} deg", ours, printed, "published")


def test_tables_4_9_and_4_10_note_d_shear_of_an_an3_bolt(published):
    """The note prints 2,126 lb for an AN-3 bolt at 75 ksi."""
    by_formula = fastener.shank_shear(75.0e3, 0.190, 1)
    by_row = reference.shipped().bolts["AN3"].single_shear / LBF
    published(SOURCE, "table 4-9 note d, by formula", by_formula, "2,126", "published")
    published(SOURCE, "table 4-9 note d, our row", by_row, "2,126", "published")


@pytest.mark.parametrize(
    ("thread", "low", "high", "limit"),
    [("10-32", "20", "25", "40"), ("1/4-28", "50", "70", "100"), ("3/8-24", "160", "190", "390")],
)
def test_table_7_1_torque_rows(published, thread, low, high, limit):
    """In pounds-inch, tension-type nuts, fine thread: recommended range and maximum."""
    row, unit = reference.shipped().torques[thread], float(unit_factor("in*lbf"))
    for name, value, printed in (("from", row.tension_nut_min, low), ("to", row.tension_nut_max, high),
                                 ("maximum", row.limit_tension_nut, limit)):  # fmt: skip
        published(SOURCE, f"table 7-1, {thread} {name}", value / unit, printed, "published")
