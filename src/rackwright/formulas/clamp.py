"""What a tightened bolt does to the wall under its washer.

The washer presses on the wall. Where the tube does not touch the spigot the bolt first bends the wall until it does:
a strip across the tube, held at both corners, pressed in at its middle by the gap. A square plate would be held on
more sides; the strip is taken for its closed form.
Sources: statics; a beam held at both ends under a force at its middle.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol
from rackwright.formulas.column import E
from rackwright.formulas.section import t

__all__ = ["closing_stress", "pull_through", "washer_pressure"]

_PI = np.pi


def washer_pressure(F: Num, Dw: Num, Dh: Num) -> Num:
    return F / (_PI / 4 * (Dw**2 - Dh**2))


def closing_stress(E: Num, t: Num, g: Num, b: Num) -> Num:
    return 12 * E * t * g / b**2


def pull_through(Fsu: Num, Dw: Num, t: Num) -> Num:
    return Fsu * _PI * Dw * t


CARDS = (
    Card(
        "washer_pressure", "pressure under a washer",
        (
            Symbol("F", "force", "lbf", "preload"), Symbol("Dw", "length", "in", "outside diameter of the washer"),
            Symbol("Dh", "length", "in", "hole, or the washer's inside where it is larger"),
        ),
        Symbol("p", "stress", "ksi", "pressure on the wall"), "F/(pi/4*(Dw**2 - Dh**2))", "statics", "derived",
        washer_pressure, limits=(Limit("Dh/Dw", low=0, high=0.95, why="metal is left"),),
    ),
    Card(
        "pull_through", "strength of a wall against its washer pulled through",
        (
            Symbol("Fsu", "stress", "ksi", "shear strength of the wall"),
            Symbol("Dw", "length", "in", "outside diameter of the washer"), t,
        ),
        Symbol("P", "force", "lbf", "ultimate pull"), "Fsu*pi*Dw*t", "shear on the cylinder under the washer's edge",
        "derived", pull_through, limits=(Limit("t/Dw", low=0, high=1, why="a wall, not a block"),),
    ),
    Card(
        "closing_stress", "bending of a wall pressed in at its middle",
        (
            E, t, Symbol("g", "length", "in", "gap that the wall closes"),
            Symbol("b", "length", "in", "clear width of the wall, held at both edges"),
        ),
        Symbol("fb", "stress", "ksi", "bending stress"), "12*E*t*g/b**2",
        "beam held at both ends, force at the middle: deflection P L³/(192 E I), moment P L/8", "derived",
        closing_stress, limits=(Limit("t/b", high=0.25, why="a thin wall"),),
        note="the gap decides, not the force: more torque presses on the spigot",
    ),
)  # fmt: skip
