"""What is left between items and their neighbours in the deflected rack, by hand where statics gives it."""

from __future__ import annotations

from math import inf, isfinite
from typing import Any

import numpy as np
import pytest

from racks import STANDARD, VARIATION, built, design_of, item, plain, still_run
from rackwright.answers import prove_json
from rackwright.strength.checks.clearance import _Body, clearance
from rackwright.strength.checks.panel import panel_sag
from rackwright.strength.frame import cross
from rackwright.strength.margin import Margin
from rackwright.strength.solution import Solution

Tables = dict[str, Any]


def of(tables: Tables, tail: str = "clearance") -> dict[str, Margin]:
    found = [one for one in built(tables).strength.margins if one.id.endswith(tail)]
    return {one.piece.removeprefix("equipment."): one for one in found}


def rack(height: float = 15, **more: Any) -> Tables:
    one = {**item("low", "s", (4, 4), lb=30), **more}
    return plain(shelves={"s": 8, "t": height}, items=[one, item("high", "t", (4, 4), lb=30)])


def test_a_shelf_lowered_by_an_inch_leaves_an_inch_less() -> None:
    """The item is 6 in high on a shelf at 8 in; the panel above is 0.090 in thick under 15.5 in, its angle reaches
    1.5 in further down, but beside the item."""
    near, far = (of(rack(height))["low"] for height in (15.5, 16.5))
    assert near.place == far.place == "low to panel.t"
    assert near.allowable == pytest.approx((15.5 - 0.09 - 14) * 0.0254)
    assert far.allowable == pytest.approx(near.allowable + 0.0254)  # type: ignore[operator]
    assert far.margin > near.margin  # type: ignore[operator]


def test_the_panel_sags_by_its_beam() -> None:
    """20 g down on four feet: 20 × 30 × 33/32/4 = 154.69 lbf each, 2 in and 14 in from the left support of an 18 in
    span, 6 in of 0.090 in 2024 sheet (10.5e6 psi)."""
    run = still_run(built(rack()))
    down = [case.id for case in run.cases].index("emergency/down")
    feet, along = panel_sag(run, run.rack.definition.equipment[0], "ultimate")
    load, L, EI = 20 * 30 * 33 / 32 / 4, 18.0, 10.5e6 * 6 * 0.09**3 / 12

    def at(x: float, c: float) -> float:
        b = L - c
        return load * b * x * (L**2 - b**2 - x**2) / (6 * EI * L) if x <= c else at(L - x, L - c)

    by_hand = [at(x, 2.0) + at(x, 14.0) for x in np.linspace(0, L, 9)]
    assert -along[0, down, :9] / 0.0254 == pytest.approx(by_hand, rel=1e-9, abs=1e-12)
    assert -feet[0, down, 0] / 0.0254 == pytest.approx(at(2, 2) + at(2, 14), rel=1e-9)


def test_a_keep_out_counts_and_a_removal_path_does_not() -> None:
    box = {"at": ["2 in", "2 in", "6 in"], "size": ["4 in", "4 in", "1 in"]}
    bare, kept, path = (of(rack(15.5, **more))["low"] for more in (
        {}, {"keep_out": [{**box, "kind": "air"}]}, {"keep_out": [{**box, "kind": "removal path"}]}))  # fmt: skip
    assert kept.place == "low air to panel.t"
    assert kept.allowable == pytest.approx(bare.allowable - 0.0254)  # type: ignore[operator]
    assert path.allowable == bare.allowable


def test_what_comes_too_near_is_a_no() -> None:
    """A keep-out 0.01 in under the panel above: interference, a refusal at the item's line."""
    box = {"at": ["2 in", "2 in", "6 in"], "size": ["4 in", "4 in", "1.4 in"], "kind": "cable bend"}
    design = built(rack(15.5, keep_out=[box]))
    one = next(m for m in design.strength.margins if m.id == "equipment.low/clearance")
    assert one.margin < 0  # type: ignore[operator]
    assert any("equipment.low/clearance" in str(refusal) for refusal in design.refusals())
    row = prove_json(design)["clearance"]["low"]["ultimate"]
    assert row["remaining_m"] == pytest.approx(row["nominal_m"] - row["closing_m"])
    assert row["remaining_m"] < 0


def test_limit_and_ultimate_are_kept_apart() -> None:
    case = {"name": "c", "kind": "limit", "forward": 0, "left": 0, "up": -10, "document": "INVENTED"}
    tables = {**rack(15.5), "case": [case]}
    limit, ultimate = of(tables, "clearance at limit")["low"], of(tables)["low"]
    assert (limit.case, limit.level) == ("customer/c/limit", "limit")
    assert ultimate.case != limit.case
    assert limit.applied < ultimate.applied  # type: ignore[operator]


def test_a_rigid_body_is_judged_by_its_places_that_are_near() -> None:
    """Turned by 0.01 about y at its middle: its places at x 1 above a box there fall by 0.01, those at x -1 rise."""
    middle, zero = np.zeros(3), np.zeros((1, 1, 3))
    body = _Body("b", "b", -np.ones(3), np.ones(3), zero, cross(np.array([[[0.0, 0.01, 0.0]]])), middle)
    least, most = body.reach(np.array([[1.0, -1, -3], [-1.5, -1, -3]]), np.array([[1.5, 1, -2], [-1, 1, -2]]))
    assert least[2, 0, 0] == pytest.approx([-0.01, 0.01])
    assert most[2, 0, 0] == pytest.approx([-0.01, 0.01])


def test_the_whole_rack_shifting_closes_nothing() -> None:
    """A rigid motion of every node, however large, leaves every clearance as it was."""
    from dataclasses import replace

    run = built(rack()).strength.run
    assert run is not None
    xyz = run.model.frame.xyz[0]
    shifted = run.response.displacement.copy()
    shifted[..., :3] += np.array([0.05, 0.02, -0.01]) + np.cross([0.01, -0.02, 0.005], xyz)
    shifted[..., 3:] += [0.01, -0.02, 0.005]
    settled = replace(run.settled, response=replace(run.response, displacement=shifted))
    moved = replace(run, solution=Solution(settled))
    for one, other in zip(clearance(run), clearance(moved), strict=True):
        assert other.margin == pytest.approx(one.margin, rel=1e-6)


def test_the_demo_keeps_its_room() -> None:
    rows = prove_json(design_of(STANDARD, VARIATION))["clearance"]
    assert len(rows) == 5
    for row in rows.values():
        assert isfinite(row["ultimate"]["remaining_m"])
        assert 0 < row["ultimate"]["remaining_m"] < inf
