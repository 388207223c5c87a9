"""Braces and gussets: closed forms of their geometry, and every way that one does not fit."""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, pi, tan

import pytest

from braced import BRACED, MAKE, SIDE, TOP
from racks import STANDARD, design_of, faults_of, swap
from rackwright.pieces.characteristics import characteristics
from rackwright.pieces.slab import Slab, convex_hull
from rackwright.rack import open_questions

NM = 25_400_000
SIDE_IN = 1.5


def test_a_brace_between_two_posts_is_a_parallelogram() -> None:
    """24.5 in across and 16 in up between the posts' axes: tan θ = 16/24.5, each side 24.5/cos θ - 1.5/cos θ."""
    piece = design_of(BRACED).pieces.get("brace.left")
    angle = atan2(16, 24.5)
    assert piece.mitre is not None
    assert piece.mitre.parallel
    assert piece.mitre.angles == pytest.approx((angle, angle))
    edge = (24.5 - SIDE_IN) / cos(angle)
    assert piece.mitre.long / NM == pytest.approx(edge)
    assert piece.mitre.short / NM == pytest.approx(edge)
    assert (piece.length or 0) / NM == pytest.approx(edge + SIDE_IN * tan(angle))


def test_a_brace_between_a_post_and_a_cross_tube_is_a_trapezoid() -> None:
    """From x 23.25, y 12 to x 11, y 25.25 (axes of the tubes): its ends lean together, the sum of both angles 90°."""
    piece = design_of(BRACED).pieces.get("brace.top")
    dx, dy = 23.25 - 11, 25.25 - 12
    start, end = atan2(dy, dx), atan2(dx, dy)  # from the square of a tube along y, along x
    assert piece.mitre is not None
    assert not piece.mitre.same_way
    assert piece.mitre.angles == pytest.approx((start, end))
    axis = hypot(dx, dy) - SIDE_IN / 2 / cos(start) - SIDE_IN / 2 / cos(end)
    lean = SIDE_IN / 2 * (tan(start) + tan(end))
    assert piece.mitre.long / NM == pytest.approx(axis + lean)
    assert piece.mitre.short / NM == pytest.approx(axis - lean)
    assert piece.length == piece.mitre.long
    assert degrees(sum(piece.mitre.angles)) == pytest.approx(90)


def test_a_brace_weighs_what_its_axis_holds() -> None:
    """A slanted cut through the axis takes from one side what it leaves on the other; holes and vents come off."""
    design = design_of(BRACED)
    piece, tube = design.pieces.get("brace.left"), design.rack.definition.tube
    angle = atan2(16, 24.5)
    axis = (24.5 - SIDE_IN) / cos(angle) * 0.0254
    r, b, t = tube.corner_radius * 1e-9, tube.side * 1e-9, tube.wall * 1e-9
    area = (b * b - (4 - pi) * r * r) - ((b - 2 * t) ** 2 - (4 - pi) * (r - t) ** 2)
    holes = sum(pi / 4 * (hole.diameter * 1e-9) ** 2 * t for hole in piece.holes)
    density = design.rack.rows.materials[tube.material].density
    assert density is not None
    assert piece.mass == pytest.approx(density * (area * axis - holes), rel=1e-6)


def test_bolts_of_an_end_stand_on_the_two_axes_and_off_the_edges() -> None:
    design = design_of(BRACED)
    make = design.rack.definition.gusset_make
    assert make is not None
    for name in ("left", "top"):
        for end in ("start", "end"):
            bolts = [bolt for bolt in design.pieces.bolts if bolt.id.startswith(f"brace.{name}.{end}.")]
            assert len(bolts) == make.on_brace + make.on_member
            for face in ("outside", "inside"):
                gusset = design.pieces.get(f"gusset.{name}.{end}.{face}")
                assert gusset.slab is not None
                edges = [gusset.slab.edge(bolt.point) for bolt in bolts]
                assert min(edge or 0 for edge in edges) == pytest.approx(make.edge, abs=2)
            brace = design.pieces.get(f"brace.{name}").slab
            assert brace is not None
            near = min(brace.edge(bolt.point) or 0 for bolt in bolts[: make.on_brace])
            assert near == pytest.approx(make.edge, abs=2)  # to the sawn end


def test_alike_gussets_and_braces_share_a_part_number() -> None:
    right = swap(SIDE, ('"left"\nface = "left"', '"right"\nface = "right"'), ("rear-left", "rear-right"),
                 ("front-left", "front-right"))  # fmt: skip
    pieces = design_of(STANDARD + MAKE + SIDE + right).pieces
    assert pieces.quantity(pieces.get("gusset.left.start.outside").part) == 8
    left, other = pieces.get("brace.left"), pieces.get("brace.right")
    assert left.part != other.part  # mirror images: the vents are on the other side


def test_length_long_side_both_angles_and_every_hole_are_measured() -> None:
    design = design_of(BRACED)
    found = {one.id: one for one in characteristics(design.rack, design.pieces, 254_000)}
    names = {id.partition("/")[2] for id in found if id.startswith("brace.left/")}
    holes = {f"hole brace.left.{end}.{n}" for end in ("start", "end") for n in (1, 2)}
    assert names == {"length", "long side", "mitre at the start", "mitre at the end", *holes}
    angle = found["brace.top/mitre at the start"]
    assert float(angle.nominal or 0) == pytest.approx(atan2(13.25, 12.25))
    assert float((angle.high or 0) - (angle.low or 0)) == pytest.approx(pi / 180)
    near = found["brace.left/hole brace.left.start.1"]
    lean = SIDE_IN / 2 * tan(atan2(16, 24.5))
    assert float(near.nominal or 0) / 0.0254 == pytest.approx(lean + 0.625 / cos(atan2(16, 24.5)))
    in_post = found["post.rear-left/hole brace.left.start.4"]
    assert float(in_post.nominal or 0) / 0.0254 == pytest.approx(12 - SIDE_IN)
    asked = open_questions(design_of(STANDARD + MAKE + SIDE).rack)
    assert "tolerance.mitre_angle" in {one.id for one in asked}


def test_closed_tubes_of_braces_have_vents_in_the_wall_that_faces_inward() -> None:
    vents = [
        hole for hole in design_of(BRACED).pieces.get("brace.left").holes if hole.bolt.startswith("vent.")
    ]
    assert [hole.face for hole in vents] == ["+x", "+x"]


def test_a_widened_hull_is_measured_exactly() -> None:
    square = Slab(0, 0, 1, convex_hull([(0, 0), (4, 0), (4, 4), (0, 4), (2, 2)]), 1, (0, 0), (1, 0))
    assert square.area == pytest.approx((16 + 16 + pi) * 1e-18)
    assert square.gap_to(7, 8) == pytest.approx(4)  # 3-4-5 from the corner, less the radius
    assert square.edge((0, 2, 2)) == 3
    other = Slab(0, 0, 1, convex_hull([(7, 8), (9, 8), (9, 9)]), 2, (0, 0), (1, 0))
    assert square.gap(other) == pytest.approx(2)
    assert square.gap(Slab(0, 0, 1, square.hull, 0, (0, 0), (1, 0))) == pytest.approx(-5)


#: an edit of the braced rack -> code, field and words of its first fault
WRONG = {
    "outside its face": (("post.rear-left", "width.top.rear"), "RW108", "brace.left.start.member", "no tube of the"),
    "no such member": (("post.rear-left", "post.middle"), "RW108", "brace.left.start.member", "post.front-left"),
    "one member": (("post.front-left", "post.rear-left"), "RW106", "brace.left.end.member", "one member"),
    "in a block": (('"28 in"', '"44 in"'), "RW209", "brace.left.end.at", "corner block or its spigot"),
    "bolts of a pitch": (('pitch = "1 in"', 'pitch = "0.5 in"'), "RW203", "brace.", "3 diameters"),
    "edge": (('edge = "0.625 in"', 'edge = "0.3 in"'), "RW203", "brace.", "1.5 diameters"),
    "too wide": (('edge = "0.625 in"', 'edge = "0.9 in"'), "RW209", "gusset_make.edge", "beyond the frame"),
    "an insert": (('nut = "MS21044N4", hole = "0.2505 in" }\non_brace', 'tapped = {}, hole = "0.2505 in" }\non_brace'),
                  "RW106", "gusset_make.hardware.tapped", "give a nut"),
    "no gusset": ((MAKE, ""), "RW101", "brace", "[gusset_make]"),
    "one bolt": (("on_brace = 2", "on_brace = 1"), "RW106", "gusset_make.on_brace", "2 to 12"),
    "too many bolts": (("on_brace = 2", "on_brace = 12"), "RW209", "brace.", "too short for its bolts"),
    "wrong metal": (('"6061-T6-sheet-A"\nstock = "AMS-QQ-A-250/11"\nh', '"6061-T6-drawn-tube-S"\nstock = "X"\nh'),
                    "RW106", "gusset_make.material", "drawn tube"),
}  # fmt: skip


@pytest.mark.parametrize("name", list(WRONG))
def test_what_does_not_fit_is_told_where_it_stands(name: str) -> None:
    (old, new), code, field, words = WRONG[name]
    faults = faults_of(swap(BRACED, (old, new)))
    assert any(
        one.code == code and one.where.field.startswith(field) and words in f"{one.found} {one.do}"
        for one in faults
    ), "\n".join(map(str, faults))


def brace(face: str, start: tuple[str, str], end: tuple[str, str]) -> str:
    ends = "\n".join(
        f'{name} = {{ member = "{member}", at = "{at}" }}'
        for name, (member, at) in (("start", start), ("end", end))
    )
    return f'\n[[brace]]\nname = "b"\nface = "{face}"\n{ends}\n'


#: braces that run into something -> what
MEETS = {
    "a rail": (brace("left", ("post.front-left", "14 in"), ("post.rear-left", "30 in")), "rail.left"),
    "a shelf": (brace("rear", ("post.rear-left", "32.25 in"), ("width.top.rear", "14.75 in")), "panel.upper"),
    "another brace": (
        SIDE + brace("left", ("post.rear-left", "28 in"), ("post.front-left", "25 in")),
        "brace.left",
    ),
    "a shelf's bolts": (
        brace("left", ("post.rear-left", "30 in"), ("post.front-left", "33.5 in")),
        "shelf.upper",
    ),
    "too steep": (brace("left", ("post.rear-left", "10 in"), ("depth.top.left", "14 in")), "mitred"),
}


@pytest.mark.parametrize("name", list(MEETS))
def test_what_a_brace_runs_into_is_named(name: str) -> None:
    text, words = MEETS[name]
    faults = [fault for fault in faults_of(STANDARD + MAKE + text) if fault.code in ("RW209", "RW203")]
    assert any(words in fault.found and fault.where.field.startswith("brace.") for fault in faults), faults


def test_the_braced_rack_itself_is_sound() -> None:
    assert faults_of(BRACED) == ()
    assert faults_of(STANDARD + MAKE + TOP) == ()
