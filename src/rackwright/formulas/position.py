"""Position and squareness: what coordinates and diagonals say about a pattern of holes.

True position is the diameter of the zone that the measured centre needs, so twice its distance off. The two
diagonals of a parallelogram with sides a and b differ by d1² − d2² = 4 a b sin ε; the side b leans by b sin ε.
Sources: geometry; law of propagation of uncertainty for independent x and y (JCGM 100:2008, 5.1.2).
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["frame_lean", "position_uncertainty", "true_position"]


def true_position(dx: Num, dy: Num) -> Num:
    return 2 * np.sqrt(dx**2 + dy**2)


def position_uncertainty(dx: Num, dy: Num, ux: Num, uy: Num) -> Num:
    return 2 * np.sqrt((dx * ux) ** 2 + (dy * uy) ** 2) / np.sqrt(dx**2 + dy**2)


def frame_lean(a: Num, d1: Num, d2: Num) -> Num:
    return (d1**2 - d2**2) / (4 * a)


dx = Symbol("dx", "length", "in", "measured less nominal along x")
dy = Symbol("dy", "length", "in", "measured less nominal along y")

CARDS = (
    Card(
        "true_position", "true position of a hole", (dx, dy), Symbol("P", "length", "in", "diameter of the zone"),
        "2*sqrt(dx**2 + dy**2)", "geometry", "derived", true_position,
        note="diametral: never compare it with a radius",
    ),
    Card(
        "position_uncertainty", "standard uncertainty of a true position",
        (dx, dy, Symbol("ux", "length", "in", "standard uncertainty along x"),
         Symbol("uy", "length", "in", "standard uncertainty along y")),
        Symbol("uP", "length", "in", "standard uncertainty"),
        "2*sqrt((dx*ux)**2 + (dy*uy)**2)/sqrt(dx**2 + dy**2)", "JCGM 100:2008, 5.1.2", "derived",
        position_uncertainty, note="2 u when ux = uy = u: the factor 2 doubles the uncertainty as well",
    ),
    Card(
        "frame_lean", "lean of a frame from its diagonals",
        (Symbol("a", "length", "in", "side that stands on the table"),
         Symbol("d1", "length", "in", "one diagonal"), Symbol("d2", "length", "in", "the other diagonal")),
        Symbol("lean", "length", "in", "how far the top stands beside the foot"), "(d1**2 - d2**2)/(4*a)",
        "geometry of a parallelogram", "derived", frame_lean,
        limits=(Limit("Abs(d1/d2 - 1)", high=0.1, why="nearly square"),),
    ),
)  # fmt: skip
