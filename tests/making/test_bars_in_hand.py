"""The spigot in the bars in hand: numbers by hand at the adverse end of the gauge's uncertainty."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from making.shop_order import IN, design, items, shop
from rackwright.design import Design
from rackwright.making.asked import Asked
from rackwright.making.mill.bars_in_hand import BarInside
from rackwright.making.mill.spigot_fit import SpigotFit, spigot_fit
from rackwright.pieces.frame_pieces import spigot_edges
from rackwright.plan import Plan

INCH = 0.0254
SQUARE = ("SQ 1.5x0.125", "AMS-WW-T-700/6")


def bar(
    *widths: float, corner: float | None = 0.0625, uncertainty: float = 0.0005, id: str = "T-1"
) -> BarInside:
    """In inches."""
    across = tuple(width * INCH for width in widths)
    radius = None if corner is None else corner * INCH
    return BarInside(id, "H1", *SQUARE, ("SN-1/post.front-left",), across, radius, uncertainty * INCH, "CA-1")


def fit(*bars: BarInside, given: int | None = IN // 16, asked: list[Asked] | None = None) -> SpigotFit:
    d = design().rack.definition
    d = replace(d, block=replace(d.block, corner_break=given))
    return spigot_fit(d, 381_000, shop(), [] if asked is None else asked, bars)


def test_a_wide_bar_is_milled_for_to_the_class_and_clears_by_hand() -> None:
    """d9 is 31.608 to 31.670 mm, 1.24441 to 1.24685 in; 1.2490 less 0.0005 leaves 0.0016 in."""
    (one,) = fit(bar(1.2490, 1.2500)).bars
    assert one.to_mill == pytest.approx((31.608e-3, 31.670e-3))
    assert one.clearance == pytest.approx((1.2485 * INCH - 31.670e-3, 1.2505 * INCH - 31.608e-3))
    g = (1.2485 * INCH - 31.670e-3) / 2 / INCH
    assert one.edges / INCH == pytest.approx(0.063 - g - (g * (2 * 0.063 - g)) ** 0.5)
    assert all(check.ok for check in one.checks)


def test_a_tight_bar_brings_the_upper_limit_down_for_the_order() -> None:
    """1.2460 less 0.0005 is 1.2455 in, between the class's limits: that is the largest spigot."""
    found = fit(bar(1.2490, 1.2500, id="T-1"), bar(1.2460, 1.2470, id="T-2"))
    assert found.to_mill == pytest.approx((31.608e-3, 1.2455 * INCH))
    assert [one.to_mill and one.to_mill[1] for one in found.bars] == pytest.approx([31.670e-3, 1.2455 * INCH])
    assert (found.bars[1].clearance or (1.0, 0))[0] == pytest.approx(0)


def test_a_bar_that_no_spigot_goes_into_fails() -> None:
    found = fit(bar(1.2440, 1.2500, corner=0.060))
    assert [check.name for check in found.checks if not check.ok] == ["largest spigot that T-1 goes on"]


def test_a_bar_that_was_not_measured_is_taken_as_bought() -> None:
    found = fit(bar(corner=None))
    assert found.bars[0].inside == found.inside == pytest.approx((1.248 * INCH, 1.253 * INCH))
    assert found.bars[0].clearance == found.clearance
    assert found.bars[0].edges == found.edges


def test_the_definitions_edge_break_is_held_against_the_corner_as_measured() -> None:
    """A radius of 0.090 in and a gap of 0.0008 in ask 0.0775 in, more than 1/16."""
    failed = [check.name for check in fit(bar(1.2490, 1.2500, corner=0.090)).checks if not check.ok]
    assert failed == ["edge break for T-1"]


def test_without_an_edge_break_it_is_asked_for() -> None:
    asked: list[Asked] = []
    fit(given=None, asked=asked)
    assert [one.field for one in asked] == ["block.corner_break"]


def test_an_edge_break_that_never_goes_in_is_a_fault_with_its_place() -> None:
    """Radius 1/16, gap 0.002 in a side: 0.0625 - 0.002 - sqrt(0.002 (0.125 - 0.002)) = 0.04482 in."""
    rack = design().rack
    d = rack.definition

    def faults(nm: int) -> list[tuple[str, str]]:
        one = replace(rack, definition=replace(d, block=replace(d.block, corner_break=nm)))
        return [(fault.where.field, fault.do) for fault in spigot_edges(one)]

    assert faults(round(0.04483 * IN)) == []
    ((field, do),) = faults(round(0.04481 * IN))
    assert field == "block.corner_break"
    assert "0.0448" in do


@given(st.lists(st.floats(1.23, 1.27), min_size=2, max_size=4), st.floats(0, 0.005), st.floats(0.001, 0.005))
def test_a_worse_gauge_never_makes_a_fit_better(widths: list[float], fine: float, more: float) -> None:
    (good,), (bad,) = (fit(bar(*widths, uncertainty=u)).bars for u in (fine, fine + more))
    assert None not in (good.inside, bad.inside, good.to_mill, bad.to_mill)
    assert (bad.inside or (9, 9))[0] < (good.inside or (0, 0))[0]
    assert (bad.inside or (0, 0))[1] > (good.inside or (9, 9))[1]
    assert (bad.to_mill or (9, 9))[1] <= (good.to_mill or (0, 0))[1]


def test_the_order_takes_the_bars_of_its_tube_and_the_traveler_their_size() -> None:
    other = replace(bar(1.0, 1.0, id="T-9"), section="SQ 1.25x0.125")
    plan = Plan(((Design(design().rack), 1),), (), shop(), 0, items=items(), in_hand=(
        bar(1.2460, 1.2470, id="T-2"), bar(id="T-3"), other))  # fmt: skip
    assert {one.bar.bar for line in plan.mill.lines if line.fit for one in line.fit.bars} == {"T-2", "T-3"}
    (mill,) = (step for step in plan.traveler(1).steps if step.operation == "mill")
    asked = {blank.name.partition(";")[0]: (blank.low, blank.high) for blank in mill.blanks}
    assert asked["spigot across flats, milled"] == ("1.2445", "1.2455")
    assert "inside of bar T-3 at both ends, corner radius" in asked
