"""A batch of designs gives the numbers of each design alone."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import racks
import strategies
from racks import IN, LB, STANDARD, VARIATION, built, design_of, plain
from rackwright.design import Design
from rackwright.rack.model import Rack
from rackwright.strength.analyse import analyse
from rackwright.strength.vary import Batch, Variants

COUNT = 5


def the_variants() -> Variants:
    low, up = np.linspace(0.0, 1.0, COUNT), np.linspace(1.0, 7.0, COUNT) * IN
    return Variants(
        COUNT,
        mass={"lidar controller": 70 * LB * low, "radio tray": 11 * LB * (2 - low)},
        cg={"lidar controller": np.stack([8 * IN + 0 * up, 9 * IN - 0.3 * up, up], axis=1)},
        ground={"F2": np.stack([(42 + 9 * low) * IN, (-26 + 4 * low) * IN, 0 * low], axis=1)},
    )


def alone(design: Design, variants: Variants, n: int) -> Rack:
    """The rack of variant n, as its own definition."""
    d = design.rack.definition
    items = []
    for item in d.equipment:
        if item.name in variants.mass:
            item = replace(item, mass=float(variants.mass[item.name][n]), mass_tolerance=0.0)
        if item.name in variants.cg:
            x, y, z = (float(v) * 1e9 for v in variants.cg[item.name][n])
            item = replace(item, cg=(x, y, z))
        items.append(item)
    fittings = []
    for fitting in d.floor_fitting:
        if fitting.name in variants.ground:
            x, y, z = (float(v) * 1e9 for v in variants.ground[fitting.name][n])
            fitting = replace(fitting, at=(x, y, z))
        fittings.append(fitting)
    return replace(design.rack, definition=replace(d, equipment=tuple(items), floor_fitting=tuple(fittings)))


@pytest.mark.parametrize("standard", [False, True])
def test_every_margin_of_a_batch_is_that_of_the_design_alone(standard: bool) -> None:
    design = design_of(STANDARD) if standard else design_of(STANDARD, VARIATION)
    variants = the_variants()
    ids, values = Batch(design.rack, design.pieces).values(variants)
    assert len(np.unique(values[0])) == COUNT, "the variants differ"
    for n in range(COUNT):
        margins = [
            m for m in analyse(alone(design, variants, n), design.pieces).margins if m.piece != "frame"
        ]
        assert ids == tuple(margin.id for margin in margins)
        expected = np.array([np.nan if m.margin is None else m.margin for m in margins])
        np.testing.assert_allclose(np.minimum(values[:, n], 1e9), expected, rtol=1e-9, atol=1e-9)


def test_least_and_governing_are_those_of_the_design() -> None:
    design = design_of(STANDARD, VARIATION)
    found = Batch(design.rack, design.pieces).judge(Variants(1))
    least = design.strength.governing[0]
    assert found.margin[0] == pytest.approx(least.margin, abs=1e-12)
    assert found.governing == (least.id,)


def test_what_a_variant_alone_lacks_is_a_no() -> None:
    """A fitting so near that its strap pulls steeper than the table goes has no margin there, and the variant no."""
    tables = plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=20)])
    for fitting in tables["floor_fitting"]:
        fitting["allowable"] = [point for point in fitting["allowable"] if not point["pull"].startswith("90")]
    design = built(tables)
    at = np.array([[-18, -18, 0], [-2.2, -18, 0], [-1.0, -0.5, 0.0]]) * IN
    batch = Batch(design.rack, design.pieces)
    found = batch.judge(Variants(3, ground={"F front-left": at}))
    assert not batch.missing
    assert np.isfinite(found.margin[0])
    assert found.margin[2] == -np.inf
    assert found.governing[2] == "fitting.F front-left/pull"


def test_a_design_that_is_not_held_takes_nothing_from_those_beside_it() -> None:
    """What a test must show is asked of each design alone, though another of the batch has no equilibrium."""
    design = design_of(STANDARD, VARIATION)
    places = {one.name: np.array(one.at) * 1e-9 for one in design.rack.definition.floor_fitting}
    ground = {name: np.stack([places[name], places[front]]) for name, front in (("F3", "F1"), ("F4", "F2"))}
    found = Batch(design.rack, design.pieces).judge(Variants(2, ground=ground))
    least = min(one.margin for one in design.strength.margins if one.margin is not None)
    assert found.margin[0] == pytest.approx(least, abs=1e-9)
    assert found.margin[1] == -np.inf


@settings(max_examples=3, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(strategies.racks(most_shelves=2), st.lists(st.floats(0.05, 2.5), min_size=2, max_size=3))
def test_any_rack_in_a_batch_is_the_rack_alone(tables: dict[str, Any], times: list[float]) -> None:
    """Every margin, whatever the shelves, items, walls and anchors, to nine digits."""
    design = built(tables)
    own, share = (
        dict(zip(design.batch.model.items, design.batch.model.item_mass[0], strict=True)),
        np.array(times),
    )
    variants = Variants(len(times), mass={name: share * kg for name, kg in own.items()})
    ids, values = design.batch.values(variants)
    for n in range(len(times)):
        margins = [
            m for m in analyse(alone(design, variants, n), design.pieces).margins if m.piece != "frame"
        ]
        assert ids == tuple(margin.id for margin in margins)
        expected = np.array([np.nan if m.margin is None else m.margin for m in margins])
        np.testing.assert_allclose(np.minimum(values[:, n], 1e9), expected, rtol=1e-9, atol=1e-9)


def test_margins_of_the_whole_frame_in_a_batch_are_those_of_the_design_alone_or_lower_where_it_holds() -> (
    None
):
    design, variants = design_of(STANDARD, VARIATION), the_variants()
    batch = Batch(design.rack, design.pieces)
    ids, together = batch.values(variants, whole=True)
    frame = [n for n, id in enumerate(ids) if id.startswith("frame/")]
    assert [ids[n] for n in frame] == ["frame/buckling", "frame/second order"]
    for n in range(COUNT):
        known = {m.id: m.margin for m in analyse(alone(design, variants, n), design.pieces).margins}
        one = batch.values(variants.take(np.array([n])), whole=True)[1][:, 0]
        for row in frame:
            assert one[row] == pytest.approx(known[ids[row]], rel=1e-6)
            assert together[row, n] <= one[row] * (1 + 1e-6)
            assert (together[row, n] >= 0) or one[row] < 0
    assert (
        together[frame[0]] < 0.9 * batch.values(variants.take(np.array([0])), whole=True)[1][frame[0]]
    ).any()
