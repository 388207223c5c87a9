"""Stack-up: how far a point of one rack may lie off, and how far two racks may differ.

A point's deviation on one rack is the sum of its contributors, e = Σ eᵢ with |eᵢ| ≤ tᵢ. At worst all act one
way: Σ tᵢ. Independent ones add by their variances: with tᵢ as the same multiple of its standard deviation for
every contributor, the root of the sum of squares is that multiple for the sum. Two racks differ by d = eA − eB:
each rack's deviation enters once with either sign, so at worst twice Σ tᵢ, and statistically √2 times the root,
since the variances of A and B add. What is the same on both racks (they share a jig) falls out of d and is left
out of the row. Statistics says nothing about one rack: there the measured stack decides.
Source: sums of independent random variables.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["between_two", "between_two_worst", "clearance_float", "root_sum_square", "worst_case"]


def worst_case(t: Num) -> Num:
    return np.abs(np.asarray(t, dtype=float)).sum(axis=-1)


def root_sum_square(t: Num) -> Num:
    return np.sqrt((np.asarray(t, dtype=float) ** 2).sum(axis=-1))


def between_two_worst(t: Num) -> Num:
    return 2 * worst_case(t)


def between_two(t: Num) -> Num:
    return np.sqrt(2.0) * root_sum_square(t)


def clearance_float(D: Num, d: Num) -> Num:
    return (D - d) / 2


t = Symbol("t", "length", "in", "plus-or-minus contributors of one rack", many=True)
_SUMS = "sums of independent random variables"

CARDS = (
    Card(
        "worst_case", "worst-case stack of one rack", (t,), Symbol("W", "length", "in", "plus or minus"),
        "total(Abs(t))", "arithmetic", "derived", worst_case,
    ),
    Card(
        "root_sum_square", "statistical stack of one rack", (t,), Symbol("S", "length", "in", "plus or minus"),
        "sqrt(total(t**2))", _SUMS, "derived", root_sum_square,
        note="contributors independent, each the same multiple of its standard deviation",
    ),
    Card(
        "between_two_worst", "most that two racks can differ", (t,), Symbol("W2", "length", "in", "difference"),
        "2*total(Abs(t))", "arithmetic: d = eA - eB", "derived", between_two_worst,
        note="without what both racks share",
    ),
    Card(
        "between_two", "statistical difference of two racks", (t,), Symbol("S2", "length", "in", "difference"),
        "sqrt(2*total(t**2))", _SUMS, "derived", between_two, note="without what both racks share",
    ),
    Card(
        "clearance_float", "how far a pin may lie off centre in its hole",
        (Symbol("D", "length", "in", "hole, or inside of the tube"),
         Symbol("d", "length", "in", "pin, or outside of the spigot")),
        Symbol("c", "length", "in", "plus or minus"), "(D - d)/2", "geometry", "derived", clearance_float,
        limits=(Limit("d/D", high=1, why="it goes in"),),
    ),
)  # fmt: skip
