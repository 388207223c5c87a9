"""Causes and corrective actions, first articles, recalls; and the list of what waits for somebody."""

from __future__ import annotations

import pytest

import stories.office  # noqa: F401  (its sentences)
from rackwright.trouble import Stopped
from rackwright.work.office.due import due
from rackwright.work.serials.recalling import DOUBTS, affected, by_customer
from stories.conftest import Begin
from stories.shop import Day


def waits(day: Day, on: str, kind: str) -> list[tuple[str, bool]]:
    return [(row.about, row.late) for row in due(day.state, on) if row.kind == kind]


def test_a_cause_that_came_again_is_said_until_an_action_is_taken_up(begin: Begin) -> None:
    day = begin("made").play("""
        inspector raises NC-1 on length of post.front-left of SN-1: short
        lead decides scrap on NC-1: too short, because of clamp open
        inspector raises NC-2 on length of post.front-right of SN-1: short
    """)
    assert waits(day, "2026-03-12", "cause") == []
    day.play("lead decides scrap on NC-2: too short, because of Clamp  open")
    assert waits(day, "2026-03-12", "cause") == [("clamp open", True)]
    day.play("""
        lead takes up CA-1 against 'clamp open' by C. Vint until 2026-03-20
    """)
    assert waits(day, "2026-03-12", "cause") == []
    assert waits(day, "2026-03-12", "corrective action") == [("CA-1", False)]
    assert waits(day, "2026-03-21", "corrective action") == [("CA-1", True)]


def test_an_action_is_looked_at_by_another_and_is_open_again_where_it_fails(begin: Begin) -> None:
    day = begin("made").play("""
        lead takes up CA-1 against 'clamp open' by nobody here until 2026-03-20   -> RW516
        lead takes up CA-1 against 'clamp open' by E. Lund until 2026-03-20
        lead takes up CA-1 against 'clamp open' by E. Lund until 2026-03-20       -> RW517
        sawyer finds that CA-1 holds                                              -> RW517
        sawyer says CA-1 is done                                                  -> RW516
        inspector says CA-1 is done
        inspector says CA-1 is done                                               -> RW517
        inspector finds that CA-1 holds                                           -> RW516
        sawyer finds that CA-1 fails
    """)
    assert day.state.actions["CA-1"].state == "open again"
    day.play("""
        inspector says CA-1 is done
        sawyer finds that CA-1 holds
        lead says CA-9 is done                                                    -> RW503
    """)
    assert day.state.actions["CA-1"].state == "effective"
    assert waits(day, "2026-05-01", "corrective action") == []


def test_first_articles_full_and_partial(begin: Begin) -> None:
    day = begin("released").play("""
        sawyer makes SN-1 the full first article by list Z                        -> RW517
        stores makes SN-1 the full first article by list C                        -> RW516
        inspector makes SN-1 the partial first article by list C                  -> RW517
        inspector makes SN-9 the full first article by list C                     -> RW503
        inspector makes SN-1 the full first article by list C on SN-2             -> RW517
        inspector makes SN-1 the full first article by list C
        inspector makes SN-2 the partial first article by list B on SN-1
    """)
    assert day.state.first_articles["SN-2"].baseline == "SN-1"
    assert waits(day, "2026-05-01", "first article") == []


def test_a_heat_is_recalled_to_every_place_and_the_letters_are_recorded(begin: Begin) -> None:
    day = begin("released").play("""
        lead hears that SN-1 is in aircraft 1107                                  -> RW517
        lead ships SN-1 to the hangar
        lead hears that SN-1 is in aircraft 1107
        sawyer recalls heat H4471 as RC-1: yield in doubt                         -> RW516
        lead recalls heat H4471 as RC-1:                                          -> RW517
        lead recalls heat H4471 as RC-1: yield in doubt
        lead recalls heat H4471 as RC-1: yield in doubt                           -> RW517
    """)
    rows = affected(day.record.events(), day.state, "heat", "H4471")
    assert {row.serial: row.place for row in rows} == {"SN-1": "aircraft 1107"}  # SN-2 is of H4502
    assert all(row.pieces for row in rows)
    stored = {row["piece"]: float(row["margin"]) for row in day.state.serials["SN-1"].margins}
    assert [float(row.margin or "nan") for row in rows] == [min(stored[piece] for piece in rows[0].pieces)]
    assert list(by_customer(rows)) == [day.state.orders["PO-1"].customer]
    known = day.state.recalls["RC-1"]
    assert known.serials == tuple(row.serial for row in rows)
    assert day.record.get_file(known.letters[0][1]) == b"letter"
    assert day.audit() == []


def test_a_gauge_a_person_and_a_revision_are_recalled(begin: Begin) -> None:
    day = begin("released")
    events, state = day.record.events(), day.state
    assert {row.serial for row in affected(events, state, "gauge", "TW-6")} == {"SN-1", "SN-2"}
    assert affected(events, state, "gauge", "TW-6", since="2026-12-31") == ()
    sawn = affected(events, state, "person", "C. Vint")
    assert {row.serial for row in sawn} == {"SN-1", "SN-2"}
    assert all("block" not in piece for row in sawn for piece in row.pieces)
    assert {row.serial for row in affected(events, state, "revision", "ER-47 rev D")} == {"SN-1", "SN-2"}


def test_what_has_no_margin_yet_stands_first(begin: Begin) -> None:
    day = begin("assembled").play("inspector releases SN-2")
    rows = affected(day.record.events(), day.state, "revision", "ER-47 rev D")
    assert [(row.serial, row.margin is None, row.note) for row in rows] == [
        ("SN-1", True, "not released"),
        ("SN-2", False, ""),
    ]


def test_what_is_not_known_is_not_recalled(begin: Begin) -> None:
    day = begin("released")
    for kind in DOUBTS:
        with pytest.raises(Stopped, match="RW503"):
            affected(day.record.events(), day.state, kind, "nothing of the kind")
