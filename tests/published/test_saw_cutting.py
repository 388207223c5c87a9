"""Cutting problems whose optimum stands in the literature or follows from how they are made.

Sources:
- "Cutting stock problem, worked example" (paper machine, 5600 mm, 13 widths), sci.op-research, 14 May 2008,
  read: the orders, and the lower limit 72.707, hence 73 rolls. That 73 rolls suffice: Wikipedia, "Cutting
  stock problem", section on the same paper machine, from memory.
- V. Chvátal, Linear Programming (1983), chapter 13: rolls of 100, finals of 45, 36, 31 and 14. The orders were
  read in a public page of the same example; the bounds 452.25 and 453 are from memory.
- D. S. Johnson, doctoral thesis, MIT (1973), and Garey & Johnson (1979), section 6.1: the pieces on which
  first-fit decreasing opens 11 bars for every 9 needed. From memory.
- E. Falkenauer, A hybrid grouping genetic algorithm for bin packing, J. Heuristics 2 (1996): triplets, three
  pieces that fill a bar exactly; the optimum is a third of their number. The class is made here anew.
- S. Martello & P. Toth, Knapsack Problems (1990), chapter 8: bound L2 for nine pieces on bars of 100. From
  memory.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from rackwright.making.saw import Answer, Bar, Piece, Problem, first_answer, improve
from rackwright.making.saw.bounds import l2_bound, material_bound
from rackwright.making.saw.colgen import Relaxation, Work
from rackwright.making.saw.greedy import first_fit_plans
from rackwright.making.saw.model import Model

Published = Callable[..., None]

PAPER = {1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20, 2000: 10, 2050: 12, 2100: 14,
         2140: 16, 2150: 18, 2200: 20}  # fmt: skip
CHVATAL = {45: 97, 36: 610, 31: 395, 14: 211}
MARTELLO_TOTH = {70: 1, 60: 1, 50: 1, 33: 3, 11: 1, 7: 1, 3: 1}


def bars_of(length: int, pieces: Mapping[int, int]) -> Problem:
    return Problem((Bar("bar", length, 1),), tuple(Piece(str(u), u, n) for u, n in pieces.items()))


def solved(problem: Problem) -> Answer:
    return list(improve(problem, effort=3_000))[-1]


def linear_bound(problem: Problem) -> float:
    model = Model(problem)
    patterns = [pattern for plan in first_fit_plans(model) for pattern in plan]
    relaxation = Relaxation(model, Work(1_000), patterns)
    for _ in relaxation.rounds():
        pass
    return float(relaxation.bound)


def test_the_paper_machine(published: Published) -> None:
    problem = bars_of(5600, PAPER)
    source = "sci.op-research 2008-05-14, cutting stock worked example"
    published(source, "lower limit by material", float(material_bound(Model(problem))), "72.707", "published")
    answer = solved(problem)
    published(source, "lower limit in rolls", answer.lower_bound, "73", "published")
    published(
        "Wikipedia, cutting stock problem", "paper machine, rolls", answer.objective, "73", "from memory"
    )


def test_the_finals_of_chvatal(published: Published) -> None:
    problem = bars_of(100, CHVATAL)
    source = "Chvátal, Linear Programming (1983)"
    published(source, "chapter 13, linear bound", linear_bound(problem), "452.25", "from memory")
    answer = solved(problem)
    published(source, "chapter 13, rolls", answer.objective, "453", "from memory")
    assert answer.optimal


@pytest.mark.parametrize("k", [1, 2, 5])
def test_where_first_fit_decreasing_is_at_its_worst(published: Published, k: int) -> None:
    """30k pieces with e = 1: bars of 100; 51, 27, 26 (6k each), 23 is 1/4 - 2e (12k)."""
    problem = bars_of(100, {51: 6 * k, 27: 6 * k, 26: 6 * k, 23: 12 * k})
    answer = solved(problem)
    source = "Johnson (1973); Garey & Johnson (1979), 6.1"
    published(
        source, f"first fit, k = {k}", first_answer(problem).first_objective, str(11 * k), "closed form"
    )
    published(source, f"optimum, k = {k}", answer.objective, str(9 * k), "closed form")
    assert answer.optimal


def triplets(number: int, seed: int) -> dict[int, int]:
    """Three pieces a bar of 1000 as Falkenauer makes them, all longer than a quarter and shorter than half."""
    pieces: dict[int, int] = {}
    state = seed
    for _ in range(number):
        state = (1_103_515_245 * state + 12_345) % 2**31
        first = 380 + (state >> 8) % 111
        state = (1_103_515_245 * state + 12_345) % 2**31
        second = 250 + (state >> 8) % ((1000 - first) // 2 - 250)
        for use in (first, second, 1000 - first - second):
            pieces[use] = pieces.get(use, 0) + 1
    return pieces


@pytest.mark.parametrize(("bars", "seed"), [(20, 1), (40, 2), (83, 3)])
def test_triplets(published: Published, bars: int, seed: int) -> None:
    problem = bars_of(1000, triplets(bars, seed))
    answer = solved(problem)
    published(
        "Falkenauer (1996), triplets", f"{bars} bars, seed {seed}", answer.objective, str(bars), "closed form"
    )
    assert answer.optimal
    assert first_answer(problem).objective > bars


def test_the_bound_of_martello_and_toth(published: Published) -> None:
    """The material bound of the same nine pieces is 3: they would fill three bars exactly."""
    model = Model(bars_of(100, MARTELLO_TOTH))
    source = "Martello & Toth, Knapsack Problems (1990)"
    published(source, "chapter 8, L1", float(material_bound(model)), "3", "from memory")
    published(source, "chapter 8, optimum", solved(model.problem).objective, "4", "from memory")
    assert 3 <= l2_bound(model) <= 4
