"""Ties and pads: the one equilibrium, found by our way, by the slow sure way and by trying every acting set."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackwright.strength import frame as fr
from rackwright.strength.frame import one_sided
from rackwright.strength.frame.conditions import Problem
from rackwright.strength.frame.one_sided import acting_forces
from strategies import SEEDS, frames, load_cases

few = settings(max_examples=80, deadline=None)


@st.composite
def problems(draw) -> Problem:
    """Small problems, some with loose and soft motions."""
    rng = np.random.default_rng(draw(SEEDS))
    size, d = draw(st.integers(1, 6)), draw(st.integers(0, 2))
    root = rng.normal(size=(size, size))
    H = root @ root.T + np.diag(rng.uniform(0.01, 1, size))
    soft = rng.normal(size=(d, draw(st.integers(0, d))))
    return Problem(
        H, rng.normal(size=(size, d)), soft @ soft.T, rng.normal(size=(4, size)), rng.normal(size=(4, d))
    )


def rounding(p: Problem, n: np.ndarray) -> float:
    """What rounding alone may change of forces n: the condition of their equations (Golub & Van Loan 2.7)."""
    on = np.flatnonzero(n)
    matrix = np.block([[p.H[np.ix_(on, on)], -p.Bw[on]], [p.Bw[on].T, p.R]])
    condition = np.linalg.cond(matrix) if len(matrix) else 1.0
    return max(1e-9, 10 * np.finfo(float).eps * condition * abs(n).max(initial=1.0))


def every_acting_set(p: Problem, case: int) -> np.ndarray | None:
    """The forces by trying all sets: the only one in which all signs are right, None if there is none."""
    size = len(p.H)
    for acts in product([False, True], repeat=size):
        on = np.flatnonzero(acts)
        matrix = np.block([[p.H[np.ix_(on, on)], -p.Bw[on]], [p.Bw[on].T, p.R]])
        right = np.concatenate([-p.q[case, on], p.g[case]])
        if np.linalg.matrix_rank(matrix) < len(matrix):
            continue
        x = np.linalg.solve(matrix, right)
        n = np.zeros(size)
        n[on] = x[: len(on)]
        s = p.H @ n - p.Bw @ x[len(on) :] + p.q[case]
        if n.min(initial=0) >= -1e-9 and np.delete(s, on).min(initial=0) >= -1e-9:
            return n
    return None


@few
@given(problems())
def test_forces_are_those_of_the_only_right_set(problem):
    n, _, verdicts = acting_forces(problem)
    for case in range(4):
        right = every_acting_set(problem, case)
        assert (right is None) == (verdicts[case] is not None)
        if right is not None:
            assert n[case] == pytest.approx(right, rel=1e-8, abs=rounding(problem, right))


@few
@given(problems())
def test_the_quick_way_and_the_sure_way_agree(problem):
    quick, _, verdicts = acting_forces(problem)
    passes = one_sided.PASSES
    one_sided.PASSES = 0
    try:
        sure, _, others = acting_forces(problem)
    finally:
        one_sided.PASSES = passes
    assert [v and v.kind for v in verdicts] == [v and v.kind for v in others]
    for case in range(4):
        assert quick[case] == pytest.approx(sure[case], rel=1e-8, abs=rounding(problem, sure[case]))


@few
@given(st.data())
def test_every_tie_and_pad_obeys_its_own_law(data):
    """N = max(0, T0 + k e), with e taken anew from the displacements and the places."""
    frame = data.draw(frames(one_sided=True))
    r = fr.solve(frame, data.draw(load_cases(frame.nodes)))
    assert r.loose[0] == (None,) * 3
    assert r.residual.max() < 1e-9
    scale = np.abs(r.end_force).max()
    for t, (i, j) in enumerate(frame.ties.node):
        arm = frame.ties.offset[0, t]
        here, there = frame.xyz[0, i] + arm[0], arm[1] if j < 0 else frame.xyz[0, j] + arm[1]
        way = (there - here) / np.linalg.norm(there - here)
        far = 0.0 if j < 0 else _moves(r, j, arm[1]) @ way
        law = np.maximum(0, frame.ties.T0[0, t] + frame.ties.k[0, t] * (far - _moves(r, i, arm[0]) @ way))
        assert r.tie_force[0, :, t] == pytest.approx(law, rel=1e-7, abs=1e-8 * scale)
    for q, node in enumerate(frame.pads.node):
        sinks = -_moves(r, node, frame.pads.offset[0, q])[:, 2]
        law = np.maximum(0, frame.pads.T0[0, q] + frame.pads.k[0, q] * sinks)
        assert r.pad_force[0, :, q] == pytest.approx(law, rel=1e-7, abs=1e-8 * scale)


def _moves(r: fr.Response, node: int, arm: np.ndarray) -> np.ndarray:
    u = r.displacement[0, :, node]
    return u[:, :3] + np.cross(u[:, 3:], arm)


@few
@given(st.data())
def test_a_floating_frame_stands_on_its_ties_and_pads_or_says_why_not(data):
    """Only ties and pads hold the frame: in equilibrium to 1e-9, or a reason in words."""
    frame = data.draw(frames(held=False, springs=False, one_sided=True))
    pads = fr.Pads(np.arange(frame.nodes), push=np.array([0.0, 0, 1, 0, 0, 0]), k=np.array(1e6))
    frame = replace(frame, pads=pads)
    fixed = np.zeros((frame.nodes, 6), bool)
    fixed[:2, :2] = data.draw(st.booleans())
    frame = replace(frame, fixed=fixed)
    r = fr.solve(frame, data.draw(load_cases(frame.nodes)))
    for case, reason in enumerate(r.loose[0]):
        if reason is None and np.abs(r.displacement[0, case]).max() < 10:  # metres: no frame at all beyond
            assert r.residual[0, case] < 1e-9
        elif reason is not None:
            assert np.isnan(r.displacement[0, case]).all()
            assert ": " in reason


@few
@given(st.data())
def test_ties_without_pretension_are_plain_ties(data):
    frame = data.draw(frames(one_sided=True))
    ties = frame.ties
    plain = replace(frame, ties=fr.Ties(ties.node, ties.k, offset=ties.offset))
    zero = replace(frame, ties=replace(ties, T0=np.zeros(len(ties))))
    cases = data.draw(load_cases(frame.nodes))
    assert np.array_equal(fr.solve(plain, cases).displacement, fr.solve(zero, cases).displacement)


@few
@given(st.data())
def test_a_tie_that_never_slackens_is_a_spring_and_a_force(data):
    """With a pretension no load can undo, superposition holds again."""
    frame = data.draw(frames(one_sided=True))
    frame = replace(
        frame, ties=replace(frame.ties, T0=np.array(1e7)), pads=replace(frame.pads, T0=np.array(1e7))
    )
    cases = data.draw(load_cases(frame.nodes))
    three = fr.Cases(
        np.array([cases.inertia[0], cases.inertia[1], cases.inertia[0] + cases.inertia[1], np.zeros(3)]),
        np.array([cases.nodal[0], cases.nodal[1], cases.nodal[0] + cases.nodal[1], 0 * cases.nodal[0]]),
    )
    r = fr.solve(frame, three)
    if r.tie_acts.all() and r.pad_acts.all():
        u = r.displacement[0] - r.displacement[0, 3]
        assert np.abs(u[0] + u[1] - u[2]).max() <= 1e-7 * np.abs(r.displacement).max()


def _plank(**parts) -> fr.Frame:
    """A beam of 1 m along x over two nodes, ry, z and x free where not said otherwise."""
    members = fr.Members(
        np.array([[0, 1]]), zref=np.array([0.0, 0, 1]), E=np.array(7e10), G=np.array(2.6e10), A=np.array(4e-4),
        Iy=np.array(9e-8), Iz=np.array(9e-8), J=np.array(1e-7), rho=np.array(2700.0),
    )  # fmt: skip
    fixed = np.array([[1, 1, 0, 1, 0, 1], [0, 0, 0, 0, 0, 0]], bool)
    return fr.Frame(np.array([[0.0, 0, 0], [1, 0, 0]]), fixed, members, **parts)


PADS = fr.Pads(np.array([0, 1]), push=np.array([0.0, 0, 1, 0, 0, 0]), k=np.array(1e6))


@pytest.mark.parametrize(
    ("push", "word"),
    [([0, 0, 10.0], "lets go"), ([0, 0, 0.0], "not determined"), ([0, 0, -10.0], None)],
    ids=["thrown up", "nothing at all", "pressed down"],
)
def test_a_plank_on_two_pads(push, word):
    reason = fr.solve(_plank(pads=PADS), fr.Cases(np.array([push]))).loose[0][0]
    assert reason is None if word is None else word in reason


def test_a_plank_tips_over_its_pad():
    """A moment of more than W·L/2 lifts the plank off its far pad and over."""
    weight = 2700 * 4e-4 * 10
    nodal = np.zeros((2, 2, 6))
    nodal[:, 0, 4] = -0.49 * weight, -0.51 * weight
    nodal[:, 0, 4] *= -1
    r = fr.solve(_plank(pads=PADS), fr.Cases(np.array([[0.0, 0, -10]] * 2), nodal))
    assert r.loose[0][0] is None
    assert r.pad_force[0, 0] == pytest.approx([0.01 * weight, 0.99 * weight], rel=1e-6)
    assert "rotation about y" in r.loose[0][1]


def test_ties_pulling_against_each_other_hold_even_when_slack():
    """Two slack ties that block a motion both ways: no load along it, one answer. With one of them: none."""
    ground = np.array([[[0.0, 0, 0], [1, 1, 0]], [[0, 0, 0], [1, -1, 0]]])
    both = fr.Ties(np.array([[1, -1]] * 2), k=np.array(1e6), offset=ground)
    fixed = np.array([[1, 1, 1, 1, 1, 0], [0, 0, 0, 0, 0, 0]], bool)
    down = fr.Cases(np.array([[0.0, 0, -10]]))
    frame = replace(_plank(ties=both), fixed=fixed)
    r = fr.solve(frame, down)
    assert r.loose[0][0] is None
    assert not r.tie_acts.any()
    one = fr.Ties(both.node[:1], k=both.k[:1] if np.ndim(both.k) else both.k, offset=ground[:1])
    assert "not determined" in fr.solve(replace(frame, ties=one), down).loose[0][0]
