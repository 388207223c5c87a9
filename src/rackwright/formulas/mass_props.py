"""Mass, centre of gravity and moments of inertia of points, boxes and rods.

Items add; a moment of inertia moves from an item's own centre by mass times distance squared. Weighing is
the same sum with scale readings in place of masses. Rows run on the last axis.
Source: statics.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "box_inertia",
    "centre",
    "height_by_tilt",
    "parallel_axis",
    "product_of_inertia",
    "rod_inertia",
    "total_inertia",
]


def centre(m: Num, x: Num) -> Num:
    m, x = np.asarray(m, dtype=float), np.asarray(x, dtype=float)
    return (m * x).sum(axis=-1) / m.sum(axis=-1)


def box_inertia(m: Num, a: Num, b: Num) -> Num:
    return m * (a**2 + b**2) / 12


def rod_inertia(m: Num, L: Num) -> Num:
    return m * L**2 / 12


def parallel_axis(Io: Num, m: Num, d: Num) -> Num:
    return Io + m * d**2


def total_inertia(Io: Num, m: Num, y: Num, z: Num) -> Num:
    Io, m, y, z = (np.asarray(row, dtype=float) for row in (Io, m, y, z))
    at_origin = (Io + m * (y**2 + z**2)).sum(axis=-1)
    return at_origin - m.sum(axis=-1) * (centre(m, y) ** 2 + centre(m, z) ** 2)


def product_of_inertia(m: Num, x: Num, z: Num) -> Num:
    m, x, z = (np.asarray(row, dtype=float) for row in (m, x, z))
    return (m * x * z).sum(axis=-1) - m.sum(axis=-1) * centre(m, x) * centre(m, z)


def height_by_tilt(x: Num, xt: Num, theta: Num) -> Num:
    return (x * np.cos(theta) - xt) / np.sin(theta)


m = Symbol("m", "mass", "lb", "mass")
m_row = Symbol("m", "mass", "lb", "masses, removals negative", many=True)
I_m = Symbol("I", "mass_moment", "lb*in2", "moment of inertia")
_STATICS = "statics"


def _row(name: str, meaning: str) -> Symbol:
    return Symbol(name, "length", "in", meaning, many=True)


CARDS = (
    Card(
        "centre", "centre of gravity of items, or of scale readings", (m_row, _row("x", "arms from the datum")),
        Symbol("xc", "length", "in", "arm of the centre of gravity"), "total(m*x)/total(m)", _STATICS, "derived",
        centre, note="whatever the split between stiff feet, sum and moments of the readings are right",
    ),
    Card(
        "box_inertia", "uniform box about its own centre",
        (
            m,
            Symbol("a", "length", "in", "side across the axis"),
            Symbol("b", "length", "in", "other side across the axis"),
        ),
        I_m, "m*(a**2 + b**2)/12", _STATICS, "derived", box_inertia,
    ),
    Card(
        "rod_inertia", "slender rod about its own centre", (m, Symbol("L", "length", "in", "length")), I_m,
        "m*L**2/12", _STATICS, "derived", rod_inertia,
    ),
    Card(
        "parallel_axis", "moment of inertia moved away from the centre",
        (
            Symbol("Io", "mass_moment", "lb*in2", "about the own centre"), m,
            Symbol("d", "length", "in", "distance moved"),
        ),
        I_m, "Io + m*d**2", "parallel-axis theorem", "derived", parallel_axis,
    ),
    Card(
        "total_inertia", "moment of inertia of items about their common centre",
        (
            Symbol("Io", "mass_moment", "lb*in2", "of each about its own centre", many=True),
            m_row, _row("y", "arms across the axis"), _row("z", "other arms across the axis"),
        ),
        I_m, "total(Io + m*((y - yc)**2 + (z - zc)**2))", "parallel-axis theorem", "derived", total_inertia,
        where=(("yc", "total(m*y)/total(m)"), ("zc", "total(m*z)/total(m)")),
    ),
    Card(
        "product_of_inertia", "product sum of items about their common centre",
        (m_row, _row("x", "arms, first axis"), _row("z", "arms, second axis")),
        Symbol("Pxz", "mass_moment", "lb*in2", "sum of m x z"), "total(m*(x - xc)*(z - zc))", "definition",
        "derived", product_of_inertia,
        where=(("xc", "total(m*x)/total(m)"), ("zc", "total(m*z)/total(m)")),
        note="of items as points: boxes parallel to the axes add nothing of their own",
    ),
    Card(
        "height_by_tilt", "height of the centre of gravity from one tilt",
        (
            Symbol("x", "length", "in", "level arm from the edge turned about"),
            Symbol("xt", "length", "in", "arm of the centre of gravity when tilted"),
            Symbol("theta", "angle", "deg", "tilt"),
        ),
        Symbol("z", "length", "in", "height above the edge"), "(x*cos(theta) - xt)/sin(theta)", _STATICS,
        "derived", height_by_tilt,
        limits=(Limit("theta*180/pi", 15, 45, "degrees; the error grows as one over the sine"),),
    ),
)  # fmt: skip
