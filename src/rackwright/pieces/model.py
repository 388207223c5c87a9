"""What a rack consists of, as frozen data: pieces with their boxes and holes, bolts with their layers.

Positions are rack axes in whole nanometres; mass properties are SI floats. A piece's id says its role
("post.front-left") and stays the same over revisions; its part number is shared by pieces that are
alike in every dimension and hole.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from rackwright.pieces.slab import Slab
from rackwright.rack.model import AnchorTorque, Hardware, Metal, RivetPattern

__all__ = [
    "AXES",
    "IN",
    "Anchored",
    "Bolt",
    "Box",
    "Drilled",
    "Hole",
    "Layer",
    "Mitre",
    "Piece",
    "Point",
    "axis_index",
]

AXES = "xyz"
IN = 25_400_000  # nanometres
Point = tuple[int, int, int]


def axis_index(axis: str) -> int:
    """0, 1 or 2 for "x", "-y", "+z"."""
    return AXES.index(axis[-1])


@dataclass(frozen=True)
class Box:
    """An axis-parallel box."""

    lo: Point
    hi: Point

    def size(self, axis: int) -> int:
        return self.hi[axis] - self.lo[axis]

    def shared(self, other: Box) -> Box:
        """The box that both have in common; they overlap."""
        a, b, c = (max(x, y) for x, y in zip(self.lo, other.lo, strict=True))
        d, e, f = (min(x, y) for x, y in zip(self.hi, other.hi, strict=True))
        return Box((a, b, c), (d, e, f))

    @property
    def centre(self) -> tuple[float, float, float]:
        """Centre in metres."""
        a, b, c = ((low + high) * 0.5e-9 for low, high in zip(self.lo, self.hi, strict=True))
        return a, b, c


@dataclass(frozen=True, order=True)
class Hole:
    """A round hole through one wall: outward face of the wall, centre on that wall's middle, diameter."""

    face: str
    centre: Point
    diameter: int
    bolt: str
    thread: str = ""  # tapped, as "10-32 class 3B" or "1/4-28 STI"


@dataclass(frozen=True)
class Anchored:
    """What holds a bolt in place of a nut. Lengths are nm; `side` is the end of the stack that it is at ("-", "+").

    `hole` is drilled in its piece, `engaged` the length of full threads in hold, `pull_out` (N) a document's.
    """

    kind: Literal["tapped", "insert", "nutplate"]
    part: str  # "" for a tapped hole
    thread: str
    piece: str
    side: str
    hole: int
    engaged: int
    in_plane: bool  # do threads lie in the shear plane at its face
    tapped: str = ""  # thread cut into its piece: its own, or that which an insert is screwed into
    metal: Metal | None = None  # of an insert or nutplate
    pull_out: float | None = None
    most: float | None = None  # K, the hottest that it stands
    document: str | None = None
    locking: str | None = None
    torque: AnchorTorque | None = None
    rivets: RivetPattern | None = None  # of a nutplate

    @property
    def label(self) -> str:
        named = f"{self.kind} {self.part or f'{self.thread} class 3B'}"
        return f"{named} in {self.piece}" if self.kind != "nutplate" else f"{named} behind {self.piece}"


@dataclass(frozen=True)
class Layer:
    """The stretch of a bolt's axis inside one wall of a piece, from low to high coordinate."""

    piece: str
    low: int
    high: int


@dataclass(frozen=True)
class Drilled:
    """A bolt as placed, before its length is chosen; `blind` if its hole ends in its last piece."""

    id: str
    hardware: Hardware
    point: Point
    axis: str
    layers: tuple[Layer, ...]
    path: str
    spacer: int = 0
    blind: bool = False


@dataclass(frozen=True)
class Bolt:
    """One bolt with what it joins: a point of its axis, its direction, the walls in order, and its parts.

    `grip` is the stack from the first to the last wall; `dash` the length chosen from the series so that
    the shank fills the stack, with `washers` flat washers in all. A `spacer` stands between two walls of a
    hollow piece so that the nut cannot crush it.
    """

    id: str
    row: str
    washer: str
    nut: str  # "" with an anchor
    point: Point
    axis: str  # "x", "y", "z"
    hole: int
    layers: tuple[Layer, ...]
    dash: int
    washers: int
    spacer: int  # length, 0 = none
    mass: float
    anchor: Anchored | None = None

    def hole_in(self, piece: str) -> int:
        """Diameter (nm) drilled in one of the pieces."""
        return self.anchor.hole if self.anchor and self.anchor.piece == piece else self.hole

    def thread_in(self, piece: str) -> str:
        """The thread tapped into one of the pieces, "" for none."""
        return self.anchor.tapped if self.anchor and self.anchor.piece == piece else ""

    @property
    def grip(self) -> int:
        return self.layers[-1].high - self.layers[0].low

    @property
    def joins(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(layer.piece for layer in self.layers))


@dataclass(frozen=True)
class Mitre:
    """The ends of a sawn piece off the square: angles of the low and the high end (rad), its two sides (nm).

    Do both ends lean one way, as of a parallelogram, or against each other? `Piece.length` is from tip to tip.
    """

    angles: tuple[float, float]
    long: int
    short: int
    same_way: bool

    @property
    def parallel(self) -> bool:
        """Are both sawn faces parallel?"""
        return self.same_way and self.long == self.short


@dataclass(frozen=True)
class Piece:
    """One made piece."""

    id: str
    kind: str
    title: str
    material: str
    stock: str
    section: str  # what the saw or shear starts from, as in "SQ 1.5x0.125"
    boxes: tuple[Box, ...]  # that nothing else may enter
    mass: float
    cg: tuple[float, float, float]
    inertia: tuple[float, float, float]  # Ixx, Iyy, Izz about its own centre of gravity
    path: str  # where the definition says so
    axis: str | None = None  # of its length
    length: int | None = None  # exact cut length, for sawn pieces
    holes: tuple[Hole, ...] = ()
    part: str = ""
    notes: tuple[str, ...] = ()
    walls: tuple[Box, ...] = field(default=(), repr=False)  # flat walls that can be drilled
    slab: Slab | None = None  # of a piece that lies askew: its true shape, within its box
    mitre: Mitre | None = None  # of a sawn piece whose ends are not square

    @property
    def solid(self) -> tuple[Box, ...]:
        """The boxes that it fills; none where its slab tells its shape."""
        return () if self.slab else self.boxes

    def station(self, point: Point) -> int:
        """Distance (nm) of a rack point along the piece from its low end."""
        if self.slab is not None:
            return self.slab.station(point)
        i = axis_index(self.axis or "z")
        return point[i] - self.lo[i]

    @property
    def lo(self) -> Point:
        a, b, c = (min(box.lo[i] for box in self.boxes) for i in range(3))
        return a, b, c

    @property
    def hi(self) -> Point:
        a, b, c = (max(box.hi[i] for box in self.boxes) for i in range(3))
        return a, b, c

    @property
    def overall(self) -> Point:
        """Size over boxes and walls (nm): of a block, with its spigots."""
        every = (*self.boxes, *self.walls)
        a, b, c = (max(box.hi[i] for box in every) - min(box.lo[i] for box in every) for i in range(3))
        return a, b, c
