"""Thin plates and legs in bending: the concentrated load on a long plate, the leg of an angle, prying.

Small deflections: once a plate moves by more than about half its thickness it also carries as a membrane, and these
formulas give too much stress and motion. A load on a very small patch has the equivalent radius of thick plates.
Sources: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells; Roark's Formulas for Stress and Strain;
T. J. Jaramillo, J. Applied Mechanics 17 (1950) 67 for the cantilever plate of infinite length.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["added_moment", "beam_deflection", "leg_root_stress", "patch_radius", "plate_rigidity", "plate_stress",
           "pried_root", "prying_ratio", "strip_plate_moment", "strip_plate_moment_along"]  # fmt: skip


def plate_rigidity(E: Num, nu: Num, t: Num) -> Num:
    return E * t**3 / (12 * (1 - nu**2))


def patch_radius(c: Num, t: Num) -> Num:
    return np.maximum(c, np.sqrt(1.6 * c**2 + t**2) - 0.675 * t)


def strip_plate_moment(P: Num, a: Num, xi: Num, c: Num, nu: Num) -> Num:
    return P / (4 * np.pi) * ((1 + nu) * np.log(2 * a * np.sin(np.pi * xi / a) / (np.pi * c)) + 1)


def strip_plate_moment_along(P: Num, a: Num, xi: Num, c: Num, nu: Num) -> Num:
    return P / (4 * np.pi) * ((1 + nu) * np.log(2 * a * np.sin(np.pi * xi / a) / (np.pi * c)) + nu)


def beam_deflection(P: Num, L: Num, x: Num, c: Num, E: Num, I: Num) -> Num:
    u, v = np.minimum(x, c), L - np.maximum(x, c)
    return P * u * v * (L**2 - u**2 - v**2) / (6 * E * I * L)


def plate_stress(m: Num, t: Num) -> Num:
    return 6 * m / t**2


def added_moment(m1: Num, m2: Num) -> Num:
    return np.add(m1, m2)


def leg_root_stress(P: Num, t: Num) -> Num:
    return 6 * 0.509 * P / t**2


def prying_ratio(b: Num, a: Num) -> Num:
    return 3 * b**2 / (2 * a * (3 * b + a))


def pried_root(b: Num, a: Num) -> Num:
    return 1 - 3 * b / (2 * (3 * b + a))


t = Symbol("t", "length", "in", "thickness")
nu = Symbol("nu", "1", "", "Poisson's ratio")
P = Symbol("P", "force", "lbf", "load")
a = Symbol("a", "length", "in", "span between the two supported edges")
xi = Symbol("xi", "length", "in", "from one supported edge to the load")
c = Symbol("c", "length", "in", "radius of the patch that is loaded")
m = Symbol("m", "force", "lbf", "moment per unit length (in·lbf/in)")
_TWK = "Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., article 35"
_LOG = "P/(4*pi)*((1 + nu)*log(2*a*sin(pi*xi/a)/(pi*c))"
_STRIP = (P, a, xi, c, nu)
_IN_SPAN = (
    Limit("xi/a", low=0.02, high=0.98),
    Limit("2*a*sin(pi*xi/a)/(pi*c)", low=1.0, why="the patch lies inside the span"),
    Limit("nu", low=0.0, high=0.5),
)

CARDS = (
    Card(
        "plate_rigidity", "bending stiffness of a plate",
        (Symbol("E", "stress", "Msi", "modulus"), nu, t), Symbol("D", "moment", "in*lbf", "rigidity"),
        "E*t**3/(12*(1 - nu**2))", _TWK, "derived", plate_rigidity,
        limits=(Limit("nu", low=0.0, high=0.5),),
    ),
    Card(
        "patch_radius", "radius that a load on a small patch acts with", (c, t),
        Symbol("ce", "length", "in", "equivalent radius"), "Max(c, sqrt(1.6*c**2 + t**2) - 0.675*t)",
        "Westergaard, as in Roark, table of flat plates, definition of r'o", "read", patch_radius,
        note="the larger of both: they cross near c = 0.5 t",
    ),
    Card(
        "strip_plate_moment", "moment across a long plate under a load between its supported edges", _STRIP, m,
        f"{_LOG} + 1)", _TWK, "memory", strip_plate_moment, limits=_IN_SPAN,
    ),
    Card(
        "added_moment", "moments per unit length added",
        (Symbol("m1", "force", "lbf", "as above"), Symbol("m2", "force", "lbf", "what other feet and items add there")),
        m, "m1 + m2", "superposition", "derived", added_moment,
    ),
    Card(
        "strip_plate_moment_along", "moment along a long plate under a load between its supported edges", _STRIP, m,
        f"{_LOG} + nu)", _TWK, "memory", strip_plate_moment_along, limits=_IN_SPAN,
    ),
    Card(
        "beam_deflection", "deflection of a beam on two supports under a load", (
            P, Symbol("L", "length", "in", "span"), Symbol("x", "length", "in", "from one support to the place"),
            Symbol("c", "length", "in", "from that support to the load"), Symbol("E", "stress", "Msi", "modulus"),
            Symbol("I", "second_moment", "in4", "second moment of area"),
        ),
        Symbol("w", "length", "in", "deflection at the place"), "P*u*v*(L**2 - u**2 - v**2)/(6*E*I*L)",
        "beam tables, one load anywhere", "derived", beam_deflection,
        where=(("u", "Min(x, c)"), ("v", "L - Max(x, c)")),
        limits=(Limit("x/L", low=0.0, high=1.0), Limit("c/L", low=0.0, high=1.0)),
    ),
    Card(
        "plate_stress", "bending stress in a plate", (m, t), Symbol("fb", "stress", "ksi", "bending stress"),
        "6*m/t**2", "elastic bending of a strip of unit width", "derived", plate_stress,
    ),
    Card(
        "leg_root_stress", "root of a long leg under a load at its edge", (P, t),
        Symbol("fb", "stress", "ksi", "bending stress at the root"), "6*0.509*P/t**2",
        "Jaramillo 1950, as in Roark, cantilever plate of infinite length", "memory", leg_root_stress,
        note="whatever the leg's reach; a load nearer the root gives less; for a Poisson's ratio of 0.3",
    ),
    Card(
        "prying_ratio", "prying of a bolt through a leg whose edge bears", (
            Symbol("b", "length", "in", "from the root of the leg to the bolt"),
            Symbol("a", "length", "in", "from the bolt to the edge that bears"),
        ),
        Symbol("q", "1", "", "prying force over the bolt's share of the pull"), "3*b**2/(2*a*(3*b + a))",
        "elastic beam: guided at the root, held at the bolt, bearing at its edge; the other part rigid", "derived",
        prying_ratio, note="a bolt that stretches is pried less",
    ),
    Card(
        "pried_root", "root moment of a leg whose edge bears, over that of a free cantilever", (
            Symbol("b", "length", "in", "from the root of the leg to the bolt"),
            Symbol("a", "length", "in", "from the bolt to the edge that bears"),
        ),
        Symbol("r", "1", "", "share"), "1 - 3*b/(2*(3*b + a))", "the same beam as prying_ratio: 1 - q*a/b", "derived",
        pried_root,
    ),
)  # fmt: skip
