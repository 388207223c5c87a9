"""What a drawing shows: axis-aligned boxes, rings, straps, fittings, heights, parts; and pieces with holes.

Rack axes as drawn: x to the right, y to the rear (away from who looks at the front), z up. Lengths are
whole nanometres.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.papers.house import Head

__all__ = [
    "Fitting", "Level", "PartRow", "PieceHole", "PieceSketch", "Point", "Prism", "RackDrawing", "Ring", "Solid",
    "Strap",
]  # fmt: skip

Point = tuple[int, int, int]  # nanometres in rack axes


@dataclass(frozen=True)
class Solid:
    """A box. `kind`: tube, block, angle, rail, shelf, pad, ... or keep-out (a dashed outline that hides
    nothing). `item` ties it to a row of the parts table, which draws its balloon."""

    id: str
    kind: str
    label: str
    lo_nm: Point
    hi_nm: Point
    item: str = ""
    colour: str = ""


@dataclass(frozen=True)
class Prism:
    """A piece that lies askew: the corners of one flat cap in turn, and the way to the other cap. `kind`: brace or
    gusset; `item` as of a solid."""

    id: str
    kind: str
    cap_nm: tuple[Point, ...]
    rise_nm: Point
    item: str = ""


@dataclass(frozen=True)
class Ring:
    """A tie-down ring: where its eye is, and the direction its strap leaves."""

    id: str
    at_nm: Point
    direction: tuple[float, float, float]
    item: str = ""


@dataclass(frozen=True)
class Strap:
    id: str
    from_nm: Point
    to_nm: Point


@dataclass(frozen=True)
class Fitting:
    """A floor fitting: where, and the words for the table (rating, document)."""

    id: str
    at_nm: Point
    note: str = ""


@dataclass(frozen=True)
class Level:
    """A height that is dimensioned from the datum, such as the top face of a shelf."""

    label: str
    z_nm: int


@dataclass(frozen=True)
class PartRow:
    item: str
    part: str
    description: str
    quantity: str
    stock: str = ""
    cut_length: str = ""


@dataclass(frozen=True)
class RackDrawing:
    """`forward` is the aircraft's forward in rack axes, for example (0, -1, 0), None when it is not stated (then no
    arrow is drawn); `datum_nm` the origin of the heights and of the datum mark. `secondary_mm` adds millimetres in
    brackets."""

    head: Head
    solids: tuple[Solid, ...]
    parts: tuple[PartRow, ...]
    forward: tuple[float, float, float] | None
    datum_nm: Point = (0, 0, 0)
    datum_label: str = "A"
    rings: tuple[Ring, ...] = ()
    straps: tuple[Strap, ...] = ()
    fittings: tuple[Fitting, ...] = ()
    levels: tuple[Level, ...] = ()
    notes: tuple[str, ...] = ()
    tolerances: tuple[str, ...] = ()
    secondary_mm: bool = True
    prisms: tuple[Prism, ...] = ()


@dataclass(frozen=True)
class PieceHole:
    """A hole in a face (0..3 in turn about the axis): centre along the piece from end A, across from the
    middle of the face (+ towards the next face), diameter. `balloon` is drawn at its distance from end A."""

    face: int
    along_nm: int
    across_nm: int
    dia_nm: int
    note: str = ""
    balloon: str = ""


@dataclass(frozen=True)
class PieceSketch:
    """One page: the four faces of a square tube, or of a bar, unrolled, with its holes dimensioned."""

    piece: str
    part: str
    description: str
    length_nm: int
    side_nm: int
    holes: tuple[PieceHole, ...] = ()
    wall_nm: int = 0
    notes: tuple[str, ...] = ()
    face_names: tuple[str, str, str, str] = ("face 1", "face 2", "face 3", "face 4")
    length_balloon: str = ""
    film_balloon: str = ""
    ends_nm: tuple[tuple[int, int], tuple[int, int]] | None = (
        None  # of mitred ends: the lower and the upper edge of
    )
    # face 1, each from its start to its end; face 3 has them the other way round
