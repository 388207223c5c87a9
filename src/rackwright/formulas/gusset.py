"""Gussets on both faces of a brace: how its force spreads in them, and comes to the member that it meets.

A force that comes in by a line of bolts spreads by 30° to either side from the first bolt; where the line ends it fills
the effective (Whitmore) width. Each of the two plates takes half of force, shear and moment in its plane; the moment
that bends the brace out of the face, and its torsion, are a couple of both plates. All parts count as adding up.
Sources: AISC, Steel Interchange question 5.3.6 (the Whitmore section, 30° from the start of the connection); statics.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "across_member",
    "along_member",
    "dispersion_width",
    "gusset_axial",
    "gusset_bending",
    "gusset_force",
    "gusset_shear",
    "moment_at_node",
]


def dispersion_width(Lc: Num) -> Num:
    return 2 * Lc * np.tan(np.pi / 6)


def gusset_force(N: Num, Mx: Num, h: Num) -> Num:
    return N / 2 + Mx / h


def gusset_axial(P: Num, w: Num, D: Num, t: Num) -> Num:
    return P / ((w - D) * t)


def gusset_bending(M: Num, Vz: Num, L: Num, w: Num, t: Num) -> Num:
    return 3 * M / (t * w**2) + 3 * Vz * L / (w * t**2)


def gusset_shear(V: Num, T: Num, h: Num, w: Num, t: Num) -> Num:
    return 1.5 * (V / 2 + T / h) / (w * t)


def moment_at_node(M: Num, V: Num, s: Num) -> Num:
    return M + V * s


def along_member(N: Num, V: Num, theta: Num) -> Num:
    return N * np.sin(theta) + V * np.cos(theta)


def across_member(N: Num, V: Num, theta: Num) -> Num:
    return N * np.cos(theta) + V * np.sin(theta)


N = Symbol("N", "force", "lbf", "axial force of the brace, its size")
V = Symbol("V", "force", "lbf", "its shear in the plane of the face, its size")
M = Symbol("M", "moment", "in*lbf", "its moment in that plane, its size")
h = Symbol("h", "length", "in", "between the middles of its two walls")
w = Symbol("w", "length", "in", "effective width of the gusset")
t = Symbol("t", "length", "in", "thickness of the gusset")
theta = Symbol("theta", "angle", "deg", "between the brace and the member's square")
_STATICS = "statics, sizes added"

CARDS = (
    Card(
        "dispersion_width", "effective width of a gusset where a line of bolts ends",
        (Symbol("Lc", "length", "in", "from the first to the last bolt of the line"),), w, "2*Lc*tan(pi/6)",
        "AISC, Steel Interchange question 5.3.6: 30° to either side from the start of the connection", "read",
        dispersion_width, note="one line of bolts; no wider than the plate is there",
    ),
    Card(
        "gusset_force", "force in one of two gussets",
        (N, Symbol("Mx", "moment", "in*lbf", "moment that bends the brace out of the face, its size"), h),
        Symbol("P", "force", "lbf", "force in the gusset"), "N/2 + Mx/h", _STATICS, "derived", gusset_force,
    ),
    Card(
        "gusset_axial", "stress of a gusset on its effective width",
        (
            Symbol("P", "force", "lbf", "force in the gusset"), w,
            Symbol("D", "length", "in", "hole in that width; 0 for compression"), t,
        ),
        Symbol("f", "stress", "ksi", "stress"), "P/((w - D)*t)", "definition", "derived", gusset_axial,
        limits=(Limit("D/w", low=0, high=1, why="metal is left"),),
    ),
    Card(
        "gusset_bending", "bending stress of one of two gussets, in its plane and out of it",
        (
            M, Symbol("Vz", "force", "lbf", "shear of the brace out of the face, its size"),
            Symbol("L", "length", "in", "from the nearest bolt of the brace to the member's axis"), w, t,
        ),
        Symbol("fb", "stress", "ksi", "bending stress at a corner"), "3*M/(t*w**2) + 3*Vz*L/(w*t**2)",
        "elastic bending of a rectangle w by t by M/2, and by Vz/2 at L", "derived", gusset_bending,
    ),
    Card(
        "gusset_shear", "shear stress of one of two gussets",
        (V, Symbol("T", "moment", "in*lbf", "torsion of the brace, its size"), h, w, t),
        Symbol("fs", "stress", "ksi", "greatest shear stress"), "3/2*(V/2 + T/h)/(w*t)",
        "elastic shear of a rectangle; torsion as a couple of both plates", "derived", gusset_shear,
    ),
    Card(
        "moment_at_node", "moment of the brace where its axis crosses the member's",
        (M, V, Symbol("s", "length", "in", "from the sawn end to the crossing, along the brace")),
        Symbol("Mn", "moment", "in*lbf", "moment there"), "M + V*s", _STATICS, "derived", moment_at_node,
    ),
    Card(
        "along_member", "part of a brace's force along its member", (N, V, theta),
        Symbol("Fa", "force", "lbf", "force along the member"), "N*sin(theta) + V*cos(theta)", _STATICS, "derived",
        along_member,
    ),
    Card(
        "across_member", "part of a brace's force across its member", (N, V, theta),
        Symbol("Fc", "force", "lbf", "force across the member"), "N*cos(theta) + V*sin(theta)", _STATICS, "derived",
        across_member,
    ),
)  # fmt: skip
