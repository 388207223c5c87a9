"""Vibration against numbers from outside.

Miles' equation and its displacement form: NASA Goddard, "Basics of Miles' Equation" (femci.gsfc.nasa.gov/random, read):
GRMS = sqrt(pi/2 fn Q ASD), YRMS = sqrt(Q ASD / (32 pi^3 fn^3)); the plot's case is fn 200 Hz, Q 20.
NAVMAT P-9492, example spectrum (bmpcoe.org copy, read): 20-80 Hz +3 dB/oct, 0.04 g2/Hz to 350 Hz, -3 dB/oct to
2000 Hz, said there to be 6.0 Grms overall, which is 6.06; as break points 20 Hz 0.01, 80 0.04, 350 0.04, 2000 0.007
with a sine of 15 G: 6.1 and 12.2 Grms together (public tutorial "Sine on Random", read).
Largest peak: fn 200 Hz for 60 s is called 4.3 sigma by a public blog on random vibration (read), which is the leading
term sqrt(2 ln fT) of the formula it prints. Rayleigh peaks above 1, 2, 3 sigma:
60.7, 13.5, 1.2 % (Thomson, Theory of Vibration with Applications, section 13.4, read).
Isolation of a machine on 25 mm of static deflection at 25 Hz, damping 0.05: fn 3.15 Hz, r 7.93, T 0.0206, 97.9 %
(a public calculator of isolators, read). Transmissibility at r = 2 without damping 0.33 (public question of
curioustab.com, read); one at r = sqrt(2) for any damping (same, read).
Uniform cantilever: effective masses of the first four modes 0.6131, 0.1883, 0.0647, 0.0331 of the whole, remembered
from public notes on effective modal mass; a closed form of the beam's shapes gives them again.
Other numbers are closed forms of one or two freedoms, worked beside the check.
"""

from __future__ import annotations

from itertools import pairwise
from math import exp, log, pi, sqrt

import numpy as np
import pytest
from scipy.integrate import quad

from rackwright.formulas import vibration as formula
from rackwright.rack.vibration import BroadbandPoint, Tone
from rackwright.strength import frame as fr
from rackwright.strength.vibration.spectrum import Rows, Shaken, integration_points, random_rms, tone_peaks

NASA, NAVMAT, SINE = "NASA Goddard, Miles' equation", "NAVMAT P-9492 spectrum", "Sine-on-random tutorial"
HARRIS, BEAM, TWO = "Isolation calculator page", "Uniform cantilever", "Two masses on a moving floor"
IN, G0, LBF = 0.0254, 9.80665, 4.4482216152605


def points(*pairs: tuple[float, float]) -> tuple[BroadbandPoint, ...]:
    return tuple(BroadbandPoint(frequency=f, density=s) for f, s in pairs)


def one_freedom(hz: float, zeta: float) -> tuple[Shaken, Rows]:
    """A unit mass on a spring: absolute acceleration in g, then stretch in m, floor in g."""
    shaken = Shaken(np.array([hz]), np.array([zeta]), np.array([1.0]))
    return shaken, Rows(np.array([[1.0, G0]]), np.zeros(2), np.array([1.0, 0.0]), np.array([True, False]))


# --- formulas ------------------------------------------------------------------------------------


def test_miles(published):
    """sqrt(pi/2 200 20 0.01) = 7.92665 g; the stretch 386.09 sqrt(20 0.01 /(32 pi^3 200^3)) in."""
    published(
        NASA,
        "fn 200 Hz, Q 20, 0.01 g2/Hz: g rms",
        formula.miles_rms(200, 20, 0.01),
        sqrt(20 * pi),
        "closed form",
    )
    y = formula.miles_displacement(200, 20, 0.01)
    published(NASA, "the same: displacement, m", y, G0 * sqrt(0.2 / (32 * pi**3 * 8e6)), "closed form")
    pseudo = formula.miles_rms(200, 20, 0.01) * G0 / (2 * pi * 200) ** 2
    published(NASA, "displacement from the acceleration", y, float(pseudo), "closed form")


def test_spectra(published):
    area = formula.band_area
    slopes = area(20, 80, 0.01, 0.04) + 0.04 * (350 - 80) + area(350, 2000, 0.04, 0.04 * 350 / 2000)
    by_hand = 0.04 / 80 * (80**2 - 20**2) / 2 + 0.04 * (350 - 80) + 0.04 * 350 * log(2000 / 350)
    published(NAVMAT, "mean square with slopes of 3 dB/oct, g2", slopes, by_hand, "closed form")
    total = area(20, 80, 0.01, 0.04) + area(80, 350, 0.04, 0.04) + area(350, 2000, 0.04, 0.007)
    published(SINE, "broadband part, Grms", sqrt(total), "6.1", "published")
    published(SINE, "with a sine of 15 G, Grms", sqrt(total + 15**2 / 2), "12.2", "published")


def test_largest_peak(published):
    c = float(formula.expected_peak(200, 60))
    lead = (c + sqrt(c * c - 4 * 0.5772)) / 2  # c = lead + 0.5772/lead
    published("Random vibration blog", "200 Hz for 60 s, leading term, sigma", lead, "4.3", "published")
    above = quad(lambda x: 1 - (1 - exp(-x * x / 2)) ** 12_000, 0, 12, epsabs=1e-12, points=[3, 4, 5])[0]
    published(
        "Largest of 12 000 Rayleigh peaks", "mean, sigma", c, above, "closed form", c**-4
    )  # the next term of the expansion
    for sigma, percent in ((1, "60.7"), (2, "13.5")):
        published(
            "Thomson, section 13.4",
            f"peaks above {sigma} sigma, %",
            100 * exp(-(sigma**2) / 2),
            percent,
            "published",
        )


def test_isolation(published):
    f = formula.sag_frequency(0.025)
    published(HARRIS, "25 mm of deflection, Hz", f, "3.15", "published")
    published(HARRIS, "ratio at 25 Hz", 25 / f, "7.93", "published")
    published(
        HARRIS,
        "transmissibility at damping 0.05",
        formula.transmissibility(25 / f, 0.05),
        "0.0206",
        "published",
    )
    published(
        "curioustab question", "r = 2, no damping", formula.transmissibility(2, 0.0), "0.33", "published"
    )
    for zeta in (0.01, 0.2, 1.0):
        found = formula.transmissibility(sqrt(2), zeta)
        published("curioustab question", f"r = sqrt 2, damping {zeta}", found, 1.0, "published")


@pytest.mark.parametrize(("r", "zeta"), [(0.5, 0.1), (1.0, 0.05), (1.0, 0.2), (3.0, 0.1), (5.0, 0.02)])
def test_transmissibility_from_complex_stiffness(published, r, zeta):
    """(1 + 2jζr)/(1 - r² + 2jζr), by complex arithmetic."""
    theirs = abs((1 + 2j * zeta * r) / (1 - r**2 + 2j * zeta * r))
    published(
        "Moving base", f"T at r {r}, damping {zeta}", formula.transmissibility(r, zeta), theirs, "closed form"
    )
    stretch = formula.relative_transmissibility(r, zeta)
    published(
        "Moving base",
        f"D at r {r}, damping {zeta}",
        stretch,
        abs(r**2 / (1 - r**2 + 2j * zeta * r)),
        "closed form",
    )


def test_item_that_sways_and_rocks(published):
    """det [[kx - m w2, kx h], [kx h, kx h2 + kr - J w2]] = 0 for 10 kg on 60 kN/m, 900 Nm/rad, 0.08 m, 0.2 kg m2."""
    kx, kr, h, m, J = 6e4, 900.0, 0.08, 10.0, 0.2
    K, M = np.array([[kx, kx * h], [kx * h, kx * h * h + kr]]), np.diag([m, J])
    theirs = sqrt(min(np.linalg.eigvals(np.linalg.solve(M, K)).real)) / (2 * pi)
    published(
        "Rigid body on springs",
        "lower frequency, Hz",
        formula.sway_frequency(kx, kr, h, m, J),
        theirs,
        "closed form",
    )


# --- frames --------------------------------------------------------------------------------------


def test_effective_mass_of_a_uniform_cantilever(published):
    """4 (sigma_n/(beta_n L))^2, and the printed parts of the whole."""
    n, fixed = 24, np.zeros((25, 6), bool)
    xyz = np.zeros((n + 1, 3))
    xyz[:, 0] = np.linspace(0, 0.8, n + 1)
    fixed[:] = [1, 0, 1, 1, 1, 0]
    fixed[0] = True
    members = fr.Members(np.stack([np.arange(n), np.arange(1, n + 1)], axis=1), zref=np.array([0.0, 0, 1]),
                         E=np.array(70e9), G=np.array(26e9), A=np.array(4.4e-4), Iy=np.array(9.5e-8),
                         Iz=np.array(9.5e-8), J=np.array(1.4e-7), rho=np.array(2700.0))  # fmt: skip
    found = fr.modes(fr.Frame(xyz, fixed, members), 4)
    whole = 2700 * 4.4e-4 * 0.8
    for mode, (share, printed) in enumerate(zip(found.effective_mass[0, :, 1] / whole,
                                                ("0.6131", "0.1883", "0.0647", "0.0331"), strict=True), 1):  # fmt: skip
        published(BEAM, f"effective mass of mode {mode}, part", share, printed, "from memory")
        bl = (1.8751040687, 4.6940911330, 7.8547574382, 10.995540735)[mode - 1]
        sigma = (np.sinh(bl) - np.sin(bl)) / (np.cosh(bl) + np.cos(bl))
        published(
            BEAM, f"mode {mode}, 4 (sigma/bL)^2", share, float(4 * (sigma / bl) ** 2), "closed form", 2e-5
        )


def two_masses() -> tuple[fr.Frame, np.ndarray, np.ndarray]:
    """20 and 10 kg above each other on 400 and 150 kN/m, moving along x; the matrices beside."""
    xyz = np.array([[0, 0, 0], [0, 0, 1], [0, 0, 2]], float)
    members = fr.Members(
        np.array([[0, 1], [1, 2]]), zref=np.array([1.0, 0, 0]), E=np.array([4e5, 1.5e5]) / 12
    )
    fixed = np.array([[1] * 6, [0, 1, 1, 1, 1, 1], [0, 1, 1, 1, 1, 1]], bool)
    masses = fr.Masses.on_nodes(np.array([1, 2]), np.array([20.0, 10]), xyz)
    return (
        fr.Frame(xyz, fixed, members, masses=masses),
        np.array([[5.5e5, -1.5e5], [-1.5e5, 1.5e5]]),
        np.diag([20.0, 10]),
    )


def test_two_masses_on_a_moving_floor(published):
    """Quadratic of the two freedoms, effective masses, and |H| of (K - w2 M) u = -M 1 a by hand, lightly damped."""
    frame, K, M = two_masses()
    modal = fr.modal_model(frame, fr.Bodies.none(), 0, np.zeros(0, bool))
    b, c = K[0, 0] / 20 + K[1, 1] / 10, (K[0, 0] * K[1, 1] - K[0, 1] ** 2) / 200
    for mode, square in enumerate(((b - sqrt(b * b - 4 * c)) / 2, (b + sqrt(b * b - 4 * c)) / 2)):
        published(TWO, f"f{mode + 1}, Hz", modal.hz[mode], float(sqrt(square)) / (2 * pi), "closed form")
        top = (5.5e5 - 20 * square) / 1.5e5  # of the upper mass for one of the lower
        effective = (20 + 10 * top) ** 2 / (20 + 10 * top**2)
        published(
            TWO,
            f"effective mass {mode + 1}, kg",
            modal.effective_mass[mode, 0],
            float(effective),
            "closed form",
        )
    zeta = np.full(2, 1e-9)
    shaken = Shaken(modal.hz, zeta, modal.participation[:, 0])
    shape = modal.motion.node[:, 1:, 0]
    rows = Rows(shape, np.zeros(2), np.ones(2), np.ones(2, bool))
    for f in (5.0, 12.0, 40.0):
        w2 = (2 * pi * f) ** 2
        absolute = 1 - w2 * np.linalg.solve(K - w2 * M, -M @ np.ones(2))
        ours = tone_peaks(shaken, rows, (Tone(frequency=f, peak=1.0),))[0]
        published(
            TWO,
            f"upper mass at {f:g} Hz, absolute over floor",
            ours[1],
            float(abs(absolute[1])),
            "closed form",
            1e-6,
        )
    static = np.linalg.solve(K, M @ np.ones(2))
    assert modal.static is not None
    published(
        TWO, "upper mass under unit inertia, m", modal.static.node[0, 2, 0], float(static[1]), "closed form"
    )


def test_body_on_four_isolators(published):
    """A box of 12 kg on four springs at its corners, its centre 0.1 m above them; what carries it stands fast.

    Along z, about z, and the two coupled motions of each plane in closed form.
    """
    kx, kz, m, a, b, h = 2e4, 3e4, 12.0, 0.2, 0.15, 0.1
    corners = np.array([[x, y, 0.0] for x in (-a, a) for y in (-b, b)])
    xyz = np.array([*corners, [0.0, 0, -1]])
    fixed = np.ones((5, 6), bool)
    fixed[4] = [0, 1, 1, 1, 1, 1]  # one freedom of the frame's own, far away from the box's
    masses = fr.Masses(m=np.array([m, 1.0]), xyz=np.array([[0, 0, h], [0, 0, -1.0]]), carrier=np.array([0, 0, 0, 0, 1]),
                       node=np.arange(5), count=2)  # fmt: skip
    springs = fr.Springs(np.array([4]), np.array([0]), np.array([1e9]))
    J = np.diag([0.11, 0.17, 0.23])
    spring = np.zeros((6, 6))
    for x, y, _ in corners:
        z = -h
        G = np.array([[1, 0, 0, 0, z, -y], [0, 1, 0, -z, 0, x], [0, 0, 1, y, -x, 0.0]])
        spring += G.T @ np.diag([kx, kx, kz]) @ G
    frame = fr.Frame(xyz, fixed, springs=springs, masses=masses)
    modal = fr.modal_model(frame, fr.Bodies(np.array([0]), J[None], spring[None]), 0, np.zeros(0, bool))
    closed = {
        "along z": formula.natural_frequency(4 * kz, m),
        "about z": sqrt((4 * kx * a * a + 4 * kx * b * b) / J[2, 2]) / (2 * pi),
        "sway along x": formula.sway_frequency(4 * kx, 4 * kz * a * a, h, m, J[1, 1]),
        "sway along y": formula.sway_frequency(4 * kx, 4 * kz * b * b, h, m, J[0, 0]),
    }
    for name, hz in closed.items():
        nearest = modal.hz[np.abs(modal.hz - hz).argmin()]
        published("Box on isolators", f"{name}, Hz", nearest, float(hz), "closed form", 1e-9)
    low = np.abs(modal.hz - closed["along z"]).argmin()
    published(
        "Box on isolators", "mass that moves along z, kg", modal.effective_mass[low, 2], m, "closed form"
    )
    assert modal.energy[low, 0] == pytest.approx(1, rel=1e-12)


# --- random response -----------------------------------------------------------------------------


@pytest.mark.parametrize(("hz", "zeta"), [(30.0, 0.01), (80.0, 0.05), (150.0, 0.2)])
def test_white_noise(published, hz, zeta):
    """Between 0.01 Hz and 2 MHz flat noise is white: pi f S (1 + 4 zeta^2)/(4 zeta), and Miles' displacement."""
    shaken, rows = one_freedom(hz, zeta)
    rms = random_rms(shaken, rows, points((0.01, 0.01), (2e6, 0.01)))
    theirs = formula.white_noise_rms(hz, zeta, 0.01)
    # what lies beyond 2 MHz of the tail S (2 zeta fn/f)^2, one part in ten thousand, is subtracted
    beyond = 0.01 * (2 * zeta * hz) ** 2 / 2e6
    below = 0.01 * 0.01
    published(
        "White noise",
        f"{hz:g} Hz, damping {zeta}, g",
        rms[0],
        sqrt(float(theirs) ** 2 - beyond - below),
        "closed form",
        1e-6,
    )
    stretch = formula.miles_displacement(hz, 1 / (2 * zeta), 0.01)
    published(
        "White noise", f"{hz:g} Hz, damping {zeta}, stretch, m", rms[1], float(stretch), "closed form", 1e-4
    )


@pytest.mark.parametrize(("hz", "zeta"), [(12.0, 0.03), (45.0, 0.01), (180.0, 0.1)])
def test_random_response_beside_an_adaptive_quadrature(published, hz, zeta):
    """The NAVMAT spectrum on one freedom, by scipy's adaptive rule split at corners and resonance."""
    spectrum = points((20, 0.01), (80, 0.04), (350, 0.04), (2000, 0.007))
    shaken, rows = one_freedom(hz, zeta)

    def level(f: float) -> float:
        s = np.interp(np.log(f), np.log([20, 80, 350, 2000]), np.log([0.01, 0.04, 0.04, 0.007]))
        return float(np.exp(s) * formula.transmissibility(f / hz, zeta) ** 2)

    corners = sorted(
        {
            20.0,
            80.0,
            350.0,
            2000.0,
            max(hz, 20.0),
            max(hz * (1 - 5 * zeta), 20.0),
            max(hz * (1 + 5 * zeta), 20.0),
        }
    )
    area = sum(quad(level, a, b, epsabs=0, epsrel=1e-11, limit=400)[0] for a, b in pairwise(corners))
    ours = random_rms(shaken, rows, spectrum)[0]
    published(
        "scipy.integrate.quad", f"{hz:g} Hz, damping {zeta}, g rms", ours, sqrt(area), "peer library", 1e-8
    )


def test_weights_of_the_rule_add_up_to_the_range():
    shaken, _ = one_freedom(45.0, 0.02)
    f, weight = integration_points(np.array([20.0, 80.0, 2000.0]), shaken)
    assert weight.sum() == pytest.approx(1980.0, rel=1e-12)
    assert np.all(np.diff(f) > 0)
    assert np.all(weight > 0)
