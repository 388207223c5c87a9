"""Thin walls of a closed tube: crippling of its corners, buckling in shear, and the shear stress they carry.

Needham cuts a section into angles, a square tube into four corners whose legs reach to the middles of its walls. An
angle cripples at a stress that falls with the mean of its legs over its thickness; the constant is the larger the
fewer of its edges are free. The tube cripples at the mean of its angles, never above the compressive yield strength.
Torsion runs round the closed wall (Bredt); a shear force is carried by the two walls along it, most at the middle.
Sources: Needham, Journal of the Aeronautical Sciences, April 1954, and Bruhn C7.2; Timoshenko & Gere; beam theory.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol
from rackwright.formulas.column import E, Fcy
from rackwright.formulas.plate_buckling import nu
from rackwright.formulas.section import I, Z

__all__ = [
    "enclosed_area",
    "needham_angle",
    "net_shear",
    "tube_shear_stress",
    "tube_torsion_stress",
    "wall_shear_strength",
]

_PI = np.pi


def needham_angle(Ce: Num, Fcy: Num, E: Num, a: Num, b: Num, t: Num) -> Num:
    return np.minimum(Ce * np.sqrt(Fcy * E) / ((a + b) / (2 * t)) ** 0.75, Fcy)


def wall_shear_strength(k: Num, E: Num, nu: Num, t: Num, b: Num, Fsu: Num) -> Num:
    return np.minimum(k * _PI**2 * E / (12 * (1 - nu**2)) * (t / b) ** 2, Fsu)


def enclosed_area(b: Num, h: Num, t: Num, r: Num) -> Num:
    return (b - t) * (h - t) - (4 - _PI) * np.maximum(r - t / 2, 0) ** 2


def tube_torsion_stress(T: Num, Am: Num, t: Num) -> Num:
    return T / (2 * Am * t)


def tube_shear_stress(V: Num, Z: Num, I: Num, t: Num) -> Num:
    return V * Z / (4 * I * t)


def net_shear(tau: Num, b: Num, D: Num) -> Num:
    return tau * b / (b - D)


b = Symbol("b", "length", "in", "width of the wall")
t = Symbol("t", "length", "in", "wall thickness")
tau = Symbol("tau", "stress", "ksi", "shear stress")
_WALL = Symbol("b", "length", "in", "width, along the bending axis")

CARDS = (
    Card(
        "needham_angle", "crippling of an angle, cut off at yield",
        (
            Symbol("Ce", "1", "", "0.366 with no edge free, 0.342 with one, 0.316 with two"), Fcy, E,
            Symbol("a", "length", "in", "one leg, to the middle of the other's thickness"),
            Symbol("b", "length", "in", "the other leg"), t,
        ),
        Symbol("Fcc", "stress", "ksi", "crippling stress"),
        "Min(Ce*sqrt(Fcy*E)/((a + b)/(2*t))**0.75, Fcy)", "Needham's angle method, Bruhn C7.2", "memory",
        needham_angle, limits=(Limit("(a + b)/(2*t)", high=100.0, why="as tested"),),
        note="of a square tube each leg is half the wall's middle line; its section cripples as its corners do",
    ),
    Card(
        "wall_shear_strength", "shear stress a long wall carries before it buckles or fails",
        (
            Symbol("k", "1", "", "5.35 for a long plate with both edges simply supported"), E, nu, t, b,
            Symbol("Fsu", "stress", "ksi", "ultimate shear strength"),
        ),
        Symbol("Fs", "stress", "ksi", "shear stress at buckling or failure"),
        "Min(k*pi**2*E/(12*(1 - nu**2))*(t/b)**2, Fsu)",
        "Timoshenko & Gere, Theory of Elastic Stability: long plate in shear", "memory", wall_shear_strength,
        limits=(Limit("t/b", high=0.5, why="a plate"), Limit("nu", 0, 0.5)),
    ),
    Card(
        "enclosed_area", "area enclosed by the middle line of a rectangular tube",
        (
            _WALL, Symbol("h", "length", "in", "depth"), t, Symbol("r", "length", "in", "outside corner radius"),
        ),
        Symbol("Am", "area", "in2", "enclosed area"), "(b - t)*(h - t) - (4 - pi)*Max(r - t/2, 0)**2",
        "plane geometry", "derived", enclosed_area,
        limits=(Limit("2*t/Min(b, h)", high=1, why="the walls leave a hole"), Limit("2*r/Min(b, h)", high=1)),
    ),
    Card(
        "tube_torsion_stress", "shear stress of torsion in a closed thin wall",
        (Symbol("T", "moment", "in*lbf", "torsion"), Symbol("Am", "area", "in2", "enclosed area"), t), tau,
        "T/(2*Am*t)", "Bredt", "derived", tube_torsion_stress,
        note="the mean through the wall, which counts at ultimate; the outer surface of a wall of b/12 has 16 % more",
    ),
    Card(
        "tube_shear_stress", "greatest shear stress of a tube under a shear force",
        (Symbol("V", "force", "lbf", "shear force"), Z, I, t), tau, "V*Z/(4*I*t)",
        "beam theory: V Q/(I 2 t), where Q of half the section is half its plastic modulus", "derived",
        tube_shear_stress,
    ),
    Card(
        "net_shear", "shear stress in a wall beside a hole",
        (tau, b, Symbol("D", "length", "in", "hole diameter as drilled")),
        Symbol("tn", "stress", "ksi", "mean shear stress of what the hole leaves"), "tau*b/(b - D)",
        "the same shear flow on less wall", "derived", net_shear, limits=(Limit("D/b", high=0.9, why="wall is left"),),
    ),
)  # fmt: skip
