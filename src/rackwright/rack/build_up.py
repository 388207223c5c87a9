"""What a rack is built from, as frozen data: outside, tube, block, joint, shelves and rails."""

from __future__ import annotations

from typing import Literal

from rackwright.fields import Force, Length, Mass, Moment, Name, Number, Temperature, Text, Whole
from rackwright.fields import definition as _definition
from rackwright.rack.finish import Metal

__all__ = [
    "CORNERS",
    "AnchorTorque",
    "AngleStock",
    "Block",
    "Corner",
    "Hardware",
    "Insert",
    "Joint",
    "JointBolt",
    "LeastWall",
    "Nutplate",
    "Outside",
    "Rails",
    "RivetPattern",
    "Sheet",
    "Shelf",
    "ShelfMake",
    "Slip",
    "Tapped",
    "Tightening",
    "Tube",
    "Vent",
]

Corner = Literal["front-left", "front-right", "rear-left", "rear-right"]
CORNERS: tuple[Corner, ...] = ("front-left", "front-right", "rear-left", "rear-right")


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
class LeastWall:
    """The least wall of the tube: its standard's tolerance taken off, or as measured; strength is judged by it."""

    wall: Length
    document: Text


@_definition
class Tube:
    """The square tube of posts and cross members."""

    side: Length
    wall: Length
    corner_radius: Length  # outside; the inside radius is this less the wall
    material: Name  # a reference row
    stock: Name  # stock specification on the mill certificate
    least: LeastWall | None = None  # without it strength is judged by the nominal wall, and says so
    vent: Vent | None = None  # without it a coated rack is refused: spigots close the tube at both ends


@_definition
class Block:
    """The corner block: a cube of the tube's side with a spigot into each of three tubes."""

    material: Name
    stock: Name
    spigot_length: Length
    spigot_gap: Length  # tube inside less spigot, both sides together
    fillet: Length | None = None  # radius at the spigots' roots
    corner_break: Length | None = (
        None  # off the spigots' long edges at 45 degrees, for the tube's inside corners
    )
    grain: Literal["z"] | None = None  # of its stock: along the post, as the mill clamps it


@_definition
class AnchorTorque:
    """Torque of a bolt into this anchor, running torque not in it; the limit is never passed."""

    low: Moment
    high: Moment
    limit: Moment
    wet: Text | None = None  # what the threads are wet with; without it dry
    document: Text


@_definition
class RivetPattern:
    """The two rivet holes of a nutplate, in line through its bolt."""

    part: Name
    hole: Length
    spacing: Length  # from one to the other
    along: Literal["x", "y", "z"]  # rack axis of their line
    document: Text


@_definition
class Tapped:
    """Threads of class 3B tapped into the last piece of a joint, in place of a nut."""

    depth: Length | None = None  # of full threads from the joint's face; without it through the wall
    locking: Text | None = None  # what keeps the bolt from turning, with its document
    torque: AnchorTorque | None = None


@_definition
class Insert:
    """A threaded insert in the last piece of a joint, in place of a nut."""

    part: Name
    hole: Length  # drilled for it, as its document says
    length: Length  # as installed, from the joint's face
    depth: Length | None = None  # drilled, with the tap's lead below the insert; without it the length
    thread: Name | None = None  # tapped for it, as "1/4-28 STI"; none is tapped for one that is pressed in
    metal: Metal | None = None
    mass: Mass | None = None
    pull_out: Force | None = None  # ultimate, in that metal and at that edge
    most: Temperature | None = None  # the hottest that it and its locking stand
    document: Text | None = None
    locking: Text | None = None
    torque: AnchorTorque | None = None


@_definition
class Nutplate:
    """A nutplate riveted behind the last piece of a joint, in place of a nut."""

    part: Name
    height: Length  # from that piece to the end of its thread
    metal: Metal | None = None
    mass: Mass | None = None  # with its rivets
    pull_out: Force | None = None  # ultimate: of its thread and of its rivets, the lower
    most: Temperature | None = None  # the hottest that it and its locking stand
    document: Text | None = None
    locking: Text | None = None
    torque: AnchorTorque | None = None
    rivets: RivetPattern | None = None


@_definition
class Hardware:
    """Bolt, washers and the hole drilled for them; what the bolt turns into: a nut, or one of the three anchors."""

    bolt: Name
    washer: Name
    nut: Name | None = None
    hole: Length
    tapped: Tapped | None = None
    insert: Insert | None = None
    nutplate: Nutplate | None = None

    @property
    def anchor(self) -> Tapped | Insert | Nutplate | None:
        return self.tapped or self.insert or self.nutplate


@_definition
class JointBolt:
    """One bolt through tube and spigot: distance from the tube's end, and the rack axis it runs along."""

    at: Length
    through: Literal["x", "y", "z"]


@_definition
class Tightening:
    """What decides the preload of the joint bolts: the greatest torque without drag, the least nut factor."""

    torque: Moment
    nut_factor: Number  # K of T = K D F, as installed
    document: Text


@_definition
class Slip:
    """Free travel of a tube's end along its bolts' clearance, from stop to stop, as measured on fitted joints."""

    along: Length
    document: Text


@_definition
class Joint:
    """How tubes are fastened to spigots; the same at both ends of every tube of a direction."""

    hardware: Hardware
    post: tuple[JointBolt, ...]
    width: tuple[JointBolt, ...]
    depth: tuple[JointBolt, ...]
    tightening: Tightening | None = None
    slip: Slip | None = None  # without it no travel by slip is counted, and the papers say so


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
    seat: Text | None = None  # what their washers stand on where they reach on to the post's corner radius
    screw: Hardware  # panel to angle
    screw_pitch: Length  # at most, along the depth
    foot: Hardware | None = None  # what stands on it to panel; without it as `screw`

    @property
    def feet(self) -> Hardware:
        return self.foot or self.screw


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
