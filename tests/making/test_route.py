"""The route: a true order, nothing spoiled by the oven, no station in two places, and dates by the calendar."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from order_of_three import STANDARD, order, plan, rack, shop
from rackwright.making.assembly import Heat
from rackwright.making.dates.tasks import Task, critical_path, day_at, list_schedule, working_days
from rackwright.making.operations import OPERATIONS, before, needed, order_faults, without
from rackwright.making.route import Route
from rackwright.shop import Shop
from rackwright.shop.labour import OPERATIONS as NAMES
from rackwright.shop.labour import Calendar, Learning

HOT = 475.0  # K


def timed(house: Shop | None = None) -> Route:
    """The demo's route with every cycle included in its time, so that nothing is asked for."""
    house = house or shop()
    rows = tuple(replace(row, cycle_included=True) for row in house.operation_time)
    return plan(rack(), replace(house, operation_time=rows)).route


# --- order ---------------------------------------------------------------------------------------


def test_the_operations_are_those_that_a_shop_may_give_times_for() -> None:
    assert tuple(one.id for one in OPERATIONS) == NAMES


@given(st.permutations(OPERATIONS))
def test_an_order_is_true_when_each_comes_after_what_it_needs(order_given: list) -> None:
    place = {one.id: n for n, one in enumerate(order_given)}
    true = all(place[name] < place[one.id] for one in order_given for name in one.after)
    assert true == (order_faults(order_given) == [])


def test_our_own_order_is_true_and_swapping_coat_and_drill_is_not() -> None:
    assert order_faults(OPERATIONS, order().assembly[0].heats, HOT) == []
    ids = [one.id for one in OPERATIONS]
    swapped = list(OPERATIONS)
    a, b = ids.index("drill"), ids.index("coat")
    swapped[a], swapped[b] = swapped[b], swapped[a]
    codes = [fault.code for fault in order_faults(swapped)]
    assert codes
    assert set(codes) == {"RW441"}


@given(st.sampled_from([one.id for one in OPERATIONS if one.id != "bake"]), st.floats(300, 600))
def test_what_stands_less_than_the_bake_comes_with_an_operation_held_after_it(name: str, most: float) -> None:
    faults = order_faults(OPERATIONS, [Heat("a nut", name, most, "a page")], HOT)
    assert bool(faults) == (most < HOT and "bake" not in before(OPERATIONS)[name])
    assert all(fault.code == "RW442" for fault in faults)


@given(st.frozensets(st.sampled_from(NAMES)))
def test_leaving_operations_out_keeps_the_order_of_the_rest(drop: frozenset[str]) -> None:
    kept = without(OPERATIONS, drop)
    all_before = before(OPERATIONS)
    assert {one.id: before(kept)[one.id] for one in kept} == {
        one.id: all_before[one.id] - drop for one in kept
    }
    assert order_faults(kept) == []


def test_a_rack_without_coat_or_rings_goes_without_their_operations() -> None:
    d = rack().definition
    plain = replace(rack(), definition=replace(d, finish=None, bond=None, ring=(), strap=()))
    ids = {one.id for one in needed([plain], frozenset({"post", "block"}))}
    assert not ids & {"pretreat", "coat", "bake", "inspect_film", "bond_pads", "bend", "waterjet"}
    assert {"saw", "mill", "assemble", "release"} <= ids


# --- schedule ------------------------------------------------------------------------------------


@st.composite
def jobs(draw: st.DrawFn) -> list[Task]:
    """Tasks in a true order, some of them outside."""
    tasks: list[Task] = []
    for n in range(draw(st.integers(1, 12))):
        after = draw(st.sets(st.sampled_from(range(n)), max_size=3)) if n else set()
        away = draw(st.sampled_from([0, 0, 0, 2]))
        station = "" if away else draw(st.sampled_from(["saw", "mill", "jig"]))
        hours = 0.0 if away else draw(st.floats(0.1, 20))
        tasks.append(Task(f"t{n}", hours, tuple(f"t{k}" for k in sorted(after)), station, away))
    return tasks


@given(jobs())
def test_no_task_starts_too_soon_no_station_is_in_two_places_and_some_chain_has_no_slack(
    tasks: list[Task],
) -> None:
    placed = list_schedule(tasks, 8.0)
    for task in tasks:
        assert all(placed[name].end <= placed[task.id].start + 1e-9 for name in task.after)
    for station in {task.station for task in tasks if task.station}:
        here = sorted(
            (placed[task.id] for task in tasks if task.station == station), key=lambda one: one.start
        )
        assert all(one.end <= other.start + 1e-9 for one, other in pairwise(here))
    end = max(one.end for one in placed.values())
    assert any(one.critical and one.end == end for one in placed.values())
    assert any(one.critical and one.start == 0 for one in placed.values())
    assert end >= max(one.end for one in critical_path(tasks, 8.0).values()) - 1e-9


@given(jobs(), st.data())
def test_a_task_that_slips_by_its_slack_does_not_move_the_end(tasks: list[Task], data: st.DataObject) -> None:
    tasks = [replace(task, hours=1.5 if task.days_away else task.hours, days_away=0) for task in tasks]
    placed, late = critical_path(tasks), data.draw(st.sampled_from(tasks))
    end = max(one.end for one in placed.values())
    for more, moved in ((placed[late.id].slack, False), (placed[late.id].slack + 1, True)):
        longer = [replace(task, hours=task.hours + more) if task is late else task for task in tasks]
        after = max(one.end for one in critical_path(longer).values())
        assert (after > end + 1e-6) == moved


def test_what_is_ready_first_goes_first() -> None:
    """Two racks over jig and bench: the second is inspected after the first is released, not before."""
    rows = [("jig.1", 1, (), "jig"), ("jig.2", 4, (), "jig"), ("inspect.1", 1, ("jig.1",), "bench"),
            ("inspect.2", 1, ("jig.2",), "bench"), ("release.1", 1, ("inspect.1",), "bench")]  # fmt: skip
    placed = list_schedule([Task(*row) for row in rows], 8.0)
    assert {name: placed[name].start for name, *_ in rows} == {
        "jig.1": 0, "jig.2": 1, "inspect.1": 1, "release.1": 2, "inspect.2": 5,
    }  # fmt: skip
    with pytest.raises(KeyError):
        list_schedule([Task("b", 1, ("a",)), Task("a", 1, ("b",))], 8.0)


def test_days_pass_over_week_ends_and_closed_days() -> None:
    """From Wednesday 1 April, 8 h a day, Friday 3 April closed: 16 h end on Thursday, 17 h on Monday."""
    calendar = Calendar(hours_a_day=8, closed=("2026-04-03",))
    start = date(2026, 4, 1)
    assert day_at(calendar, start, 16, ends=True) == date(2026, 4, 2)
    assert day_at(calendar, start, 16, ends=False) == date(2026, 4, 6)
    assert day_at(calendar, start, 17, ends=True) == date(2026, 4, 6)
    assert working_days(calendar, date(2026, 4, 2), date(2026, 4, 7)) == 2
    assert working_days(calendar, date(2026, 4, 7), date(2026, 4, 2)) == -2


def test_an_outside_task_leaves_at_the_end_of_its_day() -> None:
    """Ready after 3 h of the first day, 3 days away, 8 h a day: back after 4 days, 32 h."""
    placed = list_schedule([Task("mask", 3, (), "bench"), Task("plate", 0, ("mask",), "", 3)], 8.0)
    assert placed["plate"].end == 32


# --- the order -----------------------------------------------------------------------------------


def test_the_order_is_done_rack_after_rack_before_it_is_due() -> None:
    route = timed()
    assert route.asked == ()
    assert route.faults == ()
    assert list(route.finish) == [1, 2, 3]
    assert route.finish[1] <= route.finish[2] <= route.finish[3] == route.ready
    assert route.slack == working_days(shop().calendar, route.ready, date(2026, 4, 17))


def test_every_step_starts_after_those_it_needs_and_all_pieces_pass_each_operation() -> None:
    route, pieces = timed(), order().demand[0][0].pieces
    assert route.placed is not None
    for step in route.steps:
        for other in route.steps:
            together = 0 in (step.rack, other.rack) or step.rack == other.rack
            if together and other.operation.id in step.operation.after:
                assert route.placed[other.id].end <= route.placed[step.id].start + 1e-9
    sawn = sum(step.pieces for step in route.steps if step.operation.id == "saw")
    assert sawn == 3 * len(pieces.sawn)
    assert sum(dict(step.counts)["hole"] for step in route.steps if step.operation.id == "drill") == 3 * sum(
        len(piece.holes) for piece in pieces.made
    )


def test_hours_of_the_saw_by_hand() -> None:
    """30 min to set up, 3 min a part number, 60 cuts at 75 s."""
    (saw,) = [step for step in timed().steps if step.operation.id == "saw"]
    numbers = {piece.part for piece in order().demand[0][0].pieces.sawn}
    assert saw.labour == pytest.approx(60 * (30 + 3 * len(numbers) + 75))


def test_an_operation_without_a_time_is_asked_for_and_there_is_no_date() -> None:
    rows = tuple(row for row in shop().operation_time if row.operation != "drill")
    route = plan(rack(), replace(shop(), operation_time=rows)).route
    assert "operation_time.drill" in [one.field for one in route.asked]
    assert (route.placed, route.ready, route.slack, route.hours) == (None, None, None, None)


def test_a_cycle_that_no_station_computes_is_asked_for_and_not_taken_as_nothing() -> None:
    house = replace(shop(), oven=None)
    assert "operation_time.bake.cycle_included" in [one.field for one in plan(rack(), house).route.asked]


def test_times_that_no_order_takes_give_no_date() -> None:
    rows = tuple(replace(row, setup=1e12) if row.operation == "saw" else row for row in shop().operation_time)
    route = plan(rack(), replace(shop(), operation_time=rows)).route
    assert (route.ready, [one.field for one in route.asked]) == (None, ["operation_time"])


def test_learning_shortens_run_hours_by_the_model_that_is_named() -> None:
    """Unit model, 80 percent, two built: the third and the fourth rack take 3^b/2^b and 4^b/2^b = 0.8 of the last."""
    flat = timed(replace(shop(), learning=None))
    steep = timed(replace(shop(), learning=Learning(model="unit", rate=0.8, built=2, known="a log")))
    run = {step.id: step.run for step in flat.steps}
    (second,) = [step for step in steep.steps if step.id == "drill.2"]
    assert second.run == pytest.approx(0.8 * (run["drill.2"] or 0))
    assert all(step.run == run[step.id] for step in steep.steps if step.rack == 0)


def test_set_up_is_paid_once_for_racks_alike() -> None:
    setups = [step.setup for step in timed().steps if step.operation.id == "drill"]
    assert setups[1:] == [0.0, 0.0]
    assert setups[0]


def test_outside_work_counts_what_goes_out() -> None:
    (out,) = [step for step in timed().steps if step.outside is not None]
    assert (out.operation.id, out.rack, out.pieces) == ("pretreat", 0, 3 * 35)


def test_fewer_screws_take_joints_and_holes_out_of_the_route_and_leave_the_saw_alone() -> None:
    fewer = plan(rack(STANDARD.replace('screw_pitch = "4 in"', 'screw_pitch = "8 in"')), shop()).route
    before_, after = ({step.id: dict(step.counts) for step in one.steps} for one in (order().route, fewer))
    assert after["drill.1"]["hole"] < before_["drill.1"]["hole"]
    assert after["assemble.1"]["joint"] < before_["assemble.1"]["joint"]
    assert after["saw"] == before_["saw"]
