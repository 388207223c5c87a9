"""Handbook formulas beside numbers worked apart from this program: columns, interactions, lugs, fasteners, loads.

The source gives the formula, the number follows by arithmetic done independently of the functions here; where the
source prints the number itself, it is matched to its printed digits. Units are those of the source.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, radians

import numpy as np

from rackwright.formulas import (
    column,
    fastener,
    fastener_group,
    interaction,
    loads,
    lug,
    mass_props,
    net_section,
    plate_buckling,
    section,
)
from rackwright.strength.acceptance.check import MEMORY, PUBLISHED, Check
from rackwright.units import unit_factor

__all__ = ["handbook_checks"]

LBF, LB = float(unit_factor("lbf")), float(unit_factor("lb"))


def handbook_checks() -> Iterator[Check]:
    yield from _columns()
    yield from _hibbeler()
    yield from _interactions()
    yield from _lugs()
    yield from _fasteners()
    yield from _loads()


def _columns() -> Iterator[Check]:
    """E 70 GPa, I 9.5e-8 m4, 0.8 m, fixed-pinned from the first root of tan x = x; Fcc 34 ksi, Ec 10.1e6 psi; a
    1.0 x 0.125 in tube of 24 in, pinned; axial half of Euler under 300 N/m; 1.5 in square tubes of thin wall."""
    for ends, factor, answer in (("pinned-pinned", 1.0, 102551.3582), ("fixed-pinned", 0.699155659, 209794.2889),
                                 ("fixed-fixed", 0.5, 410205.4329)):  # fmt: skip
        found = column.euler_load(70e9, 9.5e-8, factor * 0.8)
        yield Check("Euler", f"column {ends}, N", found, answer, tol=1e-6)
    E, Fcc = 10.1e6, 34e3
    yield Check("Johnson-Euler", "transition", column.transition_slenderness(E, Fcc), 76.57484015)
    for s, answer in ((40.0, 29361.29551), (76.57484014999, 17000.0), (90.0, 12306.54376)):
        yield Check("Johnson-Euler", f"L/rho {s:.6g}, psi", column.johnson_euler(E, Fcc, s), answer)
    I, A = 0.05696614583, 0.4375
    johnson = column.johnson_euler(9.9e6, 34e3, 24.0 / (I / A) ** 0.5) * A
    yield Check("Euler", "1 in tube, 24 in, lbf", column.euler_load(9.9e6, I, 24.0), 9663.38525, tol=1e-8)
    yield Check("Johnson-Euler", "1 in tube, 24 in, lbf", johnson, 9150.669983, tol=1e-8)
    euler = column.euler_load(70e9, 9.5e-8, 0.8)
    flexible = column.shear_flexible_load(euler, 3.696e-6, 26e9)
    yield Check("Engesser", "pinned, shear-flexible, N", flexible, 49609.3953)
    secant = column.beam_column_moment(300.0, 1.0, 0.5, 1.0)
    yield Check("Timoshenko & Gere", "secant form, N m", secant, 76.12292359, tol=1e-8)
    crippling = column.crippling_stress(34e3, 10.1e6, 0.035, 0.2051, 12)
    yield Check("Gerard, Bruhn C7", "square tube 1.5 x 0.035, psi", crippling, 22786.30527)
    wall = plate_buckling.plate_buckling(4.0, 9.9e6, 0.33, 0.049, 1.402)
    yield Check("Timoshenko & Gere", "wall 1.402 x 0.049, psi", wall, 44646.08424)


def _hibbeler() -> Iterator[Check]:
    """Examples 13.1 and 13.2, read: a round tube of radii 75 and 70 mm, 7.2 m; W200 x 46, 4 m; pinned, 200 GPa."""
    source = "Hibbeler, Mechanics of Materials"
    inertia = section.round_inertia(150.0) - section.round_inertia(140.0)
    area = section.round_area(150.0) - section.round_area(140.0)
    load = column.euler_load(200.0, inertia, 7200.0)
    yield Check(source, "example 13.1, critical load kN", load, "228.2", PUBLISHED)
    yield Check(source, "example 13.1, stress MPa", 1000 * load / area, "100.2", PUBLISHED)
    load = column.euler_load(200.0, 15.3e6, 4000.0)
    s = column.slenderness(4000.0, section.radius_of_gyration(15.3e6, 5890.0))
    yield Check(source, "example 13.2, critical load kN", load, "1887.6", PUBLISHED)
    yield Check(source, "example 13.2, stress MPa", column.euler_stress(200e3, s), "320.5", PUBLISHED)


def _interactions() -> Iterator[Check]:
    amplified = interaction.bending_compression(0.35, 0.4, 0.2)
    yield Check("amplified interaction", "0.35, 0.4, 0.2", amplified, 1.150095058)
    yield Check("bolt interaction, Bruhn D1", "0.6, 0.7", interaction.shear_tension(0.6, 0.7), 1.161741729)
    half = cos(pi / 4)
    yield Check(
        "Melcon & Hoblit", "45 deg, equal strengths", interaction.lug_oblique(half, half), 0.9170040432
    )


def _lugs() -> Iterator[Check]:
    shear = lug.lug_shear_out_40(27e3, 0.25, 0.5, 0.125)
    yield Check("Bruhn D1", "40-degree shear-out, lbf", shear, 2728.650001)
    yield Check("AFFDL-TR-69-42 section 9", "Kbr 1.2, lbf", lug.lug_axial(1.2, 75e3, 0.5, 0.25), 11250.0)
    edge = lug.transverse_edge(0.35, 0.5, 0.5, 0.4)
    yield Check("AFFDL-TR-69-42 section 9.4", "hav, in", edge, 0.3981042654)
    yield Check("ring lug 1.5 in", "net tension, lbf", lug.lug_net_tension(75e3, 1.5, 0.5, 0.25), 18750.0)
    yield Check("ring lug 1.5 in", "shear-out, lbf", lug.lug_shear_out(50e3, 0.5, 0.75, 0.25), 12500.0)
    root = lug.bend_root_moment(5000.0, 0.035, radians(15))
    yield Check("statics", "bend root of a ring, N m", root, 45.29333289)


def _fasteners() -> Iterator[Check]:
    """A 0.190 in bolt in 0.063 in 2024-T3, A basis; six bolts in two rows; three bolts askew; a 1.5 x 0.125 in tube
    with a 1/4 in hole through two walls; Shigley's cantilevered bar on four bolts, 16 kN at 425 mm."""
    for ed, answer in ((2.0, 1544.13), (1.5, 1244.88)):
        allowable = fastener.bearing_allowable(104e3, 129e3, ed)
        found = fastener.bearing_strength(allowable, 0.190, 0.063)
        yield Check("MIL-HDBK-5J 3.2.3.0(b1)", f"bearing at e/D {ed}, lbf", found, answer)
    between = fastener.bearing_allowable(64.0, 82.0, 1.75)
    yield Check("straight line, e/D 1.5 to 2.0", "1.75, ksi", between, 73.0)
    yield Check("no gain above e/D 2.0", "3.0, ksi", fastener.bearing_allowable(64.0, 82.0, 3.0), 82.0)
    vector = "elastic vector method"
    x, y = [1, 1, 1, -1, -1, -1], [-2.5, 0, 2.5, -2.5, 0, 2.5]
    force = fastener_group.group_shear(x, y, 0.0, -1200.0, -7200.0)
    yield Check(vector, "six bolts, polar sum", float(fastener_group.group_polar(x, y)), 31.0)
    yield Check(vector, "six bolts, largest lbf", float(np.max(force)), 723.8755678)
    yield Check(vector, "six bolts, smallest lbf", float(np.min(force)), 32.25806452)
    pull = fastener_group.group_tension(y, 0.0, 3000.0)
    yield Check(vector, "six bolts, tension lbf", float(np.max(pull)), 300.0)
    skew = fastener_group.group_shear([0, 3, 0], [0, 0, 2], 500.0, -300.0, 800.0)
    for bolt, answer in enumerate((298.4289347, 243.3872303, 197.185989)):
        yield Check(vector, f"three bolts, no {bolt + 1}, lbf", float(skew[bolt]), answer)
    area = net_section.net_area(0.6875, 2, 0.25, 0.125)
    yield Check("geometry", "net section, in2", area, 0.625)
    yield Check("geometry", "net tension, lbf", net_section.net_tension(42e3, area), 26250.0)
    x4, y4 = [0.075, 0.075, -0.075, -0.075], [0.060, -0.060, -0.060, 0.060]
    bolts = fastener_group.group_shear(x4, y4, 0.0, -16.0, -16.0 * 0.425)
    source = "Shigley, Mechanical Engineering Design"
    yield Check(source, "bolted cantilever, near bolts kN", float(bolts[0]), "21.0", MEMORY)
    yield Check(source, "bolted cantilever, far bolts kN", float(bolts[2]), "14.8", MEMORY)


def _loads() -> Iterator[Check]:
    """9 g on 150 lbm is 1350 lbf, with the 1.33 of frequently removed items 1795.5 lbf; three boxes on a rack."""
    for n, answer in ((9.0, 4412.9925), (16.0, 7845.32), (20.0, 9806.65)):
        yield Check("14 CFR 25.561, 29.561", f"50 kg at {n:g} g, N", loads.inertia_force(50.0, n), answer)
    force = loads.inertia_force(150.0 * LB, 9.0) / LBF
    yield Check("14 CFR 25.561(b)(3)", "150 lbm forward, lbf", force, 1350.0)
    factor = loads.special_factor(1.33, 1.15)
    yield Check("14 CFR 25.561(c)(2)", "attachment, lbf", force * factor, 1795.5)
    row = loads.overturning_tension(1350.0, 18.0, 20.0, 150.0)
    yield Check("statics", "150 lbm at 9 g, row tension lbf", row, 1140.0)
    m, x, z = [22, 14, 9], [0.30, 0.32, 0.25], [0.20, 0.60, 1.00]
    yield Check("statics", "three boxes, x", float(mass_props.centre(m, x)), 0.2962222222)
    yield Check("statics", "three boxes, z", float(mass_props.centre(m, z)), 0.4844444444)
