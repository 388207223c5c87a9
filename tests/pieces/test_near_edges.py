"""Tolerances that let a hole stand where no bearing strength is published: named as drawn, and so found as built."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

import racks
import small_shop as small
from rackwright.design import Design
from rackwright.pieces.as_built import nearer_end
from rackwright.units import unit_factor

INCH = unit_factor("in")
TOLERANCE = 'hole_position = "0.010 in"'


@pytest.fixture(scope="module")
def shelved() -> Design:
    return racks.design_of(racks.STANDARD, racks.VARIATION)


def test_a_hole_drawn_at_the_least_distance_may_stand_nearer(shelved: Design) -> None:
    """1/4 in bolts at 3/8 in from an angle's end are at e/D 1.5; 0.010 in nearer, at (0.375 - 0.010) / 0.25 = 1.46."""
    near = {f"{one.piece}/{one.hole}": one for one in shelved.near_edges}
    one = near["angle.lower.left/shelf.lower.left.front.1"]
    assert (one.drawn, one.worst, one.least) == pytest.approx((1.5, 1.46, 1.5), abs=1e-6)
    assert {one.piece.partition(".")[0] for one in near.values()} == {"angle"}


def test_a_rack_read_so_has_no_margin_and_one_read_the_other_way_has(shelved: Design) -> None:
    one = shelved.near_edges[0]
    piece = next(piece for piece in shelved.pieces.made if piece.id == one.piece)
    along, way = nearer_end(piece)[one.hole]
    for off, refused in ((Fraction(way, 100), True), (Fraction(-way, 100), False)):
        value = Fraction(along, 10**9) + off * INCH
        built = replace(shelved, measured={f"{one.piece}/hole {one.hole}": value})
        missing = [why.found for why in built.refusals() if "below 1.5" in why.found]
        assert bool(missing) == refused


def test_far_holes_and_no_tolerance_are_not_named() -> None:
    """The bare frame's bolts stand 1/2 in from the ends of its tubes: e/D 2.0, at its tolerance 1.96."""
    assert small.design().near_edges == ()
    wide = racks.design_of(racks.swap(small.text(), (TOLERANCE, 'hole_position = "0.130 in"')))
    assert wide.near_edges
    for one in wide.near_edges:
        assert one.worst == pytest.approx((0.5 - 0.13) / 0.25, abs=1e-6)
