"""The stopwatch: the last answer counts, the deadline is kept, a broken search harms no other."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator

import pytest

from rackwright.work.run import run_until, shared


def counting(to: int) -> Iterator[int]:
    yield from range(to)


def for_ever() -> Iterator[str]:
    yield "first"
    while True:
        pass


def breaking() -> Iterator[int]:
    yield 1
    raise ValueError("no way on")


def vanishing() -> Iterator[int]:
    yield 1
    os._exit(9)


def soon(seconds: float) -> float:
    return time.monotonic() + seconds


def test_searches_run_to_their_end_and_the_last_answer_counts() -> None:
    heard: list[tuple[int, int]] = []
    outcomes = run_until(soon(60), [(counting, (3,)), (counting, (5,))], lambda n, a: heard.append((n, a)))
    assert [(outcome.last, outcome.ended) for outcome in outcomes] == [(2, True), (4, True)]
    assert [a for n, a in heard if n == 1] == [0, 1, 2, 3, 4]


def test_a_search_without_end_is_stopped_at_the_deadline_with_its_last_answer() -> None:
    (outcome,) = run_until(soon(1.5), [(for_ever, ())])
    assert (outcome.last, outcome.ended) == ("first", False)


def test_all_stop_when_the_listener_has_heard_enough() -> None:
    outcomes = run_until(
        soon(60), [(counting, (100_000_000,)), (for_ever, ())], lambda _, answer: answer == 7
    )
    assert outcomes[0].last == 7
    assert not any(outcome.ended for outcome in outcomes)


def test_a_search_that_breaks_or_vanishes_keeps_its_answer_and_says_why() -> None:
    broken, vanished, sound = run_until(soon(60), [(breaking, ()), (vanishing, ()), (counting, (2,))])
    assert (broken.last, broken.ended, broken.error) == (1, False, "ValueError: no way on")
    assert (vanished.last, vanished.ended) == (1, False)
    assert "unexpectedly" in vanished.error
    assert (sound.last, sound.ended) == (1, True)


def test_without_time_nothing_is_waited_for() -> None:
    (outcome,) = run_until(soon(-1), [(for_ever, ())])
    assert not outcome.ended


def test_parts_shared_out_are_those_made_one_after_another() -> None:
    assert shared(lambda n: n * n, 9) == [n * n for n in range(9)]
    assert shared(lambda n: n, 0) == []


def test_a_part_that_breaks_is_told() -> None:
    def work(n: int) -> float:
        return 1 / (3 - n)

    with pytest.raises((RuntimeError, ZeroDivisionError), match="division by zero"):
        shared(work, 5)
