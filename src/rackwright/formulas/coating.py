"""Coating: how far powder goes, and what a film does to a fit.

One pound of powder of specific gravity one covers 192.3 ft² one mil thick. A hole loses two films, a slot
over a tube four when both are coated.
Sources: public powder coverage pages (192.3); geometry.
"""

from __future__ import annotations

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["gap_after_coating", "hole_after_coating", "powder_coverage"]


def powder_coverage(rho: Num, f: Num, eta: Num) -> Num:
    return eta / (rho * f)


def hole_after_coating(d: Num, f: Num) -> Num:
    return d - 2 * f


def gap_after_coating(g: Num, n: Num, f: Num) -> Num:
    return g - n * f


f = Symbol("f", "length", "mil", "film thickness")

CARDS = (
    Card(
        "powder_coverage", "area covered by a mass of powder",
        (
            Symbol("rho", "density", "gram/cm3", "density of the cured film, water = 1"), f,
            Symbol("eta", "1", "", "part of the powder that stays"),
        ),
        Symbol("C", "coverage", "ft2/lb", "area for a unit of mass"), "eta/(rho*f)",
        "conservation of volume; 192.3 ft²/lb at specific gravity 1 and 1 mil", "derived", powder_coverage,
        limits=(Limit("eta", 0, 1),),
    ),
    Card(
        "hole_after_coating", "diameter left in a coated hole",
        (Symbol("d", "length", "in", "diameter before coating"), f),
        Symbol("df", "length", "in", "diameter after"), "d - 2*f", "geometry", "derived", hole_after_coating,
    ),
    Card(
        "gap_after_coating", "what is left of a gap across a slide",
        (Symbol("g", "length", "in", "gap before coating, both sides together"),
         Symbol("n", "1", "", "coated faces across the fit: 2 for one part, 4 for both"), f),
        Symbol("gf", "length", "in", "gap after; negative does not go together"), "g - n*f", "geometry", "derived",
        gap_after_coating,
    ),
)  # fmt: skip
