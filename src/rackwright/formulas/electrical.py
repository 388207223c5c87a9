"""Resistance to ground and of a bond: two readings each.

A part that is sprayed with powder is grounded through at most one megohm, measured with at least 500 V (NFPA 33
and NEC article 516, as quoted in public code text and equipment manuals); a battery ohmmeter does not prove it.
A bond of milliohms is measured with four wires: current through two, voltage between the other two.
Source: Ohm's law.
"""

from __future__ import annotations

from rackwright.formulas.cards import Card, Num, Symbol

__all__ = ["four_wire_resistance", "leak_current"]


def leak_current(V: Num, R: Num) -> Num:
    return V / R


def four_wire_resistance(V: Num, i: Num) -> Num:
    return V / i


V = Symbol("V", "voltage", "V", "voltage")

CARDS = (
    Card(
        "leak_current", "current to ground at the test voltage",
        (V, Symbol("R", "resistance", "Mohm", "resistance to ground")),
        Symbol("i", "current", "uA", "current"), "V/R", "Ohm's law", "derived", leak_current,
    ),
    Card(
        "four_wire_resistance", "resistance of a bond from current and voltage",
        (V, Symbol("i", "current", "A", "current")), Symbol("R", "resistance", "mohm", "resistance"), "V/i",
        "Ohm's law", "derived", four_wire_resistance, note="a hand multimeter cannot measure milliohms",
    ),
)  # fmt: skip
