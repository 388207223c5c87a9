"""Sensitivity to measurements: finite differences through the whole computation, ranked."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

import racks
from racks import built, plain
from rackwright.pieces.as_built import adverse, as_built, nearer_end
from rackwright.strength.analyse import analyse, solved
from rackwright.strength.cases import load_cases
from rackwright.strength.idealise import idealise
from rackwright.strength.sensitivity import STEP, sensitivities

BOX = plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=20)])
INCH = Fraction(254, 10_000)


def test_the_most_important_measurement_comes_first_and_its_loss_is_that_of_a_rack_made_so() -> None:
    design = built(BOX)
    found = design.sensitivities
    assert [one.least for one in found] == sorted((one.least for one in found), reverse=True)
    reach = next(one for one in found if one.what == "ring leg reach")
    d = design.rack.definition
    assert d.ring_make is not None
    way = 1 if reach.margin_adverse == "more" else -1
    made = replace(d.ring_make, leg_reach=d.ring_make.leg_reach + way * STEP)
    changed = analyse(replace(design.rack, definition=replace(d, ring_make=made)), design.pieces)
    before, after = (
        {one.id: one.margin for one in margins} for margins in (design.strength.margins, changed.margins)
    )
    assert reach.loss == pytest.approx((before[reach.margin] or 0) - (after[reach.margin] or 0), abs=1e-12)
    assert reach.loss > 0


def test_a_hole_nearer_to_the_end_takes_from_a_margin_of_its_joint() -> None:
    design = built(BOX)
    holes = next(one for one in design.sensitivities if one.what.startswith("holes"))
    assert holes.margin_adverse == "less"
    assert holes.margin.startswith("joint.")


def test_without_margins_nothing_is_ranked() -> None:
    design = built({key: value for key, value in BOX.items() if key != "basis"})
    assert sensitivities(design.rack, design.pieces, design.strength) == ()


# --- measurements at their adverse end -----------------------------------------------------------------


def test_a_hole_stands_at_the_end_of_its_uncertainty_that_is_nearer_to_the_tubes_end() -> None:
    design = built(BOX)
    post = design.pieces.get("post.front-left")
    ends = nearer_end(post)
    low, high = min(ends, key=lambda bolt: ends[bolt][0]), max(ends, key=lambda bolt: ends[bolt][0])
    assert ends[low][1] == -1
    assert ends[high][1] == 1
    u = INCH / 2000
    for bolt, (along, way) in ((low, ends[low]), (high, ends[high])):
        nominal = Fraction(along, 10**9)
        toward = nominal + way * INCH / 100
        assert adverse(post, f"hole {bolt}", toward, u, accepted=False) == toward + way * u
        away = nominal - way * INCH / 100
        assert adverse(post, f"hole {bolt}", away, u, accepted=False) is None, "favourable: nominal stays"
        assert adverse(post, f"hole {bolt}", away, u, accepted=True) == away + way * u
        assert adverse(post, f"hole {bolt}", nominal, u, accepted=False) == nominal + way * u


def test_a_measurement_at_its_adverse_end_never_raises_a_margin_of_its_tube() -> None:
    design = built(BOX)
    post = design.pieces.get("post.front-left")
    own = {one.id: one.margin for one in design.strength.margins}
    for bolt, (along, _) in nearer_end(post).items():
        for reading in (Fraction(along, 10**9) + k * INCH / 100 for k in (-1, 1)):
            value = adverse(post, f"hole {bolt}", reading, INCH / 1000, accepted=False)
            if value is None:
                continue
            measured = as_built(design.pieces, {f"post.front-left/hole {bolt}": value})
            for one in analyse(design.rack, measured).margins:
                drawn = own[one.id]
                if one.id.startswith("joint.post.front-left") and drawn is not None:
                    assert one.margin is None or one.margin <= drawn + 1e-9


# --- a frame that is known already -----------------------------------------------------------------------


def test_a_known_frame_is_taken_where_it_is_the_same_to_the_last_bit_and_nowhere_else() -> None:
    design = built(BOX)
    run, d = design.strength.run, design.rack.definition
    assert run is not None

    def solution(**parts: Any) -> object:
        rack = replace(design.rack, definition=replace(d, **parts))
        return solved(rack, design.pieces, idealise(rack, design.pieces), load_cases(rack), run).solution

    assert (
        solution(joint=replace(d.joint, hardware=replace(d.joint.hardware, hole=7_000_000))) is run.solution
    )
    heavier = replace(d.equipment[0], mass=d.equipment[0].mass * (1 + 1e-15))
    assert d.ring_make is not None
    assert d.aircraft is not None
    changes: tuple[dict[str, Any], ...] = (
        {"equipment": (heavier, *d.equipment[1:])},
        {"ring_make": replace(d.ring_make, thickness=d.ring_make.thickness + 1)},
        {"strap_type": tuple(replace(one, axial_stiffness=one.axial_stiffness * 2) for one in d.strap_type)},
        {"aircraft": replace(d.aircraft, forward="+x")},
    )
    for parts in changes:
        assert solution(**parts) is not run.solution
