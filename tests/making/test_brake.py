"""Ring blanks and their bend: folded again they give the ring of the definition, and nothing is guessed."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import racks
from making.shop_order import IN, design, items, shop, with_rings
from rackwright.making.blank import Blank, Blanks, blanks
from rackwright.making.brake import Bend, bends
from rackwright.pieces.tiedown import ring_place
from rackwright.trouble import UNCONFIRMED


def of(one: object = None, stock: object = None, house: object = None) -> Blanks:
    return blanks(((one or design(), 1),), items() if stock is None else stock, house or shop())  # type: ignore[arg-type]


def bend_of(found: Blanks, house: object = None) -> Bend:
    (bend,) = bends(found, items(), house or shop())  # type: ignore[arg-type]
    return bend


def eye(blank: Blank) -> tuple[int, int]:
    return next(hole.at for hole in blank.flat.holes if hole.name == "eye")


# --- the flat ------------------------------------------------------------------------------------


@settings(max_examples=30, deadline=None)
@given(st.floats(0.1, 1.5), st.integers(8, 20), st.integers(20, 60), st.integers(30, 60))
def test_folded_again_a_blank_gives_the_ring_of_the_definition(
    angle: float, t: int, flat: int, leg: int
) -> None:
    """Straight, arc of the mid-plane, straight: the eye comes to where the definition puts it."""
    make = {
        "bend": angle,
        "thickness": t * IN // 64,
        "flat_reach": flat * IN // 16,
        "leg_reach": leg * IN // 16,
    }
    changed = with_rings(**make)
    house = replace(shop(), bend_test=(), bend_metal=(replace(shop().bend_metal[0], stock="ASTM A240 304"),))
    (first, *_) = of(changed, house=house).made
    d = changed.rack.definition.ring_make
    assert d is not None
    middle = first.neutral.radius + d.thickness / 2
    along = first.bend_zone[0] - d.eye_edge + middle * sin(angle)
    out = middle * (1 - cos(angle))
    rest = eye(first)[0] - first.bend_zone[1]
    along, out = along + rest * cos(angle), out + rest * sin(angle)
    assert along == pytest.approx(d.flat_reach + d.leg_reach * cos(angle), abs=3)
    assert out == pytest.approx(d.leg_reach * sin(angle), abs=3)
    assert first.length - eye(first)[0] == d.eye_edge


def test_the_blank_of_the_demo_by_hand() -> None:
    """K of the test bend 0.41988: 4.25 - 2 tan(22.5 deg) 0.5 + 0.785398 (0.375 + 0.41988 x 0.25) = 4.21275 in."""
    first = of().made[0]
    assert first.neutral.test == "TB-14"
    assert first.length / IN == pytest.approx(
        4.25 - tan(pi / 8) + pi / 4 * (0.375 + 0.4198769 * 0.25), abs=1e-6
    )
    assert first.bend_at + first.bend_from_tip == first.length
    assert sum(first.bend_zone) // 2 == pytest.approx(first.bend_at, abs=1)


@settings(max_examples=8, deadline=None)
@given(st.floats(-pi, pi), st.integers(0, 7))
def test_holes_lie_where_the_posts_bolts_are(turn: float, which: int) -> None:
    name = design().rack.definition.ring[which].name
    changed = with_rings({name: turn})
    piece = changed.pieces.get(f"ring.{name}")
    blank = next(one for one in of(changed).made if one.part == piece.part)
    place = ring_place(changed.rack, next(r for r in changed.rack.definition.ring if r.name == name))
    make = changed.rack.definition.ring_make
    assert make is not None
    back = [
        place.root * 1e9 + place.along * (hole.at[0] - make.eye_edge) + place.across * hole.at[1]
        for hole in blank.flat.holes if hole.name != "eye"
    ]  # fmt: skip
    up = sorted(piece.holes, key=lambda hole: hole.centre[2])
    assert np.allclose(
        sorted(map(tuple, back), key=lambda point: point[2]), [hole.centre for hole in up], atol=2
    )


@settings(max_examples=8, deadline=None)
@given(st.floats(0.05, 1.5))
def test_a_ring_turned_the_other_way_is_the_same_flat_turned_over(turn: float) -> None:
    a, b = "top front left", "top front right"
    changed = with_rings({a: turn, b: -turn})
    by_part = {blank.part: blank for blank in of(changed).made}
    one, other = (by_part[changed.pieces.get(f"ring.{name}").part] for name in (a, b))
    assert other.part in one.mirror
    assert one.part in other.mirror
    assert one.flat_of == other.flat_of
    assert one.turned_over != other.turned_over


def test_area_of_a_blank_is_rectangle_and_half_disc() -> None:
    first = of().made[0]
    exact = (first.length / IN - 1) * 2 + pi / 2
    assert first.flat.area / 0.0254**2 == pytest.approx(exact, rel=1e-12)
    assert first.flat.size == (first.length, 2 * IN)
    assert first.flat.perimeter / 0.0254 == pytest.approx(2 * (first.length / IN - 1) + 2 + pi, rel=1e-12)


def test_holes_near_the_bend_are_finished_after_it() -> None:
    """The eye's edge is 1 - 0.207 - 0.375 = 0.418 in from the tangent, nearer than the shop's 0.5 in."""
    first = of().made[0]
    assert [hole.name for hole in first.after_bend] == ["eye"]
    (hole,) = first.after_bend
    assert (hole.clear or 0) / IN == pytest.approx(1 - 0.5 * tan(pi / 8) - 0.375, abs=1e-6)
    assert hole.cut == hole.diameter - IN // 8
    brake = shop().brake
    assert brake is not None
    unknown = replace(shop(), brake=replace(brake, after_bend_stock=None))
    assert any(one.field == "brake.after_bend_stock" for one in of(house=unknown).asked)


# --- K -------------------------------------------------------------------------------------------


@given(st.floats(0.0, 0.5), st.floats(0.2, 2.6), st.integers(5, 30), st.integers(4, 24))
def test_a_test_bend_gives_back_the_k_it_was_made_with(K: float, A: float, r: int, t: int) -> None:
    R, thick, flat = r * IN // 32, t * IN // 64, 8 * IN
    deduction = 2 * tan(A / 2) * (R + thick) - A * (R + K * thick)
    leg = round((flat + deduction) / 2)
    test = replace(
        shop().bend_test[0], thickness=thick, flat=flat, leg_a=leg, leg_b=leg, angle=A, inside_radius=R
    )
    assert pytest.approx(K, abs=2 / thick / A) == test.K  # legs are whole nanometres


def test_a_test_bend_goes_before_a_row_and_a_row_is_only_a_start() -> None:
    without = replace(shop(), bend_test=())
    found = of(house=without)
    assert of().made[0].neutral.marks == ()
    assert found.made[0].neutral.K == 0.446
    assert found.made[0].neutral.marks == (UNCONFIRMED,)
    assert [one.field for one in found.asked] == ["bend_test"]
    assert found.made[0].length != of().made[0].length


def test_without_k_or_brake_there_is_no_blank() -> None:
    for house in (replace(shop(), bend_test=(), bend_metal=()), replace(shop(), brake=None)):
        found = of(house=house)
        assert found.made == ()
        assert len(found.asked) == 1
        assert bends(found, items(), house) == ()


@pytest.mark.parametrize(
    "change", [{"thickness": IN // 8}, {"punch_radius": IN}, {"bend_line": "along the grain"}]
)
def test_a_test_bend_of_something_else_does_not_count(change: dict[str, object]) -> None:
    house = replace(shop(), bend_test=(replace(shop().bend_test[0], **change),))  # type: ignore[arg-type]
    assert of(house=house).made[0].neutral.test == ""


def test_a_test_bend_of_another_heat_counts_and_is_told() -> None:
    house = replace(shop(), bend_test=(replace(shop().bend_test[0], heat="K0001"),))
    found = of(house=house)
    assert found.made[0].neutral.heat == "K0001"
    assert "K9921" in found.asked[0].why


def test_a_bend_that_leaves_no_straight_is_a_fault() -> None:
    found = of(with_rings(leg_reach=IN // 2))
    assert found.made == ()
    assert [fault.code for fault in found.faults] == ["RW411"]
    assert found.faults[0].where.field == "ring_make.leg_reach"
    assert found.faults[0].where.line > 0


# --- the bend ------------------------------------------------------------------------------------


def test_force_by_hand() -> None:
    """1.6 x 88 ksi x 2 in x 0.0625 in² / 1.75 in = 10.057 kip; with 20 percent 12.069 kip, 72.41 kip a foot."""
    bend = bend_of(of())
    assert (bend.force or 0) / 4448.2216 == pytest.approx(1.6 * 88 * 2 * 0.0625 / 1.75, rel=1e-6)
    by_name = {check.name: check for check in bend.checks}
    assert by_name["force per length with reserve"].value == pytest.approx(
        72.411 * 4448.2216 / 0.3048, rel=1e-4
    )
    assert bend.ok
    assert bend.overbend == pytest.approx(radians(1.2), rel=1e-3)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"most_per_length": 1.0e6}, "force per length with reserve"),
        ({"most": 5.0e4}, "force with reserve"),
        ({"die_opening": 3 * IN}, "bend line to round end"),
    ],
)  # fmt: skip
def test_each_limit_of_the_brake_can_say_no(change: dict[str, object], name: str) -> None:
    brake = shop().brake
    assert brake is not None
    house = replace(shop(), brake=replace(brake, **change))  # type: ignore[arg-type]
    bend = bend_of(of(house=house), house)
    assert name in [check.name for check in bend.checks if not check.ok]
    assert not bend.ok


def test_without_plates_the_force_is_asked_for_and_the_overbend_stands() -> None:
    (bend,) = bends(of(stock=()), None, shop())
    assert bend.force is None
    assert bend.loaded is not None
    assert {one.field for one in bend.asked} == {"item.certificate"}


def test_without_a_loaded_angle_the_overbend_is_an_estimate_and_says_so() -> None:
    """Fty 39.5 ksi, E 29 Msi, R/t 1.5: x = 0.002043, ratio 0.99387, 45/0.99387 - 45 = 0.277 deg."""
    house = replace(shop(), bend_test=(replace(shop().bend_test[0], loaded_angle=None),))
    bend = bend_of(of(house=house), house)
    assert bend.overbend == pytest.approx(radians(0.277), rel=5e-3)
    assert "estimate" in bend.loaded_how
    assert [one.field for one in bend.asked] == ["bend_test.loaded_angle"]


def test_a_bend_below_the_least_radius_is_refused_where_it_is_stated() -> None:
    """The drawing's radius at its line, the shop's at the line of the bend: each names the smallest allowed."""
    metal = replace(shop().bend_metal[0], least_radius=IN * 3 // 4)
    house = replace(shop(), bend_metal=(metal,))
    found = of(house=house)
    assert found.made == ()
    drawn, bent = found.faults
    assert {fault.code for fault in found.faults} == {"RW413"}
    assert (drawn.where.field, bent.where.field) == ("ring_make.root.inside_radius", "ring_make.bend")
    lines = racks.STANDARD.splitlines()
    assert lines[drawn.where.line - 1].startswith("root = ")
    assert lines[bent.where.line - 1].startswith("bend = ")
    assert "test bend" in bent.found
    for fault in found.faults:
        assert "0.375 in" in fault.found
        assert fault.do.startswith("at least 0.75 in, by trial bends")
    over = replace(house, bend_test=(), brake=replace(shop().brake, punch_radius=IN))  # type: ignore[type-var]
    assert [fault.where.field for fault in of(house=over).faults] == ["ring_make.root.inside_radius"]
    none = replace(house, brake=None)
    assert [fault.where.field for fault in of(house=none).faults] == ["ring_make.root.inside_radius"]
    flat = with_rings(bend=0.0)
    assert of(flat, house=house).faults == ()


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 64))
def test_a_bend_is_refused_exactly_below_the_least_radius(least: int) -> None:
    """The demo's rings are bent to 3/8 in, on the drawing and on the test bend."""
    house = replace(shop(), bend_metal=(replace(shop().bend_metal[0], least_radius=least * IN // 64),))
    assert bool(of(house=house).faults) == (least > 24)


def test_no_least_radius_is_invented() -> None:
    metal = replace(shop().bend_metal[0], least_radius=None, least_radius_document=None)
    house = replace(shop(), bend_metal=(metal,))
    bend = bend_of(of(house=house), house)
    assert [one.field for one in bend.asked] == ["bend_metal.least_radius"]


def test_the_bend_gets_thinner_by_what_the_mid_plane_is_longer() -> None:
    """R 0.375, K 0.41988, t 0.25: sqrt(0.140625 + 0.5 x 0.47997) - 0.375 = 0.24194 in."""
    assert bend_of(of()).thickness_at_bend / 0.0254 == pytest.approx(0.24194, abs=1e-5)
