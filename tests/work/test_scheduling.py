"""The schedule from the record: what is done is done, who may do what, what keeps an order, and what moves."""

from __future__ import annotations

from dataclasses import replace

import pytest

import small_shop as small
from rackwright.making.dates.lateness import moved
from rackwright.making.dates.placing import Sequenced, by_rule
from rackwright.record import Record
from rackwright.shop import Shop
from rackwright.shop.labour import OutsideWork, Place
from rackwright.trouble import Stopped
from rackwright.work.office.lines import LineChange, order_line
from rackwright.work.office.ordering import ask, serials
from rackwright.work.office.schedule_document import schedule_document
from rackwright.work.office.scheduling import Floor, floor_of
from rackwright.work.quality.holding import hold
from rackwright.work.quality.noting import add_supplier, away
from rackwright.work.stations.making import send_out
from stories.conftest import Begin

FELL = "Fellside (invented)"


def shop(*rows: Place) -> Shop:
    times = tuple(replace(row, cycle_included=True) for row in small.shop().operation_time)
    outside = (
        OutsideWork(operation="pretreat", supplier=FELL, price="10.00 USD", days=3, document="quotation"),
    )
    return replace(small.shop(), operation_time=times, place=rows, outside=outside)


def planned(record: Record, house: Shop | None = None, today: str = small.DAY) -> tuple[Floor, Sequenced]:
    floor = floor_of(record, house or shop(), today)
    return floor, by_rule(floor.load)


def test_everything_is_to_do_for_an_order_that_is_only_frozen_and_less_and_less_later(begin: Begin) -> None:
    left = {}
    for stage in ("ordered", "made", "inspected", "assembled"):
        floor, _ = planned(begin(stage).record)
        left[stage] = {work.id.split()[1].split(".")[0] for work in floor.load.works}
    assert {"issue", "saw", "mill", "fit_up", "assemble", "release"} <= left["ordered"]
    assert not left["made"] & {"receive", "issue", "saw", "waterjet"}
    assert not left["inspected"] & {"drill", "deburr", "inspect_metal"}
    assert not left["assembled"] & {"coat", "bake", "assemble"}
    assert "release" in left["assembled"]
    floor, _ = planned(begin("released").record)
    assert floor.load.works == ()


def test_people_do_what_their_gates_let_them_and_nobody_inspects_his_own_work(begin: Begin) -> None:
    floor, found = planned(begin("ordered").record)
    for one in found.placed:
        if one.work.title.startswith("saw"):
            assert one.person == small.PEOPLE["sawyer"]
        if one.work.title.startswith("inspect metal"):
            mine = {found.of[name].person for name in one.work.not_by}
            assert one.person
            assert one.person not in mine
    assert not floor.asked


def test_a_machine_that_is_down_and_a_late_supplier_move_what_they_hold_up(begin: Begin) -> None:
    record = begin("ordered").record
    before = schedule_document(*planned(record), "a shop", False)
    lead = small.station(record, "lead")
    away(lead, "mill", small.DAY, "2026-03-20", "spindle bearing")
    after = schedule_document(*planned(record), "a shop", False)
    orders, works = moved(before, after)
    assert [row["order"] for row in orders] == [small.ORDER]
    assert any(row["id"].endswith("mill") and row["to"].startswith("2026-03-23") for row in works)
    assert moved(after, after) == ([], [])
    with pytest.raises(Stopped, match="last day after the first"):
        away(lead, "mill", "2026-03-20", "2026-03-19", "typed wrong")
    away(lead, "the mil", small.DAY, "2026-03-20", "typed wrong")
    floor, _ = planned(record)
    assert floor.asked == ["away the mil: no machine, person or supplier that is needed goes by that name"]


def test_a_second_place_takes_half_of_a_stations_work(begin: Begin) -> None:
    record = begin("ordered").record
    rows = tuple(Place(name=name, stations=("jig",), document="plan of the hall") for name in ("J-1", "J-2"))
    floor, _ = planned(record, shop(*rows))
    fit_up = next(work for work in floor.load.works if "fit_up" in work.id)
    assert fit_up.machines == ("J-1", "J-2")


def test_what_is_at_the_supplier_is_back_when_agreed_and_overdue_is_said(begin: Begin) -> None:
    record = begin("made").record
    stores, lead = small.station(record, "stores"), small.station(record, "lead")
    add_supplier(lead, FELL, ["pretreat"])
    names = [f"{small.SERIALS[0]}/post.{place}" for place in ("front-left", "front-right")]
    send_out(stores, FELL, "pretreat", names, "DN-1", back="2026-03-12")
    floor, _ = planned(record)
    back = [work for work in floor.load.works if "pretreat" in work.id]
    assert {(work.because, work.earliest) for work in back} == {
        (f"at {FELL} since {small.DAY}", 3 * floor.minutes)
    }
    late, _ = planned(record, today="2026-03-16")
    assert any("overdue" in words for words in late.open[small.ORDER])


def test_a_hold_has_no_day_and_is_said(begin: Begin) -> None:
    record = begin("made").record
    hold(small.station(record, "lead"), "H-1", "heat in doubt", serials=[small.SERIALS[0]])
    floor, found = planned(record)
    assert any("hold H-1" in words for words in floor.open[small.ORDER])
    assert schedule_document(floor, found, "a shop", False)["marks"] == ["PRELIMINARY"]


def test_times_that_are_asked_for_leave_the_order_out_with_the_question(begin: Begin) -> None:
    record = begin("ordered").record
    floor, _ = planned(record, replace(shop(), operation_time=shop().operation_time[1:]))
    assert "operation_time.receive" in floor.left_out[small.ORDER]
    with pytest.raises(Stopped, match="no calendar"):
        floor_of(record, replace(shop(), calendar=None), small.DAY)


def test_lines_of_an_order_are_scheduled_apart_and_a_question_keeps_its_own(begin: Begin) -> None:
    record = begin("ordered").record
    lead = small.station(record, "lead")
    order_line(lead, small.ORDER, "2", LineChange("CT-1 rev B", "", "ER-47", 2, "2026-05-08"))
    serials(lead, small.ORDER, small.revision(), ["SN-3", "SN-4"], line="2")
    order_line(lead, small.ORDER, "2", LineChange("CT-1 rev C", "one more", quantity=3))
    ask(lead, "Q-1", "which floor?", "A. Quill", "2026-03-20", ["sign_out"], small.ORDER, line="2")
    floor, _ = planned(record)
    assert [job.name for job in floor.load.jobs] == ["PO-1 line 1", "PO-1 line 2"]
    assert floor.due == {"PO-1 line 1": "2026-04-17", "PO-1 line 2": "2026-05-08"}
    issues = {work.job: work for work in floor.load.works if work.id.endswith(" issue")}
    assert issues["PO-1 line 1"].earliest == 0
    assert "Q-1" in issues["PO-1 line 2"].because
    assert any(work.title.endswith("rack 3") for work in floor.load.works)  # it has no serial yet
    order_line(lead, small.ORDER, "2", LineChange("CT-1 rev D", "sold", withdrawn=True))
    assert [job.name for job in planned(record)[0].load.jobs] == ["PO-1 line 1"]
