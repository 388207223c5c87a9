"""What lengths alone say of the numbers of bars, and everything fitted into a mix with its remnants set apart."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from brute_saw import cheapest
from rackwright.making.saw import Bar, Piece, Problem
from rackwright.making.saw.bounds import Box, whole_box
from rackwright.making.saw.colgen import Work
from rackwright.making.saw.filling import Filler
from rackwright.making.saw.lengths import Lengths
from rackwright.making.saw.model import Model
from strategies import saw_problems

#: bars of 100 at 10 a unit, a tail of 5; what stays of at least 20 is worth 8 a unit
BARS = Problem((Bar("new", 100, 1000, 4),), (Piece("p", 15, 12),), (), 5, 20, 8)
#: and short ones of 50, at 10.4 a unit
BOTH = replace(BARS, bars=(Bar("short", 50, 520, 4), *BARS.bars))


@settings(max_examples=150, deadline=None)
@given(saw_problems(tiny=True))
def test_lengths_never_ask_more_than_the_cheapest_plan(problem: Problem) -> None:
    model = Model(problem)
    optimum = cheapest(problem) if model.use and model.bars else None
    if optimum is None:
        return
    whole = whole_box(model)
    boxes = [replace(whole, most=0)] + [replace(whole, least=1)] * (problem.remnant_credit > 0)
    found = [least for box in boxes if (least := Lengths(model).least(box)) is not None]
    assert min(least.bound for least in found) <= optimum


def test_half_a_bar_is_opened_where_no_remnant_is_kept() -> None:
    """Twelve pieces of 15 use 180; long bars have room for 95: 180/95 of 1000, by hand 1894.7, rounded up to eights."""
    least = Lengths(Model(BOTH)).least(Box((0, 0), (4, 4), 0, 0))
    assert least is not None
    assert least.numbers == (0.0, pytest.approx(180 / 95), 0.0)
    assert least.bound == 1896


def test_a_remnant_needs_its_length_beyond_the_tail() -> None:
    """A remnant of 20 is the tail of 5 and 15 more: 195 of room, 195/95 bars; what they cost more than their room is
    worth (1000 - 8·95 = 240 each), the pieces' 8·180, and the remnant's tail, which is worth 40, by hand: 1892.6."""
    least = Lengths(Model(BOTH)).least(Box((0, 0), (4, 4), 1, 1))
    assert least is not None
    assert least.numbers == (0.0, pytest.approx(195 / 95), 1.0)
    assert least.bound == 1896


def test_too_few_bars_are_no_box() -> None:
    assert Lengths(Model(BARS)).least(Box((0,), (1,), 0, 0)) is None
    assert Lengths(Model(BARS)).least(Box((0,), (2,), 1, 1)) is None


def test_numbers_that_no_other_bar_can_make_up_for_are_drawn_in() -> None:
    """Of four bars two are needed, and a remnant more needs a third."""
    lengths = Lengths(Model(BARS))
    without, with_one = lengths.least(Box((0,), (2,), 0, 0)), lengths.least(Box((0,), (3,), 1, 9))
    assert without is not None
    assert with_one is not None
    assert without.box.low == (2,)
    assert with_one.box.low == (3,)
    assert with_one.box.most == 7  # 285 - 180 is room for seven of 15


def test_everything_is_fitted_into_the_bars_that_remain_beside_the_remnants() -> None:
    """Seven pieces of 40 into four bars of 95 at most: two a bar leave 20 each, the seventh 60, all of them remnants:
    4000 - 8·(3·20 + 60) = 3040, by hand; each plan is cheaper than the one before."""
    problem = replace(BARS, pieces=(Piece("p", 40, 7),))
    model, costs = Model(problem), []
    for plan in Filler(model, Work(10_000)).plans((4,), 0, 10_000, 0):
        assert not model.shortfall(plan)
        assert sum(plan.values()) <= 4
        costs.append(model.plan_cost(plan))
    assert costs == sorted(set(costs), reverse=True)
    assert costs[-1] == 3040 == cheapest(problem)


def test_a_ceiling_below_the_value_of_the_bars_asks_for_nothing() -> None:
    assert not [*Filler(Model(BARS), Work(10_000)).plans((3,), 2_000, 2_000, 0)]
