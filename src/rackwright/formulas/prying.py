"""Prying: a plate pulled off beside its bolts bends, presses with its edge, and adds that push to the bolts.

The plate is a tee's flange: pulled at distance b from the bolt, its edge a beyond it, each bolt with a length p of
plate. At most it bends as far at the bolt line, less the hole, as at the pull (alpha = 1): then the push is greatest
and the plate's moment least. Both bounds stay proportional to the load; alpha of a plate just thick enough is less.
Sources: Fisher & Struik; Thornton, Prying Action: a General Treatment, AISC Engineering Journal 1985.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["pried_plate", "pried_tension", "prying_alpha", "prying_thickness"]


def pried_tension(T: Num, b: Num, a: Num, p: Num, D: Num, Dh: Num) -> Num:
    delta = 1 - Dh / p
    return T * (1 + (b - D / 2) / (a + D / 2) * delta / (1 + delta))


def pried_plate(T: Num, b: Num, p: Num, D: Num, Dh: Num, t: Num) -> Num:
    return 6 * T * (b - D / 2) / ((2 - Dh / p) * p * t**2)


def prying_alpha(T: Num, B: Num, b: Num, a: Num, D: Num) -> Num:
    return np.minimum(np.maximum((B / T - 1) * (a + D / 2) / (b - D / 2), 0), 1)


def prying_thickness(T: Num, b: Num, p: Num, D: Num, F: Num, delta: Num, alpha: Num) -> Num:
    return np.sqrt(4 * T * (b - D / 2) / (p * F * (1 + delta * alpha)))


T = Symbol("T", "force", "lbf", "pull of the load on one bolt")
b = Symbol("b", "length", "in", "from the bolt to where the plate is pulled")
a = Symbol("a", "length", "in", "from the bolt to the plate's edge, at most 1.25 b")
p = Symbol("p", "length", "in", "length of plate for each bolt")
D = Symbol("D", "length", "in", "bolt diameter")
_THORNTON = "Thornton, AISC Engineering Journal 1985; Fisher & Struik"
_APART = Limit("D/(2*b)", high=0.9, why="the pull lies beside the bolt")

CARDS = (
    Card(
        "pried_tension", "tension of a bolt with the most that prying adds",
        (T, b, a, p, D, Symbol("Dh", "length", "in", "hole diameter")),
        Symbol("B", "force", "lbf", "tension of the bolt"), "T*(1 + (b - D/2)/(a + D/2)*delta/(1 + delta))",
        f"{_THORNTON}, with alpha = 1", "derived", pried_tension, where=(("delta", "1 - Dh/p"),),
        limits=(_APART, Limit("Dh/p", high=0.9, why="plate is left"), Limit("a/b", high=1.25, why="as tested")),
        note="upper bound, whatever the plate's thickness: it stays proportional to the load",
    ),
    Card(
        "pried_plate", "bending stress of a plate beside its bolts, with the most of prying",
        (
            T, b, p, D, Symbol("Dh", "length", "in", "hole diameter"),
            Symbol("t", "length", "in", "thickness of the plate"),
        ),
        Symbol("fb", "stress", "ksi", "bending stress, elastic"), "6*T*(b - D/2)/((1 + delta)*p*t**2)",
        f"{_THORNTON}, with alpha = 1, elastic", "derived", pried_plate, where=(("delta", "1 - Dh/p"),),
        limits=(_APART, Limit("Dh/p", high=0.9, why="plate is left")),
        note="with pried_tension in the bolts: the two are in balance",
    ),
    Card(
        "prying_alpha", "share of the bolt line's moment that a bolt's strength allows",
        (T, Symbol("B", "force", "lbf", "tension strength of the bolt"), b, a, D), Symbol("alpha", "1", "", "0 to 1"),
        "Min(Max((B/T - 1)*(a + D/2)/(b - D/2), 0), 1)",
        "Thornton; Handbook of Structural Steel Connection Design and Details, p. 321", "read", prying_alpha,
        limits=(_APART,), note="for a plate just thick enough",
    ),
    Card(
        "prying_thickness", "thickness that a plate needs beside its bolts",
        (
            T, b, p, D, Symbol("F", "stress", "ksi", "strength of the plate, with the code's factor"),
            Symbol("delta", "1", "", "net over gross length at the bolt line"),
            Symbol("alpha", "1", "", "share of the bolt line's moment, 0 to 1"),
        ),
        Symbol("t", "length", "in", "thickness"), "sqrt(4*T*(b - D/2)/(p*F*(1 + delta*alpha)))", _THORNTON, "derived",
        prying_thickness, limits=(_APART,),
    ),
)  # fmt: skip
