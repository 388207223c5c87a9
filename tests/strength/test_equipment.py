"""Items by statics alone: the worst corner of a centre's tolerance, deep panel units, rear supports, trays."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from racks import AN3, G0, INVENTED, built, item, plain, rack_of, still, still_run, written
from rackwright.design import Design
from rackwright.strength.checks.panel import panel_sag
from rackwright.strength.corners import EIGHT, FOUR, corners

Tables = dict[str, Any]
RAILS = {"bottom": "11 in", "units": 6, "beyond": "1/4 in", "setback": "1/4 in", "opening": "450 mm",
         "angle": {"post_leg": "1.5 in", "carry_leg": "1.75 in", "thickness": "0.125 in",
                   "material": "6061-T6511-ext-A", "stock": "AMS-QQ-A-200/8"},
         "hardware": AN3, "screw": AN3}  # fmt: skip


def panel_unit(**more: Any) -> dict[str, Any]:
    """20 lb, 18 in deep, its centre 9 in behind its panel."""
    one = item("deep", "", (0, 0), lb=20, size=(17, 18, 5), cg=(8.5, 9, 2.5))
    return {**one, "on_shelf": None, "on_rails": {"unit": 2, "units": 3, "flange": "1/8 in", **more}}


def margins(tables: Tables) -> dict[str, float | None]:
    return {one.id: one.margin for one in built(tables).strength.margins}


def shelf_rack(band: tuple[float, float, float], cg: tuple[float, float, float] = (7, 8, 3)) -> Tables:
    one = item("a", "s", (4, 4), lb=30, cg=cg)
    return plain(shelves={"s": 8}, items=[{**one, "cg_tolerance": [f"{value:.4f} in" for value in band]}])


@settings(max_examples=2, deadline=None)
@given(st.tuples(*[st.sampled_from([0.0, 0.25, 0.5])] * 3).filter(any))
def test_the_worst_corner_of_the_tolerance_is_found(band: tuple[float, float, float]) -> None:
    """Each margin is the least of those with the centre put at each of the eight corners in turn, and the middle."""
    found = margins(shelf_rack(band))
    each = [margins(shelf_rack((0, 0, 0), tuple(c + s * b for c, s, b in zip((7, 8, 3), signs, band, strict=True))))  # type: ignore[arg-type]
            for signs in (*EIGHT, (0, 0, 0))]  # fmt: skip
    for id, value in found.items():
        if id.startswith("frame/"):  # a factor, and moments, that follow no straight line between the corners
            continue
        assert value == pytest.approx(min(one[id] for one in each), rel=1e-6, abs=1e-9), id  # type: ignore[type-var]


def test_four_corners_show_every_pair_of_signs_and_oblique_cases_take_eight() -> None:
    for i, j in itertools.combinations(range(3), 2):
        assert {(one[i], one[j]) for one in FOUR} == set(itertools.product((1, -1), repeat=2))
    tables = shelf_rack((0.25, 0, 0))
    case = {"name": "c", "kind": "ultimate", "forward": 2, "left": 1, "up": 0, "document": INVENTED}
    assert len(corners(rack_of(written(tables)))) == 1 + 4
    assert len(corners(rack_of(written({**tables, "case": [case]})))) == 1 + 8
    assert len(corners(rack_of(written(shelf_rack((0, 0, 0)))))) == 1


def test_items_side_by_side_bend_the_strip_that_they_share() -> None:
    """The same two boxes, their fixing lines on the same strips or 12 in apart (shelf 26 in deep): where the strips
    overlap, what the other's carries at a foot is added. Feet 1 and 5 in from a
    box's side; span between the carrying legs."""

    def applied(*places: tuple[float, float]) -> dict[str, float]:
        small = [
            item(name, "s", at, lb=10, size=(6, 5, 4), cg=(3, 2.5, 2))
            for name, at in zip("ab", places, strict=False)
        ]
        found = still(built(plain(shelves={"s": 8}, items=small)))
        return {
            name: float(found[f"panel.s.{name}/strip bending"].applied or 0) for name in "ab"[: len(places)]
        }

    alone, beside, behind = applied((5, 10)), applied((5, 10), (13, 10)), applied((5, 2), (5, 18))
    assert beside["a"] == pytest.approx(beside["b"], rel=1e-6), "mirrored"
    d = built(plain(shelves={"s": 8})).rack.definition
    left = (d.tube.side + d.shelf_make.angle.carry_leg) / 25.4e6
    span = 24 - 2 * left
    feet = {"a": [5 + 1 - left, 5 + 5 - left], "b": [13 + 1 - left, 13 + 5 - left]}

    def moment(at: float, forces: list[float]) -> float:
        return sum(min(at, x) * (span - max(at, x)) / span for x in forces)

    own = max(moment(at, feet["a"]) for at in feet["a"])
    both = max(moment(at, [*feet["a"], *feet["b"]]) for at in feet["a"])
    assert beside["a"] / alone["a"] == pytest.approx(both / own, rel=1e-6)
    assert behind["a"] == pytest.approx(alone["a"], rel=0.05), "only the place on the shelf differs"


def test_items_side_by_side_sag_the_strip_that_they_share() -> None:
    """A simple beam sags by the sum of what each load does: two boxes, mirrored, on the same strips."""

    def sags(*places: tuple[float, float]) -> tuple[np.ndarray, np.ndarray]:
        small = [
            item(name, "s", at, lb=10, size=(6, 5, 4), cg=(3, 2.5, 2))
            for name, at in zip("ab", places, strict=False)
        ]
        run = still_run(built(plain(shelves={"s": 8}, items=small)))
        return panel_sag(run, run.rack.definition.equipment[0], "ultimate")

    (one, _), (other, _), (_, apart), (both, along) = (
        sags((5, 10)), sags((13, 10)), sags((5, 10)), sags((5, 10), (13, 10))
    )  # fmt: skip
    down = int(both.min(axis=(0, 2)).argmin())
    alone = one[:, down].min(axis=-1)
    assert both[:, down].min(axis=-1) == pytest.approx(
        sags((13, 10), (5, 10))[0][:, down].min(axis=-1), rel=1e-6
    )
    assert (both[:, down].min(axis=-1) < 1.5 * alone).all()  # deeper, both being negative
    middle = along.shape[-1] // 4  # of the first line: the same from both boxes
    assert along[:, down, middle] == pytest.approx(2 * apart[:, down, middle], rel=1e-6)
    assert other[:, down].min(axis=-1) == pytest.approx(alone, rel=1e-6)


def test_a_deep_unit_puts_its_moment_on_its_panel_screws() -> None:
    """20 5/8 lb at 20 g down, 9 in behind the panel: 412.5 lbf × 9 = 3712.5 in·lbf on four screws.

    First hole of unit 2 to last of unit 4: 3 × 1.75 - 2 × 0.25 = 4.75 in apart: 3712.5/(2 × 4.75) = 390.79 lbf pull at
    each upper one, 103.125 lbf shear. The rail's leg: 2.8445 - 1.5 = 1.3445 in to the screw from the post's face, the
    rail reaching to (24 in - 450 mm)/2 = 3.1417 in: b = 1.2195, a = 0.2972 in, Q/T = 3 × 1.2195²/(2 × 0.2972 ×
    (3 × 1.2195 + 0.2972)) = 1.8976. AN3 of 2126 and 2210 lbf: Rt = 1.15 × 390.79 × 2.8976/2210 = 0.5892.
    """
    design = built({**plain(items=[panel_unit()]), "rails": RAILS})
    hole, edge = 12 - 465.1 / 25.4 / 2 - 1.5, (24 - 450 / 25.4) / 2 - 1.5
    b, a = hole - 0.125, edge - hole
    pried = 1 + 3 * b**2 / (2 * a * (3 * b + a))
    assert (b, a, pried) == (
        pytest.approx(1.2195, abs=1e-3), pytest.approx(0.2972, abs=1e-3), pytest.approx(2.8976, abs=2e-2),
    )  # fmt: skip
    pull = 412.5 * 9 / (2 * 4.75)
    assert pull == pytest.approx(390.79, abs=0.01)
    Rs, Rt = 1.15 * 103.125 / 2126, 1.15 * pull * pried / 2210
    one = still(design)["equipment.deep/screws"]
    assert one.case == "emergency/down"
    assert one.margin is not None
    k = one.margin + 1
    assert (k * Rs) ** 3 + (k * Rt) ** 2 == pytest.approx(1, rel=1e-6)


def test_a_rear_support_takes_its_share() -> None:
    """The same with two feet 18 in behind the panel on a shelf: all six points share, the panel's pull falls."""
    rear = {"shelf": "s", "feet": [["3 in", "17 in"], ["14 in", "17 in"]], "flange": "1/8 in"}
    tables = {**plain(items=[panel_unit()], shelves={"s": 8}), "rails": RAILS}
    alone, held = built(tables), built({**tables, "equipment": [panel_unit(rear=rear)]})
    before, after = ({m.id: m.margin for m in one.strength.margins} for one in (alone, held))
    assert {"equipment.deep/rear screws", "equipment.deep/rear bearing", "panel.s.deep/strip bending"} <= set(
        after
    )
    assert after["equipment.deep/screws"] > 1.5 * before["equipment.deep/screws"]  # type: ignore[operator]
    assert sum(bolt.id.startswith("equipment.deep.") for bolt in held.pieces.bolts) == 6
    reaction = sum(one.force[2] for one in held.strength.reactions
                   if (one.case, one.pretension) == ("emergency/down", "low"))  # fmt: skip
    assert reaction == pytest.approx(-20 * G0 * (held.loaded.mass + held.loaded.tolerance), rel=1e-6)


def test_a_tray_holds_by_its_document_or_not_at_all() -> None:
    """30 15/16 lb at 20 g: 618.75 lbf of 900 lbf, by 1.15: MS 0.26482; without a document none."""
    one = item("a", "s", (4, 4), lb=30)
    tray = {"part": "T-1", "document": INVENTED, "allowable_ultimate": "900 lbf"}

    def judged(tray: dict[str, Any]) -> tuple[Design, float | None]:
        tables = plain(shelves={"s": 8}, items=[{**one, "on_shelf": {**one["on_shelf"], "tray": tray}}])
        design = built(tables)
        return design, {m.id: m.margin for m in design.strength.margins}["equipment.a/tray"]

    assert judged(tray)[1] == pytest.approx(900 / (1.15 * 20 * 30 * 33 / 32) - 1, rel=1e-6)
    design, none = judged({**tray, "allowable_ultimate": None})
    assert none is None
    assert "equipment.a.on_shelf.tray.allowable_ultimate" in {one.id for one in design.questions}


def test_the_rail_bolts_carry_what_the_screws_hand_them() -> None:
    """Free body of the deep unit: its six components reach the rails and the shelf, none is lost or pried away."""
    from rackwright.strength.bodies import fixing_points
    from rackwright.strength.checks.equipment import fixing_forces

    rear = {"shelf": "s", "feet": [["3 in", "17 in"], ["14 in", "17 in"]], "flange": "1/8 in"}
    run = built({**plain(items=[panel_unit(rear=rear)], shelves={"s": 8}), "rails": RAILS}).strength.run
    assert run is not None
    one = run.rack.definition.equipment[0]
    force, points = fixing_forces(run, one), fixing_points(run.rack, one)
    whole = run.inertia_force(one, "ultimate")
    assert np.allclose(force.sum(axis=2), whole)
    assert np.allclose(np.cross(points, force).sum(axis=2), np.cross(run.item_cg(one)[:, None], whole))
