"""The cone of directions a strap may take: the worst direction in it, found and not sampled.

Load effects of a pull are convex in its direction: norms and sums of absolute components, and the load multiplier of
a convex interaction. A convex function over a set takes its largest value at a corner of any polyhedron around that
set. So the cone is enclosed by corners on circles of directions, each scaled by 1/cos r, r being half the diagonal of
a cell: a combination of directions within r of a cell's middle is at least cos r long. The outermost circle is
widened until its polygon lies outside the cone (by 0.006 degrees at 3 with 48 corners). What is found is therefore
never below the true worst of the cone, and above that of the widened cone by less than the printed factor. For one
component, and for the lug's interaction, the worst direction is known in closed form. Source: convexity; spherical
trigonometry.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol

__all__ = ["cone_excess", "cone_pull", "cone_rim", "oblique_worst"]


def cone_pull(P: Num, theta: Num, alpha: Num) -> Num:
    return P * np.cos(np.maximum(theta - alpha, 0))


def cone_rim(alpha: Num, half: Num) -> Num:
    return np.arctan(np.tan(alpha) / np.cos(half))


def cone_excess(step: Num, apart: Num) -> Num:
    return 1 / np.cos((step + apart) / 2)


def oblique_worst(A: Num, B: Num) -> Num:
    return B**8 / (A**8 + B**8)


CARDS = (
    Card(
        "cone_pull", "largest component along an axis of a pull that may lie anywhere in a cone",
        (
            Symbol("P", "force", "lbf", "pull"),
            Symbol("theta", "angle", "deg", "between the axis and the cone's middle"),
            Symbol("alpha", "angle", "deg", "half-angle of the cone"),
        ),
        Symbol("F", "force", "lbf", "largest component"), "P*cos(Max(theta - alpha, 0))",
        "spherical trigonometry: the axis itself where the cone holds it, else the nearest edge of the cone", "derived",
        cone_pull,
    ),
    Card(
        "cone_rim", "outermost circle of the polyhedron around a cone of directions",
        (
            Symbol("alpha", "angle", "deg", "half-angle of the cone"),
            Symbol("half", "angle", "deg", "half the turn about the axis from corner to corner"),
        ),
        Symbol("rim", "angle", "deg", "half-angle of the circle whose polygon lies outside the cone"),
        "atan(tan(alpha)/cos(half))", "spherical trigonometry", "derived", cone_rim,
    ),
    Card(
        "cone_excess", "how far the polyhedron around a cone of directions reaches beyond the unit sphere",
        (
            Symbol("step", "angle", "deg", "between circles"),
            Symbol("apart", "angle", "deg", "between corners of the outermost circle"),
        ),
        Symbol("excess", "1", "", "what is found over the true worst, at most"),
        "1/cos((step + apart)/2)", "convexity: directions within r of one combine to no less than cos r",
        "derived", cone_excess, limits=(Limit("(step + apart)*90/pi", high=60, why="degrees: cells are small"),),
        note="the certificate of the search: the worst of the cone to its rim lies between this part of it and it",
    ),
    Card(
        "oblique_worst", "worst obliquity of a lug under a pull free to turn",
        (
            Symbol("A", "1", "", "pull over axial strength"),
            Symbol("B", "1", "", "pull over transverse strength"),
        ),
        Symbol("x", "1", "", "square of the sine of the angle off the lug's axis"), "B**8/(A**8 + B**8)",
        "largest value of (A cos)^1.6 + (B sin)^1.6, which is concave in the sine squared", "derived", oblique_worst,
    ),
)  # fmt: skip
