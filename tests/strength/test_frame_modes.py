"""Natural frequencies: two ways to them agree, and acting ties and pads are springs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackwright.strength import frame as fr
from strategies import frames

few = settings(max_examples=50, deadline=None)


@few
@given(frames(springs=False))
def test_condensed_and_whole_mass_matrix_agree_on_massless_members(frame):
    """Carried masses, on one point, on a line, on several: members without mass, none on members."""
    frame = replace(frame, members=replace(frame.members, rho=np.array(0.0)), member_masses=fr.MemberMasses())
    one, other = fr.modes(frame, 3, member_mass=False), fr.modes(frame, 3, member_mass=True)
    assert np.allclose(one.hz, other.hz, rtol=1e-6, equal_nan=True)
    found = np.isfinite(one.hz[0])
    assert one.effective_mass[0, found].sum() == pytest.approx(other.effective_mass[0, found].sum(), rel=1e-4)


@few
@given(frames())
def test_effective_masses_add_up_to_no_more_than_there_is(frame):
    moved = fr.modes(frame, 200)
    total = fr.solve(frame, fr.Cases(np.zeros((1, 3)))).mass[0]
    assert np.nansum(moved.effective_mass[0], axis=0).max() <= total * (1 + 1e-9)
    hz = moved.hz[0][np.isfinite(moved.hz[0])]
    assert np.all(np.diff(hz) >= -1e-9 * hz[1:])


@few
@given(frames())
def test_shapes_belong_to_their_frequencies(frame):
    """The inertia forces of a mode, applied as loads, give back the mode: K φ = ω² M φ, masses on nodes alone."""
    node = np.arange(frame.nodes)
    masses = fr.Masses.on_nodes(node, np.linspace(1, 9, frame.nodes), frame.xyz[0])
    frame = replace(frame, masses=masses, member_masses=fr.MemberMasses())
    found = fr.modes(frame, 2, member_mass=False)
    force = np.zeros((2, frame.nodes, 6))
    force[:, :, :3] = found.shape[0, ..., :3] * np.linspace(1, 9, frame.nodes)[:, None]
    force *= (2 * np.pi * found.hz[0])[:, None, None] ** 2
    back = fr.solve(frame, fr.Cases(np.zeros((2, 3)), force)).displacement[0]
    assert back == pytest.approx(found.shape[0], rel=1e-6, abs=1e-7 * np.abs(back).max())


@few
@given(st.data())
def test_acting_pads_vibrate_as_springs_and_open_ones_not_at_all(data):
    frame = data.draw(frames())
    node = np.arange(1, frame.nodes)
    pads = fr.Pads(node, push=np.array([0.0, 0, 1, 0, 0, 0]), k=np.array(3e5))
    springs = fr.Springs(node, np.full(len(node), 2), np.array(3e5))
    plain = replace(frame, springs=fr.Springs())
    on_pads, on_springs = replace(plain, pads=pads), replace(plain, springs=springs)
    acts = np.ones(len(node), bool)
    for own in (False, True):
        stiff = fr.modes(on_pads, 3, acts, member_mass=own).hz
        assert np.allclose(stiff, fr.modes(on_springs, 3, member_mass=own).hz, rtol=1e-7, equal_nan=True)
        bare = fr.modes(on_pads, 3, ~acts, member_mass=own).hz
        assert np.allclose(bare, fr.modes(plain, 3, member_mass=own).hz, rtol=1e-7, equal_nan=True)


def test_a_floating_frame_has_modes_on_the_ties_that_act():
    """A mass point on two ties of 1 MN/m along x (other freedoms held): √(2k/m)/2π with both, √(k/m)/2π with one."""
    ground = np.array([[[0.0, 0, 0], [1, 0, 0]], [[0, 0, 0], [-1, 0, 0]]])
    xyz = np.zeros((1, 3))
    frame = fr.Frame(
        xyz, np.array([[0, 1, 1, 1, 1, 1]], bool), masses=fr.Masses.on_nodes(np.array([0]), np.array([8.0]), xyz),
        ties=fr.Ties(np.array([[0, -1]] * 2), k=np.array(1e6), offset=ground),
    )  # fmt: skip
    for acts, k in (([True, True], 2e6), ([True, False], 1e6)):
        hz = fr.modes(frame, 1, np.array(acts), member_mass=False).hz[0, 0]
        assert hz == pytest.approx(np.sqrt(k / 8) / (2 * np.pi), rel=1e-9)
    assert "nothing resists it" in fr.modes(frame, 1).loose[0]
