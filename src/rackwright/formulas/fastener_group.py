"""Fastener groups by the elastic vector method.

Equal fasteners share the force equally and the moment about their centroid by distance from it, each at
right angles to its own radius. Tension from a moment goes by distance from the axis through the centroid
(no prying, no contact: prying comes on top). x and y are rows of positions, one for each fastener, on the
last axis; forces and moment may carry leading axes of variants or cases.
The bolts through a tube's end and the spigot in it are such a group in space: each crosses two walls, and each wall
slides in its own plane only. Axial force and shear go to all walls alike, a moment about the bolts by their distance
from the middle, torsion and the moment across by the couple of the two walls. All parts count as adding up.
Sources: elastic vector method, as in Shigley and Bruhn D1.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Num, Symbol

__all__ = [
    "group_polar",
    "group_shear",
    "group_shear_x",
    "group_shear_y",
    "group_tension",
    "ring_bolt_pull",
    "ring_bolt_shear",
    "tube_end_bolt",
]


def group_polar(x: Num, y: Num) -> Num:
    x, y = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    return ((x - _mean(x)) ** 2 + (y - _mean(y)) ** 2).sum(axis=-1)


def group_shear_x(x: Num, y: Num, Fx: Num, M: Num) -> Num:
    y = np.asarray(y, dtype=float)
    return _row(Fx) / y.shape[-1] - _row(M) * (y - _mean(y)) / _row(group_polar(x, y))


def group_shear_y(x: Num, y: Num, Fy: Num, M: Num) -> Num:
    x = np.asarray(x, dtype=float)
    return _row(Fy) / x.shape[-1] + _row(M) * (x - _mean(x)) / _row(group_polar(x, y))


def group_shear(x: Num, y: Num, Fx: Num, Fy: Num, M: Num) -> Num:
    return np.hypot(group_shear_x(x, y, Fx, M), group_shear_y(x, y, Fy, M))


def group_tension(y: Num, F: Num, M: Num) -> Num:
    y = np.asarray(y, dtype=float)
    return _row(F) / y.shape[-1] + _row(M) * (y - _mean(y)) / ((y - _mean(y)) ** 2).sum(
        axis=-1, keepdims=True
    )


def ring_bolt_shear(Pj: Num, V: Num, n: Num, M: Num, z: Num, S: Num) -> Num:
    return Pj + V / n + M * z / S


def ring_bolt_pull(N: Num, n: Num, M: Num, z: Num, S: Num, Mr: Num, e: Num) -> Num:
    return N / n + M * z / S + Mr / (n * e)


def tube_end_bolt(N: Num, V: Num, T: Num, Mo: Num, Mx: Num, n: Num, nd: Num, h: Num, z: Num, S: Num) -> Num:
    along = N / (2 * n) + Mx / (nd * h)
    across = V / (2 * nd) + T / (nd * h) + Mo * z / (2 * S)
    return np.sqrt(along**2 + across**2)


def _mean(row: Num) -> Num:
    return np.mean(row, axis=-1, keepdims=True)


def _row(value: Num) -> Num:
    return np.asarray(value, dtype=float)[..., None]


x = Symbol("x", "length", "in", "positions of the fasteners, x", many=True)
y = Symbol("y", "length", "in", "positions of the fasteners, y", many=True)
Fx = Symbol("Fx", "force", "lbf", "force on the group, x")
Fy = Symbol("Fy", "force", "lbf", "force on the group, y")
M = Symbol("M", "moment", "in*lbf", "moment about the group's centroid, x towards y positive")
_METHOD = "elastic vector method: equal fasteners, rigid parts"
_STEPS = (
    ("n", "total(x**0)"),
    ("xc", "total(x)/n"),
    ("yc", "total(y)/n"),
    ("J", "total((x - xc)**2 + (y - yc)**2)"),
)
_bolts = Symbol("n", "1", "", "bolts that hold the ring")
_spread = (
    Symbol("z", "length", "in", "from this bolt to their middle; of a single bolt half of what presses"),
    Symbol("S", "area", "in2", "sum of the squares of z over them"),
)
_SHARE_X, _SHARE_Y = "Fx/n - M*(y - yc)/J", "Fy/n + M*(x - xc)/J"

CARDS = (
    Card(
        "group_polar", "polar sum of a group about its centroid", (x, y),
        Symbol("J", "area", "in2", "sum of squared distances"), "total((x - xc)**2 + (y - yc)**2)", _METHOD,
        "derived", group_polar, where=_STEPS[:3],
    ),
    Card(
        "group_shear_x", "force on each fastener, x", (x, y, Fx, M),
        Symbol("Px", "force", "lbf", "force on each, x", many=True), _SHARE_X, _METHOD, "derived",
        group_shear_x, where=_STEPS,
    ),
    Card(
        "group_shear_y", "force on each fastener, y", (x, y, Fy, M),
        Symbol("Py", "force", "lbf", "force on each, y", many=True), _SHARE_Y, _METHOD, "derived",
        group_shear_y, where=_STEPS,
    ),
    Card(
        "group_shear", "resultant shear on each fastener", (x, y, Fx, Fy, M),
        Symbol("P", "force", "lbf", "resultant on each", many=True), "sqrt(Px**2 + Py**2)", _METHOD, "derived",
        group_shear, where=(*_STEPS, ("Px", _SHARE_X), ("Py", _SHARE_Y)),
    ),
    Card(
        "group_tension", "tension of each fastener from a pull and a moment",
        (y, Symbol("F", "force", "lbf", "pull on the group through its centroid"), M),
        Symbol("T", "force", "lbf", "tension of each, compression negative", many=True),
        "F/n + M*(y - yc)/total((y - yc)**2)", _METHOD, "derived", group_tension,
        where=(("n", "total(y**0)"), ("yc", "total(y)/n")),
        note="no prying, pivot at the centroid: prying of the plate comes on top",
    ),
    Card(
        "ring_bolt_shear", "shear of a joint's bolt that also holds a ring",
        (
            Symbol("Pj", "force", "lbf", "what the joint asks of it"),
            Symbol("V", "force", "lbf", "pull of the strap in the plane of the face"), _bolts,
            Symbol("M", "moment", "in*lbf", "its moment about the middle of the bolts, in that plane"), *_spread,
        ),
        Symbol("P", "force", "lbf", "shear of the bolt"), "Pj + V/n + M*z/S", _METHOD, "derived", ring_bolt_shear,
        note="both taken as if they had one direction",
    ),
    Card(
        "ring_bolt_pull", "pull of a bolt under a ring, prying about the ring's edge",
        (
            Symbol("N", "force", "lbf", "pull of the strap off the face"), _bolts,
            Symbol("M", "moment", "in*lbf", "its moment that tilts the ring along the post"), *_spread,
            Symbol("Mr", "moment", "in*lbf", "its moment that rolls the ring across the post"),
            Symbol("e", "length", "in", "half of what presses on the post"),
        ),
        Symbol("P", "force", "lbf", "pull of the bolt"), "N/n + M*z/S + Mr/(n*e)", _METHOD, "derived", ring_bolt_pull,
    ),
    Card(
        "tube_end_bolt", "load of a bolt at the more loaded wall of a tube on its spigot",
        (
            Symbol("N", "force", "lbf", "axial force in the tube, its size"),
            Symbol("V", "force", "lbf", "shear across the bolts, its size"),
            Symbol("T", "moment", "in*lbf", "torsion of the tube, its size"),
            Symbol("Mo", "moment", "in*lbf", "moment about the bolts' own axis, its size"),
            Symbol("Mx", "moment", "in*lbf", "moment about the axis across bolts and tube, its size"),
            Symbol("n", "1", "", "bolts of the end"), Symbol("nd", "1", "", "bolts that run this way"),
            Symbol("h", "length", "in", "between the middles of the two walls"),
            Symbol("z", "length", "in", "from this bolt to the middle of those that run this way"),
            Symbol("S", "area", "in2", "sum of the squares of z over them"),
        ),
        Symbol("P", "force", "lbf", "shear of the bolt at one wall"),
        "sqrt((N/(2*n) + Mx/(nd*h))**2 + (V/(2*nd) + T/(nd*h) + Mo*z/(2*S))**2)", _METHOD, "derived", tube_end_bolt,
        note="shear along the bolts goes through the fit; nothing else is left to it",
    ),
)  # fmt: skip
