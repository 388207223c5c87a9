"""Folding on the brake: sections with a closed form, and orders that hold against tools; a brute search agrees."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, permutations, product
from math import cos, pi, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from making.shop_order import design, items, shop, with_rings
from rackwright.making.blank import blanks
from rackwright.making.brake import Bend, bends
from rackwright.making.folding import Fold, Folding, FoldStep, Strip, Tools, folding
from rackwright.making.folding.order import _stroke
from rackwright.making.folding.section import Polygon, clipped, overlap
from rackwright.making.folding.strip import Pose, bending, outline, section
from rackwright.shop import Shop

INCH = 0.0254
R, T, K = 0.16, 0.04, 0.447  # in: the handbook's channel, with the trade's K
ZONE = pi / 2 * (R + K * T)


def inches(*points: tuple[float, float]) -> Polygon:
    return tuple((x * INCH, y * INCH) for x, y in points)


PUNCH = inches((0, 0), (0.2, 0.5), (0.2, 3), (1, 4), (1, 8), (-1, 8), (-1, 4), (-0.2, 3), (-0.2, 0.5))
DIE = inches((-1, 0), (-0.25, 0), (0, -0.25), (0.25, 0), (1, 0), (1, -3), (-1, -3))
TOOLS = Tools(0.5 * INCH, 0.7, PUNCH, DIE, (0.2 * INCH, 24 * INCH, 0.5 * INCH, 3 * INCH))


def strip(flats: tuple[float, ...], ways: tuple[int, ...]) -> Strip:
    """Flats in inches with a fold of 90 deg between each two, up or down."""
    at, folds = 0.0, []
    for flat, way in zip(flats, ways, strict=False):
        at += flat + ZONE / 2
        folds.append(Fold(at * INCH, way * pi / 2, R * INCH))
        at += ZONE / 2
    return Strip((at + flats[-1]) * INCH, T * INCH, K, tuple(folds))


def order(of: Strip, tools: Tools = TOOLS) -> Folding:
    return folding(of, tools, (pi / 2,) * len(of.folds))


def made(found: Folding) -> list[int]:
    return [step.fold + 1 for step in found.steps]


# --- sections ------------------------------------------------------------------------------------

angles = st.floats(0.05, 2.4)


@given(angles, st.floats(0.05, 1.0), st.floats(0.02, 0.3), st.floats(0.0, 0.5), st.floats(0.5, 3.0))
def test_the_sheet_rests_on_both_shoulders(angle: float, radius: float, t: float, K: float, V: float) -> None:
    """The lower face of each flat passes the shoulder, and the tip stands where the inside of the arc is lowest."""
    one = Strip(20.0, t, K, (Fold(10.0, angle, radius),))
    tip, before, behind = section(one, 0, frozenset(), Pose(False, True), angle, V)
    for part, shoulder in ((behind[0], V / 2), (before[0], -V / 2)):
        a, b = part.quad[:2]  # the lower face
        off = (b[0] - a[0]) * (0.0 - a[1]) - (b[1] - a[1]) * (shoulder - a[0])
        assert off / 10 == pytest.approx(0.0, abs=1e-9)
    s, c = sin(angle / 2), cos(angle / 2)
    assert tip == pytest.approx((radius + t - V / 2 * s) / c - radius)


@given(angles, st.floats(0.5, 3.0), st.floats(0.5, 3.0))
def test_mold_lines_of_a_folded_strip(angle: float, a: float, b: float) -> None:
    """From the ends to the point where the outer faces meet: flats plus setback, tan(A/2) (R + t)."""
    zone = angle * (R + K * T)
    one = Strip(a + zone + b, T, K, (Fold(a + zone / 2, angle, R),))
    _, before, behind = section(one, 0, frozenset(), Pose(False, True), angle, 0.0)
    apex = -(R + T) * (1 / cos(angle / 2) - 1)  # below the arc's lowest point
    low = (R + T) / cos(angle / 2) - R - T  # of the arc, with an opening of nothing
    for part, flat in ((before[-1], a), (behind[-1], b)):
        x, y = part.quad[1]
        assert (x * x + (y - low - apex) ** 2) ** 0.5 == pytest.approx(flat + tan(angle / 2) * (R + T))


@given(angles, st.floats(0.5, 3.0), st.floats(0.5, 3.0))
def test_the_outline_has_the_area_of_its_metal(angle: float, a: float, b: float) -> None:
    """Two flats and an arc of chords: (a + b) t, and for each chord 2 rho sin(step/2) t."""
    zone = angle * (R + K * T)
    one = Strip(a + zone + b, T, K, (Fold(a + zone / 2, angle, R),))
    _, before, behind = section(one, 0, frozenset(), Pose(False, True), angle, 0.5)
    bent = bending(one, 0, angle, 0.5)
    ring = outline(before, [*bent, *behind])
    area = sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2
    chords = sum(2 * (R + T / 2) * sin(angle / len(bent) / 2) * T for _ in bent)
    assert area == pytest.approx((a + b) * T + chords, rel=1e-3)


def test_where_sections_share_room() -> None:
    square = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    assert overlap(square, square)
    assert overlap(square, ((0.4, 0.4), (0.6, 0.4), (0.6, 0.6), (0.4, 0.6)))
    assert not overlap(square, ((1.0, 0.0), (2.0, 0.0), (2.0, 1.0), (1.0, 1.0)))
    notch = ((0.0, 0.0), (3.0, 0.0), (3.0, 3.0), (2.0, 3.0), (2.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0))
    assert not overlap(((1.2, 1.5), (1.8, 1.5), (1.8, 2.5), (1.2, 2.5)), notch)
    assert overlap(((1.2, 0.5), (1.8, 0.5), (1.8, 2.5), (1.2, 2.5)), notch)
    assert overlap(((0.2, 0.2), (0.4, 0.2), (0.4, 0.4), (0.2, 0.4)), notch)
    assert overlap(((-1.0, -1.0), (9.0, -1.0), (9.0, 9.0), (-1.0, 9.0)), notch)


@given(st.floats(-1, 1), st.floats(0.1, 2))
def test_what_is_cut_off_lies_between_the_heights(low: float, more: float) -> None:
    tilted = ((0.0, -1.0), (1.5, 0.5), (0.5, 1.5), (-1.0, 0.0))
    for _, y in clipped(tilted, low, low + more):
        assert low - 1e-12 <= y <= low + more + 1e-12


# --- orders --------------------------------------------------------------------------------------


def test_the_gauge_of_a_channel() -> None:
    """Flats 0.8, 1.6, 0.8: first the far end lies at 1.6 + zone + 0.8 and half a zone; an end whose flat is made is
    nearer by the fold's deduction: the outer face of a flange stands at 1.6, half a zone, and R + t."""
    first, second = order(strip((0.8, 1.6, 0.8), (1, 1))).steps
    assert (first.gauge or 0) / INCH == pytest.approx(2.4 + 1.5 * ZONE)
    assert (second.gauge or 0) / INCH == pytest.approx(0.8 + ZONE / 2)
    far = replace(TOOLS, gauge=(1.2 * INCH, 24 * INCH, 0.5 * INCH, 3 * INCH))
    second = order(strip((0.8, 1.6, 0.8), (1, 1)), far).steps[1]
    assert (second.gauge or 0) / INCH == pytest.approx(1.6 + ZONE / 2 + R + T)


def test_a_z_is_turned_over_once_and_a_channel_never() -> None:
    assert order(strip((0.8, 1.6, 0.8), (1, 1))).handlings == 0
    found = order(strip((0.8, 1.6, 0.8), (1, -1)))
    assert found.handlings == 1
    assert [step.pose.over for step in sorted(found.steps, key=lambda step: step.fold)] == [False, True]


def test_a_channel_deeper_than_wide_meets_any_punch() -> None:
    """At 90 deg web and flange stand at 45 deg: a flange of 3 in at a web of 1 in crosses the middle."""
    found = order(strip((3, 1, 3), (1, 1)))
    assert found.steps == ()
    assert found.blocked == ("fold 1, with 2 made: the strip meets the punch",)


def test_a_deep_channel_needs_a_slender_punch() -> None:
    """Flanges of 1.2 in at a web of 1.6 in end (2.0 - 1.4) sin 45 = 0.42 in from the middle."""
    deep = strip((1.2, 1.6, 1.2), (1, 1))
    assert len(order(deep).steps) == 2
    stout = inches((0, 0), (0.5, 0.8), (0.5, 8), (-0.5, 8), (-0.5, 0.8))
    assert order(deep, replace(TOOLS, punch=stout)).blocked == (
        "fold 1, with 2 made: the strip meets the punch",
    )


def test_a_flange_that_hangs_down_gives_the_gauge_no_flat() -> None:
    """A lip up, then turned over for the other fold: at the gauge there is only the lip's round corner."""
    lipped = strip((0.5, 1.2, 1.6), (1, -1))
    down = _stroke(lipped, TOOLS, pi / 2, 1, frozenset({0}), Pose(True, False))
    assert down == "a round corner would lie against the backgauge"
    assert isinstance(_stroke(lipped, TOOLS, pi / 2, 1, frozenset({0}), Pose(True, True)), FoldStep)


def test_a_flange_shorter_than_the_die_asks_is_told() -> None:
    found = order(strip((0.1, 1.6, 0.8), (1, 1)))
    assert found.steps == ()
    assert "to the edge, the die needs 0.350 in" in found.blocked[0]
    near = order(strip((0.8, 0.2, 0.8), (1, 1)))
    assert any("to the next fold" in why or "punch" in why for why in near.blocked)


def test_a_gauge_that_cannot_stand_there_is_told() -> None:
    short = replace(TOOLS, gauge=(0.2 * INCH, 0.5 * INCH, 0.5 * INCH, 3 * INCH))
    found = order(strip((0.8, 1.6, 0.8), (1, 1)), short)
    assert found.steps == ()
    assert any("beyond its travel" in why for why in found.blocked)
    free = order(strip((0.8, 1.6, 0.8), (1, 1)), replace(TOOLS, gauge=None))
    assert [step.gauge for step in free.steps] == [None, None]


flats = st.lists(st.sampled_from([0.4, 0.6, 0.9, 1.4, 2.2, 3.0]), min_size=2, max_size=4)


@given(flats, st.data())
def test_the_order_is_the_best_of_all_orders(wide: list[float], data: st.DataObject) -> None:
    """Every order and every end at the gauge, tried one by one."""
    ways = tuple(data.draw(st.sampled_from([-1, 1])) for _ in wide[1:])
    of = strip(tuple(wide), ways)
    best = None
    for numbers in permutations(range(len(ways))):
        for ends in product((True, False), repeat=len(ways)):
            poses = [Pose(ways[n] < 0, end) for n, end in zip(numbers, ends, strict=True)]
            done: frozenset[int] = frozenset()
            for n, pose in zip(numbers, poses, strict=True):
                if not isinstance(_stroke(of, TOOLS, pi / 2, n, done, pose), FoldStep):
                    break
                done |= {n}
            else:
                turns = sum((a.over != b.over) + (a.last_at_back != b.last_at_back)
                            for a, b in pairwise(poses))  # fmt: skip
                best = turns if best is None else min(best, turns)
    found = order(of)
    assert (found.handlings if found.steps else None) == best
    assert bool(found.blocked) == (best is None)
    assert sorted(made(found)) == (list(range(1, len(ways) + 1)) if found.steps else [])


@given(flats, st.data())
def test_a_strip_from_the_other_end_is_folded_as_well(wide: list[float], data: st.DataObject) -> None:
    ways = tuple(data.draw(st.sampled_from([-1, 1])) for _ in wide[1:])
    a, b = order(strip(tuple(wide), ways)), order(strip(tuple(wide[::-1]), ways[::-1]))
    assert bool(a.steps) == bool(b.steps)
    assert a.handlings == b.handlings


# --- the shop's rings ----------------------------------------------------------------------------


def ring(house: Shop | None = None, bend: float | None = None) -> Bend:
    one = design() if bend is None else with_rings(bend=bend)
    found = blanks(((one, 1),), items(), house or shop())
    (bent,) = bends(found, items(), house or shop())
    return bent


def test_a_ring_goes_square_end_to_the_gauge() -> None:
    bend = ring()
    blank = blanks(((design(), 1),), items(), shop()).made[0]
    assert bend.folding is not None
    (step,) = bend.folding.steps
    assert step.gauge == pytest.approx(blank.bend_at * 1e-9)
    assert not step.pose.last_at_back
    assert bend.ok


def test_without_tool_sections_the_order_is_asked_for() -> None:
    brake = shop().brake
    assert brake is not None
    for name in ("punch", "die", "backgauge"):
        house = replace(shop(), brake=replace(brake, **{name: None}))  # type: ignore[arg-type]
        bend = ring(house)
        assert f"brake.{name}" in [one.field for one in bend.asked]
        assert (bend.folding is None) == (name != "backgauge")


def test_a_die_too_blunt_for_the_bend_says_no() -> None:
    """A die whose sides stand at 20 deg stops a bend of 45 deg: each flat goes 22.5 deg down."""
    brake = shop().brake
    assert brake is not None
    assert brake.die is not None
    flat_v = tuple(replace(p, y=-7_000_000) if (p.x, p.y < 0) == (0, True) else p for p in brake.die.points)
    bend = ring(replace(shop(), brake=replace(brake, die=replace(brake.die, points=flat_v))))
    assert bend.folding is not None
    assert bend.folding.blocked == ("fold 1, with none made: the strip meets the die",)
    assert not bend.ok
