"""A rack that is scrapped whole: its pieces with it, its number for ever, and its order lacks one."""

from __future__ import annotations

import small_shop as small
import stories.office  # noqa: F401  (its sentences)
from rackwright.papers.table import Table
from rackwright.work.papers.making import wrong_blocks
from stories.conftest import Begin
from work.test_audit_judges import plant

REASON = "dropped from the hoist"


def test_nothing_more_is_done_on_it_and_another_takes_its_place(begin: Begin) -> None:
    day = begin("assembled").play(f"""
        inspector raises NC-1 on the rack SN-1, frame: {REASON}
        lead decides scrap on NC-1: bent; , seen by inspector                        -> RW517
        lead decides scrap on NC-1: bent; sawn through, seen by lead                 -> RW516
        lead decides scrap on NC-1: bent; every tube sawn through, seen by inspector
        inspector measures the whole rack SN-1                                       -> RW517
        inspector weighs SN-1: 20.0 lb                                               -> RW517
        inspector measures the points of SN-1                                        -> RW517
        inspector releases SN-1                                                      -> RW517
        inspector raises NC-2 on the rack SN-1, frame: again                         -> RW517
        lead numbers SN-1 of line 1                                                  -> RW517
        lead numbers SN-3 of line 1
        lead numbers SN-4 of line 1                                                  -> RW517
        lead lifts hold NC-1: nothing is left of it                                  -> RW520
        assembler witnesses SN-1
        lead lifts hold NC-1: nothing is left of it
    """)
    rack, pieces = day.state.serials["SN-1"], day.state.pieces
    assert rack.state == "scrapped"
    assert rack.pieces
    assert {pieces[name].state for name in rack.pieces} == {"scrapped"}
    assert {pieces[name].state for name in day.state.serials["SN-2"].pieces} == {"assembled"}
    assert [one.serial for one in day.state.racks(small.ORDER)] == ["SN-2", "SN-3"]
    tables = [one for one in wrong_blocks(day.record.events(), day.state, "SN-1") if isinstance(one, Table)]
    (scrapped,) = [one for one in tables if one.title == "Scrapped"]
    assert tuple(scrapped.rows[0][:4]) == (
        "the whole rack", "NC-1: bent", "every tube sawn through", small.PEOPLE["inspector"],
    )  # fmt: skip
    assert len(scrapped.rows) == 1 + len(rack.pieces)
    assert day.audit() == []


def test_metal_is_signed_out_for_no_rack_that_was_scrapped(begin: Begin) -> None:
    day = begin("ordered").play(f"""
        inspector raises NC-1 on the rack SN-1, serial: {REASON}
        lead decides scrap on NC-1: its number was cut into another's plate
        inspector witnesses SN-1
        lead lifts hold NC-1: the number is struck out
        sawyer issues T-01 for post.front-left of SN-1                               -> RW517
        sawyer issues T-01 for post.front-left of SN-2
    """)
    assert day.why("sawyer issues T-01") == "SN-1 is scrapped"
    assert day.audit() == []


def test_what_is_with_its_customer_is_not_scrapped_here(begin: Begin) -> None:
    day = begin("released").play(f"""
        lead ships SN-1 to the hangar
        inspector raises NC-1 on the rack SN-1, frame: {REASON}
        lead decides scrap on NC-1: bent; sawn through, seen by inspector            -> RW517
    """)
    assert "SN-1 is with the hangar" in day.why("lead decides scrap on NC-1")
    assert day.audit() == []


def test_an_audit_finds_a_rack_scrapped_by_no_decision(begin: Begin) -> None:
    day = begin("assembled")
    body = {"serial": "SN-1", "reason": "bent", "unusable": "sawn through", "witness": "E. Lund"}
    plant(day.record, "scrap_rack", body, "lead")
    assert any("no disposition scraps SN-1" in one for one in day.audit())
