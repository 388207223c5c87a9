"""Joints and thin walls beside outside numbers: crippling, threads, flexibility, prying, spigot, clamp.

Units are those of the source. Bruhn's crippling problems print the stress; their ratio to yield, to the two digits
that his curve is read to, is compared. The thread limits are those of a public table of the unified standard.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import pi, sqrt

from rackwright.formulas import (
    clamp,
    column,
    fastener_group,
    interaction,
    joint_flexibility,
    prying,
    spigot,
    thin_wall,
    thread,
)
from rackwright.strength.acceptance.check import PUBLISHED, Check

__all__ = ["detail_checks"]

BRUHN = "Bruhn, Analysis and Design of Flight Vehicle Structures, C7"
UNIFIED = "unified screw thread table"
#: size -> threads an inch, 3A and 3B: pitch diameter, its least and greatest, least minor diameter of the nut
THREADS = {
    "0-80 UNF": (0.060, 80, "0.0519", "0.0506", "0.0536", "0.0465"),
    "1-64 UNC": (0.073, 64, "0.0629", "0.0614", "0.0648", "0.0561"),
    "1-72 UNF": (0.073, 72, "0.0640", "0.0626", "0.0659", "0.0580"),
    "2-56 UNC": (0.086, 56, "0.0744", "0.0728", "0.0765", "0.0667"),
    "2-64 UNF": (0.086, 64, "0.0759", "0.0744", "0.0779", "0.0691"),
}
#: the same table, in
MOST_MINOR = {
    "0-80 UNF": "0.0514",
    "1-64 UNC": "0.0623",
    "1-72 UNF": "0.0635",
    "2-56 UNC": "0.0737",
    "2-64 UNF": "0.0753",
}
LEAST_MAJOR = {"0-80 UNF": "0.0568", "1-72 UNF": "0.0695", "2-56 UNC": "0.0819"}


def detail_checks() -> Iterator[Check]:
    yield from _crippling()
    yield from _columns()
    yield from _threads()
    yield from _flexibility()
    yield from _joints()


def _crippling() -> Iterator[Check]:
    """Problems 1 to 3: an angle of 1 x 1 x 0.05 in, 0.093 in2, of 2024-T3, 7075-T6 and titanium, g = 2 (printed
    20 000, 26 800 and 41 800 psi); Needham's corners of 1.5 in tubes by arithmetic, 6061-T6 of 34 ksi and 10.1 Msi."""
    for number, Fcy, E, printed in (
        (1, 40e3, 10.7e6, "0.50"),
        (2, 67e3, 10.5e6, "0.40"),
        (3, 110e3, 15.5e6, "0.38"),
    ):
        found = column.crippling_stress(Fcy, E, 0.05, 0.093, 2.0)
        yield Check(BRUHN, f"problem {number}, Gerard, over Fcy", found / Fcy, printed, PUBLISHED)
    for t, answer in ((0.035, 21919.29301), (0.049, 28415.16802), (0.125, 34000.0)):
        leg = (1.5 - t) / 2
        found = thin_wall.needham_angle(0.366, 34e3, 10.1e6, leg, leg, t)
        yield Check("Needham", f"corners of a 1.5 in tube, {t} in, psi", found, answer, tol=1e-8)
    found = thin_wall.wall_shear_strength(5.35, 10.1e6, 0.33, 0.035, 1.43, 27e3)
    yield Check("Timoshenko & Gere", "wall 1.43 x 0.035 in shear, psi", found, 27e3)
    found = thin_wall.wall_shear_strength(5.35, 10.1e6, 0.33, 0.020, 1.46, 27e3)
    yield Check("Timoshenko & Gere", "wall 1.46 x 0.020 in shear, psi", found, 9358.828550, tol=1e-8)


def _columns() -> Iterator[Check]:
    """Gere, problem 11.3-15: an aluminium strut of 6 ft, 4 kips with a factor of 2, needs I = 0.404 in4."""
    found = 8.0 / column.euler_load(10_400.0, 1.0, 72.0)
    yield Check("Gere, Mechanics of Materials", "problem 11.3-15, I in4", found, "0.404", PUBLISHED)
    # pressed, bent and sheared together: 0.4, 0.3, 0.1, 0.2 by halving, apart from this program
    found = interaction.beam_column_shear(0.4, 0.3, 0.1, 0.2)
    yield Check("amplified interaction and Bruhn C3", "0.4, 0.3, 0.1, 0.2", found, 1.296862038, tol=1e-9)
    yield Check("von Mises", "100 and 50", interaction.equivalent_stress(100.0, 50.0), sqrt(17_500))


def _threads() -> Iterator[Check]:
    for name, (D, count, pitch, least, most, minor) in THREADS.items():
        p = 1 / count
        basic = thread.basic_pitch(D, p)
        yield Check(UNIFIED, f"{name}, pitch diameter", basic, pitch, PUBLISHED)
        yield Check(UNIFIED, f"{name}, least minor 3B", thread.basic_minor_internal(D, p), minor, PUBLISHED)
        for of, C, printed in (("3A", 0.75, least), ("3B", 0.975, most)):
            inches = thread.pitch_tolerance(C, D * 0.0254, D * 0.0254, p * 0.0254) / 0.0254
            yield Check(UNIFIED, f"{name}, pitch tolerance {of}", inches, f"{abs(float(printed) - float(pitch)):.4f}",
                        PUBLISHED)  # fmt: skip
    for name, minor in MOST_MINOR.items():
        D, count, *_, least = THREADS[name]
        found = thread.minor_tolerance(D * 0.0254, 0.0254 / count) / 0.0254
        yield Check(
            UNIFIED, f"{name}, minor tolerance 3B", found, f"{float(minor) - float(least):.4f}", PUBLISHED
        )
    for name, major in LEAST_MAJOR.items():
        D, p = THREADS[name][0], 1 / THREADS[name][1]
        found = D - thread.major_tolerance(p * 0.0254) / 0.0254
        yield Check(UNIFIED, f"{name}, least major 3A", found, major, PUBLISHED)
    # 1/4-28, 0.25 in engaged; 3A least pitch 0.2243 and major 0.2435, 3B most minor 0.2190 and pitch 0.2300
    outer = thread.external_strip(0.25, 1 / 28, 0.2190, 0.2243)
    yield Check("FED-STD-H28", "1/4-28, strip area of the bolt, in2", outer, 0.1007380373, tol=1e-8)
    inner = thread.internal_strip(0.25, 1 / 28, 0.2435, 0.2300)
    yield Check("FED-STD-H28", "1/4-28, strip area of the nut, in2", inner, 0.1373591101, tol=1e-8)


def _flexibility() -> Iterator[Check]:
    """Huth: 0.1875 in bolt of 16 Msi, plates of 0.040 and 0.063 in of 10.5 Msi; stiffness as printed in the tests of a
    public finite-element library. Tate & Rosenfeld, Swift: by arithmetic."""
    found = 1 / joint_flexibility.huth(0.040, 0.063, 10.5e6, 10.5e6, 16e6, 0.1875, 2)
    yield Check("Huth", "bolt in double shear, lbf/in", found, "378714", PUBLISHED)
    found = 1 / joint_flexibility.tate_rosenfeld(0.04, 0.04, 10.5e6, 10.5e6, 10.4e6, 0.30, 0.188)
    yield Check("Tate & Rosenfeld", "0.188 in in 0.040 and 0.040, lbf/in", found, "100807", PUBLISHED)
    found = 1 / joint_flexibility.swift(0.1, 0.1, 10e6, 10e6, 10e6, 0.25)
    yield Check("Swift", "0.25 in in 0.1 and 0.1, lbf/in", found, 10e6 * 0.25 / 9.0)
    yield Check("springs in series", "end of a tube", joint_flexibility.end_turn(100.0, 2.0, 10.0, 5.0), 20.0)


def _joints() -> Iterator[Check]:
    """Prying: bolts of 53.0 kips under 37.1 kips, a' = 1.25 b', printed 0.54. Fillet: 0.1 in step, 0.05 in radius on
    1 in, h/r = 2 and 4, by arithmetic. A tube's end of two bolts 2 in apart and walls 1 in apart, by statics."""
    alpha = prying.prying_alpha(37.1, 53.0, 1.75, 1.0625, 1.0)
    yield Check(
        "Handbook of Structural Steel Connection Design and Details", "p. 321, beta", alpha, "0.54", PUBLISHED
    )
    pried = prying.pried_tension(10.0, 1.5, 1.5, 4.0, 1.0, 1.0)  # b'/a' = 1/2, delta = 3/4
    yield Check("Thornton", "most of prying, kips", pried, 10 * (1 + 0.5 * 0.75 / 1.75))
    yield Check(
        "Thornton",
        "plate beside its bolts, ksi",
        prying.pried_plate(10.0, 1.5, 4.0, 1.0, 1.0, 0.5),
        60 / 1.75,
    )
    thick = prying.prying_thickness(10.0, 1.5, 4.0, 1.0, 40.0, 0.75, 0.0)
    yield Check("Thornton", "plate of 40 ksi, plastic, in", thick, 0.5)
    for name, found, answer in (
        ("moment, load at 4 of 12", prying.fixed_end_moment(27.0, 12.0, 4.0), 48.0),
        ("reaction, load at 4 of 12", prying.fixed_end_reaction(27.0, 12.0, 4.0), 20.0),
    ):
        yield Check("beam tables", f"both ends fixed, {name}", found, answer)
    for r, answer in ((0.05, 1.946441855), (0.025, 2.430848)):
        yield Check("Roark, table 17.1", f"fillet {r} in on 1 in, step 0.1", spigot.fillet_factor(0.1, r, 1.0), answer,
                    tol=1e-8)  # fmt: skip
    # alone each: N/4, V/4, T/(2 × 1), Mo × 1/(2 × 2), Mx/(2 × 1)
    for name, load, answer in (("N", (8, 0, 0, 0, 0), 2.0), ("V", (0, 8, 0, 0, 0), 2.0), ("T", (0, 0, 8, 0, 0), 4.0),
                               ("Mo", (0, 0, 0, 8, 0), 2.0), ("Mx", (0, 0, 0, 0, 8), 4.0)):  # fmt: skip
        found = fastener_group.tube_end_bolt(*load, n=2, nd=2, h=1.0, z=1.0, S=2.0)
        yield Check("elastic vector method", f"tube end, {name} of 8", found, answer)
    yield Check("statics", "washer of 0.5 in on 0.265, psi", clamp.washer_pressure(1600.0, 0.5, 0.265),
                1600 / (pi / 4 * (0.25 - 0.070225)))  # fmt: skip
    # a strip of 1.25 in, 0.125 thick and 1 wide: P = 192 E I g/L³, M = P L/8, stress 6 M/t²
    P = 192 * 10e6 * 0.125**3 / 12 * 0.002 / 1.25**3
    found = clamp.closing_stress(10e6, 0.125, 0.002, 1.25)
    yield Check(
        "beam held at both ends", "closing a gap of 0.002 in, psi", found, 6 * P * 1.25 / 8 / 0.125**2
    )
