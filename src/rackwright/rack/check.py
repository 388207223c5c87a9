"""Sense checks of a definition that its types cannot state: names, references, and what lies where.

Whether pieces fit together is checked where the pieces are (`pieces/fit.py`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from math import pi

from rackwright.rack.check_brace import brace_ranges, check_braces
from rackwright.rack.check_interface import check_interface, interface_ranges
from rackwright.rack.check_interface import known as _known
from rackwright.rack.check_items import check_evidence, check_items, item_ranges
from rackwright.rack.check_sizes import check_sizes, hardware_of, metals_of, size_ranges, tube_sizes
from rackwright.rack.check_slips import check_slips, slip_ranges
from rackwright.rack.check_temperature import temperature
from rackwright.rack.check_vibration import vibration
from rackwright.rack.model import Hardware, Rack
from rackwright.trouble import Fault

__all__ = ["check"]

TABLES = (
    "shelf", "brace", "ring", "strap_type", "strap", "link", "floor_fitting", "foot", "special_factor", "equipment",
    "case", "evidence", "protection",
)  # fmt: skip
#: hardware that must have a nut: what lies on the tube that it passes
THROUGH = {"joint.hardware": "ring", "gusset_make.hardware": "gusset"}
MOST = 200  # tables of a kind
FEW = 24  # values in one of them: feet, keep-outs, bolts of a joint, points of a curve
FEET = 500  # of all equipment together
LARGEST = 5_000_000_000  # nm: no rack is larger outside
IN = 25_400_000  # nm
STI = re.compile(r"(\d+|\d+/\d+)-\d+( STI)?")  # a unified thread, or that for a wire insert

#: the corner of a post -> the faces that look out of the rack
OUTWARD = {
    "front-left": ("-x", "-y"),
    "front-right": ("+x", "-y"),
    "rear-left": ("-x", "+y"),
    "rear-right": ("+x", "+y"),
}
#: kind of tube -> the axis it runs along
ALONG = {"post": "z", "width": "x", "depth": "y"}


def check(rack: Rack) -> list[Fault]:
    """Every fault of sense, in the order of the file."""
    found = [*_counts(rack)]
    found = found or [
        *_names(rack),
        *_references(rack),
        *_numbers(rack),
        *_joints(rack),
        *_geometry(rack),
        *check_braces(rack),
        *check_sizes(rack),
        *check_slips(rack),
        *check_items(rack),
        *check_evidence(rack),
        *_rows(rack),
        *check_interface(rack),
        *_finish(rack),
        *vibration(rack),
        *temperature(rack),
    ]
    return sorted(found, key=lambda fault: (fault.where, fault.code))


def _counts(rack: Rack) -> Iterator[Fault]:
    """More tables than any rack has would only be computed at length."""
    d = rack.definition
    lists = [(table, len(getattr(d, table)), MOST) for table in TABLES]
    lists += [(f"joint.{kind}", len(getattr(d.joint, kind)), FEW) for kind in ALONG]
    for fitting in d.floor_fitting:
        lists.append((f"floor_fitting.{fitting.name}.allowable", len(fitting.allowable or ()), FEW))
    lists += [(f"evidence.{test.name}.covers", len(test.covers), FEW) for test in d.evidence]
    for kind in d.strap_type:
        lists.append((f"strap_type.{kind.name}.links", len(kind.links or ()), FEW))
        lists.append(
            (f"strap_type.{kind.name}.curve.points", len(kind.curve.points if kind.curve else ()), FEW)
        )
    lists += [
        (f"special_factor.{one.name}.applies_to", len(one.applies_to), MOST) for one in d.special_factor
    ]
    lists.append(("finish.cure", len(d.finish.cure) if d.finish else 0, FEW))
    feet = 0
    for item in d.equipment:
        rear = item.on_rails.rear if item.on_rails else None
        here = len(item.on_shelf.feet) if item.on_shelf else len(rear.feet) if rear else 0
        feet += here
        lists.append((f"equipment.{item.name}.keep_out", len(item.keep_out), FEW))
        lists.append((f"equipment.{item.name}.on_shelf.feet", here, FEW))
    for path, count, most in [*lists, ("equipment", feet, FEET)]:
        if count > most:
            yield Fault("RW106", rack.where(path), f"{count} of {path}", f"give at most {most}")


def _names(rack: Rack) -> Iterator[Fault]:
    d = rack.definition
    for table in TABLES:
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
        if item.on_rails and item.on_rails.rear:
            path = f"equipment.{item.name}.on_rails.rear.shelf"
            yield from _known(rack, path, item.on_rails.rear.shelf, shelves)
    if d.ring and d.ring_make is None:
        yield Fault(
            "RW101", rack.where("ring"), "rings are placed, but [ring_make] is missing", "add [ring_make]"
        )


def _numbers(rack: Rack) -> Iterator[Fault]:
    """Values that their unit allows and no rack has."""
    for path, value, low, high, unit, one in (*_ranges(rack), *slip_ranges(rack), *interface_ranges(rack)):
        if not low * (1 - 1e-12) <= value <= high * (1 + 1e-12):
            found = f"{f'{value / one:.4g} {unit}'.rstrip()} is out of range"
            do = f"give {low / one:.4g} to {high / one:.4g} {unit}".rstrip()
            yield Fault("RW106", rack.where(path), found, do)


def _ranges(rack: Rack) -> Iterator[tuple[str, float, float, float, str, float]]:
    """Path, value, least, most, unit shown, and its size."""
    d = rack.definition
    screw = rack.rows.bolts.get(d.shelf_make.screw.bolt)
    yield "pad.stiffness", d.pad.stiffness, 1e3, 1e12, "N/m", 1
    for name in ("height", "width", "depth"):
        yield f"outside.{name}", getattr(d.outside, name), 0, LARGEST, "in", IN
    pitch = 3e9 * (screw.diameter if screw else 0.0)
    yield "shelf_make.screw_pitch", d.shelf_make.screw_pitch, pitch, LARGEST, "in", IN
    if d.joint.tightening:
        yield "joint.tightening.nut_factor", d.joint.tightening.nut_factor, 0.05, 0.6, "", 1
    if d.ring_make:
        yield "ring_make.density", d.ring_make.density, 500, 25_000, "kg/m3", 1
        yield "ring_make.bend", d.ring_make.bend, 0, pi / 2, "deg", pi / 180
    for kind in d.strap_type:
        path = f"strap_type.{kind.name}"
        yield f"{path}.axial_stiffness", kind.axial_stiffness, 1e3, 1e12, "N", 1
        yield f"{path}.pretension_high", kind.pretension_high, 0, 1e7, "N", 1
    yield from item_ranges(d)
    yield from brace_ranges(d)
    yield from size_ranges(d)
    for case in d.case:
        for name in ("forward", "left", "up"):
            yield f"case.{case.name}.{name}", getattr(case, name), -1e3, 1e3, "g", 1


def _joints(rack: Rack) -> Iterator[Fault]:
    """Bolts that hold a tube to its spigot: some, and across the tube."""
    for kind, along in ALONG.items():
        pattern = getattr(rack.definition.joint, kind)
        if not pattern:
            found = f"no bolt holds the {kind} tubes"
            yield Fault("RW106", rack.where(f"joint.{kind}"), found, "give two or more bolts")
        for n, bolt in enumerate(pattern):
            if bolt.through == along:
                across = " or ".join(axis for axis in "xyz" if axis != along)
                found = f"the bolt runs along the {kind} tube"
                place = rack.where(f"joint.{kind}.{n}.through")
                yield Fault("RW106", place, found, f"give {across}")


def _geometry(rack: Rack) -> Iterator[Fault]:
    d, side = rack.definition, rack.definition.tube.side
    yield from tube_sizes(rack, d.tube, "tube")
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
            low, high = (side + drop) / IN, (d.outside.height - side) / IN
            yield Fault(
                "RW201",
                rack.where(f"shelf.{shelf.name}.height"),
                f"the shelf at {shelf.height / IN:.4g} in does not lie inside the frame",
                f"give a height from {low:.4g} in to {high:.4g} in",
            )
    yield from _shelves_apart(rack, drop)
    if d.rails and d.rails.bottom + d.rails.units * 44_450_000 + d.rails.beyond > d.outside.height - side:
        yield Fault(
            "RW205",
            rack.where("rails.units"),
            "the rails reach into the top of the frame",
            "lower the rails or take fewer units",
        )
    for ring in d.ring:
        outward = OUTWARD[ring.post]
        along = {bolt.through for bolt in d.joint.post}
        if ring.face not in outward or ring.face[1] not in along:
            fits = [face for face in outward if face[1] in along]
            do = f"use {' or '.join(fits)}" if fits else f"let bolts of joint.post run along {outward[0][1]}"
            yield Fault(
                "RW106",
                rack.where(f"ring.{ring.name}.face"),
                f"a ring on {ring.face} of the {ring.post} post is not held by the joint's bolts",
                do,
            )
    if d.aircraft and d.aircraft.forward[1] == "z":
        yield Fault(
            "RW106",
            rack.where("aircraft.forward"),
            "the rack stands upright, and its z axis cannot point to the nose",
            "give +x, -x, +y or -y",
        )
    for kind in d.strap_type:
        if kind.pretension_low > kind.pretension_high:
            yield Fault(
                "RW106",
                rack.where(f"strap_type.{kind.name}.pretension_high"),
                "the high pretension is below the low one",
                "give low and high in order",
            )


def _shelves_apart(rack: Rack, drop: int) -> Iterator[Fault]:
    """The angles of a shelf hang `drop` below its top."""
    for low, high in pairwise(sorted(rack.definition.shelf, key=lambda shelf: shelf.height)):
        if high.height - low.height < drop:
            found = f"shelves {low.name!r} and {high.name!r} overlap: {(high.height - low.height) / IN:.4g} in apart"
            place = rack.where(f"shelf.{high.name}.height")
            yield Fault("RW202", place, found, f"leave {drop / IN:.4g} in or more between their tops")


def _rows(rack: Rack) -> Iterator[Fault]:
    """Materials, fasteners and rules that must be reference rows."""
    d, materials = rack.definition, rack.rows.materials
    for path, name in metals_of(d):
        yield from _known(rack, path, name, materials)
    for path, set_ in hardware_of(d):
        yield from _known(rack, f"{path}.bolt", set_.bolt, rack.rows.grips)
        yield from _known(rack, f"{path}.washer", set_.washer, rack.rows.washers)
        yield from _anchor(rack, path, set_)
        yield from _one_size(rack, path, set_)
        bolt = rack.rows.bolts.get(set_.bolt)
        if bolt and not 0 <= set_.hole * 1e-9 - bolt.diameter <= 0.1 * bolt.diameter:
            yield Fault(
                "RW106",
                rack.where(f"{path}.hole"),
                f"the hole does not fit a {set_.bolt}",
                f"give {bolt.diameter / 0.0254:.4f} in to {1.1 * bolt.diameter / 0.0254:.4f} in",
            )
    if d.basis:
        rules = rack.rows.load_rules
        name = f"{d.basis.rule}@{d.basis.amendment}"
        if name not in rules:
            yield Fault(
                "RW108",
                rack.where("basis.rule"),
                f"no load-factor row {name!r}",
                f"use one of: {', '.join(sorted(rules))}, or add an own row with its source",
            )


def _one_size(rack: Rack, path: str, set_: Hardware) -> Iterator[Fault]:
    """The nut has the bolt's thread, the washer passes its shank."""
    bolt, nut = rack.rows.bolts.get(set_.bolt), rack.rows.nuts.get(set_.nut or "")
    washer = rack.rows.washers.get(set_.washer)
    if bolt and nut and nut.for_diameter != bolt.diameter:
        fit = sorted(one.id for one in rack.rows.nuts.values() if one.for_diameter == bolt.diameter)
        found = f"nut {nut.id} is for another thread than {set_.bolt} of {bolt.diameter / 0.0254:.4g} in"
        yield Fault("RW106", rack.where(f"{path}.nut"), found, f"use one of: {', '.join(fit)}")
    if bolt and washer and washer.inside_diameter < bolt.diameter:
        fit = sorted(one.id for one in rack.rows.washers.values() if one.inside_diameter >= bolt.diameter)
        found = f"washer {washer.id} does not pass over the shank of {set_.bolt}"
        yield Fault("RW106", rack.where(f"{path}.washer"), found, f"use one of: {', '.join(fit)}")


def _anchor(rack: Rack, path: str, set_: Hardware) -> Iterator[Fault]:
    """One thing that the bolt turns into; a joint bolt passes both walls of its tube, and takes a nut."""
    ways = ("nut", "tapped", "insert", "nutplate")
    given = [name for name in ways if getattr(set_, name) is not None]
    if not given:
        yield Fault("RW101", rack.where(path), "nothing is given that the bolt turns into",
                    "add `nut`, or one of `tapped`, `insert`, `nutplate`")  # fmt: skip
    if len(given) > 1:
        at, do = (
            rack.where(f"{path}.{given[-1]}"),
            "keep one of them; a variation takes out by { remove = true }",
        )
        yield Fault("RW106", at, f"{' and '.join(given)} are given for one bolt", do)
    elif path in THROUGH and given and set_.nut is None:
        found = f"{given[0]} is given for bolts through both walls of a tube and the {THROUGH[path]} on it"
        yield Fault("RW106", rack.where(f"{path}.{given[0]}"), found, "give a nut")
    torque = set_.anchor.torque if set_.anchor else None
    if torque is not None and not 0 < torque.low <= torque.high <= torque.limit:
        found = "a range of torque that does not rise"
        yield Fault(
            "RW106",
            rack.where(f"{path}.{given[-1]}.torque"),
            found,
            "give low, high and limit in rising order",
        )
    if set_.nut is not None:
        yield from _known(rack, f"{path}.nut", set_.nut, rack.rows.nuts)
    if set_.insert and set_.insert.thread and not STI.fullmatch(set_.insert.thread):
        found = f"found {set_.insert.thread!r}"
        do = "size and threads an inch, with STI for a wire insert, as 1/4-28 STI"
        yield Fault("RW103", rack.where(f"{path}.insert.thread"), found, do)
    if set_.insert and set_.insert.hole <= set_.hole:
        found = f"the insert's hole of {set_.insert.hole / IN:.4f} in is no larger than the bolt's"
        yield Fault(
            "RW106", rack.where(f"{path}.insert.hole"), found, f"give more than {set_.hole / IN:.4f} in"
        )


def _finish(rack: Rack) -> Iterator[Fault]:
    """Powder data of this world; a share of one half is 0.5."""
    d = rack.definition
    if d.finish is None:
        return
    place, finish = rack.where, d.finish
    if not 0 < finish.transfer_efficiency <= 1:
        found = f"found {finish.transfer_efficiency:g}"
        yield Fault("RW106", place("finish.transfer_efficiency"), found, "give a share above 0, at most 1")
    if not 0.5 <= finish.specific_gravity <= 10:
        found = f"found {finish.specific_gravity:g}"
        yield Fault("RW106", place("finish.specific_gravity"), found, "give 0.5 to 10, water is 1")
    if finish.film_high < finish.film_low:
        yield Fault("RW106", place("finish.film_high"), "less than film_low", "give the thicker of the two")
    if not finish.cure:
        yield Fault(
            "RW101",
            place("finish.cure"),
            "no cure point",
            "give metal temperature and time of the data sheet",
        )
    for number, point in enumerate(finish.cure):
        if point.metal > finish.most_metal:
            yield Fault("RW106", place(f"finish.cure.{number}.metal"), "hotter than finish.most_metal",
                        "leave the point out: the temper may not see it")  # fmt: skip
    if finish.oven_time is not None:
        if finish.oven_time.metal > finish.most_metal:
            yield Fault("RW106", place("finish.oven_time.metal"), "hotter than finish.most_metal",
                        "give at most that: the temper may not see more")  # fmt: skip
        least = min((point.time for point in finish.cure), default=0.0)
        if finish.oven_time.time < least:
            yield Fault("RW106", place("finish.oven_time.time"), f"less than the shortest cure, {least / 60:g} min",
                        "give the time of all its coats together, with what is hot before and after")  # fmt: skip
