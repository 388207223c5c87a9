"""Beams, small frames, ties and pads whose answer is a formula of the handbooks or plain statics.

Sources: Timoshenko beam theory (P L³/3EI + P L/κAG and its kin); Castigliano's theorem; slope-deflection; Roark's
Formulas for Stress and Strain, table of straight beams; statics of parts that act one way only; Blevins, Formulas for
Natural Frequency, f = (βL)²/(2πL²) √(EI/ρA). Every number was worked out apart from this program.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from rackwright.strength import frame as fr
from rackwright.strength.acceptance.check import PUBLISHED, Check

__all__ = ["frame_checks"]

E, G, A, I, J, AS = 70e9, 26e9, 4.4e-4, 9.5e-8, 1.4e-7, 1.848e-4
ALL, FREE = [1] * 6, [0] * 6
ONE_SIDED = "Statics of one-sided parts"
PLANE = [0, 0, 1, 1, 1, 1]  # a pin-jointed node in the x-y plane: its turn does not matter, so it is held


def frame_checks() -> Iterator[Check]:
    yield from _cantilever()
    yield from _built_in()
    yield from _space_L()
    yield from _propped()
    yield from _springs()
    yield from _arm()
    yield from _ties()
    yield from _lifting_pad()
    yield from _pretension()
    yield from _frequencies()


def _beams(
    xyz: Any,
    ends: Any,
    fixed: Any,
    *,
    shear: bool = False,
    rho: float = 0.0,
    spring: Any = None,
    **parts: Any,
) -> fr.Frame:
    values: dict[str, Any] = {
        "E": E,
        "G": G,
        "A": A,
        "Iy": I,
        "Iz": I,
        "J": J,
        "rho": rho,
        "zref": (0.0, 0, 1),
    }
    values |= {"Asy": AS, "Asz": AS} if shear else {}
    values |= {"end_spring": spring} if spring is not None else {}
    members = fr.Members(np.array(ends), **{key: np.array(value) for key, value in values.items()})
    return fr.Frame(np.array(xyz, float), np.array(fixed, bool), members, **parts)


def _pushed(frame: fr.Frame, node: int, *force: float) -> fr.Response:
    nodal = np.zeros((1, frame.nodes, 6))
    nodal[0, node, : len(force)] = force
    return fr.solve(frame, fr.Cases(np.zeros((1, 3)), nodal))


def _under(frame: fr.Frame, *inertia: float) -> fr.Response:
    return fr.solve(frame, fr.Cases(np.array([inertia], float)))


def _cantilever() -> Iterator[Check]:
    """L 0.8 m, P 500 N: PL³/3EI + PL/κAG, PL²/2EI, PL."""
    r = _pushed(_beams([[0, 0, 0], [0.8, 0, 0]], [[0, 1]], [ALL, FREE], shear=True), 1, 0, 0, -500)
    u = r.displacement[0, 0, 1]
    yield Check("Timoshenko beam", "cantilever tip, m", -u[2], 0.01291533028)
    yield Check("Timoshenko beam", "cantilever slope, rad", u[4], 0.02406015038)
    yield Check("Timoshenko beam", "cantilever root, N·m", -r.reaction[0, 0, 0, 4], 400.0)


def _built_in() -> Iterator[Check]:
    """Load at the middle of 0.8 m: PL³/192EI + PL/4κAG, PL/8. Roark: P a b²/L² and P a² b/L², 50 kg under 10 N/kg
    at a = 0.3 m."""
    xyz = [[0, 0, 0], [0.4, 0, 0], [0.8, 0, 0]]
    r = _pushed(_beams(xyz, [[0, 1], [1, 2]], [ALL, FREE, ALL], shear=True), 1, 0, -500)
    yield Check("Timoshenko beam", "built in, middle, m", -r.displacement[0, 0, 1, 1], 0.0002213137739)
    yield Check("Timoshenko beam", "built in, end moment, N·m", r.reaction[0, 0, 0, 5], 50.0)
    mass = fr.MemberMasses(np.array([0]), at=np.array([0.3]), m=np.array([50.0]))
    frame = _beams([[0, 0, 0], [0.8, 0, 0]], [[0, 1]], [ALL, ALL], member_masses=mass)
    end = _under(frame, 0, -10, 0).end_force[0, 0, 0]
    yield Check("Roark, straight beams", "fixed-fixed, near moment, N·m", end[5], 58.59375)
    yield Check("Roark, straight beams", "fixed-fixed, far moment, N·m", -end[11], 35.15625)


def _space_L() -> Iterator[Check]:
    """P L1³/3EI + P L2³/3EI + P L2² L1/GJ, L1 0.6 m, L2 0.4 m, P 500 N."""
    frame = _beams([[0, 0, 0], [0.6, 0, 0], [0.6, 0.4, 0]], [[0, 1], [1, 2]], [ALL, FREE, FREE])
    r = _pushed(frame, 2, 0, 0, -500)
    yield Check("Castigliano", "space L, tip, m", -r.displacement[0, 0, 2, 2], 0.02020435705)
    yield Check("Castigliano", "space L, wall torque, N·m", r.reaction[0, 0, 0, 3], 200.0)
    yield Check("Castigliano", "space L, wall moment, N·m", -r.reaction[0, 0, 0, 4], 300.0)


def _propped() -> Iterator[Check]:
    """w = 800 N/m on 0.8 m, fixed at i, released at j: wL²/8, 5wL/8, 3wL/8."""
    release = [[[np.inf, np.inf], [0.0, 0.0]]]
    frame = _beams([[0, 0, 0], [0.8, 0, 0]], [[0, 1]], [ALL, ALL], rho=2700.0, spring=release)
    end = _under(frame, 0, -800 / (2700 * A), 0).end_force[0, 0, 0]
    yield Check("Slope-deflection", "propped, fixed moment, N·m", end[5], 64.0)
    yield Check("Slope-deflection", "propped, fixed shear, N", end[1], 400.0)
    yield Check("Slope-deflection", "propped, pinned shear, N", end[7], 240.0)


def _springs() -> Iterator[Check]:
    """(5wl⁴/384EI)/(1/k + l³/48EI), l 1.6 m, w 800 N/m, k 200 kN/m; a cantilever whose root is joined through
    κ = 4EI/L: a tip moment M turns the tip by ML/EI + M/κ."""
    pin, roller = [1, 1, 1, 1, 1, 0], [0, 1, 1, 1, 1, 0]
    frame = _beams(
        [[0, 0, 0], [0.8, 0, 0], [1.6, 0, 0]], [[0, 1], [1, 2]], [pin, [0, 0, 1, 1, 1, 0], roller], rho=2700.0,
        springs=fr.Springs(np.array([1]), np.array([1]), np.array([2e5])),
    )  # fmt: skip
    r = _under(frame, 0, -800 / (2700 * A), 0)
    yield Check("Compatibility", "beam on a spring, N", r.spring_force[0, 0, 0], 575.6851722)
    root = [[[4 * E * I / 0.8] * 2, [np.inf] * 2]]
    r = _pushed(_beams([[0, 0, 0], [0.8, 0, 0]], [[0, 1]], [ALL, FREE], spring=root), 1, 0, 0, 0, 0, 0, 100)
    yield Check(
        "Slope-deflection", "tip turn with root spring, rad", r.displacement[0, 0, 1, 5], 0.01503759398
    )


def _arm() -> Iterator[Check]:
    """500 N along a cantilever of 0.8 m at a node 0.1 m above its end: ML²/2EI downwards, slope ML/EI, M 50 N·m."""
    arm = np.array([[[0.0, 0, 0], [0, 0, -0.1]]])
    frame = _beams([[0.0, 0, 0], [0.8, 0, 0.1]], [[0, 1]], [ALL, FREE])
    frame = fr.Frame(frame.xyz, frame.fixed, fr.Members(
        np.array([[0, 1]]), zref=np.array([0.0, 0, 1]), E=np.array(E), G=np.array(G), A=np.array(A), Iy=np.array(I),
        Iz=np.array(I), J=np.array(J), offset=arm,
    ))  # fmt: skip
    u = _pushed(frame, 1, 500).displacement[0, 0, 1]
    yield Check("Statics", "moment on an arm, slope, rad", u[4], 0.006015037594)
    yield Check("Statics", "moment on an arm, drop, m", -u[2], 0.002406015038)
    yield Check("Statics", "moment on an arm, node along, m", u[0], 0.0006144907724)


def _ties() -> Iterator[Check]:
    """PyNiteFEA's public test_TC_analysis (read), in and kip: strut (0,0)-(100,0), ties from (0,±10), 10 kip down.
    Pinned panel 0.8 x 0.6 m, H = 1000 N at the top: one diagonal takes H·1.0/0.8, the leeward post H·0.6/0.8."""
    bar = {"zref": np.array([0.0, 0, 1]), "end_spring": np.array(0.0)}
    strut = fr.Members(np.array([[0, 1]]), E=np.array(29000.0), A=np.array(1.94), **bar)
    xyz = np.array([[0, 0, 0], [100, 0, 0], [0, 10, 0], [0, -10, 0]], float)
    ties = fr.Ties(np.array([[2, 1], [3, 1]]), k=np.array(29000 * 1.94 / np.hypot(100, 10)))
    r = _pushed(fr.Frame(xyz, np.array([ALL, PLANE, ALL, ALL], bool), strut, ties=ties), 1, 0, -10)
    yield Check("PyNiteFEA test_TC_analysis", "upper tie, kip", r.tie_force[0, 0, 0], "100.499", PUBLISHED)
    yield Check("PyNiteFEA test_TC_analysis", "strut, kip", -r.end_force[0, 0, 0, 6], "100", PUBLISHED)
    panel = fr.Members(np.array([[0, 2], [1, 3], [2, 3]]), E=np.array(7e10), A=np.array(4e-4), **bar)
    xyz = np.array([[0, 0, 0], [0.8, 0, 0], [0, 0.6, 0], [0.8, 0.6, 0]])
    ties = fr.Ties(np.array([[0, 3], [1, 2]]), k=np.array(1e6))
    r = _pushed(fr.Frame(xyz, np.array([ALL, ALL, PLANE, PLANE], bool), panel, ties=ties), 2, 1000)
    yield Check(ONE_SIDED, "crossed ties, acting, N", r.tie_force[0, 0, 0], 1250.0)
    yield Check(ONE_SIDED, "crossed ties, leeward post, N", -r.end_force[0, 0, 1, 6], 750.0)


def _lifting_pad() -> Iterator[Check]:
    """Beam A-B-C on three pads of 1e14 N/m, spans 0.5 m, P = 400 N at the middle of BC: A opens by PL²/16EI · L."""
    fixed = np.tile(np.array([0, 1, 0, 1, 0, 1], bool), (4, 1))
    fixed[1, 0] = True
    pads = fr.Pads(np.array([0, 1, 3]), push=np.array([0.0, 0, 1, 0, 0, 0]), k=np.array(1e14))
    xyz = [[0, 0, 0], [0.5, 0, 0], [0.75, 0, 0], [1.0, 0, 0]]
    r = _pushed(_beams(xyz, [[0, 1], [1, 2], [2, 3]], fixed, pads=pads), 2, 0, 0, -400)
    for n, corner, answer in ((1, "B", 200.0), (2, "C", 200.0)):
        yield Check(ONE_SIDED, f"pad {corner}, N", r.pad_force[0, 0, n], answer)
    yield Check(ONE_SIDED, "lift of A, m", r.displacement[0, 0, 0, 2], 0.000469924812, tol=1e-8)


def _pretension() -> Iterator[Check]:
    """A node between ties of 1 and 3 MN/m, both at 600 N: 400 N moves it by F/(k1 + k2); at 3200 N one is slack."""
    ground = np.array([[[0.0, 0, 0], [1, 0, 0]], [[0, 0, 0], [-1, 0, 0]]])
    ties = fr.Ties(np.array([[0, -1], [0, -1]]), k=np.array([1e6, 3e6]), T0=np.array(600.0), offset=ground)
    frame = fr.Frame(np.zeros((1, 3)), np.array([[0, 1, 1, 1, 1, 1]], bool), ties=ties)
    nodal = np.zeros((2, 1, 6))
    nodal[:, 0, 0] = 400, 3200
    r = fr.solve(frame, fr.Cases(np.zeros((2, 3)), nodal))
    yield Check(ONE_SIDED, "preloaded pair, motion, m", r.displacement[0, 0, 0, 0], 1e-4)
    for case, tie, what, answer in (
        (0, 1, "tight tie", 900.0),
        (0, 0, "other tie", 500.0),
        (1, 1, "one slack", 3200.0),
    ):
        yield Check(ONE_SIDED, f"preloaded pair, {what}, N", r.tie_force[0, case, tie], answer)


def _frequencies() -> Iterator[Check]:
    """A clamped-free beam of 0.8 m in 24 pieces, bending in its plane; roots of cos x cosh x = −1."""
    pieces = 24
    xyz = np.zeros((pieces + 1, 3))
    xyz[:, 0] = np.linspace(0, 0.8, pieces + 1)
    fixed = np.tile(np.array([1, 0, 1, 1, 1, 0], bool), (pieces + 1, 1))
    fixed[0] = True
    ends = np.stack([np.arange(pieces), np.arange(1, pieces + 1)], axis=1)
    hz = fr.modes(_beams(xyz, ends, fixed, rho=2700.0), 3).hz[0]
    for mode, (ours, theirs) in enumerate(zip(hz, (65.41743514, 409.9640679, 1147.911261), strict=True), 1):
        yield Check("Blevins, Natural Frequency", f"cantilever, f{mode}, Hz", ours, theirs, tol=5e-5)
