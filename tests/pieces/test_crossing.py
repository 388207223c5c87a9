"""Holes that meet in a block: distances of cylinders in space, and the fault at the line that places them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from making.shop_order import IN, design
from rackwright.design import Design
from rackwright.pieces.crossing import Cylinder, wall_between

points = st.tuples(*[st.integers(-40, 40)] * 3)
cylinders = st.builds(
    lambda at, axis, long, wide: Cylinder(at, tuple(v + long * (i == axis) for i, v in enumerate(at)), wide),  # type: ignore[arg-type]
    points, st.integers(0, 2), st.integers(1, 60), st.integers(1, 20),
)  # fmt: skip


@given(cylinders, cylinders)
def test_the_distance_is_that_of_the_axes_by_brute_force(one: Cylinder, other: Cylinder) -> None:
    """Every whole point of one axis against every one of the other: ends are whole, so the least is among them."""
    a, b = (np.stack([np.linspace(c.lo[i], c.hi[i], max(c.hi[k] - c.lo[k] for k in range(3)) + 1) for i in range(3)], 1)
            for c in (one, other))  # fmt: skip
    apart = np.sqrt(((a[:, None] - b[None]) ** 2).sum(-1)).min()
    assert wall_between(one, other) == pytest.approx(apart - (one.diameter + other.diameter) / 2)
    assert wall_between(one, other) == wall_between(other, one)


def with_post(second: float) -> Design:
    """The post's second bolt runs along y, at this place (in)."""
    rack = design().rack
    d = rack.definition
    first, other = d.joint.post
    moved = replace(d.joint, post=(first, replace(other, at=round(second * IN), through="y")))
    return Design(replace(rack, definition=replace(d, joint=moved, ring=(), strap=())))


@pytest.mark.parametrize(
    ("at", "code"), [(0.7, True), (0.76, True), (0.7704, True), (0.7706, False), (0.8, False)]
)
def test_holes_across_each_other_need_metal_between(at: float, code: bool) -> None:
    """The first at 1/2 in; holes of 0.2505 in, each placed to 0.010 in: from 0.7705 in on metal is sure to be left."""
    faults = [fault for fault in with_post(at).faults if fault.code == "RW204"]
    assert bool(faults) == code
    assert all(fault.where.field == "joint.post" and fault.where.line > 0 for fault in faults)
    if at == 0.76:
        assert any("leave 0.0095 in of metal" in fault.found for fault in faults)
