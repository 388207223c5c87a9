"""Second-order moments and displacements: beam-columns of the handbooks and a code's benchmark frames.

Sources: Timoshenko & Gere, Theory of Elastic Stability, chapter 1 (laterally loaded columns, u = L/2 √(P/EI));
ANSI/AISC 360-16, commentary C2.1, benchmark problems of figures C-C2.2 and C-C2.3, read as quoted in public benchmark
scripts of a general-purpose library (W14x48, E 29000 ksi, G 11200 ksi, shear area d·tw = 13.8 x 0.340 in).
"""

from __future__ import annotations

import numpy as np
import pytest

from rackwright.strength import frame as fr

E, G, A, I, J = 70e9, 26e9, 4.4e-4, 9.5e-8, 1.4e-7
ALL, PIN, FREE = [1, 1, 1, 1, 1, 1], [1, 1, 1, 1, 0, 1], [0, 1, 0, 1, 0, 1]
ROLLER = [0, 1, 1, 1, 0, 1]
BOOK, KIND = "Timoshenko & Gere, beam-columns", "closed form"
STATIONS = np.linspace(0, 1, 5)


def bent(
    fixed, push, *, length=1.0, parts=1, load=0.0, section=None, **more
) -> tuple[np.ndarray, np.ndarray]:
    """Moments about y along a beam on the x axis (in all its members), and its nodes' displacements."""
    values = {"E": E, "G": G, "A": A, "Iy": I, "Iz": I, "J": J, "zref": (0.0, 0, 1), "rho": 1 / A} | (
        section or {}
    )
    members = fr.Members(
        np.array([[n, n + 1] for n in range(parts)]),
        **{name: np.array(value) for name, value in values.items()},
    )
    xyz = np.array([[length * n / parts, 0.0, 0] for n in range(parts + 1)])
    held = [fixed[0], *[FREE] * (parts - 1), fixed[1]]
    frame = fr.Frame(xyz, np.array(held, bool), members, **more)
    nodal = np.zeros((1, parts + 1, 6))
    for node, force in push.items():
        nodal[0, node] = force
    found = fr.second_order(fr.solve(frame, fr.Cases(np.array([[0, 0, -load]]), nodal)))
    assert found.why == ((None,),)
    return found.internal_forces(STATIONS)[0, 0, :, :, 4], found.displacement[0, 0]


@pytest.mark.parametrize("parts", [1, 4])
@pytest.mark.parametrize("share", [0.2, 0.7, 0.95])
def test_uniform_load_on_a_pinned_column(published, share, parts):
    """§1.6: M = qL²/8 · 2(sec u - 1)/u²."""
    P = share * np.pi**2 * E * I
    u = np.pi / 2 * np.sqrt(share)
    M, _ = bent([PIN, ROLLER], {parts: [-P, 0, 0, 0, 0, 0]}, parts=parts, load=300.0)
    theirs = 300 / 8 * 2 * (1 / np.cos(u) - 1) / u**2
    published(BOOK, f"uniform, {share} PE, {parts} members, N·m", np.abs(M).max(), theirs, KIND)


@pytest.mark.parametrize("share", [0.5, 4.0, 4000.0])
def test_uniform_load_on_a_pulled_beam(published, share):
    """§1.11: M = qL²/8 · 2(1 - sech u)/u²; at 4000 PE it is all but a string."""
    u = np.pi / 2 * np.sqrt(share)
    M, _ = bent([PIN, ROLLER], {1: [share * np.pi**2 * E * I, 0, 0, 0, 0, 0]}, load=300.0)
    published(
        BOOK,
        f"uniform, pulled by {share:g} PE, N·m",
        abs(M[0, 2]),
        300 / 4 * (1 - 1 / np.cosh(u)) / u**2,
        KIND,
    )


def test_load_at_the_middle(published):
    """§1.3: M = QL/4 · tan u/u, deflection QL³/48EI · 3(tan u - u)/u³."""
    u = np.pi / 2 * np.sqrt(0.6)
    push = {2: [-0.6 * np.pi**2 * E * I, 0, 0, 0, 0, 0], 1: [0, 0, -200.0, 0, 0, 0]}
    M, moved = bent([PIN, ROLLER], push, parts=2)
    published(BOOK, "load at the middle, N·m", np.abs(M).max(), 50 * np.tan(u) / u, KIND)
    published(
        BOOK, "load at the middle, m", -moved[1, 2], 200 / (48 * E * I) * 3 * (np.tan(u) - u) / u**3, KIND
    )


def test_built_in_beam_under_pressure(published):
    """§1.7: end moments qL²/12 · 3(tan u - u)/(u² tan u)."""
    u = np.pi / 2 * np.sqrt(0.8)
    slide = [0, 1, 1, 1, 1, 1]
    M, _ = bent([ALL, slide], {1: [-0.8 * np.pi**2 * E * I, 0, 0, 0, 0, 0]}, load=300.0)
    published(
        BOOK,
        "built in, uniform, end moment, N·m",
        abs(M[0, 0]),
        25 * 3 * (np.tan(u) - u) / (u**2 * np.tan(u)),
        KIND,
    )


def test_end_moments(published):
    """§1.11: two equal end couples M0 grow to M0 sec u at the middle, and turn the ends by M0 L/2EI · tan u/u."""
    u = np.pi / 2 * np.sqrt(0.5)
    push = {0: [0, 0, 0, 0, -40.0, 0], 1: [-0.5 * np.pi**2 * E * I, 0, 0, 0, 40.0, 0]}
    M, moved = bent([PIN, ROLLER], push)
    published(BOOK, "end couples, N·m", np.abs(M).max(), 40 / np.cos(u), KIND)
    published(BOOK, "end couples, rad", moved[1, 4], 40 / (2 * E * I) * np.tan(u) / u, KIND)


def test_eccentric_load_on_an_arm(published):
    """Secant formula: P at an eccentricity e on stiff arms at both ends, M = P e sec u."""
    P, e = 0.6 * np.pi**2 * E * I, 0.01
    u = np.pi / 2 * np.sqrt(0.6)
    arms = {"offset": [[[0.0, 0, -e], [0, 0, -e]]]}
    M, _ = bent([PIN, ROLLER], {1: [-P, 0, 0, 0, 0, 0]}, section=arms)
    assert abs(M[0, 2]) > P * e
    published("Secant formula", "eccentric column, N·m", abs(M[0, 2]), P * e / np.cos(u), KIND)


def test_cantilever(published):
    """Tip force F under P: M = F L tan(kL)/(kL), tip F L³/3EI · 3(tan kL - kL)/(kL)³."""
    P = 0.7 * np.pi**2 * E * I / 4
    kL = np.sqrt(P / (E * I))
    for parts in (1, 3):
        M, moved = bent([ALL, FREE], {parts: [-P, 0, -30.0, 0, 0, 0]}, parts=parts)
        published(BOOK, f"cantilever, {parts} members, N·m", np.abs(M).max(), 30 * np.tan(kL) / kL, KIND)
        tip = 30 / (E * I) * (np.tan(kL) - kL) / kL**3
        published(BOOK, f"cantilever, {parts} members, m", -moved[-1, 2], tip, KIND)


def test_sway_of_a_portal(published):
    """A stiff beam on held columns, H across both, P on each: H h/(2P) (tan(u/2)/(u/2) - 1), u = h√(P/EI)."""
    P, H = 0.5 * np.pi**2 * E * I, 60.0
    u = np.sqrt(P / (E * I))
    xyz = np.array([[0.0, 0, 0], [0, 0, 1], [1, 0, 1], [1, 0, 0]])
    members = fr.Members(
        np.array([[0, 1], [1, 2], [3, 2]]), zref=np.array([[1.0, 0, 0], [0, 0, 1], [1, 0, 0]]), E=np.array(E),
        G=np.array(G), A=np.array(4.4e2), Iy=np.array([I, 1e-1, I]), Iz=np.array(I), J=np.array(J),
    )  # fmt: skip
    nodal = np.zeros((1, 4, 6))
    nodal[0, 1, :3], nodal[0, 2, :3] = [H / 2, 0, -P], [H / 2, 0, -P]
    frame = fr.Frame(xyz, np.array([ALL, FREE, FREE, ALL], bool), members)
    found = fr.second_order(fr.solve(frame, fr.Cases(np.zeros((1, 3)), nodal)))
    published(
        BOOK,
        "portal with a stiff beam, sway, m",
        found.displacement[0, 0, 1, 0],
        H / (2 * P) * (np.tan(u / 2) / (u / 2) - 1),
        KIND,
        1e-6,
    )


AISC, LENGTH = "ANSI/AISC 360-16 commentary", 336.0  # kip and inch
WIDE = {"E": 29000.0, "G": 11200.0, "A": 14.1, "Iy": 484.0, "Iz": 51.4, "J": 1450.0, "rho": 1 / 14.1}
ONE = [(0, "235", "0.197"), (150, "269", "0.224"), (300, "313", "0.261"), (450, "375", "0.311")]
ONE_SHEARED = [(0, "235", "0.202"), (150, "270", "0.230"), (300, "316", "0.269"), (450, "380", "0.322")]
TWO = [(0, "336", "0.901"), (100, "469", "1.33"), (150, "598", "1.75"), (200, "848", "2.56")]


TWO_SHEARED = [(0, "336", "0.907"), (100, "470", "1.34"), (150, "601", "1.77"), (200, "856", "2.60")]
#: printed digits are not all those of the commentary's own closed form (598.65 stands as 598); it accepts 3 % of the
#: moment and 5 % of the deflection, we ask for 0.5 %
NEAR = 5e-3
PLAIN, SHEARED = np.inf, 13.8 * 0.34


@pytest.mark.parametrize(
    ("shear", "rows"), [(PLAIN, ONE), (SHEARED, ONE_SHEARED)], ids=["plain", "with shear"]
)
def test_benchmark_case_1(published, shear, rows):
    """Figure C-C2.2: pinned column, 0.200 kip/ft across it, one member each half."""
    for P, moment, deflection in rows:
        push = {2: [-P, 0, 0, 0, 0, 0]}
        M, moved = bent(
            [PIN, ROLLER], push, length=LENGTH, parts=2, load=0.2 / 12, section=WIDE | {"Asz": shear}
        )
        name = f"C-C2.2, {P} kip{', with shear' if shear < 1e9 else ''}"
        published(AISC, f"{name}, kip·in", np.abs(M).max(), float(moment), "published", NEAR)
        published(AISC, f"{name}, in", -moved[1, 2], float(deflection), "published", NEAR)


@pytest.mark.parametrize(
    ("shear", "rows"), [(PLAIN, TWO), (SHEARED, TWO_SHEARED)], ids=["plain", "with shear"]
)
def test_benchmark_case_2(published, shear, rows):
    """Figure C-C2.3: cantilever, 1 kip across its top, one member."""
    for P, moment, deflection in rows:
        push = {1: [-P, 0, -1.0, 0, 0, 0]}
        M, moved = bent([ALL, FREE], push, length=LENGTH, section=WIDE | {"Asz": shear})
        name = f"C-C2.3, {P} kip{', with shear' if shear < 1e9 else ''}"
        published(AISC, f"{name}, kip·in", np.abs(M).max(), float(moment), "published", NEAR)
        published(AISC, f"{name}, in", -moved[1, 2], float(deflection), "published", NEAR)
