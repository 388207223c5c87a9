"""Posts, cross tubes and corner blocks.

A rack is welded by nothing: each tube stands between the faces of two corner blocks and over their
spigots, so its cut length is the outside dimension less the two block faces. Each end is fastened through
both walls and the spigot by the bolts of the joint's pattern.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rackwright.formulas.fits import spigot_corner_break
from rackwright.formulas.section import tube_area, tube_inertia
from rackwright.pieces.model import IN, Box, Drilled, Layer, Piece, Point, axis_index
from rackwright.pieces.solids import Solid, box_solid, inches, prism, square_section, together
from rackwright.rack.model import CORNERS, JointBolt, Rack
from rackwright.trouble import Fault

__all__ = ["TubePlace", "blocks", "corner_of", "joint_bolts", "spigot_edges", "tube_places", "tubes"]


@dataclass(frozen=True)
class TubePlace:
    """Where a tube lies: its box between the block faces, and the blocks at its low and high end."""

    id: str
    kind: str  # post, width, depth
    axis: str
    box: Box
    ends: tuple[str, str]  # block ids, low end then high end


def corner_of(rack: Rack, block: str) -> Point:
    """Low corner of a block's cube, from an id such as "block.top.front-left"."""
    _, level, corner = block.split(".")
    outside, side = rack.definition.outside, rack.definition.tube.side
    depth, hand = corner.split("-")
    return (
        outside.width - side if hand == "right" else 0,
        outside.depth - side if depth == "rear" else 0,
        outside.height - side if level == "top" else 0,
    )


def tube_places(rack: Rack) -> tuple[TubePlace, ...]:
    """The twelve tubes of the frame: four posts, four along the width, four along the depth."""
    return tuple(_tube_places(rack))


def _tube_places(rack: Rack) -> Iterator[TubePlace]:
    def place(id: str, kind: str, axis: str, low: str, high: str) -> TubePlace:
        side, i = rack.definition.tube.side, axis_index(axis)
        a, b = corner_of(rack, low), corner_of(rack, high)
        lo, hi = list(a), [value + side for value in a]
        lo[i], hi[i] = a[i] + side, b[i]
        return TubePlace(id, kind, axis, Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2])), (low, high))

    for corner in CORNERS:
        yield place(f"post.{corner}", "post", "z", f"block.bottom.{corner}", f"block.top.{corner}")
    for level in ("bottom", "top"):
        for depth in ("front", "rear"):
            ends = (f"block.{level}.{depth}-left", f"block.{level}.{depth}-right")
            yield place(f"width.{level}.{depth}", "width", "x", *ends)
        for hand in ("left", "right"):
            ends = (f"block.{level}.front-{hand}", f"block.{level}.rear-{hand}")
            yield place(f"depth.{level}.{hand}", "depth", "y", *ends)


def tubes(rack: Rack) -> list[Piece]:
    """The tubes with their exact cut lengths (holes are added by the bolts)."""
    tube = rack.definition.tube
    row = rack.rows.materials[tube.material]
    b, t, r = tube.side * 1e-9, tube.wall * 1e-9, tube.corner_radius * 1e-9
    area, second = float(tube_area(b, b, t, r)), float(tube_inertia(b, b, t, r))
    made = []
    for place in tube_places(rack):
        length = place.box.size(axis_index(place.axis))
        solid = prism(place.box.centre, place.axis, length, area, (second, second), row.density or 0.0)
        made.append(
            Piece(
                id=place.id,
                kind=place.kind,
                title=f"tube, {place.id.replace('.', ' ')}",
                material=tube.material,
                stock=tube.stock,
                section=square_section(tube.side, tube.wall),
                boxes=(place.box,),
                mass=solid.mass,
                cg=solid.cg,
                inertia=solid.inertia,
                path="outside",
                axis=place.axis,
                length=length,
                walls=_walls(place.box, place.axis, tube.wall),
            )
        )
    return made


def _walls(box: Box, axis: str, wall: int) -> tuple[Box, ...]:
    """The four walls of a tube."""
    walls = []
    for i in range(3):
        if i != axis_index(axis):
            low, high = list(box.lo), list(box.hi)
            high[i], low_of_far = box.lo[i] + wall, box.hi[i] - wall
            walls.append(Box(box.lo, (high[0], high[1], high[2])))
            low[i] = low_of_far
            walls.append(Box((low[0], low[1], low[2]), box.hi))
    return tuple(walls)


def blocks(rack: Rack) -> list[Piece]:
    """The eight corner blocks: a cube and three spigots, from solid."""
    d = rack.definition
    density = rack.rows.materials[d.block.material].density or 0.0
    made = []
    for level in ("bottom", "top"):
        for corner in CORNERS:
            id = f"block.{level}.{corner}"
            low = corner_of(rack, id)
            cube = Box(low, (low[0] + d.tube.side, low[1] + d.tube.side, low[2] + d.tube.side))
            spigots = [box for _, box in spigot_boxes(rack, id)]
            solid: Solid = together([box_solid(box, density) for box in (cube, *spigots)])
            over = inches(d.tube.side + d.block.spigot_length)
            made.append(
                Piece(
                    id=id,
                    kind="block",
                    title=f"corner block, {level} {corner}",
                    material=d.block.material,
                    stock=d.block.stock,
                    section=f"BLOCK {over}x{over}x{over}",
                    boxes=(cube,),
                    mass=solid.mass,
                    cg=solid.cg,
                    inertia=solid.inertia,
                    path="block",
                    walls=(cube, *spigots),
                    notes=("machined from solid; grain along the post",),
                )
            )
    return made


def spigot_boxes(rack: Rack, block: str) -> Iterator[tuple[str, Box]]:
    """(axis, box) of a block's three spigots."""
    d, low = rack.definition, corner_of(rack, block)
    inset = d.tube.wall + d.block.spigot_gap // 2
    for i, axis in enumerate("xyz"):
        lo = [value + inset for value in low]
        hi = [value + d.tube.side - inset for value in low]
        if low[i] == 0:  # the spigot points inward
            lo[i], hi[i] = d.tube.side, d.tube.side + d.block.spigot_length
        else:
            lo[i], hi[i] = low[i] - d.block.spigot_length, low[i]
        yield axis, Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def joint_bolts(rack: Rack) -> list[Drilled]:
    """Two or more bolts at each end of every tube, through wall, spigot and wall, and a ring where one is."""
    d, drilled = rack.definition, []
    for place in tube_places(rack):
        pattern: tuple[JointBolt, ...] = getattr(d.joint, place.kind)
        for end, block in zip(("low", "high"), place.ends, strict=True):
            spigot = next(box for axis, box in spigot_boxes(rack, block) if axis == place.axis)
            rings = [
                ring for ring in d.ring if place.kind == "post" and f"block.{ring.end}.{ring.post}" == block
            ]
            for number, bolt in enumerate(pattern, start=1):
                point = _on_axis(place, end, bolt.at)
                layers = _layers(rack, place, block, spigot, bolt.through)
                for ring in rings:
                    if ring.face[1] == bolt.through and d.ring_make is not None:
                        layers = _with_ring(layers, f"ring.{ring.name}", ring.face[0], d.ring_make.thickness)
                id = f"joint.{place.id}.{end}.{number}"
                drilled.append(Drilled(id, d.joint.hardware, point, bolt.through, layers, "joint.hardware"))
    return drilled


def _on_axis(place: TubePlace, end: str, at: int) -> Point:
    i = axis_index(place.axis)
    point = [(low + high) // 2 for low, high in zip(place.box.lo, place.box.hi, strict=True)]
    point[i] = place.box.lo[i] + at if end == "low" else place.box.hi[i] - at
    return point[0], point[1], point[2]


def _layers(rack: Rack, place: TubePlace, block: str, spigot: Box, through: str) -> tuple[Layer, ...]:
    i, wall = axis_index(through), rack.definition.tube.wall
    low, high = place.box.lo[i], place.box.hi[i]
    return (
        Layer(place.id, low, low + wall),
        Layer(block, spigot.lo[i], spigot.hi[i]),
        Layer(place.id, high - wall, high),
    )


def _with_ring(layers: tuple[Layer, ...], ring: str, sign: str, thickness: int) -> tuple[Layer, ...]:
    if sign == "-":
        return (Layer(ring, layers[0].low - thickness, layers[0].low), *layers)
    return (*layers, Layer(ring, layers[-1].high, layers[-1].high + thickness))


def spigot_edges(rack: Rack) -> Iterator[Fault]:
    """A spigot whose edges meet the tube's inside corners cannot go in, whatever is bought."""
    d = rack.definition
    radius, gap = (d.tube.corner_radius - d.tube.wall) * 1e-9, d.block.spigot_gap / 2 * 1e-9
    if d.block.corner_break is None or radius <= gap:
        return
    needed = float(spigot_corner_break(radius, gap))
    if d.block.corner_break * 1e-9 < needed:
        found = (f"edges broken by {d.block.corner_break / IN:.4g} in meet the tube's inside radius of "
                 f"{radius / 0.0254:.4g} in at a gap of {gap / 0.0254:.4g} in a side")  # fmt: skip
        do = f"give at least {needed / 0.0254:.4f} in, rounded up"
        yield Fault("RW106", rack.where("block.corner_break"), found, do)
