"""Local buckling of a flat wall, as a long plate held at its edges.

k = 4 for a long plate simply supported on both edges under compression, which a wall of a square tube is.
Elastic: above the proportional limit a plasticity correction governs, so nothing above Fcy is reported.
Source: Timoshenko & Gere, Theory of Elastic Stability; Bruhn C5.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol
from rackwright.formulas.column import E, Fcy

__all__ = ["plate_buckling", "wall_strength"]

_PI = np.pi


def plate_buckling(k: Num, E: Num, nu: Num, t: Num, b: Num) -> Num:
    return k * _PI**2 * E / (12 * (1 - nu**2)) * (t / b) ** 2


def wall_strength(k: Num, E: Num, nu: Num, t: Num, b: Num, Fcy: Num) -> Num:
    return np.minimum(plate_buckling(k, E, nu, t, b), Fcy)


k = Symbol("k", "1", "", "plate coefficient: 4 with both edges simply supported, 0.43 with one free")
nu = Symbol("nu", "1", "", "Poisson's ratio")
t = Symbol("t", "length", "in", "wall thickness")
b = Symbol("b", "length", "in", "clear width of the wall")
_SOURCE = "Timoshenko & Gere, Theory of Elastic Stability: long plate in compression"
_FLAT = (Limit("t/b", high=0.5, why="a plate"), Limit("nu", 0, 0.5))

CARDS = (
    Card(
        "plate_buckling", "elastic buckling stress of a flat wall", (k, E, nu, t, b),
        Symbol("Fcr", "stress", "ksi", "elastic buckling stress"), "k*pi**2*E/(12*(1 - nu**2))*(t/b)**2",
        _SOURCE, "derived", plate_buckling, limits=_FLAT, note="elastic: not valid above the proportional limit",
    ),
    Card(
        "wall_strength", "compressive stress a flat wall carries before it buckles or yields",
        (k, E, nu, t, b, Fcy), Symbol("Fcc", "stress", "ksi", "stress at buckling or yield"),
        "Min(k*pi**2*E/(12*(1 - nu**2))*(t/b)**2, Fcy)", _SOURCE, "derived", wall_strength, limits=_FLAT,
        note="cut off at the compressive yield strength in place of a plasticity correction",
    ),
)  # fmt: skip
