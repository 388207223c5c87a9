"""From a definition with braces to the papers: proof, saw plan, plate, jig, assembly, price, sheet."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import ceil, cos, degrees, pi, radians, sin

import pytest

from making.shop_order import FOLDER, items, shop
from papers.reading import flat, pages
from rackwright.answers import plan_json
from rackwright.design import Design
from rackwright.making.flat import Flat
from rackwright.making.gusset import gusset_flat
from rackwright.plan import Plan
from rackwright.rack import Source, read_rack
from rackwright.shop import Shop
from rackwright.shop.read_stock import read_stock_items
from rackwright.work.papers.saw import saw_sheet

NM = 25_400_000
RACKS = 3


@cache
def braced() -> Design:
    """The demo's variation with braces."""
    base = Source("er-47.toml", (FOLDER / "standards" / "er-47.toml").read_bytes())
    own = Source("er-47-v13.toml", (FOLDER / "variations" / "er-47-v13.toml").read_bytes())
    rack, faults = read_rack(own, {"er-47": base})
    assert rack is not None, faults
    return Design(rack)


@cache
def order() -> Plan:
    found, faults = read_stock_items((FOLDER / "stock.toml").read_bytes(), "stock.toml")
    assert found is not None, faults
    return Plan(((braced(), RACKS),), found[0], shop(), items=items())


def swinging(most: float | None) -> Shop:
    """The shop with a saw that swings so far (deg); None: it is not stated."""
    saw = replace(
        shop().saw, mitre_most=None if most is None else radians(most), mitre_document="log" if most else None
    )
    return replace(shop(), saw=saw)


def test_the_braced_rack_is_sound_and_holds() -> None:
    design = braced()
    assert design.faults == ()
    assert design.refusals() == ()
    ids = {one.id for one in design.strength.margins}
    for name in ("left", "right", "top"):
        assert {f"brace.{name}/{check}" for check in ("strength", "shear", "net section")} <= ids
        assert {f"gusset.{name}.{end}/gusset buckling" for end in ("start", "end")} <= ids
    vibration = {one.piece for one in design.vibration.margins}
    assert {"brace.left", "gusset.left.start"} <= vibration


def test_inches_in_are_pieces_kerf_trim_remnants_and_scrap_with_slanted_cuts() -> None:
    plan, kerf = order(), shop().saw.planned_kerf
    assert plan.feasible
    wanted = {(rack, piece.id): piece for rack in range(1, RACKS + 1) for piece in braced().pieces.sawn}
    cut = {}
    for section in plan.saw:
        for bar in section.bars:
            assert bar.balance.open == 0
            for one in bar.cuts:
                cut[one.slot.rack, one.slot.piece] = one
    assert set(cut) == set(wanted)  # every planned piece once
    assert plan.balance.open == 0
    mitred = 0
    for key, piece in wanted.items():
        angle = max(piece.mitre.angles) if piece.mitre else 0.0
        assert cut[key].length_nm == piece.length
        assert cut[key].kerf_nm == ceil(kerf / cos(angle) - 1e-9)
        mitred += piece.mitre is not None
    assert mitred == 3 * RACKS
    assert plan.balance.kerf == sum(one.kerf_nm for one in cut.values())


def test_a_saw_that_swings_less_is_told_and_one_that_is_not_stated_is_asked_for() -> None:
    steepest = max(max(p.mitre.angles) for p in braced().pieces.sawn if p.mitre)
    assert order().faults == ()
    assert order().saw_asked == ()
    (fault,) = Plan(((braced(), 1),), None, swinging(45)).faults
    assert (fault.code, fault.where.field) == ("RW403", "brace.top.start.at")
    assert f"{degrees(steepest):.2f} deg" in fault.found
    asked = Plan(((braced(), 1),), None, swinging(None))
    assert asked.faults == ()
    (one,) = asked.saw_asked
    assert one.field == "saw.mitre_most"


def test_the_saw_sheet_says_how_to_swing() -> None:
    text = "".join(map(flat, pages(saw_sheet(order(), "B-1", "2026-03-02"))))
    assert "Mitresswingsto60degfromthesquare,logK-33" in text
    assert "mitred33.15°/33.15°,oneway;sides27.470" in text
    assert "mitred47.25°/42.75°,oppositeways,longsideatthefence;shortside14.414" in text
    assert f"{RACKS}inonerow,laidalloneway" in text


def test_the_plan_as_a_document_has_the_ends() -> None:
    cuts = [
        cut
        for section in plan_json(order())["saw"].values()
        for bar in section["bars"]
        for cut in bar["cuts"]
    ]
    ends = {cut["piece"]: cut for cut in cuts if "mitre_deg" in cut}
    assert set(ends) == {"brace.left", "brace.right", "brace.top"}
    assert sum(ends["brace.top"]["mitre_deg"]) == pytest.approx(90)
    assert ends["brace.left"]["ends_lean_one_way"]


def test_gussets_are_cut_as_true_shapes_along_their_grain() -> None:
    design, plan = braced(), order()
    job = next(job for job in plan.plate.jobs if job.section == "SHEET 0.125")
    assert job.problems == ()
    laid = [one for layout in job.layouts for one in layout.placed if one.slot.piece.startswith("gusset.")]
    assert len(laid) == 12 * RACKS
    assert {one.turned for one in laid} <= {0, 180}
    for piece in design.pieces.made:
        if piece.kind == "gusset":
            assert piece.slab is not None
            shape: Flat = job.flats[piece.part]
            assert shape.convex
            assert shape.area == pytest.approx(piece.slab.area, rel=1e-6)
            assert shape.perimeter == pytest.approx(piece.slab.perimeter, rel=1e-6)
            assert len(shape.holes) == len(piece.holes)
            (low, high), edge = shape.box, design.rack.definition.gusset_make.edge  # type: ignore[union-attr]
            assert low == (0, 0)
            near = min(min(h.at[0], h.at[1], high[0] - h.at[0], high[1] - h.at[1]) for h in shape.holes)
            assert near >= edge - 2


def test_a_gusset_without_a_grain_may_lie_any_way() -> None:
    piece = next(one for one in braced().pieces.made if one.kind == "gusset")
    make = braced().rack.definition.gusset_make
    assert make is not None
    assert gusset_flat(piece, replace(make, grain=None)).turns == (0, 90, 180, 270)


def test_holes_go_to_the_jig_bolts_to_the_torque_card_and_all_of_it_to_the_price() -> None:
    design, plan = braced(), order()
    bolts = {bolt.id for bolt in design.pieces.bolts if bolt.id.startswith("brace.")}
    assert len(bolts) == 3 * 2 * 5
    (jig,) = plan.jig
    drilled = {hole.bolt: hole for hole in jig.holes}
    assert bolts <= set(drilled)
    assert not any(drilled[id].interchange for id in bolts)
    near, origin = drilled["brace.left.start.1"], jig.jig.origin if jig.jig else (0, 0, 0)
    angle = design.pieces.get("brace.left").mitre.angles[0]  # type: ignore[union-attr]
    from_node = (0.75 + 0.625) / cos(angle)
    expected = (0, 25.25 - from_node * cos(angle), 12 + from_node * sin(angle))
    for at, zero, want in zip(near.at, origin, expected, strict=True):
        assert (at - zero) / NM == pytest.approx(want, abs=1e-6)
    (made,) = plan.assembly
    joints = {joint.id: joint for joint in made.joints}
    for id in bolts:
        assert joints[id].torque is not None
        assert joints[id].spacer
        assert joints[id].access.good
    (coat,) = plan.coat
    assert {"brace.left", "brace.right", "brace.top"} <= {
        vent.tube for vent in coat.vents if len(vent.at) == 2
    }
    saw = next(step for step in plan.route.steps if step.operation.id == "saw")
    assert {design.pieces.get(f"brace.{name}").part for name in ("left", "right", "top")} <= set(
        dict(saw.parts)
    )
    assert plan.price.total is not None


def test_the_coated_area_of_a_brace_is_its_perimeter_by_its_axis_less_holes() -> None:
    design = braced()
    piece, tube = design.pieces.get("brace.top"), design.rack.definition.tube
    row = next(one for one in order().coat[0].rows if one.part == piece.part)
    assert piece.mitre is not None
    axis = (piece.mitre.long + piece.mitre.short) / 2 * 1e-9
    round_it = (4 * (tube.side - 2 * tube.corner_radius) + 2 * pi * tube.corner_radius) * 1e-9
    holes = sum(pi / 4 * (hole.diameter * 1e-9) ** 2 for hole in piece.holes)
    assert row.area == pytest.approx(round_it * axis - holes)


def test_half_a_turn_takes_a_piece_to_its_like() -> None:
    pieces = braced().pieces
    assert pieces.quantity(pieces.get("gusset.left.start.outside").part) == 8
    assert pieces.get("gusset.top.start.inside").part == pieces.get("gusset.top.start.outside").part
