"""Items on isolators under load cases: closed forms by hand, laws, and a rack's margins with them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from racks import IN, LBF, STANDARD, VARIATION, built, design_of, item, plain
from rackwright.answers import prove_json
from rackwright.design import Design
from rackwright.strength import frame as fr
from rackwright.strength.bodies import fixing_points
from rackwright.strength.checks.equipment import fixing_forces
from rackwright.strength.checks.rigid import shared
from rackwright.strength.isolators import STOP, float_on
from rackwright.strength.margin import Margin
from rackwright.strength.vary import Batch, Variants

FOUR = np.array([[-0.2, -0.15, -0.06], [0.2, -0.15, -0.06], [-0.2, 0.15, -0.06], [0.2, 0.15, -0.06]])
K = np.array([16e3, 18e3, 25e3])
FREE = np.full(3, np.inf)
Tables = dict[str, Any]


def one(k: Any, sway: Any, r: Any, force: Any) -> Any:
    found = float_on(
        np.array(k, float), np.array(sway, float), np.array([r], float), np.array([force], float)
    )
    return replace(
        found, shift=found.shift[0], tilt=found.tilt[0], stretch=found.stretch[0], force=found.force[0]
    )


# --- by hand -------------------------------------------------------------------------------------


def test_four_isolators_under_a_centred_pull() -> None:
    """Straight up or down nothing rocks: travel F / (4 k), a quarter of the force each."""
    found = one(K, FREE, FOUR, (0, 0, -1000))
    assert found.shift == pytest.approx([0, 0, -1000 / (4 * 25e3)], rel=1e-12)
    assert found.tilt == pytest.approx(np.zeros((3, 3)), abs=1e-15)
    assert found.force == pytest.approx(np.tile([0, 0, -250], (4, 1)), rel=1e-12, abs=1e-9)


def test_one_isolator_below_the_centre_is_an_inverted_pendulum_held_by_nothing() -> None:
    """One isolator resists no turning: under its own weight an item above it tips over, one below it hangs."""
    assert np.isnan(one(K, FREE, [[0, 0, -0.1]], (0, 0, -50)).shift).all()
    hung = one(K, FREE, [[0, 0, 0.1]], (0, 0, -50))
    assert hung.shift == pytest.approx([0, 0, -50 / 25e3], rel=1e-12)


def test_a_pendulum_hangs_along_its_force() -> None:
    """Its isolator stretches by F/k and its arm lies along the force: exact at any turn (isotropic stiffness)."""
    force = np.array([30.0, 0.0, -40.0])
    found = one([20e3] * 3, FREE, [[0, 0, 0.1]], force)
    assert found.stretch[0] == pytest.approx(force / 20e3, rel=1e-9, abs=1e-15)
    assert (np.eye(3) + found.tilt) @ [0, 0, 0.1] == pytest.approx(-0.1 * force / 50, rel=1e-9, abs=1e-13)


@pytest.mark.parametrize("F", [100.0, 1000.0, 5000.0])
def test_an_item_rocks_about_the_plane_of_its_isolators(F: float) -> None:
    """Balance of moments with every term, in the one angle a: isolators at x = ±b, h below the centre.

    No force acts up or down, so that the middle of their plane stays at its height and its rows rise by ± b sin a; they
    lie b cos a to either side, and their sideways stretches differ by 2 b (1 − cos a).
    """
    h, b, kx, kz = 0.06, 0.2, 16e3, 25e3
    found = one([kx, kx, kz], FREE, FOUR, (F, 0, 0))
    a = np.arcsin(found.tilt[0, 2])
    left = F * h * np.cos(a)
    right = 4 * kz * b * np.sin(a) * b * np.cos(a) + 4 * kx * (b * (1 - np.cos(a))) * b * np.sin(a)
    assert left == pytest.approx(right, rel=1e-9)
    sideways = F / (4 * kx)
    assert found.shift[0] == pytest.approx(sideways + h * np.sin(a), rel=1e-9)
    assert found.shift[2] == pytest.approx(-h * (1 - np.cos(a)), rel=1e-9)
    # at small loads this is the linear answer of kx and kr: F h / (4 kz b²)
    if F == 100.0:
        assert a == pytest.approx(F * h / (4 * kz * b**2), rel=1e-4)


def test_an_eccentric_centre_rocks_the_item_down_on_its_side() -> None:
    """Centre e to the right of the middle, h above: the moved weight has the arm e cos a + h sin a."""
    e, h, b, kx, kz, F = 0.05, 0.06, 0.2, 16e3, 25e3, 1000.0
    found = one([kx, kx, kz], FREE, FOUR - [e, 0, 0], (0, 0, -F))
    a = np.arcsin(found.tilt[0, 2])
    left = F * (e * np.cos(a) + h * np.sin(a))
    right = 4 * kz * b * np.sin(a) * b * np.cos(a) + 4 * kx * b * (1 - np.cos(a)) * b * np.sin(a)
    assert left == pytest.approx(right, rel=1e-9)
    linear = F * e / (4 * kz * b**2 - F * h)  # the weight above tips it further: second order
    assert a == pytest.approx(linear, rel=2e-3)


def test_on_the_stop_the_stop_carries() -> None:
    """Beyond its sway space an isolator is STOP times as stiff: travel = sway + (F/4 − k sway)/(STOP k)."""
    sway, F = 0.007, 2000.0
    found = one(K, [sway] * 3, FOUR, (0, 0, -F))
    each = sway + (F / 4 - 25e3 * sway) / (STOP * 25e3)
    assert -found.stretch[:, 2] == pytest.approx([each] * 4, rel=1e-12)
    assert found.on_stop[:, 2].all()
    assert not found.on_stop[:, :2].any()
    assert found.force.sum(axis=0) == pytest.approx([0, 0, -F])


# --- laws ----------------------------------------------------------------------------------------

forces = st.tuples(*[st.floats(-3000, 3000) for _ in range(3)])
places = st.tuples(*[st.floats(-0.08, 0.08) for _ in range(3)])


@settings(max_examples=60, deadline=None)
@given(forces, places, st.sampled_from([0.004, 0.008, np.inf]))
def test_isolators_balance_the_weight_where_it_has_come_to(force, off, sway):
    found = one(K, [sway] * 3, FOUR - np.array(off), force)
    size = np.linalg.norm(force) + 1e-9
    arm = FOUR - np.array(off) + found.stretch - found.shift
    assert found.force.sum(axis=0) == pytest.approx(np.array(force), abs=1e-8 * size)
    assert np.cross(arm, found.force).sum(axis=0) == pytest.approx(np.zeros(3), abs=1e-8 * size)


@settings(max_examples=30, deadline=None)
@given(forces, places)
def test_turning_all_by_90_degrees_turns_the_answer(force, off):
    turn = np.array([[0.0, -1, 0], [1, 0, 0], [0, 0, 1]])
    r, sway = FOUR - np.array(off), np.array([0.006, 0.008, 0.007])
    a = one(K, sway, r, force)
    b = one(K[[1, 0, 2]], sway[[1, 0, 2]], r @ turn.T, turn @ np.array(force))
    assert b.shift == pytest.approx(turn @ a.shift, rel=1e-7, abs=1e-9)
    assert b.force == pytest.approx(a.force @ turn.T, rel=1e-6, abs=1e-5)


def test_stiff_isolators_are_the_rigid_answer() -> None:
    """As stiff along every axis, isolators share as the least-squares rigid body has it (`rigid.shared`)."""
    r, force = FOUR - [0.03, 0.02, 0.0], np.array([400.0, -300.0, 900.0])
    found = one([1e9] * 3, FREE, r, force)
    assert np.abs(found.shift).max() < 1e-5
    assert found.force == pytest.approx(shared(r, force, np.zeros(3)), rel=1e-5, abs=1e-2)


def test_a_moved_mass_is_a_mass_at_that_place() -> None:
    """The frame takes it as if it had been drawn there: small, followed, and in second order."""
    run = design_of(STANDARD, VARIATION).strength.run
    assert run is not None
    keep = run.model.frame.variant(0)
    off = np.zeros((len(keep.masses), 3))
    off[:3] = np.random.default_rng(5).normal(0, 0.02, (3, 3))
    drawn = replace(keep, masses=replace(keep.masses, xyz=keep.masses.xyz + off))
    inertia = np.array([case.inertia for case in run.cases])
    moved = fr.Cases(inertia, moved=np.broadcast_to(off, (1, len(inertia), *off.shape)))
    for curves in ({}, run.model.curves):
        a, b, still = (fr.settle(fr.solve(f, cases), curves) for f, cases in (
            (keep, moved), (drawn, fr.Cases(inertia)), (keep, fr.Cases(inertia))))  # fmt: skip
        size = np.abs(b.response.end_force).max()
        assert np.abs(a.response.end_force - still.response.end_force).max() > 1e-3 * size
        for x, y in ((a.response.end_force, b.response.end_force), (a.travel * size, b.travel * size),
                     (fr.second_order(a).end_force, fr.second_order(b).end_force)):  # fmt: skip
            assert x == pytest.approx(y, abs=1e-9 * size)
        assert a.response.residual.max() < 1e-9
        both = fr.buckling(a).factor, fr.buckling(b).factor
        assert both[0] == pytest.approx(both[1], rel=1e-6)


# --- a rack --------------------------------------------------------------------------------------


def rack(stiffness: str = "90 lbf/in", **more: Any) -> Tables:
    made = {"stiffness": [stiffness] * 3, "damping": 0.1, "sway": ["0.4 in"] * 3, "allowable_ultimate": "900 lbf",
            "document": "DOC-3 rev A"} | more  # fmt: skip
    isolators = {name: value for name, value in made.items() if value is not None}
    low = {**item("low", "s", (4, 4), lb=12), "isolators": isolators}
    return plain(shelves={"s": 8, "t": 20}, items=[low, item("high", "t", (4, 4), lb=30)])


def margins(design: Design) -> dict[str, Margin]:
    return {one.id: one for one in design.strength.margins}


def test_what_documents_leave_out_is_a_question_and_no_margin() -> None:
    for name, why in (
        ("sway", "no sway space with"),
        ("allowable_ultimate", "no ultimate rating held captive with a document, and come to their stops"),
        ("document", "no rating with"),
    ):
        design = built(rack(**{name: None}))
        found = margins(design)["equipment.low/isolators"]
        assert found.margin is None
        assert why in found.why_missing
        assert f"equipment.low.isolators.{name}" in {question.id for question in design.questions}
        assert any(found.id in str(refusal) for refusal in design.refusals())


def test_travel_is_told_and_strength_is_a_margin() -> None:
    design = built(rack(stiffness="700 lbf/in"))
    held = margins(design)["equipment.low/isolators"]
    run = design.strength.run
    assert run is not None
    at = run.on_isolators["low"]
    told = prove_json(design)["isolators"]["low"]
    assert told["sway_m"] == {axis: pytest.approx(0.4 * IN) for axis in "xyz"}
    most = max(max(one["travel_m"].values()) for one in told["cases"].values())
    assert most == pytest.approx(np.abs(at.stretch).max(), rel=1e-9)
    assert not any(one["on_its_stop"] for one in told["cases"].values())
    assert held.applied == pytest.approx(np.linalg.norm(at.force, axis=-1).max(), rel=1e-9)
    assert held.margin == pytest.approx(900 * LBF / (held.applied * run.fitting_factor) - 1, rel=1e-9)
    weight = run.inertia_force(run.rack.definition.equipment[0], "ultimate")
    assert at.force.sum(axis=-2) == pytest.approx(weight, rel=1e-9, abs=1e-6)


def test_an_isolator_on_its_stop_says_so_and_only_its_strength_decides() -> None:
    design = built(rack(stiffness="90 lbf/in"))
    rows = prove_json(design)["isolators"]["low"]["cases"]
    held = margins(design)["equipment.low/isolators"]
    assert held.margin is not None
    assert held.margin > 0
    assert [one.id for one in design.strength.margins if one.id.startswith("equipment.low/isolator")] == [
        held.id
    ]
    assert rows["emergency/down"]["on_its_stop"] == ["z"]
    assert rows["emergency/down"]["travel_m"]["z"] == pytest.approx(0.4 * IN, rel=1e-2)


def test_fixings_hold_the_moved_weight() -> None:
    """Forces of the screws: the item's inertia, and its moment about the corner of its body where it has moved to."""
    design = built(rack(stiffness="300 lbf/in"))
    run = design.strength.run
    assert run is not None
    low = run.rack.definition.equipment[0]
    force, points = fixing_forces(run, low), fixing_points(run.rack, low)
    whole, at = run.inertia_force(low, "ultimate"), run.on_isolators["low"]
    centre = run.item_cg(low)[:, None] + at.shift
    assert force.sum(axis=2) == pytest.approx(whole, rel=1e-9, abs=1e-6)
    assert np.cross(points, force).sum(axis=2) == pytest.approx(np.cross(centre, whole), rel=1e-7, abs=1e-6)


def test_stiff_isolators_leave_every_margin_of_the_rack() -> None:
    stiff, bare = rack(stiffness="5000000 lbf/in"), rack()
    del bare["equipment"][0]["isolators"]
    a, b = margins(built(stiff)), margins(built(bare))
    for id, margin in b.items():
        if margin.margin is not None:
            assert a[id].margin == pytest.approx(margin.margin, rel=1e-4, abs=1e-4), id


def test_the_box_moves_into_its_clearance() -> None:
    """Thrown up, an item on soft isolators closes in on the panel above by its travel, beside what the rack does."""
    soft, bare = rack(stiffness="150 lbf/in"), rack()
    del bare["equipment"][0]["isolators"]
    for tables in (soft, bare):
        tables["shelf"][1]["height"] = "15.5 in"
    a, b = (margins(built(tables))["equipment.low/clearance"] for tables in (soft, bare))
    assert a.place == b.place == "low to panel.t"
    closing = [one.allowable / (1 + dict(one.by_case)["emergency/up"]) for one in (a, b) if one.allowable]
    run = built(soft).strength.run
    assert run is not None
    up = [case.id for case in run.cases].index("emergency/up")
    at = run.on_isolators["low"]
    assert at.shift[0, up, 2] > 0.05 * IN
    assert closing[0] - closing[1] == pytest.approx(at.shift[0, up, 2], rel=0.05)


def test_one_by_one_is_the_batch() -> None:
    design = built(rack(stiffness="200 lbf/in"))
    pounds = np.array([4.0, 9.0, 15.0]) * 0.45359237
    ids, values = Batch(design.rack, design.pieces).values(Variants(3, mass={"low": pounds}))
    for n, mass in enumerate(pounds):
        alone = Batch(design.rack, design.pieces).values(Variants(1, mass={"low": np.array([mass])}))
        assert alone[0] == ids
        assert values[:, n] == pytest.approx(alone[1][:, 0], rel=1e-9, nan_ok=True)
