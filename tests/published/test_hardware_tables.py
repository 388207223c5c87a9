"""Hardware: torque table, nuts and shear of bolts, beside what public copies print.

FAA AC 43.13-1B, table 7-1 (read in three public copies) and paragraphs 7-40, 7-64f and 7-37. Shear of a shank is the
class strength on the shank's area, which the circular's own 2,126 lb for an AN-3 confirms elsewhere in these checks.
The driven shear of AD rivets is remembered from MIL-HDBK-5 table 8.1.2.
"""

from __future__ import annotations

import pytest

from rackwright import reference
from rackwright.formulas import fastener, tightening
from rackwright.making.assembly import TorqueRange
from rackwright.units import unit_factor

AC, ARITHMETIC = "FAA AC 43.13-1B", "arithmetic"
LBF, INLBF = float(unit_factor("lbf")), float(unit_factor("in*lbf"))
ROWS = [  # thread: tension nut from, to, shear nut from, to, maximum tension, maximum shear
    ("10-32", 20, 25, 12, 15, 40, 25), ("1/4-28", 50, 70, 30, 40, 100, 60), ("5/16-24", 100, 140, 60, 85, 225, 140),
    ("3/8-24", 160, 190, 95, 110, 390, 240), ("1/4-20", 40, 50, 25, 30, 75, 45), ("5/16-18", 80, 90, 48, 55, 160, 100),
    ("3/8-16", 160, 185, 95, 100, 275, 170),
]  # fmt: skip
FIELDS = (
    "tension_nut_min",
    "tension_nut_max",
    "shear_nut_min",
    "shear_nut_max",
    "limit_tension_nut",
    "limit_shear_nut",
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_table_7_1_all_columns(published, row):
    ours = reference.shipped().torques[row[0]]
    for name, printed in zip(FIELDS, row[1:], strict=True):
        published(AC, f"table 7-1, {row[0]} {name}", getattr(ours, name) / INLBF, str(printed), "published")


def test_7_64f_what_a_non_metallic_insert_stands(published):
    for nut in ("AN365-428", "MS21044N4"):
        degf = reference.shipped().nuts[nut].most_temperature * 9 / 5 - 459.67
        published(AC, f"7-64f, {nut}, degF", degf, "250", "published")


def test_7_40d_drag_is_added_and_the_limit_with_it(published):
    """Table 60 in-lb and 12 in-lb of drag: 72 in-lb; the limit of 100 in-lb becomes 112."""
    published(AC, "7-40d by hand", tightening.final_torque(60.0, 12.0), "72", "closed form")
    final = TorqueRange(50.0, 60.0, 100.0, "table 7-1").final(12.0)
    for ours, theirs in zip(final, ("62", "72", "112"), strict=True):
        published(AC, "7-40d, 7-40f by hand", ours, theirs, "closed form")


def test_nut_factor_that_table_7_1_implies(published):
    """1/4-28 at 40,000 psi: area pi/4 (0.25 - 0.9743/28)^2 = 0.036374 in2, 1455 lbf, K = T/(F D)."""
    area = fastener.stress_area(0.25, 1 / 28)
    published(ARITHMETIC, "stress area 1/4-28", area, "0.036374", "closed form")
    for torque, factor in ((50.0, "0.13746"), (70.0, "0.19245")):
        published(
            ARITHMETIC,
            f"K at {torque:g} in-lb",
            tightening.nut_factor(torque, 40e3 * area, 0.25),
            factor,
            "closed form",
        )
        published(ARITHMETIC, f"preload at {torque:g} in-lb", tightening.preload(torque, float(factor), 0.25), 1454.95,
                  "closed form", tol=1e-4)  # fmt: skip


def test_a_wrench_with_an_adapter_in_line(published):
    published("figure 7-2, formula remembered", "100 in-lb, 10 in + 1.5 in",
              tightening.wrench_setting(100.0, 10.0, 1.5), "86.96", "from memory")  # fmt: skip


@pytest.mark.parametrize(
    ("bolt", "ksi", "pounds"),
    [("AN5", 75, "5752"), ("AN6", 75, "8283"), ("NAS1303", 95, "2694"), ("NAS1304", 95, "4663"),
     ("NAS1305", 95, "7286"), ("NAS1306", 95, "10492")],
)  # fmt: skip
def test_shear_of_bolts(published, bolt, ksi, pounds):
    """Class strength times pi d^2/4; our rows hold the same number to a pound or so."""
    row = reference.shipped().bolts[bolt]
    by_formula = fastener.shank_shear(ksi * 1e3, row.diameter / 0.0254, 1)
    published(ARITHMETIC, f"{bolt} at {ksi} ksi", by_formula, pounds, "closed form")
    assert row.single_shear / LBF == pytest.approx(by_formula, abs=1.5)


@pytest.mark.parametrize(("hole", "pounds"), [(0.096, 217), (0.1285, 388), (0.159, 596), (0.191, 862)])
def test_driven_shear_of_ad_rivets(published, hole, pounds):
    published("MIL-HDBK-5 table 8.1.2", f"AD rivet in a {hole} in hole", fastener.shank_shear(30e3, hole, 1), pounds,
              "from memory", tol=0.004)  # fmt: skip
