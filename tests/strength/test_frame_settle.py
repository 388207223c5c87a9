"""Ties and racks that turn far: the settled answer is the true equilibrium, found here by other means."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq, minimize

from rackwright.strength import frame as fr
from rackwright.strength.frame.curve import Curve
from rackwright.strength.frame.settle import settle

STEEL = {"E": np.array(2e11), "G": np.array(8e10), "A": np.array(1e-2), "Iy": np.array(1e-5), "Iz": np.array(1e-5),
         "J": np.array(1e-5), "zref": np.array([0.3, 0.2, 0.9])}  # fmt: skip


SPRING = 1e4  # N/m


def hung(load: float, T0: float = 0.0, k: float = 1e5) -> fr.Response:
    """1 kg under two ties that slope up by 20 degrees to the left and right, 1 m along each way, and a spring."""
    xyz = np.array([[0.0, 0, 0]])
    drop = np.tan(np.radians(20))
    ends = np.array([[[0.0, 0, 0], [-1, 0, drop]], [[0, 0, 0], [1, 0, drop]]])
    ties = fr.Ties(np.array([[0, -1]] * 2), k=np.array(k), T0=np.array(T0), offset=ends)
    mass = fr.Masses.on_nodes(np.array([0]), np.array([1.0]), xyz)
    springs = fr.Springs(np.array([0, 0]), np.array([0, 2]), np.array(SPRING))  # a node alone is no body
    frame = fr.Frame(xyz, np.array([[0, 1, 0, 1, 1, 1]], bool), springs=springs, ties=ties, masses=mass)
    return fr.solve(frame, fr.Cases(np.array([[0, 0, -load]])))


@pytest.mark.parametrize("load", [100.0, 3000.0, 20000.0, 60000.0])
@pytest.mark.parametrize("T0", [0.0, 4000.0])
def test_a_weight_between_two_ties(load: float, T0: float) -> None:
    """2 T sin(angle) + k w = P on the ties as they hang: a root in the drop w."""
    drop, k = np.tan(np.radians(20)), 1e5
    drawn = np.hypot(1, drop)

    def tension(w: float) -> float:
        return max(T0 + k * (np.hypot(1, drop + w) - drawn), 0.0)

    w = brentq(
        lambda w: 2 * tension(w) * (drop + w) / np.hypot(1, drop + w) + SPRING * w - load, -0.3, 3, xtol=1e-13
    )
    found = settle(hung(load, T0))
    assert found.steps[0, 0] > 1
    assert -found.travel[0, 0, 0, 2] == pytest.approx(w, rel=1e-8, abs=1e-11)
    assert found.response.tie_force[0, 0] == pytest.approx([tension(w)] * 2, rel=1e-8)
    assert found.stretch[0, 0] == pytest.approx([tension(w) / k] * 2, rel=1e-8)
    assert found.swing[0, 0] == pytest.approx([abs(np.arctan(drop + w) - np.radians(20))] * 2, rel=1e-6)
    assert found.response.residual[0, 0] < 1e-9
    if load > 1e4:
        linear = hung(load, T0).tie_force[0, 0, 0]
        assert linear > 1.03 * found.response.tie_force[0, 0, 0], (
            "the small-displacement answer is another one"
        )


def test_small_loads_have_the_small_answer() -> None:
    """What is left of the difference falls with the square of the load."""
    off = []
    for load in (4.0, 2.0, 1.0):
        one, other = hung(load), settle(hung(load)).response
        off.append(abs(one.tie_force[0, 0, 0] - other.tie_force[0, 0, 0]) / load)
    assert off[0] == pytest.approx(2 * off[1], rel=0.01)
    assert off[1] == pytest.approx(2 * off[2], rel=0.01)


def test_a_tie_with_the_curve_of_its_maker() -> None:
    """Soft to 1 % (1 kN), then ten times stiffer: 2 T sin + k w = P with T from the curve; preloaded, from there."""
    curve = Curve(np.array([0.0, 0.01, 0.11]), np.array([0.0, 1000.0, 101000.0]))
    drop, load = np.tan(np.radians(20)), 4000.0
    drawn = np.hypot(1, drop)
    for T0 in (0.0, 500.0, 2500.0):
        first = float(np.interp(T0, curve.force, curve.strain))

        def tension(w: float, first: float = first) -> float:
            strain = first + (np.hypot(1, drop + w) - drawn) / drawn
            return float(np.interp(strain, curve.strain, curve.force))

        def pull(w: float) -> float:
            return 2 * tension(w) * (drop + w) / np.hypot(1, drop + w) + SPRING * w - load

        w = brentq(pull, -0.1, 0.2, xtol=1e-14)
        found = settle(hung(load, T0), {0: curve, 1: curve})
        assert -found.travel[0, 0, 0, 2] == pytest.approx(w, rel=1e-8)
        assert found.response.tie_force[0, 0] == pytest.approx([tension(w)] * 2, rel=1e-8)
    lost = settle(hung(4e5), {0: curve, 1: curve})
    assert "beyond the last point" in str(lost.response.loose[0][0])
    assert np.isnan(lost.response.tie_force).all()
    assert np.isnan(lost.travel).all()


@pytest.mark.parametrize(
    "points",
    [
        ([0.0, 0.1], [1.0, 2.0]),
        ([0.0, 0.1, 0.1], [0.0, 1.0, 2.0]),
        ([0.0, 0.1, 0.2], [0.0, 2.0, 1.0]),
        ([0.0], [0.0]),
    ],
)
def test_a_curve_rises_from_nothing(points: tuple[list[float], list[float]]) -> None:
    with pytest.raises(ValueError, match="rises from zero"):
        Curve(*(np.array(values) for values in points))


def block(load: tuple[float, float, float], pads: bool, k: float = 2e4, **steel: float) -> fr.Response:
    """A stiff block of 0.6 m on pads and six ties (or eight without pads), thrown by `load` N/kg; 100 kg high up."""
    corners = np.array([[x, y, z] for z in (0.0, 0.8) for y in (0.0, 0.6) for x in (0.0, 0.6)])
    ends = np.array([[i, j] for i in range(8) for j in range(i)])
    top = np.arange(4, 8)
    far = corners[top] + np.sign(corners[top] - 0.3) * [0.7, 0.5, 0] - [0, 0, 0.8]
    where = np.stack([np.zeros((4, 3)), far], axis=1)
    node = np.stack([top, np.full(4, -1)], axis=1)
    if not pads:
        up = corners[top] + [[-0.4, 0.5, 0.9], [0.5, 0.4, 0.9], [-0.5, -0.4, 0.9], [0.4, -0.5, 0.9]]
        where = np.concatenate([where, np.stack([np.zeros((4, 3)), up], axis=1)])
        node = np.concatenate([node, node])
    parts = {
        "ties": fr.Ties(node, k=np.array(k), T0=np.array(900.0), offset=where),
        "masses": fr.Masses(m=np.array([100.0]), xyz=np.array([[0.35, 0.28, 0.5]]), carrier=np.zeros(8, int),
                            node=np.arange(8), count=1),
    }  # fmt: skip
    if pads:
        parts["pads"] = fr.Pads(np.arange(4), push=np.array([0.0, 0, 1, 0, 0, 0]), k=np.array(5e5))
    frame = fr.Frame(
        corners,
        np.zeros((8, 6), bool),
        fr.Members(ends, **STEEL | {n: np.array(x) for n, x in steel.items()}),
        **parts,
    )
    return fr.solve(frame, fr.Cases(np.array([load], float)))


def least_energy(response: fr.Response) -> np.ndarray:
    """The place (8,3) of the block as a rigid body with the least energy of its ties, pads and load."""
    frame, a = response.frame, response.cases.inertia[0]
    xyz, ties, pads = frame.xyz[0], frame.ties, frame.pads
    centre = xyz.mean(axis=0)

    def place(q: np.ndarray, points: np.ndarray) -> np.ndarray:
        angle = np.linalg.norm(q[3:]) + 1e-300
        x = np.cross(np.eye(3), q[3:] / angle)
        turn = np.eye(3) - np.sin(angle) * x + (1 - np.cos(angle)) * x @ x
        return (points - centre) @ turn.T + centre + q[:3]

    start = xyz[ties.node[:, 0]]
    rest = np.linalg.norm(ties.offset[0, :, 1] - start, axis=1)

    def energy(q: np.ndarray) -> float:
        now = place(q, xyz)
        pull = ties.T0[0] + ties.k[0] * (
            np.linalg.norm(ties.offset[0, :, 1] - now[ties.node[:, 0]], axis=1) - rest
        )
        deep = np.maximum(-(now[pads.node, 2] - xyz[pads.node, 2]), 0.0)
        work = 100.0 * a @ (place(q, frame.masses.xyz[0])[0] - frame.masses.xyz[0, 0])
        return (np.maximum(pull, 0) ** 2 / (2 * ties.k[0])).sum() + (pads.k[0] * deep**2 / 2).sum() - work

    best = minimize(energy, np.zeros(6), method="BFGS", options={"gtol": 1e-6, "maxiter": 2000})
    best = minimize(
        energy, best.x, method="Nelder-Mead", options={"xatol": 1e-11, "fatol": 1e-13, "maxiter": 20000}
    )
    return place(best.x, xyz)


@pytest.mark.parametrize("pads", [False, True], ids=["between ties", "on pads"])
@pytest.mark.parametrize("load", [(30, 10, -10), (0, -45, -10), (60, 5, 3), (5, 90, -1), (-20, 70, -30)])
def test_a_block_that_rocks(load: tuple[float, float, float], pads: bool) -> None:
    """Against the least energy of a rigid body, which knows nothing of stiffness matrices."""
    response = block(load, pads)
    found = settle(response)
    assert found.response.loose == ((None,),)
    ours = response.frame.xyz[0] + found.travel[0, 0, :, :3]
    theirs = least_energy(response)
    moved = np.abs(theirs - response.frame.xyz[0]).max()
    assert moved > 0.02
    assert np.abs(ours - theirs).max() < 2e-3 * moved, "the block is stiff, not rigid"
    linear = response.frame.xyz[0] + response.displacement[0, 0, :, :3]
    assert np.abs(linear - theirs).max() > 5 * np.abs(ours - theirs).max()
    assert found.response.residual[0, 0] < 1e-9, "it is in balance where it stands"


def test_the_free_body_closes_where_it_stands() -> None:
    """Seen by the ground: ties along their turned lines at their moved eyes, pads upwards, the mass where it went."""
    response = block((0, -45, -10), True)
    found, frame = settle(response), response.frame
    turn, middle = found.turn[0, 0], frame.xyz[0].mean(axis=0)
    shift = found.travel[0, 0, :, :3] + frame.xyz[0] - (frame.xyz[0] - middle) @ turn.T - middle
    shift = shift.mean(axis=0)  # the block hardly bends

    def place(at: np.ndarray) -> np.ndarray:
        return (at - middle) @ turn.T + middle + shift

    eye = place(found.eye[0, 0])
    way = frame.ties.offset[0, :, 1] - eye
    assert found.way[0, 0] @ turn.T == pytest.approx(way / np.linalg.norm(way, axis=1)[:, None], abs=1e-4)
    pull = found.response.tie_force[0, 0][:, None] * (found.way[0, 0] @ turn.T)
    push = found.response.pad_force[0, 0][:, None] * np.array([0, 0, 1.0])
    thrown = 100.0 * response.cases.inertia[0]
    assert pull.sum(axis=0) + push.sum(axis=0) + thrown == pytest.approx(
        np.zeros(3), abs=1e-6 * np.linalg.norm(thrown)
    )
    at = place(frame.masses.xyz[0, 0])
    moment = np.cross(eye - at, pull).sum(axis=0) + np.cross(place(frame.xyz[0, :4]) - at, push).sum(axis=0)
    assert moment == pytest.approx(np.zeros(3), abs=1e-3 * np.linalg.norm(thrown))
    assert found.push[0, 0] @ turn.T == pytest.approx(np.tile([0, 0, 1.0], (4, 1)), abs=1e-12)
    assert turn @ found.response.cases.inertia[0, 0] == pytest.approx(response.cases.inertia[0], abs=1e-9)


def test_following_from_a_turned_place_changes_nothing() -> None:
    """Turning the whole about the upright axis turns the settled answer with it."""
    response = block((30, 10, -10), True)
    frame, angle = response.frame, 0.7
    R = np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]])
    other = replace(
        frame, xyz=frame.xyz @ R.T, members=replace(frame.members, zref=frame.members.zref @ R.T),
        ties=replace(frame.ties, offset=frame.ties.offset @ R.T),
        masses=replace(frame.masses, xyz=frame.masses.xyz @ R.T),
    )  # fmt: skip
    one, two = settle(response), settle(fr.solve(other, fr.Cases(response.cases.inertia @ R.T)))
    assert two.response.tie_force == pytest.approx(one.response.tie_force, rel=1e-6, abs=1e-3)
    assert two.travel[0, 0, :, :3] == pytest.approx(one.travel[0, 0, :, :3] @ R.T, abs=1e-7)
    assert two.response.end_force == pytest.approx(one.response.end_force, rel=1e-5, abs=1e-3)


def test_a_frame_that_bends_pulls_less() -> None:
    """A soft block gives way; the linear solver, begun at its place, hardly moves it."""
    soft = block((30, 10, -10), False, E=2e7)
    found = settle(soft)
    assert found.response.residual[0, 0] < 1e-9
    assert np.abs(found.response.displacement).max() > 1e-4
    again = fr.solve(found.moved.frame, found.moved.cases)
    assert again.tie_force[0, 0] == pytest.approx(found.response.tie_force[0, 0], rel=2e-3, abs=1.0)
    assert np.abs(again.displacement - again.displacement.mean(axis=2, keepdims=True)).max() < 0.05


def test_variants_are_followed_as_one_by_one() -> None:
    """Six variants, of two stiffnesses, under three cases."""
    loads = np.array([[30, 10, -10], [0, -45, -10], [60, 5, 3.0]])
    one = block(loads[0], True).frame
    frame = replace(
        one, ties=replace(one.ties, T0=np.array([[900.0], [100.0], [0.0]] * 2)),
        members=replace(one.members, E=np.array([[2e11]] * 3 + [[1e8]] * 3)),
    )  # fmt: skip
    all_ = settle(fr.solve(frame, fr.Cases(loads)))
    for v in range(6):
        for c in range(3):
            alone = settle(fr.solve(all_.response.frame.variant(v), fr.Cases(loads[c : c + 1])))
            for name in ("tie_force", "pad_force", "end_force"):
                ours, theirs = getattr(all_.response, name)[v, c], getattr(alone.response, name)[0, 0]
                assert ours == pytest.approx(theirs, rel=1e-9, abs=1e-6)


def test_what_is_not_followed() -> None:
    """No ties: as solved. Forces on nodes: refused."""
    response = block((30, 10, -10), True)
    held = np.broadcast_to(np.arange(8)[:, None] < 2, (8, 6))
    bare = fr.solve(replace(response.frame, ties=fr.Ties(), fixed=held), fr.Cases(response.cases.inertia))
    assert settle(bare).response is bare
    with pytest.raises(ValueError, match="not followed"):
        settle(replace(response, cases=replace(response.cases, nodal=np.zeros((1, 8, 6)))))
