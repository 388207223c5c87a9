"""Laws of margins in vibration: what the judges get is what the rack does, at its worst, and no more hangs on it.

Independent answers: the static solver for what is read off a motion; Miles' equation, Lyapunov's equation
(Crandall & Mark, Random Vibration in Mechanical Systems, 1963, from memory) and scipy's quadrature for covariances.
"""

from __future__ import annotations

from dataclasses import fields, replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.linalg import solve_continuous_lyapunov

from racks import STANDARD, VARIATION, built, design_of
from rackwright.design import Design
from rackwright.rack.vibration import BroadbandPoint
from rackwright.strength.cases import LoadCase
from rackwright.strength.checks.equipment import fixing_forces
from rackwright.strength.frame import Cases, as_drawn, solve
from rackwright.strength.margin import Margin
from rackwright.strength.solution import Solution
from rackwright.strength.vibration import in_vibration as shaking
from rackwright.strength.vibration.in_vibration import AtRest, InVibration, Shakes
from rackwright.strength.vibration.margins import SHAKEN_CHECKS, at_rest, vibration_margins
from rackwright.strength.vibration.spectrum import Driven, Shaken, driven
from strength.test_vibration_laws import shaken_rack

Key = tuple[str, str]
Array = np.ndarray
few = settings(max_examples=30, deadline=None)


@cache
def demo() -> Design:
    return design_of(STANDARD, VARIATION)


def shakes(design: Design, size: float = 1.0, flip: bool = False) -> list[Shakes]:
    """Every state at rest under the same flat motion of the floor along x, y and z, `size` times 1e-5 g²/Hz."""
    found = []
    for state in design.vibration.states:
        if not state.at_rest:
            continue
        if flip:
            sign = np.where(np.arange(len(state.modal.hz)) % 2, 1.0, -1.0)
            turned = [sign.reshape(-1, *[1] * (one.ndim - 1)) * one for one in
                      (state.modal.motion.node, state.modal.motion.body, state.modal.motion.seat)]  # fmt: skip
            motion = replace(state.modal.motion, node=turned[0], body=turned[1], seat=turned[2])
            modal = replace(
                state.modal, motion=motion, participation=sign[:, None] * state.modal.participation
            )
            state = replace(state, modal=modal)
        points = tuple(BroadbandPoint(frequency=f, density=size * 1e-5) for f in (5.0, 500.0))
        ways = np.eye(3)
        zeta = np.full(len(state.modal.hz), 0.03)
        by = tuple(
            (way, driven(Shaken(state.modal.hz, zeta, state.modal.participation @ way), points, ()))
            for way in ways
        )
        found.append(Shakes(state, by))
    return found


def margins(design: Design, size: float = 1.0, flip: bool = False) -> dict[tuple[str, str], Margin]:
    rest = at_rest(design.rack, design.pieces, design.strength.model)
    found, why = vibration_margins(rest, shakes(design, size, flip))
    assert not why
    return {(one.id, one.level): one for one in found}


def run_of(design: Design, size: float = 1.0) -> tuple[AtRest, InVibration]:
    rest = at_rest(design.rack, design.pieces, design.strength.model)
    made = shaking.in_vibration(rest, shakes(design, size), 1.5, False)
    assert isinstance(made, InVibration)
    return rest, made


def linear(run: AtRest, case: LoadCase, stiffness: Array) -> AtRest:
    """The rack under a case as drawn, its straps so stiff: straps and pads act as they do, and nothing turns."""
    ties = run.model.frame.ties
    frame = replace(run.model.frame, ties=replace(ties, k=stiffness[: len(ties)]))
    response = as_drawn(solve(frame, Cases(case.inertia[None])))
    return replace(run, cases=(case,), solution=Solution(response))


# --- what is read off a motion --------------------------------------------------------------------


@pytest.mark.parametrize("axis", range(3))
def test_a_floor_that_accelerates_slowly_is_a_static_case(axis: int) -> None:
    """Displacement by stiffness and acceleration by inertia, read by the linear parts of checks, are what the static
    solver adds for the same steady inertia: within members, at fixings, in straps."""
    design = demo()
    rest, made = run_of(design)
    case = rest.cases[0]
    more = replace(case, rack=case.rack - 1e-3 * np.eye(3)[axis])
    (group,) = [one for one in made.shaken if 0 in one.variants]
    still, pushed = (linear(rest, one, group.moving.state.stiffness) for one in (case, more))
    moving, modal = group.moving, group.moving.state.modal
    n = len(modal.hz)
    mix = np.zeros(len(moving.couples))
    mix[:n] = -modal.participation[:, axis] / (2 * np.pi * modal.hz) ** 2
    mix[n + axis] = mix[2 * n + 6 + axis] = 1.0
    item = next(one for one in design.rack.definition.equipment if one.isolators is None)
    post = design.pieces.get("post.front-left")
    for read in (
        lambda run: run.along(post, "limit")[..., [0, 1, 2, 4, 5]],
        lambda run: fixing_forces(run, item, "limit"),
        lambda run: run.tension("limit"),
    ):
        steady = np.einsum("c,c...->...", mix, read(moving)[0]) * 1e-3 * 9.80665
        static = (read(pushed) - read(still))[0, 0]
        assert steady == pytest.approx(static, rel=1e-4, abs=1e-6 * np.abs(static).max())


# --- covariance -----------------------------------------------------------------------------------


def one_mode(hz: float, zeta: float, points: tuple[BroadbandPoint, ...]) -> Driven:
    return driven(Shaken(np.array([hz]), np.array([zeta]), np.array([1.0])), points, ())


def flat(low: float, high: float, level: float) -> tuple[BroadbandPoint, ...]:
    return tuple(BroadbandPoint(frequency=f, density=level) for f in (low, high))


@few
@given(hz=st.floats(10, 100), zeta=st.floats(0.005, 0.03))
def test_one_mode_and_flat_input_is_miles(hz: float, zeta: float) -> None:
    """ω² z of a single freedom under flat input: σ = √(π/2 f Q S), Q = 1/2ζ."""
    by = one_mode(hz, zeta, flat(hz / 1000, hz * 1000, 0.02))
    w2 = (2 * np.pi * hz) ** 2
    ours = by.rms(np.array([[w2], [0.0], [0.0], [0.0], [0.0]]))[0]
    assert ours == pytest.approx(np.sqrt(np.pi / 2 * hz / (2 * zeta) * 0.02), rel=1e-3)


@few
@given(
    hz=st.tuples(st.floats(10, 60), st.floats(10, 60)),
    zeta=st.tuples(st.floats(0.01, 0.05), st.floats(0.01, 0.05)),
    mix=st.tuples(st.floats(0.2, 1), st.floats(-1, 1)),
)
def test_two_modes_under_white_noise_obey_lyapunov(
    hz: tuple[float, float], zeta: tuple[float, float], mix: tuple[float, float]
) -> None:
    """Any mix of two modes: A P + P Aᵀ + (S/2) b bᵀ = 0, one-sided S; close modes hang together."""
    w, z, size = 2 * np.pi * np.array(hz), np.array(zeta), np.array(mix)
    pushed = np.array([1.0, 0.7])
    A = np.block([[np.zeros((2, 2)), np.eye(2)], [-np.diag(w**2), -np.diag(2 * z * w)]])
    b = np.concatenate([[0.0, 0.0], -pushed])
    P = solve_continuous_lyapunov(A, -0.03 / 2 * np.outer(b, b))
    expected = np.sqrt(size @ P[:2, :2] @ size)
    by = driven(Shaken(np.array(hz), z, pushed), flat(1e-3, 1e5, 0.03), ())
    ours = by.rms(np.array([*size, 0, 0, 0, 0, 0])[:, None])[0]
    assert ours == pytest.approx(expected, rel=2e-3, abs=1e-9)


@few
@given(hz=st.floats(10, 60), zeta=st.floats(0.02, 0.1), parts=st.tuples(*[st.floats(-1, 1)] * 5))
def test_a_mix_of_parts_is_the_integral_of_its_density(
    hz: float, zeta: float, parts: tuple[float, ...]
) -> None:
    """Displacement, residual, acceleration and the floor's own, each with its weight, by scipy's quadrature."""
    w = 2 * np.pi * hz
    weights = np.array(parts) * np.array([1.0, 1 / w**2, 1 / w**2, 1 / w**4, 1 / w**2]) * w**2

    def square(f: float) -> float:
        x = 2 * np.pi * f
        q = -1 / (w**2 - x**2 + 2j * zeta * w * x)
        return 0.01 * float(np.abs(weights @ np.array([q, 1, -(x**2) * q, -(x**2), 1])) ** 2)

    inside = [hz * (1 + k * zeta) for k in (-8, -2, -1, 0, 1, 2, 8) if 5 < hz * (1 + k * zeta) < 200]
    expected = np.sqrt(quad(square, 5, 200, points=inside, limit=400, epsrel=1e-10)[0])
    ours = one_mode(hz, zeta, flat(5, 200, 0.01)).rms(weights[:, None])[0]
    assert ours == pytest.approx(expected, rel=1e-6, abs=1e-9)


# --- what the judges get --------------------------------------------------------------------------


class Within(InVibration):
    """Some place inside the range of every demand, each part its own: corners, edges and the inside."""

    seed: int

    def demand(self, level, read, signed=()):
        still, peak = read(self.rest), self.peak(read)[:, None]
        draw = np.random.default_rng([self.seed, still.size])
        shape = (len(peak), 2, *np.broadcast_shapes(still.shape, peak.shape)[2:])
        where = np.clip(draw.uniform(-1.6, 1.6, shape), -1.0, 1.0)  # corners often
        return (still + where * peak) * self._factor(level)


def same(one: dict[Key, float | None], two: dict[Key, float | None], rel: float) -> None:
    """The same margins, and the same ones missing; most are there."""
    assert one.keys() == two.keys()
    assert [key for key, value in one.items() if value is None] == [
        key for key, value in two.items() if value is None
    ]
    known = {key: value for key, value in one.items() if value is not None}
    assert len(known) > len(one) / 2
    for key, value in known.items():
        assert two[key] == pytest.approx(value, rel=rel, abs=rel)


def test_nothing_within_the_range_is_worse_than_its_ends() -> None:
    """Every check of the demo's rack, put to thousands of places inside its box: none gives a smaller margin."""
    _, ends = run_of(demo(), 3.0)
    worst = {(one.id, one.level): one.margin for check in SHAKEN_CHECKS for one in check(ends)}
    judged = 0
    for seed in range(6):
        within = Within(**{one.name: getattr(ends, one.name) for one in fields(ends)} | {"known": {}})
        object.__setattr__(within, "seed", seed)
        for check in SHAKEN_CHECKS:
            for one in check(within):
                least = worst[one.id, one.level]
                assert (one.margin is None) == (least is None)
                if one.margin is not None and least is not None:
                    judged += 1
                    assert one.margin >= least - 1e-9 * (1 + abs(least)), one.id
    assert judged > 6 * 300


def test_margins_fall_as_the_floor_shakes_more() -> None:
    less, more = margins(demo(), 1.0), margins(demo(), 4.0)
    assert less.keys() == more.keys()
    fallen = 0
    for key, one in less.items():
        if one.margin is not None:
            assert more[key].margin <= one.margin + 1e-12
            fallen += more[key].margin < one.margin - 1e-6
    assert fallen > 250


def test_a_floor_that_stands_still_leaves_the_margins_at_rest() -> None:
    """The same judges on the rack under its weight, without any range."""
    rest, _ = run_of(demo())
    still = shaking.in_vibration(rest, shakes(demo(), 1e-24), 1.0, False)
    assert isinstance(still, InVibration)
    for check in SHAKEN_CHECKS:
        for ours, theirs in zip(check(still), check(rest), strict=True):
            assert (ours.id, ours.level) == (theirs.id, theirs.level)
            assert (ours.margin is None) == (theirs.margin is None)
            if ours.margin is not None:
                assert ours.margin == pytest.approx(theirs.margin, rel=1e-6, abs=1e-6)


def test_the_sign_of_a_mode_is_nobodys_business() -> None:
    one, two = margins(demo()), margins(demo(), flip=True)
    same(
        {key: margin.margin for key, margin in one.items()},
        {key: margin.margin for key, margin in two.items()}, 1e-9,
    )  # fmt: skip


def test_turning_rack_and_spectrum_together_changes_nothing() -> None:
    tables = shaken_rack()
    tables["vibration"]["spectrum"][0]["axes"] = ["forward"]
    one = {(m.id, m.level): m.margin for m in built(tables).vibration.margins}
    tables["vibration"]["spectrum"][0]["axes"] = ["left"]
    tables["aircraft"]["forward"] = "+x"
    two = {(m.id, m.level): m.margin for m in built(tables).vibration.margins}
    assert one
    same(one, two, 1e-6)


def test_a_strap_that_goes_slack_leaves_no_margin_and_says_why() -> None:
    design = demo()
    rest = at_rest(design.rack, design.pieces, design.strength.model)
    found, why = vibration_margins(rest, shakes(design, 1e4))
    assert not found
    assert "goes slack" in why or "come to their stops" in why


def test_without_a_factor_of_safety_there_is_no_margin() -> None:
    design = demo()
    bare = replace(design.rack, definition=design.rack.definition.model_copy(update={"basis": None})) \
        if hasattr(design.rack.definition, "model_copy") \
        else replace(design.rack, definition=replace(design.rack.definition, basis=None))  # fmt: skip
    rest = at_rest(bare, design.pieces, design.strength.model)
    found, why = vibration_margins(rest, shakes(design))
    assert (found, why) == ((), "the basis names no factor of safety on limit loads")
