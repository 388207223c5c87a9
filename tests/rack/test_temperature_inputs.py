"""Temperature tables that are broken, each one located fault; and what they leave open."""

from __future__ import annotations

import pytest

from racks import STANDARD, faults_of, rack_of, swap
from rackwright.rack import open_questions

TABLE = """
[temperature]
fixed = { at = "70 degF", document = "DOC-1" }
hot = { at = "95 degF", document = "DOC-1" }
cold = { at = "-40 degF", document = "DOC-1" }
floor = { row = "steel" }
frame = { row = "aluminium" }
"""
WARM = STANDARD + TABLE
FLOOR, HOT = 'floor = { row = "steel" }', 'hot = { at = "95 degF", document = "DOC-1" }'

BROKEN = [
    ("a number alone", '"95 degF"', "95", "RW104", "hot.at", "no unit"),
    ("no unit", '"95 degF"', '"95"', "RW104", "hot.at", "95"),
    ("farad", '"95 degF"', '"95 F"', "RW104", "hot.at", "not a unit of temperature"),
    ("below absolute zero", '"-40 degF"', '"-300 degC"', "RW106", "cold.at", "out of range"),
    ("an oven", '"95 degF"', '"450 degF"', "RW106", "hot.at", "232.2 degC"),
    ("fixed hotter than hot", '"70 degF"', '"100 degF"', "RW106", "hot.at", "fixed, 37.78 degC"),
    ("fixed colder than cold", '"70 degF"', '"-50 degF"', "RW106", "fixed.at", "cold, -40 degC"),
    ("a row that is not there", 'row = "steel"', 'row = "wood"', "RW108", "floor.row", "'wood'"),
    ("no row and no value", FLOOR, "floor = {}", "RW111", "floor", "neither"),
    ("row and value", FLOOR, 'floor = { row = "steel", coefficient = "1e-5 1/K" }', "RW111", "floor", "are"),
    ("a coefficient of ppm", FLOOR, 'floor = { coefficient = "23 1/K" }', "RW106", "floor.coefficient", "23"),
    ("a coefficient alone", FLOOR, "floor = { coefficient = 23e-6 }", "RW104", "floor.coefficient", "no unit"),
    ("no floor", FLOOR, "", "RW101", "floor", "nothing"),
    ("more than all of it", HOT, f'{HOT}\nleft = {{ share = 1.2, document = "D" }}', "RW106", "left.share", "1.2"),
    ("a share without document", HOT, f"{HOT}\nleft = {{ share = 0.9 }}", "RW101", "left.document", "nothing"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "old", "new", "code", "field", "found"), BROKEN, ids=[row[0] for row in BROKEN]
)
def test_a_broken_table_is_one_located_fault(name, old, new, code, field, found) -> None:
    table = swap(TABLE, (old, new))
    (fault,) = faults_of(STANDARD + table)
    assert (fault.code, fault.where.field) == (code, f"temperature.{field}")
    assert found in fault.found
    assert fault.do
    assert fault.where.line > STANDARD.count("\n")


def test_what_holds_a_joint_stands_the_hot_extreme() -> None:
    (fault,) = faults_of(swap(WARM, ('most = "600 degF"', 'most = "90 degF"')))
    assert (fault.code, fault.where.field) == ("RW106", "pad.hardware.insert.most")
    assert "insert WI-4 stands 32.22 degC (90 degF), the rack's hot extreme is 35 degC" in fault.found


def test_a_nut_stands_the_hot_extreme() -> None:
    """250 degF by its row; the rack at 260."""
    faults = faults_of(swap(WARM, ('"95 degF"', '"260 degF"')))
    fields = {fault.where.field for fault in faults}
    assert {"joint.hardware.nut", "protection.wet hardware.most"} <= fields
    assert "pad.hardware.insert.most" not in fields


def test_hot_below_cold_is_told_wherever_it_shows() -> None:
    faults = faults_of(swap(WARM, ('"95 degF"', '"-60 degF"')))
    assert {fault.where.field for fault in faults} == {"temperature.hot.at"}
    assert "cold, -40 degC (-40 degF), is warmer than hot, -51.11 degC" in faults[0].found


def test_a_frame_of_two_metals_is_refused() -> None:
    (fault,) = faults_of(swap(WARM, ('"6061-T6-sheet-A"', '"304-annealed-S"')))
    assert (fault.code, fault.where.field) == ("RW111", "temperature.frame")
    assert "304" in fault.found


def asked(text: str) -> set[str]:
    return {q.id for q in open_questions(rack_of(text)) if q.blocks == ("sign_out", "release")}


def test_without_a_table_nothing_is_asked() -> None:
    assert not any("temperature" in id or "expansion" in id for id in asked(STANDARD))


def test_what_is_not_stated_is_asked_and_blocks_the_release() -> None:
    before, warm = asked(STANDARD), asked(WARM)
    assert warm - before == {"strap_type.ST-5.expansion", "strap_type.WR-5.expansion"}
    bare = swap(WARM, (HOT, 'hot = { at = "71 degC" }'), (FLOOR, 'floor = { coefficient = "24e-6 1/K" }'))
    assert asked(bare) - warm == {
        "temperature.hot.document",
        "temperature.left",
        "temperature.floor.document",
    }
    own = 'name = "ST-5"\nexpansion = { coefficient = "-2e-6 1/degF", document = "DOC-2" }'
    assert asked(swap(WARM, ('name = "ST-5"\naxial', f"{own}\naxial"))) - before == {
        "strap_type.WR-5.expansion"
    }
