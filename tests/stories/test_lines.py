"""An order of several lines: added, changed, cancelled, quoted, numbered, made and shipped apart."""

from __future__ import annotations

import json

import pytest

import small_shop as small
from papers.reading import flat, pages
from rackwright.making.sawing.replan import SawWork
from rackwright.record.metal import holding
from rackwright.seal import DEMO_SEED
from rackwright.trouble import Stopped
from rackwright.work.metal.saw_plans import plan_saw
from rackwright.work.office.answers import changed_answers
from rackwright.work.office.due import due
from rackwright.work.office.lines import LineChange, order_line, otherwise_quoted
from rackwright.work.office.ordering import answer, ask, freeze, order, serials
from rackwright.work.office.quoting import offer
from rackwright.work.papers import papers_of_order, papers_of_serial
from rackwright.work.papers.words import ordered_words
from stories.conftest import Begin
from stories.office import priced

SECOND = LineChange("CT-1 rev B", variation="ER-47", quantity=1, due="2026-05-08", price="9100.00 USD",
                    aircraft_serials=["0009"])  # fmt: skip


def test_a_line_is_added_and_needs_a_review_before_metal_goes_out(begin: Begin) -> None:
    day = begin("ordered").play("""
        lead adds line 2: 1 x ER-47, due 2026-05-08, by CT-1 rev B
        sawyer issues T-01 for post.front-left of SN-1               -> RW548
        lead reviews the contract
        sawyer issues T-01 for post.front-left of SN-1
        lead numbers SN-3 of line 2
        lead numbers SN-4 of line 2                                  -> RW517
        lead numbers SN-4 of line 9                                  -> RW503
        sawyer issues T-05 for post.front-left of SN-3
        lead adds line 3: 0 x ER-47, due 2026-05-08, by CT-1 rev C   -> RW517
        lead adds line 3: 1 x ER-47, due 2026-05-08, by nothing      -> RW517
        sawyer adds line 3: 1 x ER-47, due 2026-05-08, by CT-1 rev C -> RW516
    """)
    assert "has a clause, quote or line of event" in day.why("sawyer issues T-01")
    assert day.state.reviews["PO-1"].lines == ("1", "2")
    assert {one.serial: one.line for one in day.state.racks("PO-1")} == {
        "SN-1": "1",
        "SN-2": "1",
        "SN-3": "2",
    }
    order = day.state.orders["PO-1"]
    assert ordered_words(order, "2") == f"PO-1 line 2, 1 rack for {order.customer}, due 2026-05-08"
    assert day.audit() == []


def test_racks_of_another_variation_are_numbered_by_a_revision_of_it(begin: Begin) -> None:
    day = begin("ordered").play("""
        lead adds line 2: 1 x ER-99, due 2026-05-08, by CT-1 rev B
        lead numbers SN-3 of line 2                                  -> RW514
        lead changes line 2 to 1 x ER-47, by CT-1 rev C: a slip
        lead numbers SN-3 of line 2
        lead changes line 2 to 1 x ER-99, by CT-1 rev D: another     -> RW517
    """)
    assert day.why("lead numbers SN-3") == "line 2 of PO-1 is for ER-99, ER-47 rev D is of ER-47"


def test_a_line_of_several_is_named(begin: Begin) -> None:
    day = begin("stocked")
    lead = small.station(day.record, "lead")
    order(lead, "PO-1", "A customer", small.design(), 1, "2026-04-17", "CT-1")
    order_line(lead, "PO-1", "2", SECOND)
    freeze(lead, small.design(), {"definition": small.text().encode()}, "PO-1")
    with pytest.raises(Stopped, match="PO-1 has 2 lines"):
        serials(lead, "PO-1", small.revision(), ["SN-1"])
    serials(lead, "PO-1", small.revision(), ["SN-1"], line="2")
    assert day.state.serials["SN-1"].line == "2"


def test_a_quantity_grows_and_shrinks_and_a_line_is_withdrawn(begin: Begin) -> None:
    day = begin("ordered").play("""
        lead changes line 1 to 3, by CT-1 rev B                      -> RW517
        lead changes line 1 to 2, by CT-1 rev B: nothing changed     -> RW517
        lead changes line 1 to 3, by CT-1 rev B: one more aircraft
        lead numbers SN-3 of line 1
        lead changes line 1 to 1, by CT-1 rev C: two aircraft sold   -> RW517
        lead changes line 1 to 1 without SN-2, by CT-1 rev C: sold   -> RW517
        lead changes line 1 to 1 without SN-2,SN-9, by CT-1 rev C: sold -> RW517
        lead changes line 1 to 1 without SN-2,SN-3, by CT-1 rev C: two aircraft sold
        lead reviews the contract
        sawyer issues T-05 for post.front-left of SN-3               -> RW517
        sawyer issues T-05 for post.front-left of SN-1
        lead withdraws line 1, by CT-1 rev D: the last is sold
        lead withdraws line 1, by CT-1 rev D: again                  -> RW517
        lead withdraws line 7, by CT-1 rev D: which                  -> RW503
        lead numbers SN-9 of line 1                                  -> RW503
        lead reviews the contract
        sawyer issues T-01 for post.front-right of SN-1              -> RW517
    """)
    assert day.why("lead changes line 1 to 3, by") == "line 1 is there, and no reason is given"
    assert day.why("lead changes line 1 to 1, by") == "3 racks of line 1 have their serials, for 1"
    assert day.why("sawyer issues T-05 for post.front-left of SN-3").startswith("SN-3 is cancelled")
    assert {one.state for one in day.state.serials.values()} == {"cancelled"}
    assert day.state.racks("PO-1") == ()
    assert [one for one in due(day.state, "2026-03-12") if one.kind == "contract"] == []
    assert day.audit() == []


def test_a_released_rack_does_not_fall_out_and_ships_while_another_line_waits(begin: Begin) -> None:
    day = begin("assembled").play("""
        lead adds line 2: 1 x ER-47, due 2026-05-08, by CT-1 rev B
        lead reviews the contract
        lead numbers SN-3 of line 2
        lead holds serial SN-3 as H-1: floor not known
        inspector releases SN-1
        lead withdraws line 1, by CT-1 rev C: sold                   -> RW517
        lead changes line 1 to 1 without SN-1, by CT-1 rev C: sold   -> RW517
        lead ships SN-1 to the hangar
    """)
    assert day.state.serials["SN-1"].state == "shipped"
    assert day.audit() == []


def test_agreeing_asks_that_the_lines_are_what_was_quoted(begin: Begin) -> None:
    day = begin("ordered")
    customer = day.state.orders["PO-1"].customer
    day.play(f"""
        lead adds line 2: 1 x ER-47, due 2026-05-08, by CT-1 rev B
        lead offers Q-1 to {customer}
        lead agrees to Q-1 revision A                                -> RW517
        lead withdraws line 2, by CT-1 rev C: not yet
        lead agrees to Q-1 revision A
        lead changes line 2 to 2, by CT-1 rev D: two after all
    """)
    assert day.why("lead agrees") == "PO-1 is for 3 x ER-47, Q-1 revision A offers 2 x ER-47"
    assert otherwise_quoted(day.state, "PO-1") == "PO-1 is for 4 x ER-47, Q-1 revision A offers 2 x ER-47"
    offer(small.station(day.record, "lead", day.date), "Q-2", customer, priced(), "")
    day.play("lead agrees to Q-2 revision A")  # what is new, under its own number
    assert otherwise_quoted(day.state, "PO-1") == ""
    assert day.audit() == []


def test_a_question_of_a_line_or_variation_blocks_no_more_than_that(begin: Begin) -> None:
    day = begin("ordered")
    lead = small.station(day.record, "lead")
    order_line(lead, "PO-1", "2", SECOND)
    day.play("lead reviews the contract\nlead numbers SN-3 of line 2")
    with pytest.raises(Stopped, match="PO-1 has no line 5"):
        ask(lead, "Q-5", "which?", "A. Quill", "2026-03-20", ["sign_out"], "PO-1", line="5")
    ask(lead, "Q-1", "which floor?", "A. Quill", "2026-03-20", ["sign_out"], "PO-1", line="2")
    day.play("""
        sawyer issues T-05 for post.front-left of SN-3               -> RW513
        sawyer issues T-01 for post.front-left of SN-1
    """)
    ask(lead, "Q-2", "which finish?", "A. Quill", "2026-03-20", ["sign_out"], "", variation="ER-48")
    day.play("sawyer issues T-02 for post.front-right of SN-1")
    ask(lead, "Q-3", "which finish here?", "A. Quill", "2026-03-20", ["sign_out"], "", variation="ER-47")
    day.play("sawyer issues T-05 for post.rear-left of SN-1               -> RW513")
    assert "Q-3" in day.why("sawyer issues T-05 for post.rear-left")
    assert day.audit() == []


def test_a_second_answer_needs_a_reason_and_says_what_rested_on_the_first(begin: Begin) -> None:
    day = begin("ordered")
    lead = small.station(day.record, "lead")
    ask(lead, "Q-1", "which floor?", "A. Quill", "2026-03-20", ["sign_out"], "PO-1")
    answer(lead, "Q-1", "A", "MAIL-1")
    with pytest.raises(Stopped, match=r"Q-1 was answered by A\. Quill on 2026-03-10: A; MAIL-1"):
        answer(lead, "Q-1", "B", "MAIL-2")
    answer(lead, "Q-1", "B", "MAIL-2", reason="the first was of another aircraft")
    assert list(changed_answers(day.record.events(), day.state)) == []  # nothing was done meanwhile
    day.play("sawyer issues T-01 for post.front-left of SN-1")
    issued = day.record.events()[-1].seq
    answer(lead, "Q-1", "C", "MAIL-3", reason="measured")
    (told,) = changed_answers(day.record.events(), day.state)
    assert f"T-01 was signed out (event {issued})" in told.words
    assert [one.answer for one in day.state.questions["Q-1"].answers] == ["A", "B", "C"]
    assert day.audit() == []


def test_lines_are_planned_for_the_saw_apart(begin: Begin) -> None:
    day = begin("ordered").play("""
        lead adds line 2: 1 x ER-47, due 2026-05-08, by CT-1 rev B
        lead numbers SN-3 of line 2
    """)
    lead = small.station(day.record, "lead")
    (second,) = plan_saw(lead, "PO-1", small.shop(), line="2").events
    assert (second.body["plan"], second.body["line"], second.refs.serials) == ("PO-1-SAW-1", "2", ("SN-3",))
    with pytest.raises(Stopped, match="PO-1 is planned line by line"):
        plan_saw(lead, "PO-1", small.shop())
    with pytest.raises(Stopped, match="the racks of PO-1 line 4 have no serials"):
        plan_saw(lead, "PO-1", small.shop(), line="4")
    (first,) = plan_saw(lead, "PO-1", small.shop(), line="1").events
    assert "supersedes" not in first.body
    assert set(first.refs.serials) == {"SN-1", "SN-2"}
    day.play("""
        lead reviews the contract
        sawyer issues T-01 for post.front-left of SN-1
    """)
    (again,) = plan_saw(lead, "PO-1", small.shop(), "a bar is out", line="1").events
    assert again.body["supersedes"] == first.body["plan"]
    assert [one.plan for one in holding(day.state.saw_plans["PO-1"])] == ["PO-1-SAW-1", "PO-1-SAW-3"]
    (other,) = plan_saw(lead, "PO-1", small.shop(), "a bar went to line 1", line="2").events
    assert other.body["supersedes"] == second.body["plan"]
    work = SawWork.from_json(json.loads(day.record.get_file(other.body["file"])))
    assert "T-01" not in {bar.bar for bar in work.bars}  # signed out for line 1


def test_papers_of_an_order_carry_what_the_record_asks_and_what_is_taken_meanwhile(begin: Begin) -> None:
    day = begin("ordered")
    lead, shop = small.station(day.record, "lead"), small.shop()
    ask(lead, "Q-3", "Which floor?", "customer", "2026-04-01", ["release"], "PO-1", assumed="that of CT-1")
    plan_saw(lead, "PO-1", shop)
    ask(lead, "Q-4", "Which hangar?", "customer", "2026-04-01", ["sign_out"], "PO-1", assumed="the north one")
    made = {
        "sheet": papers_of_order(day.record, "PO-1", shop, day.date).papers,
        "traveler": papers_of_order(day.record, "PO-1", shop, day.date, "traveler").papers[:1],
        "inspection": papers_of_serial(
            day.record, "SN-1", shop, DEMO_SEED, day.date, only="inspection"
        ).papers,
    }
    told = {name: [flat(" ".join(pages(one.data))) for one in some] for name, some in made.items()}
    asked = [flat("PRELIMINARY: Q-3 is open, Which floor? (taken meanwhile: that of CT-1)"),
             flat("PRELIMINARY: Q-4 is open, Which hangar? (taken meanwhile: the north one)")]  # fmt: skip
    said = {name: [[words in text for words in asked] for text in texts] for name, texts in told.items()}
    both = [[True, True]]
    assert said == {"sheet": [[True, False], [False, True]], "traveler": both, "inspection": both}, (
        "a recorded sheet is not set anew: what was asked since goes on top of it"
    )
    answer(lead, "Q-3", "The low one", "MAIL-3")
    answer(lead, "Q-4", "The south one", "MAIL-4")
    plan_saw(lead, "PO-1", shop, "Q-3 and Q-4 are answered")
    (sheet,) = papers_of_order(day.record, "PO-1", shop, day.date).papers
    assert "PRELIMINARY:Q" not in flat(" ".join(pages(sheet.data)))
