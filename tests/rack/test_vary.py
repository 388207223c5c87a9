"""A variation over its standard: what it changes, adds, takes out, and where each value then comes from."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from braced import BRACED
from racks import STANDARD, VARIATION, design_of, faults_of, rack_of, swap
from rackwright.answers import changes_json, prove_json
from rackwright.rack import Rack, Source, base_of, read_rack
from rackwright.rack.vary import name_path

HEAD = VARIATION[: VARIATION.index("[[change]]")]


def varied(*changes: str, why: str = "a reason") -> Rack:
    return rack_of(STANDARD, HEAD + "".join(f'[[change]]\nwhy = "{why}"\n{text}\n' for text in changes))


def test_a_variation_that_changes_nothing_is_its_standard_by_another_name() -> None:
    same, standard = varied(), rack_of()
    assert same.changes == ()
    assert same.standard == standard.standard == "ER-47 rev D"
    assert (same.definition.part, same.definition.revision) == ("ER-47-V12", "A")
    assert same.definition.equipment == standard.definition.equipment
    assert same.definition.shelf == standard.definition.shelf


def test_a_value_repeated_is_no_change() -> None:
    assert varied('[change.outside]\nheight = "47 in"').changes == ()


def test_a_change_says_before_after_and_why() -> None:
    (change,) = varied('[change.outside]\nheight = "45 in"', why="lower ceiling").changes
    assert (change.path, change.before, change.after, change.why) == (
        "outside.height",
        "47 in",
        "45 in",
        "lower ceiling",
    )
    assert (change.where.file, change.where.field) == ("variation.toml", "outside.height")


def test_named_tables_are_changed_added_and_taken_out() -> None:
    rack = varied(
        '[[change.shelf]]\nname = "upper"\nheight = "35 in"',
        '[[change.shelf]]\nname = "middle"\nheight = "24 in"',
        '[[change.equipment]]\nname = "radio tray"\nremove = true',
    )
    heights = {shelf.name: shelf.height // 25_400_000 for shelf in rack.definition.shelf}
    assert heights == {"lower": 6, "upper": 35, "middle": 24}
    assert "radio tray" not in {item.name for item in rack.definition.equipment}
    gone = rack.changes[-1]
    assert (gone.path, gone.after) == ("equipment.radio tray", None)
    assert gone.before is not None
    assert "RT-2" in gone.before
    assert rack.changes[1].before is None


def test_a_table_left_out_of_the_standard_can_be_given() -> None:
    bare = STANDARD[: STANDARD.index("[basis]")] + STANDARD[STANDARD.index("# --- finish") :]
    text = HEAD + '[[change]]\nwhy = "x"\n[change.basis]\nrule = "29.561(c)"\namendment = "29-38"\n'
    rack = rack_of(bare, f'{text}fitting_rule = "29.625(a)"\ndocument = "INVENTED-CB-1"\n')
    assert rack.definition.basis is not None
    assert rack.definition.basis.rule == "29.561(c)"
    assert rack.where("basis.rule").file == "variation.toml"


def test_each_value_knows_the_file_and_the_line_it_came_from() -> None:
    rack = rack_of(STANDARD, VARIATION)
    for path, file, text, words in (
        ("outside.height", "variation.toml", VARIATION, 'height = "43.5 in"'),
        ("outside.width", "standard.toml", STANDARD, 'width = "24 in"'),
        ("shelf.middle.height", "variation.toml", VARIATION, 'height = "24 in"'),
        ("equipment.lidar controller.mass", "variation.toml", VARIATION, 'mass = "41 lb"'),
        ("equipment.lidar controller.size", "standard.toml", STANDARD, 'size = ["16 in", "17 in", "8 in"]'),
    ):
        where = rack.where(path)
        assert (where.file, where.field) == (file, path)
        assert text.splitlines()[where.line - 1] == words


def test_a_place_that_is_not_given_falls_to_the_table_around_it() -> None:
    rack = rack_of()
    assert rack.where("outside.colour").line == rack.where("outside").line
    assert rack.where("nowhere.at.all").file == "standard.toml"


def test_a_later_change_goes_before_an_earlier_and_both_are_told() -> None:
    rack = varied('[change.outside]\nheight = "45 in"', '[change.outside]\nheight = "44 in"')
    assert rack.definition.outside.height == 44 * 25_400_000
    assert [(one.before, one.after) for one in rack.changes] == [("47 in", "45 in"), ("45 in", "44 in")]


def test_a_variation_of_a_variation() -> None:
    """Two bases deep: changes of both are told, the first base stays the standard."""
    second = swap(VARIATION[: VARIATION.index("[[change]]")], ('part = "ER-47-V12"', 'part = "ER-47-V13"'),
                  ('base = "ER-47"', 'base = "ER-47-V12"'), ('base_revision = "D"', 'base_revision = "A"'))  # fmt: skip
    second += '[[change]]\nwhy = "lighter"\n[[change.equipment]]\nname = "recorder"\nremove = true\n'
    bases = {"er-47": Source("s", STANDARD.encode()), "er-47-v12": Source("v", VARIATION.encode())}
    rack, faults = read_rack(Source("w", second.encode()), bases)
    assert rack is not None, faults
    assert rack.standard == "ER-47 rev D"
    assert rack.definition.part == "ER-47-V13"
    assert len(rack.changes) == len(rack_of(STANDARD, VARIATION).changes) + 1
    assert [one.where.file for one in rack.changes] == ["v"] * (len(rack.changes) - 1) + ["w"]


def test_base_of() -> None:
    assert base_of(Source("v", VARIATION.encode())) == "ER-47"
    assert base_of(Source("s", STANDARD.encode())) is None
    assert base_of(Source("x", b"\xff")) is None


@pytest.mark.parametrize("why", ['why = ""', "why = 5", ""])
def test_a_change_needs_a_reason(why: str) -> None:
    (fault,) = faults_of(STANDARD, f'{HEAD}[[change]]\n{why}\n[change.outside]\nheight = "45 in"\n')
    assert (fault.code, fault.where.field) == ("RW101", "change[0]")


def test_what_became_of_mass_and_margins_against_the_standard() -> None:
    now, then = design_of(STANDARD, VARIATION), design_of()
    told = changes_json(now, then)
    assert told["against"] == "ER-47 rev D"
    assert told["mass_loaded_kg"] == {"before": then.loaded.mass, "after": now.loaded.mass}
    for mode, row in told["margins"].items():
        of_mode = [one for one in now.strength.margins if one.mode == mode]
        assert row["after"] == min((one.margin for one in of_mode if one.margin is not None), default=None)
    assert told["margins"].keys() >= {one.mode for one in then.strength.margins}


def test_the_document_of_the_standard_tells_no_changes() -> None:
    assert prove_json(design_of())["changes"] == {}


NAMES = st.text("abc. ", min_size=1, max_size=4)


@given(st.lists(NAMES, min_size=1, max_size=4, unique=True), st.data())
def test_a_place_in_a_list_is_told_by_name(names: list[str], data: st.DataObject) -> None:
    values = {"shelf": [{"name": name, "height": 1} for name in names], "feet": [1, 2]}
    number = data.draw(st.integers(0, len(names) - 1))
    assert name_path(values, ("shelf", number, "height")) == f"shelf.{names[number]}.height"
    assert name_path(values, ("feet", 1)) == "feet.1"
    assert name_path(values, ("shelf", 99)) == "shelf.99"


MOVED = """
[[change]]
why = "a pipe runs there, TEST-1"
[[change.brace]]
name = "left"
end = { at = "29 in" }
[[change.brace]]
name = "top"
remove = true
[[change.brace]]
name = "right"
face = "right"
start = { member = "post.rear-right", at = "12 in" }
end = { member = "post.front-right", at = "28 in" }
"""


def test_a_variation_moves_adds_and_removes_braces() -> None:
    rack = rack_of(BRACED, HEAD + MOVED)
    braces = {brace.name: brace for brace in rack.definition.brace}
    assert set(braces) == {"left", "right"}
    assert braces["left"].end.at == 29 * 25_400_000
    assert braces["left"].end.member == "post.front-left"
    changed = {change.path: (change.before, change.after) for change in rack.changes}
    assert changed["brace.left.end.at"] == ("28 in", "29 in")
    assert changed["brace.top"][1] is None
    assert "brace.right.start" in changed
