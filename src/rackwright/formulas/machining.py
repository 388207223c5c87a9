"""Milling and drilling: speed, feed, metal taken off, power, and the time of one block.

Q is the metal removed in a unit of time; the power it takes is Q times the specific cutting force k_c, a pressure
(1 hp for 3 in³/min is 0.91 GPa, for 5 in³/min 0.55 GPa: a public sheet's range for aluminium). The time of a block
is its chips over the removal rate while the cutter is engaged, the surface over the finishing rate, the holes, and
what is not cutting: changes, indexing, loading. All rates are the shop's own and are re-fitted from recorded cycles.
Sources: public machining formula sheets; geometry for the chip.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "area_time",
    "block_time",
    "chip_thinning",
    "contour_time",
    "cutting_power",
    "drill_point",
    "drill_time",
    "feed_rate",
    "motor_power",
    "pivot_error",
    "removal_rate",
    "spindle_speed",
    "tap_drill",
]


def spindle_speed(v: Num, D: Num) -> Num:
    return v / (np.pi * D)


def feed_rate(n: Num, z: Num, fz: Num) -> Num:
    return n * z * fz


def chip_thinning(ae: Num, D: Num) -> Num:
    return D / (2 * np.sqrt(ae * (D - ae)))


def removal_rate(ae: Num, ap: Num, vf: Num) -> Num:
    return ae * ap * vf


def cutting_power(Q: Num, kc: Num) -> Num:
    return Q * kc


def block_time(
    V: Num, Q: Num, eng: Num, S: Num, Qs: Num, h: Num, vh: Num, nc: Num, tc: Num, ni: Num, ti: Num, tl: Num
) -> Num:
    return V / (Q * eng) + S / Qs + h / vh + nc * tc + ni * ti + tl


def motor_power(P: Num, eta: Num) -> Num:
    return P / eta


def area_time(m: Num, S: Num, ae: Num, D: Num, vf: Num) -> Num:
    return m * (S / ae + D) / vf


def contour_time(m: Num, s: Num, D: Num, vf: Num) -> Num:
    return m * (4 * s + np.pi * D) / vf


def drill_point(D: Num, A: Num) -> Num:
    return D / (2 * np.tan(A / 2))


def drill_time(h: Num, a: Num, vf: Num) -> Num:
    return (h + a) / vf


def tap_drill(D: Num, q: Num, p: Num) -> Num:
    return D - 1.299038105676658 * q * p


def pivot_error(d: Num, B: Num) -> Num:
    return 2 * d * np.sin(B / 2)


D = Symbol("D", "length", "in", "cutter diameter")
ae = Symbol("ae", "length", "in", "radial width of cut")
ap = Symbol("ap", "length", "in", "axial depth of cut")
Q = Symbol("Q", "volume_rate", "in3/min", "metal removed in a unit of time")
VF = Symbol("vf", "speed", "in/min", "feed")
TIME = Symbol("T", "time", "s", "time")
_SHEET = "public machining formula sheet"
_TEXT = "textbooks of machining, as quoted on public pages"

CARDS = (
    Card(
        "spindle_speed", "spindle speed from cutting speed", (Symbol("v", "speed", "ft/min", "cutting speed"), D),
        Symbol("n", "frequency", "rpm", "turns of the spindle"), "v/(pi*D)", f"{_SHEET}: 3.819 V/D", "read",
        spindle_speed,
    ),
    Card(
        "feed_rate", "feed from the chip of each tooth",
        (
            Symbol("n", "frequency", "rpm", "turns of the spindle"), Symbol("z", "1", "", "teeth"),
            Symbol("fz", "length", "in", "feed of a tooth"),
        ),
        Symbol("vf", "speed", "in/min", "feed"), "n*z*fz", _SHEET, "read", feed_rate,
    ),
    Card(
        "chip_thinning", "how much faster to feed a narrow cut for the same chip", (ae, D),
        Symbol("k", "1", "", "factor on the feed of a tooth"), "D/(2*sqrt(ae*(D - ae)))",
        "geometry of the chip; handbooks by memory", "derived", chip_thinning,
        limits=(Limit("ae/D", 0.001, 0.5, "less than half the cutter is in the metal"),),
    ),
    Card(
        "removal_rate", "metal removed in a unit of time",
        (ae, ap, Symbol("vf", "speed", "in/min", "feed")), Q, "ae*ap*vf", _SHEET, "read", removal_rate,
    ),
    Card(
        "cutting_power", "power at the spindle", (Q, Symbol("kc", "stress", "ksi", "specific cutting force")),
        Symbol("P", "power", "hp", "power"), "Q*kc",
        f"{_SHEET}: aluminium 3 to 5 in³/min for one hp, which is 132 to 79 ksi", "read", cutting_power,
    ),
    Card(
        "motor_power", "power drawn for a cut",
        (Symbol("P", "power", "hp", "power of the cut"), Symbol("eta", "1", "", "efficiency of the spindle drive")),
        Symbol("Pm", "power", "hp", "power that the machine must have"), "P/eta", _TEXT, "read", motor_power,
        limits=(Limit("eta", 0.05, 1),),
    ),
    Card(
        "area_time", "time to clear an area in layers, side by side passes",
        (Symbol("m", "1", "", "layers"), Symbol("S", "area", "in2", "area of a layer"), ae, D, VF), TIME,
        "m*(S/ae + D)/vf", "length of the path over the feed; each layer is entered over one diameter", "derived",
        area_time,
    ),
    Card(
        "contour_time", "time to go round a square in layers, the cutter outside",
        (Symbol("m", "1", "", "layers"), Symbol("s", "length", "in", "side of the square"), D, VF), TIME,
        "m*(4*s + pi*D)/vf", "length of the path of the cutter's middle over the feed", "derived", contour_time,
    ),
    Card(
        "drill_point", "length of a drill's point", (D, Symbol("A", "angle", "deg", "point angle, whole")),
        Symbol("h", "length", "in", "length of the point"), "D/(2*tan(A/2))", "geometry; " + _TEXT, "read",
        drill_point,
    ),
    Card(
        "drill_time", "time of one hole",
        (Symbol("h", "length", "in", "depth with the drill's point"), Symbol("a", "length", "in", "approach"), VF),
        TIME,
        "(h + a)/vf", _TEXT, "read", drill_time,
    ),
    Card(
        "tap_drill", "drill for a share of the full thread",
        (Symbol("D", "length", "in", "major diameter"), Symbol("q", "1", "", "share of the full thread"),
         Symbol("p", "length", "in", "pitch")),
        Symbol("d", "length", "in", "drill"), "D - 1.299038105676658*q*p",
        "twice the height of a 60 degree thread less its flats: 3 sqrt(3)/4 of the pitch; public pages print 0.013 "
        "percent over threads an inch", "read", tap_drill,
    ),
    Card(
        "block_time", "machine time of one block",
        (
            Symbol("V", "volume", "in3", "metal to be roughed off"), Q,
            Symbol("eng", "1", "", "share of roughing time that the cutter is engaged"),
            Symbol("S", "area", "in2", "surface to finish"), Symbol("Qs", "area_rate", "in2/min", "finishing rate"),
            Symbol("h", "length", "in", "depth of all holes together, with approach"),
            Symbol("vh", "speed", "in/min", "feed of the drill"), Symbol("nc", "1", "", "tool changes"),
            Symbol("tc", "time", "s", "time of a tool change"), Symbol("ni", "1", "", "index moves"),
            Symbol("ti", "time", "s", "time of an index move"), Symbol("tl", "time", "s", "loading and unloading"),
        ),
        Symbol("T", "time", "min", "time"), "V/(Q*eng) + S/Qs + h/vh + nc*tc + ni*ti + tl",
        "sum of the parts of a cycle", "derived", block_time, limits=(Limit("eng", 0.01, 1),),
        note="every rate is the shop's; compare with the recorded cycle and fit eng and the finishing rate again",
    ),
    Card(
        "pivot_error", "error of a side face when the pivot is off",
        (Symbol("d", "length", "in", "error of the pivot length"), Symbol("B", "angle", "deg", "index angle")),
        Symbol("e", "length", "in", "error at the indexed side"), "2*d*sin(B/2)", "geometry", "derived", pivot_error,
    ),
)  # fmt: skip
