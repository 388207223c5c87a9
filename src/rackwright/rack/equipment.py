"""Equipment as frozen data: a list of items, each with mass, centre of gravity, mounting and keep-outs.

An item's axes are the rack's; its origin is the lower front left corner of its body, so that the centre of
gravity counts from the mounting face: the base of what stands on a shelf, the rear of the panel of what hangs
on the rails (its corner lies there, centred between the posts). Masses and centres come with a tolerance to
either side; every check takes the corner of that box of centres that is worst for it.
"""

from __future__ import annotations

from typing import Literal

from rackwright.fields import Band, Force, Length, Mass, Name, Power, Signed, Text, Whole
from rackwright.fields import definition as _definition
from rackwright.rack.interface import Point
from rackwright.rack.vibration import Isolators

__all__ = ["Box", "Equipment", "OnRails", "OnShelf", "RearSupport", "Tray"]

KeepOut = Literal["connectors", "cable bend", "air", "removal path", "other"]


@_definition
class Box:
    """A box in the equipment's own axes (parallel to the rack's), from its lower front left corner.

    A removal path is kept free on the ground: it may reach out of the rack, and is not judged under load.
    """

    at: Point
    size: tuple[Length, Length, Length]
    kind: KeepOut | None = None


@_definition
class Tray:
    """A tray that holds the item by latches: mass and centre of the item are with its tray."""

    part: Name
    document: Text | None = None
    allowable_ultimate: Force | None = None  # of the item's inertia force, in any direction


@_definition
class OnShelf:
    shelf: Name
    at: tuple[Signed, Signed]  # rack x and y of the equipment's lower front left corner
    feet: tuple[tuple[Signed, Signed], ...]  # base holes, its or its tray's, from that corner
    flange: Length  # thickness of its foot, held by the shelf's screws
    tray: Tray | None = None


@_definition
class RearSupport:
    """A bracket at the rear of a deep panel unit, screwed to a shelf's panel; part of the item's mass."""

    shelf: Name
    feet: tuple[tuple[Signed, Signed], ...]  # screws into the panel, x and y from the item's corner
    flange: Length


@_definition
class OnRails:
    unit: Whole  # lowest height unit it takes, from 1
    units: Whole
    flange: Length  # thickness of its front panel, held by the rails' screws
    rear: RearSupport | None = None


@_definition
class Equipment:
    """One item. `cg`, `cg_tolerance` and `keep_out` are in its own axes."""

    name: Name
    part: Name
    mass: Mass
    mass_basis: Literal["weighed", "data sheet", "estimated"]
    size: tuple[Length, Length, Length]
    cg: Point
    cg_tolerance: tuple[Band, Band, Band] | None = None
    mass_tolerance: Mass | None = None
    document: Text | None = None
    revision: Name | None = None  # of that document
    power: Power | None = None  # heat that it gives off at most
    on_shelf: OnShelf | None = None
    on_rails: OnRails | None = None
    keep_out: tuple[Box, ...] = ()
    isolators: Isolators | None = None
