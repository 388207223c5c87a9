"""Laws every frame obeys, whatever it looks like."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from rackwright.strength import frame as fr
from rackwright.strength.frame.beam import geometry
from rackwright.strength.frame.carry import carrier_shares
from strategies import SEEDS, frames, load_cases, rotation

few = settings(max_examples=60, deadline=None)


def close(a, b, scale=None, tol=1e-9):
    """Equal within `tol` of the largest magnitude."""
    scale = max(np.abs(a).max(initial=0.0), np.abs(b).max(initial=0.0)) if scale is None else scale
    return np.abs(a - b).max(initial=0.0) <= tol * scale + 1e-300


def turned(vectors, by):
    """Vectors (...,3k) turned three by three."""
    return (vectors.reshape(*vectors.shape[:-1], vectors.shape[-1] // 3, 3) @ by.T).reshape(vectors.shape)


@few
@given(st.data())
def test_every_case_is_in_equilibrium(data):
    frame = data.draw(frames())
    response = fr.solve(frame, data.draw(load_cases(frame.nodes)))
    assert response.loose == ((None,) * 3,)
    assert response.residual.max() < 1e-9


@few
@given(st.data())
def test_work_is_reciprocal(data):
    """Maxwell and Betti: the forces of one case on the motion of another do the work of the other way round."""
    frame = data.draw(frames())
    cases = data.draw(load_cases(frame.nodes, count=2, inertia=False))
    u = fr.solve(frame, cases).displacement[0]
    one, other = np.sum(cases.nodal[0] * u[1]), np.sum(cases.nodal[1] * u[0])
    assert abs(one - other) <= 1e-9 * np.sum(np.abs(cases.nodal[0] * u[1]))


@few
@given(frames(held=False), SEEDS)
def test_rigid_motion_deforms_nothing(frame, seed):
    rng = np.random.default_rng(seed)
    shift, turn = rng.normal(size=3), rng.normal(size=3)
    move = np.concatenate([shift + np.cross(turn, frame.xyz[0]), np.tile(turn, (frame.nodes, 1))], axis=1)
    geo = geometry(frame)
    ends = move[frame.members.ends].reshape(len(frame.members), 12, 1)
    assert close(geo.reach[0] @ ends, np.zeros(1), scale=10.0, tol=1e-13)


@few
@given(frames(), SEEDS)
def test_carried_masses_follow_rigid_motion_and_balance(frame, seed):
    """Carrying forces balance the mass's inertia force at its place, and read backwards give its motion."""
    m = frame.masses
    share, twist = carrier_shares(frame)
    arm = (frame.xyz[:, m.node] + m.offset - m.xyz[:, m.carrier])[0]
    F = np.random.default_rng(seed).normal(size=(len(m), 3))[m.carrier]
    force = np.einsum("kij,kj->ki", share[0], F)
    moment = np.einsum("kij,kj->ki", twist[0], F) + np.cross(arm, force)
    for mass in range(len(m)):
        on = m.carrier == mass
        assert close(force[on].sum(axis=0), F[on][0], scale=np.abs(force[on]).sum(), tol=1e-10)
        assert close(moment[on].sum(axis=0), np.zeros(3), scale=np.abs(force[on]).sum(), tol=1e-10)


@few
@given(st.data(), SEEDS)
def test_turning_the_frame_turns_the_answer(data, seed):
    frame = data.draw(frames(springs=False, one_sided=True))
    cases = data.draw(load_cases(frame.nodes))
    Q = rotation(np.random.default_rng(seed))
    m, ties, pads, masses = frame.members, frame.ties, frame.pads, frame.masses
    other = replace(
        frame, xyz=turned(frame.xyz, Q), members=replace(m, zref=turned(m.zref, Q), offset=turned(m.offset, Q)),
        ties=replace(ties, offset=turned(ties.offset, Q)),
        pads=replace(pads, offset=turned(pads.offset, Q), push=turned(pads.push, Q)),
        masses=replace(masses, xyz=turned(masses.xyz, Q), offset=turned(masses.offset, Q)),
    )  # fmt: skip
    here = fr.solve(frame, cases)
    there = fr.solve(other, fr.Cases(turned(cases.inertia, Q), turned(cases.nodal, Q)))
    assert close(turned(here.displacement, Q), there.displacement, tol=1e-7)
    assert close(here.end_force, there.end_force, tol=1e-7)
    assert close(here.tie_force, there.tie_force, here.end_force.max(), tol=1e-7)
    assert np.allclose(fr.modes(frame, 3).hz, fr.modes(other, 3).hz, rtol=1e-7, equal_nan=True)


@few
@given(st.data(), st.sampled_from([0.2, 0.5, 0.9]))
def test_splitting_a_member_changes_nothing(data, part):
    frame = data.draw(frames(masses=False))
    cases = data.draw(load_cases(frame.nodes))
    whole, halves = fr.solve(frame, cases), fr.solve(_split(frame, part), _wider(cases))
    assert close(whole.displacement, halves.displacement[:, :, :-1])
    assert close(whole.end_force[:, :, 1:], halves.end_force[:, :, 1:-1], scale=np.abs(whole.end_force).max())
    assert close(
        whole.end_force[:, :, 0, :6], halves.end_force[:, :, 0, :6], scale=np.abs(whole.end_force).max()
    )
    assert close(
        whole.end_force[:, :, 0, 6:], halves.end_force[:, :, -1, 6:], scale=np.abs(whole.end_force).max()
    )
    inside = fr.internal_forces(whole, np.array([part]))[:, :, 0, 0]
    assert close(inside, halves.end_force[:, :, 0, 6:], scale=np.abs(whole.end_force).max())


def _split(frame: fr.Frame, part: float) -> fr.Frame:
    """The first member in two, its second piece last, with a new last node on its axis."""
    m, count = frame.members, len(frame.members)
    i, j = m.ends[0]
    start, end = frame.xyz[:, i] + m.offset[:, 0, 0], frame.xyz[:, j] + m.offset[:, 0, 1]
    xyz = np.concatenate([frame.xyz, (start + part * (end - start))[:, None]], axis=1)
    order = [*range(count), 0]
    values = {name: getattr(m, name)[:, order].copy() for name in m.tails}
    values["offset"][:, 0, 1] = values["offset"][:, -1, 0] = 0.0
    values["end_spring"][:, 0, 1] = values["end_spring"][:, -1, 0] = np.inf
    ends = np.concatenate([m.ends, [[frame.nodes, j]]])
    ends[0, 1] = frame.nodes
    fixed = np.concatenate([frame.fixed, np.zeros((1, 6), bool)])
    return replace(frame, xyz=xyz, fixed=fixed, members=fr.Members(ends, **values), names=())


def _wider(cases: fr.Cases) -> fr.Cases:
    return fr.Cases(cases.inertia, np.pad(cases.nodal, ((0, 0), (0, 1), (0, 0))))


@few
@given(st.data())
def test_masses_on_members_are_masses_on_nodes_of_the_split_member(data):
    frame = data.draw(frames(masses=False, springs=False))
    split = _split(frame, 0.4)
    at = 0.4 * geometry(frame).length[:, :1]
    on_member = replace(frame, member_masses=fr.MemberMasses(np.array([0]), at=at, m=np.array([7.0])))
    on_node = replace(
        split, masses=fr.Masses.on_nodes(np.array([split.nodes - 1]), np.array([7.0]), split.xyz)
    )
    cases = data.draw(load_cases(frame.nodes))
    one, other = fr.solve(on_member, cases), fr.solve(on_node, _wider(cases))
    assert close(one.displacement, other.displacement[:, :, :-1])
    assert close(one.end_force[:, :, 0, 6:], other.end_force[:, :, -1, 6:], np.abs(one.end_force).max())
    hz = fr.modes(on_member, 3, member_mass=False).hz
    assert np.allclose(hz, fr.modes(on_node, 3, member_mass=False).hz, rtol=1e-9, equal_nan=True)


@few
@given(st.data())
def test_a_mass_at_a_member_end_is_a_mass_on_its_node_but_for_the_end_force(data):
    frame = data.draw(frames(masses=False, springs=False))
    frame = replace(frame, members=replace(frame.members, offset=np.array(0.0)))
    node = frame.members.ends[0, 1]
    here = fr.MemberMasses(np.array([0]), at=geometry(frame).length[:, :1], m=np.array([5.0]))
    there = fr.Masses.on_nodes(np.array([node]), np.array([5.0]), frame.xyz)
    cases = data.draw(load_cases(frame.nodes))
    one, other = (
        fr.solve(replace(frame, member_masses=here), cases),
        fr.solve(replace(frame, masses=there), cases),
    )
    assert close(one.displacement, other.displacement)
    force = 5.0 * np.einsum("ij,cj->ci", geometry(frame).turn[0, 0], cases.inertia)
    assert close(
        one.end_force[0, :, 0, 6:9] + force, other.end_force[0, :, 0, 6:9], np.abs(force).max(), 1e-8
    )


@few
@given(st.data())
def test_internal_forces_join_the_ends(data):
    frame = data.draw(frames())
    response = fr.solve(frame, data.draw(load_cases(frame.nodes)))
    eps = 1e-15  # past masses at the very ends
    inside = fr.internal_forces(response, np.array([0.0, 1 + eps]))
    at_ends = np.isin(response.frame.member_masses.at, [0.0])
    scale = np.abs(response.end_force).max()
    if not at_ends.any():
        assert close(inside[..., 0, :], -response.end_force[..., :6], scale)
    assert close(inside[..., 1, :], response.end_force[..., 6:], scale, 1e-8)


@few
@given(st.data())
def test_a_batch_is_its_variants(data):
    frame = data.draw(frames(one_sided=True))
    cases = data.draw(load_cases(frame.nodes))
    scale = np.array([1.0, 1.3, 0.7])[:, None]
    batch = replace(frame, members=replace(frame.members, Iy=frame.members.Iy * scale))
    together = fr.solve(batch, cases)
    for v in range(3):
        alone = fr.solve(batch.variant(v), cases)
        assert alone.loose[0] == together.loose[v]
        assert close(alone.displacement[0], together.displacement[v], tol=1e-8)
        assert close(alone.end_force[0], together.end_force[v], tol=1e-8)
        assert close(alone.tie_force[0], together.tie_force[v], np.abs(alone.end_force).max(), 1e-8)


@few
@given(st.data(), st.floats(0.1, 10))
def test_answers_grow_with_the_load(data, factor):
    """Without pretension even ties and pads answer in proportion."""
    frame = data.draw(frames(one_sided=True))
    zero = np.array(0.0)
    frame = replace(frame, ties=replace(frame.ties, T0=zero), pads=replace(frame.pads, T0=zero))
    cases = data.draw(load_cases(frame.nodes))
    one = fr.solve(frame, cases)
    more = fr.solve(frame, fr.Cases(factor * cases.inertia, factor * cases.nodal))
    assert close(factor * one.displacement, more.displacement, tol=1e-8)
    assert close(factor * one.tie_force, more.tie_force, np.abs(more.end_force).max(), 1e-8)


@few
@given(st.data())
def test_local_axes_may_be_named_the_other_way_round(data):
    """A quarter turn of zref swaps the roles of local y and z, and the answer in global axes stays."""
    frame = data.draw(frames())
    cases = data.draw(load_cases(frame.nodes))
    m, y = frame.members, geometry(frame).turn[..., 1, :]
    other = replace(m, zref=-y, Iy=m.Iz, Iz=m.Iy, Asy=m.Asz, Asz=m.Asy, end_spring=m.end_spring[..., ::-1])
    here, there = fr.solve(frame, cases), fr.solve(replace(frame, members=other), cases)
    assert close(here.displacement, there.displacement)
    swapped = here.end_force[..., [0, 2, 1, 3, 5, 4, 6, 8, 7, 9, 11, 10]] * ([1, 1, -1] * 4)
    assert close(swapped, there.end_force, tol=1e-8)


@few
@given(st.data())
def test_a_loose_joint_is_the_limit_of_a_soft_one_and_a_rigid_joint_of_a_stiff_one(data):
    frame = data.draw(frames(masses=False))
    cases = data.draw(load_cases(frame.nodes))
    m = frame.members
    near = np.clip(m.end_spring, 1e-5, 1e14)
    one, other = fr.solve(frame, cases), fr.solve(replace(frame, members=replace(m, end_spring=near)), cases)
    assert close(one.end_force, other.end_force, tol=1e-6)
