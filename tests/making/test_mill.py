"""Corner blocks: what is taken off, how long it takes by logged rates, and which of them are mirror images."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from making.shop_order import IN, design, items, nuts_in_blocks, shop
from rackwright.design import Design
from rackwright.making.mill import MillPlan, mill_plan
from rackwright.reference import shipped
from rackwright.shop import Shop, StockItem


def plan(
    stock: tuple[StockItem, ...] | None = None, house: Shop | None = None, quantity: int = 3
) -> MillPlan:
    return mill_plan(((design(), quantity),), items() if stock is None else stock, house or shop())


def by_rates() -> Shop:
    """The shop without a tool list."""
    mill = shop().mill
    assert mill is not None
    return replace(shop(), mill=replace(mill, tool=()))


def test_volume_and_surface_by_hand() -> None:
    """Cube 1.5 in, three spigots 2 in long and 1.246 square, less its holes; stock 3.625 x 3.75 x 3.75 in.

    Surface 6 x 2.25 + 3 x 4 x 1.246 x 2 = 43.404 in².
    """
    for line in plan().lines:
        assert line.stock_volume / 0.0254**3 == pytest.approx(3.625 * 3.75 * 3.75)
        solid = 1.5**3 + 3 * 2 * 1.246**2
        holes = sum(pi / 4 * (hole.diameter / IN) ** 2 * hole.depth / IN for hole in line.holes)
        assert line.finished / 0.0254**3 == pytest.approx(solid - holes, rel=1e-9)
        assert line.removed == pytest.approx(line.stock_volume - line.finished)
        assert line.surface / 0.0254**2 == pytest.approx(43.404)
        assert (line.grain, line.item) == ("z", "B-31")


def test_time_by_hand() -> None:
    """6111.55 rpm, 73.339 in/min, 0.25 x 0.5 in: 9.1673 in³/min; finishing 0.2 in x 60 in/min = 12 in²/min."""
    line = plan(house=by_rates()).lines[0]
    assert line.time_from == "rates"
    assert (line.speed or 0) * 60 == pytest.approx(6111.5498, rel=1e-7)
    rough = line.removed / 0.0254**3 / (0.25 * 0.5 * 73.3386 * 0.6)
    drill = (line.hole_depth / 0.0254 + 0.1 * len(line.holes)) / 12
    by_hand = rough + 43.404 / 12 + drill + (9 * 8 + 5 * 3 + 2 * 90) / 60
    assert (line.time or 0) / 60 == pytest.approx(by_hand, rel=1e-5)
    assert line.power == pytest.approx(0.25 * 0.5 * 73.3386 * 0.0254**3 / 60 * 0.91e9, rel=1e-5)


def test_hands() -> None:
    """Opposite corners are one piece by a half turn about the post, neighbours are mirror images."""
    by_id = {piece.id: piece.part for piece in design().pieces.made}
    lines = {line.part: line for line in plan().lines}
    for level in ("bottom", "top"):
        left, right, rear_left, rear_right = (
            lines[by_id[f"block.{level}.{corner}"]]
            for corner in ("front-left", "front-right", "rear-left", "rear-right")
        )
        assert left.same_as == rear_right.same_as
        assert right.same_as == rear_left.same_as != left.same_as
        assert right.part in left.mirror
        assert rear_right.part not in left.mirror
    assert not set(lines[by_id["block.top.front-left"]].mirror) & {by_id["block.bottom.front-right"]}


def test_without_the_posts_bolts_there_are_no_hands() -> None:
    """The posts' bolts run along x alone; without them x and y of a block are alike."""
    rack = design().rack
    d = rack.definition
    plain = replace(d, joint=replace(d.joint, post=()), ring=(), strap=())
    lines = mill_plan(((Design(replace(rack, definition=plain)), 1),), items(), shop()).lines
    assert all(line.mirror == () for line in lines)
    assert len({line.same_as for line in lines}) == 2  # bottom, with the pad's bolt, and top


def test_the_first_piece_is_measured_and_takes_longer() -> None:
    one, three = plan(quantity=1), plan(quantity=3)
    names = [[c.name for c in line.first_piece] for line in three.lines]
    assert names == [["spigot x", "spigot y", "spigot z"]] * 8
    cycles = sum(line.time or 0 for line in one.lines)
    assert (three.time or 0) - (one.time or 0) == pytest.approx(2 * cycles)
    programs = {line.same_as: line.time or 0 for line in one.lines}
    assert one.time == pytest.approx(cycles + 3 * sum(programs.values()))


def asked(found: MillPlan) -> list[str]:
    return [one.field for one in found.asked]


def test_what_is_absent_is_asked_for() -> None:
    assert asked(plan()) == []
    assert asked(mill_plan(((nuts_in_blocks(), 1),), items(), shop())) == ["pad.hardware"]
    assert asked(plan(house=replace(shop(), mill=None))) == ["mill"]
    unsized = tuple(replace(item, length_nm=None, width_nm=None) for item in items())
    found = plan(stock=unsized)
    assert asked(found)[:2] == ["item.length", "item.length"]
    assert found.lines[0].stock_size == (7 * IN // 2,) * 3
    assert found.lines[0].time_from == "rates"
    small = tuple(replace(item, width_nm=3 * IN) if item.id == "B-31" else item for item in items())
    assert "less" in plan(stock=small).asked[0].why
    for name in ("tool", "grip", "finish_stock"):
        mill = replace(shop().mill, **{name: () if name == "tool" else None})  # type: ignore[type-var,arg-type]
        found = plan(house=replace(shop(), mill=mill))
        assert asked(found)[0] == f"mill.{name}"
        assert found.time_from == "logged rates, a coarse estimate"
        assert found.lines[0].setups == ()


def test_a_weak_spindle_is_told() -> None:
    mill = shop().mill
    assert mill is not None
    assert plan().power_ok is True
    weak = plan(house=replace(shop(), mill=replace(mill, spindle_power=1000.0)))
    assert weak.power_ok is False
    assert any(check.name.startswith("power of operation") and not check.ok for check in weak.lines[0].checks)
    slow = plan(house=replace(by_rates(), mill=replace(mill, tool=(), most_spindle=50.0)))
    assert slow.lines[0].speed == 50.0
    assert (slow.time or 0) > (plan(house=by_rates()).time or 0)


def test_the_density_behind_the_volume_is_the_materials() -> None:
    density = shipped().materials[design().rack.definition.block.material].density or 0
    block = design().pieces.get("block.top.front-left")
    line = next(line for line in plan().lines if line.part == block.part)
    assert line.finished * density == pytest.approx(block.mass)
