"""Mass, centre of gravity and inertia of a rack, bare and loaded.

Mass properties add: m = Σm, cg = Σ m r / m, inertia by the parallel-axis theorem with products. The
tolerance band of the loaded mass is the plain sum of the items' tolerances, a worst case.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.build import Pieces
from rackwright.pieces.model import Bolt, axis_index
from rackwright.pieces.shelf_pieces import equipment_corner
from rackwright.rack.model import Equipment, Rack

__all__ = ["Mass", "bare", "bolt_points", "equipment_cg", "loaded", "on_pads", "pad_places"]

Vector = NDArray[np.float64]


@dataclass(frozen=True)
class Mass:
    """kg, m in rack axes, (3, 3) kg m² about the centre with products as −Σ m x y, tolerance in kg."""

    mass: float
    cg: Vector
    inertia: NDArray[np.float64]
    tolerance: float = 0.0


Part = tuple[float, Vector, Vector]  # mass, centre, own diagonal inertia


def bare(pieces: Pieces) -> Mass:
    """Pieces and hardware, without equipment."""
    return _total(_parts(pieces), 0.0)


def loaded(rack: Rack, pieces: Pieces) -> Mass:
    """With all equipment at its centre of gravity, its inertia that of a uniform box of its size."""
    items = rack.definition.equipment
    parts = [*_parts(pieces), *(_item(rack, item) for item in items)]
    return _total(parts, sum(item.mass_tolerance or 0.0 for item in items))


def equipment_cg(rack: Rack, item: Equipment) -> Vector:
    """Centre of gravity of an item, m, rack axes."""
    return np.array([(c + g) * 1e-9 for c, g in zip(equipment_corner(rack, item), item.cg, strict=True)])


def bolt_points(pieces: Pieces) -> Iterable[tuple[Bolt, Vector]]:
    """Every bolt with the middle of its stack, m, rack axes."""
    for bolt in pieces.bolts:
        point = np.array(bolt.point, dtype=float)
        point[axis_index(bolt.axis)] = (bolt.layers[0].low + bolt.layers[-1].high) / 2
        yield bolt, point * 1e-9


def pad_places(rack: Rack) -> dict[str, tuple[float, float]]:
    """Middle of each pad, x and y, m, rack axes: under the middle of the corner blocks."""
    d = rack.definition
    half = d.tube.side * 0.5e-9
    wide, deep = d.outside.width * 1e-9 - half, d.outside.depth * 1e-9 - half
    return {"front-left": (half, half), "front-right": (wide, half),
            "rear-left": (half, deep), "rear-right": (wide, deep)}  # fmt: skip


def on_pads(rack: Rack, mass: Mass) -> dict[str, float]:
    """kg on each of the four pads: the readings that a level rack on rigid ground gives by lever arms.

    Four supports are one too many for statics; equal pads share by the rule of levers in each direction.
    """
    d = rack.definition
    half = d.tube.side * 0.5e-9
    x, y = (
        (mass.cg[i] - half) / (size * 1e-9 - 2 * half)
        for i, size in enumerate((d.outside.width, d.outside.depth))
    )
    shares = {
        "front-left": (1 - x) * (1 - y),
        "front-right": x * (1 - y),
        "rear-left": (1 - x) * y,
        "rear-right": x * y,
    }
    return {corner: float(mass.mass * share) for corner, share in shares.items()}


def _parts(pieces: Pieces) -> Iterable[Part]:
    for piece in pieces.made:
        yield piece.mass, np.array(piece.cg), np.array(piece.inertia)
    for bolt, point in bolt_points(pieces):
        yield bolt.mass, point, np.zeros(3)


def _item(rack: Rack, item: Equipment) -> Part:
    a, b, c = (size * 1e-9 for size in item.size)
    own = item.mass / 12 * np.array([b * b + c * c, a * a + c * c, a * a + b * b])
    return item.mass, equipment_cg(rack, item), own


def _total(parts: Iterable[Part], tolerance: float) -> Mass:
    rows = list(parts)
    mass = float(sum(m for m, _, _ in rows))
    cg = sum((m * r for m, r, _ in rows), np.zeros(3)) / mass
    inertia = np.zeros((3, 3))
    for m, r, own in rows:
        d = r - cg
        inertia += np.diag(own) + m * (d @ d * np.eye(3) - np.outer(d, d))
    return Mass(mass, cg, inertia, tolerance)
