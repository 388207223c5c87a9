"""Limits of damage hold at the limit and not beyond it; a missing bolt leaves its share to the others."""

from __future__ import annotations

from dataclasses import replace

import pytest

import racks
from racks import IN, STANDARD, built, design_of, plain
from rackwright.design import Design
from rackwright.strength.analyse import CHECKS, analyse, margins_of
from rackwright.strength.damage import damage_limits, kinds


def the_box() -> Design:
    return built(plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=20)]))


def test_at_the_limit_every_margin_is_there_and_beyond_it_one_is_not() -> None:
    """A rack made with a ring of the printed thickness holds, solved anew from its definition; beyond it, not."""
    design = the_box()
    limits = {one.path: one for one in design.damage[0]}
    assert {"ring_make.thickness", "ring_make.eye", "joint.hardware.hole", "tube.wall"} <= limits.keys()
    for one in limits.values():
        assert one.limit.value is not None
        assert one.least == (one.limit.value < one.nominal)
        if one.limit.beyond is not None:
            assert abs(one.limit.beyond - one.limit.value) <= 1.001e-3 * one.limit.value
            assert one.limit.margin < 0
            assert "/" in one.limit.governing
    ring, d = limits["ring_make.thickness"].limit, design.rack.definition
    assert ring.value is not None
    assert ring.beyond is not None
    assert d.ring_make is not None
    for thick, holds in ((ring.value, True), (ring.beyond, False)):
        make = replace(d.ring_make, thickness=round(thick * 1e9))
        margins = analyse(replace(design.rack, definition=replace(d, ring_make=make)), design.pieces).margins
        rings = [one.margin for one in margins if one.id.startswith("ring.") and one.margin is not None]
        assert (min(rings) >= 0) == holds


@pytest.mark.parametrize("panel", ["demo", *racks.ANCHORS])
def test_checks_that_are_not_asked_in_the_search_do_not_read_the_dimension(panel: str) -> None:
    """Else a station could be told to hold that does not; their margins are to the digit those of the intact rack."""
    box = racks.item("box", "one", (5, 5), lb=20)
    tables = plain(shelves={"one": 20}, items=[box])
    design = design_of(STANDARD) if panel == "demo" else built(racks.anchored(tables, panel))
    run = design.strength.run
    assert run is not None
    for kind in kinds(run.rack.definition):
        blind = tuple(check for check in CHECKS if check not in kind.checks)
        intact = {one.id: one.margin for one in margins_of(run, blind)}
        asked = {one.id: one.margin for one in margins_of(run, kind.checks)}
        for far in (0.02, 0.3, 0.9):
            worn = kind.damaged(run, round(kind.nominal * (1 + far * (kind.share - 1))))[0]
            assert {one.id: one.margin for one in margins_of(worn, blind)} == intact
        assert {one.id: one.margin for one in margins_of(worn, kind.checks)} != asked


def test_the_panel_may_be_blended_to_the_thickness_of_the_textbook() -> None:
    """A strip's stress goes with 1/t²: the least thickness is t √(1/(1 + M.S.)) of the strip as drawn."""
    design = the_box()
    limit = next(one for one in design.damage[0] if one.path == "shelf_make.panel.thickness").limit
    assert limit.governing == "panel.one.box/strip bending"
    drawn = next(one for one in design.strength.margins if one.id == limit.governing).margin
    assert drawn is not None
    assert limit.value is not None
    expected = 0.090 * IN * (1 + drawn) ** -0.5
    assert expected <= limit.value < expected * 1.001 + 2e-9


def test_a_rack_that_does_not_hold_has_no_damage_to_give() -> None:
    heavy = built(plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=200)]))
    assert all(one.limit.value is None for one in heavy.damage[0])


def test_a_missing_bolt_is_judged_at_every_tube_end() -> None:
    design = the_box()
    bolts = design.damage[1]
    assert len(bolts) == 24
    whole = {
        one.id.rpartition("/")[0]: one.margin for one in design.strength.margins if "bolt shear" in one.id
    }
    for one in bolts:
        drawn = whole[one.joint]
        assert one.margin is None or drawn is None or one.margin < drawn


def test_without_a_basis_there_are_no_limits() -> None:
    tables = plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=20)])
    del tables["basis"]
    design = built(tables)
    assert damage_limits(design.strength) == ()


@pytest.mark.parametrize("kind", ["least", "most"])
def test_limits_are_cut_off_on_the_safe_side(kind: str) -> None:
    from rackwright.faces.cli.prove_more_text import near

    assert near(0.19641 * 0.0254, kind == "least", True) == ("0.1965 in" if kind == "least" else "0.1964 in")
