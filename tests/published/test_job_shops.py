"""Job shops with known optimum: ft06, ft10 of Fisher and Thompson (in Muth and Thompson, Industrial Scheduling, 1963),
la01 of Lawrence (supplement to Resource constrained project scheduling, 1984).

How known: data and optima read in stored public copies of the OR-Library's jobshop1.txt and of its table of optima.
Rows are jobs: machine and minutes in turn.
"""

from __future__ import annotations

from datetime import date

import pytest

from rackwright.making.dates.sequence import sequence
from rackwright.making.dates.shop_load import Job, Load, Work

FT06 = """2 1 0 3 1 6 3 7 5 3 4 6
1 8 2 5 4 10 5 10 0 10 3 4
2 5 3 4 5 8 0 9 1 1 4 7
1 5 0 5 2 5 3 3 4 8 5 9
2 9 1 3 4 5 5 4 0 3 3 1
1 3 3 3 5 9 0 10 4 4 2 1"""
FT10 = """0 29 1 78 2 9 3 36 4 49 5 11 6 62 7 56 8 44 9 21
0 43 2 90 4 75 9 11 3 69 1 28 6 46 5 46 7 72 8 30
1 91 0 85 3 39 2 74 8 90 5 10 7 12 6 89 9 45 4 33
1 81 2 95 0 71 4 99 6 9 8 52 7 85 3 98 9 22 5 43
2 14 0 6 1 22 5 61 3 26 4 69 8 21 7 49 9 72 6 53
2 84 1 2 5 52 3 95 8 48 9 72 0 47 6 65 4 6 7 25
1 46 0 37 3 61 2 13 6 32 5 21 9 32 8 89 7 30 4 55
2 31 0 86 1 46 5 74 4 32 6 88 8 19 9 48 7 36 3 79
0 76 1 69 3 76 5 51 2 85 9 11 6 40 7 89 4 26 8 74
1 85 0 13 2 61 6 7 8 64 9 76 5 47 3 52 4 90 7 45"""
LA01 = """1 21 0 53 4 95 3 55 2 34
0 21 3 52 4 16 2 26 1 71
3 39 4 98 1 42 2 31 0 12
1 77 0 55 4 79 2 66 3 77
0 83 3 34 2 64 1 19 4 37
1 54 2 43 4 79 0 92 3 62
3 69 4 77 1 87 2 87 0 93
2 38 0 60 1 41 3 24 4 83
3 17 1 49 4 25 0 44 2 98
4 77 3 79 2 43 1 75 0 96"""
SOURCE = "OR-Library, job shops"


def load_of(text: str) -> Load:
    works: list[Work] = []
    lines = text.splitlines()
    for n, line in enumerate(lines):
        numbers = list(map(int, line.split()))
        for step, (machine, minutes) in enumerate(zip(numbers[::2], numbers[1::2], strict=True)):
            before = (f"{n}.{step - 1}",) if step else ()
            works.append(Work(f"{n}.{step}", str(n), "", minutes, before, machines=(f"M{machine}",)))
    return Load(tuple(Job(str(n)) for n in range(len(lines))), tuple(works), ((date(2026, 3, 2), 10**5),))


@pytest.mark.parametrize(("name", "text", "optimum"), [("ft06", FT06, "55"), ("la01", LA01, "666")])
def test_the_optimum_is_found_and_proven(published, name: str, text: str, optimum: str) -> None:
    found = sequence(load_of(text), 5)
    published(SOURCE, f"{name}, makespan", found.last, optimum, "published")
    published(SOURCE, f"{name}, proven bound", found.finish_bound, optimum, "published")


@pytest.mark.soak
def test_the_hard_one_is_found_at_a_fixed_effort_and_its_bound_is_honest(published) -> None:
    found = sequence(load_of(FT10), 16)
    published(SOURCE, "ft10, makespan", found.last, "930", "published")
    assert 655 <= found.finish_bound <= 930  # the longest machine load, and the known optimum
