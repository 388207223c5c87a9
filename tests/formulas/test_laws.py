"""Laws that hold whatever the numbers: equilibrium, inverses, limits, continuity."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackwright.formulas import (
    bend,
    column,
    fastener,
    fastener_group,
    interaction,
    kerf,
    loads,
    mass_props,
    plate_buckling,
    section,
    strap,
    thermal,
)  # fmt: skip


def some(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_subnormal=False)


ratio = st.just(0.0) | some(1e-6, 50.0)
position = some(-2.0, 2.0)
size = some(0.01, 1.0)


# --- sections ------------------------------------------------------------------------------------


@given(d=size)
def test_a_square_rounded_to_the_full_is_a_round_bar(d: float) -> None:
    assert section.rounded_area(d, d, d / 2) == pytest.approx(section.round_area(d), rel=1e-12)
    assert section.rounded_inertia(d, d, d / 2) == pytest.approx(section.round_inertia(d), rel=1e-12)
    assert section.rounded_plastic(d, d, d / 2) == pytest.approx(d**3 / 6, rel=1e-12)
    tube = section.tube_torsion(d, d, d / 50, d / 2)
    mean = d - d / 50
    assert tube == pytest.approx(pi * mean**3 * (d / 50) / 4, rel=1e-12)


@given(b=size, h=size, part=some(0.02, 0.4), round=some(0.0, 1.0))
def test_a_tube_lies_between_nothing_and_its_outline(b: float, h: float, part: float, round: float) -> None:
    t, r = part * min(b, h), round * min(b, h) / 2
    assert 0 < section.tube_area(b, h, t, r) < section.rounded_area(b, h, r)
    assert 0 < section.tube_inertia(b, h, t, r) < section.rounded_inertia(b, h, r)
    assert section.tube_plastic(b, h, t, r) >= section.tube_inertia(b, h, t, r) / (h / 2)


@given(a=size, b=size, part=some(0.02, 0.4))
def test_a_sharp_angle_is_two_rectangles(a: float, b: float, part: float) -> None:
    t = part * min(a, b)
    area, y = section.angle_area(a, b, t, 0, 0), section.angle_centroid(a, b, t, 0, 0)
    assert area == pytest.approx(a * t + (b - t) * t, rel=1e-12)
    assert area * y == pytest.approx(a * t * a / 2 + (b - t) * t * t / 2, rel=1e-12)
    moved = t * a**3 / 12 + a * t * (a / 2 - y) ** 2 + (b - t) * t**3 / 12 + (b - t) * t * (t / 2 - y) ** 2
    assert section.angle_inertia(a, b, t, 0, 0) == pytest.approx(moved, rel=1e-9)


# --- columns and interaction ---------------------------------------------------------------------


@given(E=some(1e10, 3e11), Fcc=some(1e7, 1e9), s=st.just(0.0) | some(0.01, 300.0))
def test_a_column_is_no_stronger_than_euler_nor_crippling(E: float, Fcc: float, s: float) -> None:
    found = column.johnson_euler(E, Fcc, s)
    assert 0 < found <= Fcc * (1 + 1e-12)
    if s > 0:
        assert found <= column.euler_stress(E, s) * (1 + 1e-12)


@given(E=some(1e10, 3e11), Fcc=some(1e7, 1e9))
def test_the_parabola_touches_eulers_curve(E: float, Fcc: float) -> None:
    s = column.transition_slenderness(E, Fcc)
    below, above = column.johnson_euler(E, Fcc, s * (1 - 1e-6)), column.johnson_euler(E, Fcc, s * (1 + 1e-6))
    assert below == pytest.approx(Fcc / 2, rel=1e-5)
    slope = (above - below) / (2e-6 * s)
    assert slope == pytest.approx(-2 * (Fcc / 2) / s, rel=1e-3)  # of pi2 E/s2


@given(Rs=ratio, Rt=ratio)
def test_bolt_interaction_is_met_at_the_factor(Rs: float, Rt: float) -> None:
    k = interaction.shear_tension(Rs, Rt)
    if Rs + Rt == 0:
        assert k == np.inf
    else:
        assert (k * Rs) ** 3 + (k * Rt) ** 2 == pytest.approx(1.0, rel=1e-11)
        assert k <= min(1 / r for r in (Rs, Rt) if r > 0) * (1 + 1e-12)


@given(Rc=ratio, Rb=ratio, RE=ratio)
def test_amplified_interaction_fails_first_at_the_factor(Rc: float, Rb: float, RE: float) -> None:
    k = interaction.bending_compression(Rc, Rb, RE)
    if Rc + Rb + RE == 0:
        assert k == np.inf
        return
    assert k * RE <= 1 + 1e-9  # never beyond buckling
    if Rb > 1e-6 and k * RE < 0.999:
        assert k * Rc + k * Rb / (1 - k * RE) == pytest.approx(1.0, rel=1e-6)


@given(a=ratio, b=ratio)
def test_combined_loads_leave_less_than_either(a: float, b: float) -> None:
    for combine in (interaction.tension_bending, interaction.bending_shear, interaction.shear_tension,
                    interaction.lug_oblique):  # fmt: skip
        if a > 1e-3 and b > 1e-3:
            assert combine(a, b) <= min(1 / a, 1 / b) * (1 + 1e-12)
            assert combine(a, 0.0) == pytest.approx(1 / a, rel=1e-12)
            assert combine(0.0, b) == pytest.approx(1 / b, rel=1e-12)


@given(t=some(0.0005, 0.01), Fcy=some(1e8, 5e8))
def test_a_wall_is_never_credited_above_yield(t: float, Fcy: float) -> None:
    assert plate_buckling.wall_strength(4.0, 7e10, 0.33, t, 0.03, Fcy) <= Fcy


@given(allowable=some(1.0, 1e6), applied=some(1.0, 1e6), factor=some(1.0, 2.0))
def test_a_margin_of_zero_means_just_enough(allowable: float, applied: float, factor: float) -> None:
    margin = loads.margin_of_safety(allowable, applied, factor)
    assert allowable == pytest.approx((margin + 1) * applied * factor, rel=1e-9)
    assert loads.margin_of_safety(allowable, 0.0, factor) == np.inf


# --- fasteners -----------------------------------------------------------------------------------


@given(ed=some(0.5, 4.0))
def test_bearing_has_no_value_below_and_no_gain_beyond(ed: float) -> None:
    found = fastener.bearing_allowable(64.0, 82.0, ed)
    assert np.isnan(found) if ed < 1.5 - 1e-12 else 64.0 - 1e-9 <= found <= 82.0
    if ed >= 2.0:
        assert found == 82.0


@given(
    at=st.lists(st.tuples(position, position), min_size=2, max_size=8),
    Fx=some(-1e4, 1e4), Fy=some(-1e4, 1e4), M=some(-1e3, 1e3),
)  # fmt: skip
def test_a_bolt_group_is_in_equilibrium(
    at: list[tuple[float, float]], Fx: float, Fy: float, M: float
) -> None:
    x, y = np.array(at).T
    if fastener_group.group_polar(x, y) < 1e-3 or np.ptp(y) < 1e-2:
        return
    px, py = fastener_group.group_shear_x(x, y, Fx, M), fastener_group.group_shear_y(x, y, Fy, M)
    assert px.sum() == pytest.approx(Fx, abs=1e-6)
    assert py.sum() == pytest.approx(Fy, abs=1e-6)
    arm_x, arm_y = x - x.mean(), y - y.mean()
    assert (arm_x * py - arm_y * px).sum() == pytest.approx(M, abs=1e-6)
    pulls = fastener_group.group_tension(y, Fx, M)
    assert pulls.sum() == pytest.approx(Fx, abs=1e-5)
    assert (pulls * arm_y).sum() == pytest.approx(M, abs=1e-5)


def test_a_bolt_group_takes_cases_on_a_leading_axis() -> None:
    x, y = np.array([0.0, 3, 0]), np.array([0.0, 0, 2])
    cases = np.array([500.0, 100.0])
    found = fastener_group.group_shear(x, y, cases, 0.0, 0.0)
    assert found.shape == (2, 3)
    assert found[1] == pytest.approx(found[0] / 5)


# --- mass, straps, shop --------------------------------------------------------------------------


@given(
    items=st.lists(st.tuples(some(0.1, 50), position, position), min_size=1, max_size=6),
    shift=some(-5, 5),
)  # fmt: skip
def test_moments_of_inertia_do_not_depend_on_the_datum(
    items: list[tuple[float, float, float]], shift: float
) -> None:
    m, y, z = np.array(items).T
    here = mass_props.total_inertia(0 * m, m, y, z)
    there = mass_props.total_inertia(0 * m, m, y + shift, z - shift)
    assert there == pytest.approx(here, abs=1e-9 * m.sum() * (1 + shift**2))
    assert mass_props.centre(m, y + shift) == pytest.approx(mass_props.centre(m, y) + shift, abs=1e-12)


@given(S=some(1, 1e5), el=some(0, 1.5), az=some(-3, 3))
def test_components_of_a_strap_make_up_its_tension(S: float, el: float, az: float) -> None:
    parts = strap.strap_along(S, el, az), strap.strap_across(S, el, az), strap.strap_up(S, el)
    assert sum(part**2 for part in parts) == pytest.approx(S**2, rel=1e-12)


@given(A=some(0.1, 2.5), R=size, K=some(0.2, 0.5), t=some(0.05, 0.3), legs=st.tuples(size, size))
def test_a_test_bend_gives_its_k_back(
    A: float, R: float, K: float, t: float, legs: tuple[float, float]
) -> None:
    flat = bend.flat_length(*legs, A, R, K, t)
    assert bend.k_from_test_bend(flat, *legs, A, R, t) == pytest.approx(K, abs=1e-9)
    assert flat == pytest.approx(sum(legs) - bend.bend_deduction(A, R, K, t), abs=1e-12)


@given(L=some(0.1, 5), a=some(5e-6, 3e-5), s=some(0, 3e-5), dT=some(-30, 30))
def test_what_the_scale_reads_back_is_the_length_wanted(L: float, a: float, s: float, dT: float) -> None:
    reading = thermal.stop_setting(L, a, s, dT)
    assert thermal.length_at_reference(reading, a, s, dT) == pytest.approx(L, rel=1e-14)
    assert thermal.stop_setting(L, a, a, dT) == pytest.approx(L, rel=1e-14)


@given(n=st.integers(1, 40), L=some(0.05, 1.0), kerf_width=some(0.001, 0.005), trim=some(0, 0.05))
def test_a_bar_just_long_enough_gives_its_pieces(n: int, L: float, kerf_width: float, trim: float) -> None:
    bar = kerf.bar_used(n, trim, kerf_width, L)
    assert kerf.pieces_per_bar(bar, trim, 0.0, kerf_width, L) == n
    assert kerf.pieces_per_bar(bar - 1e-6, trim, 0.0, kerf_width, L) == n - 1
