"""Vibration: natural frequencies, what a floor's sine and random motion does to a mass on a spring, its peaks.

One freedom on a moving floor, r = f/fn:  transmissibility is absolute motion over floor motion, the relative
transmissibility the spring's stretch over floor motion; beyond r = √2 the first is below one whatever the damping.
Random motion is a one-sided spectral density; its mean square is the area under it. Miles' equation holds for one
lightly damped mode alone under a density that is flat about it; everything else takes the integral of |H|² S.
Harmonic and random peaks are added in full, which is on the safe side of every other rule for combining them.
Sources stand on the cards; Harris, Shock and Vibration Handbook, chapters 2, 11 and 30, has them all.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas.cards import Card, Limit, Num, Symbol
from rackwright.formulas.loads import G0

__all__ = [
    "band_area",
    "composite_damping",
    "expected_peak",
    "miles_displacement",
    "miles_rms",
    "natural_frequency",
    "relative_transmissibility",
    "sag_frequency",
    "separation",
    "sine_on_random_peak",
    "sine_stroke",
    "sway_frequency",
    "transmissibility",
    "white_noise_rms",
]


def natural_frequency(k: Num, m: Num) -> Num:
    return np.sqrt(k / m) / (2 * np.pi)


def sag_frequency(d: Num) -> Num:
    return np.sqrt(G0 / d) / (2 * np.pi)


def sway_frequency(kx: Num, kr: Num, h: Num, m: Num, J: Num) -> Num:
    a, b = kx / m, (kx * h**2 + kr) / J
    root = np.sqrt((a - b) ** 2 + 4 * kx**2 * h**2 / (m * J))
    return np.sqrt(2 * kx * kr / (m * J * (a + b + root))) / (2 * np.pi)


def transmissibility(r: Num, zeta: Num) -> Num:
    return np.sqrt((1 + (2 * zeta * r) ** 2) / ((1 - r**2) ** 2 + (2 * zeta * r) ** 2))


def relative_transmissibility(r: Num, zeta: Num) -> Num:
    return r**2 / np.sqrt((1 - r**2) ** 2 + (2 * zeta * r) ** 2)


def sine_stroke(a: Num, f: Num) -> Num:
    return a * G0 / (2 * np.pi * f) ** 2


def miles_rms(f: Num, Q: Num, S: Num) -> Num:
    return np.sqrt(np.pi / 2 * f * Q * S)


def miles_displacement(f: Num, Q: Num, S: Num) -> Num:
    return G0 * np.sqrt(Q * S / (32 * np.pi**3 * f**3))


def white_noise_rms(f: Num, zeta: Num, S: Num) -> Num:
    return np.sqrt(np.pi * f * S * (1 + 4 * zeta**2) / (4 * zeta))


def band_area(f1: Num, f2: Num, S1: Num, S2: Num) -> Num:
    n = np.log(S2 / S1) / np.log(f2 / f1) + 1
    level = np.abs(n) < 1e-9  # S falls as 1/f
    n = np.where(level, 1.0, n)
    return np.where(level, S1 * f1 * np.log(f2 / f1), S1 * f1 / n * ((f2 / f1) ** n - 1))


def sine_on_random_peak(A: Num, n: Num, s: Num) -> Num:
    return A + n * s


def expected_peak(f: Num, T: Num) -> Num:
    c = np.sqrt(2 * np.log(f * T))
    return c + 0.5772 / c


def composite_damping(zs: Num, zi: Num, e: Num) -> Num:
    return zs + (zi - zs) * e


def separation(fn: Num, fh: Num) -> Num:
    return np.abs(fn - fh) / fh


f = Symbol("f", "frequency", "Hz", "natural frequency")
Q = Symbol("Q", "1", "", "amplification at resonance, 1/(2 zeta)")
S = Symbol("S", "acceleration_density", "g2/Hz", "acceleration spectral density near it, one-sided")
r = Symbol("r", "1", "", "frequency over natural frequency")
zeta = Symbol("zeta", "1", "", "share of critical damping")
m = Symbol("m", "mass", "lb", "mass")
fn = Symbol("fn", "frequency", "Hz", "natural frequency")
rms = Symbol("a", "acceleration", "g", "root mean square acceleration")
MILES = "Miles, J. Aeronautical Sciences 1954; NASA Goddard, Basics of Miles' Equation (femci.gsfc.nasa.gov)"
ONE_MODE = Limit(
    "Q", low=5, why="light damping: one isolated mode, flat input an octave to either side of it"
)
BASE = "one freedom on a moving base; Ogata, System Dynamics, eq. 9-14"

CARDS = (
    Card(
        "natural_frequency", "natural frequency of a mass on a spring",
        (Symbol("k", "stiffness", "lbf/in", "stiffness of all springs together"), m), fn, "sqrt(k/m)/(2*pi)",
        "equation of motion", "derived", natural_frequency,
    ),
    Card(
        "sag_frequency", "natural frequency from the sag under own weight",
        (Symbol("d", "length", "in", "static deflection under its weight"),), fn, "sqrt(9.80665/d)/(2*pi)",
        "equation of motion, k = m g/d", "derived", sag_frequency,
        note="linear springs whose dynamic stiffness is their static one: not so for elastomers",
    ),
    Card(
        "sway_frequency", "lower frequency of an item that sways and rocks on its isolators",
        (
            Symbol("kx", "stiffness", "lbf/in", "sideways stiffness of all isolators"),
            Symbol("kr", "moment", "in*lbf", "their stiffness against rocking, moment for a radian"),
            Symbol("h", "length", "in", "height of the centre of gravity above their plane"),
            m,
            Symbol("J", "mass_moment", "lb*in2", "moment of inertia about the centre of gravity"),
        ),
        fn, "sqrt(2*kx*kr/(m*J*(a + b + sqrt((a - b)**2 + 4*kx**2*h**2/(m*J)))))/(2*pi)",
        "rigid body on springs in one plane of symmetry; Harris, Shock and Vibration Handbook, chapter 3", "memory",
        sway_frequency, where=(("a", "kx/m"), ("b", "(kx*h**2 + kr)/J")),
    ),
    Card(
        "transmissibility", "absolute motion over floor motion, sine", (r, zeta),
        Symbol("T", "1", "", "motion of the mass over motion of the floor"),
        "sqrt((1 + (2*zeta*r)**2)/((1 - r**2)**2 + (2*zeta*r)**2))", BASE, "read", transmissibility,
    ),
    Card(
        "relative_transmissibility", "stretch of the spring over floor motion, sine", (r, zeta),
        Symbol("D", "1", "", "relative displacement over displacement of the floor"),
        "r**2/sqrt((1 - r**2)**2 + (2*zeta*r)**2)", BASE, "derived", relative_transmissibility,
    ),
    Card(
        "sine_stroke", "displacement of a sine motion from its acceleration",
        (Symbol("a", "acceleration", "g", "peak acceleration"), Symbol("f", "frequency", "Hz", "its frequency")),
        Symbol("x", "length", "in", "peak displacement, to one side"), "a*9.80665/(2*pi*f)**2", "kinematics",
        "derived", sine_stroke,
    ),
    Card(
        "miles_rms", "response of one freedom to flat random vibration", (f, Q, S), rms, "sqrt(pi/2*f*Q*S)", MILES,
        "read", miles_rms, limits=(ONE_MODE,),
        note="one freedom, flat input near it; three times the rms is the usual design value",
    ),
    Card(
        "miles_displacement", "stretch of one freedom under flat random vibration", (f, Q, S),
        Symbol("x", "length", "in", "root mean square of the relative displacement"),
        "9.80665*sqrt(Q*S/(32*pi**3*f**3))", MILES, "read", miles_displacement, limits=(ONE_MODE,),
    ),
    Card(
        "white_noise_rms", "response of one freedom to white noise, any damping", (f, zeta, S), rms,
        "sqrt(pi*f*S*(1 + 4*zeta**2)/(4*zeta))", "integral of the squared transmissibility from 0 to infinity",
        "derived", white_noise_rms,
    ),
    Card(
        "band_area", "mean square of a straight piece of a spectrum, both scales logarithmic",
        (
            Symbol("f1", "frequency", "Hz", "lower frequency"), Symbol("f2", "frequency", "Hz", "upper frequency"),
            Symbol("S1", "acceleration_density", "g2/Hz", "density at the lower frequency"),
            Symbol("S2", "acceleration_density", "g2/Hz", "density at the upper frequency"),
        ),
        Symbol("A", "1", "", "mean square acceleration, g2"), "S1*f1/n*((f2/f1)**n - 1)",
        "integral of S1 (f/f1)^(n-1)", "derived", band_area, where=(("n", "log(S2/S1)/log(f2/f1) + 1"),),
        limits=(Limit("f2/f1", low=1.000001), Limit("Abs(log(S2/S1)/log(f2/f1) + 1)", low=1e-6,
                                                    why="where S falls as 1/f the area is S1 f1 log(f2/f1)")),
    ),
    Card(
        "sine_on_random_peak", "peak of sine tones on random vibration",
        (
            Symbol("A", "1", "", "peaks of all tones added, in the unit of the result"),
            Symbol("n", "1", "", "standard deviations counted, usually 3"),
            Symbol("s", "1", "", "root mean square of the random part, in that unit"),
        ),
        Symbol("P", "1", "", "peak"), "A + n*s",
        "straight sum of harmonic peak and n sigma, of the methods in NASA/TP-2003-212257 the highest", "memory",
        sine_on_random_peak, note="tones in their worst phase; a mean square sum would be smaller",
    ),
    Card(
        "expected_peak", "largest peak to expect in a time, over the rms",
        (f, Symbol("T", "time", "s", "duration")), Symbol("c", "1", "", "peak over root mean square"),
        "sqrt(2*log(f*T)) + 0.5772/sqrt(2*log(f*T))",
        "Rayleigh peaks of a narrow band, as given in public notes on random vibration", "read", expected_peak,
        limits=(Limit("f*T", low=10, why="cycles"),),
    ),
    Card(
        "composite_damping", "damping of a mode that is partly in isolators",
        (
            Symbol("zs", "1", "", "damping ratio of the structure"),
            Symbol("zi", "1", "", "damping ratio of the isolators"),
            Symbol("e", "1", "", "share of the mode's strain energy in the isolators"),
        ),
        Symbol("z", "1", "", "damping ratio of the mode"), "zs + (zi - zs)*e",
        "modal strain energy: mean weighted by strain energy, as public structural programs state it", "read",
        composite_damping, limits=(Limit("e", low=0, high=1), Limit("zi", high=0.2, why="above it the method drifts")),
    ),
    Card(
        "separation", "distance of a natural frequency from a harmonic",
        (fn, Symbol("fh", "frequency", "Hz", "harmonic of a rotor, propeller or engine")),
        Symbol("s", "1", "", "distance over the harmonic"), "Abs(fn - fh)/fh", "definition", "derived", separation,
    ),
)  # fmt: skip
