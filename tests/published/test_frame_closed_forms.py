"""Beams and small frames whose answer is a formula of the handbooks.

Sources: Timoshenko beam theory (P L³/3EI + P L/κAG and its kin); Castigliano's theorem; slope-deflection; Roark's
Formulas for Stress and Strain, table of straight beams (fixed-fixed, intermediate load). Kind: closed form; every
number was worked out apart from this program.
"""

from __future__ import annotations

import numpy as np

from rackwright.strength import frame as fr

KIND = "closed form"
E, G, A, I, J, AS = 70e9, 26e9, 4.4e-4, 9.5e-8, 1.4e-7, 1.848e-4
ALL, FREE = [1] * 6, [0] * 6


def beams(xyz, ends, fixed, *, shear=False, zref=(0.0, 0, 1), rho=0.0, **parts) -> fr.Frame:
    section = {"E": E, "G": G, "A": A, "Iy": I, "Iz": I, "J": J, "rho": rho}
    section |= {"Asy": AS, "Asz": AS} if shear else {}
    section |= {"end_spring": parts.pop("end_spring")} if "end_spring" in parts else {}
    members = fr.Members(np.array(ends), zref=np.array(zref), **{k: np.array(v) for k, v in section.items()})
    return fr.Frame(np.array(xyz, float), np.array(fixed, bool), members, **parts)


def pushed(frame: fr.Frame, node: int, *force: float) -> fr.Response:
    nodal = np.zeros((1, frame.nodes, 6))
    nodal[0, node, : len(force)] = force
    return fr.solve(frame, fr.Cases(np.zeros((1, 3)), nodal))


def test_cantilever_with_shear(published):
    """L 0.8 m, P 500 N: PL³/3EI + PL/κAG, PL²/2EI, PL."""
    r = pushed(beams([[0, 0, 0], [0.8, 0, 0]], [[0, 1]], [ALL, FREE], shear=True), 1, 0, 0, -500)
    u = r.displacement[0, 0, 1]
    published("Timoshenko beam", "cantilever tip, m", -u[2], 0.01291533028, KIND)
    published("Timoshenko beam", "cantilever slope, rad", u[4], 0.02406015038, KIND)
    published("Timoshenko beam", "cantilever root, N·m", -r.reaction[0, 0, 0, 4], 400, KIND)


def test_built_in_beam_with_shear(published):
    """Load at the middle of 0.8 m: PL³/192EI + PL/4κAG, PL/8."""
    xyz = [[0, 0, 0], [0.4, 0, 0], [0.8, 0, 0]]
    r = pushed(beams(xyz, [[0, 1], [1, 2]], [ALL, FREE, ALL], shear=True), 1, 0, -500)
    published("Timoshenko beam", "built in, middle, m", -r.displacement[0, 0, 1, 1], 0.0002213137739, KIND)
    published("Timoshenko beam", "built in, end moment, N·m", r.reaction[0, 0, 0, 5], 50, KIND)


def test_load_anywhere_on_a_built_in_beam(published):
    """Roark: moments P a b²/L² and P a² b/L²; a mass of 50 kg under 10 N/kg at a = 0.3 m of 0.8 m."""
    mass = fr.MemberMasses(np.array([0]), at=np.array([0.3]), m=np.array([50.0]))
    frame = beams([[0, 0, 0], [0.8, 0, 0]], [[0, 1]], [ALL, ALL], member_masses=mass)
    end = fr.solve(frame, fr.Cases(np.array([[0, -10.0, 0]]))).end_force[0, 0, 0]
    published("Roark, straight beams", "fixed-fixed, near moment, N·m", end[5], 58.59375, KIND)
    published("Roark, straight beams", "fixed-fixed, far moment, N·m", -end[11], 35.15625, KIND)


def test_space_L(published):
    """Castigliano: P L1³/3EI + P L2³/3EI + P L2² L1/GJ, L1 0.6 m, L2 0.4 m, P 500 N."""
    frame = beams([[0, 0, 0], [0.6, 0, 0], [0.6, 0.4, 0]], [[0, 1], [1, 2]], [ALL, FREE, FREE])
    r = pushed(frame, 2, 0, 0, -500)
    published("Castigliano", "space L, tip, m", -r.displacement[0, 0, 2, 2], 0.02020435705, KIND)
    published("Castigliano", "space L, wall torque, N·m", r.reaction[0, 0, 0, 3], 200, KIND)
    published("Castigliano", "space L, wall moment, N·m", -r.reaction[0, 0, 0, 4], 300, KIND)


def test_propped_beam_with_a_released_end(published):
    """w = 800 N/m on 0.8 m, fixed at i, released at j: wL²/8, 5wL/8, 3wL/8."""
    release = [[[np.inf, np.inf], [0.0, 0.0]]]
    frame = beams([[0, 0, 0], [0.8, 0, 0]], [[0, 1]], [ALL, ALL], rho=2700.0, end_spring=release)
    end = fr.solve(frame, fr.Cases(np.array([[0, -800 / (2700 * A), 0]]))).end_force[0, 0, 0]
    published("Slope-deflection", "propped, fixed moment, N·m", end[5], 64, KIND)
    published("Slope-deflection", "propped, fixed shear, N", end[1], 400, KIND)
    published("Slope-deflection", "propped, pinned shear, N", end[7], 240, KIND)
    assert end[11] == 0


def test_spring_at_the_middle_of_a_beam(published):
    """Compatibility: (5wl⁴/384EI)/(1/k + l³/48EI), l 1.6 m, w 800 N/m, k 200 kN/m."""
    pin, roller = [1, 1, 1, 1, 1, 0], [0, 1, 1, 1, 1, 0]
    frame = beams(
        [[0, 0, 0], [0.8, 0, 0], [1.6, 0, 0]], [[0, 1], [1, 2]], [pin, [0, 0, 1, 1, 1, 0], roller], rho=2700.0,
        springs=fr.Springs(np.array([1]), np.array([1]), np.array([2e5])),
    )  # fmt: skip
    r = fr.solve(frame, fr.Cases(np.array([[0, -800 / (2700 * A), 0]])))
    published("Compatibility", "beam on a spring, N", r.spring_force[0, 0, 0], 575.6851722, KIND)


def test_beam_end_on_a_rotational_spring(published):
    """Slope-deflection with an end spring κ = 4EI/L at i, far end fixed, P at the far third... a tip moment at j.

    Cantilever whose root is joined through κ: a tip moment M turns the tip by ML/EI + M/κ.
    """
    kappa = 4 * E * I / 0.8
    frame = beams([[0, 0, 0], [0.8, 0, 0]], [[0, 1]], [ALL, FREE], end_spring=[[[kappa] * 2, [np.inf] * 2]])
    r = pushed(frame, 1, 0, 0, 0, 0, 0, 100.0)
    published(
        "Slope-deflection", "tip turn with root spring, rad", r.displacement[0, 0, 1, 5], 0.01503759398, KIND
    )


def test_rigid_arms_carry_moments(published):
    """A tie-down force on a rigid arm: cantilever of 0.8 m whose node lies 0.1 m above its beam end.

    Force 500 N along the beam axis at the node bends it by M = 50 N·m: tip ML²/2EI downwards, slope ML/EI.
    """
    arm = np.array([[[0.0, 0, 0], [0, 0, -0.1]]])
    members = fr.Members(
        np.array([[0, 1]]), zref=np.array([0.0, 0, 1]), E=np.array(E), G=np.array(G), A=np.array(A), Iy=np.array(I),
        Iz=np.array(I), J=np.array(J), offset=arm,
    )  # fmt: skip
    frame = fr.Frame(np.array([[0.0, 0, 0], [0.8, 0, 0.1]]), np.array([ALL, FREE], bool), members)
    u = pushed(frame, 1, 500).displacement[0, 0, 1]
    published("Statics", "moment on an arm, slope, rad", u[4], 0.006015037594, KIND)
    published("Statics", "moment on an arm, drop, m", -u[2], 0.002406015038, KIND)
    published("Statics", "moment on an arm, node along, m", u[0], 0.0006144907724, KIND)
