"""Prying: a plate pulled off beside its bolts bends, presses with its edge, and adds that push to the bolts.

The plate is a tee's flange: pulled at distance b from the bolt, its edge a beyond it, each bolt with a length p of
plate. At most it bends as far at the bolt line, less the hole, as at the pull (alpha = 1): then the push is greatest
and the plate's moment least. Both bounds stay proportional to the load; alpha of a plate just thick enough is less.

A panel screwed along two edges turns at its screws as it bows: pulled off, its outer edge presses on what it is screwed
to; pressed down, it turns over the toe of the leg that carries it and lifts at the screw. At most both ends are held
from turning: the fixed-end moment then is the couple of screw and edge, or of toe, screw and edge.
Sources: Fisher & Struik; Thornton, Prying Action: a General Treatment, AISC Engineering Journal 1985; beam tables.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["fixed_end_moment", "fixed_end_reaction", "panel_screw", "pried_plate", "pried_tension", "prying_alpha",
           "prying_thickness"]  # fmt: skip


def pried_tension(T: Num, b: Num, a: Num, p: Num, D: Num, Dh: Num) -> Num:
    delta = 1 - Dh / p
    return T * (1 + (b - D / 2) / (a + D / 2) * delta / (1 + delta))


def pried_plate(T: Num, b: Num, p: Num, D: Num, Dh: Num, t: Num) -> Num:
    return 6 * T * (b - D / 2) / ((2 - Dh / p) * p * t**2)


def prying_alpha(T: Num, B: Num, b: Num, a: Num, D: Num) -> Num:
    return np.minimum(np.maximum((B / T - 1) * (a + D / 2) / (b - D / 2), 0), 1)


def prying_thickness(T: Num, b: Num, p: Num, D: Num, F: Num, delta: Num, alpha: Num) -> Num:
    return np.sqrt(4 * T * (b - D / 2) / (p * F * (1 + delta * alpha)))


def fixed_end_moment(P: Num, L: Num, x: Num) -> Num:
    return P * x * (L - x) ** 2 / L**2


def fixed_end_reaction(P: Num, L: Num, x: Num) -> Num:
    return P * (L - x) ** 2 * (L + 2 * x) / L**3


def panel_screw(R: Num, Mu: Num, Md: Num, e: Num, c: Num) -> Num:
    return R + Mu / e + Md * (3 / (2 * c) + 1 / (2 * e))


T = Symbol("T", "force", "lbf", "pull of the load on one bolt")
b = Symbol("b", "length", "in", "from the bolt to where the plate is pulled")
a = Symbol("a", "length", "in", "from the bolt to the plate's edge, at most 1.25 b")
p = Symbol("p", "length", "in", "length of plate for each bolt")
D = Symbol("D", "length", "in", "bolt diameter")
P = Symbol("P", "force", "lbf", "load between the ends")
L = Symbol("L", "length", "in", "span")
x = Symbol("x", "length", "in", "from this end to the load")
_IN_SPAN = (Limit("x/L", low=0.0, high=1.0, why="the load lies in the span"),)
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
    Card(
        "fixed_end_moment", "moment at the end of a beam fixed at both, one load anywhere", (P, L, x),
        Symbol("M", "moment", "in*lbf", "moment at this end"), "P*x*(L - x)**2/L**2", "beam tables", "derived",
        fixed_end_moment, limits=_IN_SPAN,
    ),
    Card(
        "fixed_end_reaction", "reaction at the end of a beam fixed at both, one load anywhere", (P, L, x),
        Symbol("R", "force", "lbf", "reaction at this end"), "P*(L - x)**2*(L + 2*x)/L**3", "beam tables", "derived",
        fixed_end_reaction, limits=_IN_SPAN,
    ),
    Card(
        "panel_screw", "pull of a screw at a panel's edge, with the most that prying adds", (
            Symbol("R", "force", "lbf", "share of what pulls the panel off, as reaction of the fixed end"),
            Symbol("Mu", "moment", "in*lbf", "share of the fixed-end moment of what pulls off, screw to screw"),
            Symbol("Md", "moment", "in*lbf", "share of the fixed-end moment of what presses, toe to toe"),
            Symbol("e", "length", "in", "from the screw to the panel's edge"),
            Symbol("c", "length", "in", "from the screw to the toe of the leg that carries"),
        ),
        Symbol("T", "force", "lbf", "pull of the screw"), "R + Mu/e + Md*(3/(2*c) + 1/(2*e))",
        "balance of an end fixed by screw and edge; pressed, with the screw's half as carry-over", "derived",
        panel_screw, note="upper bound: an angle that turns, a screw that stretches and a panel that yields pry less",
    ),
)  # fmt: skip
