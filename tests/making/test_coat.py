"""The coat: areas by hand and by counting cells, powder, masking, vents, and films where they must not be."""

from __future__ import annotations

import json
from dataclasses import replace
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from racks import DEMO, STANDARD, VARIATION, changed, design_of, faults_of, swap
from rackwright.making.coat import CoatPlan, coat_json, coat_plan, coated_area, grip_growth, ground
from rackwright.pieces.model import Box
from rackwright.pieces.surface import union_area
from rackwright.shop import read_shop

SHOP, _ = read_shop((DEMO / "shop.toml").read_bytes(), "shop.toml")
assert SHOP is not None
BOOTH = SHOP.coat
SQUARE_INCH = 0.0254**2


def plan(standard: str = STANDARD, racks: int = 3, variation: str | None = VARIATION) -> CoatPlan:
    design = design_of(standard, variation)
    return coat_plan(design.rack, design.pieces, racks, BOOTH)


# --- area ----------------------------------------------------------------------------------------

corner = st.tuples(*[st.integers(0, 4)] * 3)
size = st.tuples(*[st.integers(1, 3)] * 3)


@given(st.lists(st.tuples(corner, size), min_size=1, max_size=4))
def test_the_area_of_boxes_is_that_of_their_cells(
    rows: list[tuple[tuple[int, ...], tuple[int, ...]]],
) -> None:
    boxes = [
        Box((a, b, c), (a + x, b + y, c + z)) for (a, b, c), (x, y, z) in rows
    ]  # in nanometres  # fmt: skip
    cells = {
        (i, j, k)
        for box in boxes
        for i in range(box.lo[0], box.hi[0])
        for j in range(box.lo[1], box.hi[1])
        for k in range(box.lo[2], box.hi[2])
    }
    steps = [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)]
    sides = sum((i + a, j + b, k + c) not in cells for i, j, k in cells for a, b, c in steps)
    assert union_area(boxes) == pytest.approx(sides * 1e-18)


def test_a_post_by_hand() -> None:
    """Flats 4 (1.5 - 2 x 3/16) and corners 2 pi 3/16 around, 43.5 - 3 long, less its holes in one wall each."""
    design = design_of(STANDARD, VARIATION)
    post = design.pieces.get("post.front-left")
    holes = sum(pi / 4 * (hole.diameter / 25_400_000) ** 2 for hole in post.holes)
    around = 4 * (1.5 - 2 * 0.1875) + 2 * pi * 0.1875
    assert coated_area(design.rack, post) / SQUARE_INCH == pytest.approx(around * 40.5 - holes)


def test_blocks_show_three_faces_and_an_angle_all_of_itself() -> None:
    """A top block 3 x 1.5^2; an angle 1.5 x 1.5 x 3/16 of 26 in: 6 x 26 and two ends of 0.52734375, less its holes."""
    design = design_of(STANDARD, VARIATION)
    block = design.pieces.get("block.top.rear-left")
    assert coated_area(design.rack, block) / SQUARE_INCH == pytest.approx(6.75)
    angle = design.pieces.get("angle.lower.left")
    holes = 2 * sum(pi / 4 * (hole.diameter / 25_400_000) ** 2 for hole in angle.holes)
    assert coated_area(design.rack, angle) / SQUARE_INCH == pytest.approx(6 * 26 + 2 * 0.52734375 - holes)


def test_rings_are_bare_unless_the_finish_names_them() -> None:
    bare, coated = plan(), plan(swap(STANDARD, ('powder = "PX-21"', 'powder = "PX-21"\nalso = ["ring"]')))
    assert not [row for row in bare.rows if row.kind == "ring"]
    rings = [row for row in coated.rows if row.kind == "ring"]
    assert sum(row.count for row in rings) == 8
    # faces: 2 wide, 3.25 straight, half a round end, less the eye of 3/4; edge 1/4 thick
    face = 2 * 3.25 + pi / 2 - pi / 4 * 0.75**2
    edge = (2 * 3.25 + 2 + pi) * 0.25
    holes = 2 * 2 * pi / 4 * 0.2505**2
    assert rings[0].area / SQUARE_INCH == pytest.approx(2 * face + edge - holes)


# --- powder --------------------------------------------------------------------------------------


def test_powder_grows_with_racks_film_and_what_is_lost() -> None:
    one, three = plan(racks=1), plan()
    nominal, upper = three.films
    assert three.powder(nominal) == pytest.approx(3 * one.powder(nominal))
    assert three.powder(upper) / three.powder(nominal) == pytest.approx(upper / nominal)
    lossy = plan(swap(STANDARD, ("transfer_efficiency = 0.6", "transfer_efficiency = 0.3")))
    assert lossy.powder(nominal) == pytest.approx(2 * three.powder(nominal))
    assert lossy.area == three.area


def test_powder_by_hand() -> None:
    """Area times film times density of the film over the share that stays: 1450 kg/m3, 3 mil, 0.6."""
    sheet = plan()
    assert sheet.powder(sheet.films[0]) == pytest.approx(3 * sheet.area * 3 * 25.4e-6 * 1450 / 0.6)


# --- masks, vents, fits --------------------------------------------------------------------------


def test_what_is_masked() -> None:
    masks = plan().masks
    assert [one.number for one in masks] == list(range(1, len(masks) + 1))
    assert sum("spigots" in one.what for one in masks) == 8
    assert sum("both ends" in one.what for one in masks) == 12
    assert [one.piece for one in masks if "bond pad" in one.what] == [
        "block.bottom.front-left", "block.bottom.rear-right",
    ]  # fmt: skip
    assert [one.what[-2:] for one in masks if "datum" in one.what] == ["-x", "-y", "-z"]
    design = design_of(STANDARD, VARIATION)
    bores = sum(not hole.bolt.startswith("vent.") for piece in design.pieces.made if piece.kind != "ring"
                for hole in piece.holes)  # fmt: skip
    assert sum(one.count for one in masks if one.what.startswith("bores")) == bores


def test_every_closed_tube_breathes_and_drains() -> None:
    vents = plan().vents
    assert len(vents) == 12
    assert all(len(one.at) == 2 and one.diameter == 25_400_000 // 8 for one in vents)
    post = next(one for one in vents if one.tube == "post.front-left")
    assert [nm / 25_400_000 for nm in post.at] == [3.0, 37.5]


def test_no_vents_is_refused_before_any_coat() -> None:
    closed = swap(STANDARD, ('vent = { diameter = "1/8 in", from_block = "3 in" }\n', ""))
    assert {fault.code for fault in faults_of(closed, VARIATION)} == {"RW207"}


def test_fits_close_when_masking_is_forgotten() -> None:
    """Spigot gap 0.004 in: four films of 4 mil take 0.016. A 0.2505 hole on a 1/4 bolt loses two films."""
    fits = {one.name: one for one in plan().fits}
    spigot = fits["spigot in its tube"]
    assert (spigot.masked / 0.0254, spigot.missed / 0.0254) == (pytest.approx(0.004), pytest.approx(-0.012))
    assert spigot.closes
    assert fits["AN4 in 0.2505 in"].missed / 0.0254 == pytest.approx(0.0005 - 0.008)


def test_film_lengthens_the_stack_that_a_bolt_clamps() -> None:
    """Post and angle: two walls with one film each and an angle with two, 4 mil each; a spigot joint only two."""
    design = design_of(STANDARD, VARIATION)
    finish = design.rack.definition.finish
    assert finish is not None
    by_id = {bolt.id: grip_growth(bolt, design.pieces, finish) / 0.0254 for bolt in design.pieces.bolts}
    assert by_id["shelf.lower.left.front.1"] == pytest.approx(0.016)
    assert by_id["joint.width.top.front.low.1"] == pytest.approx(0.008)
    assert plan().most_grip_growth[1] / 0.0254 == pytest.approx(max(by_id.values()))


# --- ground and what is asked --------------------------------------------------------------------


@given(st.floats(1e3, 1e8), st.floats(1, 2e3))
def test_ground_is_good_only_with_voltage_and_below_the_limit(ohm: float, volt: float) -> None:
    assert BOOTH is not None
    good, why, current = ground(BOOTH, ohm, volt)
    assert good is (ohm <= 1e6 and volt >= 500)
    assert why
    assert current == pytest.approx(volt / ohm)


def test_without_finish_or_booth_it_asks() -> None:
    design = design_of(STANDARD, VARIATION)
    assert [one.field for one in coat_plan(design.rack, design.pieces, 1, None).asked] == ["[coat]"]
    rack = replace(design.rack, definition=replace(design.rack.definition, finish=None))
    sheet = coat_plan(rack, design.pieces, 1, BOOTH)
    assert [one.field for one in sheet.asked] == ["finish"]
    assert (sheet.area, sheet.powder(1e-4), coat_json(sheet)["powder"]) == (0, 0.0, None)


@pytest.mark.parametrize(
    ("old", "new", "code", "field"),
    [
        ("transfer_efficiency = 0.6", "transfer_efficiency = 0", "RW106", "finish.transfer_efficiency"),
        ("specific_gravity = 1.45", "specific_gravity = 0", "RW106", "finish.specific_gravity"),
        ('film_high = "4 mil"', 'film_high = "1 mil"', "RW106", "finish.film_high"),
        ('most_metal = "400 degF"', 'most_metal = "380 degF"', "RW106", "finish.cure.2.metal"),
    ],
)
def test_powder_data_of_another_world_are_faults(old: str, new: str, code: str, field: str) -> None:
    (fault,) = faults_of(swap(STANDARD, (old, new)))
    assert (fault.code, fault.where.field.replace("[", ".").replace("]", "")) == (code, field)
    assert fault.where.line > 0


# --- what an edit changes ------------------------------------------------------------------------


def test_an_edit_of_the_film_changes_powder_and_fits_and_no_area() -> None:
    thick = swap(STANDARD, ('film_high = "4 mil"', 'film_high = "5 mil"'))
    before, after = coat_json(plan()), coat_json(plan(thick))
    paths = changed(before, after)
    assert paths
    roots = {path.split(" > ")[0] for path in paths}
    assert roots == {
        "film_nominal_mil", "film_upper_mil", "powder_nominal_kg", "powder_nominal_lb", "powder_upper_kg",
        "powder_upper_lb", "fits", "grip_growth_most_in",
    }  # fmt: skip


def test_a_heavier_item_changes_nothing_of_the_coat() -> None:
    heavy = swap(VARIATION, ('mass = "41 lb"', 'mass = "44 lb"'))
    assert coat_json(plan(variation=heavy)) == coat_json(plan())
    assert json.loads(json.dumps(coat_json(plan()), allow_nan=False)) == coat_json(plan())


def test_the_mask_of_a_tapped_hole_says_so() -> None:
    tapped = {mask.piece for mask in plan().masks if mask.why == "tapped 1/4-28 STI"}
    assert tapped == {
        f"block.bottom.{side}-{hand}" for side in ("front", "rear") for hand in ("left", "right")
    }
