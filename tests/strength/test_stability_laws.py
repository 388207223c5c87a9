"""Laws of buckling factors and second-order answers of any frame, with masses on arms that tilt with their nodes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import racks
from rackwright.strength import corners as corners_of
from rackwright.strength import frame as fr
from rackwright.strength.checks.stability import stability
from strategies import SEEDS, carried, frames, load_cases, rotation

few = settings(max_examples=40, deadline=None)


@st.composite
def loaded(draw: st.DrawFn, most_nodes: int = 5) -> tuple[fr.Frame, fr.Cases]:
    """A held frame with carried masses under one case."""
    frame = draw(frames(springs=False, masses=False, most_nodes=most_nodes))
    rng = np.random.default_rng(draw(SEEDS))
    frame = replace(frame, masses=carried(rng, frame.xyz, 2))
    return frame, draw(load_cases(frame.nodes, count=1))


def scaled(cases: fr.Cases, by: float) -> fr.Cases:
    return fr.Cases(by * cases.inertia, by * cases.nodal)


def factor(frame: fr.Frame, cases: fr.Cases) -> float:
    response = fr.solve(frame, cases)
    assume(response.loose[0][0] is None)
    return float(fr.buckling(response).factor[0, 0])


def turned(vectors: np.ndarray, by: np.ndarray) -> np.ndarray:
    return (vectors.reshape(*vectors.shape[:-1], vectors.shape[-1] // 3, 3) @ by.T).reshape(vectors.shape)


@few
@given(loaded(), SEEDS)
def test_turning_the_axes_changes_no_factor_and_turns_second_order(given, seed) -> None:
    frame, cases = given
    Q, m, masses = rotation(np.random.default_rng(seed)), frame.members, frame.masses
    other = replace(
        frame, xyz=turned(frame.xyz, Q), members=replace(m, zref=turned(m.zref, Q), offset=turned(m.offset, Q)),
        masses=replace(masses, xyz=turned(masses.xyz, Q), offset=turned(masses.offset, Q)),
    )  # fmt: skip
    λ = factor(frame, cases)
    there = fr.Cases(turned(cases.inertia, Q), turned(cases.nodal, Q))
    assert factor(other, there) == pytest.approx(λ, rel=1e-6)
    by = min(0.5 * λ, 1e6)  # half way to buckling
    one, two = (
        fr.second_order(fr.solve(*pair)) for pair in ((frame, scaled(cases, by)), (other, scaled(there, by)))
    )
    assert one.why == two.why
    assume(one.why == ((None,),))
    moved = turned(one.displacement, Q)
    assert np.allclose(
        moved, two.displacement, rtol=1e-4, atol=1e-5 * np.nanmax(np.abs(moved)), equal_nan=True
    )


@few
@given(loaded(), st.floats(0.01, 100))
def test_scaling_the_load_divides_the_factor(given, by) -> None:
    frame, cases = given
    λ = factor(frame, cases)
    assume(1e-3 < λ < 1e6)
    # K(λ) of such frames has a condition of 1e10 and more: its last pivot, and λ with it, is known to 1e-16 of that
    assert factor(frame, scaled(cases, by)) * by == pytest.approx(λ, rel=1e-6)


@few
@given(loaded(), st.floats(0.1, 10))
def test_a_metal_so_many_times_as_stiff_buckles_at_so_many_times_the_load(given, by) -> None:
    """Without springs the stiffness is E and G throughout, and the forces of first order do not hang on it."""
    frame, cases = given
    λ = factor(frame, cases)
    assume(1e-3 < λ < 1e5)
    m = frame.members
    assume(np.all((m.end_spring == 0) | np.isinf(m.end_spring)))
    other = replace(frame, members=replace(m, E=m.E * by, G=m.G * by))
    assert factor(other, cases) == pytest.approx(by * λ, rel=1e-6)


@few
@given(loaded())
def test_second_order_tends_to_first_order_as_the_load_goes_to_nothing(given) -> None:
    """The difference falls with the load itself: a tenth of the load, a tenth of the relative difference."""
    frame, cases = given
    first = fr.solve(frame, cases)
    assume(first.loose[0][0] is None)
    P = np.abs(first.end_force).max()
    assume(P > 0)
    start = 1.0 / P  # N: far below any buckling load of these members
    apart = []
    for by in (start, 0.1 * start):
        response = fr.solve(frame, scaled(cases, by))
        second = fr.second_order(response)
        assert second.why == ((None,),)
        apart.append(np.abs(second.end_force - response.end_force).max() / np.abs(response.end_force).max())
    assert apart[0] < 1e-2
    assert apart[1] < 0.11 * apart[0] + 1e-8


@few
@given(loaded(most_nodes=3), st.integers(0, 1), st.floats(1.0, 20.0))
def test_no_factor_falls_when_a_member_of_a_determinate_frame_is_stiffened(given, which, times) -> None:
    """Statics alone gives the forces there; with redundants a stiffer member may draw load to a weaker one."""
    frame, cases = given
    count = len(frame.members.ends)
    assume(count == frame.nodes - 1 and which < count)
    grown = np.ones(count)
    grown[which] = times
    m = frame.members
    other = replace(frame, members=replace(m, E=m.E * grown, G=m.G * grown))
    assert factor(other, cases) >= factor(frame, cases) * (1 - 1e-6)


def test_the_corners_left_out_would_change_no_margin_of_stability(monkeypatch) -> None:
    """A centre moved along its force makes no couple, only another stiffness of the load: measured on the demo."""
    four = {m.id: m for m in stability(_run())}
    monkeypatch.setattr(corners_of, "FOUR", corners_of.EIGHT)
    run = _run()
    assert len(run.model.variants) == 36
    for margin in stability(run):
        assert margin.margin == pytest.approx(four[margin.id].margin, rel=1e-3)


def _run():
    run = racks.Design(racks.rack_of(racks.STANDARD, racks.VARIATION)).strength.run
    assert run is not None
    return run
