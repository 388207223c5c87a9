"""Bolts, washers, nuts and spacers: which bolt joins which pieces, how long, and the holes it needs.

The shank must fill the shear planes: the shortest bolt of the series whose grip is at least the stack of
walls is taken, and flat washers under the nut take up the rest so that the nut does not run on to the
shank (common practice, no source); a bolt without a nut is chosen in `anchor`. A hollow piece that is clamped gets a
spacer between its walls.
"""

from __future__ import annotations

from dataclasses import replace
from math import ceil, pi

from rackwright.pieces.anchor import hole_of, seated
from rackwright.pieces.model import Anchored, Bolt, Drilled, Hole, Piece, axis_index
from rackwright.rack.model import Rack
from rackwright.trouble import Fault

__all__ = ["choose", "drill"]

STEEL = 7850.0  # kg/m3, for the mass of hardware; common practice, no source
ALUMINIUM = 2713.0  # kg/m3, 0.098 lb/in3, spacers
SPACER_WALL = 1_651_000  # nm, 0.065 in; common practice, no source
MOST_WASHERS = 3  # under the nut; common practice, no source


def choose(rack: Rack, placed: Drilled) -> tuple[Bolt | None, list[Fault]]:
    """The bolt with length, washers and mass; a fault when the series has no length for this stack."""
    if placed.hardware.anchor is not None:
        anchor, dash, under_head, faults = seated(rack, placed)
        return (None, faults) if anchor is None else (_bolt(rack, placed, dash, under_head, anchor), [])
    stack = (placed.layers[-1].high - placed.layers[0].low) * 1e-9
    series, thick = rack.rows.grips[placed.hardware.bolt], rack.rows.washers[placed.hardware.washer].thickness
    fitting = [dash for dash in series.dashes() if series.grip(dash) >= stack - 1e-9]
    if not fitting:
        return None, [Fault("RW203", rack.where(placed.path), f"no {series.id} bolt is long enough for {placed.id}",
                            f"the stack is {stack / 0.0254:.3f} in; use a thinner stack")]  # fmt: skip
    dash = min(fitting, key=series.grip)
    under_nut = min(MOST_WASHERS, max(1, ceil((series.grip(dash) - stack) / thick - 1e-9)))
    return _bolt(rack, placed, dash, under_nut + 1), []


def _bolt(rack: Rack, placed: Drilled, dash: int, washer_count: int, anchor: Anchored | None = None) -> Bolt:
    set_, length = placed.hardware, rack.rows.grips[placed.hardware.bolt].length(dash)
    return Bolt(
        id=placed.id, row=set_.bolt, washer=set_.washer, nut=set_.nut or "", point=placed.point, axis=placed.axis,
        hole=set_.hole, layers=placed.layers, dash=dash, washers=washer_count, spacer=placed.spacer,
        mass=_mass(rack, placed, length, washer_count), anchor=anchor,
    )  # fmt: skip


def drill(rack: Rack, pieces: list[Piece], placed: list[Drilled]) -> list[Piece]:
    """The pieces with the holes of all bolts, less the metal that the holes take."""
    holes: dict[str, list[Hole]] = {}
    lost: dict[str, float] = {}
    middle = {
        piece.id: [low + high for low, high in zip(piece.lo, piece.hi, strict=True)] for piece in pieces
    }
    for bolt in placed:
        i = axis_index(bolt.axis)
        for layer in bolt.layers:
            if layer.piece not in middle:
                continue  # equipment brings its own holes
            centre = list(bolt.point)
            centre[i] = (layer.low + layer.high) // 2
            outward = "+" if 2 * centre[i] >= middle[layer.piece][i] else "-"
            across, thread = hole_of(rack, bolt, layer)
            hole = Hole(outward + bolt.axis, (centre[0], centre[1], centre[2]), across, bolt.id, thread)
            holes.setdefault(layer.piece, []).append(hole)
            volume = pi / 4 * (across * 1e-9) ** 2 * (layer.high - layer.low) * 1e-9
            lost[layer.piece] = lost.get(layer.piece, 0.0) + volume
    return [_drilled(rack, piece, holes.get(piece.id, []), lost.get(piece.id, 0.0)) for piece in pieces]


def _drilled(rack: Rack, piece: Piece, holes: list[Hole], volume: float) -> Piece:
    row = rack.rows.materials.get(piece.material)
    share = 1.0 - volume * (row.density or 0.0) / piece.mass if row and piece.mass else 1.0
    x, y, z = piece.inertia
    inertia = (x * share, y * share, z * share)
    return replace(piece, holes=tuple(sorted(holes)), mass=piece.mass * share, inertia=inertia)


def _mass(rack: Rack, placed: Drilled, length: float, washer_count: int) -> float:
    """Bolt as shank and hexagon head, washers as rings, nut as a hexagon less its bore, spacer as a tube.

    Inserts and nutplates weigh what their document says, nothing until it is asked."""
    rows = rack.rows
    bolt, washer = rows.bolts[placed.hardware.bolt], rows.washers[placed.hardware.washer]
    area = pi / 4 * bolt.diameter**2
    head = _hexagon(bolt.head_across_flats or 0.0) * (bolt.head_height or 0.0)
    ring = pi / 4 * (washer.outside_diameter**2 - washer.inside_diameter**2) * washer.thickness
    nut = rows.nuts[placed.hardware.nut] if placed.hardware.nut else None
    hexagon = max(_hexagon(nut.across_flats or 0.0) - area, 0.0) * nut.height if nut else 0.0
    steel = STEEL * (area * length + head + washer_count * ring + hexagon)
    inner, outer = bolt.diameter, bolt.diameter + 2e-9 * SPACER_WALL
    anchor = getattr(placed.hardware.anchor, "mass", None) or 0.0
    return steel + anchor + ALUMINIUM * pi / 4 * (outer**2 - inner**2) * placed.spacer * 1e-9


def _hexagon(across_flats: float) -> float:
    return 0.8660254037844386 * across_flats**2
