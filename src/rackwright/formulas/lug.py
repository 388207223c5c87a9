"""Lugs: a plate with a pin through it fails across the hole, behind it, or under the pin.

Net tension across the hole; shear-out of the edge on two planes, either at 40 degrees to the load through
the hole or straight back; bearing. The chart methods multiply by factors (Kbr, Ktru) read from published
curves: they are inputs here, no chart digit is built in. At the root of a bend the bar is curved: the stress of its
inner fibre is that of a curved bar, more than Mc/I.
Sources: Bruhn D1; Melcon & Hoblit; AFFDL-TR-69-42 section 9; Winkler's curved bar, as in textbooks of strength.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "bend_root_moment",
    "curved_bar_inner",
    "lug_axial",
    "lug_bearing",
    "lug_net_tension",
    "lug_shear_out",
    "lug_shear_out_40",
    "lug_transverse",
    "transverse_edge",
]

_COS40 = np.cos(np.deg2rad(40.0))


def lug_bearing(Fbr: Num, D: Num, t: Num) -> Num:
    return Fbr * D * t


def lug_net_tension(Ftu: Num, W: Num, D: Num, t: Num) -> Num:
    return Ftu * (W - D) * t


def lug_shear_out_40(Fsu: Num, D: Num, e: Num, t: Num) -> Num:
    return 2 * t * (e - D / 2 * _COS40) * Fsu


def lug_shear_out(Fsu: Num, D: Num, e: Num, t: Num) -> Num:
    return 2 * t * (e - D / 2) * Fsu


def lug_axial(Kbr: Num, Ftu: Num, D: Num, t: Num) -> Num:
    return Kbr * Ftu * D * t


def lug_transverse(Ktru: Num, Ftu: Num, D: Num, t: Num) -> Num:
    return Ktru * Ftu * D * t


def transverse_edge(h1: Num, h2: Num, h3: Num, h4: Num) -> Num:
    return 6 / (3 / h1 + 1 / h2 + 1 / h3 + 1 / h4)


def bend_root_moment(P: Num, a: Num, theta: Num) -> Num:
    return P * np.sin(theta) * a


def curved_bar_inner(M: Num, b: Num, h: Num, ri: Num) -> Num:
    rn = h / np.log1p(h / ri)
    return M * (rn - ri) / (b * h * (ri + h / 2 - rn) * ri)


D = Symbol("D", "length", "in", "pin or hole diameter")
t = Symbol("t", "length", "in", "thickness")
e = Symbol("e", "length", "in", "hole centre to edge, along the load")
W = Symbol("W", "length", "in", "width across the hole")
Fbr = Symbol("Fbr", "stress", "ksi", "bearing allowable at this edge distance")
Ftu = Symbol("Ftu", "stress", "ksi", "ultimate tensile strength in the weaker direction")
Fsu = Symbol("Fsu", "stress", "ksi", "ultimate shear strength")
Pu = Symbol("Pu", "force", "lbf", "ultimate strength")
_BRUHN = "common textbook method; Bruhn D1"
_CHART = "Melcon & Hoblit; AFFDL-TR-69-42 section 9"


def _h(name: str) -> Symbol:
    return Symbol(name, "length", "in", "edge distance at the section so numbered in the report's figure")


CARDS = (
    Card(
        "lug_bearing", "bearing under the pin", (Fbr, D, t), Pu, "Fbr*D*t", _BRUHN, "memory", lug_bearing,
    ),
    Card(
        "lug_net_tension", "tension across the hole", (Ftu, W, D, t), Pu, "Ftu*(W - D)*t", _BRUHN, "memory",
        lug_net_tension, limits=(Limit("D/W", high=1, why="metal is left beside the hole"),),
        note="no stress concentration: ductile metal at ultimate",
    ),
    Card(
        "lug_shear_out_40", "shear-out of the edge on the two 40-degree planes", (Fsu, D, e, t), Pu,
        "2*t*(e - D/2*cos(40*pi/180))*Fsu", _BRUHN, "memory", lug_shear_out_40,
        limits=(Limit("e/D", low=0.5, why="the edge lies beyond the hole"),),
    ),
    Card(
        "lug_shear_out", "shear-out of the edge straight back from the hole", (Fsu, D, e, t), Pu,
        "2*t*(e - D/2)*Fsu", _BRUHN, "memory", lug_shear_out,
        limits=(Limit("e/D", low=0.5, why="the edge lies beyond the hole"),),
    ),
    Card(
        "lug_axial", "axial lug strength with the factor of a chart",
        (Symbol("Kbr", "1", "", "bearing and shear-out factor read from the chart"), Ftu, D, t), Pu,
        "Kbr*Ftu*D*t", _CHART, "memory", lug_axial, note="Kbr is an input with its own source",
    ),
    Card(
        "lug_transverse", "transverse lug strength with the factor of a chart",
        (Symbol("Ktru", "1", "", "transverse factor read from the chart"), Ftu, D, t), Pu,
        "Ktru*Ftu*D*t", _CHART, "memory", lug_transverse, note="Ktru is an input with its own source",
    ),
    Card(
        "transverse_edge", "effective edge distance of a transversely loaded lug",
        (_h("h1"), _h("h2"), _h("h3"), _h("h4")), Symbol("hav", "length", "in", "effective edge distance"),
        "6/(3/h1 + 1/h2 + 1/h3 + 1/h4)", "AFFDL-TR-69-42 section 9.4", "memory", transverse_edge,
    ),
    Card(
        "bend_root_moment", "moment at the bend of a ring whose strap leaves the line of the leg",
        (
            Symbol("P", "force", "lbf", "strap force"),
            Symbol("a", "length", "in", "bend to the pull, along the leg"),
            Symbol("theta", "angle", "deg", "angle of the pull off the leg's line"),
        ),
        Symbol("M", "moment", "in*lbf", "moment at the bend"), "P*sin(theta)*a", "statics", "derived",
        bend_root_moment,
    ),
    Card(
        "curved_bar_inner", "inner fibre of a curved rectangular bar in bending",
        (
            Symbol("M", "moment", "in*lbf", "moment about the middle of the section"),
            Symbol("b", "length", "in", "width"),
            Symbol("h", "length", "in", "thickness, in the plane of the curve"),
            Symbol("ri", "length", "in", "inside radius"),
        ),
        Symbol("sigma", "stress", "ksi", "stress of the inner fibre"), "M*(rn - ri)/(b*h*(ri + h/2 - rn)*ri)",
        "Winkler's curved bar; public lecture notes on a crane hook", "read", curved_bar_inner,
        where=(("rn", "h/log(1 + h/ri)"),),
        limits=(Limit("h/ri", low=0.05, high=20, why="a curve, not a straight bar"),),
        note="a straight bar has 6 M/(b h²); the outer fibre has less",
    ),
)  # fmt: skip
