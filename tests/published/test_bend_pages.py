"""Bend deduction worked out on a public page: two outside flanges of 50 mm, 90 degrees, R 3 mm, t 2 mm, K 0.33.

How known: read. The page prints setback 5.0, allowance 5.749, deduction 4.25 (and 4.251) and a flat of 95.75 mm. The
same part on the brake: its flat's ends stand at the backgauge before the stroke, its outside faces after it.
"""

from __future__ import annotations

from math import pi, sqrt

from rackwright.formulas import bend
from rackwright.making.folding import Fold, Strip
from rackwright.making.folding.strip import Pose, section

PAGE = "public page on bend deduction"
A, R, T, K = pi / 2, 3.0, 2.0, 0.33


def test_setback_allowance_deduction_and_flat(published):
    published(PAGE, "outside setback, mm", bend.setback(A, R, T), "5.0", "published")
    published(PAGE, "allowance, mm", bend.bend_allowance(A, R, K, T), "5.749", "published")
    published(PAGE, "deduction, mm", bend.bend_deduction(A, R, K, T), "4.251", "published")
    published(PAGE, "flat of 50 and 50, mm", bend.flat_length(50, 50, A, R, K, T), "95.75", "published")


def test_that_flat_folded_has_the_pages_flanges(published):
    """From each end to the point where the outside faces meet, which lies (sqrt 2 - 1) (R + t) under the arc."""
    flat = 95.75
    strip = Strip(flat, T, K, (Fold(flat / 2, A, R),))
    _, before, behind = section(strip, 0, frozenset(), Pose(False, True), A, 0.0)
    apex = sqrt(2) * (R + T) - (R + T) - (R + T) * (sqrt(2) - 1)
    for name, part in (("before", before[-1]), ("behind", behind[-1])):
        x, y = part.quad[1]
        published(
            PAGE, f"outside flange {name} the bend, mm", sqrt(x * x + (y - apex) ** 2), "50.00", "published"
        )
