"""Limits and fits: the standard's tolerance unit and deviations, clearances, and what corners ask of a square spigot.

ISO 286-1 derives its tables from D, the geometric mean of a step of sizes: the standard tolerance is a multiple of the
unit i, the fundamental deviation of a shaft a power of D. The printed tables are rounded, and they hold; the formulas
show where they are from (`reference/practice.toml` has the rows). A spigot that is square meets two corners of a tube:
the radius inside along its length, and the fillet at the spigot's root where the tube's end stands.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "deviation_of_shaft",
    "largest_clearance",
    "least_clearance",
    "root_edge_break",
    "spigot_corner_break",
    "standard_tolerance",
    "tolerance_unit",
]


def tolerance_unit(D: Num) -> Num:
    # the rule gives micrometres of a size in millimetres
    return (0.45 * np.cbrt(D * 1e3) + 0.001 * D * 1e3) * 1e-6


def standard_tolerance(k: Num, D: Num) -> Num:
    return k * tolerance_unit(D)


def deviation_of_shaft(C: Num, x: Num, D: Num) -> Num:
    return -C * (D * 1e3) ** x * 1e-6


def least_clearance(EI: Num, es: Num) -> Num:
    return EI - es


def largest_clearance(ES: Num, ei: Num) -> Num:
    return ES - ei


def spigot_corner_break(r: Num, g: Num) -> Num:
    return np.maximum(0.0, r - g - np.sqrt(g * (2 * r - g)))


def root_edge_break(r: Num, g: Num) -> Num:
    return np.maximum(0.0, r - g)


D = Symbol("D", "length", "in", "geometric mean of the step of sizes")
g = Symbol("g", "length", "in", "gap between spigot and tube on one side")
_286 = "ISO 286-1, rule for grades 5 to 18 and sizes to 500 mm, as printed in a public textbook of machine drawing"
_STEP = Limit("D", 0.001, 0.5, "sizes to 500 mm")

CARDS = (
    Card(
        "tolerance_unit", "standard tolerance unit", (D,), Symbol("i", "length", "um", "tolerance unit"),
        "(0.45*(1000*D)**(1/3) + 0.001*1000*D)*10**(-6)", _286, "read", tolerance_unit, limits=(_STEP,),
    ),
    Card(
        "standard_tolerance", "standard tolerance of a grade from its multiple of the unit",
        (Symbol("k", "1", "", "multiple: IT6 10, IT7 16, IT8 25, IT9 40, IT10 64, IT11 100"), D),
        Symbol("IT", "length", "um", "standard tolerance"),
        "k*(0.45*(1000*D)**(1/3) + 0.001*1000*D)*10**(-6)", _286, "read", standard_tolerance, limits=(_STEP,),
        note="the standard's table is rounded, and holds: IT7 over 6 to 10 mm is 15 where the formula gives 14.4",
    ),
    Card(
        "deviation_of_shaft", "fundamental deviation of a shaft with clearance",
        (Symbol("C", "1", "", "factor: d 16, e 11, f 5.5, g 2.5"),
         Symbol("x", "1", "", "power: d 0.44, e and f 0.41, g 0.34"), D),
        Symbol("es", "length", "um", "upper deviation"), "-C*(1000*D)**x*10**(-6)", _286, "read", deviation_of_shaft,
        limits=(_STEP, Limit("x", 0.3, 0.5)),
    ),
    Card(
        "least_clearance", "least clearance of a fit",
        (Symbol("EI", "length", "in", "least size of the hole"), Symbol("es", "length", "in", "largest of the shaft")),
        Symbol("c", "length", "in", "clearance; below zero it is interference"), "EI - es", "definition", "derived",
        least_clearance,
    ),
    Card(
        "largest_clearance", "largest clearance of a fit",
        (Symbol("ES", "length", "in", "largest size of the hole"), Symbol("ei", "length", "in", "least of the shaft")),
        Symbol("c", "length", "in", "clearance"), "ES - ei", "definition", "derived", largest_clearance,
    ),
    Card(
        "spigot_corner_break", "how much of a square spigot's edges a tube's inside corner asks off, at 45 degrees",
        (Symbol("r", "length", "in", "radius of the tube's inside corner"), g),
        Symbol("c", "length", "in", "chamfer along each face"), "Max(0, r - g - sqrt(g*(2*r - g)))",
        "geometry: the chamfer's ends lie on the corner's arc", "derived", spigot_corner_break,
        limits=(Limit("g/r", 0, 1),),
    ),
    Card(
        "root_edge_break", "how much a fillet at the spigot's root asks off the tube's inside edge, at 45 degrees",
        (Symbol("r", "length", "in", "fillet at the root"), g), Symbol("c", "length", "in", "chamfer along each face"),
        "Max(0, r - g)", "geometry: the tube's end stands on the flat beyond the fillet", "derived", root_edge_break,
        limits=(Limit("g/r", 0, 1),),
    ),
)  # fmt: skip
