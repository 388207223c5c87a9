"""The same rack with the mass and the centre of gravity that the scales found.

    pieces = as_weighed(build(rack), Weight(45.3, 0.304, 0.331))

Level scales tell how heavy a rack is and where across its pads its centre lies; not which piece is heavier than
computed, nor how high the centre is. So every mass is multiplied by 1 + a + b x + c y: of all changes of the masses
that give what was weighed, this one is the least, each change counted in proportion to its mass (least squares with
three conditions). Every piece keeps its place and its height, so that the height of the whole stays near the computed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rackwright.pieces.build import Pieces
from rackwright.pieces.weight import bolt_points

__all__ = ["Weight", "as_weighed", "can_be_so"]


@dataclass(frozen=True)
class Weight:
    """Of a bare rack: kg, and the centre of gravity across the pads, m, rack axes."""

    mass: float
    x: float
    y: float


def as_weighed(pieces: Pieces, weight: Weight | None) -> Pieces:
    """Pieces and bolts with the masses that give what was weighed."""
    if weight is None:
        return pieces
    shares = _shares(pieces, weight)
    made = len(pieces.made)
    return replace(
        pieces,
        made=tuple(
            replace(piece, mass=piece.mass * share,
                    inertia=(piece.inertia[0] * share, piece.inertia[1] * share, piece.inertia[2] * share))
            for piece, share in zip(pieces.made, shares[:made], strict=True)
        ),
        bolts=tuple(replace(bolt, mass=bolt.mass * share)
                    for bolt, share in zip(pieces.bolts, shares[made:], strict=True)),
    )  # fmt: skip


def can_be_so(pieces: Pieces, weight: Weight) -> bool:
    """Is there such a share of every mass, none of them zero or less?"""
    return bool(weight.mass > 0 and min(_shares(pieces, weight)) > 0)


def _shares(pieces: Pieces, weight: Weight) -> list[float]:
    """1 + a + b x + c y of every piece, then of every bolt."""
    rows = [(piece.mass, *piece.cg[:2]) for piece in pieces.made]
    rows += [(bolt.mass, point[0], point[1]) for bolt, point in bolt_points(pieces)]
    table = np.array(rows)
    mass, at = table[:, 0], table[:, 1:]
    middle = mass @ at / mass.sum()
    basis = np.column_stack([np.ones(len(mass)), at - middle])
    moments = basis.T @ (mass[:, None] * basis)
    wanted = weight.mass * np.array([1.0, weight.x - middle[0], weight.y - middle[1]])
    shares: list[float] = (basis @ np.linalg.solve(moments, wanted)).tolist()
    return shares
