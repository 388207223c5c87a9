"""Closed forms of the shop floor: stack-up, squareness, growth, ovens, bakes, ground, film; inputs as stated.

How known: the formula or the input was read or is elementary (geometry, Ohm's law, lumped capacitance, sums of
variances); the numbers were computed from it by hand or an independent script. Sources by name: D. A. Swyt, J. Res.
NIST 99 (1994) 31 for expansion; the NIST cryogenic polynomial of 6061-T6; MIL-HDBK-5J figure 3.6.2.2.1(d) as
digitized by a public transcription; NFPA 33 and NEC 516 as quoted in public code text (1 megohm, 500 V).
"""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
import scipy
from scipy.spatial.transform import Rotation

from racks import DEMO
from rackwright import reference
from rackwright.formulas import coating, electrical, oven, position, stack, thermal
from rackwright.making.coat import ground
from rackwright.making.jig import squareness
from rackwright.making.passport import best_fit, passport_gap
from rackwright.pieces.oven_time import curves_of, kept
from rackwright.shop import read_shop
from rackwright.units import unit_factor

KIND = "closed form"
INCH, LB, MIN = 0.0254, 0.45359237, 60.0
BTU = 1055.05585262
H5 = 5 * BTU / 3600 / 0.3048**2 * 1.8  # 5 Btu/(h ft2 degF) in W/(m2 K)
C6061, RHO, K97 = 0.214 * BTU / LB * 1.8, 0.098 * LB / INCH**3, 97 * BTU / 3600 / 0.3048 * 1.8
STACK = (0.005, 0.010, 0.005, 0.003, 0.008)
KELVIN = 5 / 9


def test_five_contributors_of_a_jig(published):
    """Against 0.020 in the worst case fails and the root of squares passes; two racks double, or go with root two."""
    place = "five contributors, in"
    published("sums of variances", f"{place}: worst", stack.worst_case(STACK), "0.031", KIND)
    published("sums of variances", f"{place}: rss", stack.root_sum_square(STACK), 0.01493318452, KIND, 1e-9)
    published(
        "sums of variances", f"{place}: two racks at worst", stack.between_two_worst(STACK), "0.062", KIND
    )
    ours = stack.between_two(STACK)
    published("sums of variances", f"{place}: two racks", ours, sqrt(2) * 0.01493318452, KIND, 1e-9)


def test_a_mirrored_rack_is_not_fitted_by_a_reflection(published):
    """Nominal points with z negated: the determinant stays +1 and 13.33 in of residual are left."""
    nominal = [(0.0, 0.0, 0.0), (36.0, 0.0, 0.0), (36.0, 24.0, 0.0), (0.0, 24.0, 0.0), (0.0, 0.0, 18.0),
               (36.0, 0.0, 18.0)]  # fmt: skip
    a = {str(n): point for n, point in enumerate(nominal)}
    gap = passport_gap(a, {name: (x, y, -z) for name, (x, y, z) in a.items()})
    assert gap.mirrored
    published("rigid fit", "mirrored: determinant", np.linalg.det(gap.rotation), 1.0, KIND, 1e-12)
    published("rigid fit", "mirrored: rms residual, in", gap.rms_fitted, 13.3312001, KIND, 1e-6)


def test_the_rigid_fit_is_that_of_another_library(published):
    rng = np.random.default_rng(11)
    a = rng.normal(size=(7, 3)) * 20
    b = a @ Rotation.from_rotvec([0.2, -0.4, 0.1]).as_matrix().T + rng.normal(size=(7, 3)) * 0.01
    theirs, _ = Rotation.align_vectors(a - a.mean(axis=0), b - b.mean(axis=0))
    ours, _, _, _ = best_fit(b, a)
    source = f"scipy {scipy.__version__} Rotation.align_vectors"
    published(source, "R[0,1]", float(ours[0, 1]), float(theirs.as_matrix()[0, 1]), "peer library", 1e-9)
    published(source, "R[2,0]", float(ours[2, 0]), float(theirs.as_matrix()[2, 0]), "peer library", 1e-9)


def test_a_frame_out_of_square(published):
    """36 x 24 in with diagonals 43.287 and 43.247: 0.040 in of difference are only 0.024 in of lean."""
    angle, lean = squareness(36.0, 24.0, 43.287, 43.247)
    published("parallelogram", "angle, deg", np.degrees(angle), 0.05738465062, KIND, 1e-7)
    published("parallelogram", "lean over 24 in", lean, 0.02403722222, KIND, 1e-9)


def test_position_of_a_hole(published):
    published("true position", "dx 0.003, dy 0.004 in", position.true_position(0.003, 0.004), "0.010", KIND)
    ours = position.position_uncertainty(0.003, 0.004, 0.001, 0.001)
    published("true position", "u 0.001 each way, in", ours, "0.002", KIND)


def test_the_row_of_6061_is_the_slope_of_the_published_polynomial(published):
    """(L - L293)/L293 x 1e5 = -412.77 - 0.30389 T + 0.0087696 T2 - 9.9821e-6 T3; the page prints 23.6 as a mean."""
    T = 293.15
    slope = (-0.30389 + 2 * 0.0087696 * T - 3 * 9.9821e-6 * T**2) * 1e-5
    row = reference.shipped().expansions["6061-T6 at 20 C"].alpha_per_K
    published("NIST cryogenic 6061-T6", "slope at 293.15 K, 1e-6/K", row * 1e6, slope * 1e6, KIND, 0.003)
    ours = thermal.growth_apart(60.0, 23.6e-6, 22.64233618e-6, 22 * KELVIN)
    published(
        "NIST cryogenic 6061-T6", "two values apart on 60 in, 22 degF", ours, 0.0007022868033, KIND, 1e-6
    )


def test_a_steel_tape_on_aluminium_and_how_well_it_is_known(published):
    """48 in read at 90 degF, 12.22 K over: -0.0068 in; 1e-6/K in the difference, and 1 K, together 0.0008 in."""
    correction = thermal.length_at_reference(48.0, 23.1e-6, 11.5e-6, 22 * KELVIN) - 48.0
    published(
        "Swyt 1994", "steel tape, 48 in at 90 degF: correction", correction, -0.006805333333, KIND, 1e-3
    )
    alpha, t = (
        thermal.growth_apart(48.0, 1e-6, 0.0, 22 * KELVIN),
        thermal.growth_apart(48.0, 23.1e-6, 11.5e-6, 1.0),
    )
    published("Swyt 1994", "u of it, in", np.hypot(alpha, t), 0.0008088287939, KIND, 1e-9)


@pytest.mark.parametrize(
    ("ratio", "tau", "time"), [(0.125, 4.529952, 11.68825839), (1 / 3, 12.079872, 31.16868903)]
)
def test_time_of_a_tube_and_of_a_block_in_the_oven(published, ratio, tau, time):
    """From 70 to 375 degF in 400 degF air at 5 Btu/(h ft2 degF); and back from the time to the coefficient."""
    ours = oven.oven_time_constant(RHO, C6061, ratio * INCH, H5)
    published("lumped capacitance", f"V/A {ratio:.3f} in: tau, min", ours / MIN, tau, KIND, 1e-6)
    took = oven.time_to_temperature(ours, 330 * KELVIN, 25 * KELVIN)
    published("lumped capacitance", f"V/A {ratio:.3f} in: to 375 degF, min", took / MIN, time, KIND, 1e-6)
    fitted = oven.oven_coefficient(RHO, C6061, ratio * INCH, took, 330 * KELVIN, 25 * KELVIN)
    assert fitted == pytest.approx(H5, rel=1e-12)


def test_biot_number_and_the_rows_behind_it(published):
    published("lumped capacitance", "block of 1/3 in: Biot", oven.biot_number(H5, INCH / 3, K97), 0.001431844215, KIND,
              1e-6)  # fmt: skip
    row = reference.shipped().thermals["6061"]
    published("6061 data pages", "0.214 Btu/(lb degF)", row.specific_heat_J_per_kg_K, C6061, KIND, 1e-3)
    published("6061 data pages", "97 Btu/(h ft degF)", row.conductivity_W_per_m_K, K97, KIND, 1e-3)


def test_heat_of_a_rack_and_its_cart(published):
    """20 lb of aluminium and 30 lb of steel over 305 degF: the cart takes nearly as much as the rack."""
    rack = oven.heat_to_warm(20 * LB, C6061, 305 * KELVIN) / BTU
    cart = oven.heat_to_warm(30 * LB, 0.12 * BTU / LB * 1.8, 305 * KELVIN) / BTU
    published("heat", "20 lb aluminium, Btu", rack, "1305.4", KIND)
    published("heat", "30 lb steel, Btu", cart, "1098.0", KIND)


@pytest.mark.parametrize(
    ("hours", "degF", "percent"),
    [(0.5, 400.0, 94.54478002), (10.0, 400.0, 86.98269836), (10.0, 375.0, 93.80294745)],
)
def test_yield_strength_kept_after_a_bake(published, hours, degF, percent):
    curves = curves_of(reference.shipped(), reference.shipped().materials["6061-T6-drawn-tube-S"], "Fty")
    ours = kept(curves, hours * 3600, (degF + 459.67) / 1.8)
    assert ours is not None
    place = f"figure 3.6.2.2.1(d): {hours} h at {degF:.0f} degF, percent"
    published("MIL-HDBK-5J (digitized)", place, 100 * ours, percent, KIND, 1e-3)


def test_how_long_at_375_until_two_percent_are_lost(published):
    """Between the half hour (taken as 100 percent) and 10 h (93.8): 1.31 h; a planning number, good to a quarter."""
    curves = curves_of(reference.shipped(), reference.shipped().materials["6061-T6-drawn-tube-S"], "Fty")
    hours = np.linspace(0.5, 10, 2000)
    left = np.array([kept(curves, h * 3600, (375 + 459.67) / 1.8) for h in hours])
    ours = float(hours[np.argmax(left < 0.98)])
    published("MIL-HDBK-5J (digitized)", "2 percent of Fty at 375 degF, h", ours, 1.314790967, KIND, 0.25)


@pytest.mark.parametrize(("megohm", "good", "microamp"), [(0.8, True, 625.0), (2.3, False, 217.3913043)])
def test_ground_of_a_hanger(published, megohm, good, microamp):
    """At most 1 megohm with 500 V: clean, and after ten coats. A battery meter proves nothing."""
    shop, _ = read_shop((DEMO / "shop.toml").read_bytes(), "shop.toml")
    assert shop is not None
    assert shop.coat is not None
    holds, _, current = ground(shop.coat, megohm * 1e6, 500.0)
    assert holds is good
    published(
        "Ohm's law, limit of NFPA 33", f"{megohm} Mohm at 500 V, uA", current * 1e6, microamp, KIND, 1e-9
    )
    assert not ground(shop.coat, megohm * 1e6, 9.0)[0]


@pytest.mark.parametrize(("millivolt", "milliohm"), [(21, "2.1"), (31, "3.1")])
def test_four_wire_bond(published, millivolt, milliohm):
    ours = electrical.four_wire_resistance(millivolt / 1000, 10.0) * 1000
    published("Ohm's law", f"10 A, {millivolt} mV, mohm", ours, milliohm, KIND)


def test_film_in_a_hole_and_in_a_slide(published):
    published(
        "geometry of a film", "0.266 in hole, 3 mil", coating.hole_after_coating(0.266, 0.003), "0.260", KIND
    )
    published(
        "geometry of a film", "slide, 3 mil on both", -coating.gap_after_coating(0.0, 4, 0.003), "0.012", KIND
    )


def test_powder_of_a_rack_of_tubes(published):
    """12 tubes of 36 in and 8 of 24 in, 1 in square: 17.33 ft2; at 3 mil, SG 1.5, 60 percent: 0.676 lb."""
    area = (12 * 36 + 8 * 24) * 4 * INCH**2
    published("area of tubes", "12 x 36 and 8 x 24 in, ft2", area / 0.3048**2, "17.33", KIND)
    mass = area / coating.powder_coverage(1500.0, 3 * float(unit_factor("mil")), 0.6)
    published("powder coverage pages", "192.3 ft2/lb: powder of it, lb", mass / LB, 0.6760270411, KIND, 1e-3)
