"""Tightening: torque, preload, drag, and a wrench with an adapter.

Torque tables hold for the thread condition they state; the drag of a self-locking nut is measured and
added. The nut factor hides friction: it belongs to a finish and a lubricant.
Sources: AC 43.13-1B chapter 7 section 3, paragraphs 7-40; T = K D F.
"""

from __future__ import annotations

from rackwright.formulas.cards import Card, Num, Symbol

__all__ = ["final_torque", "nut_factor", "preload", "wrench_setting"]


def preload(T: Num, K: Num, D: Num) -> Num:
    return T / (K * D)


def nut_factor(T: Num, F: Num, D: Num) -> Num:
    return T / (F * D)


def final_torque(T: Num, Td: Num) -> Num:
    return T + Td


def wrench_setting(T: Num, L: Num, x: Num) -> Num:
    return T * L / (L + x)


T = Symbol("T", "moment", "in*lbf", "torque at the nut, without drag")
K = Symbol("K", "1", "", "nut factor of this finish and lubricant")
D = Symbol("D", "length", "in", "nominal diameter")
F = Symbol("F", "force", "lbf", "preload")

CARDS = (
    Card(
        "preload", "preload from torque", (T, K, D), F, "T/(K*D)", "common bolt formula T = K D F",
        "common practice", preload, note="scatter of 25 % and more: K is no material property",
    ),
    Card(
        "nut_factor", "nut factor from torque and preload", (T, F, D), K, "T/(F*D)",
        "common bolt formula T = K D F", "common practice", nut_factor,
    ),
    Card(
        "final_torque", "torque to set on a self-locking nut",
        (T, Symbol("Td", "moment", "in*lbf", "drag torque, measured before the nut seats")),
        Symbol("Tf", "moment", "in*lbf", "final torque"), "T + Td", "FAA AC 43.13-1B paragraph 7-40d", "read",
        final_torque, note="never over the table's maximum plus drag",
    ),
    Card(
        "wrench_setting", "setting of a wrench lengthened by an adapter in line",
        (
            T, Symbol("L", "length", "in", "lever of the wrench, drive to hand"),
            Symbol("x", "length", "in", "adapter, drive to nut, in line with the lever"),
        ),
        Symbol("Tw", "moment", "in*lbf", "setting"), "T*L/(L + x)",
        "FAA AC 43.13-1B figure 7-2, formula not seen", "memory", wrench_setting,
        note="an adapter at right angles to the wrench needs no correction",
    ),
)  # fmt: skip
