"""Bends: setback, allowance, deduction, and the neutral axis found again from one test bend.

A is the angle the metal is bent through, never the angle between the legs. Legs are mold-line dimensions.
The neutral axis lies at K of the thickness; the trade constant 0.0078 is K = 0.447 in disguise. K belongs
to a heat, a die and a direction: one test bend gives it. Springback is the elastic-plastic estimate and is
low for metals that harden.
Sources: AC 43.13-1B paragraph 4-56, figure 4-3; Gardiner 1957 for springback.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "bend_allowance",
    "bend_deduction",
    "flat_length",
    "k_from_test_bend",
    "outer_strain",
    "setback",
    "springback_ratio",
]


def setback(A: Num, R: Num, t: Num) -> Num:
    return np.tan(A / 2) * (R + t)


def bend_allowance(A: Num, R: Num, K: Num, t: Num) -> Num:
    return A * (R + K * t)


def bend_deduction(A: Num, R: Num, K: Num, t: Num) -> Num:
    return 2 * setback(A, R, t) - bend_allowance(A, R, K, t)


def flat_length(a: Num, b: Num, A: Num, R: Num, K: Num, t: Num) -> Num:
    return a + b - bend_deduction(A, R, K, t)


def k_from_test_bend(F: Num, a: Num, b: Num, A: Num, R: Num, t: Num) -> Num:
    return ((F - a - b + 2 * setback(A, R, t)) / A - R) / t


def outer_strain(R: Num, t: Num) -> Num:
    return 1 / (2 * R / t + 1)


def springback_ratio(Fy: Num, E: Num, R: Num, t: Num) -> Num:
    x = Fy * R / (E * t)
    return 4 * x**3 - 3 * x + 1


A = Symbol("A", "angle", "deg", "angle bent through")
R = Symbol("R", "length", "in", "inside radius")
t = Symbol("t", "length", "in", "thickness")
K = Symbol("K", "1", "", "neutral axis over thickness, from the inside")
a = Symbol("a", "length", "in", "one leg, to the mold line")
b = Symbol("b", "length", "in", "other leg, to the mold line")
_AC = "FAA AC 43.13-1B paragraph 4-56"
_ANGLE = Limit("A*180/pi", 0, 170, "degrees bent through")
_BEND = (_ANGLE, Limit("K", 0, 0.5, "the neutral axis lies in the inner half"))

CARDS = (
    Card(
        "setback", "mold point to bend tangent line", (A, R, t), Symbol("SB", "length", "in", "setback"),
        "tan(A/2)*(R + t)", _AC, "read", setback, limits=(_ANGLE,),
    ),
    Card(
        "bend_allowance", "length of metal in a bend", (A, R, K, t),
        Symbol("BA", "length", "in", "bend allowance"), "A*(R + K*t)", _AC, "read", bend_allowance, limits=_BEND,
    ),
    Card(
        "bend_deduction", "legs less flat length", (A, R, K, t), Symbol("BD", "length", "in", "bend deduction"),
        "2*tan(A/2)*(R + t) - A*(R + K*t)", _AC, "read", bend_deduction, limits=_BEND,
    ),
    Card(
        "flat_length", "flat blank of two legs and one bend", (a, b, A, R, K, t),
        Symbol("F", "length", "in", "flat length"), "a + b - 2*tan(A/2)*(R + t) + A*(R + K*t)", _AC, "derived",
        flat_length, limits=_BEND,
    ),
    Card(
        "k_from_test_bend", "neutral axis from one measured test bend",
        (Symbol("F", "length", "in", "flat length before bending"), a, b, A, R, t), K,
        "((F - a - b + 2*tan(A/2)*(R + t))/A - R)/t", _AC, "derived", k_from_test_bend, limits=(_ANGLE,),
        note="0.001 in of leg error moves K of a 45 degree, 1/4 in bend by 0.005",
    ),
    Card(
        "outer_strain", "strain of the outer fibre", (R, t), Symbol("e", "1", "", "strain"), "1/(2*R/t + 1)",
        "geometry, neutral axis at mid-thickness", "derived", outer_strain,
        note="compare with the elongation of the certificate",
    ),
    Card(
        "springback_ratio", "inside radius under load over radius after it springs back",
        (
            Symbol("Fy", "stress", "ksi", "yield strength"), Symbol("E", "stress", "Msi", "modulus of elasticity"),
            R, t,
        ),
        Symbol("Ks", "1", "", "loaded radius over final radius, final angle over loaded angle"), "4*x**3 - 3*x + 1",
        "Gardiner 1957, elastic - perfectly plastic", "read", springback_ratio,
        where=(("x", "Fy*R/(E*t)"),), limits=(Limit("Fy*R/(E*t)", 0, 0.5, "the bend has yielded"),),
    ),
)  # fmt: skip
