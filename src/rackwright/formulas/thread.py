"""Stripping of unified threads: the areas that shear in bolt and in nut or tapped metal, at the worst of their limits.

The bolt's thread shears at the minor diameter of the metal around it, that metal at the major diameter of the bolt;
each turn leaves less than its pitch, for the flanks slope by 30 degrees. The limits of size are those of the thread
class that the drawing calls: class 3A and 3B for aircraft bolts and nuts.
Sources: FED-STD-H28/2 and ASME B1.1 appendix B, thread shear areas; formulas of the unified thread standard.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol
from rackwright.formulas.fastener import D, Fsu, Pu

__all__ = [
    "basic_minor_internal",
    "basic_pitch",
    "external_strip",
    "internal_strip",
    "major_tolerance",
    "minor_tolerance",
    "pitch_tolerance",
    "root_shear",
    "strip_strength",
]

_PI = np.pi
_TAN30 = 3**-0.5


def basic_pitch(D: Num, p: Num) -> Num:
    return D - 0.75 * 0.75**0.5 * p


def basic_minor_internal(D: Num, p: Num) -> Num:
    return D - 1.25 * 0.75**0.5 * p


def pitch_tolerance(C: Num, D: Num, Le: Num, p: Num) -> Num:
    # the rule is of inches
    inches = (
        0.0015 * (D / 0.0254) ** (1 / 3) + 0.0015 * np.sqrt(Le / 0.0254) + 0.015 * (p / 0.0254) ** (2 / 3)
    )
    return 0.0254 * C * inches


def major_tolerance(p: Num) -> Num:
    return 0.0254 * 0.06 * (p / 0.0254) ** (2 / 3)


def minor_tolerance(D: Num, p: Num) -> Num:
    inches = 0.05 * (p / 0.0254) ** (2 / 3) + 0.03 * p / D - 0.002
    return np.minimum(0.0254 * inches, 0.394 * p)


def root_shear(Fsu: Num, D: Num, p: Num) -> Num:
    return Fsu * _PI / 4 * (D - 0.75 * 3**0.5 * p) ** 2


def external_strip(Le: Num, p: Num, Kn: Num, Es: Num) -> Num:
    return _PI * Le / p * Kn * (p / 2 + _TAN30 * (Es - Kn))


def internal_strip(Le: Num, p: Num, Ds: Num, En: Num) -> Num:
    return _PI * Le / p * Ds * (p / 2 + _TAN30 * (Ds - En))


def strip_strength(Fsu: Num, A: Num) -> Num:
    return Fsu * A


p = Symbol("p", "length", "in", "pitch")
Le = Symbol("Le", "length", "in", "length of engagement of full threads")
A = Symbol("A", "area", "in2", "area that shears")
_STANDARD = "FED-STD-H28/2 and ASME B1.1, thread strength"
_PITCH = (Limit("p/D", low=0.03, high=0.3, why="unified screws"),)

CARDS = (
    Card(
        "basic_pitch", "basic pitch diameter", (D, p), Symbol("E", "length", "in", "pitch diameter"),
        "D - 3/4*sqrt(3)/2*p", "unified thread form", "derived", basic_pitch, limits=_PITCH,
    ),
    Card(
        "basic_minor_internal", "basic minor diameter of an internal thread", (D, p),
        Symbol("K", "length", "in", "minor diameter"), "D - 5/4*sqrt(3)/2*p", "unified thread form", "derived",
        basic_minor_internal, limits=_PITCH,
    ),
    Card(
        "pitch_tolerance", "tolerance of the pitch diameter",
        (Symbol("C", "1", "", "class: 1 for 2A, 0.75 for 3A, 1.3 for 2B, 0.975 for 3B"), D, Le, p),
        Symbol("T", "length", "in", "tolerance"),
        "0.0254*C*(0.0015*(D/0.0254)**(1/3) + 0.0015*sqrt(Le/0.0254) + 0.015*(p/0.0254)**(2/3))",
        "ASME B1.1, tolerance of the pitch diameter", "memory", pitch_tolerance, limits=_PITCH,
        note="in inches inside, as the standard has it; tables round to four places",
    ),
    Card(
        "major_tolerance", "tolerance of the major diameter of a bolt's thread, classes 2A and 3A", (p,),
        Symbol("T", "length", "in", "tolerance"), "0.0254*0.06*(p/0.0254)**(2/3)",
        "ASME B1.1, tolerance of the major diameter", "memory", major_tolerance,
    ),
    Card(
        "minor_tolerance", "tolerance of the minor diameter of an internal thread, class 3B", (D, p),
        Symbol("T", "length", "in", "tolerance"),
        "Min(0.0254*(0.05*(p/0.0254)**(2/3) + 0.03*p/D - 0.002), 0.394*p)",
        "ASME B1.1, tolerance of the minor diameter", "memory", minor_tolerance, limits=_PITCH,
        note="fine threads up to 1 in; the least of the standard is not reached there",
    ),
    Card(
        "root_shear", "shear of a bolt through its threads", (Fsu, D, p),
        Symbol("Ps", "force", "lbf", "ultimate shear strength"), "Fsu*pi/4*(D - 3/4*sqrt(3)*p)**2",
        "ASME B1.1, area at the minor diameter at D - 2 hb", "memory", root_shear, limits=_PITCH,
        note="where threads lie in the shear plane",
    ),
    Card(
        "external_strip", "area of a bolt's thread that shears",
        (
            Le, p, Symbol("Kn", "length", "in", "greatest minor diameter of the internal thread"),
            Symbol("Es", "length", "in", "least pitch diameter of the external thread"),
        ),
        A, "pi*Le/p*Kn*(p/2 + (Es - Kn)/sqrt(3))", _STANDARD, "memory", external_strip,
        limits=(Limit("(Kn - Es)/p", high=0.8, why="the threads engage"),),
    ),
    Card(
        "internal_strip", "area of a nut's or tapped metal's thread that shears",
        (
            Le, p, Symbol("Ds", "length", "in", "least major diameter of the external thread"),
            Symbol("En", "length", "in", "greatest pitch diameter of the internal thread"),
        ),
        A, "pi*Le/p*Ds*(p/2 + (Ds - En)/sqrt(3))", _STANDARD, "memory", internal_strip,
        limits=(Limit("(En - Ds)/p", high=0.8, why="the threads engage"),),
    ),
    Card(
        "strip_strength", "strength of a thread against stripping", (Fsu, A), Pu, "Fsu*A", "definition", "derived",
        strip_strength,
        note="threaded inserts hold what their maker's document states, never this",
    ),
)  # fmt: skip
