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

from rackwright.fields import Name, Text
from rackwright.fields import definition as _definition
from rackwright.rack.brace import Brace, BraceEnd, GussetMake
from rackwright.rack.build_up import (
    CORNERS,
    AnchorTorque,
    AngleStock,
    Block,
    Hardware,
    Insert,
    Joint,
    JointBolt,
    LeastWall,
    Nutplate,
    Outside,
    Rails,
    RivetPattern,
    Sheet,
    Shelf,
    ShelfMake,
    Slip,
    Tapped,
    Tightening,
    Tube,
    Vent,
)
from rackwright.rack.equipment import Box, Equipment, OnRails, OnShelf, RearSupport, Tray
from rackwright.rack.evidence import Evidence
from rackwright.rack.finish import Bond, CurePoint, Finish, Metal, Protection, Tolerance
from rackwright.rack.installation import (
    Aircraft,
    Basis,
    BendRoot,
    Counterbore,
    ExtraCase,
    Origin,
    Pad,
    Ring,
    RingAllowable,
    RingMake,
    Strap,
    StrapType,
)
from rackwright.rack.interface import (
    BoltedAllowable,
    FittingPoint,
    Floor,
    FloorFitting,
    FloorLoads,
    Foot,
    Link,
    RunningLoad,
    SpecialFactor,
    ToUltimate,
    Wear,
)
from rackwright.rack.temperature import At, Expands, Left, Temperatures
from rackwright.rack.vibration import Isolators, Vibration
from rackwright.reference import Rows, shipped
from rackwright.trouble import Where

__all__ = [
    "CORNERS",
    "FORMAT",
    "Aircraft",
    "AnchorTorque",
    "AngleStock",
    "At",
    "Basis",
    "BendRoot",
    "Block",
    "BoltedAllowable",
    "Bond",
    "Box",
    "Brace",
    "BraceEnd",
    "Change",
    "Counterbore",
    "CurePoint",
    "Definition",
    "Equipment",
    "Evidence",
    "Expands",
    "ExtraCase",
    "Finish",
    "FittingPoint",
    "Floor",
    "FloorFitting",
    "FloorLoads",
    "Foot",
    "GussetMake",
    "Hardware",
    "Insert",
    "Isolators",
    "Joint",
    "JointBolt",
    "LeastWall",
    "Left",
    "Link",
    "Metal",
    "Nutplate",
    "OnRails",
    "OnShelf",
    "Origin",
    "Outside",
    "Pad",
    "Protection",
    "Rack",
    "Rails",
    "RearSupport",
    "Ring",
    "RingAllowable",
    "RingMake",
    "RivetPattern",
    "RunningLoad",
    "Sheet",
    "Shelf",
    "ShelfMake",
    "Slip",
    "SpecialFactor",
    "Strap",
    "StrapType",
    "Tapped",
    "Temperatures",
    "Tightening",
    "ToUltimate",
    "Tolerance",
    "Tray",
    "Tube",
    "Vent",
    "Vibration",
    "Wear",
]

FORMAT = "rackwright/rack/1"


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
    brace: tuple[Brace, ...] = ()
    gusset_make: GussetMake | None = None
    ring_make: RingMake | None = None
    ring: tuple[Ring, ...] = ()
    strap_type: tuple[StrapType, ...] = ()
    strap: tuple[Strap, ...] = ()
    link: tuple[Link, ...] = ()
    floor_fitting: tuple[FloorFitting, ...] = ()
    foot: tuple[Foot, ...] = ()
    floor: Floor | None = None
    special_factor: tuple[SpecialFactor, ...] = ()
    equipment: tuple[Equipment, ...] = ()
    aircraft: Aircraft | None = None
    basis: Basis | None = None
    case: tuple[ExtraCase, ...] = ()
    vibration: Vibration | None = None
    temperature: Temperatures | None = None
    evidence: tuple[Evidence, ...] = ()
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
    rows: Rows = field(default_factory=shipped, hash=False, repr=False)  # shipped, the shop's own over them
    left_open: frozenset[str] | None = (
        None  # the questions it was frozen with: of it no later program asks more
    )

    def where(self, path: str) -> Where:
        """The place of a value, or of the nearest table around it."""
        while path and path not in self.places:
            path = path.rpartition(".")[0]
        return self.places.get(path, Where(self.file))
