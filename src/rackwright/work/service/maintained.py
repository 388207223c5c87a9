"""As maintained: the frozen definition with what the record holds of a rack now, proven by the same code.

as built          measurements and metal of what stands in each place today (`engineering/as_built.py`)
its weight        what the scales found last; of before the work, and said so, where it is not weighed since
what it carries   mass, centre of gravity and place of each item as recorded last
its oven time     all bakes, the first coat's too (`engineering/oven_time.py`)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from rackwright.design import Design
from rackwright.record import State
from rackwright.record.service import Carried
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.engineering.as_weighed import OnScales, on_scales
from rackwright.work.engineering.metal_as_made import OtherMetal, not_assessed, other_metal
from rackwright.work.engineering.oven_time import Get, Heated, oven_time
from rackwright.work.service.as_carried import item_as_carried
from rackwright.work.service.holes import why_not

__all__ = ["Maintained", "as_maintained", "loaded"]


@dataclass(frozen=True)
class Maintained:
    """A rack as it is now: the design that is proven, and what stands behind it."""

    design: Design
    heated: tuple[Heated, ...]
    carried: tuple[Carried, ...]
    other: tuple[OtherMetal, ...]
    weight: OnScales | None = None  # the last weighing, of before the work where it is not weighed since

    @property
    def not_assessed(self) -> tuple[str, ...]:
        """What nothing here computes, in words."""
        metal = [f"{one.piece} is of {one.made_of}: {one.why_not}" for one in not_assessed(self.other)]
        hot = [f"{one.material}, {one.piece}: {one.why_not}" for one in self.heated if one.why_not]
        fit = [f"{fault.where.field}: {fault.found}" for fault in self.design.faults]
        scales = [
            f"weight of event {one.seq}: {one.why_not}" for one in (self.weight,) if one and one.why_not
        ]
        return (*metal, *hot, *scales, *why_not(self.carried), *fit)


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
    built, weight = as_measured(state, full, serial, get), on_scales(state, full, serial)
    return Maintained(built, oven_time(state, full, serial, get), kept, other, weight)


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
