"""Worked examples of milling, drilling and tapping, from public pages.

How known: read. A tool maker's page (25 m/min, 12 mm; feeds of cutters of two to four flutes); a machining textbook's
page on face milling (8 teeth, 150 rpm, 0.1 mm a tooth, 1000 N/mm², 321 mm of travel); an examination answer on drilling
(20 mm, 20 m/min, 0.25 mm a turn, 25 mm); two pages on tap drills (1/4-20 at 75 percent).
"""

from __future__ import annotations

import pytest

from rackwright.formulas import machining

MAKER, BOOK = "tool maker's page on speeds", "machining textbook, face milling (public page)"
MIN, MM = 60.0, 1e-3


def test_speed_of_a_12_mm_cutter(published):
    published(
        MAKER, "25 m/min, 12 mm, rpm", machining.spindle_speed(25 / MIN, 12 * MM) * MIN, "663", "published"
    )


@pytest.mark.parametrize(("flutes", "fz", "theirs"), [(2, 0.065, "86"), (3, 0.065, "129"), (4, 0.06, "159")])
def test_feed_of_a_12_mm_cutter(published, flutes, fz, theirs):
    feed = machining.feed_rate(663 / MIN, flutes, fz * MM)
    published(MAKER, f"{flutes} flutes of {fz} mm, mm/min", feed / MM * MIN, theirs, "published")


def test_face_milling(published):
    """30 mm cutter over its whole width, 4 mm deep: the cut's power is the rate times the specific force."""
    vf = machining.feed_rate(150 / MIN, 8, 0.1 * MM)
    published(BOOK, "feed, mm/min", vf / MM * MIN, "120", "published")
    published(
        BOOK, "time of 321 mm, min", machining.drill_time(321 * MM, 0.0, vf) / MIN, 2.68, "published", 3e-3
    )
    P = machining.cutting_power(machining.removal_rate(30 * MM, 4 * MM, vf), 1000e6)
    published(BOOK, "cutting power, kW", P / 1e3, "0.24", "published")


def test_drilling(published):
    source = "public examination answer, drilling"
    n = machining.spindle_speed(20 / MIN, 20 * MM)
    published(source, "20 m/min, 20 mm, rpm", n * MIN, "318.31", "published")
    vf = machining.feed_rate(n, 1, 0.25 * MM)
    published(
        source, "25 mm at 0.25 mm, min", machining.drill_time(25 * MM, 0.0, vf) / MIN, "0.314", "published"
    )


def test_breakthrough_of_a_drill(published):
    """The trade's 0.3 D for a point of 118 deg."""
    ours = machining.drill_point(1.0, 118 * 3.141592653589793 / 180)
    published("trade rule for drill points", "118 deg, over D", ours, "0.3", "from memory")


@pytest.mark.parametrize("source", ["tap drill page", "tap drill forum page"])
def test_tap_drill(published, source):
    """0.250 - 0.0130 x 75 / 20, printed 0.2013 and 0.201 in."""
    ours = machining.tap_drill(0.25, 0.75, 1 / 20)
    published(
        source, "1/4-20 at 75 percent, in", ours, "0.2013" if "forum" not in source else "0.201", "published"
    )


@pytest.mark.parametrize(("D", "n", "theirs"), [(0.25, 28, 0.2152053571), (0.19, 32, 0.1595546875)])
def test_tap_drill_by_the_handbook_rule(published, D, n, theirs):
    """D - 0.01299 x 75 / n, the constant rounded."""
    published(
        "tap drill rule", f"{D}-{n}, in", machining.tap_drill(D, 0.75, 1 / n), theirs, "closed form", 1e-5
    )
