"""Do braces and gussets fit: what they run into or cover, and whether a brace is long enough for its bolts.

Shapes are true: a brace or gusset is compared by its outline with the boxes of what is around it. A gusset may lie on
no corner block and over no hole but its own, and a brace's end on no hole of its member's side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import degrees

from rackwright.formulas.kerf import STEEPEST
from rackwright.pieces.brace_pieces import BracePlace, Meeting, brace_places
from rackwright.pieces.fit import PITCH, equipment_boxes
from rackwright.pieces.model import IN, Bolt, Box, Piece, axis_index
from rackwright.pieces.slab import Slab, plane_of
from rackwright.rack.build_up_questions import washer_beyond
from rackwright.rack.model import Rack
from rackwright.trouble import Fault

__all__ = ["brace_fit"]

TOUCH = 2_000  # nm: faces that lie on each other, their places rounded


def brace_fit(rack: Rack, pieces: Sequence[Piece], bolts: Sequence[Bolt]) -> list[Fault]:
    """Every fault of braces and gussets, once."""
    if not rack.definition.brace:
        return []
    places = brace_places(rack)
    found = [fault for place in places for fault in _sawn(rack, place)]
    if not found:  # an impossible outline overlaps anything
        by_id = {piece.id: piece for piece in pieces}
        found = [*_overlaps(rack, pieces), *_outside(rack, pieces), *_covered(rack, pieces, bolts)]
        found += [
            fault for place in places for end in place.meetings for fault in _on_side(rack, by_id, place, end)
        ]
        found += _washers(rack)
    return sorted(set(found), key=lambda fault: (fault.where, fault.code, fault.found))


def _sawn(rack: Rack, place: BracePlace) -> Iterator[Fault]:
    """Mitres that a saw swings to, a short side, and room for the bolts of both ends."""
    make, path = rack.definition.gusset_make, f"brace.{place.brace.name}"
    assert make is not None
    for meeting in place.meetings:
        if degrees(meeting.angle) > STEEPEST:
            found = f"the {meeting.name} is mitred {degrees(meeting.angle):.4g} deg from the square"
            do = f"bring it to {STEEPEST:g} deg or less: move an end"
            yield Fault("RW209", rack.where(f"{path}.{meeting.name}.at"), found, do)
    row = rack.rows.bolts[make.hardware.bolt]
    apart = place.stations(make, "end")[-1] - place.stations(make, "start")[-1]
    least = PITCH * row.diameter * 1e9
    if min(place.sides) <= 0 or apart < least:
        found = f"brace {place.brace.name} is too short for its bolts: those of its ends are {apart / IN:.4g} in apart"
        do = f"move its ends {(least - apart) / IN:.4g} in further apart, or use fewer bolts or a smaller pitch"
        yield Fault("RW209", rack.where(path), found, do)


def _box_slab(box: Box, normal: int) -> Slab:
    """A box as a slab."""
    a, b = plane_of(normal)
    corners = ((box.lo[a], box.lo[b]), (box.hi[a], box.lo[b]), (box.hi[a], box.hi[b]), (box.lo[a], box.hi[b]))
    return Slab(normal, box.lo[normal], box.hi[normal], tuple((float(u), float(v)) for u, v in corners), 0,
                (float(box.lo[a]), float(box.lo[b])), (1.0, 0.0))  # fmt: skip


def _overlaps(rack: Rack, pieces: Sequence[Piece]) -> Iterator[Fault]:
    askew = [(piece, piece.slab) for piece in pieces if piece.slab is not None]
    boxes = [(piece.id, box) for piece in pieces for box in piece.solid]
    boxes += [
        (item.name, box) for item in rack.definition.equipment for _, box in equipment_boxes(rack, item)
    ]
    for n, (piece, slab) in enumerate(askew):
        around = [(id, _box_slab(one, slab.normal)) for id, one in boxes]
        around += [
            (other.id, its if its.normal == slab.normal else _box_slab(other.boxes[0], slab.normal))
            for other, its in askew[n + 1 :]
        ]
        meets: dict[str, tuple[float, bool]] = {}
        for id, other in around:
            deep = min(slab.high, other.high) - max(slab.low, other.low)
            gap = slab.gap(other)
            on_block = piece.kind == "gusset" and id.startswith("block.") and deep > -TOUCH
            if gap < -TOUCH and (deep > TOUCH or on_block):
                meets[id] = min(meets.get(id, (0.0, False)), (gap, on_block))
        for id, (gap, on_block) in meets.items():
            what = "lies on" if on_block else "runs into"
            found = f"{piece.id} {what} {id} by {-gap / IN:.4g} in"
            do = (
                "move the brace's end, or what it meets"
                if not on_block
                else "move the end away from the block"
            )
            yield Fault("RW209", rack.where(piece.path), found, do)


def _outside(rack: Rack, pieces: Sequence[Piece]) -> Iterator[Fault]:
    """In the plane of its face no gusset reaches beyond the rack."""
    outside = rack.definition.outside
    limits = (outside.width, outside.depth, outside.height)
    for piece in pieces:
        if piece.kind == "gusset" and piece.slab is not None:
            beyond = max(max(-piece.lo[i], piece.hi[i] - limits[i]) for i in plane_of(piece.slab.normal))
            if beyond > TOUCH:
                found = f"{piece.id} reaches {beyond / IN:.4g} in beyond the frame"
                do = f"give an edge of at most {rack.definition.tube.side / 2 / IN:.4g} in, half of the tube"
                yield Fault("RW209", rack.where("gusset_make.edge"), found, do)


def _covered(rack: Rack, pieces: Sequence[Piece], bolts: Sequence[Bolt]) -> Iterator[Fault]:
    """No gusset lies over another bolt's head or a vent."""
    washers = {bolt.id: rack.rows.washers[bolt.washer].outside_diameter * 0.5e9 for bolt in bolts}
    own = {
        piece.id: {bolt.id for bolt in bolts if piece.id in bolt.joins}
        for piece in pieces
        if piece.kind == "gusset"
    }
    for gusset in pieces:
        if gusset.kind != "gusset" or gusset.slab is None:
            continue
        near = {gusset.slab.low, gusset.slab.high}
        for piece in pieces:
            if piece.kind == "gusset" or not near & {
                piece.lo[gusset.slab.normal],
                piece.hi[gusset.slab.normal],
            }:
                continue
            for hole in piece.holes:
                i = gusset.slab.normal
                on_face = axis_index(hole.face) == i and (hole.face[0] == "+") == (
                    gusset.slab.low >= hole.centre[i]
                )
                room = washers.get(hole.bolt, hole.diameter / 2)
                if (
                    on_face
                    and hole.bolt not in own[gusset.id]
                    and gusset.slab.gap_to(*gusset.slab.flat(hole.centre)) < room
                ):
                    found = f"{gusset.id} covers hole {hole.bolt} of {piece.id}"
                    do = "move the brace's end, or the bolt or vent"
                    yield Fault("RW209", rack.where(gusset.path), found, do)


def _on_side(rack: Rack, by_id: dict[str, Piece], place: BracePlace, meeting: Meeting) -> Iterator[Fault]:
    """No hole of the member, with what stands in it, lies under the brace's sawn end."""
    member = by_id[meeting.member.id]
    axis = axis_index(meeting.member.axis)
    cross = next(i for i in plane_of(place.normal) if i != axis)
    inward = 1 if place.at(place.start.setback + place.axis_length / 2)[plane_of(place.normal).index(cross)] > (
        meeting.node[plane_of(place.normal).index(cross)]) else -1  # fmt: skip
    half = meeting.setback  # b/2 over the cosine: half of the sawn face
    middle = _sawn_middle(place, meeting)[plane_of(place.normal).index(axis)]
    side = "+" if inward > 0 else "-"
    for hole in member.holes:
        on_side = axis_index(hole.face) == cross and hole.face[0] == side
        if on_side and abs(hole.centre[axis] - middle) < half + hole.diameter / 2:
            found = (
                f"the {meeting.name} of brace {place.brace.name} stands on hole {hole.bolt} of {member.id}"
            )
            place_of = rack.where(f"brace.{place.brace.name}.{meeting.name}.at")
            yield Fault("RW209", place_of, found, "move the end along its member")


def _sawn_middle(place: BracePlace, meeting: Meeting) -> tuple[float, float]:
    station = place.start.setback
    return place.at(station if meeting.name == "start" else station + place.axis_length)


def _washers(rack: Rack) -> Iterator[Fault]:
    """With a gusset on one face, the washers of the other stand on the flat of the tube."""
    make = rack.definition.gusset_make
    if make is None or make.faces == "both":
        return
    beyond = washer_beyond(rack, make.hardware.washer)
    if beyond > 0:
        found = f"washer {make.hardware.washer} reaches {beyond / IN:.4g} in on to the tube's corner radius"
        do = "use a smaller washer, or gussets on both faces"
        yield Fault("RW203", rack.where("gusset_make.hardware.washer"), found, do)
