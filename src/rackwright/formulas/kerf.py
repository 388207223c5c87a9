"""Kerf: what the blade takes from a bar, and how many pieces remain.

Every piece costs its length and one cut; the bar gives up a head trim, one cut to make it, and the tail
the clamp holds. A mitred piece is counted on its long side. These are planning formulas on real numbers:
the saw plan itself works on whole units and is exact.
Source: arithmetic; geometry of a mitred square tube.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["STEEPEST", "bar_used", "mitre_short_side", "mitre_use", "pieces_per_bar", "wall_from_weight"]

STEEPEST = 60.0  # deg from the square: what a saw swings to (common practice, no source)


def pieces_per_bar(bar: Num, trim: Num, clamp: Num, kerf: Num, L: Num) -> Num:
    ratio = (bar - trim - clamp - kerf) / (L + kerf)
    return np.floor(np.round(ratio, 9))


def bar_used(n: Num, trim: Num, kerf: Num, L: Num) -> Num:
    return trim + kerf + n * (L + kerf)


def mitre_short_side(L: Num, b: Num, aa: Num, ab: Num) -> Num:
    return L - b * (np.tan(aa) + np.tan(ab))


def mitre_use(L: Num, kerf: Num, a: Num) -> Num:
    return L + kerf / np.cos(a)


def wall_from_weight(w: Num, rho: Num, L: Num, b: Num) -> Num:
    return (b - np.sqrt(b**2 - w / (rho * L))) / 2


bar = Symbol("bar", "length", "in", "length of the bar")
trim = Symbol("trim", "length", "in", "head trim")
clamp = Symbol("clamp", "length", "in", "tail the clamp holds")
kerf = Symbol("kerf", "length", "in", "width of the cut, as measured today")
L = Symbol("L", "length", "in", "length of a piece, on its long side")
_ARITHMETIC = "arithmetic of cutting"

CARDS = (
    Card(
        "pieces_per_bar", "pieces of one length from one bar", (bar, trim, clamp, kerf, L),
        Symbol("n", "1", "", "whole pieces"), "floor((bar - trim - clamp - kerf)/(L + kerf))", _ARITHMETIC,
        "derived", pieces_per_bar, limits=(Limit("(trim + clamp + kerf)/bar", high=1, why="a bar is left"),),
        note="a ratio within 1e-9 of a whole number counts as whole",
    ),
    Card(
        "bar_used", "length of bar used up by equal pieces",
        (Symbol("n", "1", "", "pieces"), trim, kerf, L), Symbol("used", "length", "in", "length used"),
        "trim + kerf + n*(L + kerf)", _ARITHMETIC, "derived", bar_used,
    ),
    Card(
        "mitre_short_side", "short side of a piece mitred at both ends",
        (
            L, Symbol("b", "length", "in", "depth of the tube across the mitre"),
            Symbol("aa", "angle", "deg", "mitre at one end, 0 = square"),
            Symbol("ab", "angle", "deg", "mitre at the other end"),
        ),
        Symbol("short", "length", "in", "length of the short side"), "L - b*(tan(aa) + tan(ab))",
        "geometry", "derived", mitre_short_side,
    ),
    Card(
        "mitre_use", "length of bar used by one mitred piece",
        (L, kerf, Symbol("a", "angle", "deg", "mitre")), Symbol("use", "length", "in", "length used"),
        "L + kerf/cos(a)", "geometry: the blade's width along the bar", "derived", mitre_use,
        limits=(Limit("a*180/pi", 0, 60, "degrees; what a saw swings to"),),
    ),
    Card(
        "wall_from_weight", "mean wall of a square tube from the weight of a bar",
        (
            Symbol("w", "mass", "lb", "mass of the bar"), Symbol("rho", "density", "lb/in3", "density"),
            Symbol("L", "length", "in", "length of the bar"), Symbol("b", "length", "in", "outside width"),
        ),
        Symbol("t", "length", "in", "mean wall, sharp corners"), "(b - sqrt(b**2 - w/(rho*L)))/2",
        "geometry", "derived", wall_from_weight,
        limits=(Limit("w/(rho*L*b**2)", high=1, why="the bar is hollow"),),
        note="a cheap detector of a wrong wall; it does not tell alloys apart",
    ),
)  # fmt: skip
