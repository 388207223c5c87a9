"""Public press-brake guide pages, and Machinery's Handbook (26th edition) K factors as a public page quotes them.

How known: read, on public pages. Air bend of 0.125 in mild steel, 4 ft long, in a 1 in die: the pages print 9.0 tons a
foot and 36 tons from 575 t²/V at 60 ksi. What the pages give only as a rule is marked closed form.
"""

from __future__ import annotations

from math import radians

import pytest

from rackwright.formulas import bend
from rackwright.reference import shipped
from rackwright.units import unit_factor

GUIDE, HANDBOOK = "press-brake guide pages", "Machinery's Handbook 26 (quoted)"
INCH, KSI, TON = (float(unit_factor(word)) for word in ("in", "ksi", "lbf"))
C = 575 * 2000 / (12 * 60_000)


def tons(width: float, t: float, V: float, uts: float) -> float:
    """US tons of an air bend; inches and ksi."""
    return bend.bend_force(C, uts * KSI, width * INCH, t * INCH, V * INCH) / TON / 2000


def test_force_of_an_air_bend(published):
    published(GUIDE, "0.125 in, V 1 in, tons a foot", tons(12, 0.125, 1.0, 60), "9.0", "published")
    published(GUIDE, "0.125 in, V 1 in, 4 ft, tons", tons(48, 0.125, 1.0, 60), "36", "published")


def test_force_of_a_ring_blank(published):
    """0.250 in stainless, bend line 3 in, V 2 in: by strength, and by the factors that guides print for stainless."""
    published(GUIDE, "ring, 75/60 of mild steel", tons(3, 0.25, 2, 75), 5.615234375, "closed form")
    published(GUIDE, "ring, factor 1.5", 1.5 * tons(3, 0.25, 2, 60), 6.73828125, "closed form")
    published(GUIDE, "ring, factor 1.55", 1.55 * tons(3, 0.25, 2, 60), 6.962890625, "closed form")
    published(GUIDE, "constant of the 575 rule", C, 1.597222222, "closed form", 1e-9)


def test_force_with_another_constant(published):
    """3 mm, 450 MPa, 1 m in V 24: 240 kN, which one page calls 240 tons."""
    published(
        GUIDE, "constant 1.42, N", bend.bend_force(1.42, 450e6, 1.0, 0.003, 0.024), 239625.0, "closed form"
    )


@pytest.mark.parametrize(
    ("row", "K"),
    [("aluminium 0.125", "0.406"), ("stainless 0.078", "0.446"), ("cold-rolled steel 0.093", "0.456")],
)
def test_k_factors(published, row, K):
    found = shipped().k_factors[row]
    published(HANDBOOK, f"K, {row} in at R 0.120 in", found.K, K, "published")
    assert found.known_of("K").unconfirmed


def test_springback_of_a_public_plastic_forming_page(published):
    """300 MPa, 210 GPa, R 50 mm, t 2 mm: the page gives formula and numbers to put in."""
    Ks = bend.springback_ratio(300e6, 210e9, 0.050, 0.002)
    source = "plastic-forming page (Gardiner)"
    published(source, "ratio", Ks, 0.8930393586, "closed form", 1e-9)
    published(source, "radius after, mm", 50 / Ks, 55.98857376, "closed form", 1e-9)
    published(source, "return at 90 deg", 90 * (1 - Ks), 9.626457726, "closed form", 1e-8)


@pytest.mark.parametrize(
    ("Fy", "ratio", "over"), [(30, 0.9953448425, 0.210461819), (60, 0.9906897747, 0.4228974071)]
)
def test_springback_of_a_ring(published, Fy, ratio, over):
    Ks = bend.springback_ratio(Fy * KSI, 29_000 * KSI, 0.375 * INCH, 0.25 * INCH)
    published("Gardiner form", f"ring at {Fy} ksi, ratio", Ks, ratio, "closed form", 1e-9)
    more = bend.loaded_angle(45.0, Ks) - 45.0
    published("Gardiner form", f"ring at {Fy} ksi, overbend deg", more, over, "closed form", 1e-8)


@pytest.mark.parametrize(
    ("K", "BA"), [(0.33, 0.3593196598), (0.4, 0.3730641276), (0.447, 0.382292556), (0.5, 0.3926990817)]
)
def test_allowance_of_a_ring(published, K, BA):
    ours = bend.bend_allowance(radians(45), 0.375, K, 0.250)
    published("K-factor formula", f"ring, allowance at K {K}", ours, BA, "closed form", 1e-9)


def test_the_trade_constant_hides_a_k(published):
    published("trade bend formula", "K in 0.0078 N t", 0.0078 / radians(1), 0.4469070802, "closed form", 1e-9)


def test_uncertainty_of_k_and_strain(published):
    """Each of flat and legs known to 0.0005 in; strain of 0.250 in at R 0.375 in."""
    u = bend.k_uncertainty(0.0005, 0.25, radians(45))
    published(
        "propagation of uncertainty", "u(K) of a ring's test bend", u, 0.004410631163, "closed form", 1e-9
    )
    published("geometry", "outer strain, R/t 1.5", bend.outer_strain(0.375, 0.25), 0.25, "closed form")
