"""The saw beside first-fit decreasing and a plain assignment program, in one run.

Seeded problems with a known optimum (triplets), uniform lengths, several stock lengths, and shop-like sections with
remnants, credit and posts of one heat. The assignment program (HiGHS: which piece kind on which bar, one whole
variable each, bars ordered) is what one would write first; it gets as many seconds as it takes ours, at least five.
Printed: objective over our bound for each way (1.0000 is proven optimal), and our time. Nothing is asserted.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import time
from collections.abc import Callable

import highspy
import numpy as np

from rackwright.making.saw import Answer, Bar, Group, Piece, Problem, first_answer, improve

EFFORT = 3_000
LEAST_SECONDS = 5.0


def triplets(bars: int, seed: int) -> Problem:
    rng = np.random.default_rng(seed)
    uses: list[int] = []
    for _ in range(bars):
        first = int(rng.integers(380, 491))
        second = int(rng.integers(250, (1000 - first) // 2 + 1))
        uses += [first, second, 1000 - first - second]
    return Problem((Bar("bar", 1000, 1),), counted(uses))


def uniform(number: int, seed: int) -> Problem:
    rng = np.random.default_rng(seed)
    return Problem((Bar("bar", 150, 1),), counted([int(u) for u in rng.integers(20, 101, number)]))


def lengths(number: int, seed: int) -> Problem:
    """Four kinds of bar, two of them few."""
    rng = np.random.default_rng(seed)
    bars = (Bar("A", 6000, 55, 3), Bar("B", 5000, 44, 4), Bar("C", 3000, 30, 20), Bar("D", 8000, 80))
    return Problem(bars, counted([int(u) + 3 for u in rng.integers(400, 2501, number)]), last_kerf=3)


def shop(racks: int, seed: int) -> Problem:
    """A section of an order: posts of one heat, members, remnants at book value, new bars, credit for leftovers."""
    rng = np.random.default_rng(seed)
    bars = [
        Bar("new-240", 240_000, 2_400_000, None, 500, "NEW"),
        Bar("new-288", 288_000, 2_880_000, None, 500, "NEW"),
    ]
    for n in range(8):
        length = int(rng.integers(25_000, 200_000))
        bars.append(Bar(f"remnant-{n}", length, 8 * length, 1, 0, f"H{n % 3}"))
    pieces = [Piece("post", 125 * int(rng.integers(300, 520)), 4 * racks)]
    pieces += [
        Piece(f"member-{n}", int(rng.integers(6_000, 40_000)), 2 * racks * int(rng.integers(1, 3)))
        for n in range(9)
    ]
    return Problem(tuple(bars), tuple(pieces), (Group(("post",), 4),), 2_000, 12_000, 8)


CASES: dict[str, Callable[[], Problem]] = {
    "triplets, 40 bars": lambda: triplets(40, 1),
    "triplets, 167 bars": lambda: triplets(167, 2),
    "uniform, 250 pieces": lambda: uniform(250, 3),
    "uniform, 1000 pieces": lambda: uniform(1000, 4),
    "four bar lengths, 90 pieces": lambda: lengths(90, 5),
    "shop, 1 rack": lambda: shop(1, 6),
    "shop, 5 racks": lambda: shop(5, 7),
    "shop, 20 racks": lambda: shop(20, 8),
}


def counted(uses: list[int]) -> tuple[Piece, ...]:
    return tuple(Piece(str(u), u, uses.count(u)) for u in sorted(set(uses), reverse=True))


def assignment(problem: Problem, bars_open: int, seconds: float) -> float | None:
    """Objective of the plain program over bars set out one by one; None when it finds no plan in time."""
    slots = [
        bar
        for bar in problem.bars
        for _ in range(min(bars_open, bars_open if bar.count is None else bar.count))
    ]
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("time_limit", seconds)
    infinity = highspy.kHighsInf
    for piece in problem.pieces:
        highs.addRow(float(piece.count), float(piece.count), 0, [], [])
    for bar in slots:
        room = float(problem.room(bar))
        row = highs.getNumRow()
        highs.addRow(-infinity, 0.0, 0, [], [])  # Σ use + kept <= room · opened
        highs.addRow(-infinity, 0.0, 0, [], [])  # least · kept? <= kept
        highs.addRow(-infinity, 0.0, 0, [], [])  # kept <= room · kept?
        rest = float(problem.tail_min)
        highs.addCol(float(bar.cost), 0.0, 1.0, 1, [row], [-room])
        credit = float(problem.remnant_credit)
        highs.addCol(-credit, 0.0, infinity, 3, [row, row + 1, row + 2], [1.0, -1.0, 1.0])
        least = max(0.0, problem.remnant_min - rest)
        highs.addCol(-credit * rest, 0.0, 1.0, 2, [row + 1, row + 2], [least, -room])
        if credit == 0:
            highs.changeColBounds(highs.getNumCol() - 1, 0.0, 0.0)
        for integer in (3, 1):
            highs.changeColIntegrality(highs.getNumCol() - integer, highspy.HighsVarType.kInteger)
        for i, piece in enumerate(problem.pieces):
            highs.addCol(0.0, 0.0, float(piece.count), 2, [i, row], [1.0, float(piece.use)])
            highs.changeColIntegrality(highs.getNumCol() - 1, highspy.HighsVarType.kInteger)
    highs.run()
    info = highs.getInfo()
    return float(info.objective_function_value) if info.primal_solution_status == 2 else None


def run() -> None:
    row = "{:28} {:>10} {:>10} {:>10} {:>8}"
    print(row.format("objective / our bound", "first fit", "assignment", "ours", "seconds"))
    for name, make in CASES.items():
        problem = make()
        first = first_answer(problem)
        start = time.perf_counter()
        answer: Answer = first
        for answer in improve(problem, EFFORT):  # noqa: B007
            pass
        seconds = time.perf_counter() - start
        plain = assignment(problem, first.bars_opened, max(LEAST_SECONDS, seconds))
        bound = answer.lower_bound
        print(
            row.format(
                name,
                "none" if first.first_objective is None else f"{first.first_objective / bound:.4f}",
                "none" if plain is None else f"{plain / bound:.4f}",
                f"{answer.objective / bound:.4f}",
                f"{seconds:.2f}",
            ),
            flush=True,
        )


if __name__ == "__main__":
    run()
