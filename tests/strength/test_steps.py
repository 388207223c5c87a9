"""A margin's steps lead to it: what a step gives is what the next one, or the margin, starts from."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from racks import STANDARD, VARIATION, design_of
from rackwright.formulas.cards import explain
from rackwright.strength.margin import Margin

DESIGN = design_of(STANDARD, VARIATION)
#: mode -> the step whose result is the margin's applied or allowable
ENDS = {
    "floor fitting": ("fitting_pull", "applied"),
    "track": ("fitting_pull", "applied"),
    "isolator, captive": ("point_resultant", "applied"),
    "clearance of the deflected rack": ("closing_of_two", "applied"),
}
#: mode -> (step, the step that takes its result, and as which symbol)
LINKS = {
    "panel plate under a foot": ("feet_beside", "added_moment", "m2"),
    "shelf angle's leg pulled, at its root": ("pulls_together", "leg_point_moment", "P"),
    "rail, leg at its root": ("leg_load", "leg_root_stress", "P"),
}
SCREWS = ("shelf bolts in", "rail bolts in", "panel screws in", "equipment screws in")


def of(*modes: str) -> Iterator[Margin]:
    found = [m for m in DESIGN.strength.margins if m.mode.startswith(modes) and m.margin is not None]
    assert found
    yield from found


def result(margin: Margin, card: str) -> float:
    (values,) = [values for name, values in margin.steps if name == card][-1:]
    return float(np.max(explain(card, values).result))


@pytest.mark.parametrize("mode", ENDS)
def test_the_load_comes_from_its_step(mode: str) -> None:
    card, which = ENDS[mode]
    for margin in of(mode):
        assert result(margin, card) == pytest.approx(getattr(margin, which), rel=1e-12)


def test_a_fittings_allowable_is_read_between_two_points_of_its_table() -> None:
    for margin in of("floor fitting"):
        assert result(margin, "table_between") == pytest.approx(margin.allowable, rel=1e-12)
        assert result(margin, "pull_angle") == pytest.approx(
            dict(margin.steps)["table_between"]["x"], abs=1e-9
        )


@pytest.mark.parametrize("mode", LINKS)
def test_a_step_starts_from_the_one_before(mode: str) -> None:
    card, taker, symbol = LINKS[mode]
    for margin in of(mode):
        assert result(margin, card) == pytest.approx(dict(margin.steps)[taker][symbol], rel=1e-12)


def test_shear_and_pull_of_screws_are_those_of_their_ratios() -> None:
    for margin in of(*SCREWS):
        steps = dict(margin.steps)
        assert result(margin, "screw_shear") == pytest.approx(steps["shear_ratio"]["P"], rel=1e-12)
        pulls = [name for name in ("pried_pull", "pulls_added", "angle_bolt_pull") if name in steps]
        if pulls:
            assert result(margin, pulls[-1]) == pytest.approx(
                steps["tension_ratio"]["P"], rel=1e-12, abs=1e-9
            )


def test_buckling_is_told_as_a_column_of_the_tube_that_is_pressed_most() -> None:
    (margin,) = of("buckling of the frame")
    assert 0.5 < result(margin, "buckling_length") < 3.0
    assert dict(margin.steps)["buckling_length"]["k"] == pytest.approx((margin.margin or 0.0) + 1.0)
