"""Lengths at another temperature than 20 °C (68 °F), where drawings hold.

A part at dT above the reference is longer by alpha dT. A stop that compensates itself is set to that
length; a scale that warms with the shop grows too, and its reading is less. Which of the two a saw is
must be found with a master bar. The coefficient itself is known to about two percent.
Source: D. A. Swyt, J. Res. NIST 99 (1994) 31.
"""

from __future__ import annotations

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["growth_apart", "length_at_reference", "length_when_warm", "stop_setting"]


def length_when_warm(L: Num, a: Num, dT: Num) -> Num:
    return L * (1 + a * dT)


def stop_setting(L: Num, a: Num, s: Num, dT: Num) -> Num:
    return L * (1 + a * dT) / (1 + s * dT)


def length_at_reference(R: Num, a: Num, s: Num, dT: Num) -> Num:
    return R * (1 + s * dT) / (1 + a * dT)


def growth_apart(L: Num, a: Num, s: Num, dT: Num) -> Num:
    return L * (a - s) * dT


L = Symbol("L", "length", "in", "length wanted at 20 °C")
a = Symbol("a", "expansion", "1/degF", "expansion coefficient of the part")
s = Symbol("s", "expansion", "1/degF", "expansion coefficient of the scale, 0 if it compensates itself")
dT = Symbol("dT", "temperature_change", "degF", "temperature above 20 °C (68 °F)")
_SWYT = "D. A. Swyt, J. Res. NIST 99 (1994) 31"
_SHOP = (Limit("Abs(dT)", high=50, why="kelvin; shop temperatures"),)

CARDS = (
    Card(
        "length_when_warm", "length of a part away from 20 °C", (L, a, dT),
        Symbol("LT", "length", "in", "length at temperature"), "L*(1 + a*dT)", _SWYT, "read", length_when_warm,
        limits=_SHOP,
    ),
    Card(
        "stop_setting", "reading of a saw's scale that cuts the wanted length", (L, a, s, dT),
        Symbol("R", "length", "in", "reading to set"), "L*(1 + a*dT)/(1 + s*dT)", _SWYT, "derived", stop_setting,
        limits=_SHOP,
    ),
    Card(
        "length_at_reference", "length at 20 °C of a part read on a warm scale",
        (Symbol("R", "length", "in", "reading"), a, s, dT), L, "R*(1 + s*dT)/(1 + a*dT)", _SWYT, "derived",
        length_at_reference, limits=_SHOP,
    ),
    Card(
        "growth_apart", "how far a part grows past the jig that holds it",
        (Symbol("L", "length", "in", "distance from the datum"), a,
         Symbol("s", "expansion", "1/degF", "expansion coefficient of the jig"), dT),
        Symbol("G", "length", "in", "difference"), "L*(a - s)*dT", _SWYT, "derived", growth_apart, limits=_SHOP,
        note="part and jig at one temperature; a part warm from the mill grows by all of L a dT",
    ),
)  # fmt: skip
