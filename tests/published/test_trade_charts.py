"""Small public charts of the trade: sling angles, powder coverage, a bearing note, AN bolt grips.

How known: read, on public pages. Sling-angle chart (tension factor by angle from the horizontal); powder
coverage pages (specific gravity 1.6, 2 mil); a note quoting MIL-HDBK-5J table 8.1.5.1 (bearing of a 1/4 in
bolt in 0.10 in sheet at 100 ksi); a builder's manual's table of AN bolts (grip and length, inches).
"""

from __future__ import annotations

from math import radians

import pytest

from rackwright import reference
from rackwright.formulas import coating, fastener, strap
from rackwright.units import unit_factor

INCH = float(unit_factor("in"))


@pytest.mark.parametrize(("degrees", "printed"), [(90, "1.000"), (60, "1.155"), (45, "1.414"), (30, "2.000")])
def test_sling_angle_chart(published, degrees, printed):
    published(
        "sling-angle chart", f"{degrees} deg", strap.sling_factor(radians(degrees)), printed, "published"
    )


def test_powder_coverage(published):
    """ft2/lb; the pages' constant 192.3 hides the density of water (62.4 lb/ft3) and the unit conversions.

    They print 30.05 for half the powder lost, which is half of the rounded 60.1 and so is not compared.
    """
    area = coating.powder_coverage(1600.0, 2.0 * float(unit_factor("mil")), 1.0)
    ours = area * float(unit_factor("lb")) / float(unit_factor("ft2"))
    published("powder coverage pages", "SG 1.6, 2 mil, nothing lost", ours, "60.1", "published")


def test_unit_bearing(published):
    ours = fastener.bearing_strength(100e3, 0.250, 0.10)
    published("note on MIL-HDBK-5J 8.1.5.1", "1/4 in bolt, 0.10 in, 100 ksi", ours, "2500", "published")


@pytest.mark.parametrize(
    ("bolt", "dash", "grip", "length"),
    [
        ("AN3", 4, ".125", ".531"), ("AN3", 14, "1.125", "1.531"),
        ("AN4", 5, ".188", ".656"), ("AN4", 12, ".813", "1.281"),
        ("AN5", 7, ".438", ".969"), ("AN5", 13, ".938", "1.469"),
        ("AN6", 6, ".188", ".828"), ("AN6", 11, ".563", "1.203"),
    ],
)  # fmt: skip
def test_an_bolt_table(published, bolt, dash, grip, length):
    rule = reference.shipped().grips[bolt]
    published("AN bolt table", f"{bolt}-{dash} grip", rule.grip(dash) / INCH, grip, "published")
    published("AN bolt table", f"{bolt}-{dash} length", rule.length(dash) / INCH, length, "published")
