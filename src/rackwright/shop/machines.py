"""Brake, water jet and mill as this shop measured them, as frozen data: tables of `shop.toml`, and their faults.

K, springback, speeds and engagement belong to one machine, die, heat and pump: each comes with the log it is from,
and what is absent is asked for. A test bend gives K by its own arithmetic; one that gives a neutral axis outside the
inner half was read wrongly (most often the angle between the legs was taken for the angle bent through).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Annotated, Literal

from rackwright.fields import (
    Angle,
    Force,
    Length,
    Mass,
    Name,
    Number,
    Quantity,
    Speed,
    Stress,
    Text,
    Time,
    Whole,
)
from rackwright.fields import definition as _definition
from rackwright.formulas.bend import k_from_test_bend
from rackwright.located import Places
from rackwright.reference import Rows
from rackwright.shop.tools import Backgauge, MillTool, ToolProfile, profile_faults, tool_faults
from rackwright.trouble import Fault

__all__ = ["BendMetal", "BendTest", "Brake", "Mill", "PlateCut", "TimedCut", "machine_faults"]

LineLoad = Annotated[float, Quantity("line_load", low=0.0, above=True)]
Power = Annotated[float, Quantity("power", low=0.0, above=True)]


@_definition
class Brake:
    """The press brake with the tools that rings are bent with, and the loads of its chart."""

    name: Name
    punch_radius: Length
    die_opening: Length
    most: Force  # of the machine, from its chart
    most_per_length: LineLoad  # of the tools
    force_constant: Number  # c of P = c Ftu w t²/V, as this machine shows it
    reserve: Number  # share kept on the computed force
    document: Text
    hole_clear: Length | None = None  # hole edge to bend tangent from which holes were found to stay round
    hole_clear_document: Text | None = None
    after_bend_stock: Length | None = None  # left on the radius of a hole that is finished after bending
    punch: ToolProfile | None = None  # sections of the tools: with them bends are ordered without collision
    die: ToolProfile | None = None
    backgauge: Backgauge | None = None


@_definition
class BendTest:
    """One test bend, measured: flat length, legs to the mold line, angle bent through, inside radius."""

    id: Name
    stock: Name
    heat: Name
    thickness: Length
    punch_radius: Length
    die_opening: Length
    bend_line: Literal["across the grain", "along the grain"]
    flat: Length
    leg_a: Length
    leg_b: Length
    angle: Angle  # bent through, free
    inside_radius: Length
    loaded_angle: Angle | None = None  # bent through, under load
    uncertainty: Length | None = None  # standard, of the flat and of each leg
    document: Text

    @property
    def K(self) -> float:
        """The neutral axis that this bend shows."""
        F, a, b, R, t = (
            n * 1e-9 for n in (self.flat, self.leg_a, self.leg_b, self.inside_radius, self.thickness)
        )
        return float(k_from_test_bend(F, a, b, self.angle, R, t))


@_definition
class BendMetal:
    """Where to start for a stock specification that has no test bend yet: reference rows by their ids."""

    stock: Name
    k_factor: Name | None = None
    modulus: Name | None = None  # material row whose E the springback estimate takes
    least_radius: Length | None = None
    least_radius_document: Text | None = None


@_definition
class TimedCut:
    """One cut of the jet, timed: this length through this thickness at this quality, corners included."""

    stock: Name
    thickness: Length
    quality: Number
    length: Length
    time: Time
    document: Text


@_definition
class PlateCut:
    """The water jet: what stays free on a plate, the kerf as measured, and its times."""

    name: Name
    gap: Length  # web between blanks
    edge: Length  # border of a plate
    kerf: Length
    kerf_known: Text
    quality: Number
    remnant_min: Length  # shorter side of the least rest that goes back
    hole_share: Number | None = None  # of the speed, in holes
    pierce: Time | None = None
    traverse: Speed | None = None
    abrasive_per_minute: Mass | None = None
    document: Text
    timed_cut: tuple[TimedCut, ...] = ()


@_definition
class Mill:
    """The mill that corner blocks are cut on, with its rates as logged for this family of parts."""

    name: Name
    cutter: Length
    teeth: Whole
    surface_speed: Speed
    most_spindle: Annotated[float, Quantity("frequency", low=0.0, above=True)]
    chip: Length  # feed of a tooth
    radial: Length
    axial: Length
    engagement: Number  # share of roughing time in the metal
    finish_step: Length
    finish_feed: Speed
    drill_feed: Speed
    drill_approach: Length  # for each hole
    tool_changes: Whole
    tool_change: Time
    index: Time
    clampings: Whole  # of one block
    load: Time  # for each clamping
    cutting_force: Stress  # specific, of the block's metal
    spindle_power: Power
    first_piece: Number  # how many times as long the first piece takes
    document: Text
    # for a plan of operations, in place of the rates above
    tool: tuple[MillTool, ...] = ()
    efficiency: Number | None = None  # of the spindle's drive
    grip: Length | None = None  # of the blank, in the jaws of the first setup
    finish_stock: Length | None = None  # left on walls and floors for the finishing cut
    least_wall: Length | None = None  # thinnest wall of this metal that was found to stand the cut
    spigot_fit: Name | None = None  # ISO 286 class that spigots are worked to, as d9


# --- faults --------------------------------------------------------------------------------------


def machine_faults(
    rows: Rows,
    brake: Brake | None,
    tests: tuple[BendTest, ...],
    metals: tuple[BendMetal, ...],
    plate: PlateCut | None,
    mill: Mill | None,
    places: Places,
) -> Iterator[Fault]:
    """What is wrong with these tables beyond the kinds of their fields."""
    if brake is not None:
        yield from _share(places, "brake.reserve", brake.reserve, 0.0, 2.0)
        yield from _share(places, "brake.force_constant", brake.force_constant, 1.0, 2.5)
        if (brake.hole_clear is None) != (brake.hole_clear_document is None):
            yield Fault("RW111", places.where("brake"), "hole_clear without hole_clear_document, or the reverse",
                        "give the distance with the log it was found in")  # fmt: skip
        yield from profile_faults(brake.punch, brake.die, brake.backgauge, places)
    for number, test in enumerate(tests):
        yield from test_bend_faults(test, places, number)
    for number, metal in enumerate(metals):
        yield from _metal_faults(rows, metal, places, number)
    if plate is not None:
        yield from _plate_faults(plate, places)
    if mill is not None:
        yield from _mill_faults(mill, places)


def test_bend_faults(test: BendTest, places: Places, number: int) -> Iterator[Fault]:
    here = ("bend_test", number)
    if not 0 < test.angle < 2.97:
        do = "give the angle bent through, from 0 to 170 deg"
        yield Fault("RW106", places.where((*here, "angle")), "an angle that no bend has", do)
    elif not 0.0 <= test.K <= 0.5:
        found = f"these measurements put the neutral axis at K = {test.K:.3f}"
        do = "K lies from 0 to 0.5: take the angle bent through, legs to the mold line, and the measured radius"
        yield Fault("RW106", places.where((*here, "flat")), found, do)
    if test.loaded_angle is not None and test.loaded_angle < test.angle:
        do = "under load a bend is at least as far through as when it is free"
        yield Fault("RW106", places.where((*here, "loaded_angle")), "less than the free angle", do)


def _metal_faults(rows: Rows, metal: BendMetal, places: Places, number: int) -> Iterator[Fault]:
    here = ("bend_metal", number)
    if metal.k_factor is not None and metal.k_factor not in rows.k_factors:
        do = f"name one of {', '.join(rows.k_factors)}"
        yield Fault("RW108", places.where((*here, "k_factor")), f"no k_factor row {metal.k_factor!r}", do)
    if metal.modulus is not None:
        row = rows.materials.get(metal.modulus)
        if row is None or row.E is None:
            do = "name a material row with E, as `304-annealed-S`"
            yield Fault(
                "RW108", places.where((*here, "modulus")), f"no row with E named {metal.modulus!r}", do
            )
    if (metal.least_radius is None) != (metal.least_radius_document is None):
        yield Fault("RW111", places.where(here), "least_radius without least_radius_document, or the reverse",
                    "give the radius with the document that states it")  # fmt: skip


def _plate_faults(plate: PlateCut, places: Places) -> Iterator[Fault]:
    if plate.gap < plate.kerf:
        do = "the jet must pass between two blanks: give at least the kerf"
        yield Fault("RW106", places.where("plate.gap"), "narrower than the kerf", do)
    if 2 * plate.edge < plate.kerf:
        yield Fault(
            "RW106", places.where("plate.edge"), "narrower than half the kerf", "give at least half the kerf"
        )
    if plate.hole_share is not None:
        yield from _share(places, "plate.hole_share", plate.hole_share, 0.01, 1.0)
    yield from _share(places, "plate.quality", plate.quality, 1.0, 5.0)
    for number, cut in enumerate(plate.timed_cut):
        here = ("plate", "timed_cut", number)
        if cut.time <= 0:
            yield Fault("RW106", places.where((*here, "time")), "no time at all", "give the time of the cut")
        if not 1 <= cut.quality <= 5:
            yield Fault("RW106", places.where((*here, "quality")), f"found {cut.quality:g}", "give 1 to 5")


def _mill_faults(mill: Mill, places: Places) -> Iterator[Fault]:
    yield from _share(places, "mill.engagement", mill.engagement, 0.01, 1.0)
    yield from _share(places, "mill.first_piece", mill.first_piece, 1.0, 50.0)
    if mill.efficiency is not None:
        yield from _share(places, "mill.efficiency", mill.efficiency, 0.05, 1.0)
    for name in ("teeth", "clampings"):
        if getattr(mill, name) < 1:
            yield Fault("RW106", places.where(f"mill.{name}"), "found 0", "give at least 1")
    for name in ("radial", "finish_step"):
        if getattr(mill, name) > mill.cutter:
            do = "give at most its diameter"
            yield Fault("RW106", places.where(f"mill.{name}"), "wider than the cutter", do)
    if mill.spigot_fit is not None and not re.fullmatch("[defgh]([5-9]|1[01])", mill.spigot_fit):
        do = "give a shaft class of ISO 286 with clearance, d5 to h11, as d9"
        yield Fault("RW103", places.where("mill.spigot_fit"), f"found {mill.spigot_fit!r}", do)
    yield from tool_faults(mill.tool, places)


def _share(places: Places, path: str, value: float, low: float, high: float) -> Iterator[Fault]:
    if not low <= value <= high:
        yield Fault(
            "RW106", places.where(path), f"found {value:g}", f"give a number from {low:g} to {high:g}"
        )
