"""Finish, protection of unlike metals, bond and tolerances, as frozen data."""

from __future__ import annotations

from typing import Literal

from rackwright.fields import Angle, Length, Name, Number, Resistance, Temperature, Text, Time
from rackwright.fields import definition as _definition

__all__ = ["Bond", "CurePoint", "DetailTolerance", "Finish", "Metal", "OvenTime", "Protection", "Tolerance"]


@_definition
class CurePoint:
    """One point of the powder maker's window: metal at this temperature for at least this time."""

    metal: Temperature
    time: Time


@_definition
class OvenTime:
    """The time in the oven that a rack is proven after, all its coats together, as if all of it at this metal."""

    metal: Temperature
    time: Time


@_definition
class Finish:
    """The powder coat by its maker's document. `most_metal` is the hottest the temper may see.

    Without `oven_time` the strengths of a rack drawn are as delivered; its release counts the time that it saw.
    """

    powder: Name
    pretreatment: Text
    specific_gravity: Number
    transfer_efficiency: Number  # share of the powder that stays on
    film_low: Length
    film_high: Length
    cure: tuple[CurePoint, ...]
    most_metal: Temperature
    oven_time: OvenTime | None = None
    also: tuple[Literal["ring"], ...] = ()  # coated beside the aluminium pieces
    document: Text | None = None


Metal = Literal["aluminium", "stainless", "cadmium-plated steel"]


@_definition
class Protection:
    """What keeps two unlike metals apart, by name. `most` is the hottest it stands.

    `wet` names the sealant or primer that hardware is installed wet with: a dry torque table does not hold then.
    """

    name: Name
    between: tuple[Metal, Metal]
    method: Text
    most: Temperature
    wet: Name | None = None
    document: Text | None = None


@_definition
class Bond:
    """Bond path to the aircraft: bare pads on these blocks, and the most resistance between any two."""

    pads: tuple[Name, ...]  # block ids such as "block.bottom.front-left"
    most: Resistance
    document: Text | None = None


@_definition
class DetailTolerance:
    """Plus-or-minus tolerances of plates (panels, pads, gussets), shelf angles and rails, each from its datums.

    What its metal's specification holds (the legs of an angle) is checked when the metal is received.
    """

    outline: Length  # sizes of a plate, edges round a gusset's holes, the trimmed leg of a rail, a ring's eye and width
    hole_position: Length | None = None  # both ways; without it, that of holes along a tube
    thickness: Length | None = None  # of a plate; without it that of the metal as received stands
    flatness: Length | None = None  # of a plate, at most; without it none is measured


@_definition
class Tolerance:
    """Plus-or-minus tolerances of what is measured, and what any two racks may differ by."""

    hole_position: Length
    hole_size: Length | None = (
        None  # over the hole as drilled, by GO/NO-GO gauge, as threads then are; without it none is
    )
    block: Length
    outside: Length
    ring_angle: Angle
    ring_reach: Length
    mitre_angle: Angle | None = (
        None  # of a brace's sawn ends; without it none is measured, and it is asked for
    )
    between_racks: Length
    detail: DetailTolerance | None = (
        None  # of plates, angles and rails; without it only their lengths are measured, and it is asked for
    )
