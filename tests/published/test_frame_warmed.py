"""Members that are warmed or preloaded: frames whose answer is a formula.

Sources: Timoshenko & Young, Theory of Structures, and Timoshenko, Strength of Materials part I §§7-8 (a bar between
walls; three bars to one point; a bolt through a sleeve), values worked here from the formulas.
"""

from __future__ import annotations

import numpy as np
import pytest

from rackwright.strength import frame as fr

E, A, ALPHA, WARM = 70e9, 4.0e-4, 23e-6, 40.0
WALL, SLIDE = [1, 1, 1, 1, 1, 1], [0, 1, 1, 1, 1, 1]
SOURCE, KIND = "Timoshenko, Strength of Materials I, §§7-8", "closed form"


def solve(xyz, ends, fixed, warming=None, **more) -> fr.Response:
    values = {
        "E": E,
        "G": 26e9,
        "A": A,
        "Iy": 1e-8,
        "Iz": 1e-8,
        "J": 1e-8,
        "alpha": ALPHA,
        "zref": (0.1, 0.2, 1.0),
    }
    members = fr.Members(np.array(ends), **{k: np.array(v) for k, v in (values | more).items()})
    warm = None if warming is None else np.array([warming], float)
    frame = fr.Frame(np.array(xyz, float), np.array(fixed, bool), members)
    return fr.solve(frame, fr.Cases(np.zeros((1, 3)), warming=warm))


def test_a_warmed_bar_between_walls(published) -> None:
    r = solve([[0, 0, 0], [2.0, 0, 0]], [[0, 1]], [WALL, WALL], [WARM])
    published(SOURCE, "bar between walls, N", -r.end_force[0, 0, 0, 6], E * A * ALPHA * WARM, KIND, 1e-12)
    assert r.residual[0, 0] < 1e-12


def test_a_warmed_bar_that_may_grow_has_no_force(published) -> None:
    r = solve([[0, 0, 0], [2.0, 0, 0]], [[0, 1]], [WALL, [0, 0, 0, 0, 0, 0]], [WARM])
    published(SOURCE, "free growth, m", r.displacement[0, 0, 1, 0], ALPHA * WARM * 2.0, KIND, 1e-12)
    assert abs(r.end_force[0, 0, 0]).max() < 1e-6


def test_two_bars_of_which_one_is_warmed(published) -> None:
    """In a row between walls, of lengths a and b: N = EA α ΔT a / (a + b)."""
    a, b = 0.5, 1.5
    r = solve([[0, 0, 0], [a, 0, 0], [a + b, 0, 0]], [[0, 1], [1, 2]], [WALL, SLIDE, WALL], [WARM, 0.0])
    force = E * A * ALPHA * WARM * a / (a + b)
    published(SOURCE, "two bars, N", -r.end_force[0, 0, 1, 6], force, KIND, 1e-12)
    published(SOURCE, "two bars, joint, m", r.displacement[0, 0, 1, 0], force * b / (E * A), KIND, 1e-12)


def test_three_bars_with_the_middle_one_warmed(published) -> None:
    """Bars to one point, the outer ones at an angle β: X = EA α ΔT / (1 + 1/(2 cos³ β)) in the middle one."""
    beta, length = np.radians(35), 1.0
    x = length * np.tan(beta)
    xyz = [[-x, 0, length], [0, 0, length], [x, 0, length], [0, 0, 0]]
    free = [0, 1, 0, 1, 1, 1]
    r = solve(xyz, [[0, 3], [1, 3], [2, 3]], [WALL, WALL, WALL, free], [0, WARM, 0], end_spring=0.0)
    middle = E * A * ALPHA * WARM / (1 + 1 / (2 * np.cos(beta) ** 3))
    published(SOURCE, "middle of three bars, N", -r.end_force[0, 0, 1, 6], middle, KIND, 1e-9)


def test_a_bolt_through_a_sleeve(published) -> None:
    """A bolt made short by P L/EA beside a sleeve of three times its area: 3/4 P stay in it, and press the sleeve."""
    P = 8000.0
    r = solve([[0, 0, 0], [0.1, 0, 0]], [[0, 1], [0, 1]], [WALL, SLIDE], A=[A, 3 * A], preload=[P, 0.0])
    published(SOURCE, "bolt, N", r.end_force[0, 0, 0, 6], 0.75 * P, KIND, 1e-12)
    published(SOURCE, "sleeve, N", -r.end_force[0, 0, 1, 6], 0.75 * P, KIND, 1e-12)


@pytest.mark.parametrize("factor", [0.5, -2.0])
def test_warming_counts_in_proportion(factor: float) -> None:
    xyz = [[0, 0, 0], [0, 0, 1.0], [1.0, 0, 1.0], [1.0, 0, 0]]
    bent = [WALL, [0] * 6, [0] * 6, WALL]
    one, other = (
        solve(xyz, [[0, 1], [1, 2], [2, 3]], bent, np.array([5.0, 30.0, -4.0]) * f) for f in (1.0, factor)
    )
    assert other.end_force == pytest.approx(one.end_force * factor, rel=1e-9, abs=1e-9)
    assert one.residual.max() < 1e-10
