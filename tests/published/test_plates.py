"""Plates and beams: tables of handbooks and the series behind them; prying and the rail's leg against the frame solver.

Beam tables: American Institute of Steel Construction, Manual, shears, moments and deflections (from memory). Plates:
S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, article 35 and table 23 (from memory), and its
series summed here. Cantilever plate: T. J. Jaramillo 1950, 0.509 at the root (from memory), and its Fourier integral
worked here. Roark's equivalent radius: a public excerpt of the 7th edition, table 11.2.
"""

from __future__ import annotations

import numpy as np
from mpmath import mp

from rackwright.formulas import carrying_leg, plate
from rackwright.strength import frame as fr
from rackwright.strength.checks.rigid import rigid_motion, shared

BEAM, TWK = "AISC beam tables", "Timoshenko and Woinowsky-Krieger"


def test_beam_tables(published):
    """E I = 1, L = 1: P L³/48; two loads at a: P a (3 L² - 4 a²)/24; load at a, under it P a² b²/(3 L)."""
    middle = plate.beam_deflection(1.0, 1.0, 0.5, 0.5, 1.0, 1.0)
    published(BEAM, "load at centre, E I w/(P L3)", middle, 1 / 48, "from memory", 1e-12)
    two = plate.beam_deflection(1.0, 1.0, 0.5, 0.2, 1.0, 1.0) + plate.beam_deflection(
        1.0, 1.0, 0.5, 0.8, 1.0, 1.0
    )
    published(BEAM, "two equal loads at 0.2 L, centre", two, 0.2 * (3 - 4 * 0.04) / 24, "from memory", 1e-12)
    under = plate.beam_deflection(1.0, 1.0, 0.3, 0.3, 1.0, 1.0)
    published(BEAM, "load at 0.3 L, under the load", under, 0.3**2 * 0.7**2 / 3, "from memory", 1e-12)


def strip_series(a: float, xi: float, x: float, y: float, nu: float) -> tuple[float, float]:
    """Mx and My at (x, y) of a long plate under a unit point load at (xi, 0), by single series to convergence."""
    m = np.arange(1, 40_001)
    k = m * np.pi / a
    decay = np.exp(-k * abs(y)) / (2 * a * k) * np.sin(k * xi) * np.sin(k * x) * 2 / 2
    w_xx = decay * (1 + k * abs(y)) * k / k  # -w,xx D in units of the sum below
    w_yy = decay * (1 - k * abs(y))
    return float((w_xx + nu * w_yy).sum()), float((w_yy + nu * w_xx).sum())


def test_the_patch_moment_by_the_series_of_the_point_load(published):
    """A ring of point loads on the patch's edge gives its centre the ring's mean; the disc is the mean over rings.

    a 18, load at 6, patch radius 0.4, nu 0.33: rings at the radii of Gauss points.
    """
    a, xi, c, nu = 18.0, 6.0, 0.4, 0.33
    rings, weights = np.polynomial.legendre.leggauss(12)
    total = np.zeros(2)
    for r, w in zip((rings + 1) / 2, weights / 2, strict=True):
        turns = (np.arange(24) + 0.5) * np.pi / 12
        mean = np.mean(
            [strip_series(a, xi + c * r * np.cos(t), xi, c * r * np.sin(t), nu) for t in turns], axis=0
        )
        total += 2 * r * w * mean
    for name, found, ours in (("across", total[0], plate.strip_plate_moment(1.0, a, xi, c, nu)),
                              ("along", total[1], plate.strip_plate_moment_along(1.0, a, xi, c, nu))):  # fmt: skip
        published(TWK, f"long plate, disc load, moment {name}", ours, float(found), "closed form", 2e-3)


def test_equivalent_radius(published):
    published("Roark table 11.2", "r'o for ro 0.1, t 1", plate.patch_radius(0.1, 1.0), (1.6 * 0.01 + 1) ** 0.5 - 0.675,
              "published", 1e-12)  # fmt: skip
    published(
        "Roark table 11.2", "ro itself from half t on", plate.patch_radius(0.6, 1.0), 0.6, "published", 1e-12
    )


def cantilever_root(places: list[float], nu: float) -> list[float]:
    """Root moment under a unit load at each place of an infinite cantilever plate of reach 1, by Fourier integral.

    By reciprocity it is what the plate deflects there when its root alone is turned by one at a point. For each wave
    number k that is x cosh kx + B (sinh kx - kx cosh kx) + C x sinh kx with no moment and no shear at the edge. The
    hyperbolic terms all but cancel: thirty digits.
    """
    nodes, weights = np.polynomial.legendre.leggauss(80)
    top, found = 40, [mp.mpf(0)] * len(places)
    with mp.workdps(40):
        for k, w in zip((nodes + 1) / 2 * top, weights / 2 * top, strict=True):
            k, ch, sh = mp.mpf(k), mp.cosh(k), mp.sinh(k)
            value = (ch, sh - k * ch, sh)
            slope = (ch + k * sh, -(k**2) * sh, sh + k * ch)
            second = (2 * k * sh + k**2 * ch, -(k**2) * (sh + k * ch), 2 * k * ch + k**2 * sh)
            third = (3 * k**2 * ch + k**3 * sh, -(k**3) * (2 * ch + k * sh), 3 * k**2 * sh + k**3 * ch)
            free = [[second[n] - nu * k**2 * value[n] for n in range(3)],
                    [third[n] - (2 - nu) * k**2 * slope[n] for n in range(3)]]  # fmt: skip
            B, C = mp.lu_solve(mp.matrix([row[1:] for row in free]), mp.matrix([-row[0] for row in free]))
            for n, x in enumerate(places):
                c, s = mp.cosh(k * x), mp.sinh(k * x)
                found[n] += mp.mpf(w) * (x * c + B * (s - k * x * c) + C * x * s) / mp.pi
    return [float(one) for one in found]


def test_cantilever_plate(published):
    ours = plate.leg_root_stress(1.0, 1.0) / 6
    published("Jaramillo 1950", "root moment under a load at the edge, nu 0.3", ours, "0.509", "from memory")
    published(
        "Fourier integral", "the same worked", ours, cantilever_root([1.0], 0.3)[0], "closed form", 2e-3
    )


def test_a_load_between_root_and_toe(published):
    """Chords lie above a rising curve that bends upward; its slope is the greatest at the toe."""
    places = [0.25, 0.3, 0.4, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 0.999, 1.0]
    found = cantilever_root(places, 0.3)
    for place, exact in zip(places, found, strict=True):
        card = carrying_leg.leg_point_moment(1.0, place, 1.0)
        assert exact <= card <= exact * 1.02
        if place in (0.25, 0.5, 0.75, 1.0):
            published("Fourier integral", f"load at {place} of the reach", card, exact, "closed form", 3e-3)
    slope = (found[-1] - found[-2]) / 0.001
    assert 0.36 < slope < 1 / carrying_leg.couple_length(1.0)


def test_the_length_of_a_leg_under_a_load_away_from_its_toe(published):
    """The reaction 1/(pi d (1 + (y/d)2)) with all of the root's bending, 0.509 over 1.965 reaches, in its middle."""
    for d in (0.1, 1.0, 4.0):
        y = np.linspace(-0.5 / 0.509, 0.5 / 0.509, 20_001)
        peak = 0.509 * np.trapezoid(1 / (np.pi * d * (1 + (y / d) ** 2)), y)
        published(
            "quadrature",
            f"d {d} of the reach",
            carrying_leg.leg_length(1.0, d),
            1 / peak,
            "closed form",
            1e-6,
        )


def test_prying_by_the_frame_solver(published):
    """A beam guided at its root, pulled there by 1, held at the bolt (b), bearing at its edge (a beyond): E I = 1."""
    for b, a in ((1.2195, 0.2972), (1.0, 1.0), (0.5, 2.0)):
        xyz = np.array([[0.0, 0, 0], [b, 0, 0], [b + a, 0, 0]])
        fixed = np.zeros((3, 6), dtype=bool)
        fixed[:, [1, 3, 5]] = True
        fixed[0, [0, 4]] = True  # guided: it moves along z alone
        fixed[1:, 2] = True
        members = fr.Members(ends=np.array([[0, 1], [1, 2]]), zref=np.array([0.0, 0, 1]), A=np.array(1e6))
        nodal = np.zeros((1, 3, 6))
        nodal[0, 0, 2] = 1.0
        found = fr.solve(fr.Frame(xyz=xyz, fixed=fixed, members=members), fr.Cases(np.zeros((1, 3)), nodal))
        bolt, edge = (-found.reaction[0, 0, n, 2] for n in (1, 2))
        q = plate.prying_ratio(b, a)
        published("frame solver", f"Q/T for b {b}, a {a}", q, float(bolt - 1), "closed form", 1e-6)
        published("statics", f"bolt less edge, b {b}, a {a}", float(bolt + edge), 1.0, "closed form", 1e-9)
        root = abs(float(found.reaction[0, 0, 0, 4]))
        published(
            "frame solver",
            f"root moment over T b, b {b}, a {a}",
            plate.pried_root(b, a),
            root / b,
            "closed form",
            1e-6,
        )


def test_bolt_group_with_overturning(published):
    """Four bolts 4 x 6 in in a wall's plane (x, z), 1000 lbf down 5 in off the wall: 5000/(4 × 3²) × 3 = 416.67 lbf
    pull at each upper one, 250 lbf shear; twisted by 1200 in·lbf: 1200 × √13/(4 × 13) = 83.21 lbf each."""
    points = np.array([[x, 0.0, z] for x in (-2, 2) for z in (-3, 3)])
    hung = shared(points, np.array([0.0, 0, -1000]), np.array([0.0, -5.0, 0]))
    upper = points[:, 2] > 0
    published(
        "statics", "bolt group, pull", float(np.abs(hung[upper, 1]).max()), 5000 / 12, "closed form", 1e-9
    )
    published("statics", "bolt group, shear", float(abs(hung[0, 2])), 250.0, "closed form", 1e-9)
    twisted = shared(points, np.array([0.0, 0, -600]), np.array([2.0, 0.0, 0])) - [0, 0, -150]
    published("elastic vector method", "twist of the group", float(np.linalg.norm(twisted[0])), 1200 / (4 * 13**0.5),
              "closed form", 1e-9)  # fmt: skip


def test_a_rigid_body_moves_as_it_was_moved(published):
    """Points moved by a shift and a small turn give both back."""
    points = np.array([[0.0, 0, 0], [2, 0, 0], [0, 3, 0], [0, 0, 1]])
    turn, shift = np.array([0.01, -0.02, 0.03]), np.array([0.1, 0.2, 0.3])
    at, found = rigid_motion(points, shift + np.cross(turn, points - points.mean(axis=0)))
    published("rigid kinematics", "turn about z", float(found[2]), 0.03, "closed form", 1e-12)
    published("rigid kinematics", "shift along y", float(at[1]), 0.2, "closed form", 1e-12)
