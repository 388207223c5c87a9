"""A plan made anew: within the slack nothing moves that need not, and it is still a plan."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from rackwright.making.saw import Answer, Bar, Group, Piece, Pins, Problem, improve, nearest, staying
from rackwright.making.saw.check import faults_of

EFFORT = 40


def best(problem: Problem) -> Answer:
    return list(improve(problem, EFFORT))[-1]


def planned(answer: Answer) -> dict[str, dict[str, int]]:
    return {plan.bar: dict(plan.cut) for plan in answer.cuts}


#: remnants one by one, as many new bars as wanted; two sets of four posts from one heat
bars = st.lists(st.tuples(st.integers(30, 120), st.sampled_from("AB")), min_size=1, max_size=6)
counts = st.lists(
    st.tuples(st.integers(8, 40), st.integers(1, 5)), min_size=1, max_size=4, unique_by=lambda p: p[0]
)


def problem_of(stock: list[tuple[int, str]], pieces: list[tuple[int, int]], posts: int) -> Problem:
    opened = [Bar(f"R{n}", length, 8 * length, 1, 0, heat) for n, (length, heat) in enumerate(stock)]
    wanted = [Piece(f"p{use}", use, number) for use, number in pieces] + [Piece("post", 25, 4 * posts)]
    return Problem((*opened, Bar("new", 160, 1600, None, 2, "N")), tuple(wanted), (Group(("post",), 4),),
                   tail_min=3, remnant_min=15, remnant_credit=8)  # fmt: skip


@given(bars, counts, st.integers(0, 2))
def test_where_nothing_changed_nothing_moves(
    stock: list[tuple[int, str]], pieces: list[tuple[int, int]], posts: int
) -> None:
    problem = problem_of(stock, pieces, posts)
    answer = best(problem)
    before = {bar: cut for bar, cut in planned(answer).items() if bar != "new"}
    again = nearest(problem, answer, before)
    assert staying(again, before) == sum(sum(cut.values()) for cut in before.values())
    assert again.objective <= answer.objective


@given(bars, counts, st.integers(0, 2), st.data())
def test_another_plan_is_sound_keeps_to_its_slack_and_moves_no_more_than_the_best(
    stock: list[tuple[int, str]], pieces: list[tuple[int, int]], posts: int, data: st.DataObject
) -> None:
    problem = problem_of(stock, pieces, posts)
    before: Pins = {bar: cut for bar, cut in planned(best(problem)).items() if bar != "new"}
    gone = data.draw(st.sampled_from([bar.id for bar in problem.bars if bar.id != "new"]))
    less = problem_of([one for n, one in enumerate(stock) if f"R{n}" != gone], pieces, posts)
    names = [f"R{n}" for n in range(len(stock)) if f"R{n}" != gone]
    bars_left = tuple(Bar(name, bar.length, bar.cost, 1, 0, bar.heat)
                      for name, bar in zip(names, less.bars, strict=False))  # fmt: skip
    problem = Problem((*bars_left, less.bars[-1]), less.pieces, less.groups, 3, 15, 8)
    found, slack = best(problem), data.draw(st.integers(0, 400))
    again = nearest(problem, found, before, slack)
    assert faults_of(problem, again) == []
    assert again.objective <= found.objective + slack
    assert again.objective - again.level_price <= found.objective
    assert staying(again, before) >= staying(found, before)
    if again.objective > found.objective:
        assert staying(again, before) > staying(found, before), "nothing is paid for nothing"


def test_a_little_money_buys_that_nothing_moves() -> None:
    """Bars of 100 held 60 + 30 and 50 + 40. A spoiled 30 is cut again: 10 and 10 are left, so it opens a new bar of
    31 at 310, or of 100 at 800 with 560 back. Everything planned anew would cost as much less as a bar's end."""
    stock = (Bar("A", 100, 800, 1), Bar("B", 100, 800, 1), Bar("C", 45, 360, 1), Bar("D", 39, 360, 1))
    wanted = (Piece("60", 60, 1), Piece("50", 50, 1), Piece("40", 40, 1), Piece("30", 30, 2))
    problem = Problem(stock, wanted, remnant_min=5, remnant_credit=8)
    before = {"A": {"60": 1, "30": 1}, "B": {"50": 1, "40": 1}}
    answer = best(problem)
    near = nearest(problem, answer, before, slack=1_000)
    assert staying(near, before) == 4
    assert {plan.bar: dict(plan.cut) for plan in near.cuts} | before == {
        plan.bar: dict(plan.cut) for plan in near.cuts
    }


def test_without_slack_value_comes_first() -> None:
    """The bar it was planned from costs 100 more than the remnant that came in since."""
    stock = (Bar("old", 50, 500, 1), Bar("new", 50, 400, 1))
    problem = Problem(stock, (Piece("p", 40, 1),))
    before = {"old": {"p": 1}}
    assert planned(nearest(problem, best(problem), before, 99)) == {"new": {"p": 1}}
    stays = nearest(problem, best(problem), before, 100)
    assert planned(stays) == before
    assert (stays.objective, stays.level_price, stays.optimal) == (500, 100, True)


def test_a_bar_found_short_loses_the_fewest_pieces() -> None:
    """60 + 20 + 15 planned on a bar that is 90 now: the 60 leaves, two stay."""
    stock = (Bar("short", 90, 720, 1), Bar("other", 100, 800, 1))
    problem = Problem(stock, (Piece("60", 60, 1), Piece("20", 20, 1), Piece("15", 15, 1)), remnant_credit=8)
    near = nearest(problem, best(problem), {"short": {"60": 1, "20": 1, "15": 1}}, 100)
    assert staying(near, {"short": {"60": 1, "20": 1, "15": 1}}) == 2
