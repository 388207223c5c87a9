"""Tensile stress areas of the unified fine thread series, in2.

How known: read, on a public table of stress and root areas. A second one differs by one in the last digit
where it cuts off instead of rounding (1/2-20: 0.1599 for 0.15995).
"""

from __future__ import annotations

import pytest

from rackwright.formulas import fastener

ROWS = {
    "10-32": (0.190, 32, "0.02"),
    "1/4-28": (0.250, 28, "0.0364"),
    "5/16-24": (0.3125, 24, "0.0581"),
    "3/8-24": (0.375, 24, "0.0878"),
    "7/16-20": (0.4375, 20, "0.119"),
    "1/2-20": (0.500, 20, "0.160"),
}


@pytest.mark.parametrize("thread", ROWS)
def test_stress_area(published, thread):
    d, pitches, printed = ROWS[thread]
    published(
        "unified thread table", f"UNF {thread}", fastener.stress_area(d, 1 / pitches), printed, "published"
    )
