"""Can it be built: pieces and keep-outs that overlap, holes near edges, bolts that meet, 19-inch fit.

Edge rule: a hole's centre is at least 1.5 bolt diameters from the edge of the wall it pierces, below
which the handbook gives no bearing value (MIL-HDBK-5J section 1.4.7.1), and holes in one wall are at
least 3 diameters apart (AC 43.13-1B paragraph 4-57). Every fault names the definition's line.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.crossing import holes_meeting, placed_by
from rackwright.pieces.frame_pieces import spigot_edges
from rackwright.pieces.metals import unprotected
from rackwright.pieces.model import AXES, IN, Bolt, Box, Hole, Piece, axis_index
from rackwright.pieces.shelf_pieces import GRID, equipment_corner, rail_leg, screw_x, shelf_feet, unit_height
from rackwright.pieces.tiedown import ring_place
from rackwright.rack.build_up_questions import washer_beyond
from rackwright.rack.model import Equipment, Rack
from rackwright.trouble import Fault

__all__ = ["crossed_by", "equipment_boxes", "fit"]

Vector = NDArray[np.float64]
PITCH = 3.0  # bolt diameters


def fit(rack: Rack, pieces: Sequence[Piece], bolts: Sequence[Bolt]) -> list[Fault]:
    """Every fault that keeps the rack from being built."""
    beside = list(_beside_shelf(rack, pieces))
    lost = {fault.where.field.removesuffix(".on_shelf.at") for fault in beside}
    meeting = list(_meeting(rack, bolts))
    placed = [*_outside(rack), *_edges(rack, pieces, bolts), *meeting, *_feet(rack)]
    if not meeting:
        placed += holes_meeting(rack, pieces, bolts)
    found = [
        *_closed(rack),
        *spigot_edges(rack),
        *unprotected(rack, pieces, bolts),
        *_panel_grid(rack),
        *_overlaps(rack, pieces),
        *_washers(rack),
        *_heads(rack, bolts),
        *_straps(rack, pieces),
        *beside,
        # what an item's holes and ends meet beside its shelf follows from its place, which is told
        *(
            fault
            for fault in placed
            if not any(f"{fault.where.field}.".startswith(f"{one}.") for one in lost)
        ),
    ]
    return list(_one_cause(sorted(set(found), key=lambda fault: (fault.where, fault.code, fault.found))))


def _one_cause(faults: Sequence[Fault]) -> Iterator[Fault]:
    """What one misplaced bolt does at many holes is told once: the first of them, and how many more there are."""
    alike = Counter((fault.code, fault.where) for fault in faults)
    told = set()
    for fault in faults:
        cause = fault.code, fault.where
        if fault.code != "RW203" or alike[cause] == 1:
            yield fault
        elif cause not in told:
            told.add(cause)
            yield replace(
                fault, found=f"{fault.found}, and at {alike[cause] - 1} more holes from the same place"
            )


# --- room ----------------------------------------------------------------------------------------


def equipment_boxes(rack: Rack, item: Equipment) -> list[tuple[str, Box]]:
    """Body, panel and keep-outs of an item in rack axes, each with the path of what defines it."""
    path = f"equipment.{item.name}"
    corner = equipment_corner(rack, item)

    def moved(at: Iterable[int], size: Iterable[int]) -> Box:
        lo = [c + a for c, a in zip(corner, at, strict=True)]
        hi = [low + s for low, s in zip(lo, size, strict=True)]
        return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))

    boxes = [(f"{path}.size", moved((0, 0, 0), item.size))]
    boxes += [(f"{path}.keep_out.{n}", moved(box.at, box.size)) for n, box in enumerate(item.keep_out)]
    rails = rack.definition.rails
    if item.on_rails is not None and rails is not None:
        wide = round(rack.rows.panel_grids[GRID].panel_width * 1e9)
        low = rails.bottom + (item.on_rails.unit - 1) * unit_height(rack)
        left = rack.definition.outside.width // 2 - wide // 2
        lo, hi = (
            (left, rails.setback - item.on_rails.flange, low),
            (left + wide, rails.setback, low + item.on_rails.units * unit_height(rack)),
        )
        boxes.append((f"{path}.on_rails", Box(lo, hi)))
    return boxes


def _overlaps(rack: Rack, pieces: Sequence[Piece]) -> Iterator[Fault]:
    made = [(piece.id, piece.path, box) for piece in pieces for box in piece.solid]
    held = [
        (item.name, path, box)
        for item in rack.definition.equipment
        for path, box in equipment_boxes(rack, item)
    ]
    everything = [*made, *held]
    for a, b in _overlapping([box for _, _, box in everything]):
        (id, path, box), (other, other_path, other_box) = everything[a], everything[b]
        if id != other:
            name, place = (other, other_path) if path in ("outside", "block") else (id, path)
            against = id if name == other else other
            yield Fault(
                "RW202",
                rack.where(place),
                f"{name} and {against} overlap by {_overlap(box, other_box)}",
                "move one of them or make it smaller",
            )


def _outside(rack: Rack) -> Iterator[Fault]:
    """Nothing but a removal path reaches out of the rack."""
    for item in rack.definition.equipment:
        ways_out = {f"equipment.{item.name}.keep_out.{n}" for n, box in enumerate(item.keep_out)
                    if box.kind == "removal path"}  # fmt: skip
        for path, box in equipment_boxes(rack, item):
            outside = rack.definition.outside
            limits = (outside.width, outside.depth, outside.height)
            if path not in ways_out and any(box.lo[i] < 0 or box.hi[i] > limits[i] for i in range(3)):
                yield Fault(
                    "RW202",
                    rack.where(path),
                    f"{item.name} reaches out of the rack",
                    "move it or make the rack larger",
                )


def _beside_shelf(rack: Rack, pieces: Sequence[Piece]) -> Iterator[Fault]:
    """The body of what stands on a shelf stands over its panel."""
    panels = {piece.id: piece for piece in pieces if piece.kind == "panel"}
    for item in rack.definition.equipment:
        if item.on_shelf is None:
            continue
        panel = panels[f"panel.{item.on_shelf.shelf}"]
        _, body = equipment_boxes(rack, item)[0]
        for i in range(2):
            beyond = max(panel.lo[i] - body.lo[i], body.hi[i] - panel.hi[i])
            if beyond > 0:
                past = f"beyond the panel of shelf {item.on_shelf.shelf} along {AXES[i]}"
                found = f"{item.name} reaches {beyond / IN:.4g} in {past}"
                place = rack.where(f"equipment.{item.name}.on_shelf.at")
                yield Fault("RW202", place, found, "move it over its shelf, or take another one")


def _overlapping(boxes: Sequence[Box]) -> Iterator[tuple[int, int]]:
    """Numbers of the boxes whose interiors share a point, in pairs."""
    lo, hi = np.array([box.lo for box in boxes]), np.array([box.hi for box in boxes])
    for n in range(len(boxes)):
        both = (lo[n] < hi[n + 1 :]) & (lo[n + 1 :] < hi[n])
        yield from ((n, n + 1 + int(m)) for m in np.flatnonzero(both.all(axis=1)))


def _overlap(a: Box, b: Box) -> str:
    deep = [min(a.hi[i], b.hi[i]) - max(a.lo[i], b.lo[i]) for i in range(3)]
    i = deep.index(min(deep))
    return f"{deep[i] / IN:.4g} in along {AXES[i]}"


def _panel_grid(rack: Rack) -> Iterator[Fault]:
    """A 19-inch panel, its rails and its screws between the posts."""
    rails, d = rack.definition.rails, rack.definition
    if rails is None:
        return
    grid = rack.rows.panel_grids[GRID]
    clear = d.outside.width - 2 * d.tube.side
    if clear < round(grid.panel_width * 1e9):
        yield Fault(
            "RW205",
            rack.where("outside.width"),
            f"{clear / IN:.4g} in between the posts is less than a panel of {grid.panel_width / 0.0254:.4g} in",
            "make the rack wider",
        )
        return
    if rails.opening < round(grid.opening_min * 1e9):
        yield Fault(
            "RW205",
            rack.where("rails.opening"),
            f"the opening of {rails.opening / 1e6:.4g} mm is too small",
            f"at least {grid.opening_min * 1e3:.4g} mm",
        )
    reach = rail_leg(rack, rails)
    if not rails.angle.thickness < reach <= rails.angle.carry_leg:
        yield Fault(
            "RW205",
            rack.where("rails.angle"),
            f"the rail must reach {reach / IN:.4g} in from the post, its stock has {rails.angle.carry_leg / IN:.4g} in",
            "use a larger angle or another opening",
        )
    inner = d.tube.side
    hole = screw_x(rack, "left") - inner
    diameter = round(rack.rows.bolts[rails.screw.bolt].diameter * 1e9)
    if reach - hole < 1.5 * diameter:
        yield Fault(
            "RW205",
            rack.where("rails.opening"),
            f"the panel screws are {(reach - hole) / diameter:.3g} diameters from the rail's edge",
            "1.5 or more: use a smaller opening or a smaller screw",
        )


def _straps(rack: Rack, pieces: Sequence[Piece]) -> Iterator[Fault]:
    """A strap runs free from the ring's eye to the floor fitting."""
    d = rack.definition
    if d.ring_make is None:
        return
    rings, fittings = {ring.name: ring for ring in d.ring}, {one.name: one for one in d.floor_fitting}
    for strap in d.strap:
        eye = ring_place(rack, rings[strap.ring]).eye * 1e9
        way = np.array(fittings[strap.fitting].at, dtype=float) - eye
        place = rack.where(f"strap.{strap.name}.fitting")
        if np.linalg.norm(way) < d.ring_make.width:
            found = f"fitting {strap.fitting} lies at the ring's eye"
            yield Fault("RW202", place, found, "take a fitting further away")
            continue
        through = crossed_by(rack, pieces, eye, eye + way)
        if through is not None:
            found = f"strap {strap.name} would run through {through}"
            yield Fault("RW202", place, found, "take another fitting or put the ring on another face")
        elif way[2] >= 0:
            found = f"strap {strap.name} would point up: fitting {strap.fitting} does not lie below the ring's eye"
            yield Fault("RW202", place, found, "take a fitting in the floor, or another ring")


def _feet(rack: Rack) -> Iterator[Fault]:
    """Under the panel a foot's nut and washer need room beside the shelf angle's carrying leg."""
    d = rack.definition
    half = round(rack.rows.washers[d.shelf_make.feet.washer].outside_diameter * 0.5e9)
    low = d.tube.side + d.shelf_make.angle.carry_leg + half
    for item in d.equipment:
        left = equipment_corner(rack, item)[0]
        for n, (x, _) in enumerate(shelf_feet(item), start=1):
            at = x + left
            if not low <= at <= d.outside.width - low:
                found = f"foot {n} of {item.name} stands over the shelf angle: its nut has no room"
                place = rack.where(
                    f"equipment.{item.name}.{'on_shelf' if item.on_shelf else 'on_rails.rear'}.feet"
                )
                do = f"bring it between {low / IN:.4g} in and {(d.outside.width - low) / IN:.4g} in of the rack's width"
                yield Fault("RW202", place, found, do)


def crossed_by(rack: Rack, pieces: Sequence[Piece], start: Vector, end: Vector) -> str | None:
    """What the line from start to end (nm) runs through: a piece, rings left aside, or the inside of the rack."""
    outside = rack.definition.outside
    boxes = [(piece.id, box) for piece in pieces if piece.kind != "ring" for box in piece.solid]
    boxes.append(("the inside of the rack", Box((0, 0, 0), (outside.width, outside.depth, outside.height))))
    way = end - start
    lo, hi = (np.array([getattr(box, end) for _, box in boxes]) - start for end in ("lo", "hi"))
    with np.errstate(divide="ignore", invalid="ignore"):
        a, b = lo / way, hi / way
    level = np.abs(way) < 1.0  # nm: it runs along the faces
    beside = (level & ((lo >= 0) | (hi <= 0))).any(axis=1)
    enter = np.where(level, 0.0, np.minimum(a, b)).max(axis=1, initial=0.0)
    leave = np.where(level, 1.0, np.maximum(a, b)).min(axis=1, initial=1.0)
    through = ~beside & (enter < leave - 1e-9)
    return boxes[int(np.argmax(through))][0] if bool(through.any()) else None


# --- holes ---------------------------------------------------------------------------------------


def _closed(rack: Rack) -> Iterator[Fault]:
    """Tubes that spigots close at both ends must breathe in the oven and drain after pretreatment."""
    if rack.definition.finish is not None and rack.definition.tube.vent is None:
        yield Fault("RW207", rack.where("tube"), "closed tubes are to be coated and have no vent and drain holes",
                    'add vent = { diameter = "1/8 in", from_block = "3 in" } to [tube]')  # fmt: skip
    vent, spigot = rack.definition.tube.vent, rack.definition.block.spigot_length
    if vent is not None and vent.from_block < spigot + vent.diameter:
        yield Fault(
            "RW207",
            rack.where("tube.vent"),
            "the vent lies over the spigot",
            "move it beyond the spigot's end",
        )


def _edges(rack: Rack, pieces: Sequence[Piece], bolts: Sequence[Bolt]) -> Iterator[Fault]:
    least = rack.rows.edge_rules["bearing table lower end"].minimum
    shank = {bolt.id: round(rack.rows.bolts[bolt.row].diameter * 1e9) for bolt in bolts}
    for piece in pieces:
        size = {hole: shank.get(hole.bolt, hole.diameter) for hole in piece.holes}  # a vent has no bolt
        for hole in piece.holes:
            edge = edge_distance(piece, hole)
            if edge is None and (piece.walls or piece.slab):
                yield Fault(
                    "RW203",
                    rack.where(placed_by(hole.bolt)),
                    f"hole {hole.bolt} does not lie in the metal of {piece.id}",
                    "move the hole, or make the piece larger",
                )
            if edge is not None and edge < least * size[hole] - 1:
                found = f"hole {hole.bolt} in {piece.id} is {edge / size[hole]:.3g} diameters from an edge"
                yield Fault("RW203", rack.where(placed_by(hole.bolt)), found, f"at least {least} diameters")
        for one, other in combinations(piece.holes, 2):
            if one.face == other.face and _same_wall(one, other) and not _grid(one, other):
                apart = sum((a - b) ** 2 for a, b in zip(one.centre, other.centre, strict=True)) ** 0.5
                mean = (size[one] + size[other]) / 2
                if apart < PITCH * mean - 1:
                    found = f"holes {one.bolt} and {other.bolt} in {piece.id} are {apart / mean:.3g} diameters apart"
                    yield Fault(
                        "RW203",
                        rack.where(placed_by(one.bolt, other.bolt)),
                        found,
                        f"at least {PITCH:g} diameters",
                    )


def _washers(rack: Rack) -> Iterator[Fault]:
    """The washers of joint and rail bolts, on the middle of a wall, stand on its flat and not on the corners' radius.

    Those of the shelf bolts stand beside the middle: `washer_beyond`, and a question where they reach on to it."""
    d = rack.definition
    for path, made in (("joint", d.joint), ("rails", d.rails)):
        beyond = washer_beyond(rack, made.hardware.washer) if made else 0
        if made and beyond > 0:
            found = (
                f"washer {made.hardware.washer} reaches {beyond / IN:.4g} in on to the tube's corner radius"
            )
            do = "use a smaller washer or a larger tube"
            yield Fault("RW203", rack.where(f"{path}.hardware.washer"), found, do)


def _heads(rack: Rack, bolts: Sequence[Bolt]) -> Iterator[Fault]:
    """Head and washers of a pad's bolt within its counterbore at its smallest; flush with the pad is enough."""
    bore = rack.definition.pad.counterbore
    held = next((bolt for bolt in bolts if bolt.id.startswith("pad.")), None)
    if bore is None or held is None:
        return
    row, washer = rack.rows.bolts[held.row], rack.rows.washers[held.washer]
    if row.head_height is None or row.head_across_corners is None:
        found = f"row {row.id} gives no size of its head: that it stays above the floor cannot be judged"
        do = (
            "use a bolt whose row does, or an own row with head_height and head_across_flats and their source"
        )
        yield Fault("RW203", rack.where("pad.hardware.bolt"), found, do)
        return
    count = 1 if held.nut else held.washers
    high = round((row.head_height + count * washer.thickness) * 1e9)
    wide = round(max(washer.outside_diameter, row.head_across_corners) * 1e9)
    for name, need, have in (("depth", high, bore.depth), ("diameter", wide, bore.diameter)):
        if have - bore.tolerance < need:
            found = (
                f"head of {row.id} and {count} washer {washer.id} need {need / IN:.4g} in, the counterbore leaves "
                f"{(have - bore.tolerance) / IN:.4g} in at least"
            )
            do = f"give {(need + bore.tolerance) / IN:.4g} in or more"
            yield Fault("RW203", rack.where(f"pad.counterbore.{name}"), found, do)


def edge_distance(piece: Piece, hole: Hole) -> int | None:
    """Least distance (nm) from the hole's centre to an edge of the wall it lies in, or None without one."""
    if piece.slab is not None:
        return piece.slab.edge(hole.centre)
    i = axis_index(hole.face)
    walls = [
        wall for wall in piece.walls if all(wall.lo[k] <= hole.centre[k] <= wall.hi[k] for k in range(3))
    ]
    if not walls:
        return None
    wall = min(walls, key=lambda box: box.size(i))
    return min(min(hole.centre[k] - wall.lo[k], wall.hi[k] - hole.centre[k]) for k in range(3) if k != i)


def _grid(one: Hole, other: Hole) -> bool:
    """Two screws of the panel grid: their pitch is the standard's, not ours."""
    return one.bolt.startswith("equipment.") and other.bolt.startswith("equipment.")


def _same_wall(one: Hole, other: Hole) -> bool:
    i = axis_index(one.face)
    return one.centre[i] == other.centre[i]


def _meeting(rack: Rack, bolts: Sequence[Bolt]) -> Iterator[Fault]:
    """Bolts whose shanks would share room: axis distance below the mean of their diameters."""
    if not bolts:
        return
    diameter = np.array([round(rack.rows.bolts[bolt.row].diameter * 1e9) for bolt in bolts])
    shanks = [_shank(bolt) for bolt in bolts]
    lo, hi = np.array([box.lo for box in shanks]), np.array([box.hi for box in shanks])
    for n, one in enumerate(bolts):
        gaps = np.maximum(np.maximum(lo[n] - hi[n + 1 :], lo[n + 1 :] - hi[n]), 0).astype(float)
        near = (diameter[n] + diameter[n + 1 :]) // 2
        for m in np.flatnonzero((gaps**2).sum(axis=1) < near.astype(float) ** 2):
            other = bolts[n + 1 + int(m)]
            yield Fault(
                "RW204",
                rack.where(placed_by(one.id, other.id)),
                f"bolts {one.id} and {other.id} meet",
                "stagger them along the spigot, or move the shelf or rail",
            )


def _shank(bolt: Bolt) -> Box:
    """The axis of a bolt between its first and last wall, as a box without thickness."""
    i = axis_index(bolt.axis)
    lo, hi = list(bolt.point), list(bolt.point)
    lo[i], hi[i] = bolt.layers[0].low, bolt.layers[-1].high
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))
