"""What a rack is, as frozen data: the tables of a definition file.

Rack axes, used by every position here: origin at the lower front left outside corner seen from the
front, x to the right (width), y to the rear (depth), z up (height); right-handed. Lengths are whole
nanometres, everything else SI floats; load factors are plain numbers.

A field that may be absent (`| None`) is one that a document must give. Its absence is an open question
(`questions.py`), never a default, and never stops computing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from rackwright.fields import (
    Angle,
    Axis,
    Force,
    Length,
    Mass,
    Name,
    Number,
    Resistance,
    Signed,
    Stiffness,
    Stress,
    Temperature,
    Text,
    Time,
    Whole,
)
from rackwright.fields import definition as _definition
from rackwright.trouble import Where

__all__ = [
    "CORNERS",
    "FORMAT",
    "Aircraft",
    "AngleStock",
    "Basis",
    "Block",
    "Bond",
    "Box",
    "Change",
    "CurePoint",
    "Definition",
    "Equipment",
    "ExtraCase",
    "Finish",
    "FittingPoint",
    "FloorFitting",
    "Hardware",
    "Joint",
    "JointBolt",
    "OnRails",
    "OnShelf",
    "Origin",
    "Outside",
    "Pad",
    "Protection",
    "Rack",
    "Rails",
    "Ring",
    "RingAllowable",
    "RingMake",
    "Sheet",
    "Shelf",
    "ShelfMake",
    "Strap",
    "StrapType",
    "Tolerance",
    "Tube",
    "Vent",
]

FORMAT = "rackwright/rack/1"
Corner = Literal["front-left", "front-right", "rear-left", "rear-right"]
CORNERS: tuple[Corner, ...] = ("front-left", "front-right", "rear-left", "rear-right")
Point = tuple[Signed, Signed, Signed]


# --- frame ---------------------------------------------------------------------------------------


@_definition
class Outside:
    """Overall dimensions over tubes and blocks (pads below z = 0 are extra)."""

    height: Length
    width: Length
    depth: Length


@_definition
class Vent:
    """Vent and drain holes: one near each end of every tube, beyond the spigot, in the wall that faces inward."""

    diameter: Length
    from_block: Length  # block face to the hole's centre


@_definition
class Tube:
    """The square tube of posts and cross members."""

    side: Length
    wall: Length
    corner_radius: Length  # outside; the inside radius is this less the wall
    material: Name  # a reference row
    stock: Name  # stock specification on the mill certificate
    vent: Vent | None = None  # without it a coated rack is refused: spigots close the tube at both ends


@_definition
class Block:
    """The corner block: a cube of the tube's side with a spigot into each of three tubes."""

    material: Name
    stock: Name
    spigot_length: Length
    spigot_gap: Length  # tube inside less spigot, both sides together


@_definition
class Hardware:
    """Bolt, washers and nut of a joint, and the hole drilled for them."""

    bolt: Name
    washer: Name
    nut: Name
    hole: Length


@_definition
class JointBolt:
    """One bolt through tube and spigot: distance from the tube's end, and the rack axis it runs along."""

    at: Length
    through: Literal["x", "y", "z"]


@_definition
class Joint:
    """How tubes are fastened to spigots; the same at both ends of every tube of a direction."""

    hardware: Hardware
    post: tuple[JointBolt, ...]
    width: tuple[JointBolt, ...]
    depth: tuple[JointBolt, ...]


# --- shelves and rails ---------------------------------------------------------------------------


@_definition
class AngleStock:
    """An equal or unequal angle: the leg that lies on the post, the leg that carries."""

    post_leg: Length
    carry_leg: Length
    thickness: Length
    material: Name
    stock: Name


@_definition
class Sheet:
    thickness: Length
    material: Name
    stock: Name


@_definition
class ShelfMake:
    """How every shelf is made: two angles front to rear on the posts, and a panel screwed on them."""

    angle: AngleStock
    panel: Sheet
    side_gap: Length  # between panel and post, each side
    hardware: Hardware  # angle to post, two bolts an end
    bolt_spread: Length  # between those two bolts, along the depth
    screw: Hardware  # panel to angle
    screw_pitch: Length  # at most, along the depth


@_definition
class Shelf:
    name: Name
    height: Length  # top of the panel


@_definition
class Rails:
    """Inside rails on the front posts for 19-inch panel equipment (the grid of IEC 60297)."""

    bottom: Length  # lower edge of unit 1
    units: Whole  # height units of 44.45 mm
    beyond: Length  # how far the rail reaches past its first and last unit
    setback: Length  # rack front to the rail's panel face
    opening: Length  # clear between the two rails
    angle: AngleStock  # carry_leg is the stock's; it is trimmed to leave the opening
    hardware: Hardware  # rail to post
    screw: Hardware  # panel to rail


# --- tie-down ------------------------------------------------------------------------------------


@_definition
class RingAllowable:
    """Strengths of the ring material with the document that states them."""

    document: Text
    Ftu: Stress
    Fsu: Stress
    Fbru: Stress
    Fty: Stress


@_definition
class RingMake:
    """The tie-down ring: cut flat, bent once between the bolts and the eye."""

    stock: Name
    thickness: Length
    width: Length
    eye: Length  # diameter of the eye
    eye_edge: Length  # eye centre to the rounded end
    flat_reach: Length  # middle of the bolts to the bend
    leg_reach: Length  # bend to the eye centre
    bend: Angle
    density: Number  # kg/m3, as a plain number of the document
    allowable: RingAllowable | None = None


@_definition
class Ring:
    """A ring held by the joint bolts of a post, on one outside face of it.

    `turn` turns the ring in that face about the face's outward normal; at zero the leg points away from
    the block along the post, and positive is by the right-hand rule.
    """

    name: Name
    post: Corner
    end: Literal["top", "bottom"]
    face: Axis
    turn: Angle


@_definition
class StrapType:
    name: Name
    axial_stiffness: Force  # force per unit strain (EA)
    pretension_low: Force
    pretension_high: Force
    allowable_ultimate: Force | None = None
    document: Text | None = None


@_definition
class Strap:
    name: Name
    ring: Name
    fitting: Name
    type: Name


@_definition
class FittingPoint:
    """Ultimate allowable at one angle of pull above the floor."""

    pull: Angle
    allowable_ultimate: Force


@_definition
class FloorFitting:
    name: Name
    at: Point  # rack axes
    allowable: tuple[FittingPoint, ...] | None = None
    document: Text | None = None


@_definition
class Pad:
    """Four pads under the lower blocks; they push, they never pull, and no friction is counted."""

    side: Length
    thickness: Length
    stiffness: Stiffness
    hardware: Hardware
    allowable_ultimate: Force | None = None
    document: Text | None = None


# --- equipment -----------------------------------------------------------------------------------


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


# --- aircraft ------------------------------------------------------------------------------------


@_definition
class Origin:
    """Where the rack's origin lies in the aircraft: station aft, buttock line right, waterline up positive."""

    station: Signed
    buttock_line: Signed
    waterline: Signed


@_definition
class Aircraft:
    type: Text
    forward: Axis  # the rack axis that points to the nose
    document: Text | None = None
    origin: Origin | None = None


@_definition
class Basis:
    """The certification basis that a person entered: rule, amendment and the document that says so."""

    rule: Name
    amendment: Name
    fitting_rule: Name
    document: Text


@_definition
class ExtraCase:
    """A case of the customer, in aircraft axes as multiples of g: the direction the masses are thrown."""

    name: Name
    kind: Literal["limit", "ultimate"]
    forward: Number
    left: Number
    up: Number
    document: Text


# --- finish, protection, tolerances --------------------------------------------------------------


@_definition
class CurePoint:
    """One point of the powder maker's window: metal at this temperature for at least this time."""

    metal: Temperature
    time: Time


@_definition
class Finish:
    """The powder coat by its maker's document. `most_metal` is the hottest the temper may see."""

    powder: Name
    pretreatment: Text
    specific_gravity: Number
    transfer_efficiency: Number  # share of the powder that stays on
    film_low: Length
    film_high: Length
    cure: tuple[CurePoint, ...]
    most_metal: Temperature
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
class Tolerance:
    """Plus-or-minus tolerances of what is measured, and what any two racks may differ by."""

    hole_position: Length
    block: Length
    outside: Length
    ring_angle: Angle
    ring_reach: Length
    between_racks: Length


# --- the whole -----------------------------------------------------------------------------------


@_definition
class Definition:
    """A standard, or a variation after its changes were applied."""

    format: Literal["rackwright/rack/1"]
    part: Name
    title: Text
    drawing: Name
    revision: Name
    outside: Outside
    tube: Tube
    block: Block
    joint: Joint
    shelf_make: ShelfMake
    pad: Pad
    shelf: tuple[Shelf, ...] = ()
    rails: Rails | None = None
    ring_make: RingMake | None = None
    ring: tuple[Ring, ...] = ()
    strap_type: tuple[StrapType, ...] = ()
    strap: tuple[Strap, ...] = ()
    floor_fitting: tuple[FloorFitting, ...] = ()
    equipment: tuple[Equipment, ...] = ()
    aircraft: Aircraft | None = None
    basis: Basis | None = None
    case: tuple[ExtraCase, ...] = ()
    finish: Finish | None = None
    protection: tuple[Protection, ...] = ()
    bond: Bond | None = None
    tolerance: Tolerance | None = None


@dataclass(frozen=True)
class Change:
    """One value that a variation changed: path, texts before and after (None: absent), why, and where."""

    path: str
    before: str | None
    after: str | None
    why: str
    where: Where


@dataclass(frozen=True)
class Rack:
    """A resolved definition with its changes against the standard and the place of every value."""

    definition: Definition
    standard: str  # part and revision of the standard, or of itself
    changes: tuple[Change, ...] = ()
    places: Mapping[str, Where] = field(default_factory=dict, compare=False, repr=False)
    file: str = ""

    def where(self, path: str) -> Where:
        """The place of a value, or of the nearest table around it."""
        while path and path not in self.places:
            path = path.rpartition(".")[0]
        return self.places.get(path, Where(self.file))
