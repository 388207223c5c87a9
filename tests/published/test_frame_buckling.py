"""Buckling loads of columns, portals and trusses whose answer is a formula or a printed number.

Sources: Timoshenko & Gere, Theory of Elastic Stability, 2nd ed.: the four Euler columns, Engesser's shear, portals with
and without sway (§2.12 ff.), columns on elastic supports (§2.6), a column under its own weight (§2.12, 7.837 from
memory of the text), torsional buckling (§5.3). Each transcendental equation is solved here by halving, apart from the
program. Our factor is the lower end of an enclosure one part in a million wide: hence the tolerance.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from rackwright.strength import frame as fr

E, G, A, I, J = 70e9, 26e9, 4.4e-4, 9.5e-8, 1.4e-7
ALL, PIN, FREE = [1, 1, 1, 1, 1, 1], [1, 1, 1, 1, 0, 1], [0, 1, 0, 1, 0, 1]  # in the x-z plane
ROLLER, SLIDE, GUIDE, MID = [1, 1, 0, 1, 0, 1], [0, 1, 0, 1, 1, 1], [1, 1, 0, 1, 1, 1], FREE
EULER = "Timoshenko & Gere, Elastic Stability"
KIND, TOL = "closed form", 2e-6


def factor(xyz, ends, fixed, push, inertia=(0, 0, 0), **parts) -> float:
    """The buckling factor of a frame in the x-z plane under forces {node: [Fx, Fy, Fz]}."""
    section = {"E": E, "G": G, "A": A, "Iy": I, "Iz": 4 * I, "J": J, "zref": (1.0, 0, 0)} | parts.pop(
        "section", {}
    )
    members = fr.Members(np.array(ends), **{name: np.array(value) for name, value in section.items()})
    frame = fr.Frame(np.array(xyz, float), np.array(fixed, bool), members, **parts)
    nodal = np.zeros((1, frame.nodes, 6))
    for node, force in push.items():
        nodal[0, node, :3] = force
    found = fr.buckling(fr.solve(frame, fr.Cases(np.array([inertia], float), nodal)))
    assert found.loose == ((None,),)
    return float(found.factor[0, 0])


def column(low, high, length=1.0, parts=1, **more) -> float:
    """N at which an upright column buckles, of 1 N at its top."""
    xyz = [[0, 0, length * n / parts] for n in range(parts + 1)]
    ends = [[n, n + 1] for n in range(parts)]
    return factor(xyz, ends, [low, *[MID] * (parts - 1), high], {parts: [0, 0, -1]}, **more)


PE = np.pi**2 * E * I


@pytest.mark.parametrize("parts", [1, 3])
@pytest.mark.parametrize(
    ("name", "low", "high", "times"),
    [
        ("pinned at both ends", PIN, ROLLER, 9.869604401),
        ("free at the top", ALL, FREE, 2.467401100),
        ("held below, pinned above", ALL, ROLLER, 20.19072856),
        ("held at both ends", ALL, GUIDE, 39.47841760),
        ("held, top slides", ALL, SLIDE, 9.869604401),
        ("pinned, top slides", PIN, SLIDE, 2.467401100),
    ],
)
def test_euler_columns(published, name, low, high, times, parts):
    """Whole as one member, and in three: the member is exact, so that nothing depends on the nodes."""
    ours = column(low, high, 0.8, parts) * 0.8**2 / (E * I)
    published(EULER, f"{name}, {parts} members, P L²/EI", ours, times, KIND, TOL)


def test_shear_lowers_the_load(published):
    """Engesser: 1/(1/PE + 1/GA); for the cantilever PE/4. A shear area so small that it matters."""
    section = {"Asz": 4e-6, "Asy": 4e-6}
    for name, low, high, load in (("pinned", PIN, ROLLER, PE), ("cantilever", ALL, FREE, PE / 4)):
        for parts in (1, 4):
            ours = column(low, high, parts=parts, section=section)
            published(
                "Engesser", f"{name}, {parts} members, N", ours, 1 / (1 / load + 1 / (G * 4e-6)), KIND, TOL
            )


def test_a_released_end_is_a_pin(published):
    """A held column released at its foot is a pinned one; released at both ends between held nodes it is Euler's."""
    foot = {"end_spring": [[[0.0, np.inf], [np.inf, np.inf]]]}
    published(
        EULER, "released at the foot, N", column(ALL, GUIDE, section=foot), 20.19072856 * E * I, KIND, TOL
    )
    both = {"end_spring": [[[0.0, np.inf], [0.0, np.inf]]]}
    published(EULER, "released at both ends, N", column(ALL, GUIDE, section=both), PE, KIND, TOL)


@pytest.mark.parametrize("stiff", [0.3, 1.0, 10.0])
def test_base_on_a_rotational_spring(published, stiff):
    """Cantilever on a spring κ = stiff EI/L: u tan u = κL/EI, as a spring of the node and as one of the joint."""
    u = brentq(lambda u: u * np.tan(u) - stiff, 1e-9, np.pi / 2 - 1e-9)
    kappa = stiff * E * I
    spring = fr.Springs(np.array([0]), np.array([4]), np.array([kappa]))
    on_node = column(PIN, FREE, parts=2, springs=spring)
    published(EULER, f"base spring {stiff} EI/L, u²", on_node / (E * I), u**2, KIND, TOL)
    joint = {"end_spring": [[[kappa, np.inf], [np.inf, np.inf]]]}
    published(
        EULER, f"joint spring {stiff} EI/L, u²", column(ALL, FREE, section=joint) / (E * I), u**2, KIND, TOL
    )


def test_a_spring_at_the_middle(published):
    """Two spans with a spring c between them: links that stay straight buckle at P = cL/4 (L both), columns at 4 PE
    once c is 16 PE/L or more."""
    middle = fr.Springs(np.array([1]), np.array([0]), np.array([16.2 * PE]))
    published(
        EULER, "spring of 16 PE/L, P/PE", column(PIN, ROLLER, parts=2, springs=middle) / PE, 4.0, KIND, TOL
    )
    soft = fr.Springs(np.array([1]), np.array([0]), np.array([1000.0]))
    links = {"end_spring": [[[0.0, np.inf], [0.0, np.inf]]] * 2, "Iy": 1e-1, "J": 1.0}
    held = [ALL, [0, 1, 0, 1, 1, 1], GUIDE]
    ours = factor(
        [[0, 0, 0], [0, 0, 0.5], [0, 0, 1]],
        [[0, 1], [1, 2]],
        held,
        {2: [0, 0, -1]},
        springs=soft,
        section=links,
    )
    published(EULER, "two links and a spring, N", ours, 250.0, KIND, TOL)


def portal(sway: bool, held: bool) -> float:
    """P h²/EI of a portal, columns and beam of one length and section, P on each column."""
    xyz = [[0, 0, 0], [0, 0, 1], [1, 0, 1], [1, 0, 0]]
    foot, knee = ALL if held else PIN, FREE if sway else [1, 1, 0, 1, 0, 1]
    section = {"A": 4.4, "zref": [[1.0, 0, 0], [0, 0, 1.0], [1.0, 0, 0]], "J": J}  # no shortening
    load = {1: [0, 0, -1], 2: [0, 0, -1]}
    return factor(xyz, [[0, 1], [1, 2], [2, 3]], [foot, knee, knee, foot], load, section=section) / (E * I)


def test_portals(published):
    """§2.12: sway u/tan u = -6 (held feet), u tan u = 6 (pinned); held against sway the columns turn the beam
    symmetrically, 2EI/l: u (sin u - u cos u)/(2 - 2cos u - u sin u) = -2, and u² tan u/(tan u - u) = -2."""
    far = 2 * np.pi
    cases = {
        (True, True): brentq(lambda u: u * np.cos(u) + 6 * np.sin(u), 1.6, np.pi),
        (True, False): brentq(lambda u: u * np.sin(u) - 6 * np.cos(u), 0.1, np.pi / 2),
        (False, True): brentq(
            lambda u: u * (np.sin(u) - u * np.cos(u)) + 2 * (2 - 2 * np.cos(u) - u * np.sin(u)),
            4.5,
            far - 0.01,
        ),
        (False, False): brentq(lambda u: u**2 * np.sin(u) + 2 * (np.sin(u) - u * np.cos(u)), np.pi, 4.49),
    }
    printed = {(True, True): "7.4", (True, False): "1.8", (False, True): "25.2", (False, False): "12.9"}
    for (sway, held), u in cases.items():
        name = f"portal, {'free to sway' if sway else 'braced'}, feet {'held' if held else 'pinned'}, P h²/EI"
        ours = portal(sway, held)
        published(EULER, name, ours, u**2, KIND, 1e-5)  # columns shorten by 1e-7
        published(f"{EULER}, digits", name, ours, printed[sway, held], "from memory")


def test_column_under_its_own_weight(published):
    """(qL)cr = 7.837 EI/L²; the axial force of each of 120 members is taken at its middle."""
    n = 120
    xyz = [[0, 0, k / n] for k in range(n + 1)]
    ends = [[k, k + 1] for k in range(n)]
    section = {"rho": 1 / A}  # 1 kg/m
    ours = factor(xyz, ends, [ALL, *[FREE] * n], {}, inertia=(0, 0, -1.0), section=section)
    published(EULER, "own weight, qL³/EI", ours / (E * I), "7.837", "from memory")


def test_torsional_buckling(published):
    """A column that can only twist: P (Iy + Iz)/A = GJ."""
    ours = column(ALL, [1, 1, 0, 1, 1, 0], section={"J": 1e-9})
    published(EULER, "twist of a column, N", ours, G * 1e-9 * A / (5 * I), KIND, TOL)


@pytest.mark.parametrize("way", ["arm of the member", "mass on an arm", "mass on four points"])
def test_load_above_the_column_on_a_rigid_arm(published, way):
    """A dead load at the end of a stiff arm c on a cantilever L: u tan u = L/c."""
    L, c = 1.0, 0.4
    u = brentq(lambda u: u * np.tan(u) - L / c, 1e-9, np.pi / 2 - 1e-9)
    xyz = [[0, 0, 0], [0, 0, L]]
    if way == "arm of the member":
        section = {"offset": [[[0.0, 0, 0], [0, 0, -c]]]}
        ours = factor([[0, 0, 0], [0, 0, L + c]], [[0, 1]], [ALL, FREE], {1: [0, 0, -1]}, section=section)
    else:
        around = np.array(
            [[0.0, 0, 0]] if way == "mass on an arm" else [[1, 1, 0], [1, -1, 0], [-1, 1, 0], [-1, -1, 0]]
        )
        masses = fr.Masses(
            m=np.array([1.0]), xyz=np.array([[0, 0, L + c]]), carrier=np.zeros(len(around), int),
            node=np.ones(len(around), int), offset=0.1 * around, count=1,
        )  # fmt: skip
        ours = factor(xyz, [[0, 1]], [ALL, FREE], {}, inertia=(0, 0, -1.0), masses=masses)
    published(EULER, f"load on an arm, {way}, u²", ours / (E * I), u**2, KIND, TOL)


def test_a_pulled_tie_holds_a_strut(published):
    """A stiff strut a long, pinned below, pressed by P; above it a tie b long pulled by T: stable to P = T a/b.

    The pull is a pretension on a soft tie, so that it stays T; the load of P + T on the node presses the strut by P.
    A spring of 1e-5 N/m is there because without its pull the frame would be a mechanism.
    """
    tie = fr.Ties(
        np.array([[1, -1]]),
        k=np.array(1e-3),
        T0=np.array(800.0),
        offset=np.array([[[0.0, 0, 0], [0, 0, 1.5]]]),
    )
    section = {"end_spring": [[[0.0, 0.0], [0.0, 0.0]]], "Iy": 1e-3, "J": 1.0}
    held = [ALL, [0, 1, 0, 1, 1, 1]]  # the released strut turns neither of its nodes
    ours = factor([[0, 0, 0], [0, 0, 0.5]], [[0, 1]], held, {1: [0, 0, -1800.0]}, ties=tie, section=section,
                  springs=fr.Springs(np.array([1]), np.array([0]), np.array([1e-5])))  # fmt: skip
    published("Statics", "pulled tie above a strut, P", 1000 * ours, 800.0 * 0.5 / 1.0, KIND, TOL)


def test_a_triangle_of_pinned_bars(published):
    """One bar of a triangle pressed by H/2 tan: its own Euler load, though no node moves when it buckles."""
    pins = {"end_spring": [[[0.0, 0.0], [0.0, 0.0]]] * 3, "zref": (0.0, 1, 0)}
    xyz = [[0, 0, 0], [1, 0, 0], [0.5, 0, 0.8]]
    held = [[1, 1, 1, 1, 1, 1], [0, 1, 1, 1, 1, 1], [0, 1, 0, 1, 1, 1]]
    length, slope = np.hypot(0.5, 0.8), 0.8 / np.hypot(0.5, 0.8)
    ours = factor(xyz, [[0, 1], [0, 2], [1, 2]], held, {2: [0, 0, -1]}, section=pins)
    published(EULER, "bars of a triangle, N", ours, 2 * slope * PE / length**2, KIND, TOL)
