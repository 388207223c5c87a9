"""Inspection: with what, by whom, and what happens when a hole is out."""

from __future__ import annotations

from dataclasses import replace

import pytest

import small_shop as small
from racks import DEMO
from rackwright.trouble import Stopped
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.office.ordering import freeze, order, serials
from rackwright.work.outcome import too_coarse
from rackwright.work.stations.inspecting import measure
from stories.conftest import Begin

HOLE = "hole joint.post.rear-left.high.1"


def test_a_gauge_past_its_date_measures_nothing(begin: Begin) -> None:
    day = begin("made").play("""
        inspector measures length of post.front-left of SN-1 with CA-11: 44.001 in    -> RW512
        inspector measures length of post.front-left of SN-1 with CA-99: 44.001 in    -> RW503
        inspector measures length of post.front-left of SN-1 with LB-2: 44.001 in
        on 2026-09-02
        inspector measures length of post.front-left of SN-1 with LB-2: 44.001 in    -> RW512
    """)
    [read] = day.state.measured("SN-1/post.front-left")
    assert "due for calibration on 2026-02-20, today is 2026-03-10" in next(iter(day.no.values()))
    assert (read.gauge, read.gauge_due, read.within) == ("LB-2", "2026-09-01", True)
    assert day.audit() == []


def test_nobody_inspects_what_he_made(begin: Begin) -> None:
    day = begin("made").play("""
        sawyer measures length of post.front-left of SN-1 with LB-2: 44.001 in       -> RW516
        assembler measures length of post.front-left of SN-1 with LB-2: 44.001 in    -> RW516
        machinist measures length of post.front-left of SN-1 with LB-2: 44.001 in    -> RW516
        inspector measures length of post.front-left of SN-1 with LB-2: 44.001 in
    """)
    assert day.why("sawyer measures") == "C. Vint made SN-1/post.front-left"
    assert day.why("machinist measures") == "D. Sorley does not hold the role inspector"
    assert [read.by for read in day.state.measured("SN-1/post.front-left")] == ["E. Lund"]


def test_the_assembler_does_not_measure_the_rack_he_assembled(begin: Begin) -> None:
    day = begin("inspected").play("""
        assembler draws 60 of F-1 for SN-1
        assembler assembles SN-1
        assembler measures the whole rack SN-1                       -> RW516
        inspector measures the whole rack SN-1
    """)
    assert day.why("assembler measures") == "F. Ansty assembled SN-1"
    assert {read.by for read in day.state.measured("SN-1") if not read.piece} == {"E. Lund"}
    assert day.audit() == []


def test_a_hole_out_is_contained_proven_anew_and_accepted_by_its_holder(begin: Begin) -> None:
    day = begin("made").play(f"""
        inspector measures {HOLE} of post.rear-left of SN-2 with HG-5: 43.560 in
        inspector raises NCR-1 on {HOLE} of post.rear-left of SN-2: 0.060 in too near the end
        assembler does pretreat on post.rear-left of SN-2            -> RW517
        lead decides use_as_is on NCR-1: margins stay positive       -> RW520
        lead lifts hold NCR-1: in a hurry                            -> RW520
        lead decides use_as_is on NCR-1: margins stay positive, accepted in INVENTED-ACC-9
        lead lifts hold NCR-1: accepted in INVENTED-ACC-9
        assembler does pretreat on post.rear-left of SN-2
    """)
    [raised] = [event.body for event in day.record.events() if event.type == "nonconformance"]
    before, after = raised["values"]["joint.post.rear-left.high/tube bearing"].split(" -> ")
    assert 0 < float(after) < float(before)
    assert day.state.nonconformances["NCR-1"].document == "INVENTED-ACC-9"
    assert "pretreat" in day.state.pieces["SN-2/post.rear-left"].done


def test_acceptance_is_of_the_value_that_was_known_not_of_a_worse_one(begin: Begin) -> None:
    day = begin("assembled").play(f"""
        inspector measures {HOLE} of post.rear-left of SN-1 with HG-5: 43.560 in
        inspector releases SN-1                                      -> RW515
        inspector raises NCR-1 on {HOLE} of post.rear-left of SN-1: 0.060 in too near the end
        lead decides use_as_is on NCR-1: margins stay positive, accepted in INVENTED-ACC-9
        inspector releases SN-1                                      -> RW517
        lead lifts hold NCR-1: accepted in INVENTED-ACC-9
        inspector measures {HOLE} of post.rear-left of SN-1 with HG-5: 43.590 in
        inspector releases SN-1                                      -> RW515
        inspector raises NCR-2 on {HOLE} of post.rear-left of SN-1: 0.090 in too near the end
        lead decides use_as_is on NCR-2: margins stay positive, accepted in INVENTED-ACC-10
        lead decides scrap on NCR-2: second thoughts                 -> RW517
        lead lifts hold NCR-2: accepted in INVENTED-ACC-10
        inspector releases SN-1
    """)
    stored = {row["piece"]: row for row in day.state.serials["SN-1"].margins}
    assert day.state.serials["SN-1"].state == "released"
    assert float(stored["SN-1/post.rear-left"]["margin"]) > 0
    assert day.audit() == []


def test_a_hole_where_no_value_is_published_is_not_released_whatever_is_accepted(begin: Begin) -> None:
    """At 0.200 in too near the end e/D is 1.2, below 1.5, where no bearing value exists."""
    day = begin("assembled").play(f"""
        inspector measures {HOLE} of post.rear-left of SN-1 with HG-5: 43.700 in
        inspector raises NCR-1 on {HOLE} of post.rear-left of SN-1: 0.200 in too near the end
        lead decides use_as_is on NCR-1: we think it holds, accepted in INVENTED-ACC-9
        lead lifts hold NCR-1: accepted in INVENTED-ACC-9
        inspector releases SN-1                                      -> RW304
    """)
    [raised] = [event.body for event in day.record.events() if event.type == "nonconformance"]
    assert "no bearing value is published" in raised["values"]["joint.post.rear-left.high/tube bearing"]
    assert day.state.serials["SN-1"].state == "planned"


def test_a_scrapped_piece_is_made_again_and_measured_again(begin: Begin) -> None:
    day = begin("made").play("""
        inspector measures length of post.front-left of SN-1 with LB-2: 43.7 in
        inspector raises NCR-3 on length of post.front-left of SN-1: cut short
        lead decides scrap on NCR-3: cannot be made longer
        lead lifts hold NCR-3: the piece is scrapped                                 -> RW520
        inspector witnesses SN-1/post.front-left
        lead lifts hold NCR-3: the piece is scrapped
        inspector measures length of post.front-left of SN-1 with LB-2: 44 in        -> RW517
        sawyer issues T-05 for post.front-left of SN-1
        sawyer cuts T-05 into post.front-left 44 in of SN-1, kerf 0.125 in, trim 0.25 in, rest 195.625 in
        inspector releases SN-1                                                      -> RW515
    """)
    assert day.why("inspector releases") == "length of SN-1/post.front-left is not measured"
    assert day.state.pieces["SN-1/post.front-left"].stock_id == "T-05"
    assert day.audit() == []


def test_the_rule_that_decides_is_the_one_frozen_with_the_revision(begin: Begin) -> None:
    """The shop's file states r = 1: no other r decides, and what was recorded by another is found."""
    day = begin("stocked")
    lead, inspector = (small.station(day.record, who, day.date) for who in ("lead", "inspector"))
    order(lead, small.ORDER, "A customer (invented)", small.design(), 2, "2026-04-17", "CT-1")
    texts = {"definition": small.text().encode(), "shop": (DEMO / "shop.toml").read_bytes()}
    freeze(lead, small.design(), texts, small.ORDER)
    serials(lead, small.ORDER, small.revision(), small.SERIALS)
    day.play("""
        lead records approval INVENTED-DA-1
        sawyer issues T-05 for post.front-left of SN-1
        sawyer cuts T-05 into post.front-left 44 in of SN-1, kerf 0.125 in, trim 0.25 in, rest 195.625 in
    """)
    one = small.characteristic("post.front-left", "length")
    text, gauge = small.good(one), small.GAUGES[one.gauge]
    for r in (0.0, 0.5):
        with pytest.raises(Stopped, match="the shop's rule as frozen for SN-1 is 1"):
            measure(inspector, "SN-1", {one: text}, gauge, guard_band=r)
    measure(inspector, "SN-1", {one: text}, gauge, guard_band=1.0)
    measure(inspector, "SN-1", {one: text}, gauge)
    history = day.record.events()
    assert history[-1].body["guard"]["r"] == "1"
    assert in_hindsight(history) == []
    lax = replace(history[-1], body={**history[-1].body, "within": True, "guard": {"r": "0"}})
    assert "RW512" in [found.code for found in in_hindsight([*history[:-1], lax])]


def test_limits_that_leave_nothing_between_them_are_of_too_coarse_a_gauge() -> None:
    assert too_coarse("10.0010 in", "9.9990 in")
    assert too_coarse("10.0000 in", "10.0000 in"), "only a reading without any error would be within"
    assert not too_coarse("9.9990 in", "10.0010 in")
    assert not too_coarse("", "9.9990 in")
    assert not too_coarse("", "")
