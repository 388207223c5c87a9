"""Straps with a load-stretch curve in vibration: as stiff as the curve is steep at rest.

Independent answers: the solver that follows a rack to where its straps let it rest; a mass on two springs by hand.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from racks import STANDARD, VARIATION, design_of
from rackwright.design import Design
from rackwright.formulas.loads import G0
from rackwright.strength import frame as fr
from rackwright.strength.frame import Cases, Curve, modal_model, settle, solve
from rackwright.strength.rack_frame import PRETENSIONS, RackFrame
from rackwright.strength.vibration import in_vibration as shaking
from rackwright.strength.vibration.margins import at_rest
from rackwright.strength.vibration.quantities import Reader
from rackwright.strength.vibration.respond import vibrate
from rackwright.strength.vibration.states import ALL_ACT, State, states

DOWN = np.array([0.0, 0.0, -G0])


@cache
def demo() -> Design:
    return design_of(STANDARD, VARIATION)


def two_slopes(corner: float, first: float, second: float) -> Curve:
    """`first` and `second` N per strain, below and above `corner` N."""
    return Curve(
        np.array([0.0, corner / first, corner / first + 1]), np.array([0.0, corner, corner + second])
    )


def states_of(model: RackFrame, weight: float = 1.0) -> tuple[State, ...]:
    still = settle(solve(model.frame, Cases(weight * DOWN[None])), model.curves)
    return states(model, still.response, 0.0, 0.0, 12)


CORNERS = (300.0, 100.0, 300.0, 1000.0, 100.0, 300.0, 1000.0, 100.0)  # N, about pretensions of 178 and 667 N


def light(part: float) -> RackFrame:
    """The demo's rack with a part of its pretension, on straps of two slopes whose corners lie as much lower."""
    model = demo().strength.model
    ties = model.frame.ties
    curves = {n: two_slopes(part * corner, 1e5, 4e5) for n, corner in enumerate(CORNERS)}
    return replace(model, frame=replace(model.frame, ties=replace(ties, T0=part * ties.T0)), curves=curves)


def carried_more(part: float, axis: int, v: int) -> np.ndarray:
    """Forces of straps and pads for a thousandth of its weight more, by curves and as the rack rests; over `part`."""
    model, more = light(part), 1e-3 * G0 * np.eye(3)[axis]
    rest, pushed = (
        settle(solve(model.frame, Cases(part * case[None])), model.curves).response
        for case in (DOWN, DOWN + more)
    )
    grown = [getattr(pushed, name)[v, 0] - getattr(rest, name)[v, 0] for name in ("tie_force", "pad_force")]
    return np.concatenate(grown) / part


@pytest.mark.parametrize("axis", range(3))
@pytest.mark.parametrize("v", [0, 1])
def test_slow_shaking_is_what_the_rack_is_found_to_carry_more(axis: int, v: int) -> None:
    """The rack followed to rest along its straps' curves. What turning and tension add falls as the weight with the
    pretension does; it is left out here, and extrapolated away there."""
    found = 2 * carried_more(0.01, axis, v) - carried_more(0.02, axis, v)
    model = light(0.01)
    (state,) = [one for one in states_of(model, 0.01) if v in one.rests]
    assert state.modal.static is not None
    read = Reader(demo().rack, demo().pieces, model)
    held = [n for n, one in enumerate(read.quantities) if one.kind in ("strap", "pad")]
    ours = read.read(state.modal.static, state.variant, state.stiffness)[axis, held] * 1e-3 * G0
    assert ours == pytest.approx(found, rel=1e-4, abs=1e-5 * np.abs(found).max())


def test_a_curve_of_one_slope_is_the_straight_strap() -> None:
    """EA of the strap type in place of the curve, and a curve that is as steep: the same modes, peaks and margins."""
    design = demo()
    plain = replace(design.strength.model, curves={})
    ties, eye = plain.frame.ties, plain.frame.xyz[0, plain.frame.ties.node[:, 0]]
    length = np.linalg.norm(ties.offset[0, :, 1] - eye - ties.offset[0, :, 0], axis=-1)
    one = {
        n: Curve(np.array([0.0, 0.5, 1.0]), ea * np.array([0.0, 0.5, 1.0]))
        for n, ea in enumerate(ties.k[0] * length)
    }
    a, b = (
        vibrate(at_rest(design.rack, design.pieces, model)) for model in (plain, replace(plain, curves=one))
    )
    for x, y in zip(a.modes, b.modes, strict=True):
        assert (y.low_hz, y.high_hz) == pytest.approx((x.low_hz, x.high_hz), rel=1e-9)
    assert [one.peak for one in b.peaks] == pytest.approx([one.peak for one in a.peaks], rel=1e-9)
    assert a.margins
    assert [(m.id, m.margin is None) for m in a.margins] == [(m.id, m.margin is None) for m in b.margins]
    known = [(x.margin, y.margin) for x, y in zip(a.margins, b.margins, strict=True) if x.margin is not None]
    assert [y for _, y in known] == pytest.approx([x for x, _ in known], rel=1e-6)


# --- a mass on a pad and a spring, held down by one strap --------------------------------------------------------

MASS, PAD, SPRING, LENGTH = 12.0, 3e5, 1e5, 0.5


def bound(low: float, high: float, curve: Curve) -> RackFrame:
    """One node that moves up and down alone, on a pad and a spring, with a strap straight down to the floor."""
    fixed = np.ones((1, 6), dtype=bool)
    fixed[0, 2] = False
    ties = fr.Ties(node=np.array([[0, -1]]), k=np.array([1e5]), T0=np.array([[low], [high]] * 2),
                   offset=np.array([[[0.0, 0, 0], [0.0, 0, -LENGTH]]]))  # fmt: skip
    pads = fr.Pads(node=np.array([0]), push=np.array([0.0, 0, 1, 0, 0, 0]), k=np.array([PAD]))
    masses = fr.Masses.on_nodes(np.array([0]), np.array([MASS]), np.zeros((1, 3)))
    springs = fr.Springs(np.array([0]), np.array([2]), np.array(SPRING))  # a node alone is no body
    frame = fr.Frame(xyz=np.zeros((1, 3)), fixed=fixed, springs=springs, ties=ties, pads=pads, masses=masses)
    none = np.zeros((4, 0))
    return RackFrame(frame, ("n",), (), ("s",), ("p",), (), PRETENSIONS, (1.0,) * 4, PRETENSIONS, none,
                     none.reshape(4, 0, 3), (), {0: curve}, fr.Bodies.none())  # fmt: skip


def hz(k: float) -> float:
    return float(np.sqrt(k / MASS) / (2 * np.pi))


@pytest.mark.parametrize(
    ("low", "high", "slopes"), [(100, 200, (1e5, 1e5)), (100, 2000, (1e5, 3e5)), (2000, 3000, (3e5, 3e5))]
)
def test_a_mass_under_a_strap_of_two_slopes(low: float, high: float, slopes: tuple[float, float]) -> None:
    """f = √((k pad + k spring + slope/L) / m) / 2π, the slope of the curve where the strap rests; corner at 500 N.

    Of the pretension it keeps what its own slackening leaves: 729 N of 2000 N by hand, 94 N of 200 N.
    """
    found = states_of(bound(low, high, two_slopes(500.0, 1e5, 3e5)))
    for v, slope in enumerate(slopes):
        (state,) = [one for one in found if v in one.rests]
        assert state.modal.hz[0] == pytest.approx(hz(PAD + SPRING + slope / LENGTH), rel=1e-9)
    (every,) = [one for one in found if ALL_ACT in one.names]
    assert every.modal.hz[0] == pytest.approx(hz(PAD + SPRING + max(slopes) / LENGTH), rel=1e-9)


def test_on_a_corner_both_slopes_are_taken() -> None:
    """The curve's corner lies at the force to the last bit: two states of the one variant, and the range spans both."""
    model = bound(300.0, 700.0, two_slopes(500.0, 1e5, 3e5))
    still = settle(solve(model.frame, Cases(DOWN[None])), model.curves).response
    there = replace(model, curves={0: two_slopes(float(still.tie_force[0, 0, 0]), 1e5, 3e5)})
    found = [one for one in states(there, still, 0.0, 0.0, 1) if 0 in one.rests]
    assert sorted(one.modal.hz[0] for one in found) == pytest.approx(
        [hz(PAD + SPRING + 1e5 / LENGTH), hz(PAD + SPRING + 3e5 / LENGTH)], rel=1e-9
    )
    assert len({one.names[0] for one in found}) == 2


def test_where_a_curve_is_straight() -> None:
    curve = Curve(np.array([0.0, 1.0, 2.0, 3.0]), np.array([0.0, 10.0, 20.0, 50.0]))
    assert curve.straight(1.0, 19.0)  # its point at 10 N is no corner
    assert curve.straight(-1.0, 20.0)
    assert curve.straight(20.0, 50.0)
    assert not curve.straight(19.0, 21.0)
    assert not curve.straight(30.0, 51.0)
    assert curve.sides(20.0) == pytest.approx((10.0, 30.0))
    assert curve.sides(15.0) == pytest.approx((10.0, 10.0))


def test_a_peak_past_a_corner_is_not_judged() -> None:
    """A corner 20 N above what the straps carry at rest: the demo's floor pulls by more, and nothing is judged."""
    design = demo()
    rest = at_rest(design.rack, design.pieces, design.strength.model)
    most = float(rest.response.tie_force[:, 0, 4].max())
    model = replace(design.strength.model, curves={4: two_slopes(most + 20.0, 2e5, 4e5)})
    vibration = vibrate(at_rest(design.rack, design.pieces, model))
    assert {name for _, name, _ in vibration.bent} == {"strap.low front left"}
    assert {how for _, _, how in vibration.bent} == {shaking.BENDS}
    assert vibration.why_no_margins.startswith(f"strap.low front left {shaking.BENDS}")
    assert not vibration.margins
    bent = {state for state, _, _ in vibration.bent}
    assert all(one.margin is None for one in vibration.peaks if one.state in bent)


def test_the_first_frequencies_are_those_of_the_state_in_which_everything_acts() -> None:
    """Straps as steep as their curve is where the rack rests, not as their type is on the whole."""
    design = demo()
    state = next(state for state in design.vibration.states if ALL_ACT in state.names)
    assert design.modes_hz == pytest.approx(state.modal.hz[:4].tolist(), rel=1e-9)
    model = design.strength.model
    nominal = modal_model(model.frame, model.bodies, 0, np.ones(model.frame.one_sided, bool), at_least=4)
    assert abs(design.modes_hz[0] / nominal.hz[0] - 1) > 1e-3
