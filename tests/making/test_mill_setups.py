"""Setups of a corner block: what the operations take off is blank less solid; each rests on the shop's own tools."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, pi, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from making.shop_order import IN, design, items, shop
from rackwright.design import Design
from rackwright.making.asked import Asked
from rackwright.making.mill import BlockLine, MillPlan, mill_json, mill_plan
from rackwright.making.mill.operation import Operation, Task
from rackwright.making.mill.setups import Corner, Drilled, setups_of, time_of
from rackwright.making.mill.tooling import hole_tasks
from rackwright.plan import Plan
from rackwright.shop.machines import Mill
from rackwright.shop.tools import MillTool

INCH = 0.0254


def mill() -> Mill:
    found = shop().mill
    assert found is not None
    return found


def with_tool(ids: str, **change: object) -> Mill:
    """Tools of these ids, space between them, changed."""
    tools = tuple(replace(tool, **change) if tool.id in ids.split() else tool for tool in mill().tool)  # type: ignore[arg-type]
    return replace(mill(), tool=tools)


def without(id: str) -> Mill:
    return replace(mill(), tool=tuple(tool for tool in mill().tool if tool.id != id))


def plan(house: Mill | None = None, of: Design | None = None) -> MillPlan:
    return mill_plan(((of or design(), 1),), items(), replace(shop(), mill=house or mill()))


def made_with(**block: object) -> Design:
    rack = design().rack
    d = rack.definition
    return Design(replace(rack, definition=replace(d, block=replace(d.block, **block))))  # type: ignore[arg-type]


def operations(line: BlockLine) -> list[Operation]:
    return [one for setup in line.setups for one in setup.operations]


def failing(found: MillPlan) -> list[str]:
    return [check.name for check in found.lines[0].checks if not check.ok]


# --- laws ----------------------------------------------------------------------------------------

lengths = st.integers(8, 32).map(lambda n: n * IN // 16)


@given(lengths, lengths, st.floats(0.5, 0.95), st.integers(1, 12), st.integers(1, 12), st.integers(1, 30))
def test_what_is_taken_off_is_the_blank_less_the_solid(
    side: int, length: int, share: float, skin: int, grip: int, finish: int
) -> None:
    """For any cube, spigot, skin, grip and finishing stock."""
    width, f = round(side * share), min(finish * IN // 1000, (side - round(side * share)) // 3)
    over = side + length
    stock = (over + (grip + skin) * IN // 32, over + skin * IN // 8, over + skin * IN // 8)
    house = replace(mill(), grip=grip * IN // 32, finish_stock=max(1, f))
    asked: list[Asked] = []
    found = setups_of(Corner(side, length, width, (1, 1, 1)), stock, (), None, house, asked)
    taken = sum(one.task.removed for setup in found for one in setup.operations)
    solid = side**3 + 3 * length * width**2
    assert taken == pytest.approx((stock[0] * stock[1] * stock[2] - solid) * 1e-27, rel=1e-9)
    assert all(one.task.removed >= 0 for setup in found for one in setup.operations)


def test_with_the_mills_holes_it_is_what_the_block_lost() -> None:
    for line in plan().lines:
        jig = (
            sum(pi / 4 * hole.diameter**2 * hole.depth for hole in line.holes if hole not in line.milled)
            * 1e-27
        )
        taken = sum(one.task.removed for one in operations(line))
        assert taken + jig == pytest.approx(line.removed, rel=1e-9)


def test_time_is_the_sum_of_its_parts() -> None:
    """Feed times, changes, turns and loading; the sheet's order of tools counts the changes."""
    for line in plan().lines:
        cut = sum(one.time or 0 for one in operations(line))
        idle = sum(s.changes * mill().tool_change + s.turns * mill().index + mill().load for s in line.setups)
        assert line.time == pytest.approx(cut + idle)
        assert line.time_from == "operations"
    assert time_of((), mill()) is None


def test_every_side_is_reached_and_the_held_one_last() -> None:
    for line in plan().lines:
        first, second = line.setups
        assert set(first.sides) == set(line.sides[:-1])
        assert second.sides == line.sides[-1:]
        assert [one.number for one in operations(line)] == list(
            range(10, 10 * len(operations(line)) + 10, 10)
        )


def test_hours_and_price_follow_the_operations() -> None:
    """The route takes the mill's time from its plan; a slower tool costs more."""

    def whole(house: Mill) -> Plan:
        return Plan(((design(), 1),), (), replace(shop(), mill=house), items=items())

    usual, slow = whole(mill()), whole(with_tool("T2", chip=50_800))
    for one in (usual, slow):
        assert one.cycles["mill", 0] == one.mill.time
    assert (slow.mill.time or 0) > (usual.mill.time or 0)
    assert slow.price.known > usual.price.known


# --- by hand -------------------------------------------------------------------------------------


def test_roughing_by_hand() -> None:
    """T2: 0.75 in, 1200 ft/min: 6111.5 rpm; 3 x 0.005 in: 91.67 in/min. Around z: 1.988 deep in 4 layers of 0.497,
    3.5² - 1.27² = 10.637 in² in steps of 0.3 in, entered over 0.75 in; 13.67 in³/min take 4.56 hp."""
    line = plan().lines[0]
    one = next(one for one in operations(line) if one.task.kind == "rough")
    assert (one.task.side, one.tool and one.tool.id, one.layers) == ("+z", "T2", ceil(1.988 / 0.5))
    feed = 1200 * 12 / pi / 0.75 * 3 * 0.005
    assert (one.feed or 0) / INCH * 60 == pytest.approx(feed)
    assert (one.time or 0) / 60 == pytest.approx(4 * ((3.5**2 - 1.27**2) / 0.3 + 0.75) / feed)
    rate = 0.497 * 0.3 * feed
    assert (one.rate or 0) / INCH**3 * 60 == pytest.approx(rate)
    assert (one.power or 0) == pytest.approx(rate * INCH**3 / 60 * 0.91e9)
    assert (one.motor or 0) == pytest.approx((one.power or 0) / 0.8)


def test_drilling_by_hand() -> None:
    """17/64 drill of 118 deg: 0.5 in and a point of 0.2656/2/tan 59 = 0.0798 in, 0.1 in approach, 14.4 in/min."""
    one = next(one for one in operations(plan().lines[0]) if one.task.kind == "drill")
    feed = 250 * 12 / pi / 0.2656 * 2 * 0.002
    assert (one.axial or 0) / INCH == pytest.approx(0.5 + 0.2656 / 2 / tan(59 * pi / 180))
    assert (one.time or 0) / 60 == pytest.approx((0.5 + 0.0797950 + 0.1) / feed, rel=1e-5)
    assert one.task.before == 0
    tap = next(one for one in operations(plan().lines[0]) if one.task.kind == "tap")
    assert (tap.tool.id if tap.tool else "", tap.task.before) == ("T9", pytest.approx(0.2656 * INCH))


def test_a_reamed_hole_is_drilled_smaller() -> None:
    asked: list[Asked] = []
    hole = Task("drill", "-z", "pad", 0.75 * INCH, diameter=0.2505 * INCH)
    kinds = [(one.kind, one.diameter, one.before) for one in hole_tasks(hole, mill().tool, asked)]
    assert kinds[1:] == [("drill", pytest.approx(0.2344 * INCH), 0),
                         ("ream", 0.2505 * INCH, pytest.approx(0.2344 * INCH))]  # fmt: skip
    assert asked == []


def test_a_tap_moves_by_its_pitch() -> None:
    tap = MillTool(id="T10", kind="tap", diameter=IN // 4, flutes=3, material="steel", flute_length=IN, document="log",
                   thread="1/4-28", surface_speed=0.2)  # fmt: skip
    house = replace(mill(), tool=(*mill().tool, tap, replace(mill().tool[5], id="T11", diameter=5461000)))
    hole = Drilled("-z", "pad", 0.0127, 0.005461, "1/4-28 class 3B")
    asked: list[Asked] = []
    corner = Corner(3 * IN // 2, 2 * IN, 31648400, (1, 1, 1))
    found = setups_of(corner, (92075000, 95250000, 95250000), (hole,), None, house, asked)
    kinds = [one.task.kind for one in found[1].operations]
    assert kinds == ["face", "spot", "drill", "tap"]
    last = found[1].operations[-1]
    assert last.feed == pytest.approx((last.speed or 0) * INCH / 28)
    assert asked == []


# --- what does not hold --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("house", "name"),
    [
        (with_tool("T2 T3", reach=IN * 15 // 8, flute_length=IN), "depth of T2 against its reach"),
        (with_tool("T8", flute_length=IN * 1 // 2, reach=2 * IN), "depth of T8 against its flutes"),
        (with_tool("T3", radial=IN // 10), "width of cut of T3, operation 100"),
        (with_tool("T2 T3", corner_radius=IN * 3 // 16), "radius at the spigots' roots"),
        (replace(mill(), grip=IN * 3 // 25), "skin of the blank along the post"),
        (replace(mill(), spindle_power=2000.0), "power of operation 60"),
    ],
)
def test_each_check_can_say_no(house: Mill, name: str) -> None:
    assert name in failing(plan(house))
    assert failing(plan()) == []


def test_thin_walls_are_told_where_they_are() -> None:
    found = failing(plan(replace(mill(), least_wall=IN // 2)))
    assert len(found) == 2
    assert all("joint." in name for name in found)


def test_a_hole_at_the_root_is_told() -> None:
    """A hole 0.14 in from the shoulder leaves 0.015 in at its edge: less than a fillet of 0.03 in."""
    rack = made_with(fillet=IN * 3 // 100).rack
    d = rack.definition
    near = replace(d.joint, post=(replace(d.joint.post[0], at=IN * 14 // 100), d.joint.post[1]))
    found = plan(
        with_tool("T3", corner_radius=IN * 3 // 100), Design(replace(rack, definition=replace(d, joint=near)))
    )
    assert any(name.startswith("hole joint.post") and "root" in name for name in failing(found))


def test_the_fillet_of_the_definition_chooses_the_tool() -> None:
    """No tool of that radius: it is asked for, and the time is the coarse one."""
    found = plan(of=made_with(fillet=IN // 32))
    assert found.lines[0].time_from == "rates"
    assert any("1/32" in one.why or "0.03125 in" in one.why for one in found.asked)
    right = plan(with_tool("T3", corner_radius=IN // 32), made_with(fillet=IN // 32))
    assert right.lines[0].time_from == "operations"
    assert failing(right) == []


@pytest.mark.parametrize("id", ["T2", "T4", "T5", "T8", "T9"])
def test_a_tool_that_is_not_there_is_asked_for(id: str) -> None:
    """T3 roughs in place of T2, and nothing is asked."""
    found = plan(without(id))
    wanted = [one for one in found.asked if one.field.startswith("mill.tool")]
    assert bool(wanted) == (id != "T2")
    assert (found.lines[0].time_from == "rates") == (id != "T2")


@pytest.mark.parametrize("name", ["surface_speed", "chip", "axial", "radial"])
def test_what_was_not_measured_on_a_tool_is_asked_for(name: str) -> None:
    found = plan(with_tool("T2", **{name: None}))
    assert f"mill.tool.T2.{name}" in [one.field for one in found.asked]


def test_without_efficiency_the_motor_is_not_judged() -> None:
    found = plan(replace(mill(), efficiency=None))
    assert "mill.efficiency" in [one.field for one in found.asked]
    assert not any(check.name.startswith("power") for check in found.lines[0].checks)
    assert found.lines[0].time == plan().lines[0].time


def test_the_machine_limits_the_spindle() -> None:
    slow = plan(replace(mill(), most_spindle=50.0))
    for one in operations(slow.lines[0]):
        assert (one.speed or 0) <= 50.0
        assert one.slowed == ((one.speed or 0) == 50.0)
    assert (slow.time or 0) > (plan().time or 0)


def test_the_document_says_setups_in_order() -> None:
    data = mill_json(plan(), shop())
    blocks = data["blocks"]
    assert isinstance(blocks, dict)
    first = blocks["ER-47-B01"]
    assert [setup["number"] for setup in first["setups"]] == [1, 2]
    assert first["setups"][0]["operations"][0]["tool"] == "T1"
    assert {hole["drilled_on"] for hole in first["holes"]} == {"mill", "jig"}
    assert data["time_from"] == "operations with the shop's tools"
