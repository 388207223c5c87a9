"""The holes that a moved box leaves in a shelf's panel.

They are there whatever stands on the panel now. No check here takes a panel's section less its holes, nor their
distance from the new ones (`strength/checks/panel.py` takes the strip whole): with a hole open where no definition has
one, margins are NOT ASSESSED, and the rack does not go back to service. Filled they are by a repair that the holder of
the design approval accepted, and it is the holder who says that the panel is then as good; or the box goes back to
where it was. A swap that an older program recorded says nothing of holes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from rackwright.rack.equipment import Equipment
from rackwright.record.service import Carried, holes_open
from rackwright.units import NM_PER_M
from rackwright.work.service.as_carried import item_as_carried

__all__ = ["left_by", "place_of", "why_not", "with_holes"]

INCH = 0.0254


def place_of(item: Equipment, now: Carried | None) -> str:
    """Where an item is screwed on, in words; of one that is out, where the definition has its holes."""
    there = (item_as_carried(item, now) if now else item).on_shelf
    if there is None:
        return "the rails"
    x, y = (f"{at / NM_PER_M / INCH:.3f} in" for at in there.at)
    return f"{len(there.feet)} holes in shelf {there.shelf} at {x}, {y}"


def left_by(item: Equipment, before: Carried | None, now: Carried) -> tuple[str, ...]:
    """The place that a box leaves, where it stands at another one then."""
    was = place_of(item, before)
    return () if was == place_of(item, now) else (was,)


def with_holes(before: Carried | None, now: Carried, body: Mapping[str, Any]) -> Carried:
    """What the fold makes of it, before it is recorded."""
    if body.get("holes") == "filled":
        return now
    return replace(now, open_holes=holes_open(before, body.get("left", ()), body["place"]))


def why_not(carried: Sequence[Carried]) -> tuple[str, ...]:
    """Why margins are not assessed, of every hole that is open."""
    return tuple(
        f"{hole} are open where {one.item} was: no check here takes a panel's section less them; an accepted repair "
        "fills them, or the box goes back there"
        for one in carried
        for hole in one.open_holes
    )
