"""Slips that a fabrication lead made on trial: one wrong thing each in the demo's files, and the fault it gives.

Beside `test_broken_definitions.py`: there the command line is asked, here the readers below it.
"""

from __future__ import annotations

import pytest

from racks import DEMO, STANDARD, VARIATION, faults_of, swap
from rackwright.shop import read_shop
from rackwright.trouble import Fault

SHOP = (DEMO / "shop.toml").read_text("utf-8")
JOINT = 'hardware = { bolt = "AN4", washer = "AN960-416", nut = "MS21044N4", hole = "0.2505 in" }\npost'
CASE = '\n[[case]]\nname = "still"\nkind = "limit"\nforward = 0\nleft = 0\nup = 0\ndocument = "D"\n'
TITLE = 'title = "Standard equipment rack, 47 in"'

Slip = tuple[str, str, str, str, str]  # old, new, code, field, what was found

DEFINITION: dict[str, Slip] = {
    "a nut of another thread": (JOINT, JOINT.replace("44N4", "44N3"), "RW106", "joint.hardware.nut", "another thread"),
    "a washer that does not pass": (JOINT, JOINT.replace("-416", "-10"), "RW106", "joint.hardware.washer", "shank"),
    "a wall of a micrometre": ('wall = "0.125 in"', 'wall = "1 um"', "RW106", "tube.wall", "out of range"),
    "a panel of a micrometre": ('panel = { thickness = "0.125 in"', 'panel = { thickness = "1 um"', "RW106",
                                "shelf_make.panel.thickness", "out of range"),
    "a pad of a foot": ('[pad]\nside = "1.5 in"', '[pad]\nside = "15 in"', "RW106", "pad.side", "15 in"),
    "a film in mm": ('film_high = "4 mil"', 'film_high = "4 mm"', "RW106", "finish.film_high", "157.5 mil"),
    "the temper's limit as Celsius": ('most_metal = "400 degF"', 'most_metal = "400 degC"', "RW106",
                                      "finish.most_metal", "752 degF"),
    "a cure as Celsius": ('"356 degF"', '"356 degC"', "RW106", "finish.cure.0.metal", "672.8 degF"),
    "a cure colder than any shop": ('"356 degF"', '"20 K"', "RW106", "finish.cure.0.metal", "-253.1 degC"),
    "a cure of no time": ('time = "20 min"', 'time = "0 min"', "RW106", "finish.cure.0.time", "0 s"),
    "a protection as Celsius": ('around inserts, after the oven"\n'
                                'most = "250 degF"', '"\nmost = "250 degC"', "RW106",
                                "protection.ring seat.most", "482 degF"),
    "an angle below nothing": ('ring_angle = "1 deg"', 'ring_angle = "-1 deg"', "RW106", "tolerance.ring_angle", "-1"),
    "a bond on no block": ('"block.bottom.rear-right"]', '"block.bottom.rear-rigth"]', "RW108", "bond.pads.1", "rigth"),
    "a bond twice on one block": ('"block.bottom.rear-right"]', '"block.bottom.front-left"]', "RW107", "bond.pads.1",
                                  "twice"),
    "a floor in ksi": ('"1100 psi"', '"1100 ksi"', "RW106", "floor.ultimate.per_area", "out of range"),
    "a stress beyond any metal": ('tube_stress = "4 ksi"', 'tube_stress = "4000 ksi"', "RW106",
                                  "vibration.allowable.tube_stress", "4000 ksi"),
    "a strap that stretches a thousandfold": ("percent = 11 }", "percent = 1e5 }", "RW106",
                                              "strap_type.ST-5.curve.points.2.percent", "1e+05"),
    "a rack that takes a power station": ('power = "140 W"', 'power = "140000 kW"', "RW106",
                                          "equipment.power conditioner.power", "W is out of range"),
    "a ring as wide as the rack": ('width = "2 in"\neye', 'width = "20 in"\neye', "RW106", "ring_make.width", "20 in"),
    "a yield above the ultimate": ('Fty = "30 ksi"', 'Fty = "90 ksi"', "RW106", "ring_make.allowable.Fty", "more than"),
    "a slip of ten inches": ("tightening = {", 'slip = { along = "10 in", document = "D" }\ntightening = {', "RW106",
                             "joint.slip.along", "10 in"),
    "a least wall of nothing": ("vent = {", 'least = { wall = "1 um", document = "D" }\nvent = {', "RW106",
                                "tube.least.wall", "out of range"),
    "a case of no load": ("# --- finish, protection", CASE + "# --- finish, protection", "RW106", "case.still",
                          "no load"),
    "a title that steers the terminal": (TITLE, TITLE.replace("rack", "\\u001b[31mrack"), "RW106", "title", "found"),
    "a title that is read backwards": (TITLE, TITLE.replace("rack", "\u202erack"), "RW106", "title", "u202e"),
}  # fmt: skip

SETTINGS: dict[str, Slip] = {
    "a kerf of ten inches": ('kerf = "0.125 in"', 'kerf = "10 in"', "RW106", "saw.kerf", "10 in"),
    "a kerf less sure than itself": ('"0.002 in" # plans', '"2 in" # plans', "RW106", "saw.kerf_uncertainty", "2 in"),
    "a trim as long as the bar": ('mill_end_trim = "1/2 in"', 'mill_end_trim = "20 ft"', "RW106", "saw.mill_end_trim",
                                  "240 in"),
    "bars of a hair": ('["20 ft", "24 ft"]', '["20 mil", "24 ft"]', "RW106", "price[0].purchase_lengths[0]", "0.0016"),
    "a shop as hot as a sauna": ('warmest = "72 degF"', 'warmest = "72 degC"', "RW106", "jig.warmest", "161.6 degF"),
    "a drill of ten inches": ('"0.2344 in"]', '"10 in"]', "RW106", "jig.drills[5]", "10 in"),
    "an allowance of two inches": ('ream_allowance = "1/64 in"', 'ream_allowance = "2 in"', "RW106",
                                   "jig.ream_allowance", "2 in"),
    "an oven as Celsius": ('survey_hottest = "384 degF"', 'survey_hottest = "384 degC"', "RW106",
                           "oven.survey_hottest", "723.2 degF"),
    "a log without a gap": ('longest_gap = "2 min"', 'longest_gap = "0 min"', "RW106", "oven.longest_gap", "0 s"),
    "a cut deeper than the flutes": ('axial = "0.1 in"', 'axial = "10 in"', "RW106", "mill.tool[0].axial", "10 in"),
    "a chip of four inches": ('chip = "0.004 in"\naxial', 'chip = "4 in"\naxial', "RW106", "mill.tool[0].chip", "4 in"),
    "a cutter of a thousand teeth": ("flutes = 5", "flutes = 1000", "RW106", "mill.tool[0].flutes", "1000"),
    "a cutter without a diameter": ('diameter = "2 in"\n', "", "RW101", "mill.tool[0].diameter", "nothing is given"),
    "a grip of a yard": ('grip = "0.090 in"', 'grip = "36 in"', "RW106", "mill.grip", "36 in"),
    "an edge wider than the plate": ('edge = "0.375 in"', 'edge = "900 in"', "RW106", "plate.edge", "900 in"),
}  # fmt: skip


def told(faults: list[Fault], slip: Slip) -> None:
    _, _, code, field, found = slip
    one = next((f for f in faults if (f.code, f.where.field) == (code, field)), None)
    assert one is not None, faults
    assert found in one.found
    assert one.where.line > 0
    assert one.do


@pytest.mark.parametrize("name", DEFINITION)
def test_a_slip_in_a_definition(name: str) -> None:
    told(list(faults_of(swap(STANDARD, DEFINITION[name][:2]))), DEFINITION[name])


def test_a_slip_in_a_variation() -> None:
    """An isolator cannot sway by more than a hand."""
    old, new = 'sway = ["0.3 in"', 'sway = ["30 in"'
    told(list(faults_of(STANDARD, swap(VARIATION, (old, new)))),
         (old, new, "RW106", "equipment.recorder.isolators.sway.0", "30 in"))  # fmt: skip


@pytest.mark.parametrize("name", SETTINGS)
def test_a_slip_in_the_settings_of_a_shop(name: str) -> None:
    old, new, *_ = SETTINGS[name]
    assert old in SHOP
    shop, faults = read_shop(SHOP.replace(old, new, 1).encode(), "shop.toml")
    assert shop is None
    told(faults, SETTINGS[name])
