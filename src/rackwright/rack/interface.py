"""The aircraft's side of the rack, as its interface document states it: links, fittings, feet, floor.

A strap's chain runs ring, links, strap, fitting, track; each link has a rating, what the rating means, a maker and
a document. Loads are limit or ultimate, and an allowable is judged at its own level only. What the document does not
say is absent here and asked for (`questions.py`); there is no margin on it.
"""

from __future__ import annotations

from typing import Annotated, Literal

from rackwright.fields import (
    Angle,
    Force,
    Length,
    Name,
    Number,
    Quantity,
    Signed,
    Stiffness,
    Stress,
    Text,
)
from rackwright.fields import definition as _definition
from rackwright.rack.build_up import Corner

__all__ = [
    "BoltedAllowable",
    "FittingPoint",
    "Floor",
    "FloorFitting",
    "FloorLoads",
    "Foot",
    "Link",
    "Means",
    "Point",
    "RunningLoad",
    "SpecialFactor",
    "ToUltimate",
    "Wear",
]

Point = tuple[Signed, Signed, Signed]
LineLoad = Annotated[float, Quantity("line_load", low=0.0, above=True)]
#: what a maker's rating means; only the first two are ultimate strengths
Means = Literal["ultimate", "minimum break", "proof", "working load"]


# --- links ---------------------------------------------------------------------------------------


@_definition
class ToUltimate:
    """The stated factor from a proof or working rating to an ultimate allowable; it is never guessed."""

    factor: Number
    document: Text


@_definition
class Link:
    """One link of a chain, rated by its maker."""

    name: Name
    kind: Literal[
        "hook",
        "shackle",
        "ratchet",
        "buckle",
        "turnbuckle",
        "rope",
        "webbing",
        "end fitting",
        "stud",
        "track",
    ]
    rating: Force | None = None
    means: Means | None = None
    maker: Text | None = None
    document: Text | None = None
    to_ultimate: ToUltimate | None = None


@_definition
class Wear:
    """Whether an attachment is removed often (quick release), and who says so."""

    removed_often: bool
    document: Text


# --- fittings and feet ---------------------------------------------------------------------------


@_definition
class FittingPoint:
    """Allowable at one angle of pull above the floor: ultimate, limit, or both."""

    pull: Angle
    allowable_ultimate: Force | None = None
    allowable_limit: Force | None = None


@_definition
class BoltedAllowable:
    """What a fitting or insert bears of a bolted foot: (shear/S)^s + (tension/T)^t = 1, exponents as its document
    says."""

    tension_ultimate: Force
    shear_ultimate: Force
    tension_exponent: Number
    shear_exponent: Number
    document: Text


@_definition
class FloorFitting:
    """A named place of the aircraft's floor that holds a strap or a foot."""

    name: Name
    at: Point  # rack axes
    allowable: tuple[FittingPoint, ...] | None = None
    document: Text | None = None
    place: Literal["track", "pan", "hard point"] | None = None
    part: Text | None = None
    stud: Literal["single", "double"] | None = None
    track: Name | None = None  # the link that rates the track it sits in
    least_pitch: Length | None = None  # to the next loaded fitting of the same track
    wear: Wear | None = None
    bolted: BoltedAllowable | None = None


@_definition
class Foot:
    """A foot bolted down at a pad's place: it pulls, pushes and holds across, and turns freely."""

    name: Name
    corner: Corner
    fitting: Name
    bolt: Name
    stiffness_up: Stiffness
    stiffness_across: Stiffness
    document: Text
    wear: Wear | None = None


# --- floor ---------------------------------------------------------------------------------------


@_definition
class RunningLoad:
    """Load per length along the aircraft, counted over the pads in contact there or over the rack's whole footprint."""

    load: LineLoad
    over: Literal["contact", "footprint"]


@_definition
class FloorLoads:
    """What the floor bears at one level. `not_limited` names what the document says has no limit of its own."""

    per_area: Stress | None = None
    per_length: RunningLoad | None = None
    at_point: Force | None = None
    not_limited: tuple[Literal["per_area", "per_length", "at_point"], ...] = ()


@_definition
class Floor:
    """The floor's allowables, limit and ultimate apart."""

    document: Text
    ultimate: FloorLoads | None = None
    limit: FloorLoads | None = None


# --- factors -------------------------------------------------------------------------------------


@_definition
class SpecialFactor:
    """A casting, bearing or other special factor on named parts of the tie-down, by its rule.

    `value` where the rule has no number, or asks for "at least". `applies_to` are ids such as "link.HK-5",
    "ring.top front left", "fitting.F1", or a whole kind, as in "ring".
    """

    name: Name
    rule: Name
    applies_to: tuple[Text, ...]
    document: Text
    value: Number | None = None
