"""Paper is the fallback: what was done while no station ran is entered later, with its day and the sheet's scan."""

from __future__ import annotations

from dataclasses import replace

import pytest

import small_shop as small
from rackwright.record import Record, Refs, audit, new_event
from rackwright.trouble import Stopped
from rackwright.work.gates import done_before
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.metal.sawing import issue
from rackwright.work.people.founding import add_gauge, add_person
from rackwright.work.quality.holding import hold
from rackwright.work.station import Late, Station
from rackwright.work.stations.inspecting import measure
from rackwright.work.stations.making import Step, step
from stories.conftest import Begin

POST = "SN-1/post.front-left"
LENGTH = small.characteristic("post.front-left", "length")


def late(record: Record, who: str, done: str, scan: bytes = b"") -> Station:
    there = small.station(record, who)
    return replace(there, late=Late(done, scan))


def test_an_entry_says_when_it_was_done_when_entered_by_whom_and_on_which_paper(begin: Begin) -> None:
    record = begin("made").record
    done = step(
        late(record, "assembler", "2026-03-10T07:30Z", b"%PDF scan"), Step("pretreat"), [POST], ["SN-1"]
    )
    event = done.events[0]
    assert event.body["late"]["done"] == "2026-03-10T07:30Z"
    assert (event.at, event.by) == ("2026-03-10T09:00:00Z", "F. Ansty")
    assert record.get_file(event.body["late"]["paper"]) == b"%PDF scan"
    assert event.refs.files == (event.body["late"]["paper"],)
    assert audit(record, judge=in_hindsight).troubles == ()


def test_the_scan_is_missed_where_it_is_gone(begin: Begin) -> None:
    record = begin("made").record
    event = step(late(record, "assembler", "2026-03-10", b"scan"), Step("pretreat"), [POST], ["SN-1"]).events[
        0
    ]
    (record.attachments / event.body["late"]["paper"]).unlink()
    assert "RW507" in str(audit(record, judge=in_hindsight).troubles)


def test_who_made_it_does_not_measure_it_by_entering_it_late(begin: Begin) -> None:
    record = begin("made").record
    with pytest.raises(Stopped, match=r"C\. Vint made"):
        measure(late(record, "sawyer", "2026-03-08"), "SN-1", {LENGTH: "44 in"}, "LB-2")
    with pytest.raises(Stopped, match="due for calibration"):
        measure(late(record, "inspector", "2026-02-01"), "SN-1", {LENGTH: "44 in"}, "CA-11")


@pytest.mark.parametrize("done", ["2026-03-11", "2026-03-10T09:01Z", "2026-03-10T09:00:01Z", "yesterday", ""])
def test_nothing_is_entered_before_it_was_done_nor_without_its_day(begin: Begin, done: str) -> None:
    record = begin("made").record
    with pytest.raises(Stopped, match="entered at 2026-03-10T09:00:00Z"):
        step(late(record, "assembler", done), Step("pretreat"), [POST], ["SN-1"])
    assert record.events()[-1].type == "refusal"


@pytest.mark.parametrize(
    "done", ["2026-03-10", "2026-03-10T09:00Z", "2026-03-10T09:00:00Z", "2026-03-09T23:59Z"]
)
def test_a_day_or_time_that_has_begun(done: str) -> None:
    assert done_before(done, "2026-03-10T09:00:00Z") is None


def test_an_audit_finds_a_late_entry_of_what_was_not_done_yet(begin: Begin) -> None:
    record = begin("made").record
    body = {"step": "pretreat", "pieces": [POST], "late": {"done": "2026-04-01"}}
    event = new_event("operation", body, act_id="planted", at="2026-03-10T12:00:00Z", by=small.PEOPLE["assembler"],
                      refs=Refs.of(pieces=[POST]))  # fmt: skip
    record.append([event], record.head())
    assert "done at '2026-04-01', entered at 2026-03-10" in str(audit(record, judge=in_hindsight).troubles)


def test_nothing_is_done_with_stock_before_it_came_or_was_cut_off_nor_by_who_was_not_there(
    begin: Begin,
) -> None:
    """Stock came in on 2026-03-10; a remnant is there from the day that it was cut off."""
    day = begin("ordered")
    record, posts = day.record, ("SN-1/post.front-left",)
    assert day.state.stock["T-01"].came == small.DAY

    def take(done: str, id: str = "T-01") -> None:
        issue(late(record, "sawyer", done), id, small.ORDER, small.revision(), posts, ["SN-1"], label="")

    with pytest.raises(Stopped, match="T-01 came in on 2026-03-10, and this was done on 2026-03-09"):
        take("2026-03-09")
    with pytest.raises(Stopped, match="'2026-02-31' is no day of the calendar"):
        take("2026-02-31")
    lead, inspector = small.station(record, "lead"), small.PEOPLE["inspector"]
    add_person(lead, inspector, ["inspector"], since="2026-03-10", again=True)
    with pytest.raises(
        Stopped, match=r"E\. Lund is of this shop since 2026-03-10, and this was done on 2026-03-01"
    ):
        hold(late(record, "inspector", "2026-03-01"), "H-1", "a dent", serials=["SN-1"])
    assert in_hindsight(list(record.events())) == []
    taken = issue(
        small.station(record, "sawyer"), "T-01", small.ORDER, small.revision(), posts, ["SN-1"]
    ).events[0]
    forged = replace(taken, body={**taken.body, "late": {"done": "2026-03-09"}})
    found = in_hindsight([forged if event.seq == taken.seq else event for event in record.events()])
    assert ["T-01 came in on 2026-03-10" in one.found for one in found] == [True]
    said = [forged if event.seq == taken.seq else event for event in record.events()]
    older = [
        replace(one, body={key: value for key, value in one.body.items() if key != "came"}) for one in said
    ]
    assert in_hindsight(older) == [], "an older record says nothing of it"


def test_nothing_is_done_to_a_piece_before_it_was_made(begin: Begin) -> None:
    record = begin("made").record
    said = f"{POST} was made on 2026-03-10, and this was done on 2026-03-09"
    with pytest.raises(Stopped, match=said):
        step(late(record, "assembler", "2026-03-09"), Step("pretreat"), [POST], ["SN-1"])
    with pytest.raises(Stopped, match=said):
        measure(late(record, "inspector", "2026-03-09"), "SN-1", {LENGTH: "44 in"}, "LB-2")
    assert in_hindsight(list(record.events())) == []


def test_a_step_is_of_pieces_named_once_and_a_gauge_reads_what_it_is_for(begin: Begin) -> None:
    record = begin("made").record
    for pieces, why in (([], "pretreat of no piece"), ([POST, POST], f"{POST} is named twice")):
        with pytest.raises(Stopped, match=why):
            step(small.station(record, "assembler"), Step("pretreat"), pieces, ["SN-1"])
    add_gauge(small.station(record, "lead"), "TW-9", "torque wrench", "2026-09-01", "2 in*lbf")
    with pytest.raises(Stopped, match="TW-9 is a torque wrench, to 2 in"):
        measure(small.station(record, "inspector"), "SN-1", {LENGTH: "44 in"}, "TW-9")
    add_gauge(small.station(record, "lead"), "CM-9", "arm", "2026-09-01", "0.001 in")
    measure(small.station(record, "inspector"), "SN-1", {LENGTH: "44 in"}, "CM-9")
