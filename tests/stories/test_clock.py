"""Clocks go wrong: the order is the sequence, a step back is noted, and what has expired stays expired."""

from __future__ import annotations

import os
import re
import time
from pathlib import Path

import pytest

import small_shop as small
from rackwright import record as records
from rackwright.record import new_event, parse_event
from rackwright.record.clock import steps_back
from rackwright.trouble import Stopped
from rackwright.work.people.founding import add_gauge, add_person
from rackwright.work.quality.noting import clock_is_right
from rackwright.work.station import Station, now
from rackwright.work.stations.inspecting import measure
from stories.conftest import Begin


def at(begin: Begin, who: str, time: str, name: str = "bench", stage: str = "founded") -> Station:
    record = begin(stage).record
    return clocked(Station(record, "", str, str, name), who, time, name)


def clocked(like: Station, who: str, time: str, name: str = "bench") -> Station:
    ids = (f"{who} {time} {name} {n}" for n in range(99))
    return Station(like.record, small.PEOPLE[who], lambda: time, lambda: next(ids), name)


def code(call: object, *given: object) -> str:
    with pytest.raises(Stopped) as caught:
        call(*given)  # type: ignore[operator]
    return caught.value.troubles[0].code


def test_two_stations_ten_minutes_apart_go_on_and_the_audit_notes_it(begin: Begin) -> None:
    saw = at(begin, "lead", "2026-03-11T08:10:00Z", "saw")
    bench = clocked(saw, "lead", "2026-03-11T08:00:00Z", "bench")
    first = add_person(saw, "G. Moss", ["saw"])
    second = add_person(bench, "G. Moss", ["assembly"], again=True)
    assert second.events[0].seq == first.events[0].seq + 1
    assert small.state(saw.record).persons["G. Moss"].roles == ("assembly",), "the later in sequence counts"
    audit = records.audit(saw.record)
    assert audit.ok
    assert "(bench) is 0:10:00 before event" in audit.checked[-1]


def test_an_hour_back_is_noted_and_a_day_that_has_begun_does_not_end_again(begin: Begin) -> None:
    """The gauge was due on the 11th. At 00:30 on the 12th it is late, and an hour back does not make it good."""
    lead = at(begin, "lead", "2026-03-11T23:50:00Z", stage="made")
    add_gauge(lead, "LB-2", "length bench", "2026-03-11", "0.002 in")
    reading = {small.characteristic("post.front-left", "length"): "44 in"}
    early, late = (clocked(lead, "inspector", f"2026-03-1{when}Z") for when in ("1T23:55:00", "2T00:30:00"))
    measure(early, "SN-1", reading, "LB-2")
    assert code(measure, late, "SN-1", reading, "LB-2") == "RW512"
    add_person(clocked(lead, "lead", "2026-03-12T00:31:00Z"), "G. Moss", ["saw"])
    back = clocked(lead, "inspector", "2026-03-11T23:31:00Z")
    assert code(measure, back, "SN-1", reading, "LB-2") == "RW512"
    assert "1:00:00 before event" in records.audit(lead.record).checked[-1]


def test_a_clock_that_fell_back_to_1970_records_nothing_but_its_refusal(begin: Begin) -> None:
    lost = at(begin, "lead", "1970-01-01T00:05:00Z")
    for _ in range(2):  # nor the second time
        assert code(add_person, lost, "G. Moss", ["saw"]) == "RW526"
    assert "G. Moss" not in small.state(lost.record).persons
    assert {event.type for event in lost.record.events()[-2:]} == {"refusal"}
    add_person(clocked(lost, "lead", "2026-03-10T10:00:00Z"), "G. Moss", ["saw"])


def test_a_clock_that_ran_ahead_is_put_right_by_the_lead_with_a_reason(begin: Begin) -> None:
    ahead = at(begin, "lead", "2099-01-01T08:00:00Z")
    add_person(ahead, "G. Moss", ["saw"])
    right, other = (
        clocked(ahead, "lead", "2026-03-11T08:00:00Z"),
        clocked(ahead, "stores", "2026-03-11T08:00:00Z"),
    )
    assert code(add_person, right, "H. Wray", ["saw"]) == "RW526"
    assert code(clock_is_right, other, "the battery") == "RW516"
    assert code(clock_is_right, right, " ") == "RW517"
    clock_is_right(right, "T-2 stood at 2099 after its battery was changed")
    add_person(right, "H. Wray", ["saw"])
    assert records.audit(ahead.record).ok


def test_no_zone_and_no_year_changes_the_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Times are UTC whatever the machine's zone; 2038 and a leap second are times like others."""
    times = ["2026-10-25T00:59:59Z", "2038-01-19T03:14:07Z", "2038-01-19T03:14:08Z", "2106-02-07T06:28:16Z",
             "2016-12-31T23:59:60Z", "1970-01-01T00:00:00Z", "9999-12-31T23:59:59.999999Z"]  # fmt: skip
    events = [new_event("supplier", {"supplier": "S", "scope": []}, act_id=f"{n}", at=time, by="Ada")
              for n, time in enumerate(times)]  # fmt: skip
    with records.create(tmp_path / "record.db") as record:
        for event in events:
            record.append([event], record.head())
        assert [event.at for event in record.events()] == times
        assert len(steps_back(record.events())) == 2
        assert records.audit(record).ok
    for zone in ("Pacific/Kiritimati", "America/Los_Angeles"):
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        stamp = now()
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", stamp)
        assert abs(time.mktime(time.gmtime()) - time.mktime(time.strptime(stamp, "%Y-%m-%dT%H:%M:%SZ"))) < 5
    monkeypatch.undo()
    time.tzset()
    assert os.environ.get("TZ") != "America/Los_Angeles"
    for wrong in ("2026-02-30T08:00:00Z", "2026-03-10T08:00:00", "2026-03-10T08:00:00+01:00", "10.3.2026"):
        with pytest.raises(ValueError, match="/at"):
            parse_event({**events[0].to_json(), "at": wrong})
