"""A solid square spigot standing on its block: shear, torsion, and the peak of stress in the fillet at its root.

A rectangle carries a shear force with one and a half times the mean stress at its middle, torsion with most at the
middle of its faces. A shoulder with a fillet raises the elastic stress of bending by Kt, read from published charts
of a flat bar that steps down on two sides. Ductile metal yields there before it breaks: Kt belongs to limit
loads, to lasting set and to fatigue, and is not put on top of an ultimate static stress.
Sources: statics; the torsion of a square (Saint-Venant), and the shoulder's fit as in Roark's Formulas for Stress and
Strain, table 17.1, which follows Peterson's charts.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["fillet_factor", "rectangle_shear", "square_torsion"]

#: rows of C1 to C4 as 1, √(h/r), h/r: up to h/r = 2, and beyond
_LOW = ((1.007, 1.000, -0.031), (-0.270, -2.404, 0.749), (0.677, 1.133, -0.904), (-0.414, 0.271, 0.186))
_HIGH = ((1.042, 0.982, -0.036), (-3.599, 1.619, -0.431), (6.084, -5.607, 1.158), (-2.527, 3.006, -0.691))


def rectangle_shear(V: Num, b: Num, h: Num) -> Num:
    return 1.5 * V / (b * h)


def square_torsion(T: Num, a: Num) -> Num:
    return 4.808 * T / a**3


def fillet_factor(h: Num, r: Num, D: Num) -> Num:
    q, x = np.asarray(h / r), 2 * np.asarray(h) / D
    low, high = (sum((a + b * np.sqrt(q) + c * q) * x**n for n, (a, b, c) in enumerate(rows))
                 for rows in (_LOW, _HIGH))  # fmt: skip
    return np.where(q <= 2, low, high)[()]


def _printed(rows: tuple[tuple[float, float, float], ...]) -> str:
    terms = [f"({a:g} + ({b:g})*sqrt(h/r) + ({c:g})*h/r)*(2*h/D)**{n}" for n, (a, b, c) in enumerate(rows)]
    return " + ".join(terms)


CARDS = (
    Card(
        "rectangle_shear", "greatest shear stress of a rectangle under a shear force",
        (
            Symbol("V", "force", "lbf", "shear force"), Symbol("b", "length", "in", "width"),
            Symbol("h", "length", "in", "depth, along the force"),
        ),
        Symbol("tau", "stress", "ksi", "shear stress at the middle"), "1.5*V/(b*h)", "beam theory", "derived",
        rectangle_shear,
    ),
    Card(
        "square_torsion", "greatest shear stress of a square bar in torsion",
        (Symbol("T", "moment", "in*lbf", "torsion"), Symbol("a", "length", "in", "side")),
        Symbol("tau", "stress", "ksi", "shear stress at the middle of a face"), "4.808*T/a**3",
        "Saint-Venant; Timoshenko & Goodier, Theory of Elasticity: T/(0.208 a³)", "memory", square_torsion,
    ),
    Card(
        "fillet_factor", "stress concentration of a shoulder fillet in bending",
        (
            Symbol("h", "length", "in", "step on each side"), Symbol("r", "length", "in", "fillet radius"),
            Symbol("D", "length", "in", "depth of the larger section"),
        ),
        Symbol("Kt", "1", "", "peak over nominal bending stress of the smaller section"),
        f"Piecewise(({_printed(_LOW)}, h/r <= 2), ({_printed(_HIGH)}, True))",
        "Roark's Formulas for Stress and Strain, table 17.1, square shoulder with fillet in a member of rectangular "
        "section, in-plane bending, as printed in a public calculation", "read", fillet_factor,
        limits=(Limit("h/r", 0.1, 20.0, "as charted"), Limit("2*h/D", 0.0, 1.0, "metal is left")),
        note="elastic; for lasting set and fatigue, not for ultimate static strength of ductile metal",
    ),
)  # fmt: skip
