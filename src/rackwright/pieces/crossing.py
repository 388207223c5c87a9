"""Holes that meet inside one piece: the metal between two cylinders whose axes are parallel to the rack's.

Bolts that clear each other may stand in holes that do not. Holes are told as meeting where no metal is left between
them when each is off by the definition's tolerance of position; holes side by side in one wall have their own rule.

Two such axes, as segments, are boxes without thickness in one or no direction, and their distance is that of the
boxes: exact in space, parallel, crossing or end to end. A cylinder's end counts as round, so that what is told is at
most what is there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot

from rackwright.pieces.model import IN, Bolt, Piece, Point, axis_index
from rackwright.rack.model import Rack
from rackwright.trouble import Fault

__all__ = ["Cylinder", "drilled_in", "holes_meeting", "placed_by", "wall_between"]


@dataclass(frozen=True)
class Cylinder:
    """A round hole: both ends of its axis, which is parallel to x, y or z, and its diameter; nm."""

    lo: Point
    hi: Point
    diameter: int


def wall_between(one: Cylinder, other: Cylinder) -> float:
    """The least metal between two holes, nm; negative where they meet."""
    gaps = [max(other.lo[i] - one.hi[i], one.lo[i] - other.hi[i], 0) for i in range(3)]
    return hypot(*gaps) - (one.diameter + other.diameter) / 2


def drilled_in(piece: Piece, bolts: Sequence[Bolt]) -> Iterator[tuple[Bolt, Cylinder]]:
    """The holes of a piece with their bolts."""
    for bolt in bolts:
        i = axis_index(bolt.axis)
        for layer in bolt.layers:
            if layer.piece == piece.id:
                lo, hi = list(bolt.point), list(bolt.point)
                lo[i], hi[i] = layer.low, layer.high
                ends = (lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2])
                yield bolt, Cylinder(*ends, bolt.hole_in(piece.id))


def holes_meeting(rack: Rack, pieces: Sequence[Piece], bolts: Sequence[Bolt]) -> Iterator[Fault]:
    """Holes across each other in a block that meet, or may with both at the limit of their position."""
    tolerance = rack.definition.tolerance
    off = 2 * tolerance.hole_position if tolerance else 0
    for piece in pieces:
        if piece.kind != "block":
            continue
        for (bolt, one), (other, two) in combinations(drilled_in(piece, bolts), 2):
            left = wall_between(one, two)
            if bolt.axis == other.axis or left > off:
                continue
            where = ", ".join(f"{max(a, b) / IN:.4g}" for a, b in zip(one.lo, two.lo, strict=True))
            found = f"holes {bolt.id} and {other.id} in {piece.id} leave {left / IN:.4g} in of metal at {where} in"
            yield Fault("RW204", rack.where(placed_by(bolt.id, other.id)), found,
                        f"stagger them along the spigot: over {off / IN:.4g} in, what both may be off")  # fmt: skip


#: first word of a bolt's id -> the value that places it, the most movable first
PLACED = {"equipment": "equipment.{name}", "panel": "shelf.{name}.height", "shelf": "shelf.{name}.height",
          "rail": "rails.bottom", "brace": "brace.{name}", "vent": "tube.vent", "joint": "joint.{kind}",
          "pad": "pad"}  # fmt: skip


def placed_by(*bolts: str) -> str:
    """The path of what places the more movable of some bolts or vents, by their ids."""
    words = [(list(PLACED).index(id.split(".")[0]), id) for id in bolts]
    _, id = min(words)
    kind, _, rest = id.partition(".")
    tail = r"\.(start|end)\.\d+$" if kind == "brace" else r"(\.(left|right))?(\.(front|rear))?\.\d+$"
    name = re.sub(tail, "", rest)
    return PLACED[kind].format(name=name, kind=rest.split(".")[0])
