"""An item of the definition as the box that stands in its place now."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from rackwright.rack.equipment import Equipment
from rackwright.record.service import Carried
from rackwright.units import NM_PER_M, parse_quantity

__all__ = ["item_as_carried"]

NOTHING = 0.001  # kg: an item that is out, whose holes are there


def item_as_carried(item: Equipment, now: Carried) -> Equipment:
    """An item with the mass, centre of gravity and place of the box that is there; their tolerances stay. Where nothing
    is there its screws and holes stay, so that it weighs a gram."""
    if now.out:
        return replace(item, mass=NOTHING, mass_tolerance=None)
    changes: dict[str, object] = {"part": now.part or item.part}
    if now.mass:
        changes["mass"] = float(parse_quantity(now.mass, "mass"))
    if now.cg:
        changes["cg"] = tuple(_nm(one) for one in now.cg)
    if item.on_shelf is not None and (now.shelf or now.at):
        place: dict[str, object] = {"shelf": now.shelf or item.on_shelf.shelf}
        if now.at:
            place["at"] = tuple(_nm(one) for one in now.at)
        changes["on_shelf"] = replace(item.on_shelf, **place)  # type: ignore[arg-type]
    return replace(item, **changes)  # type: ignore[arg-type]


def _nm(text: str) -> int:
    return round(Fraction(parse_quantity(text, "length")) * NM_PER_M)
