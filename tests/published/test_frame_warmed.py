"""Members that are warmed or preloaded: frames whose answer is a formula.

Sources: Timoshenko & Young, Theory of Structures, and Timoshenko, Strength of Materials part I §§7-8 (a bar between
walls; three bars to one point; a bolt through a sleeve), values worked here from the formulas.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from peers import VERSIONS, opensees
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


# --- growth, arms, ties -----------------------------------------------------------------------------------


def test_two_metals_side_by_side(published) -> None:
    """A bolt through a tube of another metal, both warmed: X = (α2 - α1) ΔT / (1/(E1 A1) + 1/(E2 A2))."""
    E2, A2, alpha2 = 2 * E, 2.5 * A, 12e-6
    r = solve([[0, 0, 0], [0.4, 0, 0]], [[0, 1], [0, 1]], [WALL, SLIDE], [WARM, WARM], E=[E, E2], A=[A, A2],
              alpha=[ALPHA, alpha2])  # fmt: skip
    force = (ALPHA - alpha2) * WARM / (1 / (E * A) + 1 / (E2 * A2))
    published(SOURCE, "tube of two metals, N", r.end_force[0, 0, 1, 6], force, KIND, 1e-12)
    published(SOURCE, "bolt of two metals, N", -r.end_force[0, 0, 0, 6], force, KIND, 1e-12)


def test_a_portal_whose_feet_go_apart(published) -> None:
    """Feet that the floor takes Δ apart are a beam that is Δ short: by slope and deflection (Timoshenko & Young,
    Theory of Structures), θ (4EIc/h + 2EIb/L) = 6EIc δ/h² and H = 12EIc δ/h³ - 6EIc θ/h², δ = Δ/2, no axial give."""
    h, span, grown = 1.2, 0.8, 5e-4
    Ic, Ib = 1e-8, 3e-8
    xyz = [[0, 0, 0], [0, 0, h], [span, 0, h], [span, 0, 0]]
    members = fr.Members(
        np.array([[0, 1], [1, 2], [2, 3]]), E=np.array(E), G=np.array(26e9), A=np.array(10.0), J=np.array(1e-8),
        Iy=np.array([Ic, Ib, Ic]), Iz=np.array([Ic, Ib, Ic]), zref=np.array([0.1, 1.0, 0.2]),
        growth=np.array([0.0, -grown, 0.0]),
    )  # fmt: skip
    free = [0] * 6
    r = fr.solve(
        fr.Frame(np.array(xyz), np.array([WALL, free, free, WALL], bool), members), fr.Cases(np.zeros((1, 3)))
    )
    d = grown * span / 2
    theta = 6 * E * Ic * d / h**2 / (4 * E * Ic / h + 2 * E * Ib / span)
    push = 12 * E * Ic * d / h**3 - 6 * E * Ic * theta / h**2
    published("slope and deflection", "portal, N", r.reaction[0, 0, 3, 0], push, KIND, 1e-6)
    published(
        "slope and deflection", "portal, corner, rad", abs(r.displacement[0, 0, 1, 4]), theta, KIND, 1e-6
    )


def strapped(pretension: float, k: float, growth: float = 0.0, warm: float | None = None) -> fr.Response:
    """A bar from a wall, and in line with it a strap on to the ground."""
    xyz, free = np.array([[0.0, 0, 0], [1.0, 0, 0]]), [0] * 6
    members = fr.Members(np.array([[0, 1]]), zref=np.array([0.0, 0, 1]), growth=np.array(growth), **{
        name: np.array(value) for name, value in
        {"E": E, "G": 26e9, "A": A, "Iy": 1e-8, "Iz": 1e-8, "J": 1e-8, "alpha": ALPHA}.items()
    })  # fmt: skip
    ties = fr.Ties(np.array([[1, -1]]), k=np.array(k), T0=np.array(pretension),
                   offset=np.array([[[0.0, 0, 0], [3.0, 0, 0]]]))  # fmt: skip
    frame = fr.Frame(xyz, np.array([WALL, free], bool), members, ties=ties)
    warming = None if warm is None else np.array([[0.0], [warm]])
    return fr.solve(frame, fr.Cases(np.zeros((1 if warm is None else 2, 3)), warming=warming))


@pytest.mark.parametrize("warm", [WARM, -WARM, 400.0])
def test_a_strap_gives_up_pretension_as_the_bar_warms(published, warm: float) -> None:
    """T = (T0 - k α ΔT L) / (1 + k L/EA) while it pulls; a warm enough bar leaves it slack. Followed or as drawn."""
    T0, k, bar = 3000.0, 8e5, E * A
    tension = max((T0 - k * ALPHA * warm) / (1 + k / bar), 0.0)
    drawn = strapped(T0, k, warm=warm)
    for name, answer in (("drawn", drawn), ("followed", fr.settle(drawn).response)):
        published(
            "statics", f"strap at {warm:+g} K, {name}, N", answer.tie_force[0, 1, 0], tension, KIND, 1e-9
        )
        published(
            "statics", f"strap before, {name}, N", answer.tie_force[0, 0, 0], T0 / (1 + k / bar), KIND, 1e-9
        )
        assert answer.end_force[0, 1, 0, 6] == pytest.approx(tension, rel=1e-9, abs=1e-6)
        assert answer.residual.max() < 1e-9
    grown = fr.settle(strapped(T0, k, growth=ALPHA * warm)).response
    assert grown.tie_force[0, 0, 0] == pytest.approx(tension, rel=1e-9, abs=1e-9)


def drawn_frame(seed: int) -> tuple[np.ndarray, fr.Members]:
    """Eight nodes and thirteen beams on arms, some of them hinged."""
    rng = np.random.default_rng(seed)
    xyz = np.array([[n % 2, (n // 2) % 2, n // 4] for n in range(8)]) + rng.uniform(-0.2, 0.2, (8, 3))
    ends = np.array([[i, j] for i in range(8) for j in range(i + 1, 8) if (i ^ j) in (1, 2, 4)] + [[0, 7]])
    count = len(ends)
    springs = np.where(rng.random((count, 2, 2)) < 0.15, 0.0, np.inf)
    return xyz, fr.Members(
        ends, zref=rng.normal(size=(count, 3)), E=rng.uniform(6e10, 2e11, count), G=np.full(count, 3e10),
        A=rng.uniform(2e-4, 5e-4, count), Iy=rng.uniform(2e-8, 1e-7, count), Iz=rng.uniform(2e-8, 1e-7, count),
        J=rng.uniform(3e-8, 2e-7, count), offset=rng.uniform(-0.08, 0.08, (count, 2, 3)), end_spring=springs,
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(6))
def test_what_grows_to_scale_is_not_pressed(seed: int) -> None:
    """A free strain that is the same everywhere moves every node by its share of its place, and presses nothing,
    arms and all (Boley & Weiner, Theory of Thermal Stresses, ch. 1)."""
    xyz, members = drawn_frame(seed)
    held = np.zeros((8, 6), bool)
    held[0] = True
    strain = 1e-3
    r = fr.solve(fr.Frame(xyz, held, replace(members, growth=np.array(strain))), fr.Cases(np.zeros((1, 3))))
    assert r.displacement[0, 0, :, :3] == pytest.approx(strain * (xyz - xyz[0]), abs=1e-11)
    assert np.abs(r.end_force).max() < 1e-8 * strain * 2e11 * 4e-4
    held[7] = True
    pressed = fr.solve(
        fr.Frame(xyz, held, replace(members, growth=np.array(strain))), fr.Cases(np.zeros((1, 3)))
    )
    assert np.abs(pressed.end_force).max() > 1e-3 * strain * 2e11 * 4e-4


@pytest.mark.parametrize("seed", range(4))
def test_cold_is_warm_the_other_way_round(seed: int) -> None:
    xyz, members = drawn_frame(seed)
    held = np.zeros((8, 6), bool)
    held[[0, 3, 5], :3] = True
    growth = np.random.default_rng(seed + 100).uniform(-1e-3, 1e-3, len(members))
    warm, cold = (
        fr.solve(
            fr.Frame(xyz, held, replace(members, growth=sign * growth)), fr.Cases(np.zeros((1, 3)))
        ).end_force
        for sign in (1.0, -1.0)
    )
    assert warm == pytest.approx(-cold, abs=1e-9 * np.abs(warm).max())


@pytest.mark.parametrize("seed", range(5))
def test_a_truss_with_strains_of_its_own_beside_a_library(published, seed: int) -> None:
    """Bars with initial strains in the compiled library (its material of that name), at held and free nodes."""
    rng = np.random.default_rng(seed)
    xyz = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [1.1, 0.9, 0.1], [0.5, 0.4, 1.0], [0.6, 0.7, 1.8]])
    xyz += rng.uniform(-0.1, 0.1, xyz.shape)
    ends = np.array([[a, b] for b in (4, 5) for a in range(b)])
    strain, area = rng.uniform(-1e-3, 1e-3, len(ends)), rng.uniform(2e-4, 6e-4, len(ends))
    ops = opensees()
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", 3)
    for n, at in enumerate(xyz.tolist()):
        ops.node(n, *at)
        ops.fix(n, *([int(n < 4)] * 3))
    ops.uniaxialMaterial("Elastic", 1, E)
    for n, (a, b) in enumerate(ends.tolist()):
        ops.uniaxialMaterial("InitStrainMaterial", n + 2, 1, -float(strain[n]))
        ops.element("Truss", n, a, b, float(area[n]), n + 2)
    settings = {"constraints": ["Plain"], "numberer": ["RCM"], "system": ["BandGeneral"],
                "test": ["NormUnbalance", 1e-8, 10], "algorithm": ["Newton"], "integrator": ["LoadControl", 1.0],
                "analysis": ["Static"]}  # fmt: skip
    for word, more in settings.items():
        getattr(ops, word)(*more)
    assert ops.analyze(1) == 0
    theirs = np.array([ops.basicForce(n)[0] for n in range(len(ends))])
    members = fr.Members(ends, zref=np.array([0.1, 0.2, 1.0]), E=np.array(E), G=np.array(E), A=area, growth=strain,
                         end_spring=np.array(0.0), **dict.fromkeys(("Iy", "Iz", "J"), np.array(1e-8)))  # fmt: skip
    held = np.zeros((6, 6), bool)
    held[:, 3:], held[:4] = True, True
    r = fr.solve(fr.Frame(xyz, held, members), fr.Cases(np.zeros((1, 3))))
    size = float(np.abs(theirs).max())
    assert r.end_force[0, 0, :, 6] == pytest.approx(theirs, abs=1e-9 * size)
    at = int(np.abs(theirs).argmax())
    published(
        VERSIONS[0],
        f"truss {seed + 1} of strained bars, N",
        r.end_force[0, 0, at, 6],
        theirs[at],
        "peer library",
        1e-9,
    )
