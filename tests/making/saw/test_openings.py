"""Which bars to open: every mix that can hold the cheapest plan is found, and no bound lies above it."""

from __future__ import annotations

from hypothesis import example, given, settings

from brute_saw import cheapest
from rackwright.making.saw import Bar, Piece, Problem
from rackwright.making.saw.colgen import Relaxation, Work
from rackwright.making.saw.model import Model
from rackwright.making.saw.neighbourhood import cut_below
from rackwright.making.saw.openings import Openings
from strategies import saw_problems


def opened(problem: Problem, ceiling: int) -> tuple[Model, Relaxation, Openings]:
    model, work = Model(problem), Work(10_000)
    relaxation = Relaxation(model, work, [])
    for _ in relaxation.rounds():
        pass
    openings = Openings(model, work, relaxation.pricer, relaxation.master.patterns)
    while openings.split(ceiling):
        pass
    return model, relaxation, openings


@settings(max_examples=80, deadline=None)
@given(saw_problems(tiny=True))
@example(  # two of B1, which cost a multiple of 2: "less than 5" is 4 for them, not 5 less a step
    Problem((Bar("B0", 20, 3), Bar("B1", 15, 2, 2)), (Piece("P0", 11, 2),))
)
@example(Problem((Bar("B0", 20, 81), Bar("B1", 11, 56, 2)), (Piece("P0", 4, 2),), (), 2, 2, 3))
@example(  # a stand-in for the short piece is cheaper than a bar: no proof that it finds none
    Problem((Bar("B0", 1000, 3),), (Piece("P0", 225, 1), Piece("P1", 813, 2)), last_kerf=11)
)
def test_the_cheapest_plan_is_cut_from_one_of_the_mixes(problem: Problem) -> None:
    model = Model(problem)
    optimum = cheapest(problem) if model.use and model.bars else None
    if optimum is None:
        return
    ceiling = optimum + model.step
    model, _, openings = opened(problem, ceiling)
    assert all(one.bound >= ceiling for one in openings.boxes)
    assert openings.bound(ceiling) <= optimum
    costs = []
    for mix in openings.found(ceiling):
        part = model.opened(mix)
        found = cut_below(part.model, [*part.plan_of(openings.patterns(mix, 50))], ceiling, Work(10_000), 3)
        if found.plan is not None:
            plan = part.plan_back(found.plan)
            assert not model.shortfall(plan)
            costs.append(model.plan_cost(plan))
        assert found.bound <= ceiling
    assert min(costs, default=None) == optimum


def test_no_part_of_a_bar_is_opened() -> None:
    """Five pieces of 40 from bars of 100, two a bar: by fractions two bars and a half, whole three; what stays of the
    third (60, of 100 at 10 a unit) is worth 8 a unit: 3·1000 - 8·60 = 2520, by hand. A half bar would cost 260 less."""
    problem = Problem((Bar("new", 100, 1000),), (Piece("p", 40, 5),), remnant_min=50, remnant_credit=8)
    _, relaxation, openings = opened(problem, 10_000)
    assert relaxation.bound < 2520
    assert openings.bound(10_000) == 2520
    assert openings.found(10_000)[0] == (3,)
