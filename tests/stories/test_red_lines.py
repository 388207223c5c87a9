"""A drawing changes after work began: what was recorded by the old one is done anew before the rack goes on."""

from __future__ import annotations

import pypdfium2
import pytest

import small_shop as small
from rackwright.papers.table import Table
from rackwright.work.office.due import due
from rackwright.work.papers import papers_of_order
from rackwright.work.papers.making import wrong_blocks
from rackwright.work.papers.red_lines import red_line_blocks
from stories.conftest import Begin
from stories.shop import Day
from work.test_audit_judges import plant

POST = "SN-1/post.front-left"
ANEW = "red-lines post.front-left of SN-1 as RL-1, anew drill; measure length"


def waits(day: Day) -> list[str]:
    return [row.words for row in due(day.state, day.date) if row.kind == "red line"]


def test_a_piece_waits_for_each_step_and_measurement_anew(begin: Begin) -> None:
    day = begin("inspected").play(f"""
        assembler draws 60 of F-1 for SN-1
        lead {ANEW}
        assembler assembles SN-1                                                       -> RW550
        inspector measures length of post.front-left of SN-1 with LB-2: 44 in
    """)
    found = f"red line RL-1 (ECO-5): drill of {POST} is not done anew"
    assert day.why("assembler assembles") == found
    assert waits(day) == [f"slot 1/8 in lower; anew: drill of {POST}"]
    (table,) = red_line_blocks(day.state, "SN-1")
    assert isinstance(table, Table)
    assert [row[0] + row[4] for row in table.rows] == ["RL-1drill of post.front-left"]
    assert list(red_line_blocks(day.state, "SN-2")) == []
    assert table in list(wrong_blocks(day.record.events(), day.state, "SN-1")), "the dossier has it too"
    day.play("""
        assembler does drill on post.front-left of SN-1
        assembler assembles SN-1
    """)
    assert waits(day) == day.audit() == []
    assert day.state.pieces[POST].state == "assembled"


def test_a_serial_is_not_released_until_the_rack_is_measured_anew_or_a_person_lifts_it(begin: Begin) -> None:
    day = begin("assembled").play("""
        lead red-lines rack of SN-1 as RL-1; measure height
        lead red-lines post.front-left of SN-1 as RL-2, anew drill
        inspector releases SN-1                                                        -> RW550
        inspector measures the whole rack SN-1
        inspector releases SN-1                                                        -> RW550
        lead drops red line RL-1: measured                                             -> RW503
        lead drops red line RL-2:                                                      -> RW517
        inspector drops red line RL-2: the hole is right                               -> RW516
        lead drops red line RL-2: the hole is right as drilled, ECO-5 note 2
        lead drops red line RL-2: again                                                -> RW503
        inspector releases SN-1
    """)
    lifted = day.state.red_lines["RL-2"]
    assert (lifted.lifted_by, lifted.left, lifted.steps) == ("A. Quill", (), ((POST, "drill"),))
    (table,) = red_line_blocks(day.state, "SN-1")
    assert isinstance(table, Table)
    assert table.rows[0][4] == "nothing"
    assert table.rows[1][4].startswith("lifted by A. Quill (event ")
    assert day.audit() == []


def test_a_red_line_names_what_is_recorded_and_still_here(begin: Begin) -> None:
    day = begin("inspected").play("""
        inspector red-lines post.front-left of SN-1 as RL-1, anew drill                -> RW516
        lead red-lines post.front-left of SN-1 as RL-1                                 -> RW517
        lead red-lines post.nowhere of SN-1 as RL-1, anew drill                        -> RW503
        lead red-lines post.front-left of SN-1 as RL-1, anew polish                    -> RW517
        lead red-lines post.front-left of SN-1 as RL-1, anew bend                      -> RW517
        lead red-lines post.front-left of SN-1 as RL-1; measure colour                 -> RW517
        lead red-lines rack of SN-1 as RL-1, anew drill                                -> RW517
        lead red-lines rack of SN-9 as RL-1; measure height                            -> RW503
        lead red-lines post.front-left of SN-1 as RL-1, anew drill
        lead red-lines post.front-left of SN-1 as RL-1, anew drill                     -> RW517
        lead throws away SN-1/post.front-right: dented
        lead red-lines post.front-right of SN-1 as RL-2, anew drill                    -> RW517
    """)
    assert "bend of SN-1/post.front-left is not recorded" in day.why(
        "lead red-lines post.front-left of SN-1 as RL-1, anew bend"
    )
    assert day.audit() == []


def test_what_left_the_gates_is_recalled_not_red_lined(begin: Begin) -> None:
    day = begin("assembled").play("""
        inspector releases SN-1
        lead red-lines post.front-left of SN-1 as RL-1, anew drill                     -> RW517
    """)
    assert "SN-1 is released" in day.why("lead red-lines")


@pytest.mark.parametrize(("type", "body", "by", "words"), [
    ("assemble", {"serial": "SN-1", "pieces": [POST]}, "assembler", "drill of SN-1/post.front-left is not done anew"),
    ("release", {"serial": "SN-1", "revision": small.revision(), "margins": []}, "inspector", "is not done anew"),
    ("red_line", {"red_line": "RL-1", "revision": small.revision(), "text": "t", "document": "D", "decided_by": "x",
                  "pieces": [POST], "steps": ["drill"]}, "lead", "RL-1 is in the record"),
    ("red_line", {"red_line": "RL-2", "revision": small.revision(), "text": "t", "document": "D", "decided_by": "x"},
     "lead", "RL-2 undoes nothing"),
    ("red_line_lifted", {"red_line": "RL-1", "reason": " "}, "lead", "no reason is given"),
    ("red_line_lifted", {"red_line": "RL-1", "reason": "so"}, "inspector", "does not hold the role lead"),
])  # fmt: skip
def test_an_audit_asks_the_same(
    begin: Begin, type: str, body: dict[str, object], by: str, words: str
) -> None:
    day = begin("inspected").play(f"lead {ANEW}")
    seq = plant(day.record, type, body, by)
    found = [line for line in day.audit() if f"event {seq} ({type})" in line]
    assert [words in line for line in found] == [True]


def test_the_traveler_prints_the_red_lines_of_its_rack(begin: Begin) -> None:
    day = begin("inspected").play(f"lead {ANEW}")
    made = papers_of_order(day.record, small.ORDER, small.shop(), day.date, "traveler")
    assert {paper.name: "RL-1" in words(paper.data) for paper in made.papers} == {
        "SN-1-traveler.pdf": True, "SN-2-traveler.pdf": False,
    }  # fmt: skip


def words(pdf: bytes) -> str:
    with pypdfium2.PdfDocument(pdf) as document:
        return "".join(page.get_textpage().get_text_range() for page in document)
