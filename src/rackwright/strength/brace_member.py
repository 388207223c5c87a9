"""A brace as a member of the frame: from the node where its axis crosses one member's to that on the other.

Within members and gussets it is rigid; its flexible length is that of its axis between the sawn ends. With stiff joints
it is continuous with its members, with flexible ones pinned at both ends about both axes, and its bolts give way.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.brace_pieces import BracePlace
from rackwright.pieces.model import Piece
from rackwright.rack.brace import BraceEnd
from rackwright.rack.model import Rack
from rackwright.strength.joint_springs import gusset_give
from rackwright.strength.member_values import tube_values
from rackwright.strength.rack_frame import Segment

__all__ = ["brace_ends", "brace_member", "node_of", "nodes_of"]

Vector = NDArray[np.float64]


def node_of(end: BraceEnd) -> str:
    """The node of a frame member where a brace's axis crosses its own."""
    return f"{end.member}@{end.at}"


def brace_ends(rack: Rack, tube: str) -> set[int]:
    """Where along a tube of the frame braces meet it, nm."""
    return {
        end.at for brace in rack.definition.brace for end in (brace.start, brace.end) if end.member == tube
    }


def nodes_of(rack: Rack, rest: str) -> list[str]:
    """The nodes of a brace NAME, or of its gussets NAME.END.FACE."""
    braces = [one for one in rack.definition.brace if rest == one.name or rest.startswith(f"{one.name}.")]
    return [node_of(end) for brace in braces for end in (brace.start, brace.end)]


def brace_member(
    rack: Rack, piece: Piece, place: BracePlace, nodes: Mapping[str, Vector]
) -> tuple[Segment, dict[str, object]]:
    """The segment and its row of values."""
    a, b = node_of(place.brace.start), node_of(place.brace.end)
    way = nodes[b] - nodes[a]
    way = way / np.linalg.norm(way)
    length, values = place.axis_length * 1e-9, tube_values(rack, place.tube)
    per_metre = piece.mass / length
    row: dict[str, object] = {
        "a": a, "b": b, **values, "rho": per_metre / values["A"], "end_spring": np.full((2, 2), np.inf),
        "offset": np.array([way * place.start.setback * 1e-9, -way * place.end.setback * 1e-9]),
        "zref": np.eye(3)[place.normal],
    }  # fmt: skip
    give = gusset_give(rack, place)
    if give is not None:
        area = length / (length / values["A"] + 2 * give * values["E"])
        row["flexible"] = {"A": area, "rho": per_metre / area, "end_spring": np.zeros((2, 2))}
    return Segment(piece.id, "brace", place.first_tip * 1e-9, length), row
