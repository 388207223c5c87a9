"""Water jet and plate: offset, time of a cut path, time over thickness and quality, and rows of blanks on a plate.

The jet's speed comes from timed cuts of the shop: thickness and quality then scale the time by (q h)^1.15, the form
of Zeng and Kim, whose constants belong to one pump and are not used. Holes are cut slower than outlines.
Sources: form of Zeng and Kim's cutting-speed equation (memory); geometry and arithmetic for the rest.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = [
    "blanks_in_a_row",
    "jet_offset",
    "jet_time",
    "jet_time_ratio",
    "rounded_rectangle_perimeter",
    "uncompensated_hole",
]


def jet_offset(kerf: Num) -> Num:
    return kerf / 2


def uncompensated_hole(d: Num, kerf: Num) -> Num:
    return d + kerf


def jet_time_ratio(kh: Num, kq: Num) -> Num:
    return (kh * kq) ** 1.15


def jet_time(Lo: Num, Lh: Num, u: Num, s: Num, n: Num, tp: Num, tm: Num) -> Num:
    return Lo / u + Lh / (s * u) + n * tp + tm


def rounded_rectangle_perimeter(a: Num, b: Num, r: Num) -> Num:
    return 2 * (a + b) - 8 * r + 2 * np.pi * r


def blanks_in_a_row(S: Num, edge: Num, gap: Num, b: Num) -> Num:
    return np.floor(np.round((S - 2 * edge + gap) / (b + gap), 9))


kerf = Symbol("kerf", "length", "in", "width of the jet's cut, as measured")

CARDS = (
    Card(
        "jet_offset", "path of the jet beside the outline", (kerf,), Symbol("o", "length", "in", "offset"), "kerf/2",
        "geometry", "derived", jet_offset,
    ),
    Card(
        "uncompensated_hole", "hole that comes out when the path is not offset",
        (Symbol("d", "length", "in", "diameter drawn"), kerf), Symbol("dc", "length", "in", "diameter cut"),
        "d + kerf", "geometry", "derived", uncompensated_hole,
    ),
    Card(
        "jet_time_ratio", "how much longer a cut takes",
        (
            Symbol("kh", "1", "", "thickness over the timed thickness"),
            Symbol("kq", "1", "", "quality over the timed quality"),
        ),
        Symbol("k", "1", "", "time over the timed time"), "(kh*kq)**1.15",
        "form of Zeng and Kim: speed ~ 1/(q h)^1.15", "memory", jet_time_ratio,
        limits=(Limit("kh", 0.5, 2, "near the timed cut"), Limit("kq", 0.2, 5)),
    ),
    Card(
        "jet_time", "time of the jet on one blank",
        (
            Symbol("Lo", "length", "in", "length of the outline's path"),
            Symbol("Lh", "length", "in", "length of the holes' paths"), Symbol("u", "speed", "in/min", "cutting speed"),
            Symbol("s", "1", "", "share of the speed in holes"), Symbol("n", "1", "", "pierces"),
            Symbol("tp", "time", "s", "time of a pierce"), Symbol("tm", "time", "s", "time of moves"),
        ),
        Symbol("T", "time", "min", "time"), "Lo/u + Lh/(s*u) + n*tp + tm", "sum of the parts of a cycle", "derived",
        jet_time, limits=(Limit("s", 0.01, 1),), note="speeds from timed cuts of the shop, corners included",
    ),
    Card(
        "rounded_rectangle_perimeter", "perimeter of a rectangle with rounded corners",
        (
            Symbol("a", "length", "in", "one side"), Symbol("b", "length", "in", "other side"),
            Symbol("r", "length", "in", "corner radius"),
        ),
        Symbol("p", "length", "in", "perimeter"), "2*(a + b) - 8*r + 2*pi*r", "geometry", "derived",
        rounded_rectangle_perimeter,
    ),
    Card(
        "blanks_in_a_row", "equal blanks in one row of a plate",
        (
            Symbol("S", "length", "in", "length of the plate along the row"),
            Symbol("edge", "length", "in", "border kept free"), Symbol("gap", "length", "in", "web between blanks"),
            Symbol("b", "length", "in", "size of a blank along the row"),
        ),
        Symbol("n", "1", "", "whole blanks"), "floor((S - 2*edge + gap)/(b + gap))", "arithmetic", "derived",
        blanks_in_a_row, limits=(Limit("2*edge/S", high=1, why="a plate is left"),),
        note="a ratio within 1e-9 of a whole number counts as whole",
    ),
)  # fmt: skip
