"""Sense of what a definition says of the aircraft interface: links, fittings, feet, floor, factors.

Called by `check.py`, which judges the rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations, pairwise
from math import pi

from rackwright.rack.installation import StrapType
from rackwright.rack.interface import Means
from rackwright.rack.model import Rack
from rackwright.trouble import Fault

__all__ = ["PARTS", "check_interface", "interface_ranges", "known", "pad_middle"]

IN = 25_400_000  # nm
SPECIAL = ("fitting", "bearing", "casting", "removal")
#: kinds of part that a special factor may be put on -> the table they are named in
PARTS = {"ring": "ring", "strap": "strap", "link": "link", "fitting": "floor_fitting", "foot": "foot"}


def check_interface(rack: Rack) -> Iterator[Fault]:
    yield from _references(rack)
    yield from _basis(rack)
    yield from _ratings(rack)
    yield from _fittings(rack)
    yield from _places(rack)
    yield from _floor(rack)


def known(rack: Rack, path: str, name: str, names: Iterable[str]) -> Iterator[Fault]:
    """A fault that names the known ones, unless the name is one of them."""
    if name not in names:
        listed = ", ".join(sorted(names)) or "none is defined"
        yield Fault("RW108", rack.where(path), f"{name!r} is not defined", f"use one of: {listed}")


def interface_ranges(rack: Rack) -> Iterator[tuple[str, float, float, float, str, float]]:
    """Path, value, least, most, unit shown, and its size."""
    d, deg = rack.definition, pi / 180
    for kind, rows in (("strap", d.strap), ("ring", d.ring)):
        for one in rows:
            if one.cone is not None:
                yield f"{kind}.{one.name}.cone", one.cone, 0, 45 * deg, "deg", deg
    for table, named in (("link", d.link), ("strap_type", d.strap_type)):
        for row in named:
            if row.to_ultimate is not None:
                yield f"{table}.{row.name}.to_ultimate.factor", row.to_ultimate.factor, 0.1, 10, "", 1
    for fitting in d.floor_fitting:
        path = f"floor_fitting.{fitting.name}"
        for n, point in enumerate(fitting.allowable or ()):
            yield f"{path}.allowable.{n}.pull", point.pull, 0, pi / 2, "deg", deg
        if fitting.bolted is not None:
            for name in ("tension_exponent", "shear_exponent"):
                yield f"{path}.bolted.{name}", getattr(fitting.bolted, name), 1, 4, "", 1
    for foot in d.foot:
        for name in ("stiffness_up", "stiffness_across"):
            yield f"foot.{foot.name}.{name}", getattr(foot, name), 1e3, 1e12, "N/m", 1


# --- names ---------------------------------------------------------------------------------------


def _references(rack: Rack) -> Iterator[Fault]:
    d = rack.definition
    links = {one.name for one in d.link}
    tracks = {one.name for one in d.link if one.kind == "track"}
    for kind in d.strap_type:
        for n, name in enumerate(kind.links or ()):
            yield from known(rack, f"strap_type.{kind.name}.links.{n}", name, links - tracks)
    for fitting in d.floor_fitting:
        if fitting.track is not None:
            yield from known(rack, f"floor_fitting.{fitting.name}.track", fitting.track, tracks)
    for foot in d.foot:
        yield from known(
            rack, f"foot.{foot.name}.fitting", foot.fitting, {one.name for one in d.floor_fitting}
        )
        yield from known(rack, f"foot.{foot.name}.bolt", foot.bolt, rack.rows.bolts)
    parts = {
        f"{part}.{one.name}" for part, table in PARTS.items() for one in getattr(d, table)
    } | PARTS.keys()
    for special in d.special_factor:
        for n, part in enumerate(special.applies_to):
            yield from known(rack, f"special_factor.{special.name}.applies_to.{n}", part, parts)


def _basis(rack: Rack) -> Iterator[Fault]:
    d, rows = rack.definition, rack.rows.factors

    def of(*kinds: str) -> set[str]:
        return {id for id, row in rows.items() if row.kind in kinds}

    if d.basis is not None:
        named = [("fitting_rule", d.basis.fitting_rule, of("fitting")),
                 ("removal_rule", d.basis.removal_rule, of("removal")),
                 ("safety_rule", d.basis.safety_rule, of("safety"))]  # fmt: skip
        for field, name, names in named:
            if name is not None:
                yield from known(rack, f"basis.{field}", name, names)
    for one in d.special_factor:
        path = f"special_factor.{one.name}"
        yield from known(rack, f"{path}.rule", one.rule, of(*SPECIAL))
        least = rows[one.rule].value if one.rule in rows else None
        if one.value is None and one.rule in rows and least is None:
            found = f"{one.rule} states no number"
            yield Fault(
                "RW101", rack.where(f"{path}.value"), found, "give the value that the document states"
            )
        if one.value is not None and not max(1.0, least or 1.0) <= one.value <= 10:
            do = f"give {max(1.0, least or 1.0):g} or more, at most 10"
            yield Fault("RW106", rack.where(f"{path}.value"), f"found {one.value:g}", do)


def _ratings(rack: Rack) -> Iterator[Fault]:
    """What a rating means is said beside it, once."""
    d = rack.definition
    for kind in d.strap_type:
        path = f"strap_type.{kind.name}"
        if kind.rating is not None and kind.allowable_ultimate is not None:
            found = "both allowable_ultimate and rating are given"
            yield Fault("RW106", rack.where(f"{path}.rating"), found, "give the one that the maker states")
        yield from _meaning(rack, path, kind.rating, kind.means, kind.to_ultimate is not None)
        yield from _curve(rack, path, kind)
    for link in d.link:
        yield from _meaning(rack, f"link.{link.name}", link.rating, link.means, link.to_ultimate is not None)


def _curve(rack: Rack, path: str, kind: StrapType) -> Iterator[Fault]:
    """A load-stretch curve rises from zero to beyond the pretension."""
    if kind.curve is None:
        return
    place = f"{path}.curve.points"
    if not kind.curve.points:
        yield Fault(
            "RW101", rack.where(place), "the curve has no point", "give force and percent as the maker does"
        )
        return
    force, percent = 0.0, 0.0
    for n, point in enumerate(kind.curve.points):
        if point.force <= force or point.percent <= percent:
            found = "force and stretch do not both rise"
            yield Fault(
                "RW106", rack.where(f"{place}.{n}"), found, "give the points in ascending order, from zero on"
            )
        force, percent = point.force, point.percent
    if force <= kind.pretension_high:
        found = "the curve ends at or below the high pretension"
        yield Fault(
            "RW106", rack.where(f"{place}.{len(kind.curve.points) - 1}"), found, "give the whole curve"
        )


def _meaning(
    rack: Rack, path: str, rating: float | None, means: Means | None, converted: bool
) -> Iterator[Fault]:
    if rating is not None and means is None:
        do = "add means: ultimate, minimum break, proof or working load, as the maker states it"
        yield Fault("RW101", rack.where(f"{path}.means"), "a rating without its meaning", do)
    if converted and means in ("ultimate", "minimum break"):
        found = f"a rating that means {means} is converted"
        yield Fault("RW106", rack.where(f"{path}.to_ultimate"), found, "leave to_ultimate out")


# --- fittings and feet ---------------------------------------------------------------------------


def _fittings(rack: Rack) -> Iterator[Fault]:
    for fitting in rack.definition.floor_fitting:
        path, points = f"floor_fitting.{fitting.name}.allowable", fitting.allowable or ()
        for n, point in enumerate(points):
            if point.allowable_ultimate is None and point.allowable_limit is None:
                do = "add allowable_ultimate or allowable_limit, as the document states it"
                yield Fault("RW101", rack.where(f"{path}.{n}"), "a point without an allowable", do)
        for n, (low, high) in enumerate(pairwise(points), start=1):
            if high.pull <= low.pull:
                found = f"the angle {high.pull * 180 / pi:.4g} deg follows {low.pull * 180 / pi:.4g} deg"
                yield Fault(
                    "RW106", rack.where(f"{path}.{n}.pull"), found, "give the angles in ascending order"
                )


def pad_middle(rack: Rack, corner: str) -> tuple[int, int]:
    """x and y (nm) of the middle of a pad, in rack axes."""
    d, half = rack.definition, rack.definition.tube.side // 2
    depth, hand = corner.split("-")
    return (half if hand == "left" else d.outside.width - half,
            half if depth == "front" else d.outside.depth - half)  # fmt: skip


def _places(rack: Rack) -> Iterator[Fault]:
    """Nothing of the aircraft stands in the rack; one ring at a place, one foot at a corner, over its fitting."""
    d = rack.definition
    size = (d.outside.width, d.outside.depth, d.outside.height)
    for fitting in d.floor_fitting:
        if all(0 < at < most for at, most in zip(fitting.at, size, strict=True)):
            place = rack.where(f"floor_fitting.{fitting.name}.at")
            yield Fault(
                "RW202", place, f"floor fitting {fitting.name} stands inside the rack", "give its true place"
            )
    for one, other in combinations(d.ring, 2):
        if (one.post, one.end, one.face) == (other.post, other.end, other.face):
            found = f"rings {one.name!r} and {other.name!r} are at one place"
            yield Fault(
                "RW202", rack.where(f"ring.{other.name}"), found, "put one on another post, end or face"
            )
    for foot, again in combinations(d.foot, 2):
        if foot.corner == again.corner:
            found = f"feet {foot.name!r} and {again.name!r} stand at one corner"
            yield Fault("RW202", rack.where(f"foot.{again.name}.corner"), found, "give each corner one foot")
    places = {one.name: one.at for one in d.floor_fitting}
    for foot in d.foot:
        if foot.fitting in places:
            x, y = pad_middle(rack, foot.corner)
            at = places[foot.fitting]
            if max(abs(at[0] - x), abs(at[1] - y)) > d.pad.side // 2:
                found = f"fitting {foot.fitting} does not lie under the pad {foot.corner}"
                do = f"its place is ({x / IN:.4g}, {y / IN:.4g}) in; correct the fitting or the corner"
                yield Fault("RW202", rack.where(f"foot.{foot.name}.fitting"), found, do)


def _floor(rack: Rack) -> Iterator[Fault]:
    floor = rack.definition.floor
    for level in ("ultimate", "limit"):
        given = getattr(floor, level) if floor else None
        for name in given.not_limited if given else ():
            if getattr(given, name) is not None:
                found = f"{name} has a value and is said not to be limited"
                yield Fault("RW106", rack.where(f"floor.{level}.not_limited"), found, "keep one of the two")
