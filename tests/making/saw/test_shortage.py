"""What is short and what to buy, against every way to cut tiny problems."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from brute_saw import cheapest
from rackwright.making.saw import Bar, Group, Piece, Problem, cheapest_purchase, faults_of, shortage
from strategies import saw_problems

SOME = settings(max_examples=60, deadline=None)
EFFORT = 400


def limited(problem: Problem) -> Problem:
    """The problem with every bar as often as it is there, an unlimited one once."""
    return replace(problem, bars=tuple(replace(bar, count=bar.count or 1) for bar in problem.bars))


def free(problem: Problem) -> Problem:
    bars = tuple(replace(bar, cost=0) for bar in problem.bars)
    return replace(problem, bars=bars, remnant_credit=0, remnant_min=0)


def least_use_short(problem: Problem) -> int | None:
    """By brute force over everything that can be left uncut; None when not even nothing can be cut."""
    uses = [piece.use for piece in problem.pieces]
    best = None
    for left in product(*(range(piece.count + 1) for piece in problem.pieces)):
        short = sum(use * n for use, n in zip(uses, left, strict=True))
        if best is not None and short >= best:
            continue
        pieces = tuple(
            replace(piece, count=piece.count - n) for piece, n in zip(problem.pieces, left, strict=True)
        )
        if cheapest(replace(problem, pieces=pieces)) is not None:
            best = short
    return best


@SOME
@given(saw_problems(tiny=True))
def test_what_is_short_is_the_least_that_can_be_left_uncut(problem: Problem) -> None:
    problem = limited(problem)
    sets = all(
        sum(problem.piece[name].count for name in group.pieces) % group.sets_of == 0
        for group in problem.groups
    )
    assume(sets)  # a broken set stays short whatever is left out
    found = shortage(problem, EFFORT)
    assert found.least_use <= found.use
    assert found.use == least_use_short(free(problem))
    assert found.proven
    rest = {short.piece: short.number for short in found.pieces}
    pieces = tuple(replace(piece, count=piece.count - rest.get(piece.id, 0)) for piece in problem.pieces)
    assert cheapest(free(replace(problem, pieces=pieces))) is not None


@SOME
@given(saw_problems(tiny=True), st.integers(1, 9), st.integers(1, 9))
def test_the_cheapest_purchase_is_that_of_every_way_to_cut(problem: Problem, one: int, other: int) -> None:
    problem = limited(problem)
    longest = max(piece.use for piece in problem.pieces)
    length = longest + problem.tail_min
    offered = (Bar("buy-a", length, 10 + one, heat="B"), Bar("buy-b", length + 7, 10 + other, 3, heat="B"))
    found = cheapest_purchase(problem, offered, EFFORT)
    brute = cheapest(
        replace(free(problem), bars=(*free(problem).bars, *(replace(bar, count=None) for bar in offered)))
    )
    assert (found is None) == (brute is None)
    if found is not None:
        assert found.least_cost <= found.cost == brute
        assert found.proven
        price = {bar.id: bar.cost for bar in offered}
        assert sum(price[id] * number for id, number in found.bars) == found.cost


def test_a_set_of_one_heat_is_short_though_the_length_is_there() -> None:
    """Worked by hand: two heats with room for three posts each, four are asked for from one heat."""
    bars = (Bar("a", 30, 30, 1, heat="H1"), Bar("b", 30, 30, 1, heat="H2"))
    problem = Problem(bars, (Piece("post", 10, 4), Piece("rail", 5, 2)), (Group(("post",), 4),))
    (short,) = shortage(problem, EFFORT).pieces
    assert (short.piece, short.number, short.by_heat) == ("post", 4, (("H1", 3), ("H2", 3)))
    offered = (
        Bar("twelve", 12, 13, heat="N"),
        Bar("twenty", 20, 19, heat="N"),
        Bar("forty", 40, 41, heat="N"),
    )
    bought = cheapest_purchase(problem, offered, EFFORT)
    assert bought is not None
    assert (bought.bars, bought.cost, bought.least_cost) == ((("twenty", 2),), 38, 38)
    whole = Problem((*bars, *offered), problem.pieces, problem.groups)
    cut = replace(bought.answer, objective=sum(whole.bar[p.bar].cost * p.times for p in bought.answer.cuts))
    assert not [fault for fault in faults_of(whole, cut) if "exceeds" not in fault]


def test_enough_stock_lacks_nothing_and_buys_nothing() -> None:
    problem = Problem((Bar("a", 30, 30, 2),), (Piece("p", 10, 6),))
    assert shortage(problem, EFFORT).pieces == ()
    bought = cheapest_purchase(problem, [Bar("n", 30, 1)], EFFORT)
    assert bought is not None
    assert (bought.bars, bought.cost, bought.proven) == ((), 0, True)
