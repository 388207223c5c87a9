"""Closed forms of named methods, with numbers worked apart from this program.

Kind: closed form. The source gives the formula, the number follows by arithmetic done independently of the
functions here; agreement is to the digits kept (1e-9). Sources are named in each case.
"""

from __future__ import annotations

from math import cos, radians, sin

from rackwright.formulas import (
    bend,
    fastener,
    kerf,
    mass_props,
    strap,
    thermal,
    tightening,
)  # fmt: skip
from rackwright.units import unit_factor

LBF, LB = float(unit_factor("lbf")), float(unit_factor("lb"))
KIND = "closed form"


def test_three_boxes(published):
    m, x, y, z = [22, 14, 9], [0.30, 0.32, 0.25], [0.25, 0.25, 0.30], [0.20, 0.60, 1.00]
    sides = [(0.45, 0.40, 0.18), (0.45, 0.40, 0.13), (0.40, 0.35, 0.09)]
    own = [[mass_props.box_inertia(mass, *(s for i, s in enumerate(side) if i != axis))
            for mass, side in zip(m, sides, strict=True)] for axis in range(3)]  # fmt: skip
    published(
        "parallel axes", "three boxes, Ixx", mass_props.total_inertia(own[0], m, y, z), 5.034177778, KIND
    )
    published(
        "parallel axes", "three boxes, Iyy", mass_props.total_inertia(own[1], m, x, z), 5.199260556, KIND
    )
    published(
        "parallel axes", "three boxes, Izz", mass_props.total_inertia(own[2], m, x, y), 1.344832778, KIND
    )
    published(
        "statics", "three boxes, sum m x z", mass_props.product_of_inertia(m, x, z), -0.1996444444, KIND
    )
    rod = mass_props.parallel_axis(mass_props.rod_inertia(2.0, 0.9), 2.0, 0.4)
    published("parallel axes", "rod 2 kg, 0.9 m, 0.4 m off", rod, 0.455, KIND)


def test_weighing(published):
    pads, readings = [(0, 0), (30, 0), (30, 20), (0, 20)], [48.2, 51.6, 60.9, 57.3]
    published(
        "statics", "four scales, x in", mass_props.centre(readings, [p[0] for p in pads]), 15.48165138, KIND
    )
    found = mass_props.height_by_tilt(14.0, 14 * cos(radians(20)) - 18 * sin(radians(20)), radians(20))
    published("statics", "height by tilt, in", found, 18.0, KIND)


def test_test_bend_gives_k_again(published):
    found = bend.k_from_test_bend(4.0, 2.381, 1.7598, radians(45), 0.375, 0.25)
    published("AC 43.13-1B 4-56, solved for K", "test bend", found, 0.4198769263, KIND)
    published(
        "Gardiner 1957",
        "300 MPa, R 50, t 2",
        bend.springback_ratio(300.0, 210e3, 50.0, 2.0),
        0.8930393586,
        KIND,
    )


def test_shop_arithmetic(published):
    published(
        "arithmetic", "pieces of 23.375 in", kerf.pieces_per_bar(144.0, 0.5, 2.0, 0.125, 23.375), 6.0, KIND
    )
    published(
        "geometry",
        "mitre short side, in",
        kerf.mitre_short_side(24.0, 1.5, radians(45), radians(45)),
        21.0,
        KIND,
    )
    published(
        "geometry", "wall from weight, in", kerf.wall_from_weight(5.55, 0.098, 144.0, 1.0), 0.1105395761, KIND
    )
    published("statics", "strap share, shorter", strap.strap_share([40.0, 60.0])[0], 0.6, KIND)
    published(
        "AC 43.13-1B figure 7-2",
        "crowfoot, in lbf",
        tightening.wrench_setting(100.0, 10.0, 1.5),
        86.95652174,
        KIND,
    )
    preload_factor = tightening.nut_factor(50.0, 40e3 * fastener.stress_area(0.25, 1 / 28), 0.25)
    published("AC 43.13-1B table 7-1", "implied nut factor", preload_factor, 0.1374615302, KIND)


def test_warm_saw(published):
    """48 in at 95 F, aluminium 23.1e-6/K; compensated stop, and a steel scale at 11.5e-6/K."""
    warm = (95.0 - 68.0) * 5 / 9
    published(
        "Swyt 1994", "compensated stop, in", thermal.stop_setting(48.0, 23.1e-6, 0.0, warm), 48.016632, KIND
    )
    published(
        "Swyt 1994",
        "steel scale, in",
        thermal.stop_setting(48.0, 23.1e-6, 11.5e-6, warm),
        48.008352,
        KIND,
        1e-7,
    )
    published("Swyt 1994", "steel rule at 90 F, in", thermal.length_at_reference(48.0, 23.1e-6, 11.5e-6, 110 / 9),
              47.99319467, KIND, 1e-7)  # fmt: skip
