"""Evidence of one rack is of the rack as it was that day: what work took back is owed anew before service."""

from __future__ import annotations

from dataclasses import replace

import small_shop as small
import stories.office
import stories.service  # noqa: F401  (their sentences)
from rackwright.record import Event, new_event
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.office.due import due
from rackwright.work.serials.evidence import standing_of
from rackwright.work.service.standing import standing
from rackwright.work.service.working import Done, service_work
from rackwright.work.station import Late
from stories.conftest import Begin
from stories.shop import Day

POWDER, _ = small.BURNS
HIGH = "joint.post.front-left.high.1"
BACK = """
    lead ships SN-1 to the hangar
    on 2026-06-01
    stores takes back SN-1 on 2026-06-01: coat flakes
"""
RECOATED = """
    assembler records strip W-1 on SN-1 by PS-4, pieces post.front-left; by way of media: off
    assembler does pretreat on post.front-left of SN-1
    assembler does coat on post.front-left of SN-1 with lot PX-61
    lead records OS-3, oven survey, of the oven, due 2026-06-10
    assembler bakes post.front-left of SN-1 by OS-3, oven log good
    inspector measures all after coat of post.front-left of SN-1
    inspector weighs SN-1: 39.8 lb
"""


def missing(day: Day, serial: str = "SN-1") -> dict[str, str]:
    return {one.owed.evidence: one.missing for one in standing_of(day.state, serial) if one.missing}


def test_a_recoat_takes_the_bond_back_and_no_point(begin: Begin) -> None:
    day = begin("released").play(BACK).play(RECOATED, good=small.GOOD_BAKE)
    strip = next(event.seq for event in day.record.events() if event.type == "service_work")
    bond = next(one.owed.reading for one in standing_of(day.state, "SN-1") if one.owed.evidence == "bonding")
    assert missing(day) == {"bonding": f"{bond}: not measured since strip W-1 (event {strip})"}
    assert missing(day, "SN-2") == {}
    [row] = [one for one in due(day.state, day.date) if one.kind == "rack"]
    assert row.words.endswith("1 things to do anew, as bonding")
    shown = standing(day.record.events(), "SN-1", small.design(), day.record.get_file)
    assert shown.left == (f"bonding: {missing(day)['bonding']}",)
    day.play("""
        sawyer puts SN-1 back to service after W-1                                              -> RW556
        inspector measures the whole rack SN-1
        sawyer puts SN-1 back to service after W-1
    """)
    [back] = [event for event in day.record.events() if event.type == "back_to_service"]
    assert sorted(back.body["values"]["evidence"]) == sorted(
        one.owed.evidence for one in standing_of(day.state, "SN-1")
    )
    assert day.audit() == []


def test_a_new_lot_of_powder_asks_for_its_own_evidence_where_lots_have_theirs(begin: Begin) -> None:
    """What covered the serial covered the lots of then. A type test is of any lot of the powder."""
    day = begin("released").play(f"""
        inspector has evidence FT-2 of {POWDER}, for SN-1
        lead owes smoke for the order: each lot of powder PX-21
        inspector has evidence SM-1 of smoke, for SN-1
    """)
    day.play(BACK).play(RECOATED, good=small.GOOD_BAKE).play("inspector measures the whole rack SN-1")
    strip = next(event.seq for event in day.record.events() if event.type == "service_work")
    before = f"SM-1 of {small.DAY} is of before strip W-1 (event {strip})"
    assert missing(day) == {"smoke": before}  # how the powder burns is also by type test, of the revision
    assert [one.words for one in due(day.state, day.date) if one.kind == "evidence"] == ["smoke, for SN-1"]
    day.play("""
        sawyer puts SN-1 back to service after W-1                                              -> RW556
        inspector has evidence SM-2 of smoke, for lot PX-61
        sawyer puts SN-1 back to service after W-1
    """)
    assert day.why("sawyer puts SN-1") == f"SN-1 lacks evidence: smoke ({before})"
    assert day.audit() == []


def test_a_document_is_of_the_pieces_that_its_line_names(begin: Begin) -> None:
    """Work on the left post takes back what is of the whole rack and of that post; an inspection takes nothing."""
    day = (
        begin("released")
        .play("""
        lead owes proof load for the order: each serial
        lead owes left post for the order: each serial of post.front-left
        lead owes right post for the order: each serial of post.front-right
        inspector has evidence PL-1 of proof load, for SN-1
        inspector has evidence PL-2 of left post, for SN-1
        inspector has evidence PL-3 of right post, for SN-1
    """)
        .play(BACK)
    )
    day.play("inspector records inspection W-1 on SN-1 by PS-9: looked at")
    assert missing(day) == {}
    day.play("assembler records rework W-2 on SN-1 by DWG-1, pieces post.front-left: deburred")
    assert list(missing(day)) == ["proof load", "left post"]
    day.play(f"""
        assembler records rework W-3 on SN-1 by DWG-1, pieces post.front-left; joints {HIGH}: deburred
        assembler tightens joint {HIGH} of SN-1
    """)
    assert list(missing(day)) == ["bonding", "fit check", "proof load", "left post"]
    day.play("""
        inspector measures the whole rack SN-1
        inspector weighs SN-1: 39.8 lb
        sawyer puts SN-1 back to service after W-1, W-2, W-3                                    -> RW556
        inspector has evidence PL-4 of proof load dated 2026-05-31, for SN-1
        sawyer puts SN-1 back to service after W-1, W-2, W-3                                    -> RW556
        inspector has evidence PL-4 of proof load, for SN-1
        inspector has evidence PL-5 of left post, for SN-1
        sawyer puts SN-1 back to service after W-1, W-2, W-3
    """)
    assert day.audit() == []


def test_another_box_takes_back_what_is_of_its_item(begin: Begin) -> None:
    day = begin("released").play("""
        lead owes box fit for the order: each serial of radio tray
        inspector has evidence BF-1 of box fit, for SN-1
        inspector has evidence BF-2 of box fit, for SN-2
        lead ships SN-1 to the hangar
    """)
    assert missing(day) == {}
    day.play("lead swaps the radio tray of SN-1 for 20 lb by the customer")
    swapped = day.record.events()[-1].seq
    assert missing(day) == {
        "box fit": f"BF-1 of {small.DAY} is of before another box as radio tray (event {swapped})"
    }
    assert missing(day, "SN-2") == {}
    day.play("inspector has evidence BF-3 of box fit dated 2026-03-01, for SN-1")
    assert list(missing(day)) == ["box fit"], "of a day before the swap, which stated none"
    day.play("inspector has evidence BF-3 of box fit, for SN-1")
    assert missing(day) == {}


def test_a_release_of_an_older_program_is_not_asked_what_work_before_it_took_back(begin: Begin) -> None:
    """A rack may be mended before its release; that this takes its readings back was not asked then."""
    history = list(begin("released").record.events())
    at = next(n for n, event in enumerate(history) if event.type == "weigh")
    said = {
        "serial": "SN-1",
        "work": "W-0",
        "kind": "repair",
        "text": "bushed",
        "document": "D-1",
        "date": small.DAY,
    }
    mended = new_event("service_work", said, act_id="w", at=history[at].at, by=history[at].by)
    history.insert(at, mended)
    history = [replace(event, seq=n) for n, event in enumerate(history, start=1)]
    released = next(event for event in history if event.type == "release" and event.body["serial"] == "SN-1")

    def found(history: list[Event]) -> list[str]:
        return [one.code for one in in_hindsight(history) if one.where.field == f"event {released.seq}"]

    assert found(history) == ["RW556"], "by today's program"
    values = {key: value for key, value in released.body["values"].items() if key != "oven"}
    history[released.seq - 1] = replace(released, body={**released.body, "values": values})
    assert found(history) == []


def test_work_that_is_entered_late_takes_back_what_is_dated_before_its_day(begin: Begin) -> None:
    """Not what was found between that day and its entry; nor does it let what later work took back."""
    day = begin("released").play("lead owes proof load for the order: each serial").play(BACK)
    mended = Done(
        "W-1", "rework", "deburred", "DWG-1", "an invented holder", "2026-06-01", ("SN-1/post.front-left",)
    )
    paper = replace(small.station(day.record, "assembler", day.date), late=Late("2026-05-20"))
    service_work(paper, "SN-1", mended)
    day.play("inspector has evidence PL-1 of proof load dated 2026-05-19, for SN-1")
    assert list(missing(day)) == ["proof load"]
    day.play("inspector has evidence PL-2 of proof load dated 2026-05-21, for SN-1")
    assert missing(day) == {}
    service_work(replace(paper, late=None), "SN-1", replace(mended, work="W-2"))
    service_work(paper, "SN-1", replace(mended, work="W-3"))
    day.play("inspector has evidence PL-3 of proof load dated 2026-05-21, for SN-1")
    assert list(missing(day)) == ["proof load"], "W-2 was done after it"
    day.play("inspector has evidence PL-4 of proof load, for SN-1")
    assert missing(day) == {}
