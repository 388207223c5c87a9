"""What holds of the pieces of every rack: lengths, holes, numbers, masses."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from racks import LB, STANDARD, VARIATION, built, design_of, item, plain, rack_of, written
from rackwright.design import Design
from rackwright.pieces.build import build
from rackwright.pieces.model import Bolt, Piece, axis_index
from rackwright.pieces.weight import bolt_points, equipment_cg
from rackwright.reference import Rows, shipped
from rackwright.strength.frame.beam import geometry
from strategies import COUNTERBORE, racks

law = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
DEMOS = {"standard": design_of(), "variation": design_of(STANDARD, VARIATION)}
demos = pytest.mark.parametrize("design", DEMOS.values(), ids=DEMOS)


def fresh(tables: dict[str, Any]) -> Design:
    return Design(rack_of(written(tables)))


# --- pieces and bolts ------------------------------------------------------------------------------------


@law
@given(racks(counterbored=True))
def test_a_drawn_rack_can_be_built(tables: dict[str, Any]) -> None:
    assert fresh(tables).faults == ()


@law
@given(racks(counterbored=True))
def test_cut_lengths_are_the_outside_less_the_block_faces_to_the_nanometre(tables: dict[str, Any]) -> None:
    design = fresh(tables)
    d = design.rack.definition
    wanted = {"post": d.outside.height, "width": d.outside.width, "depth": d.outside.depth}
    tubes = [piece for piece in design.pieces.made if piece.kind in wanted]
    assert Counter(piece.kind for piece in tubes) == {"post": 4, "width": 4, "depth": 4}
    for piece in tubes:
        assert piece.length == wanted[piece.kind] - 2 * d.tube.side
    for piece in design.pieces.made:
        if piece.kind == "angle":
            assert piece.length == d.outside.depth


def joins_soundly(pieces: dict[str, Piece], bolt: Bolt) -> None:
    i = axis_index(bolt.axis)
    for id in bolt.joins:
        if id.startswith("equipment."):
            continue  # its maker drills it
        layers = [layer for layer in bolt.layers if layer.piece == id]
        holes = [hole for hole in pieces[id].holes if hole.bolt == bolt.id]
        assert len(holes) == len(layers)
        for hole in holes:
            assert hole.diameter == bolt.hole_in(id)
            assert hole.thread == bolt.thread_in(id)
            assert bolt.hole > round(shipped().bolts[bolt.row].diameter * 1e9) - 1
            assert axis_index(hole.face) == i
            assert all(hole.centre[k] == bolt.point[k] for k in range(3) if k != i)
            assert any(layer.low <= hole.centre[i] <= layer.high for layer in layers)
    stacked = [(layer.low, layer.high) for layer in bolt.layers]
    assert stacked == sorted(stacked)
    assert all(low < high for low, high in stacked)


@demos
def test_every_bolt_has_its_hole_in_every_piece_it_joins(design: Design) -> None:
    pieces = {piece.id: piece for piece in design.pieces.made}
    for bolt in design.pieces.bolts:
        joins_soundly(pieces, bolt)
    drilled = {
        hole.bolt for piece in design.pieces.made for hole in piece.holes if not hole.bolt.startswith("vent.")
    }
    assert drilled == {bolt.id for bolt in design.pieces.bolts}


@demos
def test_the_shank_fills_the_stack_and_washers_take_up_the_rest(design: Design) -> None:
    for bolt in design.pieces.bolts:
        if bolt.anchor is not None:
            continue  # its shank ends before the threads: test_the_shank_stays_out_of_an_anchor
        rest = shipped().grips[bolt.row].grip(bolt.dash) - bolt.grip * 1e-9
        assert rest >= -1e-9
        assert rest <= (bolt.washers - 1) * shipped().washers[bolt.washer].thickness + 1e-9
        shorter = [
            dash
            for dash in shipped().grips[bolt.row].dashes()
            if shipped().grips[bolt.row].grip(dash) < bolt.grip * 1e-9 - 1e-9
        ]
        assert shipped().grips[bolt.row].grip(bolt.dash) > max(
            (shipped().grips[bolt.row].grip(dash) for dash in shorter), default=0
        )


@demos
def test_the_shank_stays_out_of_an_anchor(design: Design) -> None:
    """What the head's washers leave of the grip ends in the pieces that are clamped; one diameter of thread holds, and
    the point does not reach the hole's end."""
    anchored = [bolt for bolt in design.pieces.bolts if bolt.anchor]
    assert {bolt.id.partition(".")[0] for bolt in anchored} == {"pad"}
    for bolt in anchored:
        assert bolt.anchor is not None
        series, thick = shipped().grips[bolt.row], shipped().washers[bolt.washer].thickness
        (last,) = (layer for layer in bolt.layers if layer.piece == bolt.anchor.piece)
        clamped = (bolt.grip - (last.high - last.low)) * 1e-9
        assert series.grip(bolt.dash) - bolt.washers * thick <= clamped + 1e-9
        assert bolt.anchor.engaged * 1e-9 >= shipped().bolts[bolt.row].diameter - 1e-9
        assert series.length(bolt.dash) - bolt.washers * thick < bolt.grip * 1e-9


@demos
def test_no_two_pieces_share_room(design: Design) -> None:
    for one, other in combinations(design.pieces.made, 2):
        for a in one.boxes:
            for b in other.boxes:
                apart = any(a.hi[i] <= b.lo[i] or b.hi[i] <= a.lo[i] for i in range(3))
                assert apart, (one.id, other.id)


@demos
def test_holes_keep_their_distance_from_the_edges(design: Design) -> None:
    """1.5 diameters from a hole's middle to the end of its tube, recounted from the definition alone."""
    d = design.rack.definition
    for piece in design.pieces.made:
        if piece.axis is None:
            continue
        i = axis_index(piece.axis)
        for hole in piece.holes:
            end = min(hole.centre[i] - piece.lo[i], piece.hi[i] - hole.centre[i])
            assert end >= 1.5 * hole.diameter - 0.003 * 25_400_000, (piece.id, hole)
    assert d.joint.post[0].at >= 1.5 * 6_350_000


# --- numbers ---------------------------------------------------------------------------------------------


def own_shape(piece: Piece) -> tuple[Any, ...]:
    """A piece as it lies on the bench: size, and holes from its own low corner."""
    low = piece.lo
    holes = frozenset(
        (hole.face, tuple(c - o for c, o in zip(hole.centre, low, strict=True)), hole.diameter)
        for hole in piece.holes
    )
    boxes = frozenset(tuple(v - low[k % 3] for k, v in enumerate((*box.lo, *box.hi))) for box in piece.boxes)
    walls = frozenset(tuple(v - low[k % 3] for k, v in enumerate((*box.lo, *box.hi))) for box in piece.walls)
    return piece.kind, piece.section, piece.stock, piece.length, boxes, walls, holes, piece.notes


@demos
def test_a_part_number_is_shared_by_what_is_alike_and_by_nothing_else(design: Design) -> None:
    shapes: dict[str, set[Any]] = {}
    parts: dict[Any, set[str]] = {}
    for piece in design.pieces.made:
        shapes.setdefault(piece.part, set()).add(own_shape(piece))
        parts.setdefault(own_shape(piece), set()).add(piece.part)
        assert piece.part.startswith(design.rack.definition.part + "-")
    assert all(len(found) == 1 for found in shapes.values())
    assert all(len(found) == 1 for found in parts.values())
    assert sum(design.pieces.quantity(part) for part in shapes) == len(design.pieces.made)


def test_ids_say_the_role_and_stay_through_edits() -> None:
    """A shelf more, a heavier item, a taller frame: what was there keeps its id."""
    items = [item("a", "low", (4, 5), lb=20)]
    before = built(plain(shelves={"low": 8}, items=items)).pieces
    ids = {piece.id for piece in before.made} | {bolt.id for bolt in before.bolts}
    for edited in (
        plain(shelves={"low": 8, "high": 30}, items=items), plain((24, 26, 42), {"low": 9}, items),
        plain(shelves={"low": 8}, items=[item("a", "low", (4, 5), lb=40)]),
    ):  # fmt: skip
        after = built(edited).pieces
        assert ids <= {piece.id for piece in after.made} | {bolt.id for bolt in after.bolts}
    assert {
        "post.front-left",
        "block.top.rear-right",
        "panel.low",
        "angle.low.left",
        "ring.top rear-left",
    } <= ids


def test_names_that_begin_alike_are_kept_apart() -> None:
    """Shelves "a" and "a.b", items "i" and "i.1": nothing of one is counted for the other."""
    items = [item("i", "a", (5, 5), lb=20), item("i.1", "a.b", (5, 5), lb=30)]
    alike = built(plain(shelves={"a": 8, "a.b": 24}, items=items))
    items = [item("i", "a", (5, 5), lb=20), item("k", "c", (5, 5), lb=30)]
    other = built(plain(shelves={"a": 8, "c": 24}, items=items))
    renamed = [m.id.replace("a.b", "c").replace("i.1", "k") for m in alike.strength.margins]
    assert renamed == [m.id for m in other.strength.margins]
    assert [m.margin for m in alike.strength.margins] == [m.margin for m in other.strength.margins]


# --- mass ------------------------------------------------------------------------------------------------


@law
@given(racks(counterbored=True))
def test_the_frame_weighs_what_pieces_bolts_and_equipment_weigh_and_where_they_do(
    tables: dict[str, Any],
) -> None:
    """Mass and its first moment of the idealised frame, with the upper mass of every item, to 1e-9."""
    design = fresh(tables)
    frame, d = design.strength.model.frame, design.rack.definition
    m, geo = frame.members, geometry(frame)
    start = frame.xyz[0][m.ends[:, 0]] + m.offset[0, :, 0]
    middle = start + geo.turn[0][:, 0] * geo.length[0][:, None] / 2
    weight = (m.rho * m.A * geo.length)[0]
    mass = weight.sum() + frame.masses.m[0].sum()
    moment = weight @ middle + frame.masses.m[0] @ frame.masses.xyz[0]
    upper = [one.mass + (one.mass_tolerance or 0.0) for one in d.equipment]
    own = [piece.mass for piece in design.pieces.made] + [bolt.mass for bolt in design.pieces.bolts] + upper
    places = [np.array(piece.cg) for piece in design.pieces.made]
    places += [at for _, at in bolt_points(design.pieces)] + [
        equipment_cg(design.rack, one) for one in d.equipment
    ]
    assert mass == pytest.approx(sum(own), rel=1e-9)
    assert moment / mass == pytest.approx(np.average(places, axis=0, weights=own), abs=1e-9)


@law
@given(racks(counterbored=True))
def test_loaded_is_bare_and_equipment(tables: dict[str, Any]) -> None:
    design = fresh(tables)
    items = design.rack.definition.equipment
    assert design.loaded.mass - design.bare.mass == pytest.approx(sum(one.mass for one in items), abs=1e-9)
    assert design.loaded.tolerance == pytest.approx(sum(one.mass_tolerance or 0 for one in items))
    moment = design.bare.mass * design.bare.cg
    moment = moment + sum((one.mass * equipment_cg(design.rack, one) for one in items), np.zeros(3))
    assert design.loaded.cg == pytest.approx(moment / design.loaded.mass)
    for mass in (design.bare, design.loaded):
        principal = np.linalg.eigvalsh(mass.inertia)
        assert np.array_equal(mass.inertia, mass.inertia.T)
        assert principal[0] > 0
        assert principal[2] <= principal[0] + principal[1]


def test_bare_centre_and_products_of_a_rack_that_is_alike_on_all_sides() -> None:
    """No shelf, no item: the centre stands in the middle, and nothing is skew."""
    bare = built(plain((24, 26, 40))).bare
    assert bare.cg[:2] / 0.0254 == pytest.approx([12, 13])
    assert bare.inertia[0, 1] == pytest.approx(0, abs=1e-12)
    assert bare.inertia[0, 2] == pytest.approx(0, abs=1e-12)


def test_a_shelf_angle_by_hand() -> None:
    """L 1.5 x 1.5 x 0.1875, 26 in: 0.527344 in², centroid 0.44375 in from its back, at 0.098 lb/in³ 1.34367 lb.

    Less four AN4 holes of 0.2505 in and its panel screws' of 0.1915 in through 0.1875 in. Centroid: first moment
    1.5² × 0.1875/2 + 1.3125 × 0.1875²/2 = 0.234009 in³ over the area; its back stands 1.5 in from the rack's side.
    """
    design = built(plain(shelves={"low": 8}))
    angle = design.pieces.get("angle.low.left")
    screws = sum(bolt.id.startswith("panel.low.left.") for bolt in design.pieces.bolts)
    holes = (4 * 0.2505**2 + screws * 0.1915**2) * np.pi / 4 * 0.1875
    assert angle.mass / LB == pytest.approx((0.52734375 * 26 - holes) * 0.098, rel=1e-6)
    assert angle.cg[0] / 0.0254 == pytest.approx(1.5 + 0.44375, abs=1e-6)
    assert angle.cg[2] / 0.0254 == pytest.approx(8 - 0.090 - 0.44375, abs=1e-6)


def test_a_counterbored_pad_by_hand() -> None:
    """1.5 in square, 1/2 in thick, less 3/4 in x 1/4 in from below and a 0.2505 in hole through the 1/4 in left.

    First moment about the floor: 1.125 x 0.25 less 0.110447 x 0.125 over 1.014553 in³; the hole is taken at the pad's
    own centre, as holes are everywhere."""
    tables = plain()
    tables["pad"] = {**tables["pad"], "thickness": "1/2 in", "counterbore": COUNTERBORE}
    design = built(tables)
    pad = design.pieces.get("pad.rear-right")
    bore, hole = np.pi / 4 * 0.75**2 * 0.25, np.pi / 4 * 0.2505**2 * 0.25
    assert pad.mass / LB == pytest.approx((1.125 - bore - hole) * 0.098, rel=1e-6)
    assert pad.cg[2] / 0.0254 == pytest.approx((1.125 * 0.25 - bore * 0.125) / (1.125 - bore) - 0.5, rel=1e-9)
    about = 1.125 * (1.5**2 + 0.5**2) / 12 + 1.125 * (0.25 - (pad.cg[2] / 0.0254 + 0.5)) ** 2
    about -= bore * (0.375**2 / 4 + 0.25**2 / 12) + bore * (0.125 - (pad.cg[2] / 0.0254 + 0.5)) ** 2
    assert pad.inertia[0] / LB / 0.0254**2 == pytest.approx(about * 0.098 * pad.mass / LB / 0.098 / (1.125 - bore),
                                                            rel=1e-6)  # fmt: skip
    assert pad.notes == ("counterbore 0.75 in, 0.25 in deep from below, both ± 0.01 in",)
    plainly = next(bolt for bolt in built(plain()).pieces.bolts if bolt.id == "pad.rear-right")
    bored = next(bolt for bolt in design.pieces.bolts if bolt.id == "pad.rear-right")
    assert (bored.dash, bored.grip) == (
        plainly.dash,
        plainly.grip,
    )  # as much metal is clamped as in a 1/4 in pad


def test_a_head_of_unknown_height_cannot_be_judged() -> None:
    tables = plain()
    tables["pad"] = {**tables["pad"], "thickness": "1/2 in", "counterbore": COUNTERBORE}
    rack = built(tables).rack
    unknown = replace(rack.rows.bolts["AN4"], head_height=None)
    kinds = rack.rows.by_kind
    rows = Rows({**kinds, "bolt": {**kinds["bolt"], "AN4": unknown}})
    (fault,) = build(replace(rack, rows=rows)).faults
    assert (fault.code, fault.where.field) == ("RW203", "pad.hardware.bolt")
    assert "gives no size of its head" in fault.found


def test_a_block_by_hand() -> None:
    """1.5 in cube and three spigots 1.246 in square, 2 in long: 3.375 + 9.3151 in³, at 0.098 lb/in³ 1.2436 lb.

    Six joint bolts cross its spigots, 1.246 in of 0.2505 in holes; the lower blocks' pad bolt takes 0.75 in more.
    """
    design = built(plain())
    metal = 1.5**3 + 3 * 1.246**2 * 2 - 6 * np.pi / 4 * 0.2505**2 * 1.246
    assert design.pieces.get("block.top.front-left").mass / LB == pytest.approx(metal * 0.098, rel=1e-6)
    metal -= np.pi / 4 * 0.2505**2 * 0.75
    assert design.pieces.get("block.bottom.front-left").mass / LB == pytest.approx(metal * 0.098, rel=1e-6)
