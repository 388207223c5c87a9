"""What is found on the rack, what is thrown away, and what comes back."""

from __future__ import annotations

from dataclasses import replace

import pytest

import small_shop as small
from rackwright.papers.table import Table
from rackwright.record import check, new_event, replay
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.metal.counts import counted
from rackwright.work.office.due import due
from rackwright.work.papers.making import wrong_blocks
from rackwright.work.people.founding import add_person
from rackwright.work.serials.releasing import release_gates
from stories.conftest import Begin
from work.test_audit_judges import plant


def test_a_count_within_the_tape_is_good_and_one_outside_is_found_until_it_is_explained(begin: Begin) -> None:
    day = begin("ordered").play("""
        stores counts T-05 at 239.98 in
        sawyer counts T-04 at 237 in
        stores counts F-1 at 200
    """)
    words = [one.words for one in counted(day.record.events())]
    assert "expected 240.0000 in, found 239.9800, difference -0.0200, uncertainty 0.0312" in words[2]
    (found,) = day.audit()
    assert "T-04 counted in event" in found
    assert "expected 240.0000 in, found 237.0000, difference -3.0000" in found
    day.play("""
        sawyer throws away 3 in of T-04: a split end was sawn off by mistake
        sawyer counts T-04 at 237 in
    """)
    assert day.audit() == []
    assert day.state.stock["T-04"].length_nm == 237 * 25_400_000


def test_a_count_is_of_what_is_there_and_in_its_own_unit(begin: Begin) -> None:
    day = begin("made").play("""
        machinist counts T-05 at 240 in                              -> RW516
        stores counts T-99 at 240 in                                 -> RW503
        stores counts T-01 at 240 in                                 -> RW511
        stores counts F-1 at 100 in                                  -> RW517
        stores counts T-05 at 1                                      -> RW517
        sawyer counts T-01-R at 63.25 in
    """)
    assert "T-01 is cut" in day.why("stores counts T-01")
    assert "F-1 is counted" in day.why("stores counts F-1")
    assert day.audit() == []


def test_scrap_has_a_name_a_reason_and_a_limit(begin: Begin) -> None:
    day = begin("ordered").play("""
        machinist throws away T-05: bent                             -> RW516
        stores throws away T-05:                                     -> RW517
        stores throws away 241 in of T-05: bent                      -> RW517
        stores throws away 3 of T-05: bent                           -> RW517
        stores throws away 201 of F-1: rust                          -> RW517
        stores throws away 20 of F-1: rust
        stores throws away T-05: bent in the door
        stores throws away T-05: bent in the door                    -> RW511
        sawyer issues T-05 for post.front-left of SN-1               -> RW511
        inspector holds heat H4502 as H-9: a doubt
        stores throws away T-04: a doubt                             -> RW517
    """)
    assert "no reason" in day.why("stores throws away T-05:")
    assert (day.state.stock["T-05"].state, day.state.stock["T-05"].heat) == ("scrapped", "H4471")
    assert day.state.stock["F-1"].quantity == 180
    assert day.audit() == []


def test_a_piece_is_scrapped_by_the_lead_while_it_is_in_no_rack(begin: Begin) -> None:
    day = begin("made").play("""
        sawyer throws away SN-1/post.front-left: dented              -> RW516
        lead throws away SN-1/post.front-left: dented
        lead throws away SN-1/post.front-left: dented                -> RW517
        lead throws away SN-1/no.piece: dented                       -> RW503
    """)
    assert day.state.pieces["SN-1/post.front-left"].state == "scrapped"
    assert day.state.pieces["SN-1/post.front-left"].heat == "H4471"
    rack = begin("assembled").play("lead throws away SN-1/post.front-left: dented     -> RW517")
    assert "is assembled" in rack.why("lead throws away")
    assert day.audit() == rack.audit() == []


def test_hardware_comes_back_to_its_lot_and_never_more_than_went_out(begin: Begin) -> None:
    day = begin("ordered").play("""
        assembler draws 60 of F-1 for SN-1
        assembler brings back 61 of F-1                              -> RW511
        assembler brings back 12 of F-1
        assembler brings back 49 of F-1                              -> RW511
        sawyer brings back 1 of F-1                                  -> RW516
        assembler brings back 1 of M-1                               -> RW511
        stores counts F-1 at 152
    """)
    assert "61 of F-1 are to come back, 60 are out for PO-1" in day.why("assembler brings back 61")
    assert day.state.stock["F-1"].quantity == 152
    assert day.audit() == []


def test_scrap_is_made_unusable_before_another_who_may_inspect(begin: Begin) -> None:
    day = begin("made").play("""
        lead throws away SN-1/post.front-left: dented; , seen by inspector               -> RW517
        lead throws away SN-1/post.front-left: dented; sawn through, seen by lead        -> RW516
        lead throws away SN-1/post.front-left: dented; sawn through, seen by machinist   -> RW516
        lead throws away SN-1/post.front-left: dented; sawn through, seen by nobody      -> RW516
        lead throws away SN-1/post.front-left: dented; sawn through, seen by assembler
        stores throws away 1 in of T-05: end split; , seen by inspector                  -> RW517
        stores throws away 1 in of T-05: end split; hammered flat, seen by inspector
        inspector raises NC-1 on length of post.front-right of SN-1: short
        lead decides scrap on NC-1: too short; , seen by inspector                       -> RW517
        lead decides scrap on NC-1: too short; sawn through, seen by lead                -> RW516
        lead decides scrap on NC-1: too short; sawn in three, seen by inspector
    """)
    assert "not said how SN-1/post.front-left was made unusable" in day.why("lead throws away")
    said = [event.body for event in day.record.events() if event.type == "scrap"]
    assert [(body["unusable"], body["witness"]) for body in said] == [
        ("sawn through", "F. Ansty"), ("hammered flat", "E. Lund"), ("sawn in three", "E. Lund"),
    ]  # fmt: skip
    (table,) = [each for each in wrong_blocks(day.record.events(), day.state, "SN-1") if isinstance(each, Table)
                and each.title == "Scrapped"]  # fmt: skip
    assert [tuple(map(str.strip, row[:4])) for row in table.rows] == [
        ("post.front-left", "dented", "sawn through", "F. Ansty, not signed yet"),
        ("post.front-right", "NC-1: too short", "sawn in three", "E. Lund, not signed yet"),
    ]
    assert day.audit() == []


@pytest.mark.parametrize(("more", "words"), [
    ({"unusable": "sawn through", "witness": "A. Quill"}, "A. Quill scraps SN-1/post.front-left and cannot be its"),
    ({"unusable": "sawn through", "witness": "B. Tarrow"}, "B. Tarrow does not hold the role inspector"),
])  # fmt: skip
def test_an_audit_asks_for_the_witness_too(begin: Begin, more: dict[str, str], words: str) -> None:
    day = begin("made")
    plant(day.record, "scrap", {"piece": "SN-1/post.front-left", "reason": "dented", **more}, "lead")
    (found,) = day.audit()
    assert words in found


def test_scrap_recorded_before_witnesses_says_that_neither_was_stated(begin: Begin) -> None:
    day = begin("made")
    last = day.record.head().size
    old = new_event("scrap", {"piece": "SN-1/post.front-left", "reason": "dented"}, act_id="old",
                    at="2026-03-12T12:00:00Z", by="A. Quill", v=1)  # fmt: skip
    history = [*day.record.events(), replace(old, seq=last + 1)]
    *_, (read, state) = replay(history)
    assert (read.v, read.body["unusable"], read.body["witness"]) == (2, "", "")
    assert in_hindsight(history) == []
    (block,) = wrong_blocks([old], state, "SN-1")
    assert isinstance(block, Table)
    assert block.rows[0][2:4] == ("not stated", "not stated")
    assert [fault.where.field for fault in check(old)] == ["/v"], "from now on both are stated"


def test_the_witness_signs_what_they_saw(begin: Begin) -> None:
    """A name that the lead wrote is not enough: until the witness signs, holds stay and the rack is not released."""
    day = begin("made").play("""
        inspector raises NC-1 on length of post.front-left of SN-1: short
        lead decides scrap on NC-1: too short; sawn in three, seen by inspector
        stores throws away 1 in of T-05: end split; hammered flat, seen by assembler
        lead lifts hold NC-1: scrapped                                                   -> RW520
        lead witnesses SN-1/post.front-left                                              -> RW516
        machinist witnesses SN-1/post.front-left                                         -> RW516
        inspector witnesses SN-1/post.front-right                                        -> RW517
        inspector witnesses SN-9                                                         -> RW517
    """)
    waits = [(one.about, one.whose) for one in due(day.state, day.date) if one.kind == "witness"]
    assert waits == [("SN-1/post.front-left", "E. Lund"), ("T-05", "F. Ansty")]
    assert "is scrap, not yet witnessed (sawn in three, by A. Quill; to be signed by E. Lund)" in (
        day.why("lead lifts hold NC-1")
    )
    gates = release_gates(
        day.state,
        "SN-1",
        small.design(),
        small.shop(),
        day.record.get_file,
        small.PEOPLE["inspector"],
        day.date,
    )
    assert (
        next(gate.refusal.code for gate in gates if gate.name == "scrap witnessed" and gate.refusal)
        == "RW520"
    )
    day.play("""
        assembler witnesses T-05
        inspector witnesses SN-1/post.front-left
        inspector witnesses SN-1/post.front-left                                         -> RW517
        lead lifts hold NC-1: scrapped
    """)
    assert day.state.unseen == {}
    assert [event.by for event in day.record.events() if event.type == "witness"] == ["F. Ansty", "E. Lund"]
    assert day.audit() == []


def test_who_scrapped_and_may_inspect_is_no_witness(begin: Begin) -> None:
    day = begin("made")
    add_person(
        small.station(day.record, "lead"), small.PEOPLE["sawyer"], ["saw", "inspector", "lead"], again=True
    )
    day.play("""
        sawyer throws away SN-1/post.front-left: dented; sawn through, seen by inspector
        sawyer witnesses SN-1/post.front-left                                            -> RW516
        assembler witnesses SN-1/post.front-left
    """)
    assert "C. Vint scrapped SN-1/post.front-left" in day.why("sawyer witnesses")
    assert day.audit() == []


def test_scrap_of_an_older_program_stands_by_the_name_of_its_witness(begin: Begin) -> None:
    day = begin("made")
    body = {"piece": "SN-1/post.front-left", "reason": "dented", "unusable": "sawn", "witness": "E. Lund"}
    plant(day.record, "scrap", body, "lead")
    assert (day.state.unseen, day.audit()) == ({}, [])


def test_who_scrapped_one_piece_is_no_witness_of_the_rack_that_it_was_of(begin: Begin) -> None:
    """A signature for a rack is for what was scrapped with it: nobody signs their own scrap by another's name."""
    day = begin("made")
    add_person(
        small.station(day.record, "lead"), small.PEOPLE["sawyer"], ["saw", "inspector", "lead"], again=True
    )
    day.play("""
        sawyer throws away SN-1/post.front-left: dented; sawn through, seen by inspector
        inspector raises NC-1 on the rack SN-1, frame: dropped
        lead decides scrap on NC-1: bent; every tube sawn through, seen by inspector
        sawyer witnesses SN-1                                                            -> RW516
        assembler witnesses SN-1
    """)
    assert "C. Vint scrapped SN-1/post.front-left" in day.why("sawyer witnesses")
    assert (day.state.unseen, day.audit()) == ({}, [])
