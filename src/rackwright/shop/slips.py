"""Slips of a unit in a shop's settings: values that their unit allows and that no shop has.

The bounds lie far beyond any machine (judgement, no source): they tell an inch written for a mil, degC for degF.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.located import Path, Places
from rackwright.shop.model import ShopFile
from rackwright.trouble import Fault
from rackwright.units import out_of_degrees

__all__ = ["slip_faults"]

IN, FT = 25_400_000, 304_800_000


def slip_faults(shop: ShopFile, places: Places) -> Iterator[Fault]:
    for path, value, low, high, unit, one in (*_of_saw(shop), *_of_mill(shop), *_of_plates(shop)):
        if not low <= value <= high:
            found = f"{value / one:.4g} {unit} is out of range"
            do = f"give {low / one:.4g} to {high / one:.4g} {unit}"
            yield Fault("RW106", places.where(path), found, do)
    for path, kelvin, low, high in _heat(shop):
        if (slip := out_of_degrees(kelvin, low, high)) is not None:
            yield Fault("RW106", places.where(path), *slip)


Range = tuple[Path, float, float, float, str, float]  # path, value, least, most, unit shown, its size


def _of_saw(shop: ShopFile) -> Iterator[Range]:
    saw = shop.saw
    most = {"kerf": IN, "kerf_uncertainty": saw.kerf, "mill_end_trim": 4 * FT, "clamp_tail": 4 * FT,
            "remnant_min": 20 * FT, "bar_length_uncertainty": IN, "cut_tolerance": IN / 2}  # fmt: skip
    for name, high in most.items():
        yield ("saw", name), getattr(saw, name), 0, high, "in", IN
    for n, price in enumerate(shop.price):
        for k, length in enumerate(price.purchase_lengths):
            yield ("price", n, "purchase_lengths", k), length, FT, 100 * FT, "ft", FT


def _of_mill(shop: ShopFile) -> Iterator[Range]:
    mill = shop.mill
    if mill is None:
        return
    yield ("mill", "chip"), mill.chip, 0, IN / 10, "in", IN
    yield ("mill", "most_spindle"), mill.most_spindle, 1, 5_000, "rpm", 1 / 60
    yield ("mill", "surface_speed"), mill.surface_speed, 0.01, 100, "m/s", 1
    yield ("mill", "spindle_power"), mill.spindle_power, 10, 1e6, "W", 1
    yield ("mill", "cutting_force"), mill.cutting_force, 1e7, 1e11, "GPa", 1e9
    for name in ("finish_feed", "drill_feed"):
        yield ("mill", name), getattr(mill, name), 1e-5, 5, "m/s", 1
    for name in ("tool_change", "index", "load"):
        yield ("mill", name), getattr(mill, name), 0, 86_400, "s", 1
    yield ("mill", "grip"), mill.grip or 0, 0, 4 * IN, "in", IN
    yield ("mill", "finish_stock"), mill.finish_stock or 0, 0, IN / 4, "in", IN
    yield ("mill", "least_wall"), mill.least_wall or 0, 0, IN, "in", IN
    for n, tool in enumerate(mill.tool):
        here = ("mill", "tool", n)
        yield (*here, "flutes"), tool.flutes, 0, 40, "flutes", 1
        yield (*here, "chip"), tool.chip or 0, 0, IN / 10, "in", IN
        yield (*here, "axial"), tool.axial or 0, 0, tool.flute_length, "in", IN
        yield (*here, "allowance"), tool.allowance or 0, 0, tool.diameter / 2, "in", IN


def _of_plates(shop: ShopFile) -> Iterator[Range]:
    if shop.plate is not None:
        yield ("plate", "edge"), shop.plate.edge, 0, FT, "in", IN
    if shop.jig is not None:
        yield ("jig", "ream_allowance"), shop.jig.ream_allowance, 0, IN / 4, "in", IN
        for n, drill in enumerate(shop.jig.drills):
            yield ("jig", "drills", n), drill, 0, 2 * IN, "in", IN
        for n, part in enumerate(shop.jig.contributor):
            yield ("jig", "contributor", n, "tolerance"), part.tolerance, 0, IN / 4, "in", IN
    if shop.oven is not None:
        yield ("oven", "longest_gap"), shop.oven.longest_gap, 1, 3_600, "s", 1


def _heat(shop: ShopFile) -> Iterator[tuple[Path, float, float, float]]:
    """A workshop is between -10 and 50 degC, an oven for powder at most at 300."""
    if shop.jig is not None:
        for name in ("coldest", "warmest"):
            yield ("jig", name), getattr(shop.jig, name), 263.15, 323.15
    if shop.oven is not None:
        for name in ("survey_setpoint", "survey_coldest", "survey_hottest"):
            yield ("oven", name), getattr(shop.oven, name), 313.15, 573.15
        if shop.oven.heat_up is not None:
            yield ("oven", "heat_up", "start"), shop.oven.heat_up.start, 263.15, 573.15
