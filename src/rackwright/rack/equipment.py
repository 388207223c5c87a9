"""Equipment as frozen data: a list of items, each with mass, centre of gravity, mounting and keep-outs."""

from __future__ import annotations

from typing import Literal

from rackwright.fields import Length, Mass, Name, Signed, Text, Whole
from rackwright.fields import definition as _definition
from rackwright.rack.installation import Point
from rackwright.rack.vibration import Isolators

__all__ = ["Box", "Equipment", "OnRails", "OnShelf"]


@_definition
class Box:
    """A box in the equipment's own axes (parallel to the rack's), from its lower front left corner."""

    at: Point
    size: tuple[Length, Length, Length]


@_definition
class OnShelf:
    shelf: Name
    at: tuple[Signed, Signed]  # rack x and y of the equipment's lower front left corner
    feet: tuple[tuple[Signed, Signed], ...]  # screw positions from that corner
    flange: Length  # thickness of its foot, held by the shelf's screws


@_definition
class OnRails:
    unit: Whole  # lowest height unit it takes, from 1
    units: Whole
    flange: Length  # thickness of its front panel, held by the rails' screws


@_definition
class Equipment:
    """One item. `cg` and `keep_out` are from the lower front left corner of its body; behind the rails
    that corner lies on the panel's rear face, centred between the posts."""

    name: Name
    part: Name
    mass: Mass
    mass_basis: Literal["weighed", "data sheet", "estimated"]
    size: tuple[Length, Length, Length]
    cg: Point
    mass_tolerance: Mass | None = None
    document: Text | None = None
    on_shelf: OnShelf | None = None
    on_rails: OnRails | None = None
    keep_out: tuple[Box, ...] = ()
    isolators: Isolators | None = None
