"""As maintained: the frozen definition with what the record holds of a rack now, proven by the same code.

as built          measurements and metal of what stands in each place today (`engineering/as_built.py`)
what it carries   mass, centre of gravity and place of each item as recorded last
its oven time     all bakes, the first coat's too (`engineering/oven_time.py`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from rackwright.design import Design
from rackwright.rack.equipment import Equipment
from rackwright.record import State
from rackwright.record.service import Carried
from rackwright.units import NM_PER_M, parse_quantity
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.engineering.metal_as_made import OtherMetal, not_assessed, other_metal
from rackwright.work.engineering.oven_time import Get, Heated, oven_time

__all__ = ["Maintained", "as_maintained", "item_as_carried", "loaded"]

NOTHING = 0.001  # kg: an item that is out, whose holes are there


@dataclass(frozen=True)
class Maintained:
    """A rack as it is now: the design that is proven, and what stands behind it."""

    design: Design
    heated: tuple[Heated, ...]
    carried: tuple[Carried, ...]
    other: tuple[OtherMetal, ...]

    @property
    def not_assessed(self) -> tuple[str, ...]:
        """What nothing here computes, in words."""
        metal = [f"{one.piece} is of {one.made_of}: {one.why_not}" for one in not_assessed(self.other)]
        hot = [f"{one.material}, {one.piece}: {one.why_not}" for one in self.heated if one.why_not]
        fit = [f"{fault.where.field}: {fault.found}" for fault in self.design.faults]
        return (*metal, *hot, *fit)


def as_maintained(
    state: State, design: Design, serial: str, get: Get, carried: Mapping[str, Carried] | None = None
) -> Maintained:
    """`design` is the frozen one, `get` gives a file of the record by its hash; `carried`: as if this were carried.

    Raises Stopped with the faults of a thermocouple file that cannot be read any more.
    """
    now = state.carried.get(serial, {}) if carried is None else carried
    kept = tuple(now[item] for item in sorted(now))
    other = other_metal(state, design, serial)
    full = loaded(replace(design, measured={}) if design.measured else design, kept)
    if full.faults:
        return Maintained(full, (), kept, other)
    return Maintained(as_measured(state, full, serial, get), oven_time(state, full, serial, get), kept, other)


# --- what it carries -----------------------------------------------------------------------------


@lru_cache(maxsize=8)
def loaded(design: Design, carried: tuple[Carried, ...]) -> Design:
    """The design with other boxes in the places of its items."""
    by = {one.item: one for one in carried}
    if not any(item.name in by for item in design.rack.definition.equipment):
        return design
    items = tuple(
        item_as_carried(item, by[item.name]) if item.name in by else item
        for item in design.rack.definition.equipment
    )
    definition = replace(design.rack.definition, equipment=items)
    return replace(design, rack=replace(design.rack, definition=definition))


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
