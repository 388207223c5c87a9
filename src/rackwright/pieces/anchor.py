"""What holds a bolt in place of a nut: a tapped hole, an insert, a nutplate; and which bolt reaches into it.

The shank may not run into the threads: the longest grip is taken that ends at or before the anchor's face, washers
under the head counted. Where threads so lie in the shear plane, they are judged by their root. At least one diameter
of full threads is engaged (common practice, no source), of a nutplate its whole height; a bolt in a blind hole does
not reach its end. Threads are those of class 3A in 3B; a tapped hole is drilled to the least minor diameter.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rackwright.formulas.thread import basic_minor_internal
from rackwright.pieces.model import IN, Anchored, Drilled, Layer
from rackwright.rack.check_sizes import hardware_of
from rackwright.rack.model import Hardware, Insert, Nutplate, Rack, Tapped
from rackwright.trouble import Fault

__all__ = ["bored", "hole_of", "seated"]

MOST_UNDER_HEAD = 3  # washers; common practice, no source
#: the end of the stack that has the nut or the anchor; bolts that are not named have it at the angle or rail
FAR_SIDE = {("panel", "z"): "-", ("equipment", "z"): "-", ("equipment", "y"): "+", ("pad", "z"): "+"}


def _far_side(placed: Drilled) -> str:
    """ "-" or "+": where the anchor is."""
    known = FAR_SIDE.get((placed.id.partition(".")[0], placed.axis))
    return known or ("-" if placed.layers[0].piece.startswith(("angle.", "rail.")) else "+")


def bored(placed: Drilled) -> Drilled:
    """The bolt with the last layer cut to the depth that its hole has there; for an insert a leg is drilled through."""
    anchor, depth = placed.hardware.anchor, None
    if isinstance(anchor, Tapped):
        depth = anchor.depth
    elif isinstance(anchor, Insert) and _last(placed).piece.startswith("block."):
        depth = anchor.depth or anchor.length
    if depth is None:
        return placed
    last = _last(placed)
    if depth >= last.high - last.low:
        return placed
    if _far_side(placed) == "-":
        return replace(placed, layers=(replace(last, low=last.high - depth), *placed.layers[1:]), blind=True)
    return replace(placed, layers=(*placed.layers[:-1], replace(last, high=last.low + depth)), blind=True)


def seated(rack: Rack, placed: Drilled) -> tuple[Anchored | None, int, int, list[Fault]]:
    """The anchor as the bolt is in it, its dash number and the washers under its head; or why none does."""
    path, anchor = _path(rack, placed.hardware), placed.hardware.anchor
    assert anchor is not None
    row, last = rack.rows.bolts[placed.hardware.bolt], _last(placed)
    wall, diameter = last.high - last.low, round(row.diameter * 1e9)
    kind = type(anchor).__name__.lower()
    threaded = _threaded(anchor, wall)
    where = rack.where(f"{path}.{kind}")
    if not isinstance(anchor, Nutplate) and threaded > wall:
        name = "depth" if isinstance(anchor, Tapped) else "length"
        found = f"{threaded / IN:.4g} in is deeper than the {wall / IN:.4g} in of {_family(last.piece)}"
        do = "give at most that, a thicker piece, or a nut"
        return None, 0, 0, [Fault("RW203", rack.where(f"{path}.{kind}.{name}"), found, do)]
    if threaded < diameter and not isinstance(anchor, Nutplate):
        found = (
            f"{threaded / IN:.4g} in of thread in {_family(last.piece)} is less than one diameter of {row.id}"
        )
        do = f"engage {diameter / IN:.4g} in or more: a thicker piece, an insert, a nutplate or a nut"
        return None, 0, 0, [Fault("RW203", where, found, do)]
    rivets = anchor.rivets if isinstance(anchor, Nutplate) else None
    if rivets is not None and rivets.along == placed.axis:
        found = f"the rivets of a nutplate stand in line along {rivets.along}, which is the bolt's own axis"
        do = f"give one of {', '.join(axis for axis in 'xyz' if axis != placed.axis)}"
        return None, 0, 0, [Fault("RW203", rack.where(f"{path}.{kind}.rivets.along"), found, do)]
    clear = placed.layers[-1].high - placed.layers[0].low - (0 if isinstance(anchor, Nutplate) else wall)
    asked = threaded if isinstance(anchor, Nutplate) else diameter
    for dash, under_head, reach, grip in _lengths(rack, placed.hardware, clear):
        engaged = min(threaded, reach)
        if engaged >= asked and not (placed.blind and reach > wall):
            plane = clear - (wall if isinstance(anchor, Nutplate) else 0)
            hole, tapped = hole_of(rack, placed, last)
            made = Anchored(
                kind=kind, part=getattr(anchor, "part", ""), thread=row.thread, piece=last.piece,  # type: ignore[arg-type]
                side=_far_side(placed), hole=hole, engaged=engaged, in_plane=grip < plane, tapped=tapped,
                metal=getattr(anchor, "metal", None),
                pull_out=getattr(anchor, "pull_out", None), most=getattr(anchor, "most", None),
                document=getattr(anchor, "document", None),
                locking=anchor.locking, torque=anchor.torque, rivets=rivets,
            )  # fmt: skip
            return made, dash, under_head, []
    found = f"no length of {row.id} engages {asked / IN:.4g} in of the {kind} in {_family(last.piece)}"
    do = f"the bolt passes {clear / IN:.4g} in before it: use a deeper hole, another stack or a nut"
    return None, 0, 0, [Fault("RW203", where, found, do)]


def hole_of(rack: Rack, placed: Drilled, layer: Layer) -> tuple[int, str]:
    """Diameter (nm) drilled in a layer, and the thread tapped into it, "" for none."""
    anchor = placed.hardware.anchor
    if layer != _last(placed) or not isinstance(anchor, (Tapped, Insert)):
        return placed.hardware.hole, ""
    if isinstance(anchor, Insert):
        return anchor.hole, anchor.thread or ""
    row = rack.rows.bolts[placed.hardware.bolt]
    return round(float(basic_minor_internal(row.diameter, row.pitch)) * 1e9), f"{row.thread} class 3B"


def _lengths(rack: Rack, hardware: Hardware, clear: int) -> Iterator[tuple[int, int, int, int]]:
    """Dash number, washers under the head, reach beyond and grip before what is clear; the longest grip first."""
    series, thick = rack.rows.grips[hardware.bolt], rack.rows.washers[hardware.washer].thickness
    for under_head in range(1, MOST_UNDER_HEAD + 1):
        for dash in sorted(series.dashes(), key=series.grip, reverse=True):
            grip = round((series.grip(dash) - under_head * thick) * 1e9)
            if grip <= clear + 1:
                yield dash, under_head, round((series.length(dash) - under_head * thick) * 1e9) - clear, grip


def _threaded(anchor: Tapped | Insert | Nutplate, wall: int) -> int:
    """Length of full threads that it has."""
    if isinstance(anchor, Tapped):
        return wall if anchor.depth is None else anchor.depth
    return anchor.length if isinstance(anchor, Insert) else anchor.height


def _last(placed: Drilled) -> Layer:
    return placed.layers[0] if _far_side(placed) == "-" else placed.layers[-1]


def _family(piece: str) -> str:
    """A kind of piece in words, so that a mistake is told once and not for each bolt."""
    return {"angle": "shelf angle", "panel": "shelf panel", "block": "corner block"}.get(
        piece.partition(".")[0], piece.partition(".")[0]
    )


def _path(rack: Rack, hardware: Hardware) -> str:
    return next((path for path, one in hardware_of(rack.definition) if one is hardware), "")
