"""Bends: setback, allowance, deduction, and the neutral axis found again from one test bend.

A is the angle the metal is bent through, never the angle between the legs. Legs are mold-line dimensions.
The neutral axis lies at K of the thickness; the trade constant 0.0078 is K = 0.447 in disguise. K belongs
to a heat, a die and a direction: one test bend gives it. Springback is the elastic-plastic estimate and is
low for metals that harden. The bend gets thinner by what its mid-plane is longer than the flat it came from.
Force of an air bend: published constants c are 1.42, 575 × 2000/(12 × 60 000) = 1.597 and 1.6, which differ by
13 percent: c is the machine's own, and a reserve is kept.
Sources: AC 43.13-1B paragraph 4-56, figure 4-3; Gardiner 1957 for springback; public press-brake guide pages for
the force; the rest is geometry.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "bend_allowance",
    "bend_deduction",
    "bend_force",
    "bend_thickness",
    "flat_length",
    "flat_length_mid",
    "k_from_test_bend",
    "k_uncertainty",
    "loaded_angle",
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


def flat_length_mid(a: Num, b: Num, A: Num, R: Num, K: Num, t: Num) -> Num:
    return a + b - 2 * np.tan(A / 2) * (R + t / 2) + bend_allowance(A, R, K, t)


def k_from_test_bend(F: Num, a: Num, b: Num, A: Num, R: Num, t: Num) -> Num:
    return ((F - a - b + 2 * setback(A, R, t)) / A - R) / t


def k_uncertainty(u: Num, t: Num, A: Num) -> Num:
    return np.sqrt(3) * u / (t * A)


def outer_strain(R: Num, t: Num) -> Num:
    return 1 / (2 * R / t + 1)


def springback_ratio(Fy: Num, E: Num, R: Num, t: Num) -> Num:
    x = Fy * R / (E * t)
    return 4 * x**3 - 3 * x + 1


def loaded_angle(A: Num, Ks: Num) -> Num:
    return A / Ks


def bend_thickness(R: Num, K: Num, t: Num) -> Num:
    return np.sqrt(R**2 + 2 * t * (R + K * t)) - R


def bend_force(c: Num, Ftu: Num, w: Num, t: Num, V: Num) -> Num:
    return c * Ftu * w * t**2 / V


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
        "flat_length_mid", "flat blank of one bend, its two reaches given on the mid-plane",
        (
            Symbol("a", "length", "in", "one end to where the mid-planes meet"),
            Symbol("b", "length", "in", "other end to where the mid-planes meet"), A, R, K, t,
        ),
        Symbol("F", "length", "in", "flat length"), "a + b - 2*tan(A/2)*(R + t/2) + A*(R + K*t)", _AC, "derived",
        flat_length_mid, limits=_BEND,
    ),
    Card(
        "k_from_test_bend", "neutral axis from one measured test bend",
        (Symbol("F", "length", "in", "flat length before bending"), a, b, A, R, t), K,
        "((F - a - b + 2*tan(A/2)*(R + t))/A - R)/t", _AC, "derived", k_from_test_bend, limits=(_ANGLE,),
        note="0.001 in of leg error moves K of a 45 degree, 1/4 in bend by 0.005",
    ),
    Card(
        "k_uncertainty", "standard uncertainty of K from one test bend",
        (Symbol("u", "length", "in", "standard uncertainty of the flat and of each leg"), t, A),
        Symbol("uK", "1", "", "standard uncertainty of K"), "sqrt(3)*u/(t*A)",
        "propagation through (F - a - b)/(A t)", "derived", k_uncertainty, limits=(_ANGLE,),
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
    Card(
        "loaded_angle", "angle under load that springs back to the angle wanted",
        (A, Symbol("Ks", "1", "", "final angle over loaded angle")),
        Symbol("Al", "angle", "deg", "angle bent to"), "A/Ks", "definition of the springback ratio", "derived",
        loaded_angle, limits=(Limit("Ks", 0.5, 1, "springs back, not forward"), _ANGLE),
    ),
    Card(
        "bend_thickness", "thickness at the bend, volume and width kept", (R, K, t),
        Symbol("tb", "length", "in", "thickness at the bend"), "sqrt(R**2 + 2*t*(R + K*t)) - R",
        "conservation of volume: A ((R + tb)² - R²)/2 = A (R + K t) t", "derived", bend_thickness,
        limits=(Limit("K", 0, 0.5, "the neutral axis lies in the inner half"),),
    ),
    Card(
        "bend_force", "force of an air bend",
        (
            Symbol("c", "1", "", "constant of the machine and die"),
            Symbol("Ftu", "stress", "ksi", "tensile strength of the metal as delivered"),
            Symbol("w", "length", "in", "length of the bend line"), t, Symbol("V", "length", "in", "die opening"),
        ),
        Symbol("P", "force", "kip", "force, without reserve"), "c*Ftu*w*t**2/V",
        "public press-brake guide pages: 575 t²/V tons a foot at 60 ksi is c = 1.597", "read", bend_force,
        limits=(Limit("c", 1.2, 2.2, "published constants lie from 1.4 to 1.7"),),
        note="2 kip are one US ton; keep a reserve of 20 percent or more",
    ),
)  # fmt: skip
