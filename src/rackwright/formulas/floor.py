"""Floors: pressure, running load, and how shoring spreads a load; ratings brought to ultimate.

A floor has limits of its own per area, per length and at a point. Running load is counted along the aircraft. Shoring
spreads at 45 degrees, by its thickness on every side. A maker's working or proof rating becomes an ultimate
allowable only by a factor that a document states.
Sources: statics; FM 55-9 chapter 6 for shoring.
"""

from __future__ import annotations

from rackwright.formulas.cards import Card, Num, Symbol

__all__ = ["floor_pressure", "rated_ultimate", "running_load", "shored_area"]


def floor_pressure(F: Num, A: Num) -> Num:
    return F / A


def running_load(F: Num, L: Num) -> Num:
    return F / L


def shored_area(a: Num, b: Num, t: Num) -> Num:
    return (a + 2 * t) * (b + 2 * t)


def rated_ultimate(R: Num, k: Num) -> Num:
    return R * k


F = Symbol("F", "force", "lbf", "force on the floor")
CARDS = (
    Card(
        "floor_pressure", "pressure on the floor", (F, Symbol("A", "area", "in2", "area in contact")),
        Symbol("p", "stress", "psi", "pressure"), "F/A", "statics", "derived", floor_pressure,
        note="even over the contact: the document says what it counts",
    ),
    Card(
        "running_load", "load per length along the aircraft",
        (F, Symbol("L", "length", "in", "length along the aircraft that the document counts over")),
        Symbol("q", "line_load", "lbf/in", "running load"), "F/L", "statics", "derived", running_load,
    ),
    Card(
        "shored_area", "area under shoring",
        (
            Symbol("a", "length", "in", "length in contact with the shoring"),
            Symbol("b", "length", "in", "width in contact with the shoring"),
            Symbol("t", "length", "in", "thickness of the shoring"),
        ),
        Symbol("A", "area", "in2", "area on the floor"), "(a + 2*t)*(b + 2*t)",
        "FM 55-9 chapter 6: a load spreads at 45 degrees", "read", shored_area,
        note="where the shoring reaches at least its thickness beyond the load",
    ),
    Card(
        "rated_ultimate", "ultimate allowable of a rating",
        (
            Symbol("R", "force", "lbf", "rating, as its maker means it"),
            Symbol("k", "1", "", "factor to ultimate that a document states; 1 for ultimate and minimum break"),
        ),
        Symbol("Pu", "force", "lbf", "ultimate allowable"), "R*k", "definition", "derived", rated_ultimate,
        note="never guessed: without a stated factor a working or proof rating gives no allowable",
    ),
)  # fmt: skip
