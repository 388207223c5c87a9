"""Sense checks of a definition that its types cannot state: names, references, and what lies where.

Whether pieces fit together is checked where the pieces are (`pieces/fit.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rackwright import reference
from rackwright.rack.model import Definition, Hardware, Rack
from rackwright.trouble import Fault

__all__ = ["check"]


def check(rack: Rack) -> list[Fault]:
    """Every fault of sense, in the order of the file."""
    found = [*_names(rack), *_references(rack), *_geometry(rack), *_equipment(rack), *_rows(rack)]
    return sorted(found, key=lambda fault: (fault.where, fault.code))


def _names(rack: Rack) -> Iterator[Fault]:
    d = rack.definition
    for table in ("shelf", "ring", "strap_type", "strap", "floor_fitting", "equipment", "case"):
        seen: set[str] = set()
        for one in getattr(d, table):
            if one.name in seen:
                yield Fault(
                    "RW107",
                    rack.where(f"{table}.{one.name}"),
                    f"{table} {one.name!r} is there twice",
                    "give each its own name",
                )
            seen.add(one.name)


def _references(rack: Rack) -> Iterator[Fault]:
    d = rack.definition
    shelves, rings = {s.name for s in d.shelf}, {r.name for r in d.ring}
    fittings, types = {f.name for f in d.floor_fitting}, {t.name for t in d.strap_type}
    for strap in d.strap:
        yield from _known(rack, f"strap.{strap.name}.ring", strap.ring, rings)
        yield from _known(rack, f"strap.{strap.name}.fitting", strap.fitting, fittings)
        yield from _known(rack, f"strap.{strap.name}.type", strap.type, types)
    for item in d.equipment:
        if item.on_shelf:
            yield from _known(rack, f"equipment.{item.name}.on_shelf.shelf", item.on_shelf.shelf, shelves)
    if d.ring and d.ring_make is None:
        yield Fault(
            "RW101", rack.where("ring"), "rings are placed, but [ring_make] is missing", "add [ring_make]"
        )


def _known(rack: Rack, path: str, name: str, names: Iterable[str]) -> Iterator[Fault]:
    if name not in names:
        known = ", ".join(sorted(names)) or "none is defined"
        yield Fault("RW108", rack.where(path), f"{name!r} is not defined", f"use one of: {known}")


def _geometry(rack: Rack) -> Iterator[Fault]:
    d, side = rack.definition, rack.definition.tube.side
    if 2 * d.tube.wall >= side:
        yield Fault("RW106", rack.where("tube.wall"), "the walls meet inside the tube", "give a thinner wall")
    if not d.tube.wall <= d.tube.corner_radius < side // 2:
        yield Fault(
            "RW106",
            rack.where("tube.corner_radius"),
            "the outside corner radius does not fit the tube",
            "give at least the wall and less than half the side",
        )
    if d.block.spigot_gap >= side - 2 * d.tube.wall:
        yield Fault(
            "RW106", rack.where("block.spigot_gap"), "nothing is left of the spigot", "give a smaller gap"
        )
    for name in ("height", "width", "depth"):
        if getattr(d.outside, name) <= 2 * side + 2 * d.block.spigot_length:
            yield Fault(
                "RW206",
                rack.where(f"outside.{name}"),
                "no tube is left between the two blocks and their spigots",
                "make the rack larger or the spigots shorter",
            )
    drop = d.shelf_make.panel.thickness + d.shelf_make.angle.post_leg
    for shelf in d.shelf:
        if not side + drop <= shelf.height <= d.outside.height - side:
            low, high = (side + drop) / 25_400_000, (d.outside.height - side) / 25_400_000
            yield Fault(
                "RW201",
                rack.where(f"shelf.{shelf.name}.height"),
                f"the shelf at {shelf.height / 25_400_000:.4g} in does not lie inside the frame",
                f"give a height from {low:.4g} in to {high:.4g} in",
            )
    if d.rails and d.rails.bottom + d.rails.units * 44_450_000 + d.rails.beyond > d.outside.height - side:
        yield Fault(
            "RW205",
            rack.where("rails.units"),
            "the rails reach into the top of the frame",
            "lower the rails or take fewer units",
        )
    for ring in d.ring:
        outward = {
            "front-left": ("-x", "-y"),
            "front-right": ("+x", "-y"),
            "rear-left": ("-x", "+y"),
            "rear-right": ("+x", "+y"),
        }[ring.post]
        along = {bolt.through for bolt in d.joint.post}
        if ring.face not in outward or ring.face[1] not in along:
            fits = [face for face in outward if face[1] in along] or ["none: the post's bolts run otherwise"]
            yield Fault(
                "RW106",
                rack.where(f"ring.{ring.name}.face"),
                f"a ring on {ring.face} of the {ring.post} post is not held by the joint's bolts",
                f"use {' or '.join(fits)}",
            )
    for kind in d.strap_type:
        if kind.pretension_low > kind.pretension_high:
            yield Fault(
                "RW106",
                rack.where(f"strap_type.{kind.name}.pretension_high"),
                "the high pretension is below the low one",
                "give low and high in order",
            )


def _equipment(rack: Rack) -> Iterator[Fault]:
    d = rack.definition
    for item in d.equipment:
        path = f"equipment.{item.name}"
        if (item.on_shelf is None) == (item.on_rails is None):
            yield Fault(
                "RW101", rack.where(path), "one mounting is needed", "give either on_shelf or on_rails"
            )
        if item.on_shelf and len(set(item.on_shelf.feet)) < 3:
            yield Fault(
                "RW106",
                rack.where(f"{path}.on_shelf.feet"),
                "fewer than three feet",
                "give at least three different feet",
            )
        if item.on_rails and d.rails is None:
            yield Fault("RW108", rack.where(f"{path}.on_rails"), "the rack has no rails", "add [rails]")
        elif item.on_rails and d.rails:
            last = item.on_rails.unit + item.on_rails.units - 1
            if item.on_rails.unit < 1 or item.on_rails.units < 1 or last > d.rails.units:
                yield Fault(
                    "RW205",
                    rack.where(f"{path}.on_rails.unit"),
                    f"units {item.on_rails.unit} to {last} are not on the rails",
                    f"use units 1 to {d.rails.units}",
                )


def _rows(rack: Rack) -> Iterator[Fault]:
    """Materials, fasteners and rules that must be reference rows."""
    d, materials = rack.definition, reference.materials()
    wanted = [
        ("tube.material", d.tube.material),
        ("block.material", d.block.material),
        ("shelf_make.angle.material", d.shelf_make.angle.material),
        ("shelf_make.panel.material", d.shelf_make.panel.material),
    ]
    if d.rails:
        wanted.append(("rails.angle.material", d.rails.angle.material))
    for path, name in wanted:
        yield from _known(rack, path, name, materials)
    for path, set_ in hardware_of(d):
        yield from _known(rack, f"{path}.bolt", set_.bolt, reference.grips())
        yield from _known(rack, f"{path}.washer", set_.washer, reference.washers())
        yield from _known(rack, f"{path}.nut", set_.nut, reference.nuts())
        bolt = reference.bolts().get(set_.bolt)
        if bolt and not 0 <= set_.hole * 1e-9 - bolt.diameter <= 0.1 * bolt.diameter:
            yield Fault(
                "RW106",
                rack.where(f"{path}.hole"),
                f"the hole does not fit a {set_.bolt}",
                f"give {bolt.diameter / 0.0254:.4f} in to {1.1 * bolt.diameter / 0.0254:.4f} in",
            )
    if d.basis:
        rules = reference.load_rules()
        name = f"{d.basis.rule}@{d.basis.amendment}"
        if name not in rules:
            yield Fault(
                "RW108",
                rack.where("basis.rule"),
                f"no load-factor row {name!r}",
                f"use one of: {', '.join(sorted(rules))}, or add an own row with its source",
            )
        yield from _known(rack, "basis.fitting_rule", d.basis.fitting_rule, reference.factors())


def hardware_of(d: Definition) -> Iterator[tuple[str, Hardware]]:
    """Every set of bolt, washer and nut with its path."""
    yield "joint.hardware", d.joint.hardware
    yield "shelf_make.hardware", d.shelf_make.hardware
    yield "shelf_make.screw", d.shelf_make.screw
    yield "pad.hardware", d.pad.hardware
    if d.rails:
        yield "rails.hardware", d.rails.hardware
        yield "rails.screw", d.rails.screw
