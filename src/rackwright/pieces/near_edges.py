"""Holes that their own tolerance lets stand nearer to an edge than any bearing strength is published for.

The drawing is sound, and every reading within its limits is accepted; yet a rack whose hole is read at the end of them
has no margin there as built, and does not leave. Told before metal is cut, a hole is moved or its tolerance narrowed.
Looked at are the holes that are measured along a piece with ends, since these enter the proof as built.
Source of the least distance: the reference row (MIL-HDBK-5J section 1.4.7.1: bearing strengths begin at e/D 1.5).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rackwright.pieces.as_built import as_built, nearer_end
from rackwright.pieces.build import Pieces
from rackwright.pieces.characteristics import characteristics
from rackwright.pieces.fit import edge_distance
from rackwright.rack.model import Rack

__all__ = ["NearEdge", "near_edges", "said_of"]


@dataclass(frozen=True)
class NearEdge:
    """A hole, its distance from the nearest edge as drawn and at the end of its tolerance, in bolt diameters."""

    piece: str
    hole: str
    drawn: float
    worst: float
    least: float


def near_edges(rack: Rack, pieces: Pieces) -> tuple[NearEdge, ...]:
    """Every such hole, in the order of its pieces; none where the definition states no tolerance of holes."""
    return tuple(_near(rack, pieces))


def said_of(near: Sequence[NearEdge]) -> str:
    """What that means, in a sentence; "" where there is none."""
    if not near:
        return ""
    one = min(near, key=lambda each: each.worst)
    return (
        f"{len(near)} holes may be read within their limits, yet nearer to an edge than {one.least:g} diameters, where "
        f"no bearing strength is published. The nearest, {one.hole} in {one.piece}, is drawn at {one.drawn:.2f} and "
        f"may stand at {one.worst:.2f}. A rack read so has no margin as built, and is not released: move the holes, or "
        "state a narrower tolerance."
    )


def _near(rack: Rack, pieces: Pieces) -> Iterator[NearEdge]:
    least = rack.rows.edge_rules["bearing table lower end"].minimum
    shank = {bolt.id: rack.rows.bolts[bolt.row].diameter * 1e9 for bolt in pieces.bolts}
    limits = {one.id: one for one in characteristics(rack, pieces, cut_tolerance=1)}
    ends: dict[str, Fraction] = {}
    for piece in pieces.made:
        for bolt, (_, way) in nearer_end(piece).items():
            one = limits.get(id := f"{piece.id}/hole {bolt}")
            if one is not None and one.low is not None and one.high is not None:
                ends[id] = one.high if way > 0 else one.low
    moved = {piece.id: piece for piece in as_built(pieces, ends).made}
    for piece in pieces.made:
        for hole, other in zip(piece.holes, moved[piece.id].holes, strict=True):
            if f"{piece.id}/hole {hole.bolt}" not in ends or hole.bolt not in shank:
                continue
            drawn, worst = edge_distance(piece, hole), edge_distance(moved[piece.id], other)
            if drawn is not None and (worst is None or worst < least * shank[hole.bolt] - 1):
                size = shank[hole.bolt]
                yield NearEdge(piece.id, hole.bolt, drawn / size, (worst or 0) / size, least)
