"""Sizes, strengths and moduli that their unit allows and that nothing can be made of: `check.py` calls them.

The bounds lie far beyond any rack: they tell a slip of units or a filler, never a poor design. A bend whose mid-plane
radius is r takes r tan(bend/2) of each of its two legs (tangent length of an arc).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import pi, tan

from rackwright.rack.model import Definition, Hardware, Rack, Tube
from rackwright.trouble import Fault

__all__ = ["check_sizes", "hardware_of", "metals_of", "size_ranges", "tube_sizes"]

IN = 25_400_000  # nm
KSI = 6.894757293168361e6  # Pa
LBF = 4.4482216152605  # N
STRONGEST = 500 * KSI  # no metal of a rack is stronger
HEAVIEST = 1e6 * LBF  # no part of a rack or its floor holds more
#: made part -> words of the forms of metal that it can be made from
FORMS = {
    "tube": ("tub", "extruded"),
    "block": ("rod", "plate", "extruded"),
    "shelf_make.angle": ("extruded", "shapes", "sheet"),
    "shelf_make.panel": ("sheet", "plate"),
    "gusset_make": ("sheet", "plate"),
    "rails.angle": ("extruded", "shapes", "sheet"),
}


def size_ranges(d: Definition) -> Iterator[tuple[str, float, float, float, str, float]]:
    """Path, value, least, most, unit shown, and its size."""
    make = d.ring_make
    if make and make.allowable:
        for name in ("Ftu", "Fty", "Fsu", "Fbru", "Fbry"):
            value, most = getattr(make.allowable, name), STRONGEST * (2 if name.startswith("Fb") else 1)
            if value is not None:
                yield f"ring_make.allowable.{name}", value, KSI, most, "ksi", KSI
    for ring in d.ring:
        yield f"ring.{ring.name}.turn", ring.turn, -2 * pi, 2 * pi, "deg", pi / 180
    if d.joint.tightening:
        yield "joint.tightening.torque", d.joint.tightening.torque, 0.01, 1e3, "N*m", 1
    held: list[tuple[str, float | None]] = [("pad.allowable_ultimate", d.pad.allowable_ultimate)]
    held += [(f"strap_type.{kind.name}.{name}", getattr(kind, name)) for kind in d.strap_type
             for name in ("allowable_ultimate", "rating")]  # fmt: skip
    held += [(f"link.{link.name}.rating", link.rating) for link in d.link]
    held += [(f"floor_fitting.{fitting.name}.allowable.{n}.{name}", getattr(point, name))
             for fitting in d.floor_fitting for n, point in enumerate(fitting.allowable or ())
             for name in ("allowable_ultimate", "allowable_limit")]  # fmt: skip
    for path, force in held:
        if force is not None:
            yield path, force, 0, HEAVIEST, "lbf", LBF


def check_sizes(rack: Rack) -> Iterator[Fault]:
    yield from _metals(rack)
    yield from _sections(rack)
    yield from _ring(rack)
    yield from _counterbore(rack)
    yield from _twice(rack)


def metals_of(d: Definition) -> list[tuple[str, str]]:
    """Every material row that a definition names, with its path."""
    made = [
        ("tube", d.tube.material),
        ("block", d.block.material),
        ("shelf_make.angle", d.shelf_make.angle.material),
        ("shelf_make.panel", d.shelf_make.panel.material),
    ]
    if d.gusset_make:
        made.append(("gusset_make", d.gusset_make.material))
    made += [(f"brace.{one.name}.tube", one.tube.material) for one in d.brace if one.tube]
    if d.rails:
        made.append(("rails.angle", d.rails.angle.material))
    return [(f"{part}.material", name) for part, name in made]


def hardware_of(d: Definition) -> Iterator[tuple[str, Hardware]]:
    """Every set of bolt, washer and nut with its path."""
    yield "joint.hardware", d.joint.hardware
    yield "shelf_make.hardware", d.shelf_make.hardware
    yield "shelf_make.screw", d.shelf_make.screw
    if d.shelf_make.foot:
        yield "shelf_make.foot", d.shelf_make.foot
    yield "pad.hardware", d.pad.hardware
    if d.gusset_make:
        yield "gusset_make.hardware", d.gusset_make.hardware
    if d.rails:
        yield "rails.hardware", d.rails.hardware
        yield "rails.screw", d.rails.screw


def _metals(rack: Rack) -> Iterator[Fault]:
    """A row of a form that the part can be made from, with the stiffness and density that a frame needs."""
    rows = rack.rows.materials
    for path, name in metals_of(rack.definition):
        if name not in rows:
            continue  # told already
        part = path.removesuffix(".material")
        row, words = rows[name], FORMS["tube" if part.startswith("brace.") else part]
        if not any(word in row.form for word in words):
            have = sorted(one.id for one in rows.values() if any(word in one.form for word in words))
            found = f"{row.id} is a row of {row.form}"
            yield Fault(
                "RW106", rack.where(path), found, f"name a row of the form it is made from: {', '.join(have)}"
            )
        gone = [value for value in ("E", "G", "density") if getattr(row, value) is None]
        if gone:
            able = sorted(one.id for one in rows.values() if None not in (one.E, one.G, one.density))
            found = f"row {name} gives no {', '.join(gone)}: neither stiffness nor weight can be computed"
            yield Fault("RW106", rack.where(path), found, f"use one of: {', '.join(able)}")


def _sections(rack: Rack) -> Iterator[Fault]:
    d = rack.definition
    angles = [("shelf_make.angle", d.shelf_make.angle)]
    if d.rails:
        angles.append(("rails.angle", d.rails.angle))
    for path, angle in angles:
        leg = min(angle.post_leg, angle.carry_leg)
        if 2 * angle.thickness >= leg:
            found = (
                f"the angle is {angle.thickness / IN:.4g} in thick, its shorter leg {leg / IN:.4g} in long"
            )
            yield Fault(
                "RW106", rack.where(f"{path}.thickness"), found, f"give less than {leg / 2 / IN:.4g} in"
            )
    if d.block.fillet is not None and d.block.fillet > d.tube.wall:
        found = f"a fillet of {d.block.fillet / IN:.4g} in leaves the tube's end no face to stand on"
        yield Fault(
            "RW106",
            rack.where("block.fillet"),
            found,
            f"give at most the tube's wall of {d.tube.wall / IN:.4g} in",
        )


def _ring(rack: Rack) -> Iterator[Fault]:
    """An eye within its metal, and a bend within its legs."""
    make = rack.definition.ring_make
    if make is None:
        return
    where = rack.where
    if make.eye >= make.width:
        found = f"the eye of {make.eye / IN:.4g} in is as wide as the ring of {make.width / IN:.4g} in"
        yield Fault("RW106", where("ring_make.eye"), found, "give a smaller eye or a wider ring")
    elif 2 * make.eye_edge <= make.eye:
        found = (
            f"the eye's centre is {make.eye_edge / IN:.4g} in from the end: no metal is left beyond the eye"
        )
        yield Fault("RW106", where("ring_make.eye_edge"), found, f"give more than {make.eye / 2 / IN:.4g} in")
    root = make.root
    if root is None:
        return
    if root.least_thickness > make.thickness:
        found = f"the least thickness of {root.least_thickness / IN:.4g} in is more than the nominal one"
        yield Fault(
            "RW106", where("ring_make.root.least_thickness"), found, "give what is left after bending"
        )
    room, taken = (
        min(make.flat_reach, make.leg_reach),
        (root.inside_radius + make.thickness / 2) * tan(make.bend / 2),
    )
    if taken >= room:
        found = (
            f"the bend takes {taken / IN:.4g} in of each leg, and the shorter one reaches {room / IN:.4g} in"
        )
        yield Fault(
            "RW106", where("ring_make.root.inside_radius"), found, "give a smaller radius or longer legs"
        )


def tube_sizes(rack: Rack, tube: Tube, path: str) -> Iterator[Fault]:
    """Walls that leave a hollow, a least wall below the nominal one, and a corner that fits."""
    if 2 * tube.wall >= tube.side:
        yield Fault(
            "RW106", rack.where(f"{path}.wall"), "the walls meet inside the tube", "give a thinner wall"
        )
    if tube.least is not None and tube.least.wall > tube.wall:
        found = f"the least wall of {tube.least.wall / IN:.4g} in is more than the nominal one"
        do = "give the nominal wall less its tolerance"
        yield Fault("RW106", rack.where(f"{path}.least.wall"), found, do)
    if not tube.wall <= tube.corner_radius < tube.side // 2:
        found, do = (
            "the outside corner radius does not fit the tube",
            "give at least the wall and less than half the side",
        )
        yield Fault("RW106", rack.where(f"{path}.corner_radius"), found, do)


def _counterbore(rack: Rack) -> Iterator[Fault]:
    """Metal over it and round it, at its largest."""
    pad = rack.definition.pad
    bore = pad.counterbore
    if bore is None:
        return
    if bore.tolerance >= bore.depth:
        found = f"a tolerance of {bore.tolerance / IN:.4g} in leaves nothing of the depth"
        yield Fault(
            "RW106", rack.where("pad.counterbore.tolerance"), found, "give plus or minus, as 0.005 in"
        )
    elif pad.least_web <= 0:
        found = f"{bore.deepest / IN:.4g} in deep at most goes through the pad of {pad.thickness / IN:.4g} in"
        do = "give a smaller depth or a thicker pad"
        yield Fault("RW106", rack.where("pad.counterbore.depth"), found, do)
    if bore.widest >= pad.side or bore.diameter - bore.tolerance <= pad.hardware.hole:
        low, high = (nm / IN for nm in (pad.hardware.hole, pad.side))
        found = f"{bore.diameter / IN:.4g} in across"
        do = f"give more than the bolt's hole of {low:.4g} in and less than the pad of {high:.4g} in"
        yield Fault("RW106", rack.where("pad.counterbore.diameter"), found, do)


def _twice(rack: Rack) -> Iterator[Fault]:
    """One strap from a ring to a fitting, one fitting at a place: a second one would only look like more strength."""
    d = rack.definition
    for strap, again in combinations(d.strap, 2):
        if (strap.ring, strap.fitting) == (again.ring, again.fitting):
            found = (
                f"straps {strap.name!r} and {again.name!r} both join ring {strap.ring!r} to {strap.fitting!r}"
            )
            yield Fault(
                "RW107",
                rack.where(f"strap.{again.name}"),
                found,
                "take one of them out, or name another fitting",
            )
    for fitting, other in combinations(d.floor_fitting, 2):
        if fitting.at == other.at:
            found = f"floor fittings {fitting.name!r} and {other.name!r} are at one place"
            yield Fault(
                "RW202", rack.where(f"floor_fitting.{other.name}.at"), found, "give each its true place"
            )
