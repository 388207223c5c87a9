"""Net sections: what the holes leave of a member's area.

Holes across one section take away diameter times wall, once for each wall they pass.
Source: geometry; ductile metal at ultimate, no stress concentration.
"""

from __future__ import annotations

from rackwright.formulas.cards import Card, Limit, Num, Symbol
from rackwright.formulas.section import A, t

__all__ = ["net_area", "net_tension"]


def net_area(A: Num, n: Num, D: Num, t: Num) -> Num:
    return A - n * D * t


def net_tension(Ftu: Num, An: Num) -> Num:
    return Ftu * An


CARDS = (
    Card(
        "net_area", "area left by holes",
        (
            A,
            Symbol("n", "1", "", "walls pierced in one section: 2 for a hole right through a tube"),
            Symbol("D", "length", "in", "hole diameter as drilled"),
            t,
        ),
        Symbol("An", "area", "in2", "net area"), "A - n*D*t", "geometry", "derived", net_area,
        limits=(Limit("n*D*t/A", low=0, high=1, why="metal is left"),),
    ),
    Card(
        "net_tension", "tension strength of a net section",
        (
            Symbol("Ftu", "stress", "ksi", "ultimate tensile strength"),
            Symbol("An", "area", "in2", "net area"),
        ),
        Symbol("Pu", "force", "lbf", "ultimate tension"), "Ftu*An", "definition", "derived", net_tension,
    ),
)  # fmt: skip
