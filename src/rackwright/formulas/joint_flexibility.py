"""How much a bolted joint gives: one shear plane of a bolt, and a tube's end on its spigot.

A bolt through two plates lets them slide by shear and bending of its shank and by bearing of shank and plates. The
published formulas for it differ by a factor of two and more, being fits to different tests; none was made for a plate
as thick as a spigot. So none is trusted alone: a joint is run rigid and at the softest of them.
The bolts of a tube's end turn about their own axis by their spread along the tube, and about the axis across by the
two walls they pass; the spigot bends between them and the block.
Sources: Huth, ASTM STP 927 (1986); Tate & Rosenfeld, NACA TN 1051 (1946), in its single-lap form; Swift, ASTM STP 486
(1971); statics.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol
from rackwright.formulas.section import I

__all__ = ["bolts_turn_across", "bolts_turn_own", "end_turn", "free_turn", "huth", "swift", "tate_rosenfeld"]

_PI = np.pi


def huth(t1: Num, t2: Num, E1: Num, E2: Num, Ef: Num, d: Num, n: Num) -> Num:
    parts = 1 / (t1 * E1) + 1 / (n * t2 * E2) + 1 / (2 * t1 * Ef) + 1 / (2 * n * t2 * Ef)
    return ((t1 + t2) / (2 * d)) ** (2 / 3) * 3 / n * parts


def tate_rosenfeld(t1: Num, t2: Num, E1: Num, E2: Num, Ef: Num, nu: Num, d: Num) -> Num:
    bearing = 1 / (t1 * E1) + 1 / (t2 * E2) + 1 / (t1 * Ef) + 1 / (t2 * Ef)
    shear = 32 * (t1 + t2) * (1 + nu) / (9 * Ef * _PI * d**2)
    return bearing + shear + 8 * (t1**3 + 5 * t1**2 * t2 + 5 * t1 * t2**2 + t2**3) / (5 * Ef * _PI * d**4)


def swift(t1: Num, t2: Num, E1: Num, E2: Num, Ef: Num, d: Num) -> Num:
    return 5 / (d * Ef) + 0.8 * (1 / (t1 * E1) + 1 / (t2 * E2))


def bolts_turn_own(S: Num, C: Num) -> Num:
    return 2 * S / C


def bolts_turn_across(n: Num, h: Num, C: Num) -> Num:
    return n * h**2 / (2 * C)


def free_turn(s: Num, d: Num) -> Num:
    return s / d


def end_turn(kb: Num, a: Num, E: Num, I: Num) -> Num:
    return 1 / (1 / kb + a / (E * I))


t1 = Symbol("t1", "length", "in", "thickness of the first plate; in double shear of the one in the middle")
t2 = Symbol("t2", "length", "in", "thickness of the second plate; in double shear of each outer one")
E1 = Symbol("E1", "stress", "Msi", "modulus of the first plate")
E2 = Symbol("E2", "stress", "Msi", "modulus of the second plate")
Ef = Symbol("Ef", "stress", "Msi", "modulus of the bolt")
d = Symbol("d", "length", "in", "shank diameter")
C = Symbol("C", "compliance", "in/lbf", "slide of a shear plane over its load")
kb = Symbol("kb", "rotational_stiffness", "in*lbf/rad", "moment over rotation, bolts alone")
_THICK = (Limit("t1/d", 0.05, 3.0, "plates as tested"), Limit("t2/d", 0.05, 3.0, "plates as tested"))
_STATICS = "statics of equal springs at the shear planes"

CARDS = (
    Card(
        "huth", "flexibility of a bolt in metal, Huth",
        (t1, t2, E1, E2, Ef, d, Symbol("n", "1", "", "1 in single shear, 2 in double shear")),
        Symbol("C", "compliance", "in/lbf", "slide of the plates over the load of the bolt"),
        "((t1 + t2)/(2*d))**(2/3)*3/n*(1/(t1*E1) + 1/(n*t2*E2) + 1/(2*t1*Ef) + 1/(2*n*t2*Ef))",
        "Huth, ASTM STP 927, as reprinted in public reviews", "read", huth, limits=_THICK,
        note="bolts in metal (a = 2/3, b = 3); a fit to lap joints of sheets",
    ),
    Card(
        "tate_rosenfeld", "flexibility of a shear plane, Tate & Rosenfeld",
        (t1, t2, E1, E2, Ef, Symbol("nu", "1", "", "Poisson's ratio of the bolt"), d), C,
        "1/(t1*E1) + 1/(t2*E2) + 1/(t1*Ef) + 1/(t2*Ef) + 32*(t1 + t2)*(1 + nu)/(9*Ef*pi*d**2)"
        " + 8*(t1**3 + 5*t1**2*t2 + 5*t1*t2**2 + t2**3)/(5*Ef*pi*d**4)",
        "Tate & Rosenfeld, NACA TN 1051, single-lap form as reprinted in public reviews", "read", tate_rosenfeld,
        limits=_THICK, note="shank in shear and bending, shank and plates in bearing; soft for thick plates",
    ),
    Card(
        "swift", "flexibility of a shear plane, Swift (Douglas)", (t1, t2, E1, E2, Ef, d), C,
        "5/(d*Ef) + 0.8*(1/(t1*E1) + 1/(t2*E2))",
        "Swift, ASTM STP 486, as reprinted in public reviews", "read", swift, limits=_THICK,
        note="a fit to riveted fuselage joints",
    ),
    Card(
        "bolts_turn_own", "stiffness of a row of bolts about their own axis",
        (Symbol("S", "area", "in2", "sum of the squared distances of the bolts from their middle, along the tube"), C),
        kb, "2*S/C", _STATICS, "derived", bolts_turn_own, note="two shear planes a bolt",
    ),
    Card(
        "bolts_turn_across", "stiffness of bolts through two walls, about the axis across bolts and tube",
        (Symbol("n", "1", "", "bolts"), Symbol("h", "length", "in", "between the middles of the two walls"), C),
        kb, "n*h**2/(2*C)", _STATICS, "derived", bolts_turn_across,
        note="the walls slide along the tube, one each way",
    ),
    Card(
        "end_turn", "stiffness of a tube's end, bolts and spigot in series",
        (
            kb, Symbol("a", "length", "in", "from the block to the middle of the bolts"),
            Symbol("E", "stress", "Msi", "modulus of the block"), I,
        ),
        Symbol("k", "rotational_stiffness", "in*lbf/rad", "moment over rotation of the end"), "1/(1/kb + a/(E*I))",
        "springs in series; a cantilever's end under a moment", "derived", end_turn,
    ),
    Card(
        "free_turn", "turn of a tube's end before its bolts bear, from the middle to one side",
        (
            Symbol("s", "length", "in", "free travel of a bolt in its holes, from stop to stop"),
            Symbol("d", "length", "in", "between the outermost bolts"),
        ),
        Symbol("theta", "angle", "deg", "free turn"), "s/d", "geometry of small turns", "derived", free_turn,
        limits=(Limit("s/d", high=0.1, why="a small turn"),),
        note="the outermost bolts move half the travel each, opposite ways",
    ),
)  # fmt: skip
