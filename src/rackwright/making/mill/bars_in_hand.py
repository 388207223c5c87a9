"""The bars that an order's tubes are cut from, as measured inside, and the spigot's fit in each of them.

A tolerance says what any bar may be; a gauge says what this one is. Each bar is taken at the adverse end of the gauge's
uncertainty: the least width less it for whether the tube goes on, the largest width with it for how loose it sits, the
inside corner's radius with it for the edge break. A bar that was not measured is taken as the tube is bought. Where a
bar is tighter than the worked class allows for, the class's upper limit comes down to it; the lower one stays.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.formulas.fits import largest_clearance, least_clearance, spigot_corner_break
from rackwright.making.check import Check

__all__ = ["BarFit", "BarInside", "bar_fit", "corner_break", "edge_check"]

Limits = tuple[float, float]


@dataclass(frozen=True)
class BarInside:
    """A bar in hand and the pieces cut, or to be cut, from it. Lengths in m; no widths: its inside was not measured."""

    bar: str
    heat: str
    section: str
    stock: str
    pieces: tuple[str, ...]
    widths: tuple[float, ...] = ()  # across flats at the ends seen
    corner: float | None = None  # inside radius
    uncertainty: float = 0.0
    gauge: str = ""


@dataclass(frozen=True)
class BarFit:
    """The spigot in one bar; None where neither a measurement nor the tube as bought says its inside. Lengths in m."""

    bar: BarInside
    inside: Limits | None
    to_mill: Limits | None
    clearance: Limits | None  # both sides together, of the spigot as it is to be milled
    edges: float  # break of the spigot's long edges that its corners ask, at 45 degrees
    checks: tuple[Check, ...]


def bar_fit(
    bar: BarInside, bought: Limits | None, worked: Limits | None, corner: float, given: float | None
) -> BarFit:
    """`corner`: the nominal inside radius, for a bar without one; `given`: the definition's edge break, None: none."""
    inside = bought
    if bar.widths:
        inside = min(bar.widths) - bar.uncertainty, max(bar.widths) + bar.uncertainty
    radius = corner if bar.corner is None else bar.corner + bar.uncertainty
    if inside is None or worked is None:
        return BarFit(bar, inside, None, None, corner_break(radius, 0.0), ())
    to_mill = worked[0], min(worked[1], inside[0])
    clearance = float(least_clearance(inside[0], to_mill[1])), float(largest_clearance(inside[1], to_mill[0]))
    edges = corner_break(radius, max(0.0, clearance[0] / 2))
    goes_on = Check(f"largest spigot that {bar.bar} goes on", to_mill[1], worked[0], "m", False,
                    "the least spigot allowed must go in by hand")  # fmt: skip
    checks = (goes_on, *edge_check(f"edge break for {bar.bar}", edges, given))
    return BarFit(bar, inside, to_mill, clearance, edges, checks)


def corner_break(r: float, g: float) -> float:
    """A gap wider than the corner's radius asks nothing."""
    return float(spigot_corner_break(r, g)) if g < r else 0.0


def edge_check(name: str, needed: float, given: float | None) -> tuple[Check, ...]:
    """The definition's edge break against what a corner asks; nothing to compare where it states none."""
    if given is None:
        return ()
    return (Check(name, given, needed, "m", False, "block.corner_break against the tube's inside corner"),)
