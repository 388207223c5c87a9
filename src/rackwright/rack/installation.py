"""How a rack is held in the aircraft, as frozen data: rings, straps, pads, orientation, basis, cases.

The aircraft's side of it (links, fittings, feet, floor) is in `interface.py`.
"""

from __future__ import annotations

from math import pi
from typing import Literal

from rackwright.fields import Angle, Axis, Force, Length, Name, Number, Signed, Stiffness, Stress, Text
from rackwright.fields import definition as _definition
from rackwright.rack.build_up import Corner, Hardware
from rackwright.rack.interface import Means, ToUltimate, Wear
from rackwright.rack.temperature import Expands

__all__ = [
    "Aircraft",
    "Basis",
    "BendRoot",
    "Counterbore",
    "ExtraCase",
    "Origin",
    "Pad",
    "Ring",
    "RingAllowable",
    "RingMake",
    "Strap",
    "StrapType",
    "StretchCurve",
    "StretchPoint",
]

# --- tie-down ------------------------------------------------------------------------------------


@_definition
class RingAllowable:
    """Strengths of the ring material with the document that states them; bearing at e/D 2.0 and beyond."""

    document: Text
    Ftu: Stress
    Fsu: Stress
    Fbru: Stress
    Fty: Stress
    Fbry: Stress | None = None  # bearing yield: limit cases ask for it
    basis: Literal["A", "B", "S", "none"] | None = None  # on which these values stand, by the document


@_definition
class BendRoot:
    """What is left at the bend after bending, and where on the eye the strap may bear, by the ring's drawing."""

    inside_radius: Length
    least_thickness: Length
    pull_offset: Length  # of the pull from the leg's mid-plane, at most, to either side
    document: Text


@_definition
class RingMake:
    """The tie-down ring: cut flat, bent once between the bolts and the eye."""

    stock: Name
    thickness: Length
    width: Length
    eye: Length  # diameter of the eye
    eye_edge: Length  # eye centre to the rounded end, and the middle of the bolts to the square end
    flat_reach: Length  # middle of the bolts to the bend: to where the mid-planes of flat part and leg meet
    leg_reach: Length  # from that point to the eye centre
    bend: Angle
    density: Number  # kg/m3, as a plain number of the document
    allowable: RingAllowable | None = None
    root: BendRoot | None = None


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
    cone: Angle | None = None  # half-angle of the drawing's cone about each strap's nominal direction


@_definition
class StretchPoint:
    """A point of a load-stretch curve: the force, and the stretch as a share of the length without load."""

    force: Force
    percent: Number


@_definition
class StretchCurve:
    """A maker's load-stretch curve, straight from zero and between its points; nothing is known beyond the last."""

    document: Text
    points: tuple[StretchPoint, ...]


@_definition
class StrapType:
    """`pretension_low` counts only where a document keeps it (who checks it, how often): without one it is zero."""

    name: Name
    axial_stiffness: Force  # force per unit strain (EA)
    pretension_low: Force
    pretension_high: Force
    pretension_kept: Text | None = None
    expansion: Expands | None = None  # its own, with the temperature
    curve: StretchCurve | None = None  # in place of axial_stiffness where the rack moves
    allowable_ultimate: Force | None = None
    document: Text | None = None
    rating: Force | None = None  # in place of allowable_ultimate, with what it means
    means: Means | None = None
    to_ultimate: ToUltimate | None = None
    maker: Text | None = None
    links: tuple[Name, ...] | None = None  # from the ring to the fitting, beside the strap itself
    wear: Wear | None = None  # of its hooks in eye and fitting


@_definition
class Strap:
    name: Name
    ring: Name
    fitting: Name
    type: Name
    cone: Angle | None = None  # half-angle of installation: how far its direction may be from the nominal one


@_definition
class Counterbore:
    """Round the pad's bolt from below, so that head and washers stay above the floor."""

    diameter: Length
    depth: Length  # from the pad's underside to the seat of the washer
    tolerance: Length  # plus or minus, of both

    @property
    def widest(self) -> Length:
        return self.diameter + self.tolerance

    @property
    def deepest(self) -> Length:
        return self.depth + self.tolerance


@_definition
class Pad:
    """Four pads under the lower blocks; they push, they never pull, and no friction is counted."""

    side: Length
    thickness: Length
    stiffness: Stiffness
    hardware: Hardware
    counterbore: Counterbore | None = None  # without it nothing says that the head stays above the floor
    allowable_ultimate: Force | None = None
    document: Text | None = None

    @property
    def web(self) -> Length:
        """The metal between washer and block: all of the pad without a counterbore."""
        return self.thickness - (self.counterbore.depth if self.counterbore else 0)

    @property
    def least_web(self) -> Length:
        return self.thickness - (self.counterbore.deepest if self.counterbore else 0)

    @property
    def least_contact(self) -> float:
        """The least area on the floor, m²: the pad less its counterbore, or less its bolt hole."""
        round_ = self.counterbore.widest if self.counterbore else self.hardware.hole
        return (self.side * 1e-9) ** 2 - pi / 4 * (round_ * 1e-9) ** 2


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
    safety_rule: Name | None = (
        None  # the factor of safety on limit loads, where the rule's own does not serve
    )
    removal_rule: Name | None = None  # the factor on attachments that are removed often


@_definition
class ExtraCase:
    """A case of the customer, in aircraft axes as multiples of g: the direction the masses are thrown."""

    name: Name
    kind: Literal["limit", "ultimate"]
    forward: Number
    left: Number
    up: Number
    document: Text
    stage: Literal["flight", "ground", "handling"] | None = None
