"""Mechanisms are told by name, and softness is not mistaken for one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackwright.strength import frame as fr
from strategies import SEEDS, frames, load_cases

few = settings(max_examples=50, deadline=None)
FREE = np.zeros((2, 6), bool)


def beam(fixed: np.ndarray, **values) -> fr.Frame:
    section = {"E": 7e10, "G": 2.6e10, "A": 4e-4, "Iy": 9e-8, "Iz": 9e-8, "J": 1e-7, "rho": 2700.0} | values
    members = fr.Members(
        np.array([[0, 1]]), zref=np.array([0.0, 0, 1]), **{k: np.array(v) for k, v in section.items()}
    )
    return fr.Frame(np.array([[0.0, 0, 0], [1, 0, 0]]), fixed, members, names=("7", "8"))


def held(*freedoms: int) -> np.ndarray:
    fixed = FREE.copy()
    fixed[0, list(freedoms)] = True
    return fixed


def reason(frame: fr.Frame) -> str | None:
    return fr.solve(frame, fr.Cases(np.array([[1.0, 2, 3]]))).loose[0][0]


@pytest.mark.parametrize(
    ("fixed", "words"),
    [
        (held(1, 2, 3, 4, 5), "translation x"),
        (held(0, 2, 3, 4, 5), "translation y"),
        (held(0, 1, 3, 4, 5), "translation z"),
        (held(0, 1, 2, 4, 5), "rotation about x"),
        (held(0, 1, 2, 3, 5), "rotation about y"),
        (held(0, 1, 2, 3, 4), "rotation about z"),
    ],
)
def test_the_loose_freedom_is_named(fixed, words):
    assert words in reason(beam(fixed))


def test_a_node_that_nothing_reaches_is_named():
    frame = beam(held(*range(6)))
    frame = replace(
        frame, xyz=np.concatenate([frame.xyz, [[[0, 5, 0]]]], axis=1), fixed=np.concatenate([frame.fixed, FREE[:1]]),
        names=("7", "8", "9"),
    )  # fmt: skip
    assert "node 9" in reason(frame)


def test_a_released_cantilever_falls():
    assert "node 8 translation z" in reason(beam(held(*range(6)), end_spring=[[[0.0, np.inf], [np.inf] * 2]]))


@few
@given(st.data(), st.integers(0, 5))
def test_any_frame_short_of_one_support_is_loose(data, freedom):
    frame = data.draw(frames(springs=False))
    fixed = np.array(frame.fixed)
    fixed[0, freedom] = False
    r = fr.solve(replace(frame, fixed=fixed), data.draw(load_cases(frame.nodes)))
    assert all("nothing resists it" in why for why in r.loose[0])
    assert fr.modes(replace(frame, fixed=fixed), 2).loose[0] is not None


@few
@given(SEEDS, st.floats(-9, 9), st.floats(-6, 0))
def test_softness_is_no_mechanism_and_units_do_not_matter(seed, unit, soft):
    """A slender column of 30 pieces, one of them soft, in any unit of force."""
    n = 30
    rng = np.random.default_rng(seed)
    xyz = np.stack([np.zeros(n + 1), np.zeros(n + 1), np.linspace(0, 3, n + 1)], axis=1)
    scale = np.ones(n)
    scale[rng.integers(n)] = 10.0**soft
    members = fr.Members(
        np.stack([np.arange(n), np.arange(1, n + 1)], axis=1), zref=np.array([1.0, 0, 0]), E=7e10 * 10.0**unit * scale,
        G=2.6e10 * 10.0**unit * scale, A=np.array(4e-4), Iy=np.array(9e-8), Iz=np.array(9e-8), J=np.array(1e-7),
    )  # fmt: skip
    fixed = np.zeros((n + 1, 6), bool)
    fixed[0] = True
    nodal = np.zeros((1, n + 1, 6))
    nodal[0, -1, 0] = 10.0**unit
    r = fr.solve(fr.Frame(xyz, fixed, members), fr.Cases(np.zeros((1, 3)), nodal))
    exact = np.sum((np.diff((3 - xyz[:, 2]) ** 3) / -3) / (7e10 * 9e-8 * scale))
    assert r.loose[0][0] is None
    assert r.displacement[0, 0, -1, 0] == pytest.approx(exact, rel=1e-4)  # 16 digits of a motion of metres


@pytest.mark.parametrize("k", [1e-3, 1e-9, 1e-15, 1e-21])
def test_a_spring_softer_than_rounding_still_carries_its_load(k):
    """Beside beams of 1e3 N·m/rad: in the assembled matrix it would be rounded away."""
    frame = beam(held(0, 1, 2, 4, 5))
    frame = replace(frame, springs=fr.Springs(np.array([0]), np.array([3]), np.array([k])))
    nodal = np.zeros((1, 2, 6))
    nodal[0, 1, 3] = k
    r = fr.solve(frame, fr.Cases(np.zeros((1, 3)), nodal))
    assert r.displacement[0, 0, 0, 3] == pytest.approx(1.0, rel=1e-9)
    assert r.spring_force[0, 0, 0] == pytest.approx(-k, rel=1e-9)
