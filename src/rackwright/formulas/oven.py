"""Oven: how long metal lags behind the air, and whether a part may be taken as one temperature.

A part of volume V heated over the area A at the coefficient h follows the oven with the time constant
ρ c (V/A)/h, as long as its Biot number h (V/A)/k stays below 0.1. The coefficient belongs to an oven and its
load: it is fitted from one run with a probe on a part, and the parts of another V/A follow. The cure clock
starts on the slowest metal, not on the air.
Source: lumped capacitance (any heat transfer text).
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["biot_number", "heat_to_warm", "oven_coefficient", "oven_time_constant", "time_to_temperature"]


def oven_time_constant(rho: Num, c: Num, m: Num, h: Num) -> Num:
    return rho * c * m / h


def time_to_temperature(tau: Num, D0: Num, D1: Num) -> Num:
    return tau * np.log(D0 / D1)


def oven_coefficient(rho: Num, c: Num, m: Num, time: Num, D0: Num, D1: Num) -> Num:
    return rho * c * m * np.log(D0 / D1) / time


def biot_number(h: Num, m: Num, k: Num) -> Num:
    return h * m / k


def heat_to_warm(w: Num, c: Num, dT: Num) -> Num:
    return w * c * dT


rho = Symbol("rho", "density", "lb/in3", "density")
c = Symbol("c", "specific_heat", "Btu/(lb*degF)", "specific heat")
m = Symbol("m", "length", "in", "volume over heated area; the wall of a closed tube")
h = Symbol("h", "heat_transfer", "Btu/(h*ft2*degF)", "heat transfer coefficient of oven and load")
tau = Symbol("tau", "time", "min", "time constant")
D0 = Symbol("D0", "temperature_change", "degF", "oven above the metal at the start")
D1 = Symbol("D1", "temperature_change", "degF", "oven above the metal at the end")
_LUMPED = "lumped capacitance, a textbook formula"
_RISING = (Limit("D0/D1", low=1, why="the metal warms and stays below the oven"),)

CARDS = (
    Card(
        "oven_time_constant", "time constant of a part in the oven", (rho, c, m, h), tau, "rho*c*m/h", _LUMPED,
        "derived", oven_time_constant,
    ),
    Card(
        "time_to_temperature", "time until the metal has a temperature", (tau, D0, D1),
        Symbol("time", "time", "min", "time"), "tau*log(D0/D1)", _LUMPED, "derived", time_to_temperature,
        limits=_RISING,
    ),
    Card(
        "oven_coefficient", "heat transfer coefficient fitted from one run with a probe",
        (rho, c, m, Symbol("time", "time", "min", "time measured"), D0, D1), h, "rho*c*m*log(D0/D1)/time", _LUMPED,
        "derived", oven_coefficient, limits=_RISING,
    ),
    Card(
        "biot_number", "whether a part may be taken as one temperature",
        (h, m, Symbol("k", "conductivity", "Btu/(h*ft*degF)", "thermal conductivity")),
        Symbol("Bi", "1", "", "Biot number"), "h*m/k", _LUMPED, "derived", biot_number, note="lumped below 0.1",
    ),
    Card(
        "heat_to_warm", "heat that a load takes up",
        (Symbol("w", "mass", "lb", "mass, the cart and fixtures as well"), c,
         Symbol("dT", "temperature_change", "degF", "warmed by")),
        Symbol("Q", "heat", "Btu", "heat"), "w*c*dT", _LUMPED, "derived", heat_to_warm,
    ),
)  # fmt: skip
