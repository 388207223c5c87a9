"""What is measured of plates, angles and rails: every hole both ways from its datums, and the outline."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from itertools import combinations
from math import dist

import pytest

from braced import BRACED
from racks import STANDARD, design_of, swap
from rackwright.design import Design
from rackwright.making.gusset import gusset_flat
from rackwright.pieces.characteristics import Characteristic, characteristics
from rackwright.pieces.datums import Datums, datums
from rackwright.pieces.model import Piece
from rackwright.rack import open_questions

CUT = 254_000  # nm, of the saw
DETAIL = 'detail = { outline = "0.020 in" }'
KINDS = ("panel", "pad", "gusset", "angle", "rail")


@cache
def asked(text: str = BRACED) -> dict[str, Characteristic]:
    design = design_of(text)
    return {one.id: one for one in characteristics(design.rack, design.pieces, CUT)}


def of_kinds(design: Design) -> list[tuple[Piece, Datums]]:
    make = design.rack.definition.gusset_make
    every = [(piece, datums(piece, make.on_brace if make else 0)) for piece in design.pieces.made]
    return [(piece, found) for piece, found in every if found is not None]


def inches(one: Characteristic) -> tuple[float, float, float]:
    return tuple(float((value or 0) / Fraction("0.0254")) for value in (one.nominal, one.low, one.high))  # type: ignore[return-value]


def with_detail(more: str) -> str:
    return swap(BRACED, (DETAIL, f'detail = {{ outline = "0.020 in", {more} }}'))


def test_every_hole_is_measured_both_ways_but_the_datum_itself() -> None:
    design, seen = design_of(BRACED), set()
    for piece, _ in of_kinds(design):
        seen.add(piece.kind)
        bolts = {hole.bolt for hole in piece.holes}
        names = {id.partition("/")[2] for id in asked() if id.startswith(f"{piece.id}/hole ")}
        both = {f"hole {bolt}" for bolt in bolts} | {f"hole {bolt} across" for bolt in bolts}
        assert names <= both
        assert len(names) == len(both) - (
            3 if piece.kind == "gusset" else 0
        )  # a point, and the way to another
        assert all(asked()[f"{piece.id}/{name}"].stage == "before coat" for name in names)
    assert seen == set(KINDS)


def test_distances_between_holes_are_those_in_the_rack() -> None:
    """Whatever the datums, ordinates put the holes of one face as far from each other as they are drilled."""
    for piece, found in of_kinds(design_of(BRACED)):
        for one, other in combinations(piece.holes, 2):
            if one.face[1] == other.face[1]:
                apart = dist(found.places[one.bolt], found.places[other.bolt])
                assert apart == pytest.approx(dist(one.centre, other.centre), abs=4), piece.id


def test_outlines_are_those_that_are_cut() -> None:
    design = design_of(BRACED)
    make = design.rack.definition.gusset_make
    assert make is not None
    for piece, found in of_kinds(design):
        if piece.kind == "gusset":
            assert found.size == pytest.approx(gusset_flat(piece, make).size, abs=4)
            near = {id.partition("/edge at ")[2] for id in asked() if id.startswith(f"{piece.id}/edge at ")}
            assert len(near) == 3  # the last in the brace, and both ends of the row in the member
            assert inches(asked()[f"{piece.id}/edge at {min(near)}"]) == pytest.approx((0.625, 0.605, 0.645))
    assert inches(asked()["panel.lower/outline along"])[0] == pytest.approx(24 - 2 * (1.5 + 1 / 32))
    assert inches(asked()["panel.lower/outline across"]) == pytest.approx((26, 25.98, 26.02))
    assert inches(asked()["rail.left/trimmed leg"])[0] == pytest.approx((24 - 3 - 450 / 25.4) / 2)
    assert {asked()[f"{name}/outline along"].gauge for name in ("panel.lower", "pad.front-left")} == {
        "length bench",
        "caliper",
    }


def test_a_hole_by_hand() -> None:
    screw = asked()["panel.lower/hole panel.lower.left.1"]
    aside = 1.5 + (3 / 16 + 1.5) / 2  # the middle of the leg's flat, from the rack's side
    assert inches(screw) == pytest.approx([aside - 1.5 - 1 / 32 + off for off in (0, -0.01, 0.01)])
    heel = asked()["angle.lower.left/hole panel.lower.left.1 across"]
    assert inches(heel)[0] == pytest.approx(aside - 1.5)
    bolt = asked()["angle.lower.left/hole shelf.lower.left.front.1"]
    assert inches(bolt)[0] == pytest.approx(0.75 - 0.375)
    assert inches(asked()["gusset.left.start.outside/hole brace.left.start.1"])[0] == pytest.approx(1)


def test_each_tolerance_is_the_definitions() -> None:
    every = asked(with_detail('hole_position = "0.004 in", thickness = "0.006 in", flatness = "0.030 in"'))
    nominal, low, high = inches(every["gusset.left.end.inside/hole brace.left.end.5 across"])
    assert (nominal - low, high - nominal) == pytest.approx((0.004, 0.004))
    assert inches(every["panel.upper/thickness"]) == pytest.approx((0.125, 0.119, 0.131))
    flat = every["panel.upper/flatness"]
    assert (flat.low, flat.high) == (None, Fraction("0.030") * Fraction("0.0254"))
    post = every["post.rear-left/hole brace.left.start.4"]
    assert inches(post)[2] - inches(post)[0] == pytest.approx(0.010)  # holes of tubes keep theirs
    assert not [id for id in asked() if id.endswith(("/thickness", "/flatness"))]


def test_a_ring_is_measured_where_its_eye_is_cut() -> None:
    """What the net section, the edge and the bearing at the eye are reckoned from, each ring by itself."""
    make = design_of(BRACED).rack.definition.ring_make
    assert make is not None
    for ring in (piece for piece in design_of(BRACED).pieces.made if piece.kind == "ring"):
        for name, size in (("width", make.width), ("eye", make.eye), ("eye to end", make.eye_edge)):
            one = asked()[f"{ring.id}/{name}"]
            assert inches(one) == pytest.approx((size / 25.4e6, size / 25.4e6 - 0.02, size / 25.4e6 + 0.02))
            assert (one.stage, one.gauge) == ("before coat", "caliper")


def test_a_definition_without_them_asks_what_it_asked_before() -> None:
    """A revision that was frozen before there were any: nothing more is measured, nothing is named otherwise."""
    bare = swap(BRACED, (DETAIL, ""))
    before, now = asked(bare), asked()
    kept = [id for id in now if id in before]
    assert kept == list(before)
    assert {id.split("/")[0].split(".")[0] for id in now.keys() - before.keys()} == {*KINDS, "ring"}
    assert {id.split("/")[1] for id in before if id.startswith(("angle.", "rail."))} == {"length"}
    (question,) = open_questions(design_of(bare).rack)
    assert (question.id, question.blocks) == ("tolerance.detail", ("sign_out", "release"))
    assert open_questions(design_of(STANDARD).rack) == ()


def test_every_name_can_be_typed_as_a_reading() -> None:
    """`log measure readings='NAME=VALUE, NAME=VALUE'` splits at commas and equal signs."""
    assert not [id for id in asked() if set(",=") & set(id.partition("/")[2])]
