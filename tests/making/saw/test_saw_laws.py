"""What holds for every cutting problem: soundness, bounds, and the optimum by brute force on tiny ones."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from brute_saw import cheapest
from rackwright.making.saw import Answer, Problem, balance, best_of, faults_of, first_answer, improve
from strategies import saw_problems

SOME = settings(max_examples=60, deadline=None)


def last_answer(problem: Problem, effort: int = 400) -> Answer:
    answers = list(improve(problem, effort))
    return answers[-1]


@SOME
@given(saw_problems())
def test_every_answer_passes_the_checker_and_never_gets_worse(problem: Problem) -> None:
    before: Answer | None = None
    for answer in improve(problem, effort=150):
        assert faults_of(problem, answer) == []
        if before is not None and not before.missing:
            assert not answer.missing
            assert answer.objective <= before.objective
            assert answer.lower_bound >= before.lower_bound
        before = answer


@SOME
@given(saw_problems())
def test_the_opened_length_is_all_accounted_for(problem: Problem) -> None:
    parts = balance(problem, first_answer(problem))
    assert parts.opened == parts.use + parts.trim + parts.scrap + parts.remnants
    assert min(parts.use, parts.trim, parts.scrap, parts.remnants) >= 0


@settings(max_examples=150, deadline=None)
@given(saw_problems(tiny=True))
def test_tiny_problems_are_solved_to_the_brute_force_optimum(problem: Problem) -> None:
    optimum = cheapest(problem)
    answer = last_answer(problem)
    if optimum is None:
        assert answer.missing
        assert answer.missing_proven
    else:
        assert not answer.missing
        assert answer.lower_bound <= optimum <= answer.objective
        assert answer.optimal


@SOME
@given(saw_problems(tiny=True), st.integers(0, 2))
def test_another_bar_never_makes_the_optimum_worse(problem: Problem, which: int) -> None:
    bar = problem.bars[which % len(problem.bars)]
    assume(bar.count is not None and not problem.groups)
    more = tuple(
        replace(b, count=b.count + 1) if b is bar and b.count is not None else b for b in problem.bars
    )
    before, after = cheapest(problem), cheapest(replace(problem, bars=more))
    assume(before is not None)
    assert after is not None
    assert after <= before
    assert last_answer(replace(problem, bars=more)).objective <= before


@SOME
@given(saw_problems(), st.randoms(use_true_random=False))
def test_the_order_of_pieces_and_bars_changes_nothing(problem: Problem, shuffler: object) -> None:
    pieces, bars = list(problem.pieces), list(problem.bars)
    shuffler.shuffle(pieces)  # type: ignore[attr-defined]
    shuffler.shuffle(bars)  # type: ignore[attr-defined]
    one = last_answer(problem, 60)
    other = last_answer(replace(problem, pieces=tuple(pieces), bars=tuple(bars)), 60)
    assert (one.objective, one.lower_bound, one.bars_opened) == (
        other.objective, other.lower_bound, other.bars_opened
    )  # fmt: skip


@SOME
@given(saw_problems())
def test_the_same_effort_gives_the_same_answers(problem: Problem) -> None:
    assert list(improve(problem, effort=80)) == list(improve(problem, effort=80))


@SOME
@given(saw_problems(unlimited=True))
def test_an_unlimited_bar_that_takes_every_piece_leaves_none_missing(problem: Problem) -> None:
    assume(all(piece.use <= problem.room(problem.bars[0]) for piece in problem.pieces))
    assert not first_answer(problem).missing


@SOME
@given(saw_problems(), st.integers(2, 40))
def test_a_finer_unit_changes_nothing(problem: Problem, factor: int) -> None:
    """All lengths times a factor, all costs too: the same plans, the objective times the factor."""
    bars = tuple(
        replace(b, length=b.length * factor, trim=b.trim * factor, cost=b.cost * factor) for b in problem.bars
    )
    pieces = tuple(replace(p, use=p.use * factor) for p in problem.pieces)
    finer = replace(
        problem, bars=bars, pieces=pieces, tail_min=problem.tail_min * factor,
        remnant_min=problem.remnant_min * factor, last_kerf=problem.last_kerf * factor,
    )  # fmt: skip
    a, b = first_answer(problem), first_answer(finer)
    assert b.objective == a.objective * factor
    assert sum(n for _, n in a.missing) == sum(n for _, n in b.missing)


@SOME
@given(saw_problems())
def test_the_best_of_two_answers_keeps_plan_and_bound(problem: Problem) -> None:
    first, last = first_answer(problem), last_answer(problem, 60)
    both = best_of(first, last)
    assert both == best_of(last, first)
    assert both.objective == last.objective or first.missing
    assert both.lower_bound == max(first.lower_bound, last.lower_bound)
