"""Learning: how the hours of a piece of work fall with the number built.

Two models share the words "80 percent" and differ: at twice the number, the hours of that unit (Crawford), or the
average hours of all so far (Wright), are 80 percent. Name the model with the rate.
Sources: T. P. Wright 1936 and J. R. Crawford, as stated in public documentation of a learning-curve package.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["average_total", "average_unit", "learning_slope", "unit_hours"]


def learning_slope(rate: Num) -> Num:
    return np.log(rate) / np.log(2.0)


def unit_hours(t1: Num, n: Num, rate: Num) -> Num:
    return t1 * n ** learning_slope(rate)


def average_total(t1: Num, n: Num, rate: Num) -> Num:
    return t1 * n ** (1 + learning_slope(rate))


def average_unit(t1: Num, n: Num, rate: Num) -> Num:
    return average_total(t1, n, rate) - average_total(t1, n - 1, rate)


rate = Symbol("rate", "1", "", "hours at twice the number, as a share")
t1 = Symbol("t1", "time", "h", "hours of the first unit")
n = Symbol("n", "1", "", "number of the unit, or units in all")
one = Symbol("tn", "time", "h", "hours of the n-th unit")
SLOPE = (("b", "log(rate)/log(2)"),)
LIMITS = (Limit("rate", 0.5, 1), Limit("n", low=1, why="units are counted from one"))
SOURCE = "public documentation of a learning-curve package"

CARDS = (
    Card(
        "learning_slope", "natural slope of a learning rate", (rate,), Symbol("b", "1", "", "natural slope"),
        "log(rate)/log(2)", SOURCE, "read", learning_slope, limits=(Limit("rate", 0.5, 1),),
    ),
    Card(
        "unit_hours", "hours of the n-th unit, unit model (Crawford)", (t1, n, rate), one, "t1*n**b", SOURCE, "read",
        unit_hours, where=SLOPE, limits=LIMITS,
    ),
    Card(
        "average_total", "hours of n units, cumulative-average model (Wright)", (t1, n, rate),
        Symbol("T", "time", "h", "hours of all units"), "t1*n**(1 + b)", SOURCE, "read", average_total, where=SLOPE,
        limits=LIMITS,
    ),
    Card(
        "average_unit", "hours of the n-th unit, cumulative-average model (Wright)", (t1, n, rate), one,
        "t1*(n**(1 + b) - (n - 1)**(1 + b))", "difference of two totals", "derived", average_unit, where=SLOPE,
        limits=LIMITS,
    ),
)  # fmt: skip
