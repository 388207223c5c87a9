"""Fewer bars and stop moves: never for more than the price allowed, never out of balance, and some by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from brute_saw import cheapest
from rackwright.making.saw import (
    Answer,
    Bar,
    BarPlan,
    Group,
    Piece,
    Problem,
    faults_of,
    improve,
    least_levels,
    levelled,
)
from rackwright.making.saw.check import balance
from strategies import saw_problems


def answer_of(problem: Problem, cuts: list[tuple[str, dict[str, int]]]) -> Answer:
    plans, cost = [], 0
    for bar, cut in cuts:
        left = problem.leftover(problem.bar[bar], problem.used(cut.items()))
        plans.append(BarPlan(bar, tuple(cut.items()), 1, left))
        cost += problem.bar[bar].cost - problem.credit(left)
    return Answer(tuple(plans), cost, 0, "nothing")


def rack(credit: int = 8, posts: bool = False) -> Problem:
    """Two mill bars of one heat and a third of another; 40 and 20 long pieces; all rests go back."""
    bars = (
        Bar("A", 240, 2400, 1, heat="H1"),
        Bar("B", 240, 2400, 1, heat="H2"),
        Bar("C", 240, 2400, 1, heat="H1"),
    )
    pieces = (Piece("long", 40, 4), Piece("short", 20, 4))
    groups = (Group(("long",), 4),) if posts else ()
    return Problem(bars, pieces, groups, tail_min=2, remnant_min=12, remnant_credit=credit)


def test_two_bars_become_one() -> None:
    """160 of long and 60 of short pieces are 220 of the 238 that a bar has room for; all rests are credited at 8, so
    that the bar left alone saves 2400 - 8 x 240 = 480."""
    problem = replace(rack(), pieces=(Piece("long", 40, 4), Piece("short", 20, 3)))
    one = answer_of(problem, [("A", {"long": 2, "short": 2}), ("B", {"long": 2, "short": 1})])
    found = levelled(problem, one)
    assert (found.bars_opened, found.stop_moves, found.objective) == (1, 2, one.objective - 480)
    assert faults_of(problem, found) == []


def test_where_a_bar_less_would_not_fit_the_moves_go() -> None:
    """240 and 160: each bar three long and four short takes 4 settings. Five long on A; one long, where the stop still
    stands, and eight short on B take 2, for the same money."""
    problem = replace(rack(), pieces=(Piece("long", 40, 6), Piece("short", 20, 8)))
    one = answer_of(problem, [("A", {"long": 3, "short": 4}), ("B", {"long": 3, "short": 4})])
    found = levelled(problem, one)
    assert one.stop_moves == 4
    assert (found.bars_opened, found.stop_moves, found.objective) == (2, 2, one.objective)


def test_posts_of_a_rack_stay_on_one_heat() -> None:
    """In fours, or not at all: three of B's long pieces would fit on A, which is of another heat."""
    problem = replace(rack(posts=True), pieces=(Piece("long", 40, 4), Piece("short", 20, 9)))
    cuts = [("A", {"short": 7}), ("B", {"long": 4, "short": 2})]
    found = levelled(problem, answer_of(problem, cuts))
    assert faults_of(problem, found) == []
    assert {plan.bar: dict(plan.cut).get("long", 0) for plan in found.cuts}["B"] in (0, 4)


@pytest.mark.parametrize(("slack", "moves", "paid"), [(0, 4, 0), (19, 4, 0), (20, 3, 20), (500, 3, 20)])
def test_a_setting_is_bought_for_what_the_shop_allows_and_no_more(slack: int, moves: int, paid: int) -> None:
    """Long and short on A of 50, mid and short on B of 70: 0 and 25 back, 4 settings. Both short ones on B leave 20
    and 5, of which only the 20 are credited at 4: 100 of credit become 80, and 3 settings do."""
    problem = Problem(
        (Bar("A", 50, 500, 1), Bar("B", 70, 700, 1)),
        (Piece("long", 30, 1), Piece("mid", 25, 1), Piece("short", 20, 2)), remnant_min=13, remnant_credit=4,
    )  # fmt: skip
    found = levelled(
        problem, answer_of(problem, [("A", {"long": 1, "short": 1}), ("B", {"mid": 1, "short": 1})]), slack
    )
    assert (found.stop_moves, found.level_price) == (moves, paid)
    assert faults_of(problem, found) == []


counts = st.integers(1, 6)


@given(
    st.lists(st.tuples(st.integers(9, 60), counts), min_size=1, max_size=5, unique_by=lambda one: one[0]),
    st.lists(st.tuples(st.integers(60, 240), st.sampled_from(["H1", "H2"])), min_size=1, max_size=5),
    st.integers(0, 60), st.booleans(),
)  # fmt: skip
def test_never_dearer_than_allowed_and_never_unsound(
    pieces: list[tuple[int, int]], bars: list[tuple[int, str]], slack: int, posts: bool
) -> None:
    problem = Problem(
        (*(Bar(f"B{n}", length, 10 * length, 1, 2, heat) for n, (length, heat) in enumerate(bars)),
         Bar("new", 240, 2500, None, 2, "H3")),
        tuple(Piece(f"P{use}", use, number) for use, number in pieces),
        (Group((f"P{pieces[0][0]}",), 2),) if posts and pieces[0][1] % 2 == 0 else (),
        tail_min=2, remnant_min=20, remnant_credit=8,
    )  # fmt: skip
    one = list(improve(problem, 60))[-1]
    found = levelled(problem, one, slack)
    assert faults_of(problem, found) == []
    assert found.objective <= one.objective + slack
    assert found.level_price == found.objective - one.objective
    assert (found.bars_opened, found.stop_moves) <= (one.bars_opened, one.stop_moves)
    before, after = balance(problem, one), balance(problem, found)
    assert after.use == before.use
    assert after.opened == after.use + after.trim + after.scrap + after.remnants
    assert levelled(problem, found, 0).stop_moves <= found.stop_moves


@settings(max_examples=60, deadline=None)
@given(saw_problems(tiny=True))
def test_no_plan_goes_below_the_bounds_of_the_levels(problem: Problem) -> None:
    """The fewest bars by every way to cut; the stop is set at least once for each kind of piece."""
    ones = tuple(replace(bar, cost=1) for bar in problem.bars)
    fewest = cheapest(replace(problem, bars=ones, remnant_credit=0, remnant_min=0))
    assume(fewest is not None)
    least = least_levels(problem, 200)
    assert least.bars == fewest
    answer = list(improve(problem, 100))[-1]
    assert least.stop_moves <= answer.stop_moves
    assert least.bars <= answer.bars_opened
