"""The turned question: what holds is said to hold, what lies just beyond does not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import racks
from racks import G0, IN, LB, LBF, STANDARD, VARIATION, built, design_of, plain
from rackwright.design import Design
from rackwright.rack.build_up import Tube
from rackwright.strength import vary
from rackwright.strength.analyse import analyse
from rackwright.strength.inverse import (
    Stretch,
    asked,
    envelope,
    fitting_ranges,
    payloads,
    together,
    tubes_tried,
)
from rackwright.strength.inverse import stretch as search
from rackwright.strength.inverse.stretch import Judge, outward, stretch
from rackwright.strength.margin import Margin, Subject, ratio
from rackwright.strength.run import Run
from rackwright.strength.vary import Found, Variants

SMALL = settings(max_examples=2, deadline=None)


def one_box(lb: float = 40, up: float = 20, **more: object) -> Design:
    tables = plain(shelves={"one": up}, items=[racks.item("box", "one", (5, 5), lb=lb)])
    return built({**tables, **more})


def proven(
    design: Design, item: str, kg: float, cg: tuple[float, float, float] | None = None
) -> float | None:
    """The least margin of a design of its own whose item weighs this, tolerance and all."""
    d = design.rack.definition
    items = [
        replace(one, mass=kg, mass_tolerance=0.0, cg=one.cg if cg is None else cg)
        if one.name == item
        else one
        for one in d.equipment
    ]
    rack = replace(design.rack, definition=replace(d, equipment=tuple(items)))
    margins = [margin.margin for margin in analyse(rack, design.pieces).margins]
    return None if None in margins else min(m for m in margins if m is not None)


# --- the search alone -----------------------------------------------------------------------------


def of(function: object) -> object:
    """A judge whose least margin is function(x)."""

    def judge(rows: np.ndarray, x: np.ndarray) -> Found:
        margin = np.array([function(row, one) for row, one in zip(rows, x, strict=True)])  # type: ignore[operator]
        return Found(margin, tuple("left" if one < 3 else "right" for one in x))

    return judge


@given(st.lists(st.floats(1e-3, 0.999), min_size=1, max_size=5))
def test_the_root_of_a_falling_margin_is_found_from_below(roots: list[float]) -> None:
    found = stretch(of(lambda row, x: roots[row] - x), np.zeros(len(roots)), np.ones(len(roots)))  # type: ignore[arg-type]
    for root, one in zip(roots, found, strict=True):
        assert one.value is not None
        assert one.beyond is not None
        assert one.value <= root < one.beyond <= one.value * 1.001 + 1e-12


def test_the_first_gap_ends_the_stretch_though_more_holds_beyond_it() -> None:
    (one,) = stretch(of(lambda _, x: (x - 3) * (x - 5)), np.zeros(1), np.array([10.0]))  # type: ignore[arg-type]
    assert one.value == pytest.approx(3.0, rel=1e-3)
    assert one.value <= 3.0


def test_a_start_that_does_not_hold_gives_none_and_a_row_without_end_says_so() -> None:
    none, whole = outward(of(lambda row, x: -1.0 if row == 0 else 1.0), np.zeros(2), np.ones(2))  # type: ignore[arg-type]
    assert none.value is None
    assert none.governing == "left"
    assert whole.beyond is None
    assert whole.value == 64.0, "moved out eightfold, twice"


def test_what_the_longer_proof_does_not_let_stand_is_searched_anew_by_it() -> None:
    """Three rows of roots 10, 10 and 4, of which the proof lets 7, 20 and 4 stand."""

    def falling(roots: np.ndarray, name: str) -> Judge:
        def judge(rows: np.ndarray, x: np.ndarray) -> Found:
            margin = roots[rows] / np.maximum(x, 1e-9) - 1
            return Found(margin, (name,) * len(rows), margin[None])

        return judge

    first, ends = falling(np.array([10.0, 10.0, 4.0]), "strength"), np.full(3, 16.0)
    found = stretch(first, np.zeros(3), ends)
    after = search.proven(found, falling(np.array([7.0, 20.0, 4.0]), "frame/buckling"))
    assert after[1:] == found[1:]
    assert after[0].value is not None
    assert 7 * (1 - 1.1e-3) <= after[0].value <= 7 < (after[0].beyond or 0.0)
    assert (after[0].governing, found[0].governing) == ("frame/buckling", "strength")
    assert after[0].stations > found[0].stations


def test_no_payload_is_one_whose_frame_buckles(monkeypatch: pytest.MonkeyPatch) -> None:
    """A frame that holds half as much, by a judge of stability put in its place: payloads fall with it."""
    design = one_box()
    (as_it_is,) = design.payloads
    assert as_it_is.most.value is not None
    limit = as_it_is.most.value / 2

    def soft(run: Run) -> Iterator[Margin]:
        about = Subject("frame/buckling", "buckling of the frame", "a test", unit="1")
        kg = np.repeat(run.model.item_mass[:, :1, None], len(run.chosen("ultimate")), axis=1)
        yield ratio(run.context("ultimate"), about, kg, limit, 1.0)

    monkeypatch.setattr(vary, "EVERY", (*vary.CHECKS, soft))
    (found,) = payloads(design.batch)
    assert found.most.value == pytest.approx(limit, rel=1e-3)
    assert found.most.value <= limit
    assert found.most.governing == "frame/buckling"


def test_downward_is_as_upward() -> None:
    (one,) = stretch(of(lambda _, x: x - 2.0), np.array([8.0]), np.zeros(1))  # type: ignore[arg-type]
    assert one.value == pytest.approx(2.0, rel=1e-3)
    assert one.value >= 2.0


# --- payloads ---------------------------------------------------------------------------------------


def test_the_largest_payload_holds_as_a_design_of_its_own_and_a_thousandth_more_does_not() -> None:
    design = design_of(STANDARD)
    for one in payloads(design.batch):
        assert one.lowest == 0.0
        assert one.most.value is not None
        holds, beyond = (proven(design, one.items[0], one.most.value * k) for k in (1.0, 1.001))
        assert holds is not None
        assert 0 <= holds < 2e-3
        assert beyond is None or beyond < 0


@pytest.mark.soak
@SMALL
@given(st.floats(8, 30), st.floats(5, 60), st.floats(1.2, 6))
def test_beyond_the_largest_nothing_heavier_holds(up: float, lb: float, times: float) -> None:
    design = one_box(round(lb, 1), round(up, 1))
    (one,) = payloads(design.batch)
    if one.most.value is None or one.most.beyond is None:
        return
    heavier = proven(design, "box", one.most.value * times)
    assert heavier is None or heavier < 0


@pytest.mark.soak
@SMALL
@given(st.floats(0.5, 12), st.sampled_from([("forward", -1), ("left", 1), ("up", -1), ("up", 1)]))
def test_another_case_never_raises_the_largest_payload(g: float, way: tuple[str, int]) -> None:
    """More has to hold, so no more may be carried."""
    case = {"name": "more", "kind": "ultimate", "forward": 0, "left": 0, "up": 0, "document": racks.INVENTED}
    case[way[0]] = way[1] * round(g, 2)
    before, after = (payloads(one_box(case=cases).batch)[0].most for cases in ([], [case]))
    assert before.value is not None
    assert (after.value or 0.0) <= before.value * 1.001


def test_largest_payload_of_a_panel_strip_is_that_of_the_textbook() -> None:
    """Four feet, 20 g down: each strip of 6 in bears two feet 3 in from its supports, so M = 3 F and F = 20 m g / 4.

    Closed form of a simple beam: M = Ftu w t² / 6, with 63 ksi across the grain of 2024-T3 sheet, 0.090 in thick.
    """
    design = one_box(30)
    (one,) = payloads(design.batch)
    expected = 63_000 * 6 * 0.090**2 / 6 / 3 * 4 / 20 * LBF / G0
    assert one.most.value is not None
    (box,) = design.rack.definition.equipment
    drawn = {margin.id: margin.margin for margin in design.strength.margins}
    strip, plate = drawn["panel.one.box/strip bending"], drawn["panel.one.box/plate at its feet"]
    assert strip is not None
    assert plate is not None
    whole = box.mass + (box.mass_tolerance or 0.0)
    assert whole * (1 + strip) == pytest.approx(expected, rel=1e-3)
    assert one.most.governing == "panel.one.box/plate at its feet", (
        "the same panel, sooner at a foot than between"
    )
    assert plate < strip
    assert whole * (1 + plate) / 1.001 < one.most.value <= whole * (1 + plate) * (1 + 1e-9)


def test_a_rack_that_is_not_held_carries_nothing() -> None:
    """Without pretension it may turn on its pads when it is pressed down: nothing is left aside for that."""
    tables = plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=30)])
    for kind in tables["strap_type"]:
        kind["pretension_low"] = kind["pretension_high"] = "0.001 lbf"
    design = built(tables)
    assert design.strength.loose
    assert not design.batch.missing
    (one,) = payloads(design.batch)
    assert one.most.value is None


def test_all_together_hold_whatever_stays_at_home() -> None:
    boxes = [racks.item("low", "one", (5, 5), lb=30), racks.item("high", "two", (5, 5), lb=20)]
    design = built(plain(shelves={"one": 10, "two": 26}, items=boxes))
    found = together(design.batch)
    assert found is not None
    assert found.most.value is not None
    rng = np.random.default_rng(7)
    n = 40
    mass = {name: kg * rng.integers(0, 2, n) for name, kg in found.each.items()}
    assert design.batch.judge(Variants(n, mass=mass)).holds.all()
    assert sum(found.each.values()) == pytest.approx(found.most.value)
    alone = {one.items[0]: one.most.value or 0.0 for one in payloads(design.batch)}
    assert all(kg <= alone[name] * 1.001 for name, kg in found.each.items())


def test_the_boundary_passes_through_the_largest_payload_at_the_centre_as_defined() -> None:
    design = one_box()
    (payload,) = payloads(design.batch)
    for line in envelope(design.batch, "z"):
        at = dict(line.points)
        assert at[line.now].value == pytest.approx(payload.most.value, rel=1e-3)
        for z, most in line.points:
            assert most.value is not None
            assert most.governing
            x, y, _ = design.rack.definition.equipment[0].cg
            holds = proven(design, "box", most.value, (x, y, z * 1e9))
            assert holds is not None
            assert holds >= 0


def test_an_allowable_that_is_missing_is_left_aside_and_named() -> None:
    tables = plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=40)])
    del tables["pad"]["allowable_ultimate"], tables["pad"]["document"]
    batch = built(tables).batch
    assert {margin.id for margin in batch.missing} == {f"pad.{corner}/floor" for corner in racks.TOP_RINGS}
    (one,) = payloads(batch)
    assert one.most.value is not None


def test_without_a_basis_there_is_no_answer() -> None:
    tables = plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=40)])
    del tables["basis"]
    (one,) = payloads(built(tables).batch)
    assert one.most.value is None


def test_what_is_asked_is_judged_as_a_design_of_its_own() -> None:
    design = design_of(STANDARD, VARIATION)
    found = asked(design.batch, {"shelf.upper": 60 * LB})
    assert found.margin[0] == pytest.approx(proven(design, "lidar controller", 60 * LB), abs=1e-9)


@pytest.mark.parametrize("mass", [[-1.0], [float("nan")], [1.0, 2.0]])
def test_masses_that_are_none_are_refused(mass: list[float]) -> None:
    with pytest.raises(ValueError, match=r"mass is negative|values are wanted"):
        Variants(1, mass={"box": np.array(mass)})


# --- straps and tubes ---------------------------------------------------------------------------------


def test_a_fitting_may_lie_anywhere_on_its_rays_and_the_strap_turns_as_far_as_it_says() -> None:
    design = one_box(30)
    (first,) = fitting_ranges(design.batch, only="F front-left")
    assert first.radius is not None
    place = np.array(design.rack.definition.floor_fitting[0].at) * 1e-9
    (x, y), far = min(first.ways, key=lambda way: way[1].value or 0.0)
    assert far.value == first.radius
    at = [place + k * first.radius * np.array([x, y, 0]) for k in (0.3, 0.999, 1.0)]
    assert design.batch.judge(Variants(3, ground={first.fitting: np.array(at)})).holds.all()
    assert {cone.strap for cone in first.cones} == {"top front-left", "bottom front-left"}
    for cone in first.cones:
        low, own, high = cone.above_floor
        assert low <= own <= high
        assert 0 < cone.half_angle < 0.5


def test_the_smallest_tube_is_the_lightest_that_holds() -> None:
    design = one_box(90)
    own = design.rack.definition.tube
    thin = replace(own, wall=round(0.065 * IN * 1e9), corner_radius=round(0.125 * IN * 1e9))
    wide = replace(own, side=round(3.5 * IN * 1e9))
    tried = tubes_tried(design.rack, [thin, wide])
    assert tried[0].tube.wall == thin.wall
    assert sum(one.own for one in tried) == 1
    assert next(one for one in tried if one.own).margin == pytest.approx(
        min(m.margin for m in design.strength.margins if m.margin is not None)
    )
    assert tried[0].margin is not None
    assert not tried[0].holds or tried[0].margin >= 0
    assert (tried[-1].margin is None) == bool(tried[-1].why), "no margin without the reason"
    assert isinstance(tried[0].tube, Tube)


def test_stretches_say_how_many_values_were_judged() -> None:
    (one,) = stretch(of(lambda _, x: 0.5 - x), np.zeros(1), np.ones(1), stations=10)  # type: ignore[arg-type]
    assert isinstance(one, Stretch)
    assert one.stations >= 11
