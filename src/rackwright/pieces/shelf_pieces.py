"""Shelf angles and panels, and the inside rails for 19-inch equipment.

A shelf angle runs from the front to the rear on the inner face of a side's two posts, its carrying leg on
top; the panel lies on the two carrying legs, between the posts. A rail is an angle on the inner face of
a front post; its panel leg is trimmed so that the opening of the grid is left between the two rails.
"""

from __future__ import annotations

from math import ceil

from rackwright.pieces.model import IN, Box, Drilled, Layer, Piece
from rackwright.pieces.solids import angle_section, box_solid, inches, together
from rackwright.rack.model import AngleStock, Equipment, Hardware, Rack, Rails, Shelf

__all__ = ["GRID", "HANDS", "equipment_bolts", "equipment_corner", "rail_leg", "rail_pieces", "shelf_bolts",
           "shelf_feet", "shelf_of", "shelf_pieces", "unit_height"]  # fmt: skip

HANDS = ("left", "right")
GRID = "IEC 60297-3-100"


def unit_height(rack: Rack) -> int:
    """One unit of the panel grid, nm."""
    return round(rack.rows.panel_grids[GRID].unit_height * 1e9)


def shelf_pieces(rack: Rack) -> list[Piece]:
    return [piece for shelf in rack.definition.shelf for piece in _shelf(rack, shelf)]


def _shelf(rack: Rack, shelf: Shelf) -> list[Piece]:
    d, make = rack.definition, rack.definition.shelf_make
    top = shelf.height - make.panel.thickness
    path = f"shelf.{shelf.name}.height"
    made = []
    for hand in HANDS:
        boxes = _angle_boxes(rack, hand, make.angle, top)
        made.append(
            _angle(rack, f"angle.{shelf.name}.{hand}", "angle", f"shelf angle, {shelf.name} {hand}", make.angle, boxes,
                   "y", d.outside.depth, path)
        )  # fmt: skip
    left, right = d.tube.side + make.side_gap, d.outside.width - d.tube.side - make.side_gap
    panel = Box((left, 0, top), (right, d.outside.depth, shelf.height))
    solid = box_solid(panel, rack.rows.materials[make.panel.material].density or 0.0)
    made.append(
        Piece(
            id=f"panel.{shelf.name}",
            kind="panel",
            title=f"shelf panel, {shelf.name}",
            material=make.panel.material,
            stock=make.panel.stock,
            section=f"SHEET {inches(make.panel.thickness)}",
            boxes=(panel,),
            mass=solid.mass,
            cg=solid.cg,
            inertia=solid.inertia,
            path=path,
            walls=(panel,),
        )
    )
    return made


def _angle_boxes(rack: Rack, hand: str, angle: AngleStock, top: int) -> tuple[Box, Box]:
    """Post leg and carrying leg of a shelf angle."""
    d = rack.definition
    inner = d.tube.side if hand == "left" else d.outside.width - d.tube.side
    inward = 1 if hand == "left" else -1

    def box(reach: int, low: int) -> Box:
        a, b = sorted((inner, inner + inward * reach))
        return Box((a, 0, low), (b, d.outside.depth, top))

    return box(angle.thickness, top - angle.post_leg), box(angle.carry_leg, top - angle.thickness)


def _angle(
    rack: Rack, id: str, kind: str, title: str, angle: AngleStock, boxes: tuple[Box, Box], axis: str, length: int,
    path: str, note: str = "",
) -> Piece:  # fmt: skip
    density = rack.rows.materials[angle.material].density or 0.0
    post_leg, carry_leg = boxes
    root = box_solid(post_leg.shared(carry_leg), -density)  # counted in both legs, so taken off once
    solid = together([box_solid(post_leg, density), box_solid(carry_leg, density), root])
    return Piece(
        id=id, kind=kind, title=title, material=angle.material, stock=angle.stock,
        section=angle_section(angle.post_leg, angle.carry_leg, angle.thickness), boxes=boxes, mass=solid.mass,
        cg=solid.cg, inertia=solid.inertia, path=path, axis=axis, length=length, walls=boxes,
        notes=(note,) if note else (),
    )  # fmt: skip


# --- rails ---------------------------------------------------------------------------------------


def rail_leg(rack: Rack, rails: Rails) -> int:
    """Length of the trimmed panel leg: what is left beside the opening, each side."""
    d = rack.definition
    return (d.outside.width - 2 * d.tube.side - rails.opening) // 2


def rail_pieces(rack: Rack) -> list[Piece]:
    rails = rack.definition.rails
    if rails is None:
        return []
    reach, length = rail_leg(rack, rails), rails.units * unit_height(rack) + 2 * rails.beyond
    made = []
    for hand in HANDS:
        boxes = _rail_boxes(rack, rails, hand, reach)
        note = f"panel leg trimmed to {reach / IN:.3f} in for the opening"
        made.append(
            _angle(rack, f"rail.{hand}", "rail", f"equipment rail, {hand}", rails.angle, boxes, "z", length, "rails",
                   note)
        )  # fmt: skip
    return made


def _rail_boxes(rack: Rack, rails: Rails, hand: str, reach: int) -> tuple[Box, Box]:
    d, low, high = (
        rack.definition,
        rails.bottom - rails.beyond,
        rails.bottom + rails.units * unit_height(rack) + rails.beyond,
    )
    inner = d.tube.side if hand == "left" else d.outside.width - d.tube.side
    inward, front = (1 if hand == "left" else -1), rails.setback
    a, b = sorted((inner, inner + inward * rails.angle.thickness))
    c, e = sorted((inner, inner + inward * max(reach, 1)))
    return (
        Box((a, front, low), (b, front + rails.angle.post_leg, high)),
        Box((c, front, low), (e, front + rails.angle.thickness, high)),
    )


# --- bolts ---------------------------------------------------------------------------------------


def shelf_bolts(rack: Rack) -> list[Drilled]:
    """Angle to posts, two at each end; panel to angles at no more than the screw pitch."""
    d, make, made = rack.definition, rack.definition.shelf_make, []
    half = d.tube.side // 2
    for shelf in d.shelf:
        top = shelf.height - make.panel.thickness
        z = top - (make.angle.thickness + make.angle.post_leg) // 2
        for hand in HANDS:
            angle = f"angle.{shelf.name}.{hand}"
            for depth, y in (("front", half), ("rear", d.outside.depth - half)):
                layers, x = _through_post(rack, hand, f"post.{depth}-{hand}", angle, make.angle.thickness)
                for number, dy in enumerate((-make.bolt_spread // 2, make.bolt_spread // 2), start=1):
                    id = f"shelf.{shelf.name}.{hand}.{depth}.{number}"
                    made.append(
                        Drilled(id, make.hardware, (x, y + dy, z), "x", layers, "shelf_make.hardware",
                                d.tube.side - 2 * d.tube.wall)
                    )  # fmt: skip
            made += _panel_screws(rack, shelf, hand, top)
    return made


def _panel_screws(rack: Rack, shelf: Shelf, hand: str, top: int) -> list[Drilled]:
    d, make = rack.definition, rack.definition.shelf_make
    inner = d.tube.side if hand == "left" else d.outside.width - d.tube.side
    x = inner + (1 if hand == "left" else -1) * (make.angle.thickness + make.angle.carry_leg) // 2
    first, last = d.tube.side + IN, d.outside.depth - d.tube.side - IN  # clear of the posts and their bolts
    count = max(2, ceil((last - first) / make.screw_pitch) + 1)
    layers = (Layer(f"angle.{shelf.name}.{hand}", top - make.angle.thickness, top),
              Layer(f"panel.{shelf.name}", top, shelf.height))  # fmt: skip
    return [
        Drilled(f"panel.{shelf.name}.{hand}.{n + 1}", make.screw,
                (x, first + (last - first) * n // (count - 1), top), "z", layers, "shelf_make.screw")
        for n in range(count)
    ]  # fmt: skip


def _through_post(
    rack: Rack, hand: str, post: str, piece: str, thickness: int
) -> tuple[tuple[Layer, ...], int]:
    """Walls from the outside face of a post to a piece on its inner face, and the middle of the post."""
    d = rack.definition
    side, wall = d.tube.side, d.tube.wall
    low = 0 if hand == "left" else d.outside.width - side
    post_walls = (Layer(post, low, low + wall), Layer(post, low + side - wall, low + side))
    if hand == "left":
        return (*post_walls, Layer(piece, low + side, low + side + thickness)), low + side // 2
    return (Layer(piece, low - thickness, low), *post_walls), low + side // 2


def rail_bolts(rack: Rack) -> list[Drilled]:
    """Rail to front post, near both ends and at 4 in or less between."""
    d, rails, made = rack.definition, rack.definition.rails, []
    if rails is None:
        return []
    first, last = rails.bottom + IN // 2, rails.bottom + rails.units * unit_height(rack) - IN // 2
    count = max(2, ceil((last - first) / (4 * IN)) + 1)
    for hand in HANDS:
        layers, x = _through_post(rack, hand, f"post.front-{hand}", f"rail.{hand}", rails.angle.thickness)
        for n in range(count):
            z = first + (last - first) * n // (count - 1)
            made.append(
                Drilled(f"rail.{hand}.{n + 1}", rails.hardware, (x, d.tube.side // 2, z), "x", layers, "rails.hardware",
                        d.tube.side - 2 * d.tube.wall)
            )  # fmt: skip
    return made


def equipment_corner(rack: Rack, item: Equipment) -> tuple[int, int, int]:
    """Lower front left corner of the body, rack axes."""
    d = rack.definition
    if item.on_shelf is not None:
        shelf = next(s for s in d.shelf if s.name == item.on_shelf.shelf)
        return item.on_shelf.at[0], item.on_shelf.at[1], shelf.height
    assert item.on_rails is not None
    assert d.rails is not None
    low = d.rails.bottom + (item.on_rails.unit - 1) * unit_height(rack)
    spare = item.on_rails.units * unit_height(rack) - item.size[2]
    return d.outside.width // 2 - item.size[0] // 2, d.rails.setback, low + spare // 2


def shelf_feet(item: Equipment) -> tuple[tuple[int, int], ...]:
    """Screws of an item into a shelf's panel, from its corner: its base holes, or of its rear support."""
    if item.on_shelf is not None:
        return item.on_shelf.feet
    rear = item.on_rails.rear if item.on_rails else None
    return rear.feet if rear else ()


def shelf_of(item: Equipment) -> str | None:
    """The shelf whose panel an item's feet are screwed to."""
    rear = item.on_rails.rear if item.on_rails else None
    return item.on_shelf.shelf if item.on_shelf else rear.shelf if rear else None


def equipment_bolts(rack: Rack) -> list[Drilled]:
    """Screws of every item: feet through the shelf panel, panel holes of the grid through the rails."""
    return [bolt for item in rack.definition.equipment for bolt in _equipment_bolts(rack, item)]


def _equipment_bolts(rack: Rack, item: Equipment) -> list[Drilled]:
    """Panel screws through the rails first, then feet through a shelf's panel."""
    d, made = rack.definition, []
    places: list[tuple[Hardware, tuple[int, int, int], str, tuple[Layer, ...], str]] = []
    name, path = (
        f"equipment.{item.name}",
        f"equipment.{item.name}.{'on_shelf' if item.on_shelf else 'on_rails'}",
    )
    if item.on_rails is not None and d.rails is not None:
        rails = d.rails
        for hand in HANDS:
            layers: tuple[Layer, ...] = (Layer(name, rails.setback - item.on_rails.flange, rails.setback),
                      Layer(f"rail.{hand}", rails.setback, rails.setback + rails.angle.thickness))  # fmt: skip
            places += [
                (rails.screw, (screw_x(rack, hand), rails.setback, z), "y", layers, path)
                for z in screw_heights(rack, item)
            ]
    left, front, _ = equipment_corner(rack, item)
    shelf = next((s for s in d.shelf if s.name == shelf_of(item)), None)
    on = item.on_shelf or (item.on_rails.rear if item.on_rails else None)
    if shelf is not None and on is not None:
        low = shelf.height - d.shelf_make.panel.thickness
        layers = (Layer(f"panel.{shelf.name}", low, shelf.height),
                  Layer(name, shelf.height, shelf.height + on.flange))  # fmt: skip
        path = path if item.on_shelf else f"{path}.rear"
        places += [
            (d.shelf_make.feet, (left + x, front + y, low), "z", layers, path) for x, y in shelf_feet(item)
        ]
    for n, (screw, at, axis, layers, where) in enumerate(places, start=1):
        made.append(Drilled(f"{name}.{n}", screw, at, axis, layers, where))
    return made


def screw_heights(rack: Rack, item: Equipment) -> tuple[int, int]:
    """First hole of the lowest unit and last hole of the highest: symmetric in the panel."""
    rails = rack.definition.rails
    assert rails is not None
    assert item.on_rails is not None
    first = round(rack.rows.panel_grids[GRID].first_hole * 1e9)
    low = rails.bottom + (item.on_rails.unit - 1) * unit_height(rack)
    return low + first, low + item.on_rails.units * unit_height(rack) - first


def screw_x(rack: Rack, hand: str) -> int:
    spacing = round(rack.rows.panel_grids[GRID].hole_spacing * 1e9)
    middle = rack.definition.outside.width // 2
    return middle - spacing // 2 if hand == "left" else middle + spacing // 2
