"""Closed forms of named methods, with numbers worked apart from this program.

Kind: closed form. The source gives the formula, the number follows by arithmetic done independently of the
functions here; agreement is to the digits kept (1e-9). Sources are named in each case.
"""

from __future__ import annotations

from math import cos, pi, radians, sin

import pytest

from rackwright.formulas import (
    bend,
    column,
    fastener,
    fastener_group,
    interaction,
    kerf,
    loads,
    lug,
    mass_props,
    net_section,
    plate_buckling,
    strap,
    thermal,
    tightening,
)  # fmt: skip
from rackwright.units import unit_factor

LBF, LB = float(unit_factor("lbf")), float(unit_factor("lb"))
KIND = "closed form"


def test_euler_with_three_end_conditions(published):
    """E 70 GPa, I 9.5e-8 m4, L 0.8 m; fixed-pinned from the first root of tan x = x."""
    for ends, factor, answer in (("pinned-pinned", 1.0, 102551.3582), ("fixed-pinned", 0.699155659, 209794.2889),
                                 ("fixed-fixed", 0.5, 410205.4329)):  # fmt: skip
        found = column.euler_load(70e9, 9.5e-8, factor * 0.8)
        published("Euler", f"column {ends}, N", found, answer, KIND, 1e-6)


def test_johnson_parabola(published):
    """Fcc 34 ksi, Ec 10.1e6 psi: short, at the transition, long."""
    E, Fcc = 10.1e6, 34e3
    published("Johnson-Euler", "transition", column.transition_slenderness(E, Fcc), 76.57484015, KIND)
    for s, answer in ((40.0, 29361.29551), (76.57484014999, 17000.0), (90.0, 12306.54376)):
        published("Johnson-Euler", f"L/rho {s:.6g}, psi", column.johnson_euler(E, Fcc, s), answer, KIND)


def test_one_inch_tube_column(published):
    """1.0 x 0.125 in tube, 24 in pinned, E 9.9e6, Fcy 34 ksi: Euler 9663.4 lbf, Johnson 9150.7 lbf."""
    I, A = 0.05696614583, 0.4375
    load = column.euler_load(9.9e6, I, 24.0)
    johnson = column.johnson_euler(9.9e6, 34e3, 24.0 / (I / A) ** 0.5) * A
    published("Euler", "1 in tube, 24 in, lbf", load, 9663.38525, KIND, 1e-8)
    published("Johnson-Euler", "1 in tube, 24 in, lbf", johnson, 9150.669983, KIND, 1e-8)


def test_engesser(published):
    euler = column.euler_load(70e9, 9.5e-8, 0.8)
    published("Engesser", "pinned, shear-flexible, N", column.shear_flexible_load(euler, 3.696e-6, 26e9),
              49609.3953, KIND)  # fmt: skip


def test_beam_column_secant(published):
    """Uniform load 300 N/m, 1 m, axial half of Euler."""
    found = column.beam_column_moment(300.0, 1.0, 0.5, 1.0)
    published("Timoshenko & Gere", "secant form, N m", found, 76.12292359, KIND, 1e-8)


def test_gerard_crippling(published):
    found = column.crippling_stress(34e3, 10.1e6, 0.035, 0.2051, 12)
    published("Gerard, Bruhn C7", "square tube 1.5 x 0.035, psi", found, 22786.30527, KIND)


def test_flat_wall(published):
    found = plate_buckling.plate_buckling(4.0, 9.9e6, 0.33, 0.049, 1.402)
    published("Timoshenko & Gere", "wall 1.402 x 0.049, psi", found, 44646.08424, KIND)
    assert plate_buckling.wall_strength(4.0, 9.9e6, 0.33, 0.049, 1.402, 34e3) == 34e3


def test_interactions(published):
    published("amplified interaction", "0.35, 0.4, 0.2", interaction.bending_compression(0.35, 0.4, 0.2),
              1.150095058, KIND)  # fmt: skip
    published(
        "bolt interaction, Bruhn D1", "0.6, 0.7", interaction.shear_tension(0.6, 0.7), 1.161741729, KIND
    )
    half = cos(pi / 4)
    published(
        "Melcon & Hoblit", "45 deg, equal strengths", interaction.lug_oblique(half, half), 0.9170040432, KIND
    )


def test_lug(published):
    published(
        "Bruhn D1",
        "40-degree shear-out, lbf",
        lug.lug_shear_out_40(27e3, 0.25, 0.5, 0.125),
        2728.650001,
        KIND,
    )
    published("AFFDL-TR-69-42 section 9", "Kbr 1.2, lbf", lug.lug_axial(1.2, 75e3, 0.5, 0.25), 11250.0, KIND)
    published(
        "AFFDL-TR-69-42 section 9.4", "hav, in", lug.transverse_edge(0.35, 0.5, 0.5, 0.4), 0.3981042654, KIND
    )
    published("ring lug 1.5 in", "net tension, lbf", lug.lug_net_tension(75e3, 1.5, 0.5, 0.25), 18750.0, KIND)
    published("ring lug 1.5 in", "shear-out, lbf", lug.lug_shear_out(50e3, 0.5, 0.75, 0.25), 12500.0, KIND)
    published(
        "statics",
        "bend root of a ring, N m",
        lug.bend_root_moment(5000.0, 0.035, radians(15)),
        45.29333289,
        KIND,
    )


def test_bearing_of_a_3_16_bolt(published):
    """0.190 in bolt in 0.063 in 2024-T3, A basis."""
    for ed, answer in ((2.0, 1544.13), (1.5, 1244.88)):
        allowable = fastener.bearing_allowable(104e3, 129e3, ed)
        found = fastener.bearing_strength(allowable, 0.190, 0.063)
        published("MIL-HDBK-5J 3.2.3.0(b1)", f"bearing at e/D {ed}, lbf", found, answer, KIND)


def test_bearing_between_and_beyond(published):
    published(
        "straight line, e/D 1.5 to 2.0", "1.75, ksi", fastener.bearing_allowable(64.0, 82.0, 1.75), 73.0, KIND
    )
    published("no gain above e/D 2.0", "3.0, ksi", fastener.bearing_allowable(64.0, 82.0, 3.0), 82.0, KIND)


def test_bolt_groups(published):
    x, y = [1, 1, 1, -1, -1, -1], [-2.5, 0, 2.5, -2.5, 0, 2.5]
    force = fastener_group.group_shear(x, y, 0.0, -1200.0, -7200.0)
    published("elastic vector method", "six bolts, polar sum", fastener_group.group_polar(x, y), 31.0, KIND)
    published("elastic vector method", "six bolts, largest lbf", force.max(), 723.8755678, KIND)
    published("elastic vector method", "six bolts, smallest lbf", force.min(), 32.25806452, KIND)
    tension = fastener_group.group_tension(y, 0.0, 3000.0)
    published("elastic vector method", "six bolts, tension lbf", tension.max(), 300.0, KIND)
    skew = fastener_group.group_shear([0, 3, 0], [0, 0, 2], 500.0, -300.0, 800.0)
    for bolt, answer in enumerate((298.4289347, 243.3872303, 197.185989)):
        published("elastic vector method", f"three bolts, no {bolt + 1}, lbf", skew[bolt], answer, KIND)


def test_net_section(published):
    """1.5 x 0.125 in tube, 1/4 in hole through two walls, Ftu 42 ksi."""
    area = net_section.net_area(0.6875, 2, 0.25, 0.125)
    published("geometry", "net section, in2", area, 0.625, KIND)
    published("geometry", "net tension, lbf", net_section.net_tension(42e3, area), 26250.0, KIND)


@pytest.mark.parametrize(
    ("n", "answer"), [(9.0, 4412.9925), (3.0, 1470.9975), (20.0, 9806.65), (16.0, 7845.32)]
)
def test_inertia_of_fifty_kilograms(published, n, answer):
    published("14 CFR 25.561, 29.561", f"50 kg at {n:g} g, N", loads.inertia_force(50.0, n), answer, KIND)


def test_inertia_of_a_hundred_and_fifty_pounds(published):
    """9 g on 150 lbm is 1350 lbf, with the 1.33 of frequently removed items 1795.5 lbf."""
    force = loads.inertia_force(150.0 * LB, 9.0) / LBF
    published("14 CFR 25.561(b)(3)", "150 lbm forward, lbf", force, 1350.0, KIND)
    published(
        "14 CFR 25.561(c)(2)", "attachment, lbf", force * loads.special_factor(1.33, 1.15), 1795.5, KIND
    )


def test_overturning(published):
    published("statics", "150 lbm at 9 g, row tension lbf", loads.overturning_tension(1350.0, 18.0, 20.0, 150.0),
              1140.0, KIND)  # fmt: skip


def test_three_boxes(published):
    m, x, y, z = [22, 14, 9], [0.30, 0.32, 0.25], [0.25, 0.25, 0.30], [0.20, 0.60, 1.00]
    sides = [(0.45, 0.40, 0.18), (0.45, 0.40, 0.13), (0.40, 0.35, 0.09)]
    own = [[mass_props.box_inertia(mass, *(s for i, s in enumerate(side) if i != axis))
            for mass, side in zip(m, sides, strict=True)] for axis in range(3)]  # fmt: skip
    published("statics", "three boxes, x", mass_props.centre(m, x), 0.2962222222, KIND)
    published("statics", "three boxes, z", mass_props.centre(m, z), 0.4844444444, KIND)
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
