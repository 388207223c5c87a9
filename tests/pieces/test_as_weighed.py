"""Masses that give what the scales found: exactly that weight and centre, and of all such changes the least."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import small_shop as small
from rackwright.pieces.as_weighed import Weight, as_weighed, can_be_so
from rackwright.pieces.weight import bare, bolt_points

PIECES = small.design().pieces
NOMINAL = bare(PIECES)
heavier, off = st.floats(0.8, 1.4), st.floats(-0.04, 0.04)


def weight(share: float, x: float, y: float) -> Weight:
    return Weight(NOMINAL.mass * share, float(NOMINAL.cg[0]) + x, float(NOMINAL.cg[1]) + y)


@settings(max_examples=25, deadline=None)
@given(heavier, off, off)
def test_the_pieces_weigh_what_was_weighed_and_stay_where_they_are(share: float, x: float, y: float) -> None:
    wanted = weight(share, x, y)
    made = as_weighed(PIECES, wanted)
    found = bare(made)
    assert (found.mass, found.cg[0], found.cg[1]) == pytest.approx(
        (wanted.mass, wanted.x, wanted.y), rel=1e-12
    )
    assert [(one.id, one.boxes, one.holes) for one in made.made] == [
        (one.id, one.boxes, one.holes) for one in PIECES.made
    ]
    assert abs(found.cg[2] - NOMINAL.cg[2]) < 0.02


@settings(max_examples=25, deadline=None)
@given(heavier, off, off, st.integers(0, 1_000_000))
def test_no_other_masses_that_give_it_are_nearer_to_the_computed(
    share: float, x: float, y: float, seed: int
) -> None:
    """Relative change squared, weighed by mass: any step that keeps weight and centre makes it greater."""
    mass, made = masses(None), masses(weight(share, x, y))
    at = np.array([one.cg for one in PIECES.made] + [point for _, point in bolt_points(PIECES)])[:, :2]
    kept = np.column_stack([np.ones(len(mass)), at])
    step = np.random.default_rng(seed).normal(size=len(mass)) * mass * 1e-3
    step -= kept @ np.linalg.lstsq(kept.T @ kept, kept.T @ step, rcond=None)[0]
    assert kept.T @ step == pytest.approx(np.zeros(3), abs=1e-9)
    assert change(mass, made + step) >= change(mass, made)


def masses(of: Weight | None) -> np.ndarray:
    pieces = as_weighed(PIECES, of)
    return np.array([one.mass for one in pieces.made] + [one.mass for one in pieces.bolts])


def change(mass: np.ndarray, made: np.ndarray) -> float:
    return float((mass * (made / mass - 1) ** 2).sum())


def test_nothing_weighed_or_as_computed_changes_nothing() -> None:
    assert as_weighed(PIECES, None) is PIECES
    assert masses(weight(1, 0, 0)) == pytest.approx(masses(None), rel=1e-12)


def test_a_centre_beyond_its_pads_is_of_no_such_pieces() -> None:
    assert can_be_so(PIECES, weight(1.2, 0.02, -0.02))
    assert not can_be_so(PIECES, weight(1, 0.4, 0))
    assert not can_be_so(PIECES, weight(0, 0, 0))
