"""Loads from rules, and what is left: inertia forces, overturning, margins of safety.

The emergency-landing factors are ultimate and act one at a time. The factor of safety is multiplied by the
highest pertinent special factor (fitting, casting, bearing, frequent removal), not by their product.
A margin of safety is allowable over factored applied, less one.
Sources: 14 CFR 25.561, 29.561, 25.619; statics.
"""

from __future__ import annotations

from functools import reduce

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["G0", "factored", "inertia_force", "margin_of_safety", "overturning_tension", "special_factor"]

G0 = 9.80665  # standard gravity, m/s²


def inertia_force(m: Num, n: Num) -> Num:
    return m * n * G0


def _highest(*several: Num) -> Num:
    """The highest of some special factors; 1 without any."""
    return reduce(np.maximum, several, 1.0)


def special_factor(fa: Num, fb: Num) -> Num:
    return _highest(fa, fb)


def factored(FS: Num, fitting: Num, bearing: Num, casting: Num, removal: Num) -> Num:
    return FS * _highest(fitting, bearing, casting, removal)


def margin_of_safety(allowable: Num, applied: Num, factor: Num) -> Num:
    with np.errstate(divide="ignore"):
        return np.divide(allowable, np.multiply(applied, factor)) - 1


def overturning_tension(F: Num, h: Num, b: Num, R: Num) -> Num:
    return F * h / b - R / 2


F = Symbol("F", "force", "lbf", "inertia force")

CARDS = (
    Card(
        "inertia_force", "inertia force of a mass under a load factor",
        (Symbol("m", "mass", "lb", "mass"), Symbol("n", "1", "", "load factor, multiples of weight")), F,
        "m*n*9.80665", "14 CFR 25.561(b)(3), 29.561(b)(3)", "read", inertia_force,
        note="ultimate where the rule says so; then no further factor of safety",
    ),
    Card(
        "special_factor", "the one special factor that counts",
        (
            Symbol("fa", "1", "", "one special factor, 1 if none"),
            Symbol("fb", "1", "", "another special factor, 1 if none"),
        ),
        Symbol("factor", "1", "", "factor on the applied load"), "Max(fa, fb, 1)",
        "14 CFR 25.619: the highest pertinent factor, not the product", "read", special_factor,
    ),
    Card(
        "factored", "factor on a limit load: the factor of safety times the highest special factor",
        (
            Symbol("FS", "1", "", "factor of safety; 1 where the load is ultimate already"),
            Symbol("fitting", "1", "", "fitting factor, 1 if none"),
            Symbol("bearing", "1", "", "bearing factor, 1 if none"),
            Symbol("casting", "1", "", "casting factor, 1 if none"),
            Symbol("removal", "1", "", "factor on an attachment removed often, 1 if not"),
        ),
        Symbol("factor", "1", "", "factor on the applied load"), "FS*Max(fitting, bearing, casting, removal, 1)",
        "14 CFR 25.619, 23.619, 23.2265(c): the highest pertinent special factor", "read", factored,
        note="never the product of special factors; 23.2265(c): on ultimate alone where there is no limit load",
    ),
    Card(
        "margin_of_safety", "margin of safety",
        (
            Symbol("allowable", "1", "", "allowable, in the unit of applied"),
            Symbol("applied", "1", "", "applied ultimate against ultimate, or limit against yield"),
            Symbol("factor", "1", "", "highest special factor, 1 if none"),
        ),
        Symbol("MS", "1", "", "margin of safety"), "allowable/(applied*factor) - 1", "definition", "derived",
        margin_of_safety, limits=(Limit("factor", low=1),),
    ),
    Card(
        "overturning_tension", "tension in the far row of feet under a sideways force",
        (
            F,
            Symbol("h", "length", "in", "height of the centre of gravity above the feet"),
            Symbol("b", "length", "in", "distance between the rows of feet"),
            Symbol("R", "force", "lbf", "relieving weight midway between the rows, 0 if the case acts alone"),
        ),
        Symbol("T", "force", "lbf", "tension in the row"), "F*h/b - R/2", "statics", "derived",
        overturning_tension, note="the rule's load acts separately: state whether the 1 g relief is used",
    ),
)  # fmt: skip
