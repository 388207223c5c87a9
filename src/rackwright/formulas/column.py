"""Columns: Euler, the Johnson parabola, crippling, and what an axial load does to a bending moment.

Long columns fail at Euler's load. Short ones fall below it, on Johnson's parabola from the crippling
stress Fcc at zero length, tangent to Euler's curve at Fcc/2. L is the effective length. Bending under
compression grows by 1/(1 - P/PE), exactly so for a sine-shaped bow, closely for others.
Sources: Timoshenko & Gere, Theory of Elastic Stability; Bruhn, chapters C2 and C7.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol
from rackwright.formulas.section import A, I, t

__all__ = [
    "amplification",
    "beam_column_moment",
    "crippling_stress",
    "euler_load",
    "euler_stress",
    "johnson_euler",
    "shear_flexible_load",
    "slenderness",
    "transition_slenderness",
]

_PI = np.pi


def slenderness(L: Num, rho: Num) -> Num:
    return L / rho


def euler_load(E: Num, I: Num, L: Num) -> Num:
    return _PI**2 * E * I / L**2


def euler_stress(E: Num, s: Num) -> Num:
    return _PI**2 * E / s**2


def transition_slenderness(E: Num, Fcc: Num) -> Num:
    return _PI * np.sqrt(2 * E / Fcc)


def johnson_euler(E: Num, Fcc: Num, s: Num) -> Num:
    parabola = Fcc * (1 - Fcc * s**2 / (4 * _PI**2 * E))
    with np.errstate(divide="ignore"):
        euler = np.divide(_PI**2 * E, np.multiply(s, s))
    return np.where(s <= transition_slenderness(E, Fcc), parabola, euler)[()]


def crippling_stress(Fcy: Num, E: Num, t: Num, A: Num, g: Num) -> Num:
    return 0.56 * Fcy * (g * t**2 / A * np.sqrt(E / Fcy)) ** 0.85


def amplification(P: Num, PE: Num) -> Num:
    return 1 / (1 - P / PE)


def shear_flexible_load(PE: Num, As: Num, G: Num) -> Num:
    return 1 / (1 / PE + 1 / (As * G))


def beam_column_moment(w: Num, L: Num, P: Num, PE: Num) -> Num:
    u = _PI / 2 * np.sqrt(P / PE)
    return w * L**2 / 8 * 2 * (1 / np.cos(u) - 1) / u**2


E = Symbol("E", "stress", "Msi", "modulus of elasticity, in compression where it is known")
L = Symbol("L", "length", "in", "effective length")
s = Symbol("s", "1", "", "slenderness, effective length over radius of gyration")
Fcc = Symbol("Fcc", "stress", "ksi", "crippling stress, or the compressive yield strength if no wall buckles")
Fcy = Symbol("Fcy", "stress", "ksi", "compressive yield strength")
P = Symbol("P", "force", "lbf", "axial compression")
PE = Symbol("PE", "force", "lbf", "Euler load in the plane of bending")
_EULER = "Euler; Timoshenko & Gere, Theory of Elastic Stability"
_BELOW = (Limit("P/PE", low=0, high=0.999, why="below the buckling load"),)

CARDS = (
    Card(
        "slenderness", "slenderness of a column",
        (L, Symbol("rho", "length", "in", "radius of gyration")), s, "L/rho", "definition", "derived",
        slenderness,
    ),
    Card(
        "euler_load", "Euler buckling load", (E, I, L), Symbol("PE", "force", "lbf", "buckling load"),
        "pi**2*E*I/L**2", _EULER, "derived", euler_load,
        note="elastic; above half the crippling stress use johnson_euler",
    ),
    Card(
        "euler_stress", "Euler buckling stress", (E, s), Symbol("FE", "stress", "ksi", "buckling stress"),
        "pi**2*E/s**2", _EULER, "derived", euler_stress,
        note="elastic; above half the crippling stress use johnson_euler",
    ),
    Card(
        "transition_slenderness", "slenderness where the parabola meets Euler's curve", (E, Fcc), s,
        "pi*sqrt(2*E/Fcc)", "Johnson parabola tangent to Euler's curve at Fcc/2", "derived",
        transition_slenderness,
    ),
    Card(
        "johnson_euler", "column strength, short and long", (E, Fcc, s),
        Symbol("Fc", "stress", "ksi", "column stress"),
        "Piecewise((Fcc*(1 - Fcc*s**2/(4*pi**2*E)), s <= pi*sqrt(2*E/Fcc)), (pi**2*E/s**2, True))",
        "Johnson parabola tangent to Euler's curve at Fcc/2; Bruhn chapter C7", "memory", johnson_euler,
        limits=(Limit("s", low=0, high=200, why="longer columns are not built"),),
    ),
    Card(
        "crippling_stress", "crippling of a thin section, Gerard",
        (Fcy, E, t, A, Symbol("g", "1", "", "flanges plus cuts: 12 for a square tube")),
        Symbol("Fcs", "stress", "ksi", "crippling stress"),
        "0.56*Fcy*(g*t**2/A*sqrt(E/Fcy))**0.85", "Gerard's method, Bruhn chapter C7", "memory",
        crippling_stress,
        note="a second opinion beside needham_angle, which the margins use: Bruhn cuts it off at 0.8 Fcy for tubes, a "
        "blanket value for sections without tests",
    ),
    Card(
        "amplification", "growth of a bending moment under compression", (P, PE),
        Symbol("k", "1", "", "factor on the first-order moment"), "1/(1 - P/PE)", _EULER, "derived",
        amplification, limits=_BELOW,
    ),
    Card(
        "shear_flexible_load", "buckling load of a shear-flexible column",
        (PE, Symbol("As", "area", "in2", "shear area"), Symbol("G", "stress", "Msi", "shear modulus")),
        Symbol("Pcr", "force", "lbf", "buckling load"), "1/(1/PE + 1/(As*G))", "Engesser", "memory",
        shear_flexible_load,
    ),
    Card(
        "beam_column_moment", "greatest moment of a pinned beam-column under uniform load",
        (Symbol("w", "line_load", "lbf/in", "uniform load"), L, P, PE),
        Symbol("M", "moment", "in*lbf", "moment at mid-span"), "w*L**2/8*2*(1/cos(u) - 1)/u**2",
        "Timoshenko & Gere: secant form", "derived", beam_column_moment,
        where=(("u", "pi/2*sqrt(P/PE)"),), limits=(Limit("P/PE", low=1e-6, high=0.999, why="below the buckling load"),),
    ),
)  # fmt: skip
