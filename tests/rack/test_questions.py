"""Open questions: each absent field asks exactly its own, with what it blocks; given again, none."""

from __future__ import annotations

import re

import pytest

from racks import STANDARD, VARIATION, design_of, rack_of, swap, table_of
from rackwright.answers import prove_json
from rackwright.rack import open_questions
from rackwright.rack.questions import BLOCKS
from rackwright.trouble import PRELIMINARY

ALL, LATER = ("quote", "sign_out", "release"), ("sign_out", "release")


def without(head: str, field: str) -> str:
    """The standard without one line of the table that begins with `head`."""
    table = table_of(STANDARD, head)
    line = re.search(rf"^{field} = .*\n", table, re.M)
    assert line
    return STANDARD.replace(table, table.replace(line[0], ""))


def without_table(head: str) -> str:
    return STANDARD.replace(table_of(STANDARD, head), "")


def without_every(head: str) -> str:
    text = STANDARD
    while head in text:
        start = text.index(head)
        end = text.find("\n[", start + 2)
        text = text[:start] + text[end + 1 :]
    return text


LIDAR = '[[equipment]]\nname = "lidar controller"'
ABSENT = [
    ("aircraft", without_table("[aircraft]"), ALL),
    ("aircraft.document", without("[aircraft]", "document"), LATER),
    ("aircraft.origin", without("[aircraft]", "origin"), LATER),
    ("basis", without_table("[basis]"), ALL),
    ("ring_make.allowable", without("[ring_make]", "allowable"), LATER),
    ("shelf_make.seat", without("[shelf_make]", "seat"), LATER),
    ("tolerance.detail", without("[tolerance]", "detail"), LATER),
    ("ring_make.root", without("[ring_make]", "root"), LATER),
    ("pad.counterbore", without("[pad]", "counterbore"), LATER),
    ("strap", without_every("[[strap]]"), ALL),
    ("strap.top front left.cone", without('[[strap]]\nname = "top front left"', "cone"), LATER),
    ("strap_type.WR-5.maker", without('[[strap_type]]\nname = "WR-5"', "maker"), LATER),
    ("strap_type.WR-5.links", without('[[strap_type]]\nname = "WR-5"', "links"), LATER),
    ("strap_type.WR-5.wear", without('[[strap_type]]\nname = "WR-5"', "wear"), LATER),
    ("link.TB-5.rating", without('[[link]]\nname = "TB-5"', "rating"), LATER),
    ("link.TB-5.maker", without('[[link]]\nname = "TB-5"', "maker"), LATER),
    ("link.TB-5.document", without('[[link]]\nname = "TB-5"', "document"), LATER),
    ("link.TB-5.to_ultimate", without('[[link]]\nname = "TB-5"', "to_ultimate"), LATER),
    *(
        (f"floor_fitting.F2.{field}", without('[[floor_fitting]]\nname = "F2"', field), LATER)
        for field in ("place", "part", "stud", "track", "least_pitch", "wear")
    ),
    ("floor", without_table("[floor]"), LATER),
    (
        "strap_type.WR-5.allowable_ultimate",
        without('[[strap_type]]\nname = "WR-5"', "allowable_ultimate"),
        LATER,
    ),
    ("strap_type.WR-5.document", without('[[strap_type]]\nname = "WR-5"', "document"), LATER),
    ("floor_fitting.F2.allowable", without('[[floor_fitting]]\nname = "F2"', "allowable"), LATER),
    ("floor_fitting.F2.document", without('[[floor_fitting]]\nname = "F2"', "document"), LATER),
    ("pad.allowable_ultimate", without("[pad]", "allowable_ultimate"), LATER),
    ("pad.document", without("[pad]", "document"), LATER),
    ("equipment.lidar controller.document", without(LIDAR, "document"), LATER),
    ("equipment.lidar controller.revision", without(LIDAR, "revision"), LATER),
    ("equipment.lidar controller.cg_tolerance", without(LIDAR, "cg_tolerance"), LATER),
    ("block.grain", without("[block]", "grain"), LATER),
    ("equipment.lidar controller.mass_tolerance", without(LIDAR, "mass_tolerance"), LATER),
    ("finish.document", without("[finish]", "document"), LATER),
    ("protection.ring seat.document", without('[[protection]]\nname = "ring seat"', "document"), LATER),
    ("bond.document", without("[bond]", "document"), LATER),
]


def test_the_demo_leaves_nothing_open() -> None:
    assert open_questions(rack_of()) == ()
    assert open_questions(rack_of(STANDARD, VARIATION)) == ()
    assert BLOCKS == ALL


@pytest.mark.parametrize(("id", "text", "blocks"), ABSENT, ids=[id for id, _, _ in ABSENT])
def test_an_absent_field_asks_its_own_question_and_no_other(
    id: str, text: str, blocks: tuple[str, ...]
) -> None:
    (question,) = open_questions(rack_of(text))
    assert question.id == id
    assert question.blocks == blocks
    assert question.text.endswith("?")
    assert question.where.file == "standard.toml"


def test_an_answer_in_a_variation_closes_the_question() -> None:
    """The standard does not say what the pads' floor may carry; the customer's variation does."""
    asking = without("[pad]", "allowable_ultimate")
    assert [one.id for one in open_questions(rack_of(asking, VARIATION))] == ["pad.allowable_ultimate"]
    told = f'{VARIATION}\n[[change]]\nwhy = "letter CT-2240"\n[change.pad]\nallowable_ultimate = "2400 lbf"\n'
    assert open_questions(rack_of(asking, told)) == ()


def test_a_question_is_placed_at_the_table_that_wants_the_answer() -> None:
    text = without(LIDAR, "document")
    (question,) = open_questions(rack_of(text))
    assert text.splitlines()[question.where.line - 1] == "[[equipment]]"
    assert question.where.line == text.count("\n", 0, text.index(LIDAR)) + 1


@pytest.mark.parametrize(
    "id", ["strap_type.WR-5.document", "pad.allowable_ultimate", "basis", "ring_make.allowable"]
)
def test_a_question_marks_the_answer_and_never_stops_it(id: str) -> None:
    """PRELIMINARY stands over it all; mass, pieces and modes are there; what has no source has no margin."""
    design = design_of(next(text for one, text, _ in ABSENT if one == id))
    document = prove_json(design)
    assert PRELIMINARY in document["marks"]
    assert document["questions"][id]["blocks"]
    assert document["mass"]["loaded"]["mass_kg"] > 60
    assert len(document["modes_hz"]) == 4
    assert not document["holds"]
    assert any(refusal.code == "RW304" for refusal in design.refusals())


def test_two_absences_ask_two_questions_in_the_order_of_ids() -> None:
    text = swap(without("[pad]", "document"), (table_of(STANDARD, "[basis]"), ""))
    assert [one.id for one in open_questions(rack_of(text))] == ["basis", "pad.document"]
