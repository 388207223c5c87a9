"""A counterbored pad worked by hand: 1.5 in square, 1/2 in, 3/4 by 1/4 in ± 0.010 in, of 6061-T651 bar."""

from __future__ import annotations

from math import pi

import pytest

from by_hand import FITTING, KSI, demo, run
from racks import LB, LBF, STANDARD, VARIATION, design_of, swap
from rackwright.design import Design
from rackwright.strength.checks.floor import floor_push
from rackwright.strength.margin import Margin


def of(design: Design, id: str) -> Margin:
    return next(one for one in design.strength.margins if one.id == id)


def test_the_ring_that_stands_on_the_floor() -> None:
    """At most 0.760 in is bored out: 2.25 - 0.4536 in² carry the largest push, held to Fcy 34 ksi."""
    area = 1.5**2 - pi / 4 * 0.76**2
    push = floor_push(run(), "ultimate").max() / LBF
    ring = of(demo(), "pads/ring")
    assert ring.margin == pytest.approx(34_000 * area / push - 1, rel=1e-6)
    floor = of(demo(), "floor/pressure")
    assert floor.margin == pytest.approx(1100 * area / push - 1, rel=1e-6)


def test_under_the_washer() -> None:
    """The insert lets go at 3100 lbf, before the bolt at 4080; washer 0.5 by 0.265 in."""
    found = of(demo(), "pads/under the washer")
    assert found.applied == pytest.approx(3100 / (pi / 4 * (0.5**2 - 0.265**2)) / 1000 * KSI, rel=1e-6)
    assert found.margin == pytest.approx(34 * KSI / found.applied - 1, rel=1e-9)


def test_the_web_holds_its_pad() -> None:
    """Shear round the washer through 0.24 in at 27 ksi against 20 g of the pad, fitting factor included."""
    pad = max(demo().pieces.get(f"pad.{corner}").mass for corner in ("front-left", "rear-right"))
    found = of(demo(), "pads/web")
    assert found.case == "emergency/down"
    allowed = 27_000 * pi * 0.5 * 0.24
    assert found.margin == pytest.approx(allowed / (20 * pad / LB * FITTING) - 1, rel=1e-6)


def test_without_a_counterbore_nothing_is_judged_and_it_is_asked() -> None:
    line = next(one for one in STANDARD.split("\n") if one.startswith("counterbore"))
    plain = design_of(swap(STANDARD, (line, "")), VARIATION)
    assert not [one for one in plain.strength.margins if one.id.startswith("pads/")]
    assert "pad.counterbore" in {one.id for one in plain.questions}


def test_a_row_that_does_not_cover_the_pad_leaves_its_margins_out() -> None:
    """The bar's row begins at 1/2 in: a pad of 0.49 in has no strength by it."""
    thin = design_of(
        swap(STANDARD, ('thickness = "1/2 in"\nstiffness', 'thickness = "0.49 in"\nstiffness')), VARIATION
    )
    found = [one for one in thin.strength.margins if one.id.startswith("pads/")]
    assert len(found) == 3
    assert all(one.margin is None and "thickness" in one.why_missing for one in found)
    assert of(thin, "floor/pressure").margin is not None
