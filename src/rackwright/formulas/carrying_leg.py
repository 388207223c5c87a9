"""The leg of a shelf angle under the edge of the panel that it carries, as a cantilever plate at its root.

Pressed, the panel rests on the leg's toe and its screws hold it back from turning over it. By balance of the leg the
moment at its root is the toe's reaction at the whole reach and, on top, the moment that the panel's end takes there,
whatever screws and edge carry of it. Both are the most that there is: the reaction further in has less of a lever, and
the reaction is that of ends held from turning. A leg and a panel that bend between root and screw, toe and screw let
the end turn: of two alike ends that leaves the share `end_held` of the fixed end's moment, of the heavier end more
than it can have; an angle that turns on its posts leaves less.

Along the leg a load at d from a simply supported edge reacts by P d/(pi (d2 + y2)), at a held one its moment does so.
The root under a load on the toe is bent by no more than 0.509 of it and by its reach in all (Jaramillo): under that
reaction it is bent most if all of it lies in the middle, which is `leg_length`. The moment's screw pulls where the toe
presses: what a load adds at the root for each step nearer to the toe is at most 0.37/l of it, whence `couple_length`.
Pulled at a screw, the leg is bent by `leg_point_moment`, whose chords lie above the plate's values.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["couple_length", "end_held", "leg_length", "leg_point_moment", "leg_root_moment"]


def leg_length(l: Num, d: Num) -> Num:
    return np.pi * l / (1.018 * np.arctan(l / (1.018 * d)))


def couple_length(l: Num) -> Num:
    return l / 0.37


def end_held(k: Num, s: Num, c: Num, L: Num) -> Num:
    return 1 / (1 + 2 / L * (k * (s + c / 3) + c / 4))


def leg_root_moment(R: Num, l: Num, w: Num, M: Num, v: Num) -> Num:
    return R * l / w + M / v


def leg_point_moment(P: Num, s: Num, l: Num) -> Num:
    u = s / l
    low = np.maximum(0.333, 0.296 + 0.148 * u)
    return P * np.maximum(low, np.maximum(0.252 + 0.236 * u, 0.189 + 0.32 * u))


l = Symbol("l", "length", "in", "from the leg's root to its toe")
s = Symbol("s", "length", "in", "from the leg's root to the screw")
_PLATE = "Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells"

CARDS = (
    Card(
        "leg_length", "length of a leg that bends under the reaction of a load on the panel that rests on its toe",
        (l, Symbol("d", "length", "in", "from the toe to the load, along the panel")),
        Symbol("w", "length", "in", "length of leg"), "pi*l/(1.018*atan(l/(1.018*d)))",
        f"{_PLATE}, edge of a half plate; Jaramillo 1950 for the leg: at most 0.509 P at its root", "derived",
        leg_length, limits=(Limit("d/l", low=0.0, why="the load lies on the toe or beyond"),),
        note="on the toe itself 1.96 l; far from it pi d",
    ),
    Card(
        "couple_length", "length of a leg that bends under a screw that pulls and the toe that presses", (l,),
        Symbol("v", "length", "in", "length of leg"), "l/0.37",
        "cantilever plate of infinite length: slope at its toe of what a load adds at the root, by Fourier integral",
        "derived", couple_length, note="one screw takes all; the nearer the screw to the root, the less",
    ),
    Card(
        "end_held", "share of the fixed end's moment that a panel's end has on a leg that bends", (
            Symbol("k", "1", "", "stiffness of the panel over that of the leg, E t3 each"),
            s,
            Symbol("c", "length", "in", "from the screw to the toe"),
            Symbol("L", "length", "in", "span of the panel, toe to toe"),
        ),
        Symbol("r", "1", "", "share"), "1/(1 + 2/L*(k*(s + c/3) + c/4))",
        "beams of unit width: the leg from its root, the panel held at screw and toe; both ends alike", "derived",
        end_held, limits=(Limit("(s + c)/L", low=0.0, high=0.5),),
        note="upper bound: the leg's own slope under the reaction, and one that turns at its root, leave less",
    ),
    Card(
        "leg_root_moment", "moment at the root of a leg that carries a panel's end", (
            Symbol("R", "force", "lbf", "reaction of the panel's end"), l,
            Symbol("w", "length", "in", "length of leg that the reaction bends"),
            Symbol("M", "moment", "in*lbf", "moment of the panel's end over the toe"),
            Symbol("v", "length", "in", "length of leg that the moment bends"),
        ),
        Symbol("m", "force", "lbf", "moment per unit length (in·lbf/in)"), "R*l/w + M/v", "balance of the leg",
        "derived", leg_root_moment, note="the share of each foot, summed over those of a line",
    ),
    Card(
        "leg_point_moment", "root of a long leg under a load between its root and its toe",
        (Symbol("P", "force", "lbf", "load at the screw"), s, l),
        Symbol("m", "force", "lbf", "moment per unit length (in·lbf/in)"),
        "P*Max(Max(0.333, 0.296 + 0.148*u), Max(0.252 + 0.236*u, 0.189 + 0.32*u))",
        "cantilever plate of infinite length, by Fourier integral: 0.332, 0.370, 0.428, 0.509 at 1/4, 1/2, 3/4 and the "
        "whole reach, as in Roark after Jaramillo 1950 (memory); chords above them", "derived", leg_point_moment,
        where=(("u", "s/l"),), limits=(Limit("s/l", low=0.0, high=1.0),), note="for a Poisson's ratio of 0.3",
    ),
)  # fmt: skip
