"""One fastener: shear of its shank, tension of its threads, bearing on the metal it passes through.

Bearing allowables are tabled at edge distances of 1.5 and 2.0 diameters. Between them they are read by
straight line; above 2.0 nothing is gained; below 1.5 there is no value, and the result is not a number.
Sources: MIL-HDBK-5J sections 1.4.7.1 and 8.1; unified thread standard for the stress area.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["bearing_allowable", "bearing_strength", "shank_shear", "stress_area", "thread_tension"]

_PI = np.pi


def shank_shear(Fsu: Num, D: Num, n: Num) -> Num:
    return n * Fsu * _PI * D**2 / 4


def bearing_allowable(F15: Num, F20: Num, ed: Num) -> Num:
    line = F15 + (F20 - F15) * (np.minimum(ed, 2.0) - 1.5) / 0.5
    return np.where(np.less(ed, 1.5 - 1e-12), np.nan, line)[()]


def bearing_strength(Fbr: Num, D: Num, t: Num) -> Num:
    return Fbr * D * t


def stress_area(D: Num, p: Num) -> Num:
    return _PI / 4 * (D - 0.9743 * p) ** 2


def thread_tension(Ftu: Num, At: Num) -> Num:
    return Ftu * At


Fsu = Symbol("Fsu", "stress", "ksi", "ultimate shear strength of the fastener")
Ftu = Symbol("Ftu", "stress", "ksi", "ultimate tensile strength of the fastener")
D = Symbol("D", "length", "in", "shank diameter")
t = Symbol("t", "length", "in", "thickness of the metal borne on")
At = Symbol("At", "area", "in2", "tensile stress area of the thread")
Pu = Symbol("Pu", "force", "lbf", "ultimate strength")
Fbr = Symbol("Fbr", "stress", "ksi", "bearing allowable at this edge distance")

CARDS = (
    Card(
        "shank_shear", "shear of a shank", (Fsu, D, Symbol("n", "1", "", "shear planes")),
        Symbol("Ps", "force", "lbf", "ultimate shear strength"), "n*Fsu*pi*D**2/4", "MIL-HDBK-5J chapter 8",
        "read", shank_shear, limits=(Limit("n", 1, 2, "single or double shear"),),
        note="the shank must fill every shear plane; threads in shear need the minor-diameter area",
    ),
    Card(
        "bearing_allowable", "bearing allowable between the tabled edge distances",
        (
            Symbol("F15", "stress", "ksi", "bearing allowable at e/D 1.5"),
            Symbol("F20", "stress", "ksi", "bearing allowable at e/D 2.0"),
            Symbol("ed", "1", "", "edge distance over diameter, as built"),
        ),
        Fbr, "F15 + (F20 - F15)*(Min(ed, 2) - 1.5)/0.5",
        "MIL-HDBK-5J section 1.4.7.1 (no value below 1.5); straight line between", "common practice",
        bearing_allowable, limits=(Limit("ed", low=1.5, why="below it no value exists: test, or move the hole"),),
        note="dry-pin values; wet installation can lie 10 % lower, and t/D outside 0.25 to 0.50 needs tests",
    ),
    Card(
        "bearing_strength", "bearing of a fastener on one thickness", (Fbr, D, t), Pu, "Fbr*D*t",
        "MIL-HDBK-5J section 8.1", "read", bearing_strength,
    ),
    Card(
        "stress_area", "tensile stress area of a unified thread",
        (D, Symbol("p", "length", "in", "pitch of the thread")), At, "pi/4*(D - 0.9743*p)**2",
        "unified inch screw threads", "memory", stress_area, limits=(Limit("p/D", high=0.5),),
    ),
    Card(
        "thread_tension", "tension of a bolt through its threads", (Ftu, At),
        Symbol("Pt", "force", "lbf", "ultimate tensile strength"), "Ftu*At", "definition of the stress area",
        "derived", thread_tension, note="a bolt standard's own minimum tensile strength goes before this",
    ),
)  # fmt: skip
