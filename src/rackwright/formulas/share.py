"""How loads reach a fastener: what a check's ratios start from, step by step.

Forces at right angles on one fastener meet in a resultant; bolts that stand alike share alike; what two ways pull at
one screw adds up; screws that pull one strip of a leg bend it together. A floor fitting is pulled by its straps at an
angle above the floor, and its document's table is read between two of its points by a straight line.
Sources: statics; linear interpolation.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "angle_bolt_pull",
    "buckling_length",
    "closing_of_two",
    "feet_beside",
    "fitting_pull",
    "leg_load",
    "point_resultant",
    "pried_pull",
    "pull_angle",
    "pulls_added",
    "pulls_together",
    "screw_shear",
    "table_between",
]


def screw_shear(Fa: Num, Fb: Num, n: Num) -> Num:
    return np.hypot(Fa, Fb) / n


def point_resultant(Fx: Num, Fy: Num, Fz: Num) -> Num:
    return np.sqrt(Fx**2 + Fy**2 + Fz**2)


def pried_pull(F: Num, q: Num) -> Num:
    return F * (1 + q)


def pulls_added(T1: Num, T2: Num) -> Num:
    return T1 + T2


def pulls_together(T: Num) -> Num:
    return np.sum(np.asarray(T, dtype=float), axis=-1)


def angle_bolt_pull(B: Num, V: Num, l: Num, e: Num) -> Num:
    return B + V * l / (2 * e)


def leg_load(F1: Num, F2: Num, r: Num) -> Num:
    return r * np.maximum(np.abs(F1), np.abs(F2))


def feet_beside(P: Num, x: Num, xi: Num, a: Num, w: Num, mo: Num) -> Num:
    at, span = np.asarray(xi, dtype=float)[..., None], np.asarray(a, dtype=float)[..., None]
    each = np.asarray(P) * np.minimum(x, at) * (span - np.maximum(x, at))
    return each.sum(axis=-1) / (a * w) + mo


def fitting_pull(Fh: Num, Fz: Num, dP: Num) -> Num:
    return np.hypot(Fh, Fz) + dP


def pull_angle(Fh: Num, Fz: Num, turn: Num) -> Num:
    with np.errstate(divide="ignore"):
        return np.minimum(np.arctan(np.divide(Fz, Fh)) + turn, np.pi / 2)


def table_between(x: Num, x1: Num, F1: Num, x2: Num, F2: Num) -> Num:
    return F1 + (F2 - F1) * (x - x1) / (x2 - x1)


def closing_of_two(ua: Num, ub: Num) -> Num:
    return ua - ub


def buckling_length(k: Num, P: Num, E: Num, I: Num, L: Num) -> Num:
    return np.pi * np.sqrt(E * I / (k * P)) / L


F = Symbol("F", "force", "lbf", "force of the load along the screw, off what it holds")
T = Symbol("T", "force", "lbf", "pull of the fastener")
P = Symbol("P", "force", "lbf", "force on the fastener")
a = Symbol("a", "length", "in", "span of the panel between its supports")
_STATICS, _KNOWN = "statics", "derived"

CARDS = (
    Card(
        "screw_shear", "shear of each fastener from two forces at right angles", (
            Symbol("Fa", "force", "lbf", "force across the fasteners, one way"),
            Symbol("Fb", "force", "lbf", "force across the fasteners, the other way"),
            Symbol("n", "1", "", "fasteners that share it alike"),
        ),
        P, "sqrt(Fa**2 + Fb**2)/n", _STATICS, _KNOWN, screw_shear,
        note="the forces are the frame's, shared by the parts that the fasteners join; in vibration each at its most",
    ),
    Card(
        "point_resultant", "force on a point from its three components", (
            Symbol("Fx", "force", "lbf", "along the rack's x"),
            Symbol("Fy", "force", "lbf", "along the rack's y"),
            Symbol("Fz", "force", "lbf", "along the rack's z"),
        ),
        P, "sqrt(Fx**2 + Fy**2 + Fz**2)", _STATICS, _KNOWN, point_resultant,
    ),
    Card(
        "pried_pull", "pull of a screw with prying", (F, Symbol("q", "1", "", "prying force over the pull")), T,
        "F*(1 + q)", _STATICS, _KNOWN, pried_pull,
    ),
    Card(
        "pulls_added", "pull of a fastener that two ways pull at", (
            Symbol("T1", "force", "lbf", "what the one pulls"),
            Symbol("T2", "force", "lbf", "what the other pulls on top"),
        ),
        T, "T1 + T2", _STATICS, _KNOWN, pulls_added, note="as if they peaked at once",
    ),
    Card(
        "pulls_together", "load of all screws that pull the same part of a leg",
        (Symbol("T", "force", "lbf", "pull of each", many=True),),
        Symbol("P", "force", "lbf", "their load together"), "total(T)", _STATICS, _KNOWN, pulls_together,
        note="every screw of its line within two reaches of the one judged, itself among them",
    ),
    Card(
        "angle_bolt_pull", "pull of one of two bolts at the end of an angle", (
            Symbol("B", "force", "lbf", "from what pulls the angle off, with prying"),
            Symbol("V", "force", "lbf", "upright force at the end"),
            Symbol("l", "length", "in", "from the post to the angle's centroid"),
            Symbol("e", "length", "in", "from the bolts to the edge of the leg about which they pry"),
        ),
        T, "B + V*l/(2*e)", _STATICS, _KNOWN, angle_bolt_pull,
    ),
    Card(
        "leg_load", "load that bends a rail's leg at a panel screw", (
            Symbol("F1", "force", "lbf", "force of this screw along the depth"),
            Symbol("F2", "force", "lbf", "force along the depth of every screw within two levers of it, itself too"),
            Symbol("r", "1", "", "share of a free cantilever's moment that is left at the root"),
        ),
        Symbol("P", "force", "lbf", "load"), "r*Max(Abs(F1), Abs(F2))", _STATICS, _KNOWN, leg_load,
        note="the worse of alone and together",
    ),
    Card(
        "feet_beside", "moment that the other feet put at a foot, the panel taken as a strip", (
            Symbol("P", "force", "lbf", "force of each other foot of the line", many=True),
            Symbol("x", "length", "in", "its place from the support", many=True),
            Symbol("xi", "length", "in", "place of this foot from the support"), a,
            Symbol("w", "length", "in", "width of the strip"),
            Symbol("mo", "force", "lbf", "moment per unit length of what the shelf's other items bend there"),
        ),
        Symbol("m", "force", "lbf", "moment per unit length (in·lbf/in)"),
        "total(P*Min(x, xi)*(a - Max(x, xi)))/(a*w) + mo", "beam tables: simple span, a load at x", _KNOWN, feet_beside,
    ),
    Card(
        "fitting_pull", "pull of its straps on a floor fitting", (
            Symbol("Fh", "force", "lbf", "level part of the straps' pull together"),
            Symbol("Fz", "force", "lbf", "upright part"),
            Symbol("dP", "force", "lbf", "more of several straps, each turned in its cone; none of one"),
        ),
        Symbol("P", "force", "lbf", "pull"), "sqrt(Fh**2 + Fz**2) + dP", _STATICS, _KNOWN, fitting_pull,
    ),
    Card(
        "pull_angle", "angle above the floor that the fitting is judged at", (
            Symbol("Fh", "force", "lbf", "level part of the straps' pull together"),
            Symbol("Fz", "force", "lbf", "upright part"),
            Symbol("turn", "angle", "deg", "within the cone to the direction of the least allowable, down negative"),
        ),
        Symbol("x", "angle", "deg", "angle above the floor"), "Min(atan(Fz/Fh) + turn, pi/2)",
        "trigonometry", _KNOWN, pull_angle,
    ),
    Card(
        "table_between", "allowable between two points of a document's table", (
            Symbol("x", "angle", "deg", "angle"),
            Symbol("x1", "angle", "deg", "angle of the table's point below"),
            Symbol("F1", "force", "lbf", "allowable there"),
            Symbol("x2", "angle", "deg", "angle of the table's point above"),
            Symbol("F2", "force", "lbf", "allowable there"),
        ),
        Symbol("F", "force", "lbf", "allowable"), "F1 + (F2 - F1)*(x - x1)/(x2 - x1)", "linear interpolation", _KNOWN,
        table_between, limits=(Limit("(x - x1)/(x2 - x1)", low=0.0, high=1.0, why="between the two points"),),
    ),
    Card(
        "closing_of_two", "how far two bodies close on each other along the axis that leaves most room", (
            Symbol("ua", "length", "in", "motion towards the other of the one on the near side, at most"),
            Symbol("ub", "length", "in", "motion the same way of the other, at least"),
        ),
        Symbol("c", "length", "in", "closing"), "ua - ub", "geometry", _KNOWN, closing_of_two,
        note="motions are the frame's, less the rigid motion of the whole rack",
    ),
    Card(
        "buckling_length", "length factor of a pinned column that buckles at the force found", (
            Symbol("k", "1", "", "factor on the case at which the frame buckles"),
            Symbol("P", "force", "lbf", "compression in the part at the case's load"),
            Symbol("E", "stress", "ksi", "modulus"),
            Symbol("I", "second_moment", "in4", "second moment of area"),
            Symbol("L", "length", "in", "length of the part between its ends"),
        ),
        Symbol("K", "1", "", "length factor"), "pi*sqrt(E*I/(k*P))/L", "Euler's column read backwards", _KNOWN,
        buckling_length,
        note="a check of the frame's answer by the eye: about 0.5 to 1 where a part bows between joints that hold "
        "their places, above 1 where the frame sways; more where the part that is pressed most is not what gives",
    ),
)  # fmt: skip
