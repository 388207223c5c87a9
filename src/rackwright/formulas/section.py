"""Sections: rounded tube, angle, flat and round.

A tube is a rounded rectangle less the rounded hole inside it; the inside corner radius is r - t, or none.
A rounded rectangle is a rectangle less four corner spandrels (a square of side r less its quarter disc).
An angle is two rectangles, with the fillet at its root added and the two toes rounded off. Torsion of a
closed tube is Bredt's, on the middle line; `h` is the depth in the direction of bending throughout.
Sources: plane geometry; Bredt's formula and the rectangle's torsion series as in handbooks of stress.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "angle_area",
    "angle_centroid",
    "angle_inertia",
    "axial_stress",
    "bending_stress",
    "fibre_stress",
    "radius_of_gyration",
    "rectangle_area",
    "rectangle_inertia",
    "rectangle_torsion",
    "round_area",
    "round_inertia",
    "round_torsion",
    "rounded_area",
    "rounded_inertia",
    "rounded_plastic",
    "section_modulus",
    "tube_area",
    "tube_inertia",
    "tube_plastic",
    "tube_shear_area",
    "tube_torsion",
]

_PI = np.pi


# --- rounded rectangle ---------------------------------------------------------------------------


def rounded_area(b: Num, h: Num, r: Num) -> Num:
    return b * h - (4 - _PI) * r**2


def rounded_inertia(b: Num, h: Num, r: Num) -> Num:
    square = r**4 / 12 + r**2 * (h / 2 - r / 2) ** 2
    disc = r**4 * (_PI / 16 - 4 / (9 * _PI)) + _PI * r**2 / 4 * (h / 2 - r + 4 * r / (3 * _PI)) ** 2
    return b * h**3 / 12 - 4 * (square - disc)


def rounded_plastic(b: Num, h: Num, r: Num) -> Num:
    square, disc = r**2 * (h / 2 - r / 2), _PI * r**2 / 4 * (h / 2 - r + 4 * r / (3 * _PI))
    return b * h**2 / 4 - 4 * (square - disc)


# --- tube ----------------------------------------------------------------------------------------


def tube_area(b: Num, h: Num, t: Num, r: Num) -> Num:
    return rounded_area(b, h, r) - rounded_area(b - 2 * t, h - 2 * t, np.maximum(r - t, 0))


def tube_inertia(b: Num, h: Num, t: Num, r: Num) -> Num:
    return rounded_inertia(b, h, r) - rounded_inertia(b - 2 * t, h - 2 * t, np.maximum(r - t, 0))


def tube_plastic(b: Num, h: Num, t: Num, r: Num) -> Num:
    return rounded_plastic(b, h, r) - rounded_plastic(b - 2 * t, h - 2 * t, np.maximum(r - t, 0))


def tube_torsion(b: Num, h: Num, t: Num, r: Num) -> Num:
    rm = np.maximum(r - t / 2, 0)
    enclosed = rounded_area(b - t, h - t, rm)
    return 4 * enclosed**2 * t / (2 * (b + h - 2 * t) - (8 - 2 * _PI) * rm)


def tube_shear_area(A: Num, nu: Num) -> Num:
    return A * 20 * (1 + nu) / (48 + 39 * nu)


# --- angle ---------------------------------------------------------------------------------------
# The spandrel of a fillet r: area (1 - pi/4) r2, centroid (10 - 3 pi)/(12 - 3 pi) r from its corner,
# and (1/3 - pi/16 - 1/(9 (4 - pi))) r4 about its own centroid.

_SPANDREL = 1 - _PI / 4
_TO_CENTROID = (10 - 3 * _PI) / (12 - 3 * _PI)
_OWN = 1 / 3 - _PI / 16 - 1 / (9 * (4 - _PI))


def angle_area(a: Num, b: Num, t: Num, r1: Num, r2: Num) -> Num:
    return t * (a + b - t) + _SPANDREL * (r1**2 - 2 * r2**2)


def angle_centroid(a: Num, b: Num, t: Num, r1: Num, r2: Num) -> Num:
    first = a**2 * t / 2 + (b - t) * t**2 / 2 + _SPANDREL * r1**2 * (t + _TO_CENTROID * r1)
    toes = _SPANDREL * r2**2 * (a + t - 2 * _TO_CENTROID * r2)
    return (first - toes) / angle_area(a, b, t, r1, r2)


def angle_inertia(a: Num, b: Num, t: Num, r1: Num, r2: Num) -> Num:
    legs = t * a**3 / 3 + (b - t) * t**3 / 3
    root = _OWN * r1**4 + _SPANDREL * r1**2 * (t + _TO_CENTROID * r1) ** 2
    toe_a = _OWN * r2**4 + _SPANDREL * r2**2 * (a - _TO_CENTROID * r2) ** 2
    toe_b = _OWN * r2**4 + _SPANDREL * r2**2 * (t - _TO_CENTROID * r2) ** 2
    at_centroid = angle_area(a, b, t, r1, r2) * angle_centroid(a, b, t, r1, r2) ** 2
    return legs + root - toe_a - toe_b - at_centroid


# --- flat and round ------------------------------------------------------------------------------


def rectangle_area(b: Num, h: Num) -> Num:
    return b * h


def rectangle_inertia(b: Num, h: Num) -> Num:
    return b * h**3 / 12


def rectangle_torsion(b: Num, t: Num) -> Num:
    return b * t**3 * (1 / 3 - 0.21 * t / b * (1 - t**4 / (12 * b**4)))


def round_area(d: Num) -> Num:
    return _PI * d**2 / 4


def round_inertia(d: Num) -> Num:
    return _PI * d**4 / 64


def round_torsion(d: Num) -> Num:
    return _PI * d**4 / 32


# --- from these ----------------------------------------------------------------------------------


def section_modulus(I: Num, c: Num) -> Num:
    return I / c


def radius_of_gyration(I: Num, A: Num) -> Num:
    return np.sqrt(I / A)


def axial_stress(N: Num, A: Num) -> Num:
    return np.divide(N, A)


def fibre_stress(fa: Num, f1: Num, f2: Num) -> Num:
    return np.add(np.add(fa, f1), f2)


def bending_stress(M: Num, I: Num, c: Num) -> Num:
    return M * c / I


# --- cards ---------------------------------------------------------------------------------------

b = Symbol("b", "length", "in", "width, along the bending axis")
h = Symbol("h", "length", "in", "depth, across the bending axis")
t = Symbol("t", "length", "in", "wall or leg thickness")
r = Symbol("r", "length", "in", "outside corner radius, 0 for sharp corners")
a = Symbol("a", "length", "in", "leg across the bending axis")
b_leg = Symbol("b", "length", "in", "leg along the bending axis")
r1 = Symbol("r1", "length", "in", "fillet radius at the root")
r2 = Symbol("r2", "length", "in", "radius at the toes")
d = Symbol("d", "length", "in", "diameter")
c = Symbol("c", "length", "in", "distance from the axis to the outer fibre")
A = Symbol("A", "area", "in2", "area")
I = Symbol("I", "second_moment", "in4", "second moment of area about the bending axis")
J = Symbol("J", "second_moment", "in4", "St Venant torsion constant")
Z = Symbol("Z", "section_modulus", "in3", "plastic modulus")
S = Symbol("S", "section_modulus", "in3", "elastic section modulus")

_GEOMETRY = "plane geometry: rectangles, corner spandrels and quarter discs"
_WALL = (
    Limit("t/b", high=0.499, why="the wall leaves a hole"),
    Limit("t/h", high=0.499, why="the wall leaves a hole"),
)
_ROUNDED = (
    Limit("2*r/b", low=0, high=1, why="the corners fit the side"),
    Limit("2*r/h", low=0, high=1, why="the corners fit the side"),
)
_INSIDE = (("bi", "b - 2*t"), ("hi", "h - 2*t"), ("ri", "Max(r - t, 0)"))
_ANGLE = (
    Limit("(t + r1)/a", high=1, why="the fillet ends on the leg"),
    Limit("(t + r1)/b", high=1, why="the fillet ends on the leg"),
    Limit("r2/t", low=0, high=1, why="the toe radius fits the leg"),
)
_SPAN = (
    ("k", "1 - pi/4"),
    ("m", "(10 - 3*pi)/(12 - 3*pi)"),
)
_RI = "{b}*{h}**3/12 - 4*({r}**4/12 + {r}**2*({h}/2 - {r}/2)**2 - {r}**4*(pi/16 - 4/(9*pi)) - pi*{r}**2/4*({h}/2 - {r} + 4*{r}/(3*pi))**2)"  # noqa: E501
_RZ = "{b}*{h}**2/4 - 4*({r}**2*({h}/2 - {r}/2) - pi*{r}**2/4*({h}/2 - {r} + 4*{r}/(3*pi)))"

CARDS = (
    Card(
        "rounded_area", "area of a rounded rectangle", (b, h, r), A, "b*h - (4 - pi)*r**2",
        _GEOMETRY, "derived", rounded_area, limits=_ROUNDED,
    ),
    Card(
        "rounded_inertia", "second moment of a rounded rectangle", (b, h, r), I,
        _RI.format(b="b", h="h", r="r"), _GEOMETRY, "derived", rounded_inertia, limits=_ROUNDED,
    ),
    Card(
        "rounded_plastic", "plastic modulus of a rounded rectangle", (b, h, r), Z,
        _RZ.format(b="b", h="h", r="r"), _GEOMETRY, "derived", rounded_plastic, limits=_ROUNDED,
    ),
    Card(
        "tube_area", "area of a rectangular tube", (b, h, t, r), A,
        "b*h - (4 - pi)*r**2 - (bi*hi - (4 - pi)*ri**2)", _GEOMETRY, "derived", tube_area,
        where=_INSIDE, limits=_WALL + _ROUNDED,
        note="nominal; wall tolerance and corner radii come from the mill drawing or from measurement",
    ),
    Card(
        "tube_inertia", "second moment of a rectangular tube", (b, h, t, r), I, "Io - Ii",
        _GEOMETRY, "derived", tube_inertia,
        where=(*_INSIDE, ("Io", _RI.format(b="b", h="h", r="r")), ("Ii", _RI.format(b="bi", h="hi", r="ri"))),
        limits=_WALL + _ROUNDED,
    ),
    Card(
        "tube_plastic", "plastic modulus of a rectangular tube", (b, h, t, r), Z, "Zo - Zi",
        _GEOMETRY, "derived", tube_plastic,
        where=(*_INSIDE, ("Zo", _RZ.format(b="b", h="h", r="r")), ("Zi", _RZ.format(b="bi", h="hi", r="ri"))),
        limits=_WALL + _ROUNDED,
    ),
    Card(
        "tube_torsion", "torsion constant of a rectangular tube", (b, h, t, r), J, "4*Am**2*t/p",
        "Bredt's formula for a closed thin wall, on the middle line", "derived", tube_torsion,
        where=(
            ("rm", "Max(r - t/2, 0)"),
            ("Am", "(b - t)*(h - t) - (4 - pi)*rm**2"),
            ("p", "2*(b + h - 2*t) - (8 - 2*pi)*rm"),
        ),
        limits=(*_WALL, *_ROUNDED, Limit("10*t/Min(b, h)", high=1, why="thin wall; about 2 % low at 1/12")),
    ),
    Card(
        "tube_shear_area", "shear area of a thin square tube", (A, Symbol("nu", "1", "", "Poisson's ratio")),
        Symbol("As", "area", "in2", "shear area for Timoshenko members"),
        "A*20*(1 + nu)/(48 + 39*nu)", "Cowper, The shear coefficient in Timoshenko's beam theory, 1966",
        "memory", tube_shear_area, limits=(Limit("nu", 0, 0.5),),
    ),
    Card(
        "angle_area", "area of an angle", (a, b_leg, t, r1, r2), A, "t*(a + b - t) + k*(r1**2 - 2*r2**2)",
        _GEOMETRY, "derived", angle_area, where=_SPAN[:1], limits=_ANGLE,
    ),
    Card(
        "angle_centroid", "centroid of an angle from its heel, along leg a", (a, b_leg, t, r1, r2),
        Symbol("y", "length", "in", "distance from the heel"),
        "(a**2*t/2 + (b - t)*t**2/2 + k*r1**2*(t + m*r1) - k*r2**2*(a + t - 2*m*r2))/A",
        _GEOMETRY, "derived", angle_centroid,
        where=(*_SPAN, ("A", "t*(a + b - t) + k*(r1**2 - 2*r2**2)")), limits=_ANGLE,
    ),
    Card(
        "angle_inertia", "second moment of an angle about its own centroid, axis along leg b",
        (a, b_leg, t, r1, r2), I,
        "t*a**3/3 + (b - t)*t**3/3 + q*r1**4 + k*r1**2*(t + m*r1)**2 - 2*q*r2**4"
        " - k*r2**2*(a - m*r2)**2 - k*r2**2*(t - m*r2)**2 - A*y**2",
        _GEOMETRY, "derived", angle_inertia,
        where=(
            *_SPAN,
            ("q", "1/3 - pi/16 - 1/(9*(4 - pi))"),
            ("A", "t*(a + b - t) + k*(r1**2 - 2*r2**2)"),
            ("y", "(a**2*t/2 + (b - t)*t**2/2 + k*r1**2*(t + m*r1) - k*r2**2*(a + t - 2*m*r2))/A"),
        ),
        limits=_ANGLE, note="about the axis along a leg; the principal axes of an angle lie between the legs",
    ),
    Card(
        "rectangle_area", "area of a flat", (b, h), A, "b*h", _GEOMETRY, "derived", rectangle_area,
    ),
    Card(
        "rectangle_inertia", "second moment of a flat", (b, h), I, "b*h**3/12", _GEOMETRY, "derived",
        rectangle_inertia,
    ),
    Card(
        "rectangle_torsion", "torsion constant of a flat", (b, t), J,
        "b*t**3*(1/3 - 0.21*t/b*(1 - t**4/(12*b**4)))", "Roark's Formulas for Stress and Strain, torsion table",
        "memory", rectangle_torsion, limits=(Limit("t/b", high=1, why="t is the shorter side"),),
    ),
    Card("round_area", "area of a round bar", (d,), A, "pi*d**2/4", _GEOMETRY, "derived", round_area),
    Card(
        "round_inertia", "second moment of a round bar", (d,), I, "pi*d**4/64", _GEOMETRY, "derived",
        round_inertia,
    ),
    Card(
        "round_torsion", "torsion constant of a round bar", (d,), J, "pi*d**4/32", _GEOMETRY, "derived",
        round_torsion,
    ),
    Card(
        "section_modulus", "elastic section modulus", (I, c), S, "I/c", "beam theory", "derived", section_modulus,
    ),
    Card(
        "radius_of_gyration", "radius of gyration", (I, A),
        Symbol("rho", "length", "in", "radius of gyration"), "sqrt(I/A)", "beam theory", "derived",
        radius_of_gyration,
    ),
    Card(
        "bending_stress", "stress in the outer fibre",
        (Symbol("M", "moment", "in*lbf", "bending moment"), I, c),
        Symbol("fb", "stress", "ksi", "bending stress"), "M*c/I", "beam theory", "derived", bending_stress,
    ),
    Card(
        "axial_stress", "stress of an axial force", (Symbol("N", "force", "lbf", "axial force, its size"), A),
        Symbol("fa", "stress", "ksi", "axial stress"), "N/A", "statics", "derived", axial_stress,
    ),
    Card(
        "fibre_stress", "stresses of the worst fibre added",
        (
            Symbol("fa", "stress", "ksi", "axial stress"), Symbol("f1", "stress", "ksi", "of the first bending above"),
            Symbol("f2", "stress", "ksi", "of the second bending above"),
        ),
        Symbol("f", "stress", "ksi", "stress that is judged"), "fa + f1 + f2", "beam theory", "derived", fibre_stress,
    ),
)  # fmt: skip
