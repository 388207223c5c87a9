"""Definitions that are broken, each through `rackwright check`: code, line, field, what was found, what would do.

Whatever a file holds, the answer is exit 2 with located faults, never a traceback, and it comes soon. An edit is
made on the demo's own texts; the line expected is the one where the edit stands.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from racks import STANDARD, VARIATION, faults_of, swap, table_of
from rackwright.faces.cli.main import main
from rackwright.trouble import CODES, Fault

LIDAR = table_of(STANDARD, '[[equipment]]\nname = "lidar controller"')
FITTING = table_of(STANDARD, '[[floor_fitting]]\nname = "F1"')
UPPER, MIDDLE = '[[shelf]]\nname = "upper"\nheight = "36 in"', '[[change.shelf]]\nname = "middle"'


@dataclass(frozen=True)
class Broken:
    """An edit of the standard (or the variation), the fault it must give, and the words at its line."""

    name: str
    old: str
    new: str
    code: str
    field: str
    at: str  # stands on the line of the fault; "" for any
    found: str  # in what was found
    do: str  # in what would do
    variation: bool = False

    @property
    def text(self) -> str:
        return swap(VARIATION if self.variation else STANDARD, (self.old, self.new))

    @property
    def line(self) -> int:
        """The first line with `at` from the edit on, else the last before it."""
        source = VARIATION if self.variation else STANDARD
        start = source.count("\n", 0, source.index(self.old)) + 1
        lines = [n for n, line in enumerate(self.text.split("\n"), start=1) if self.at in line]
        return min((n for n in lines if n >= start), default=max(lines))


def of_lidar(old: str, new: str) -> tuple[str, str]:
    return LIDAR, swap(LIDAR, (old, new))


def at_f1(old: str, new: str) -> tuple[str, str]:
    return FITTING, swap(FITTING, (old, new))


POST = re.search(r"^post = .*$", STANDARD, re.M)
WIDTH = re.search(r"^width = \[.*$", STANDARD, re.M)
assert POST
assert WIDTH
FEET = 'feet = [["1 in", "2 in"], ["15 in", "2 in"], ["1 in", "15 in"], ["15 in", "15 in"]]'

BROKEN = [
    # units and numbers
    Broken("no unit", 'height = "47 in"', 'height = "47"', "RW104", "outside.height", '"47"', "has no unit", "mm"),
    Broken("a bare number", 'height = "47 in"', "height = 47", "RW104", "outside.height", "= 47", "47 has no unit",
           "quotes"),
    Broken("a mass for a length", 'height = "47 in"', 'height = "47 lb"', "RW104", "outside.height", '"47 lb"',
           "not a unit of length", "use one of m, in"),
    Broken("grams that could be gravity", *of_lidar('mass = "24 lb"', 'mass = "24 g"'), "RW104",
           "equipment.lidar controller.mass", '"24 g"', "not a unit of mass", "gram"),
    Broken("a shop fraction misread", 'corner_radius = "3/16 in"', 'corner_radius = "3-16 in"', "RW105",
           "tube.corner_radius", "3-16", "does not begin with a number", "17 1/2 in"),
    Broken("an improper fraction", 'corner_radius = "3/16 in"', 'corner_radius = "0 19/16 in"', "RW105",
           "tube.corner_radius", "19/16", "not smaller than one", "whole number and rest"),
    Broken("a fraction over nothing", 'corner_radius = "3/16 in"', 'corner_radius = "3/0 in"', "RW105",
           "tube.corner_radius", "3/0", "divides by zero", "correct"),
    Broken("a decimal comma", *of_lidar('mass = "24 lb"', 'mass = "24,5 lb"'), "RW105",
           "equipment.lidar controller.mass", "24,5", "24,5 lb", "decimal"),
    Broken("finer than a nanometre", 'height = "47 in"', 'height = "47.000001 in"', "RW105", "outside.height",
           "47.000001", "not a whole number of nanometres", "four decimals of an inch"),
    Broken("a unit that looks alike", 'height = "47 in"', 'height = "47 \u0456n"', "RW104", "outside.height",
           "47 ", "U+0456 cyrillic", "use one of m, in"),
    Broken("digits of another script", 'height = "47 in"', 'height = "\u0664\u0667 in"', "RW105", "outside.height",
           "\u0664\u0667", "U+0664 arabic-indic digit four", "decimal"),
    Broken("a name that looks alike", *of_lidar('shelf = "upper"', 'shelf = "\u0443pper"'), "RW103",
           "equipment.lidar controller.on_shelf.shelf", "pper\", at", "U+0443 cyrillic", "letters, digits"),
    Broken("a negative mass", *of_lidar('mass = "24 lb"', 'mass = "-24 lb"'), "RW106",
           "equipment.lidar controller.mass", '"-24 lb"', "out of range", "more than 0"),
    Broken("a mass of 1e308 lb", *of_lidar('mass = "24 lb"', 'mass = "1e308 lb"'), "RW105",
           "equipment.lidar controller.mass", "1e308", "absurdly long", "fewer digits"),
    Broken("a mass of a million tonnes", *of_lidar('mass = "24 lb"', 'mass = "1e9 kg"'), "RW106",
           "equipment.lidar controller.mass", "1e9 kg", "1e+09 kg is out of range", "0.001 to 1e+05 kg"),
    Broken("a tolerance beyond the mass", *of_lidar('mass_tolerance = "1 lb"', 'mass_tolerance = "30 lb"'), "RW106",
           "equipment.lidar controller.mass_tolerance", "30 lb", "13.61 kg is out of range", "0 to 10.89 kg"),
    Broken("not a number", "density = 7920", "density = nan", "RW106", "ring_make.density", "nan", "nan", "finite"),
    Broken("an infinite number", "density = 7920", "density = inf", "RW106", "ring_make.density", "inf", "inf",
           "finite"),
    Broken("a negative density", "density = 7920", "density = -7920", "RW106", "ring_make.density", "-7920",
           "-7920 kg/m3", "500 to"),
    Broken("a huge integer", "units = 6", f"units = {10**30}", "RW106", "rails.units", "units = 1000", "64 bits",
           "smaller"),
    Broken("an integer of ten thousand digits", "units = 6", f"units = {'9' * 10_000}", "RW106", "", "units = 999",
           "thousands of digits", "fewer digits"),
    Broken("half a unit of height", "units = 6", "units = 6.5", "RW103", "rails.units", "6.5", "6.5",
           "a whole number from 0"),
    Broken("a pull from below the floor", *at_f1('{ pull = "0 deg"', '{ pull = "-5 deg"'), "RW106",
           "floor_fitting.F1.allowable.0.pull", "-5 deg", "-5 deg is out of range", "0 to 90 deg"),
    Broken("a fitting on another continent", *at_f1('"-18 in"', '"-1800 m"'), "RW106", "floor_fitting.F1.at.0",
           "-1800 m", "out of range", "1000 m"),
    Broken("a strap as soft as nothing", 'axial_stiffness = "50000 lbf"', 'axial_stiffness = "1e-30 lbf"', "RW106",
           "strap_type.ST-5.axial_stiffness", "1e-30", "out of range", "1000 to"),
    Broken("a screw pitch of a micrometre", 'screw_pitch = "4 in"', 'screw_pitch = "1 um"', "RW106",
           "shelf_make.screw_pitch", "1 um", "out of range", "0.57 to"),
    Broken("a centre of gravity outside its box", *of_lidar('cg = ["8 in", "8 in", "3.5 in"]',
           'cg = ["8 in", "18 in", "3.5 in"]'), "RW106", "equipment.lidar controller.cg.1", '"18 in"',
           "at 18 in lies outside the item's depth (y) of 17 in", "mounting face"),
    Broken("a centre of gravity below its mounting face", *of_lidar('cg = ["8 in", "8 in", "3.5 in"]',
           'cg = ["8 in", "8 in", "-1 in"]'), "RW106", "equipment.lidar controller.cg.2", '"-1 in"',
           "at -1 in lies outside the item's height (z)", "mounting face"),
    Broken("a centre of gravity that may lie outside", *of_lidar('cg_tolerance = ["1/4 in", "1/4 in", "1/4 in"]',
           'cg_tolerance = ["1/4 in", "1/4 in", "5 in"]'), "RW106", "equipment.lidar controller.cg_tolerance.2",
           '"5 in"', "3.5 ± 5 in may lie outside", "tolerance of its document"),
    Broken("a tolerance below zero", *of_lidar('cg_tolerance = ["1/4 in"', 'cg_tolerance = ["-1/4 in"'), "RW106",
           "equipment.lidar controller.cg_tolerance.0", '"-1/4 in"', "out of range", "at least 0"),
    Broken("a payload beside its shelf", *of_lidar('at = ["4 in", "4.5 in"]', 'at = ["4 in", "12 in"]'), "RW202",
           "equipment.lidar controller.on_shelf.at", 'at = ["4 in", "12 in"]', "3 in beyond the panel of shelf upper",
           "move it over its shelf"),
    Broken("a payload far beside its shelf", *of_lidar('at = ["4 in", "4.5 in"]', 'at = ["-9 in", "4.5 in"]'), "RW202",
           "equipment.lidar controller.on_shelf.at", 'at = ["-9 in"', "beyond the panel of shelf upper along x",
           "move it over its shelf"),
    # sizes and strengths that nothing can be made of
    Broken("a negative wall", 'wall = "0.125 in"', 'wall = "-0.125 in"', "RW106", "tube.wall", '"-0.125 in"',
           "out of range", "more than 0"),
    Broken("1e30 for a length", 'height = "47 in"', 'height = "1e30 in"', "RW106", "outside.height", "1e30",
           "out of range", "at most 1000 m"),
    Broken("1e30 for a strength", 'Ftu = "75 ksi"', 'Ftu = "1e30 ksi"', "RW106", "ring_make.allowable.Ftu", "1e30",
           "out of range", "at most"),
    Broken("psi written as ksi", 'Ftu = "75 ksi"', 'Ftu = "75000 ksi"', "RW106", "ring_make.allowable.Ftu", "75000",
           "7.5e+04 ksi is out of range", "give 1 to 500 ksi"),
    Broken("a pad that holds a mountain", 'allowable_ultimate = "2400 lbf"', 'allowable_ultimate = "1e9 lbf"', "RW106",
           "pad.allowable_ultimate", '"1e9 lbf"', "out of range", "1e+06 lbf"),
    Broken("a counterbore through the pad", 'depth = "1/4 in"', 'depth = "1/2 in"', "RW106", "pad.counterbore.depth",
           'depth = "1/2 in"', "0.51 in deep at most goes through the pad of 0.5 in", "thicker pad"),
    Broken("a counterbore as wide as its pad", 'diameter = "3/4 in"', 'diameter = "1.5 in"', "RW106",
           "pad.counterbore.diameter", '"1.5 in"', "1.5 in across", "more than the bolt's hole of 0.2505 in"),
    Broken("a counterbore of nothing but tolerance", 'tolerance = "0.010 in"', 'tolerance = "10 in"', "RW106",
           "pad.counterbore.tolerance", '"10 in"', "leaves nothing of the depth", "plus or minus"),
    Broken("a head that stands on the floor", 'depth = "1/4 in", tolerance', 'depth = "7/32 in", tolerance', "RW203",
           "pad.counterbore.depth", '"7/32 in"', "need 0.2193 in, the counterbore leaves 0.2087 in", "give 0.2293 in"),
    Broken("a head wider than its counterbore", 'diameter = "3/4 in"', 'diameter = "1/2 in"', "RW203",
           "pad.counterbore.diameter", '"1/2 in"', "need 0.5052 in, the counterbore leaves 0.49 in", "give 0.5152 in"),
    Broken("a torque beyond any wrench", 'torque = "60 in*lbf"', 'torque = "1e9 in*lbf"', "RW106",
           "joint.tightening.torque", "1e9", "out of range", "1000 N*m"),
    Broken("a ring turned for ever", 'face = "-x"\nturn = "15 deg"', 'face = "-x"\nturn = "1e9 deg"', "RW106",
           "ring.top front left.turn", '"1e9 deg"', "out of range", "-360 to 360"),
    Broken("a metal without a modulus", 'material = "6061-T6-drawn-tube-S"', 'material = "304-plate-quarter"', "RW106",
           "tube.material", "304-plate-quarter", "gives no E, G, density", "6061-T6-drawn-tube-S"),
    Broken("an angle thicker than its legs", 'carry_leg = "1.5 in", thickness = "3/16 in"',
           'carry_leg = "1.5 in", thickness = "2 in"', "RW106", "shelf_make.angle.thickness", '"2 in"', "2 in thick",
           "less than 0.75 in"),
    Broken("a fillet as large as the block", 'grain = "z"', 'grain = "z"\nfillet = "3 in"', "RW106", "block.fillet",
           "fillet", "no face to stand on", "wall of 0.125 in"),
    Broken("an eye as wide as its ring", 'eye = "3/4 in"', 'eye = "3 in"', "RW106", "ring_make.eye", 'eye = "3 in"',
           "as wide as the ring of 2 in", "smaller eye"),
    Broken("an eye at the ring's end", 'eye_edge = "1 in"', 'eye_edge = "1/4 in"', "RW106", "ring_make.eye_edge",
           '"1/4 in"', "no metal is left", "more than 0.375 in"),
    Broken("a bend thicker than its plate", 'least_thickness = "0.235 in"', 'least_thickness = "0.35 in"', "RW106",
           "ring_make.root.least_thickness", "0.35", "more than the nominal", "after bending"),
    Broken("a bend longer than its legs", 'inside_radius = "3/8 in"', 'inside_radius = "39 in"', "RW106",
           "ring_make.root.inside_radius", "39 in", "takes 16.21 in of each leg", "smaller radius"),
    Broken("a strap beside itself", 'name = "low front left"\nring = "low front left"\nfitting = "F1"',
           'name = "low front left"\nring = "top front left"\nfitting = "F1"', "RW107", "strap.low front left",
           "", "both join ring 'top front left' to 'F1'", "take one of them out"),
    Broken("two fittings at one place", 'name = "F2"\nat = ["42 in", "-26 in", "0 in"]',
           'name = "F2"\nat = ["-18 in", "-26 in", "0 in"]', "RW202", "floor_fitting.F2.at", 'at = ["-18 in"',
           "'F1' and 'F2' are at one place", "true place"),
    Broken("a rail's washer on the corner's radius", 'side = "1.5 in"\nwall = "0.125 in"\ncorner_radius = "3/16 in"',
           'side = "1.5 in"\nwall = "0.125 in"\ncorner_radius = "9/16 in"', "RW203", "rails.hardware.washer",
           'hardware = { bolt = "AN3"', "washer AN960-10 reaches 0.0315 in on to the tube's corner", "smaller washer"),
    # wrong kinds
    Broken("a date for a text", 'title = "Standard equipment rack, 47 in"', "title = 1979-05-27", "RW103", "title",
           "1979", "date or time 1979-05-27", "quotes"),
    Broken("a time for a mass", *of_lidar('mass = "24 lb"', "mass = 07:32:00"), "RW103",
           "equipment.lidar controller.mass", "07:32", "date or time 07:32:00", "quotes"),
    Broken("a number for a text", 'title = "Standard equipment rack, 47 in"', "title = 47", "RW103", "title",
           "title = 47", "found 47", "text in quotes"),
    Broken("an empty title", 'title = "Standard equipment rack, 47 in"', 'title = " "', "RW106", "title", 'title = " "',
           "found ' '", "1 to 1000 characters"),
    Broken("a text of a million characters", 'title = "Standard equipment rack, 47 in"', f'title = "{"x" * 10**6}"',
           "RW106", "title", "xxxx", "1000000 characters", "1 to 1000"),
    Broken("a name of a million characters", *of_lidar('part = "LC-1100"', f'part = "{"x" * 10**6}"'), "RW103",
           "equipment.lidar controller.part", "xxxx", "xxx...", "at most 64"),
    Broken("a list for a table", "[outside]", "[[outside]]", "RW103", "outside", "[[outside]]", "height", "a table"),
    Broken("a table for a list", WIDTH[0], 'width = { at = "1/2 in", through = "z" }', "RW103", "joint.width",
           "width = {", "'at': '1/2 in'", "give a list"),
    Broken("a place of two numbers", *at_f1('["-18 in", "-26 in", "0 in"]', '["-18 in", "-26 in"]'), "RW101",
           "floor_fitting.F1.at.2", 'at = ["-18 in", "-26 in"]', "ends after 2 values", "one more value"),
    Broken("a place of four numbers", *at_f1('["-18 in", "-26 in", "0 in"]', '["1 in", "1 in", "1 in", "1 in"]'),
           "RW103", "floor_fitting.F1.at", 'at = ["1 in"', "found 4 values", "give 3"),
    Broken("true for a number", "density = 7920", "density = true", "RW103", "ring_make.density", "true", "True",
           "a plain number"),
    Broken("a word that is none of the choices", *of_lidar('"data sheet"', '"guessed"'), "RW103",
           "equipment.lidar controller.mass_basis", "guessed", "guessed", "'weighed', 'data sheet' or 'estimated'"),
    Broken("an axis without its sign", 'forward = "-y"', 'forward = "y"', "RW103", "aircraft.forward", '"y"',
           "found 'y'", 'as in "-y"'),
    Broken("a rack that lies on its back", 'forward = "-y"', 'forward = "+z"', "RW106", "aircraft.forward", '"+z"',
           "stands upright", "give +x, -x, +y or -y"),
    # fields and names
    Broken("an unknown field", 'wall = "0.125 in"', 'wall = "0.125 in"\nthickness = "1 in"', "RW102", "tube.thickness",
           'thickness = "1 in"', "'thickness' is not known", "spelling"),
    Broken("a field that looks alike", "height = \"47 in\"", '"h\u0435ight" = "47 in"', "RW102", "outside.h\u0435ight",
           'ight" = ', "U+0435 cyrillic small letter ie", "spelling"),
    Broken("a missing field", 'wall = "0.125 in"\n', "", "RW101", "tube.wall", "[tube]", "nothing is given",
           "add `wall`"),
    Broken("no mounting", *of_lidar(re.search("on_shelf = .*", LIDAR)[0], ""), "RW101",  # type: ignore[index]
           "equipment.lidar controller", '[[equipment]]', "one mounting", "on_shelf or on_rails"),
    Broken("two shelves of one name", UPPER, UPPER.replace("upper", "lower"), "RW107", "shelf.lower",
           "[[shelf]]", "'lower' is there twice", "own name"),
    Broken("a shelf that is not there", *of_lidar('shelf = "upper"', 'shelf = "attic"'), "RW108",
           "equipment.lidar controller.on_shelf.shelf", "attic", "'attic' is not defined", "lower, upper"),
    Broken("an unknown material", 'material = "6061-T6-drawn-tube-S"', 'material = "unobtainium"', "RW108",
           "tube.material", "unobtainium", "'unobtainium' is not defined", "6061-T6-drawn-tube-S"),
    Broken("an unknown rule", 'rule = "29.561(b)(3)"', 'rule = "29.999"', "RW108", "basis.rule", "29.999",
           "29.999@29-38", "29.561(b)(3)@29-38"),
    Broken("an amendment that we have no row of", 'amendment = "29-38"', 'amendment = "29-1"', "RW108", "basis.rule",
           'rule = "29.561', "29.561(b)(3)@29-1", "own row with its source"),
    Broken("the format of another file", 'format = "rackwright/rack/1"', 'format = "rackwright/shop/1"', "RW110",
           "format", "rackwright/shop/1", "rackwright/shop/1", "rackwright/rack/1"),
    Broken("no format", 'format = "rackwright/rack/1"\n', "", "RW110", "format", "", "no format line",
           "rackwright/rack/1"),
    # what lies where
    Broken("a shelf above the frame", UPPER, UPPER.replace("36", "46"), "RW201", "shelf.upper.height", '"46 in"',
           "at 46 in", "in to 45.5 in"),
    Broken("a shelf below the frame", UPPER, UPPER.replace("36", "2"), "RW201", "shelf.upper.height", '"2 in"',
           "at 2 in", "in to 45.5 in"),
    Broken("shelves that overlap", UPPER, UPPER.replace("36", "7"), "RW202", "shelf.upper.height", '"7 in"',
           "'lower' and 'upper' overlap: 1 in apart", "in or more between"),
    Broken("two shelves at one height", UPPER, UPPER.replace("36", "6"), "RW202", "shelf.upper.height", '"6 in"',
           "overlap: 0 in apart", "in or more between"),
    Broken("equipment in a shelf", *of_lidar('size = ["16 in", "17 in", "8 in"]', 'size = ["16 in", "17 in", "12 in"]'),
           "RW202", "equipment.lidar controller.size", '"12 in"]', "reaches out of the rack", "make the rack larger"),
    Broken("equipment in a tube", *of_lidar('at = ["4 in", "4.5 in"]', 'at = ["1 in", "0.5 in"]'), "RW202",
           "equipment.lidar controller.size", '"17 in", "8 in"', "overlap by 0.5 in along x", "smaller"),
    Broken("a foot beside the shelf", *of_lidar(FEET, FEET.replace('["1 in", "2 in"]', '["-3 in", "2 in"]')), "RW203",
           "equipment.lidar controller", '[[equipment]]', "does not lie in the metal of panel.upper",
           "move the hole"),
    Broken("a foot over the shelf's angle", *of_lidar('at = ["4 in", "4.5 in"]', 'at = ["2 in", "4.5 in"]'), "RW202",
           "equipment.lidar controller.on_shelf.feet", "feet = ", "foot 1 of lidar", "between 3."),
    Broken("feet in a line", *of_lidar(FEET, 'feet = [["1 in", "2 in"], ["8 in", "2 in"], ["15 in", "2 in"]]'), "RW106",
           "equipment.lidar controller.on_shelf.feet", '["8 in", "2 in"]', "in one line", "spread them"),
    Broken("two feet", *of_lidar(FEET, 'feet = [["1 in", "2 in"], ["15 in", "15 in"]]'), "RW106",
           "equipment.lidar controller.on_shelf.feet", 'feet = [["1 in", "2 in"], ["15', "fewer than three", "three"),
    Broken("a ring on a face that looks inward", 'end = "top"\nface = "-x"\nturn = "15 deg"',
           'end = "top"\nface = "+x"\nturn = "15 deg"', "RW106", "ring.top front left.face", 'face = "+x"',
           "on +x of the front-left post", "use -x"),
    Broken("rails too wide", 'opening = "450 mm"', 'opening = "420 mm"', "RW205", "rails.opening", "420 mm",
           "420 mm is too small", "at least 450 mm"),
    Broken("rails that do not reach", 'opening = "450 mm"', 'opening = "530 mm"', "RW205", "rails.angle", "angle = {",
           "must reach", "another opening"),
    Broken("a rack too narrow for panels", 'width = "24 in"', 'width = "21 in"', "RW205", "outside.width", '"21 in"',
           "less than a panel", "wider"),
    Broken("rails through the top", "units = 6", "units = 40", "RW205", "rails.units", "units = 40", "into the top",
           "fewer units"),
    Broken("no wall", 'wall = "0.125 in"', 'wall = "0 in"', "RW106", "tube.wall", '"0 in"', "out of range",
           "more than 0"),
    Broken("a wall too thick", 'wall = "0.125 in"', 'wall = "0.8 in"', "RW106", "tube.wall", '"0.8 in"',
           "walls meet", "thinner"),
    Broken("a corner sharper than its wall", 'corner_radius = "3/16 in"', 'corner_radius = "1/16 in"', "RW106",
           "tube.corner_radius", "1/16", "does not fit the tube", "at least the wall"),
    Broken("a rack too small", 'depth = "26 in"', 'depth = "6 in"', "RW206", "outside.depth", '"6 in"',
           "no tube is left", "larger"),
    Broken("a rack as large as a house", 'depth = "26 in"', 'depth = "9 m"', "RW106", "outside.depth", '"9 m"',
           "354.3 in is out of range", "196.9 in"),
    Broken("a bolt along its tube", POST[0], POST[0].replace('through = "x"', 'through = "z"', 1), "RW106",
           "joint.post.0.through", "post = [", "along the post tube", "give x or y"),
    Broken("no bolt", WIDTH[0], "width = []", "RW106", "joint.width", "width = []", "no bolt holds", "two or more"),
    Broken("a bolt beyond the spigot", WIDTH[0], re.sub('"[^"]* in"(?=[^"]*"z" }\\])', '"3 in"', WIDTH[0]), "RW203",
           "joint.width", '"3 in"', "not lie in the metal of block.", "move the hole"),
    Broken("holes too near an edge", 'bolt_spread = "3/4 in"', 'bolt_spread = "1 in"', "RW203", "shelf.lower.height",
           "", "diameters from an edge", "at least 1.5"),
    Broken("a hole for another bolt", 'hole = "0.2505 in" }\npost', 'hole = "0.2 in" }\npost', "RW106",
           "joint.hardware.hole", '"0.2 in"', "does not fit", "0.2500 in to 0.2750 in"),
    Broken("a strap through the rack", 'ring = "low front left"\nfitting = "F1"',
           'ring = "low front left"\nfitting = "F4"', "RW202", "strap.low front left.fitting", 'fitting = "F4"',
           "would run through", "another fitting"),
    Broken("a strap that points up", 'name = "F1"\nat = ["-18 in", "-26 in", "0 in"]',
           'name = "F1"\nat = ["-18 in", "-26 in", "60 in"]', "RW202", "strap.top front left.fitting", "",
           "would point up", "fitting in the floor"),
    Broken("a floor fitting inside the rack", 'name = "F1"\nat = ["-18 in", "-26 in", "0 in"]',
           'name = "F1"\nat = ["8 in", "8 in", "2 in"]', "RW202", "floor_fitting.F1.at", 'at = ["8 in"',
           "stands inside the rack", "true place"),
    Broken("angles out of order", *at_f1('{ pull = "45 deg"', '{ pull = "0 deg"'), "RW106",
           "floor_fitting.F1.allowable.1.pull", "allowable = [", "the angle 0 deg follows 0 deg", "ascending"),
    Broken("a fitting's point without an allowable", *at_f1('"90 deg", allowable_ultimate = "5000 lbf"', '"90 deg"'),
           "RW101", "floor_fitting.F1.allowable.2", "allowable = [", "without an allowable", "allowable_limit"),
    Broken("a negative rating", 'rating = "5400 lbf"', 'rating = "-5400 lbf"', "RW106", "link.HK-5.rating", "-5400",
           "out of range", "more than 0"),
    Broken("a rating without its meaning", 'means = "proof"\n', "", "RW101", "link.TB-5", "",
           "without its meaning", "working load"),
    Broken("a meaning of its own", 'means = "proof"', 'means = "safe"', "RW103", "link.TB-5.means", '"safe"', "'safe'",
           "'minimum break'"),
    Broken("an ultimate rating that is converted", 'means = "proof"', 'means = "ultimate"', "RW106",
           "link.TB-5.to_ultimate", "to_ultimate", "means ultimate is converted", "leave to_ultimate out"),
    Broken("an unknown link", 'links = ["HK-5", "TB-5"]', 'links = ["HK-5", "TB-9"]', "RW108",
           "strap_type.WR-5.links.1", "TB-9", "'TB-9' is not defined", "HK-5, RT-5, TB-5"),
    Broken("an unknown track", *at_f1('track = "TRK-2"', 'track = "HK-5"'), "RW108", "floor_fitting.F1.track", "HK-5",
           "'HK-5' is not defined", "TRK-2"),
    Broken("two rings at one place", 'post = "front-right"\nend = "top"\nface = "+x"',
           'post = "front-left"\nend = "top"\nface = "-x"', "RW202", "ring.top front right", "", "at one place",
           "another post, end or face"),
    Broken("a cone as wide as the sky", 'fitting = "F1"\ntype = "WR-5"\ncone = "3 deg"',
           'fitting = "F1"\ntype = "WR-5"\ncone = "80 deg"', "RW106", "strap.top front left.cone", "80 deg",
           "80 deg is out of range", "0 to 45 deg"),
    Broken("a floor with a limit and none",
           'at_point = "2400 lbf" }', 'at_point = "2400 lbf", not_limited = ["at_point"] }',
           "RW106", "floor.ultimate.not_limited", "not_limited", "said not to be limited", "one of the two"),
    Broken("a fitting rule that is none", 'fitting_rule = "29.625(a)"', 'fitting_rule = "29.303"', "RW108",
           "basis.fitting_rule", "29.303", "'29.303' is not defined", "25.625(a)"),
    Broken("pretensions in the wrong order", 'name = "ST-5"\naxial_stiffness = "50000 lbf"\npretension_low = "40 lbf"',
           'name = "ST-5"\naxial_stiffness = "50000 lbf"\npretension_low = "400 lbf"', "RW106",
           "strap_type.ST-5.pretension_high", "", "below the low one", "in order"),
    Broken("a load-stretch curve that falls", 'force = "2000 lbf", percent = 4.4', 'force = "400 lbf", percent = 4.4',
           "RW106", "strap_type.ST-5.curve.points.1", "", "do not both rise", "ascending order"),
    Broken("a load-stretch curve that ends too soon",
           'axial_stiffness = "50000 lbf"\npretension_low = "40 lbf"\npretension_high = "150 lbf"',
           'axial_stiffness = "50000 lbf"\npretension_low = "40 lbf"\npretension_high = "9000 lbf"',
           "RW106", "strap_type.ST-5.curve.points.2", "", "ends at or below the high pretension", "the whole curve"),
    Broken("a tube of sheet", 'material = "6061-T6-drawn-tube-S"', 'material = "6061-T6-sheet-A"', "RW106",
           "tube.material", "6061-T6-sheet-A", "is a row of sheet", "6061-T6-drawn-tube-S"),
    # variations
    Broken("another revision of the base", 'base_revision = "D"', 'base_revision = "C"', "RW106", "base_revision",
           'base_revision = "C"', "revision 'D', the variation was drawn for 'C'", "review", True),
    Broken("a base that is nowhere", 'base = "ER-47"', 'base = "ER-48"', "RW108", "base", '"ER-48"',
           "no standard 'ER-48'", "put er-48.toml beside", True),
    Broken("a base that is itself", 'base = "ER-47"', 'base = "ER-47-V12"', "RW109", "base", 'base = "ER-47-V12"',
           "leads back to itself", "name a standard", True),
    Broken("a change without a reason", 'why = "lower rack; the controller must stay reachable from the seat"\n', "",
           "RW101", "change[2]", "", "without a reason", 'add why = "..."', True),
    Broken("a change that is no list", "[[change]]\nwhy = \"cabin", "[change]\nwhy = \"cabin", "RW006", "",
           "", "change", "write [[name]] over each row of a list", True),
    Broken("a removal of nothing", f'{MIDDLE}\nheight = "24 in"', f"{MIDDLE}\nremove = true", "RW108", "",
           "[[change.shelf]]", "no shelf.middle to remove", "one that the base has", True),
    Broken("one shelf twice in a change", f'{MIDDLE}\nheight = "24 in"',
           f'{MIDDLE}\nheight = "24 in"\n{MIDDLE}\nheight = "20 in"', "RW107", "", "",
           "shelf.middle is there twice", "once in a change", True),
    Broken("a change of nothing known", '[[change.shelf]]\nname = "upper"\nheight = "32 in"',
           '[[change.shelf]]\nname = "upper"\nheigth = "32 in"', "RW102", "shelf.upper.heigth", "heigth", "'heigth'",
           "spelling", True),
    Broken("a fault in a change", 'height = "43.5 in"', 'height = "43.5"', "RW104", "outside.height", '"43.5"',
           "has no unit", "use one of", True),
]  # fmt: skip

Check = Callable[..., tuple[int, list[dict[str, Any]], str]]


@pytest.fixture
def check(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Check:
    """`rackwright check --json` of a text beside the sound standard: exit code, troubles, stderr."""
    monkeypatch.delenv("RACKWRIGHT_SHOP", raising=False)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "er-47.toml").write_text(STANDARD, "utf-8")

    def run(data: str | bytes, name: str = "rack.toml") -> tuple[int, list[dict[str, Any]], str]:
        Path(name).write_bytes(data if isinstance(data, bytes) else data.encode())
        with pytest.raises(SystemExit) as left:
            main(["check", name, "--json"])
        out, err = capsys.readouterr()
        return int(left.value.code or 0), json.loads(out).get("trouble", []), err

    return run


@pytest.mark.parametrize("broken", BROKEN, ids=lambda one: one.name.replace(" ", "-"))
def test_a_broken_definition(broken: Broken, check: Check) -> None:
    code, troubles, err = check(broken.text)
    assert code == 2, troubles
    found = [one for one in troubles if one["code"] == broken.code and broken.found in one["found"]]
    assert found, troubles
    first = found[0]
    assert first["file"] == "rack.toml"
    assert broken.field in ("", first["field"])
    if broken.at:
        assert first["line"] == broken.line
    assert broken.do in first["do"]
    assert "Traceback" not in err
    assert f"[{broken.code}]" in err
    for one in troubles:
        assert len(one["found"]) < 400  # a person reads it
        assert "pydantic" not in str(one)
        assert not re.search("Input should|validation", one["do"])


def test_the_faults_here_are_of_many_kinds() -> None:
    kinds = {one.code for one in BROKEN}
    assert kinds <= CODES.keys()
    assert len(kinds) >= 16
    assert len({one.name for one in BROKEN}) == len(BROKEN) >= 80


def test_all_faults_come_at_once_and_in_the_order_of_the_lines(check: Check) -> None:
    text = swap(STANDARD, ('height = "47 in"', 'height = "47"'), ('wall = "0.125 in"', 'wall = "0 in"'),
                ("density = 7920", 'density = "heavy"'), ('forward = "-y"', 'forward = "north"'))  # fmt: skip
    _, troubles, _ = check(text)
    fields = [one["field"] for one in troubles]
    assert fields == ["outside.height", "tube.wall", "ring_make.density", "aircraft.forward"]
    assert [one["line"] for one in troubles] == sorted(one["line"] for one in troubles)


# --- files that are no definition ------------------------------------------------------------------------

FILES: dict[str, tuple[bytes, str, int]] = {
    "empty": (b"", "RW004", 0),
    "only a remark": (b"# nothing\n", "RW004", 0),
    "not TOML": (b"format = rackwright/rack/1\n", "RW006", 1),
    "a page of a web site": (b"<!doctype html><html></html>", "RW006", 1),
    "binary": (b"\x7fELF\x02\x01\x01\x00\x00\xff\xfe", "RW003", 1),
    "text of another encoding": ('title = "Gerät"'.encode("latin-1"), "RW003", 1),
    "UTF-16": (STANDARD.encode("utf-16"), "RW003", 1),
    "ten megabytes": (b"# " + b"x" * 10_000_000, "RW005", 0),
    "deep in brackets": (b"a = " + b"[" * 5_000 + b"]" * 5_000, "RW005", 1),
    "deep in tables": (b"[" + b".".join([b"a"] * 3_000) + b"]\n", "RW005", 1),
    "cut off": (STANDARD.encode()[: len(STANDARD) // 2 - 7], "", 0),
    "a key given twice": (b'part = "A"\npart = "B"\n', "RW006", 2),
    "one word": (b'format = "rackwright/rack/1"\n', "RW101", 0),
    "a variation of nothing": (b'format = "rackwright/variation/1"\n', "RW101", 0),
}


@pytest.mark.parametrize("name", FILES)
def test_a_file_that_is_no_definition(name: str, check: Check) -> None:
    data, expected, line = FILES[name]
    code, troubles, err = check(data)
    assert code == 2
    assert expected in ("", troubles[0]["code"])
    assert troubles[0]["file"] == "rack.toml"
    assert line in (0, troubles[0]["line"])
    assert troubles[0]["do"]
    assert "Traceback" not in err


def test_a_file_that_is_not_there_and_a_folder(check: Check, tmp_path: Path) -> None:
    for name in ("nowhere.toml", str(tmp_path)):
        with pytest.raises(SystemExit) as left:
            main(["check", name])
        assert left.value.code == 2


@pytest.mark.parametrize("loop", [("a", "b"), ("b", "a")])
def test_bases_that_lead_back_to_themselves(loop: tuple[str, str], check: Check) -> None:
    """`a` is laid over `b`, and `b` over `a`."""
    for name, other in (("a", "b"), ("b", "a")):
        text = swap(
            VARIATION, ('part = "ER-47-V12"', f'part = "{name}"'), ('base = "ER-47"', f'base = "{other}"')
        )
        Path(f"{name}.toml").write_text(text, "utf-8")
    code, troubles, _ = check(Path(f"{loop[0]}.toml").read_bytes(), f"{loop[0]}.toml")
    assert code == 2
    assert troubles[0]["code"] == "RW109"
    assert " -> " in troubles[0]["found"]


# --- more than anyone needs ------------------------------------------------------------------------------


def many(table: str, count: int, body: str) -> str:
    return "\n".join(f'[[{table}]]\nname = "n{n}"\n{body}' for n in range(count))


RING = 'post = "rear-left"\nend = "top"\nface = "-x"\nturn = "0 deg"'
CASE = 'kind = "limit"\nforward = 1\nleft = 0\nup = 0\ndocument = "INVENTED"'


@pytest.mark.parametrize(
    ("table", "body", "count"),
    [
        ("shelf", 'height = "20 in"', 4_000), ("ring", RING, 3_000), ("case", CASE, 20_000),
        ("strap", 'ring = "low rear left"\nfitting = "F1"\ntype = "ST-5"', 5_000),
        ("floor_fitting", 'at = ["0 in", "0 in", "0 in"]', 5_000),
    ],
)  # fmt: skip
def test_thousands_of_tables_are_refused_and_not_computed(
    table: str, body: str, count: int, check: Check
) -> None:
    code, troubles, _ = check(f"{STANDARD}\n{many(table, count, body)}")
    assert code == 2
    assert len(troubles) == 1
    assert troubles[0]["code"] == "RW106"
    assert f"of {table}" in troubles[0]["found"]
    assert "at most 200" in troubles[0]["do"]


def test_thousands_of_changes_are_laid_over_the_base_in_one_go(check: Check) -> None:
    changes = "[[change]]\nwhy = 'many'\n" + many("change.shelf", 20_000, 'height = "20 in"')
    code, troubles, _ = check(f"{VARIATION}\n{changes}")
    assert code == 2
    assert [one["code"] for one in troubles] == ["RW106"]


def test_a_rack_full_of_shelves_is_computed() -> None:
    """As many shelves as fit between 6 in and 36 in, a panel's drop apart."""
    shelves = "\n".join(f'[[shelf]]\nname = "n{n}"\nheight = "{18 + 1.7 * n:.1f} in"' for n in range(10))
    lone = (
        STANDARD[: STANDARD.index("[[equipment]]")] + STANDARD[STANDARD.index("# --- aircraft and basis") :]
    )
    lone = lone[: lone.index("[rails]")] + lone[lone.index("# --- tie-down") :]
    assert faults_of(f"{lone}\n{shelves}") == ()


# --- laws ------------------------------------------------------------------------------------------------

VALUES = st.one_of(
    st.text(max_size=20), st.integers(-(2**63), 2**63), st.floats(allow_nan=False), st.booleans(), st.just("0 in"),
    st.just([]), st.just({}), st.just([["1 in"]]), st.sampled_from(["1 in", "-1 in", "1e3 m", "5 lb", "30 deg", "x"]),
)  # fmt: skip
LINES = [n for n, line in enumerate(STANDARD.splitlines()) if re.match(r"[a-z_]+ = ", line)]


def toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{}"
    if isinstance(value, float):
        return repr(value) if "inf" not in repr(value) else "inf"
    return json.dumps(value)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(LINES), VALUES)
@example(LINES[0], "")
def test_any_value_in_any_field_is_read_or_refused_with_words(line: int, value: Any) -> None:
    lines = STANDARD.splitlines()
    lines[line] = f"{lines[line].split(' = ')[0]} = {toml(value)}"
    for fault in faults_of("\n".join(lines)):
        assert isinstance(fault, Fault)
        assert fault.code in CODES
        assert fault.found
        assert fault.do
        assert fault.where.file == "standard.toml"


@settings(max_examples=60, deadline=None)
@given(st.integers(0, len(STANDARD)), st.integers(0, 400))
def test_a_file_with_a_piece_cut_out_is_read_or_refused_with_words(start: int, length: int) -> None:
    for fault in faults_of(STANDARD[:start] + STANDARD[start + length :]):
        assert fault.code in CODES
        assert fault.do
