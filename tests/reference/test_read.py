"""Rows and their reader: what is shipped is sound, and a shop's own file is told every fault with its line."""

from __future__ import annotations

import pickle
from itertools import pairwise
from pathlib import Path

import pytest

from rackwright import reference
from rackwright.reference import rows as kinds
from rackwright.reference.own import read_own
from rackwright.reference.read import KINDS, content_hash, read_rows, shipped
from rackwright.trouble import Where

FORMAT = 'format = "rackwright/reference/1"\n'

OWN = (
    FORMAT
    + """
[[material]]
id = "6061-T6-drawn-tube-S"
alloy = "6061"
temper = "T6"
form = "drawn tube"
basis = "S"
t_min = "0.025 in"
t_max = "0.5 in"
Ftu_L = "300 MPa"
source = "invented test report 7"
place = "page 2"
how_known = "test"

[[bolt]]
id = "SHOP-1"
thread = "1/4-28"
diameter = "1/4 in"
tension = { value = "4000 lbf", source = "invented maker's sheet", place = "row 3", how_known = "given" }
source = "invented maker's sheet"
place = "row 3"
how_known = "memory"
"""
)


def test_every_kind_is_shipped_with_rows() -> None:
    assert set(shipped().by_kind) == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_shipped_rows_say_where_they_come_from(kind: str) -> None:
    for id, row in shipped().by_kind[kind].items():
        assert row.id == id
        for known in (row.known, *(known for _, known in row.exceptions)):
            assert known.source
            assert known.place
            assert known.how_known in kinds.HOW_KNOWN
        assert isinstance(hash(row), int)
    rows = shipped().by_kind[kind]
    assert pickle.loads(pickle.dumps(rows)) == rows


def test_what_is_from_memory_or_only_transcribed_is_unconfirmed() -> None:
    bolt = reference.shipped().bolts["AN4"]
    assert bolt.known_of("tension").unconfirmed
    assert not bolt.known_of("single_shear").unconfirmed
    assert bolt.unconfirmed
    assert all(row.unconfirmed for row in reference.shipped().materials.values())
    assert not reference.shipped().load_rules["29.561(b)(3)@29-38"].unconfirmed
    assert reference.shipped().load_rules["27.561(b)(3)@27-30"].unconfirmed


def test_a_b_basis_is_never_below_its_a_basis() -> None:
    """And a gap that stands out would be a digit misread: none exceeds 10 percent."""
    materials = reference.shipped().materials
    pairs = [(row, materials[id[:-2] + "-B"]) for id, row in materials.items() if id[:-2] + "-B" in materials]
    pairs = [(low, high) for low, high in pairs if low.basis == "A"]
    assert len(pairs) >= 4
    for low, high in pairs:
        for name in ("Ftu_L", "Ftu_LT", "Fty_L", "Fty_LT", "Fcy_L", "Fsu", "Fbru_15", "Fbru_20", "Fbry_20"):
            a, b = getattr(low, name), getattr(high, name)
            assert a <= b <= 1.10 * a, (low.id, name)


def test_strengths_stand_in_the_order_of_nature() -> None:
    for row in reference.shipped().materials.values():
        ultimate, yields = row.strength("Ftu"), row.strength("Fty")
        assert ultimate is not None
        assert yields is not None
        assert yields < ultimate
        for low, high in ((row.Fsu, ultimate), (row.Fbru_15, row.Fbru_20), (row.Fbry_15, row.Fbry_20),
                          (row.Fbry_20, row.Fbru_20), (row.G, row.E)):  # fmt: skip
            assert low is None or high is None or low < high, row.id


def test_no_direction_is_put_in_the_place_of_another() -> None:
    tube = reference.shipped().materials["6061-T6-drawn-tube-S"]
    assert tube.strength("Ftu", "LT") is None
    assert tube.strength("Ftu", "L") == tube.strength("Ftu") == tube.Ftu_L
    plate = reference.shipped().materials["304-plate-quarter"]
    assert plate.strength("Ftu", "L") == plate.strength("Ftu", "LT") == plate.Ftu
    assert plate.Fsu is None


def test_a_row_covers_its_thickness_range_only() -> None:
    sheet = reference.shipped().materials["304-annealed-S"]
    inch = 0.0254
    assert sheet.covers(0.187 * inch)
    assert not sheet.covers(0.250 * inch)
    assert not reference.shipped().materials["6061-T6-drawn-tube-S"].covers(0.020 * inch)


def test_grips_grow_with_the_dash_number_and_skip_eight_and_nine() -> None:
    for rule in reference.shipped().grips.values():
        grips = [rule.grip(dash) for dash in rule.dashes()]
        assert all(b - a == pytest.approx(0.125 * 0.0254) for a, b in pairwise(grips))
        assert grips[0] > 0
        with pytest.raises(ValueError, match="no dash number"):
            rule.grip(18)
        with pytest.raises(ValueError, match="no dash number"):
            rule.grip(1)


def test_the_panel_grid_is_consistent() -> None:
    """Hole pitches add up to a unit, and the panel reaches over its holes and the opening."""
    (grid,) = reference.shipped().panel_grids.values()
    assert sum(grid.hole_pitches) == pytest.approx(grid.unit_height, abs=1e-12)
    assert grid.opening_min < grid.hole_spacing < grid.panel_width
    assert 2 * grid.first_hole == pytest.approx(grid.hole_pitches[0])


def test_the_hash_is_of_the_shipped_bytes() -> None:
    assert len(content_hash()) == 64
    assert content_hash() == content_hash()
    folder = Path(kinds.__file__).parent
    files = sorted(folder.glob("*.toml"))
    import hashlib

    ours = hashlib.sha256()
    for file in files:
        content = file.read_bytes()
        ours.update(file.name.encode() + b"\0" + str(len(content)).encode() + b"\0" + content)
    assert content_hash() == ours.hexdigest()


def test_a_shops_row_stands_in_a_shipped_ones_place_and_says_so() -> None:
    merged, faults = read_own({"own.toml": ("reference/own.toml", OWN.encode())})
    assert faults == []
    assert merged is not None
    row = merged.materials["6061-T6-drawn-tube-S"]
    assert row.Ftu_L == 300e6
    assert not row.unconfirmed
    assert row.own == Where("reference/own.toml", 3, "material[0]")
    assert merged.replaced == (row,)
    assert row.replaces == shipped().materials[row.id].known
    assert shipped().materials[row.id].Ftu_L != 300e6  # the shipped one is untouched
    bolt = merged.bolts["SHOP-1"]
    assert bolt.diameter == 0.00635
    assert not bolt.known_of("tension").unconfirmed
    assert bolt.known.unconfirmed
    assert bolt.replaces is None


def test_a_row_says_the_same_wherever_it_stands() -> None:
    """Its hash is what a person compared: the file's name and the shipped row behind it are no part of that."""
    (one,), (two,) = (
        read_own({"o": (file, OWN.encode())})[0].replaced  # type: ignore[union-attr]
        for file in ("here/own.toml", "ER-47 rev D: reference/own.toml")
    )
    assert one.fingerprint == two.fingerprint


def test_every_fault_of_every_own_file_is_told_at_once() -> None:
    bad = OWN.replace('"300 MPa"', '"0 MPa"').replace('thread = "1/4-28"', "thread = 7")
    _, faults = read_own({"a.toml": ("a.toml", bad.encode()), "b.toml": ("b.toml", b"format = 1")})
    assert [(fault.code, fault.where.file, fault.where.line) for fault in faults] == [
        ("RW106", "a.toml", 11), ("RW103", "a.toml", 18), ("RW110", "b.toml", 1)]  # fmt: skip
    rule = (
        FORMAT
        + """
[[rule]]
id = "29.561(b)(3)"
amendment = "29-38"
ultimate = true
up = 4.0
source = "an invented copy"
place = "page 1"
how_known = "given"
"""
    )
    _, faults = read_own({"a": ("a", OWN.encode()), "b": ("b", OWN.encode()), "c": ("c", rule.encode())})
    assert [(fault.code, fault.where.file, fault.where.line) for fault in faults] == [
        ("RW107", "b", 3), ("RW107", "b", 16), ("RW106", "c", 3)]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "code", "field", "line"),
    [
        ('Ftu_L = "300 MPa"', 'Ftu_L = "300"', "RW104", "material[0].Ftu_L", 11),
        ('Ftu_L = "300 MPa"', "Ftu_L = 300", "RW104", "material[0].Ftu_L", 11),
        ('Ftu_L = "300 MPa"', 'Ftu_L = "300 kg"', "RW104", "material[0].Ftu_L", 11),
        ('Ftu_L = "300 MPa"', 'Ftu_L = "-3 MPa"', "RW106", "material[0].Ftu_L", 11),
        ('Ftu_L = "300 MPa"', "Ftu_L = [1, 2]", "RW104", "material[0].Ftu_L", 11),
        ('Ftu_L = "300 MPa"', 'Ftux = "300 MPa"', "RW102", "material[0].Ftux", 11),
        ('how_known = "test"', 'how_known = "hope"', "RW111", "material[0].how_known", 14),
        ('source = "invented test report 7"\n', "", "RW111", "material[0].source", 3),
        ('alloy = "6061"\n', "", "RW101", "material[0].alloy", 3),
        ('alloy = "6061"', "alloy = 6061", "RW103", "material[0].alloy", 5),
        (', how_known = "given" }', " }", "RW111", "bolt[0].tension.how_known", 20),
        ('place = "row 3", how', "plaza = 3, how", "RW102", "bolt[0].tension.plaza", 20),
        ("[[bolt]]", "[[bolts]]", "RW102", "bolts", 16),
        ("[[bolt]]", "[bolt]", "RW102", "bolt", 16),
        ("rackwright/reference/1", "rackwright/reference/9", "RW110", "format", 1),
    ],
)
def test_a_mistake_is_found_where_it_stands(old: str, new: str, code: str, field: str, line: int) -> None:
    assert old in OWN
    rows, faults = read_rows(OWN.replace(old, new, 1), "own.toml")
    assert rows is None
    assert [(f.code, f.where.field, f.where.line) for f in faults if f.code == code] == [(code, field, line)]


def test_all_mistakes_at_once() -> None:
    broken = (
        OWN.replace('"300 MPa"', '"300"').replace('thread = "1/4-28"\n', "").replace('"0.5 in"', '"0.5 ft2"')
    )
    rows, faults = read_rows(broken, "own.toml")
    assert rows is None
    assert sorted(f.code for f in faults) == ["RW101", "RW104", "RW104"]


def test_an_id_used_twice_is_a_fault() -> None:
    _, faults = read_rows(OWN + OWN.removeprefix(FORMAT), "own.toml")
    assert {f.code for f in faults} == {"RW107"}
    assert len(faults) == 2


@pytest.mark.parametrize("text", ["", "not toml [", "x = 1", b"\xff\xfe", "material = 3"])
def test_what_is_no_row_file_is_a_fault_and_no_traceback(text: str | bytes) -> None:
    rows, faults = read_rows(text, "own.toml")
    assert rows is None
    assert faults
