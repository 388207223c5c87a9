"""Slips that a fabrication lead made on trial: one wrong thing each in the demo's files, and the fault it gives.

Beside `test_broken_definitions.py`: there the command line is asked, here the readers below it.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from racks import DEMO, STANDARD, VARIATION, faults_of, swap, table_of
from rackwright.faces.acts.values import Field, read_values
from rackwright.faces.cli.main import main
from rackwright.located import read_json, read_toml
from rackwright.making.oven.thermocouples import read_thermocouples
from rackwright.shop import read_shop
from rackwright.shop.outline import ring_fault
from rackwright.shop.read_stock import read_stock
from rackwright.strength.frame_case import read_case
from rackwright.trouble import Fault, Stopped
from rackwright.units import QuantityError, parse_quantity
from rackwright.work.keeping.shop_folder import write_out

STOCK = (DEMO / "stock.toml").read_text("utf-8")
SHOP = (DEMO / "shop.toml").read_text("utf-8")
JOINT = 'hardware = { bolt = "AN4", washer = "AN960-416", nut = "MS21044N4", hole = "0.2505 in" }\npost'
FITTING = table_of(STANDARD, '[[floor_fitting]]\nname = "F1"')
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
    "a fitting on another field": (FITTING, FITTING.replace('"-18 in"', '"-500 m"'), "RW106", "floor_fitting.F1.at.0",
                                   "out of range"),
    "a bond of megohms": ('most = "2.5 mohm"', 'most = "2.5 Mohm"', "RW106", "bond.most", "ohm is out of range"),
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
    "a price of nothing": ('per_lb = "11.40 USD"', 'per_lb = "0.00 USD"', "RW106", "price[0]", "a price of nothing"),
    "a price below nothing": ('per_lb = "11.40 USD"', 'per_lb = "-11.40 USD"', "RW103", "price[0].per_lb", "-11.40"),
    "an hour for nothing": ('per_hour = "46.00 USD"', 'per_hour = "0 USD"', "RW106", "labour[0]", "a price of nothing"),
    "a length twice": ('["20 ft", "24 ft"]', '["20 ft", "240 in"]', "RW107", "price[0].purchase_lengths[1]", "twice"),
    "a thread twice": ('thread = "10-32"\nnut', 'thread = "1/4-28"\nnut', "RW107", "wet_torque[1].thread", "1/4-28"),
    "a flat punch": ('{ x = "0 in", y = "-0.955 in" }', '{ x = "0 in", y = "-3 in" }', "RW106", "brake.die.points",
                     "touches itself"),
    "a spindle of another world": ('"10000 rpm"', '"1e12 rpm"', "RW106", "mill.most_spindle", "out of range"),
    "an edge wider than the plate": ('edge = "0.375 in"', 'edge = "900 in"', "RW106", "plate.edge", "900 in"),
}  # fmt: skip


STOCKED: dict[str, Slip] = {
    "a bar of a hair": ('length = "239 15/16 in"', 'length = "1 mil"', "RW106", "bar[0].length", "shorter"),
    "a bar of nothing": ('length = "239 15/16 in"', 'length = "0 in"', "RW106", "bar[0].length", "0 in"),
    "a bar of a mile": ('length = "239 15/16 in"', 'length = "900 m"', "RW106", "bar[0].length", "over 30 m"),
    "an inch mark": ('length = "239 15/16 in"', "length = '240\"'", "RW104", "bar[0].length", "not a unit"),
    "an id twice": ('id = "T-02"', 'id = "T-01"', "RW107", "bar[1].id", "T-01"),
    "a heat in Cyrillic": ('heat = "H4471"\nstock', 'heat = "\u041d4471"\nstock', "RW103", "certificate[0].heat",
                           "U+041D"),
    "a certificate that is not there": ('certificate = "HV-20417"', 'certificate = "HV-2041"', "RW108",
                                        "bar[0].certificate", "HV-2041"),
    "GPa for MPa": ('Ftu = "45.1 ksi"', 'Ftu = "45.1 GPa"', "RW106", "certificate[0].Ftu", "no strength"),
    "psi for ksi": ('Ftu = "45.1 ksi"', 'Ftu = "45.1 psi"', "RW106", "certificate[0].Ftu", "no strength"),
    "a yield above": ('Fty = "39.6 ksi"', 'Fty = "59.6 ksi"', "RW106", "certificate[0].Fty", "more than Ftu"),
    "a percentage": ("elongation = 0.15", "elongation = 15", "RW106", "certificate[0].elongation", "15"),
    "a place that steers the printer": ('location = "A1"', 'location = "\\u001b[31mA1"', "RW106", "bar[0].location",
                                        "x1b"),
    "a place as long as a book": ('location = "A1"', f'location = "{"A" * 9999}"', "RW106", "bar[0].location", "9999"),
}  # fmt: skip

#: a line that TOML refuses -> what was found, what would do
TOML = {
    "a = \u201c45 ksi\u201d": ("curly quote \u201c (U+201C left", 'straight quote "'),
    'a = "45 ksi\u201d': ("curly quote \u201d", 'straight quote "'),
    "a = \u201845 ksi\u2019": ("curly quote \u2018", 'straight quote "'),
    "a = \u22125": ("U+2212 minus sign", "hyphen"),
    'a\u00a0= "x"': ("invisible character U+00A0", "ordinary space"),
    "\u0430 = 1": ("U+0430 cyrillic", "Latin keyboard"),
    "a = 45 ksi": ("without quotes", '"17 1/2 in"'),
    "a = steel": ("a text without quotes", "double quotes"),
    'a = "x': ("not closed", "on this line"),
    'a = "C:\\new\\q"': ("backslash", "single quotes"),
    "a: 1": ("colon", "key = value"),
    "a = True": ("capital letter", "small letters"),
    "a = None": ("no value", "take the line out"),
    "a = 0,15": ("decimal comma", "point"),
    "a = .5": ("begins with its point", "0.15"),
    "a = 5.": ("ends with its point", ".0"),
    "a = 007": ("a 0 before it", "without"),
    "a = 1;": ("semicolon", "delete"),
    "[[a]": ("brackets", "[[name]]"),
    "<<<<<<< HEAD": ("merge", "delete the marks"),
    "```toml": ("back quotes", "delete"),
    "<html>": ("web page", "the file itself"),
    '{"a": 1}': ("JSON", "key = value"),
    "a,b,c": ("without =", "key = value"),
}  # fmt: skip
JSON = {
    '{"a": 1,}': ("comma with nothing behind", "delete"),
    '{"a": 0,5}': ("decimal comma", "point"),
    "{'a': 1}": ("other quotes", "double quote"),
    "{\u201ca\u201d: 1}": ("curly quote", "straight quote"),
    '{"a": True}': ("the word True", "small letters"),
    '{"a": .5}': ("JSON does not write so", "0.15"),
    '{"a": 1': ("before it is complete", "whole file"),
    '{"a": 1 // x': ("a remark", "take it out"),
    '{"a": "x}': ("not closed", "on this line"),
    '{"a": [1, 2}': ("closes another", "mend"),
    '{"a" 1}': ("a colon is missing", "mend"),
}  # fmt: skip
BYTES = {
    'a = "x"'.encode("utf-16"): "UTF-16", 'a = "x"'.encode("utf-16-be"): "UTF-16", b"%PDF-1.7\x80": "a PDF",
    b'a = "\xf6"': "Windows-1252", b"\0" * 99: "a crash", b'a = "x\0y" # and more than a few words': "NUL",
    b"PK\x03\x04\xff": "office",
}  # fmt: skip

HEADING = "time_min,block_degF,post_degF\n"
LOGS = {
    "no heading": ("0,70,70\n1,80,80\n", 1, "without a heading"),
    "semicolons": (HEADING.replace(",", ";") + "0;70;70\n", 1, "parted by semicolons"),
    "decimal commas": (HEADING + "0,0,70,0,70,0\n1,0,80,0,80,0\n", 2, "and so in 1 more lines"),
    "backwards": (HEADING + "2,70,70\n1,80,80\n0,90,90\n", 3, "and so in 1 more lines"),
    "Fahrenheit as Celsius": ("time_min,block_degC,post_degC\n0,70,70\n1,380,384\n", 3, "no temperature"),
    "a column twice": ("time_min,block_degF,block_degF\n0,70,70\n", 1, "there twice"),
}  # fmt: skip

CASE_OF = {
    "A": (443.5, "out of range"), "E": (70.0, "out of range"), "Iy": (9e4, "out of range"), "G": (1e6, "E / G"),
    "preload": (1e11, "out of range"),
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


@pytest.mark.parametrize("name", STOCKED)
def test_a_slip_in_the_stock(name: str) -> None:
    old, new, *_ = STOCKED[name]
    assert old in STOCK
    stock, faults = read_stock(STOCK.replace(old, new, 1).encode(), "stock.toml")
    assert stock is None
    told(faults, STOCKED[name])


def test_a_die_with_two_flats_in_line_is_no_slip() -> None:
    """The tops beside the vee lie in one line and do not touch."""
    assert ring_fault(((0, 0), (9, 0), (9, 5), (6, 5), (5, 2), (4, 5), (0, 5))) is None
    assert ring_fault(((0, 0), (9, 0), (9, 5), (6, 5), (5, 0), (4, 5), (0, 5))) is not None


@pytest.mark.parametrize("line", TOML)
def test_what_toml_refuses_is_named(line: str) -> None:
    _, (fault,) = read_toml(f"b = 1\n{line}\nc = 2\n", "x.toml")
    found, do = TOML[line]
    assert (fault.code, fault.where.line) == ("RW006", 2)
    assert found in fault.found
    assert do in fault.do


@pytest.mark.parametrize("text", JSON)
def test_what_json_refuses_is_named(text: str) -> None:
    _, (fault,) = read_json(text, "x.json")
    found, do = JSON[text]
    assert (fault.code, fault.where.line) == ("RW007", 1)
    assert found in fault.found
    assert do in fault.do


@pytest.mark.parametrize("data", BYTES)
def test_what_is_no_text_is_named(data: bytes) -> None:
    _, (fault,) = read_toml(data, "x.toml")
    assert fault.code == "RW003"
    assert BYTES[data] in fault.found


@pytest.mark.parametrize("name", LOGS)
def test_a_slip_in_a_log_is_told_once(name: str) -> None:
    text, line, found = LOGS[name]
    log, faults = read_thermocouples(text.encode(), "log.csv")
    assert log is None
    assert faults[0].where.line == line
    assert found in faults[0].found
    assert len({fault.where.line for fault in faults}) == 1


@pytest.mark.parametrize("key", CASE_OF)
def test_a_section_that_no_frame_has(key: str) -> None:
    value, found = CASE_OF[key]
    member = {"id": 1, "i": 1, "j": 2, "kind": "beam", "A": 4e-4, "Iy": 9e-8, "Iz": 9e-8, "J": 1e-7, "E": 7e10,
              "G": 2.6e10, "rho": 2700, "zref": [0, 0, 1], key: value}  # fmt: skip
    case = {"format": "frame-case/1", "id": "c", "nodes": [{"id": n, "x": n, "y": 0, "z": 0} for n in (1, 2)],
            "members": [member], "supports": [{"node": 1, "fixed": [1] * 6}],
            "load_cases": [{"id": "g", "inertia": [0, 0, -9.8]}]}  # fmt: skip
    read, (fault,) = read_case(json.dumps(case).encode(), "c.json")
    assert read is None
    assert (fault.code, fault.where.field) == ("RW106", f"/members/0/{key}")
    assert found in fault.found


LONG = "x" * 5_000


@pytest.mark.parametrize("words", [("check", LONG), ("papers", LONG, "--out", "p"), ("plan", "{V}", "--shop", LONG),
                                   ("log", "list", "--shop", LONG), ("audit", LONG), ("audit", "{D}", "--papers", LONG),
                                   ("verify", ""), ("frame", "."), ("saw", "/dev/null")])  # fmt: skip
def test_a_path_that_no_system_takes_is_the_users(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    variation = DEMO / "variations" / "er-47-v12.toml"
    with pytest.raises(SystemExit) as stopped:
        main([word.replace("{V}", str(variation)).replace("{D}", str(DEMO)) for word in words])
    assert stopped.value.code == 2
    assert "a fault of ours" not in capsys.readouterr().err


@pytest.mark.parametrize("day", ["2031-02-31", "1831-02-03", "9999-01-01", "2031-2-3", "31.12.2031"])
def test_a_day_that_no_calendar_has(day: str) -> None:
    with pytest.raises(Stopped) as stopped:
        read_values((Field("due", "date", "until"),), [f"due={day}"], None, None)
    assert day in str(stopped.value)


@pytest.mark.parametrize(
    ("written", "meant"), [("55 ft\u00b7lbf", "ft*lbf"), ("55 in-lb", "in*lbf"), ("5 Nm", "N*m")]
)
def test_a_torque_in_other_words(written: str, meant: str) -> None:
    with pytest.raises(QuantityError, match="not a unit of moment") as error:
        parse_quantity(written, "moment")
    assert f"perhaps {meant}" in error.value.do


def test_one_bolt_in_a_wrong_place_is_told_once() -> None:
    """What the spread of the shelf's bolts does at every hole of a shelf is one line for each shelf."""
    faults = [
        f
        for f in faults_of(swap(STANDARD, ('bolt_spread = "3/4 in"', 'bolt_spread = "1 in"')))
        if f.code == "RW203"
    ]
    assert len({fault.where for fault in faults}) == len(faults) > 0
    assert all("more holes from the same place" in fault.found for fault in faults)


@pytest.mark.parametrize("name", ["record.db", "shop.key", "shop.toml", "copy", "pipe"])
def test_no_output_falls_on_what_the_shop_lives_in(name: str, tmp_path: Path) -> None:
    (tmp_path / "record.db").write_bytes(b"SQLite format 3\0 and the events")
    (tmp_path / "copy").symlink_to(tmp_path / "record.db")
    os.mkfifo(tmp_path / "pipe")
    before = sorted((p.name, p.lstat().st_ino) for p in tmp_path.iterdir())
    with pytest.raises(Stopped) as stopped:
        write_out(tmp_path / name, b"x")
    assert stopped.value.exit_code == 2
    assert sorted((p.name, p.lstat().st_ino) for p in tmp_path.iterdir()) == before


def test_a_key_that_was_called_otherwise_once_is_read_as_it_is_called_now_and_not_twice() -> None:
    fields = (Field("order", "text", "number"),)
    assert (
        read_values(fields, ["job=PO-7"], None, None)
        == read_values(fields, ["order=PO-7"], None, None)
        == {"order": "PO-7"}
    )
    with pytest.raises(Stopped, match="job and order are one key, and both are given"):
        read_values(fields, ["job=PO-7", "order=PO-8"], None, None)
