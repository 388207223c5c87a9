"""An audit judges again: what was written past the gates is found, each violation by its own words.

The verbs refuse these acts; here they are appended raw, as an enemy or a broken program would. A violation that
is not planted is not found: the untouched record is whole and balanced.
"""

from __future__ import annotations

from typing import Any

import pytest

import small_shop as small
from rackwright import record as records
from rackwright.record import Record, Refs, new_event
from rackwright.units import parse_quantity
from rackwright.work.keeping.balance import accounts, by_heat
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.quality.noting import gauge_is_bad
from rackwright.work.serials.recalling import affected
from rackwright.work.serials.tracing import trace
from stories.conftest import Begin

REV, POST = "ER-47 rev D", "SN-1/post.front-left"
IN = 25_400_000


def plant(record: Record, type: str, body: dict[str, Any], by: str = "lead", at: str = small.DAY) -> int:
    """One event past every gate; its seq."""
    event = new_event(type, body, act_id=f"planted {record.head().size}", at=f"{at}T12:00:00Z",
                      by=small.PEOPLE[by], station="bench", refs=Refs())  # fmt: skip
    return record.append([event], record.head()).events[0].seq


def findings(record: Record) -> list[str]:
    audit = records.audit(record, judge=in_hindsight)
    assert audit.whole == audit.believed == ()
    return [str(trouble) for trouble in audit.balanced]


def issue(**more: Any) -> dict[str, Any]:
    return {"stock_id": "T-05", "job": "PO-1", "revision": REV, "pieces": ["SN-1/x"], **more}


def reading(**more: Any) -> dict[str, Any]:
    return {"piece": POST, "serial": "SN-1", "characteristic": "length", "value": "44 in", "gauge": "LB-2",
            "within": True, "guard": {"r": "0"}, **more}  # fmt: skip


GATES: dict[str, tuple[str, dict[str, Any], str, str]] = {
    "unaccepted stock issued": ("issue", issue(stock_id="T-77"), "sawyer", "T-77 is received"),
    "held stock issued": ("issue", issue(stock_id="T-03-R"), "sawyer", "hold H-9"),
    "issued to an unapproved revision": ("issue", issue(revision="Z"), "sawyer", "revision Z is not frozen"),
    "a gauge past due": ("measure", reading(gauge="CA-11"), "inspector", "due for calibration on 2026-02-20"),
    "the maker measured": ("measure", reading(), "sawyer", "C. Vint made"),
    "a failed check accepted": ("accept", {"stock_id": "T-77", "checks": [
        {"name": "Fty", "required": "at least 35 ksi", "found": "34 ksi", "ok": False}]}, "stores",
        "Fty is 34 ksi, required at least 35 ksi"),
    "accepted by who entered it": ("accept", {"stock_id": "T-77", "checks": [], "entered_by": "B. Tarrow"}, "stores",
                                   "entered the values of T-77"),
    "a bar cut that was not issued": ("cut", {"stock_id": "T-05", "job": "PO-1", "pieces": [], "kerf_nm": 0,
                                              "trim_nm": 0, "scrap_nm": 240 * IN}, "sawyer", "is not issued to PO-1"),
    "a plate cut that was not issued": ("profile_cut", {
        "stock_id": "T-05", "job": "PO-1", "pieces": [], "kerf_nm2": "0", "skeleton_nm2": "0", "remnants": []},
        "machinist", "is not issued to PO-1"),
    "shipped before release": ("ship", {"serials": ["SN-1"], "to": "there"}, "lead", "SN-1 is planned"),
    "released while held": ("release", {"serial": "SN-2", "revision": REV, "margins": []}, "inspector", "hold H-9"),
    "released without metal": ("release", {"serial": "SN-1", "revision": REV, "margins": [], "pieces": ["SN-1/gold"]},
                               "inspector", "SN-1/gold had no heat"),
    "a report that nobody released": ("release", {"serial": "SN-1", "revision": REV, "margins": [], "values": {
        "report": "SR-1", "report_file": "0" * 64}}, "inspector", "report SR-1 was not released"),
    "a late wrench": ("assemble", {"serial": "SN-1", "pieces": [POST], "gauges": ["CA-11"]}, "assembler",
                      "CA-11 was due"),
}  # fmt: skip


@pytest.mark.parametrize("case", GATES)
def test_an_act_past_its_gate_is_found(begin: Begin, case: str) -> None:
    type, body, by, words = GATES[case]
    day = begin("made").play("""
        stores receives T-77, 240 in, heat H4599, Fty 34 ksi
        inspector holds heat H4502 as H-9: a doubt
    """)
    assert findings(day.record) == []
    seq = plant(day.record, type, body, by)
    found = findings(day.record)
    assert len(found) == 1
    assert words in found[0]
    assert f"event {seq} ({type}) should have been refused" in found[0]


#: a planted event after which the books do not close, and what the second reckoning says
BOOKS: dict[str, tuple[str, dict[str, Any], str]] = {
    "an inch too few": ("cut", {"stock_id": "T-05", "job": "PO-1", "kerf_nm": IN, "trim_nm": 0, "scrap_nm": 0,
                                "pieces": [{"piece": "SN-1/x", "length_nm": 238 * IN}]}, "25400000 nm unaccounted for"),
    "a nanometre too many": ("cut", {"stock_id": "T-05", "job": "PO-1", "kerf_nm": 1, "trim_nm": 0, "scrap_nm": 0,
                             "pieces": [{"piece": "SN-1/x", "length_nm": 240 * IN}]}, "1 nm more than there was"),
    "fasteners from nowhere": ("issue", {"stock_id": "F-1", "job": "PO-1", "revision": REV, "quantity": 201},
                               "received 200 pieces, used 201: 1 pieces more than there was"),
    "more scrapped than there was": ("scrap", {"stock_id": "T-05", "reason": "?", "length_nm": 240 * IN + 1,
                                               "unusable": "sawn through", "witness": "E. Lund"},
                                     "1 nm more than there was"),
}  # fmt: skip


@pytest.mark.parametrize("case", BOOKS)
def test_books_that_do_not_close_are_found_by_both_reckonings(begin: Begin, case: str) -> None:
    type, body, words = BOOKS[case]
    day = begin("made").play("sawyer issues T-05 for x of SN-1")
    plant(day.record, type, body, "sawyer")
    found = findings(day.record)
    assert [words in line for line in found].count(True) == 1
    assert (
        len([line for line in found if "refused" not in line]) == 2
    )  # the fold calls it odd, the books do not close


def test_a_plate_of_which_a_square_nanometre_is_missing_is_found_by_both_reckonings(begin: Begin) -> None:
    day = begin("ordered").play("""
        stores receives P-1, plate 36 in by 12 in, heat K9921
        inspector accepts P-1
        machinist issues P-1 for x of SN-1
    """)
    assert findings(day.record) == []
    pieces = [{"piece": "SN-1/x", "serial": "SN-1", "area_nm2": str(36 * 12 * IN**2 - 1)}]
    body = {
        "stock_id": "P-1",
        "job": "PO-1",
        "pieces": pieces,
        "kerf_nm2": "0",
        "skeleton_nm2": "0",
        "remnants": [],
    }
    plant(day.record, "profile_cut", body, "machinist")
    found = findings(day.record)
    assert len(found) == 2
    assert "difference -1 nm²" in found[0]
    assert "1 nm² unaccounted for" in found[1]


def test_the_books_of_a_bar_by_hand(begin: Begin) -> None:
    """T-01: 240 in = 4 posts of 44 in + 4 kerfs of 1/8 in + 1/4 in trim + a remnant of 63 1/4 in."""
    day = begin("made")
    books = accounts(day.record.events())
    bars, lots = books.bars, books.lots
    bar, heat, blocks = bars["T-01"], by_heat(bars)["H4471"], lots["M-2"]
    assert (bar.pieces, bar.kerf, bar.trim, bar.remnants) == (176 * IN, IN // 2, IN // 4, 253 * IN // 4)
    assert (bar.received, bar.left) == (240 * IN, 0)
    assert heat.received == 3 * 240 * IN  # T-01, T-02 and T-05; the remnants are counted inside their bars
    assert heat.received == heat.pieces + heat.kerf + heat.trim + heat.scrap + heat.left
    assert blocks.received == blocks.taken + blocks.left


def test_a_gauge_found_bad_lists_what_it_passed(begin: Begin) -> None:
    day = begin("inspected")
    passed = trace(day.record.events(), "gauge", "PR-1")
    assert passed["passed_pieces"] == sorted(
        small.pieces_of("SN-1", "ring") + small.pieces_of("SN-2", "ring")
    )
    assert passed["passed_serials"] == ["SN-1", "SN-2"]


def test_every_value_of_a_bad_gauge_is_listed_the_nearest_to_its_limit_first(begin: Begin) -> None:
    day = begin("made").play("""
        inspector measures length of post.front-left of SN-1 with LB-2: 44.001 in
        on 2026-03-12
        inspector measures length of post.front-right of SN-1 with LB-2: 44.009 in
        inspector measures length of post.rear-left of SN-1 with LB-2: 43.9995 in
        inspector measures length of post.rear-right of SN-1 with LB-2: 44.2 in
    """)
    assert len(day.trace("gauge", "LB-2")["readings"]) == 4
    gauge_is_bad(small.station(day.record, "inspector", "2026-03-13"), "LB-2", "bent", "2026-03-11")
    told = day.trace("gauge", "LB-2")
    assert told["last_good"] == "2026-03-11"
    assert [row["value"] for row in told["readings"]] == ["44.2 in", "44.009 in", "43.9995 in"]
    assert told["readings"][0]["piece"] == "SN-1/post.rear-right"
    one = small.characteristic("post.front-right", "length")
    assert one.low is not None
    assert one.high is not None
    left = (one.high - parse_quantity("44.009 in", "length")) / (one.high - one.low)
    assert told["readings"][1]["to_limit"] == f"{float(left):.4f}"


def test_a_gauge_found_bad_without_a_day_is_in_doubt_since_its_calibration_not_since_today(
    begin: Begin,
) -> None:
    day = begin("made").play("inspector measures length of post.front-left of SN-1 with LB-2: 44.001 in")
    gauge_is_bad(small.station(day.record, "inspector", "2026-03-13"), "LB-2", "bent")
    told = day.trace("gauge", "LB-2")
    assert told["last_good"] == small.DAY
    assert [row["value"] for row in told["readings"]] == ["44.001 in"]
    assert [row.serial for row in affected(day.record.events(), day.state, "gauge", "LB-2")] == ["SN-1"]
