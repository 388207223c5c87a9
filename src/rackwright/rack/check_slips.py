"""Slips of a unit or a sign in what nothing else judges: film, heat, tolerances, floor, isolators, bond.

The bounds lie far beyond any rack (judgement, no source): they tell mm written for mil, degC for degF, ksi for psi,
never a poor design. `check.py` calls them.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

from rackwright.rack.build_up import CORNERS
from rackwright.rack.check_sizes import hardware_of
from rackwright.rack.model import Rack
from rackwright.trouble import Fault
from rackwright.units import out_of_degrees

__all__ = ["check_slips", "slip_ranges"]

MIL, IN = 25_400, 25_400_000
KSI, PSI, DEG = 6.894757293168361e6, 6894.757293168361, pi / 180
COLD, HOT, HOTTEST = 293.15, 533.15, 473.15  # K: 20 and 260 degC of a cure; 200 degC of what protects a joint
STEEL = 923.15  # K: 650 degC of a steel anchor
BLOCKS = {f"block.{level}.{corner}" for level in ("bottom", "top") for corner in CORNERS}


def slip_ranges(rack: Rack) -> Iterator[tuple[str, float, float, float, str, float]]:
    """Path, value, least, most, unit shown, and its size."""
    d = rack.definition
    yield "tube.wall", d.tube.wall, 10 * MIL, 2000 * MIL, "in", IN
    yield "shelf_make.panel.thickness", d.shelf_make.panel.thickness, 10 * MIL, 2000 * MIL, "in", IN
    yield "pad.side", d.pad.side, MIL, 4 * d.tube.side, "in", IN
    if d.tube.least is not None:
        yield "tube.least.wall", d.tube.least.wall, 0.5 * d.tube.wall, 2 * d.tube.wall, "in", IN
    if d.joint.slip is not None:
        yield "joint.slip.along", d.joint.slip.along, 0, IN / 4, "in", IN
    if d.ring_make is not None:
        yield "ring_make.width", d.ring_make.width, MIL, 4 * d.tube.side, "in", IN
    if d.tolerance is not None:
        yield "tolerance.ring_angle", d.tolerance.ring_angle, 0, 45 * DEG, "deg", DEG
        for name in ("outline", "hole_position", "thickness", "flatness"):
            off = getattr(d.tolerance.detail, name, None)
            yield f"tolerance.detail.{name}", off or 0, 0, IN // 4, "in", IN
    if d.finish is not None:
        for name in ("film_low", "film_high"):
            yield f"finish.{name}", getattr(d.finish, name), 0.1 * MIL, 40 * MIL, "mil", MIL
        for n, point in enumerate(d.finish.cure):
            yield f"finish.cure.{n}.time", point.time, 1, 86_400, "s", 1
        if d.finish.oven_time is not None:
            yield "finish.oven_time.time", d.finish.oven_time.time, 60, 360_000, "min", 60
    for fitting in d.floor_fitting:  # no strap reaches across a hold (common practice, no source)
        for n, away in enumerate(fitting.at):
            yield f"floor_fitting.{fitting.name}.at.{n}", away, -30 * 10**9, 30 * 10**9, "in", IN
    if (
        d.bond is not None
    ):  # bonds are milliohms, paths against static up to some kilohms (common practice, no source)
        yield "bond.most", d.bond.most, 1e-6, 1e4, "ohm", 1
    for level in ("ultimate", "limit"):
        given = getattr(d.floor, level) if d.floor else None
        if given is not None and given.per_area is not None:
            yield f"floor.{level}.per_area", given.per_area, 0, 100 * KSI, "psi", PSI
    if d.vibration is not None and d.vibration.allowable and d.vibration.allowable.tube_stress:
        yield "vibration.allowable.tube_stress", d.vibration.allowable.tube_stress, 0, 500 * KSI, "ksi", KSI
    for kind in d.strap_type:
        for n, at in enumerate(kind.curve.points if kind.curve else ()):
            yield f"strap_type.{kind.name}.curve.points.{n}.percent", at.percent, 0, 200, "percent", 1
    for item in d.equipment:
        yield f"equipment.{item.name}.power", item.power or 0, 0, 1e5, "W", 1
        for n, sway in enumerate((item.isolators.sway or ()) if item.isolators else ()):
            yield f"equipment.{item.name}.isolators.sway.{n}", sway, 0, 4 * IN, "in", IN


def check_slips(rack: Rack) -> Iterator[Fault]:
    yield from _heat(rack)
    yield from _bond(rack)
    for case in rack.definition.case:
        if not (case.forward or case.left or case.up):
            yield Fault("RW106", rack.where(f"case.{case.name}"), "a case with no load in any direction",
                        "give a factor in one direction at least")  # fmt: skip
    make = rack.definition.ring_make
    if make and make.allowable:
        known = make.allowable
        for low, high in (("Fty", "Ftu"), ("Fsu", "Ftu"), ("Ftu", "Fbru"), ("Fty", "Fbry")):
            below, above = getattr(known, low), getattr(known, high)
            if above is not None and below > above:
                found = f"{low} of {below / KSI:.4g} ksi is more than {high} of {above / KSI:.4g} ksi"
                yield Fault(
                    "RW106", rack.where(f"ring_make.allowable.{low}"), found, "give both as the document does"
                )


def _heat(rack: Rack) -> Iterator[Fault]:
    """Temperatures of oven and cabin: 400 degC in place of degF would ruin the temper."""
    d = rack.definition
    given = [(f"protection.{one.name}.most", one.most, COLD, HOTTEST) for one in d.protection]
    if d.finish is not None:
        given += [("finish.most_metal", d.finish.most_metal, COLD, HOT)]
        given += [(f"finish.cure.{n}.metal", point.metal, COLD, HOT) for n, point in enumerate(d.finish.cure)]
        if d.finish.oven_time is not None:
            given += [("finish.oven_time.metal", d.finish.oven_time.metal, COLD, HOT)]
    for path, set_ in hardware_of(d):
        for kind in ("insert", "nutplate"):
            most = getattr(getattr(set_, kind), "most", None)
            given += [(f"{path}.{kind}.most", most, COLD, STEEL)] if most is not None else []
    for path, value, low, high in given:
        if (slip := out_of_degrees(value, low, high)) is not None:
            yield Fault("RW106", rack.where(path), *slip)


def _bond(rack: Rack) -> Iterator[Fault]:
    """Bare pads on blocks that there are, each once."""
    pads = rack.definition.bond.pads if rack.definition.bond else ()
    for n, pad in enumerate(pads):
        if pad not in BLOCKS:
            do = f"use one of: {', '.join(sorted(BLOCKS))}"
            yield Fault("RW108", rack.where(f"bond.pads.{n}"), f"{pad!r} is not defined", do)
        elif pad in pads[:n]:
            yield Fault(
                "RW107", rack.where(f"bond.pads.{n}"), f"{pad!r} is there twice", "name each block once"
            )
