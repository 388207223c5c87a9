"""The stop, the die, the bushings, the oven's survey: what decides without giving a reading is controlled too."""

from __future__ import annotations

from dataclasses import replace

import pytest

import small_shop as small
from rackwright.record import Record
from rackwright.trouble import Stopped
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.office.due import due
from rackwright.work.people.founding import add_gauge
from rackwright.work.quality.noting import gauge_is_bad
from rackwright.work.stations.making import Step, step
from stories.conftest import Begin

POSTS = ["SN-1/post.front-left", "SN-1/post.front-right"]


def _fitted(record: Record, *gauges: str, day: str = small.DAY) -> None:
    """A step that the jig decides, done once more on the posts."""
    step(small.station(record, "assembler", day), Step("fit_up", gauges=gauges), POSTS, ["SN-1"])


def _code(record: Record, *gauges: str, day: str = small.DAY) -> str:
    with pytest.raises(Stopped) as stopped:
        _fitted(record, *gauges, day=day)
    return f"{stopped.value.troubles[0].code} {stopped.value.troubles[0].found}"


def test_what_decides_is_named_once_the_record_holds_one_of_its_kind(begin: Begin) -> None:
    day = begin("made")
    record, inspector = day.record, small.station(day.record, "inspector", day.date)
    _fitted(record)  # nothing is controlled: nothing is asked
    add_gauge(small.station(record, "lead", day.date), "J-47", "jig, of the frame", "2026-03-20", "0.003 in")
    assert _code(record) == "RW512 fit_up names no jig, which the shop controls"
    assert _code(record, "LB-2") == "RW512 fit_up names no jig, which the shop controls"
    assert _code(record, "J-48").startswith("RW503")
    _fitted(record, "J-47")
    last = record.events()[-1]
    assert (last.body["controlled"], last.known.calibration_due) == (["jig"], {"J-47": "2026-03-20"})
    assert "due for calibration on 2026-03-20" in _code(record, "J-47", day="2026-03-21")
    assert ("J-47", True) in [(row.about, row.late) for row in due(day.state, "2026-03-21")]
    gauge_is_bad(inspector, "J-47", "pin bent")
    assert _code(record, "J-47") == "RW512 gauge J-47 is bad"
    [told] = day.trace("gauge", "J-47")["steps"]
    assert (told["type"], told["pieces"], told["serials"]) == ("fit_up", POSTS, ["SN-1"])
    assert day.audit() == []


def test_steps_it_decided_are_ranked_by_the_nearest_reading_of_their_pieces(begin: Begin) -> None:
    day = begin("made")
    record = day.record
    add_gauge(small.station(record, "lead", day.date), "J-47", "jig", "2027-03-20", "0.003 in")
    for post in ("post.front-left", "post.front-right", "post.rear-left"):
        step(
            small.station(record, "assembler", day.date),
            Step("fit_up", gauges=("J-47",)),
            [f"SN-1/{post}"],
            ["SN-1"],
        )
    day.play("""
        inspector measures length of post.front-left of SN-1 with LB-2: 44.001 in
        inspector measures length of post.front-right of SN-1 with LB-2: 44.004 in
    """)
    rows = [(row["pieces"][0], row["to_limit"]) for row in day.trace("gauge", "J-47")["steps"]]
    assert [name for name, _ in rows] == [
        "SN-1/post.rear-left",
        "SN-1/post.front-right",
        "SN-1/post.front-left",
    ]
    assert rows[0][1] is None
    assert rows[1][1] < rows[2][1]


def test_what_was_written_past_the_gate_is_found(begin: Begin) -> None:
    day = begin("made")
    add_gauge(small.station(day.record, "lead", day.date), "J-47", "jig", "2027-03-20", "0.003 in")
    _fitted(day.record, "J-47")
    *before, last = day.record.events()
    assert in_hindsight([*before, last]) == []
    for change in ({"gauges": []}, {"controlled": []}, {"gauges": ["LB-2"]}):
        assert [one.code for one in in_hindsight([*before, replace(last, body={**last.body, **change})])] == [
            "RW512"
        ]
    older = {name: value for name, value in last.body.items() if name != "controlled"} | {"gauges": []}
    assert in_hindsight([*before, replace(last, body=older)]) == [], "an older program asked for none"


def test_an_assembly_names_its_jig_once_the_record_holds_one(begin: Begin) -> None:
    """The story's assembler names jig J-47."""
    day = begin("inspected").play("""
        assembler draws 60 of F-1 for SN-1
        assembler draws 60 of F-1 for SN-2
        assembler assembles SN-1
        lead records J-48, jig, of the frame, due 2026-03-20
        assembler assembles SN-2                                                       -> RW512
        lead records J-47, jig, of the frame, due 2026-03-20
        on 2026-03-21
        assembler assembles SN-2                                                       -> RW512
        lead records J-47, jig, of the frame, due 2026-09-20
        assembler assembles SN-2
    """)
    assert (
        day.why("assembler assembles SN-2")
        == "gauge J-47 was due for calibration on 2026-03-20, today is 2026-03-21"
    )
    first, last = (event.body for event in day.record.events() if event.type == "assemble")
    assert (first["controlled"], last["controlled"], last["gauges"]) == ([], ["jig"], ["TW-6", "J-47"])
    gauge_is_bad(small.station(day.record, "inspector", day.date), "J-47", "pin bent")
    assert {"SN-2"} == {name for told in day.trace("gauge", "J-47")["steps"] for name in told["serials"]}
    assert day.audit() == []
