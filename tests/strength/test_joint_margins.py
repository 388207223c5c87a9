"""Margins of the demo's joints, tubes and shelf angles worked again by hand, as in `test_rack_margins`."""

from __future__ import annotations

from math import cos, pi, radians, sqrt

import numpy as np
import pytest

from by_hand import AREA, FITTING, SECOND, Array, demo, margin_of, run, sheared, solved
from racks import (
    IN,
    LBF,
    STANDARD,
    VARIATION,
    built,
    design_of,
    plain,
)

# --- joints and tubes ------------------------------------------------------------------------------------


def at_the_bolts(high: bool) -> list[Array]:
    """Sizes of the forces (lbf, in·lbf) in the rear right post 7/8 in from its end, as the frame has them on both
    sides of the ring that is fixed there."""
    length = run().pieces.get("post.rear-right").length
    assert length is not None
    from_low = length * 1e-9 - 0.875 * IN if high else 0.875 * IN
    unit = np.array([LBF] * 3 + [LBF * IN] * 3)
    return [np.abs(f) / unit for f in run().sides("post.rear-right", from_low, "ultimate")]


def wall_loads(high: bool) -> Array:
    """At a wall: two bolts in a row along x, 3/4 in apart, walls 1.375 in apart. A quarter of N and V on each of the
    four places; the moment about x by ±3/8 in: M × 0.375/(4 × 0.375²) = M/1.5; torsion and the moment about y by the
    couple of the walls, two bolts each: /(2 × 1.375)."""
    return np.stack([np.hypot(f[..., 0] / 4 + f[..., 4] / 2.75, f[..., 1] / 4 + f[..., 3] / 2.75 + f[..., 5] / 1.5)
                     for f in at_the_bolts(high)])  # fmt: skip


def test_the_joint_s_pattern_is_the_one_worked_here() -> None:
    at = [bolt.at / 25_400_000 for bolt in demo().rack.definition.joint.post]
    assert at == [0.5, 1.25]
    assert {bolt.through for bolt in demo().rack.definition.joint.post} == {"x"}


@pytest.mark.parametrize("end", ["low", "high"])
def test_bolts_in_double_shear(end: str) -> None:
    """AN4: 3680 lbf at each wall."""
    worst = wall_loads(end == "high").max()
    assert margin_of(f"joint.post.rear-right.{end}/bolt shear") == pytest.approx(
        3680 / (FITTING * worst) - 1, rel=1e-6
    )


@pytest.mark.parametrize("end", ["low", "high"])
def test_bearing_in_the_tube(end: str) -> None:
    """Least edge distance 1/2 in over 1/4 in is e/D 2.0: 88 ksi. 88 000 × 0.25 × 0.125 = 2750 lbf a wall."""
    worst = wall_loads(end == "high").max()
    assert margin_of(f"joint.post.rear-right.{end}/tube bearing") == pytest.approx(
        2750 / (FITTING * worst) - 1, rel=1e-6
    )


@pytest.mark.parametrize("end", ["low", "high"])
def test_tear_out_of_the_tube(end: str) -> None:
    """Two planes of 0.5 - 0.12525 cos 40° = 0.40405 in, 0.125 in thick, 27 ksi: 2727.4 lbf."""
    strength = 2 * 0.125 * (0.5 - 0.12525 * cos(radians(40))) * 27_000
    assert strength == pytest.approx(2727.4, abs=0.1)
    worst = wall_loads(end == "high").max()
    assert margin_of(f"joint.post.rear-right.{end}/tube tear-out") == pytest.approx(
        strength / (FITTING * worst) - 1, rel=1e-6
    )


def test_bearing_in_the_spigot() -> None:
    """Each wall's load on half of 1.25 - 0.004 = 1.246 in of block, e/D 2.0: 88 000 × 0.25 × 0.623 = 13 706 lbf."""
    worst = wall_loads(False).max()
    found = margin_of("joint.post.rear-right.low/spigot bearing")
    assert found == pytest.approx(13_706 / (FITTING * worst) - 1, rel=1e-6)


def test_tightening() -> None:
    """60 in·lbf over 0.14 × 0.25 in: 1714.3 lbf of preload, of the AN4's 4080.

    Under a washer of 0.500 in on 0.265: 1714.3/0.141195 in² = 12 141 psi of 34 ksi. Half of the 0.004 in gap bends the
    wall of 1.25 in: 12 × 9.9e6 × 0.125 × 0.002/1.25² = 19 008 psi of 35 ksi.
    """
    preload = 60 / (0.14 * 0.25)
    pressure = preload / (pi / 4 * (0.5**2 - 0.265**2))
    assert (preload, pressure) == (pytest.approx(1714.3, abs=0.05), pytest.approx(12_141, abs=1))
    assert margin_of("joint/preload") == pytest.approx(4080 / preload - 1, rel=1e-6)
    assert margin_of("joint/wall under the washer") == pytest.approx(34_000 / pressure - 1, rel=1e-6)
    assert margin_of("joint/wall on to the spigot") == pytest.approx(35_000 / 19_008 - 1, rel=1e-6)


def test_without_torque_and_nut_factor_there_is_a_question_and_no_margin_of_tightening() -> None:
    tables = plain()
    tables["joint"] = {**tables["joint"], "tightening": None}
    design = built(tables)
    assert "joint.tightening" in {question.id for question in design.questions}
    gone = [margin for margin in design.strength.margins if margin.margin is None]
    assert [margin.id for margin in gone] == ["joint/preload"]
    assert not design.strength.holds


def test_bearing_between_the_tabled_edge_distances() -> None:
    """Shelf angle: bolts 3/8 in from its end, e/D 1.5: 64 ksi of the extrusion's A row, on 3/16 in: 3000 lbf."""
    (head,) = [m for m in demo().strength.margins if m.id == "shelf.upper.left.front/angle bearing"]
    assert head.allowable is not None
    assert head.allowable / LBF == pytest.approx(64_000 * 0.25 * 0.1875, rel=1e-6)


def test_spigot() -> None:
    """1.246 in square less one hole of 0.2505 in: 0.9955 × 1.246³/12 = 0.160478 in⁴; 42 and 27 ksi.

    σ = (|My| + |Mz|) × 0.623/I + |N|/(1.246 × 0.9955), τ = 1.5 (|Vy| + |Vz|)/(1.246 × 0.9955) + T/(0.208 × 1.246³)
    at the block's face; 1/√(Rb² + Rs²).
    """
    second, area = 0.9955 * 1.246**3 / 12, 1.246 * 0.9955
    assert second == pytest.approx(0.160478, abs=1e-6)
    (f,) = run().sides("post.rear-right", 0.0, "ultimate")
    f = np.abs(f) / np.array([LBF] * 3 + [LBF * IN] * 3)
    normal = (f[..., 4] + f[..., 5]) * 0.623 / second + f[..., 0] / area
    shear = 1.5 * (f[..., 1] + f[..., 2]) / area + f[..., 3] / (0.208 * 1.246**3)
    k = 1 / np.hypot(FITTING * normal / 42_000, FITTING * shear / 27_000).max()
    assert margin_of("joint.post.rear-right.low/spigot bending") == pytest.approx(k - 1, rel=1e-4)


def test_tube_strength_and_column() -> None:
    """Rear right post: Fcy 34 ksi (its walls do not buckle first, nor its corners: legs of 0.6875 in cripple at
    0.366 √(34e3 × 10.1e6)/5.5^0.75 = 59.7 ksi), column of twice its 40.5 in.

    L/ρ = 81/0.55637 = 145.6, beyond the transition at 76.6, so Fc = π² 10.1e6/145.6² = 4704 psi and
    PE = π² 10.1e6 × 0.20451/81² = 3107 lbf.

    Pressed: (k Rc + k Rb/(1 - k RE))² + (k Rs)² = 1, shear and torsion over 27 ksi; pulled: 1/√((Rt + Rb)² + Rs²)
    with 42 ksi along and 34 ksi in bending.
    """
    rho, long = sqrt(SECOND / AREA), 2 * 40.5
    Fc, PE = pi**2 * 10.1e6 / (long / rho) ** 2, pi**2 * 10.1e6 * SECOND / long**2
    assert long / rho == pytest.approx(145.6, abs=0.05)
    assert (Fc, PE) == (pytest.approx(4704, abs=2), pytest.approx(3107, abs=1))
    f = run().along(run().pieces.get("post.rear-right"), "ultimate")
    N = f[..., 0] / LBF
    fb = (np.abs(f[..., 4]) + np.abs(f[..., 5])) / LBF / IN * 0.75 / SECOND
    P = np.maximum(-N, 0.0)
    Rc, Rb, RE = P / (AREA * Fc), fb / 34_000, P / PE
    Rs = sheared(f) / 27_000
    assert 0.366 * sqrt(34e3 * 10.1e6) / 5.5**0.75 == pytest.approx(59_700, abs=50)
    pressed = [
        solved(
            lambda k, a=a, b=b, c=c, s=s: (
                2.0 if k * c >= 1 else (k * a + k * b / (1 - k * c)) ** 2 + (k * s) ** 2
            )
        )
        for a, b, c, s in zip(Rc.ravel(), Rb.ravel(), RE.ravel(), Rs.ravel(), strict=True)
        if a > 0 and a + b + c > 0.5
    ]
    pulled = 1 / np.hypot(N / (AREA * 42_000) + Rb, Rs)[N > 0]
    assert margin_of("post.rear-right/strength") == pytest.approx(min(*pressed, pulled.min()) - 1, rel=1e-5)


def test_tube_in_shear_and_torsion() -> None:
    """27 ksi: walls of 1.25 x 0.125 in do not buckle in shear first."""
    stress = sheared(run().along(run().pieces.get("post.rear-right"), "ultimate"))
    assert margin_of("post.rear-right/shear") == pytest.approx(27_000 / stress.max() - 1, rel=1e-6)


def test_the_least_wall_is_judged_where_it_is_stated() -> None:
    """0.119 in for 0.125 in: every tube margin falls and says so; the bearing falls by the wall, the frame stays."""
    least = '\n[[change]]\nwhy = "measured"\n[change.tube.least]\nwall = "0.119 in"\ndocument = "INVENTED-GAUGE-3"\n'
    thin = {one.id: one for one in design_of(STANDARD, VARIATION + least).strength.margins}
    for before in demo().strength.margins:
        after = thin[before.id]
        assert before.margin is not None
        assert after.margin is not None
        if before.id.startswith(("post.", "width.", "depth.")):
            assert after.margin < before.margin
            assert before.source.count("nominal wall 0.125 in") == 1
            assert after.source.count("least wall 0.119 in, INVENTED-GAUGE-3") == 1
        elif before.id.endswith("tube bearing"):
            assert (after.margin + 1) / (before.margin + 1) == pytest.approx(0.119 / 0.125, rel=1e-9)
        elif "tear-out" not in before.id and before.id != "frame/second order":  # also of the wall
            assert after.margin == before.margin


def test_shelf_angle() -> None:
    """L 1.5 x 1.5 x 0.1875: A 0.52734 in², I 0.10998 in⁴, 1.05625 in to the leg's edge; the lower of 38 and 34 ksi."""
    A, centroid = 0.52734375, 0.2340088 / 0.52734375
    second = 0.1875 * 1.5**3 / 3 + 1.3125 * 0.1875**3 / 3 - A * centroid**2
    f = np.abs(run().along(run().pieces.get("angle.upper.right"), "ultimate"))
    bend = (f[..., 4] + f[..., 5]) / LBF / IN
    stress = f[..., 0] / LBF / A + bend * (1.5 - centroid) / second
    assert margin_of("angle.upper.right/strength") == pytest.approx(34_000 / stress.max() - 1, rel=1e-5)


def test_shelf_bolts() -> None:
    """Two AN4 at the angle's rear end: half the reaction each, and the pull of its eccentricity.

    Centroid 0.44375 in off the post, heel (1.5 - 0.1875)/2 = 0.65625 in below the bolts: T = |Vz| × 0.44375/0.65625/2.
    Pulled off sideways, |Vy|/2 each, the leg pries: b' = 0.75 - 0.125, a' = 0.65625 + 0.125, δ = 1 - 0.2505/0.75 =
    0.666: 1 + 0.625/0.78125 × 0.666/1.666 = 1.31981 times.
    The leg bends across its grain by 6 T × 0.625/(1.666 × 0.75 × 0.1875²), of 37 ksi.
    """
    f = run().along(run().pieces.get("angle.lower.right"), "ultimate")[..., -1, :] / LBF
    shear, off = np.hypot(f[..., 0], f[..., 2]) / 2, np.abs(f[..., 1]) / 2
    pried = 1 + 0.625 / 0.78125 * 0.666 / 1.666
    assert pried == pytest.approx(1.31981, abs=1e-5)
    pull = off * pried + np.abs(f[..., 2]) * 0.44375 / 0.65625 / 2
    Rs, Rt = FITTING * shear / 3680, FITTING * pull / 4080
    k = min(
        solved(lambda k, a=a, b=b: (k * a) ** 3 + (k * b) ** 2)
        for a, b in zip(Rs.ravel(), Rt.ravel(), strict=True)
    )
    assert margin_of("shelf.lower.right.rear/bolts") == pytest.approx(k - 1, rel=1e-5)
    stress = 6 * off.max() * 0.625 / (1.666 * 0.75 * 0.1875**2)
    assert margin_of("shelf.lower.right.rear/leg bending") == pytest.approx(
        37_000 / (FITTING * stress) - 1, rel=1e-6
    )
