"""Fastener groups by the elastic vector method.

Equal fasteners share the force equally and the moment about their centroid by distance from it, each at
right angles to its own radius. Tension from a moment goes by distance from the axis through the centroid
(no prying, no contact: prying comes on top). x and y are rows of positions, one for each fastener, on the
last axis; forces and moment may carry leading axes of variants or cases.
Sources: elastic vector method, as in Shigley and Bruhn D1.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Num, Symbol

__all__ = ["group_polar", "group_shear", "group_shear_x", "group_shear_y", "group_tension"]


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
)  # fmt: skip
