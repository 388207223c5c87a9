"""What a rack consists of, as frozen data: pieces with their boxes and holes, bolts with their layers.

Positions are rack axes in whole nanometres; mass properties are SI floats. A piece's id says its role
("post.front-left") and stays the same over revisions; its part number is shared by pieces that are
alike in every dimension and hole.
"""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["AXES", "IN", "Bolt", "Box", "Hole", "Layer", "Piece", "Point", "axis_index"]

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


@dataclass(frozen=True)
class Layer:
    """The stretch of a bolt's axis inside one wall of a piece, from low to high coordinate."""

    piece: str
    low: int
    high: int


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
    nut: str
    point: Point
    axis: str  # "x", "y", "z"
    hole: int
    layers: tuple[Layer, ...]
    dash: int
    washers: int
    spacer: int  # length, 0 = none
    mass: float

    @property
    def grip(self) -> int:
        return self.layers[-1].high - self.layers[0].low

    @property
    def joins(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(layer.piece for layer in self.layers))


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
