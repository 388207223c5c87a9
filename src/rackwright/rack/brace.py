"""A brace as frozen data: a diagonal square tube in the plane of one face of the rack, held by flat gussets.

Its axis runs from a point on the axis of one frame member of that face to a point on that of another, so that no moment
comes from axes that miss each other. Each end is sawn to lie along the member that it meets; nothing is welded. The
bolts of the gussets stand in one line on the brace's axis and one on the member's, the latter centred where both cross.
"""

from __future__ import annotations

from typing import Literal

from rackwright.fields import Length, Name, Whole
from rackwright.fields import definition as _definition
from rackwright.rack.build_up import Hardware, Tube

__all__ = ["ENDS", "Brace", "BraceEnd", "Face", "GussetMake", "members_of", "normal_of"]

Face = Literal["left", "right", "front", "rear", "top", "bottom"]
ENDS = ("start", "end")


@_definition
class BraceEnd:
    """Where the brace's axis crosses the axis of a frame member."""

    member: Name  # a tube of the frame, as post.front-left, width.top.rear, depth.bottom.right
    at: Length  # of that point: z on a post, x on a width tube, y on a depth tube


@_definition
class GussetMake:
    """How the gussets of every brace are made and bolted."""

    thickness: Length
    material: Name
    stock: Name
    hardware: Hardware
    on_brace: Whole  # bolts in the brace, an end
    on_member: Whole  # bolts in the member it meets
    pitch: Length  # between bolts of a line
    edge: Length  # from a bolt to the gusset's edge, and to the brace's sawn end
    faces: Literal["both", "outside", "inside"]  # of the brace that have a gusset
    grain: Literal["brace"] | None = None  # rolling direction along the brace; without it as the nest likes


@_definition
class Brace:
    """One brace; `tube` where its wall or metal is not the frame's."""

    name: Name
    face: Face
    start: BraceEnd
    end: BraceEnd
    tube: Tube | None = None


def normal_of(face: Face) -> str:
    """The rack axis that looks out of a face."""
    return {"left": "-x", "right": "+x", "front": "-y", "rear": "+y", "top": "+z", "bottom": "-z"}[face]


def members_of(face: Face) -> tuple[str, ...]:
    """The four tubes of the frame that lie in a face."""
    if face in ("left", "right"):
        posts = tuple(f"post.{depth}-{face}" for depth in ("front", "rear"))
        return (*posts, *(f"depth.{level}.{face}" for level in ("bottom", "top")))
    if face in ("front", "rear"):
        posts = tuple(f"post.{face}-{hand}" for hand in ("left", "right"))
        return (*posts, *(f"width.{level}.{face}" for level in ("bottom", "top")))
    across = tuple(f"width.{face}.{depth}" for depth in ("front", "rear"))
    return (*across, *(f"depth.{face}.{hand}" for hand in ("left", "right")))
