"""What the holes of bolts without a nut turn into, and the rivet holes of nutplates.

Screws of panels and equipment are drilled from their own part and so stand on no face of the jig; where they turn
into a tapped hole, an insert or a nutplate, that hole has a place all the same. A nutplate is held by two rivets in
line through its bolt.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rackwright.pieces.build import Pieces
from rackwright.pieces.model import Bolt, Point, axis_index

__all__ = ["AnchorHole", "anchor_holes", "then"]

INCH = 0.0254


@dataclass(frozen=True)
class AnchorHole:
    """One anchor. Points are in jig axes on the far face of its piece, nm; `rivets` of a nutplate, as far as known."""

    bolt: str
    kind: str
    part: str
    piece: str
    at: Point
    then: str
    rivets: tuple[Point, ...]
    rivet_hole: int  # 0: none


def then(bolt: Bolt) -> str:
    """What is made at the far end of the hole; "" where a nut goes on."""
    anchor = bolt.anchor
    if anchor is None:
        return ""
    if anchor.kind == "nutplate":
        held = (
            f" with two {anchor.rivets.part} in holes of {_in(anchor.rivets.hole)} in"
            if anchor.rivets
            else ""
        )
        return f"rivet nutplate {anchor.part} behind {anchor.piece}{held}"
    steps = [f"drill {_in(anchor.hole)} in"]
    steps += [f"tap {anchor.tapped}"] if anchor.tapped else []
    steps += [f"install insert {anchor.part}"] if anchor.kind == "insert" else []
    return f"{', '.join(steps[:-1])} and {steps[-1]} in {anchor.piece}"


def anchor_holes(pieces: Pieces, origin: Point) -> tuple[AnchorHole, ...]:
    """Every bolt that turns into an anchor, in the order of the bolts; a pad's is the mill's."""
    return tuple(_anchors(pieces, origin))


def _anchors(pieces: Pieces, origin: Point) -> Iterator[AnchorHole]:
    for bolt in pieces.bolts:
        anchor = bolt.anchor
        if anchor is None or bolt.id.startswith("pad."):
            continue
        i, layer = axis_index(bolt.axis), next(one for one in bolt.layers if one.piece == anchor.piece)
        at = [there + zero for there, zero in zip(bolt.point, origin, strict=True)]
        at[i] = (layer.low if anchor.side == "-" else layer.high) + origin[i]
        rivets: list[Point] = []
        if anchor.rivets is not None:
            j = axis_index(anchor.rivets.along)
            for side in (-1, 1):
                beside = list(at)
                beside[j] += side * anchor.rivets.spacing // 2
                rivets.append((beside[0], beside[1], beside[2]))
        yield AnchorHole(bolt.id, anchor.kind, anchor.part, anchor.piece, (at[0], at[1], at[2]), then(bolt),
                         tuple(rivets), anchor.rivets.hole if anchor.rivets else 0)  # fmt: skip


def _in(nm: int) -> str:
    return f"{nm * 1e-9 / INCH:.4f}"
