"""The spigot in its tube: limits of both, clearance, and the ISO 286 class that the shop works to.

The tube is the hole: its inside as bought, which is its outside less two walls with what their tolerance leaves. The
spigot is the shaft: the definition's size with its tolerance, or, where the shop works to a class, that class on the
nominal inside; a class that leaves the definition's limits fails the check. No film counts: bore and spigot are masked.
What corners ask: the tube's inside radius asks the spigot's edges broken, a fillet at the root the tube's inside edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rackwright.formulas.fits import largest_clearance, least_clearance, root_edge_break
from rackwright.making.asked import Asked
from rackwright.making.blank import Step
from rackwright.making.check import Check
from rackwright.making.mill.bars_in_hand import BarFit, BarInside, bar_fit, corner_break, edge_check
from rackwright.rack.model import Definition
from rackwright.reference import Rows
from rackwright.shop import Shop, ShopTube
from rackwright.trouble import UNCONFIRMED

__all__ = ["SpigotFit", "spigot_fit"]


@dataclass(frozen=True)
class SpigotFit:
    """Sizes in m; None while a value is asked for."""

    nominal: float  # the tube's inside
    defined: tuple[float, float] | None  # the spigot, by the definition's tolerance
    fit: str  # ISO 286 class that it is worked to, "" for none
    worked: tuple[float, float] | None
    inside: tuple[float, float] | None  # the tube, as bought
    inside_from: str
    root: float | None  # radius that the finishing tool leaves
    edges: float  # break of the spigot's long edges, at 45 degrees
    tube_edge: float | None  # break of the tube's inside edge, for the root's radius
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]
    marks: tuple[str, ...]
    bars: tuple[BarFit, ...] = ()  # in hand, for this order

    @property
    def to_mill(self) -> tuple[float, float] | None:
        """The size that goes into every bar in hand; the worked limits where none is."""
        if self.worked is None:
            return None
        return self.worked[0], min([self.worked[1], *(bar.to_mill[1] for bar in self.bars if bar.to_mill)])

    @property
    def clearance(self) -> tuple[float, float] | None:
        """Least and largest, both sides together."""
        if self.worked is None or self.inside is None:
            return None
        return (float(least_clearance(self.inside[0], self.worked[1])),
                float(largest_clearance(self.inside[1], self.worked[0])))  # fmt: skip


def spigot_fit(
    definition: Definition, root: int | None, shop: Shop, asked: list[Asked], bars: Sequence[BarInside] = ()
) -> SpigotFit:
    """`root` is the radius that stands at the spigot's root, nm; None where it is not known. `bars`: those in hand."""
    tube, block = definition.tube, definition.block
    nominal = (tube.side - 2 * tube.wall) * 1e-9
    size = nominal - block.spigot_gap * 1e-9
    checks: list[Check] = []
    defined = None
    if definition.tolerance is not None:
        defined = (size - definition.tolerance.block * 1e-9, size + definition.tolerance.block * 1e-9)
    worked, fit = defined, (shop.mill.spigot_fit or "") if shop.mill else ""
    marks: tuple[str, ...] = ()
    if fit:
        limits = _class(nominal, fit, shop.rows)
        if limits is None:
            asked.append(Asked("mill.spigot_fit", f"no ISO 286 row for {fit} at {nominal * 1e3:.3f} mm"))
            fit = ""
        else:
            worked, marks = limits[:2], limits[2]
            checks += _within(fit, worked, defined)
    bought = _bought(definition, shop)
    inside = None
    if bought is None or bought.inside_low is None or bought.inside_high is None:
        asked.append(Asked("tube.inside_low", "the tube's inside as bought: spigots are fitted to it"))
    else:
        inside = bought.inside_low * 1e-9, bought.inside_high * 1e-9
    steps: list[Step] = []
    if inside is not None and worked is not None:
        steps = [("least_clearance", {"EI": inside[0], "es": worked[1]}),
                 ("largest_clearance", {"ES": inside[1], "ei": worked[0]})]  # fmt: skip
        least = float(least_clearance(inside[0], worked[1]))
        checks.append(
            Check("least clearance of spigot and tube", least, 0.0, "m", False, "the tube must go on by hand")
        )
    gap = (inside[0] if inside else nominal) - (worked[1] if worked else size)
    edges = {"r": max(0, tube.corner_radius - tube.wall) * 1e-9, "g": max(0.0, gap / 2)}
    steps.append(("spigot_corner_break", edges))
    given = None if block.corner_break is None else block.corner_break * 1e-9
    if given is None and edges["r"] > 0:
        asked.append(
            Asked("block.corner_break", "how far the spigot's long edges are broken for the tube's corners")
        )
    checks += edge_check("edge break of the definition", corner_break(**edges), given)
    each = tuple(bar_fit(bar, inside, worked, edges["r"], given) for bar in bars)
    checks += [check for bar in each for check in bar.checks]
    ended = None
    if root is not None:
        rooted = {"r": root * 1e-9, "g": max(0.0, gap / 2)}
        steps.append(("root_edge_break", rooted))
        ended = float(root_edge_break(**rooted))
    return SpigotFit(
        nominal, defined, fit, worked, inside, (bought.document or "") if bought else "",
        None if root is None else root * 1e-9, corner_break(**edges), ended, tuple(checks), tuple(steps), marks,
        each,
    )  # fmt: skip


def _class(nominal: float, fit: str, rows: Rows) -> tuple[float, float, tuple[str, ...]] | None:
    """Least and largest size of the shaft class on this nominal size, m, and the row's marks. A step of sizes is over
    its first and to its last."""
    row = next((row for row in rows.fit_steps.values() if row.over < nominal <= row.to), None)
    deviations = row.limits(fit[0], int(fit[1:])) if row is not None else None
    if row is None or deviations is None:
        return None
    marks = (UNCONFIRMED,) if row.unconfirmed else ()
    return nominal + deviations[1], nominal + deviations[0], marks


def _within(fit: str, limits: tuple[float, float], defined: tuple[float, float] | None) -> list[Check]:
    if defined is None:
        return []
    source = "block.spigot_gap and tolerance.block of the definition"
    return [Check(f"largest spigot of {fit}", limits[1], defined[1], "m", True, source),
            Check(f"least spigot of {fit}", limits[0], defined[0], "m", False, source)]  # fmt: skip


def _bought(definition: Definition, shop: Shop) -> ShopTube | None:
    tube = definition.tube
    return next((one for one in shop.tube if (one.side, one.wall, one.stock) == (tube.side, tube.wall, tube.stock)),
                None)  # fmt: skip
