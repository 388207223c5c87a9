"""Floor loads, shoring, curved bars, lugs and cones of directions against outside examples and closed forms.

FM 55-9 chapter 6 (load shoring; read): shoring spreads by its thickness on every side; a box of 12 by 6 in on a 2 in
plank. Public examination questions on cargo handling (read; the answers by arithmetic): running load and floor
intensity. Shigley, Mechanical Engineering Design, example of a crane hook with a rectangular section (from memory);
the formula also in public lecture notes on a crane hook (read). MIL-STD-209K 5.2.3 (read): ultimate of a tie-down
provision not less than 1.5 times design limit load.
"""

from __future__ import annotations

import numpy as np

from rackwright.formulas import cone, floor, interaction, lug


def test_shoring(published):
    place = "chapter 6, box 12 by 6 in on a 2 in plank"
    published("FM 55-9", f"{place}, without", floor.shored_area(12.0, 6.0, 0.0), "72", "published")
    published("FM 55-9", f"{place}, on the floor", floor.shored_area(12.0, 6.0, 2.0), "160", "closed form")


def test_floor_intensity_and_running_load(published):
    """4000 N/m² and a cube of 0.5 m: 1000 N, 100 kg at g = 10; a pallet of 0.8 m and 650 kg/m²: 416 kg; 500 kg over
    1.43 m and more keep 350 kg/m."""
    source = "public cargo-handling questions 31-06"
    published(source, "1: 1000 N on 0.5 × 0.5 m", floor.floor_pressure(1000.0, 0.25), "4000", "closed form")
    published(source, "5: 416 kg on 0.8 × 0.8 m", floor.floor_pressure(416.0, 0.64), "650", "closed form")
    published(source, "4: 500 kg over 500/350 m", floor.running_load(500.0, 500 / 350), "350", "closed form")


def test_crane_hook_of_rectangular_section(published):
    """b = 0.75 in, 2 to 6 in radius, 5000 lbf at the centre of curvature: M = 20 000 in·lbf about the middle, F/A
    1667 psi."""
    bent = lug.curved_bar_inner(20_000.0, 0.75, 4.0, 2.0)
    published(
        "Shigley, curved beams",
        "crane hook, inner fibre, kpsi",
        (bent + 5000 / 3) / 1000,
        "16.9",
        "from memory",
    )
    rn = 4 / np.log(3)
    formula = 20_000 * (rn - 2) / (3 * (4 - rn) * 2)
    published("crane hook notes, rectangle", "M ci/(A e ri)", bent, float(formula), "closed form")


def test_a_nearly_straight_bar_has_six_m_over_b_h_squared(published):
    bent = lug.curved_bar_inner(1.0, 1.0, 1.0, 1e4)
    published(
        "bending of a straight bar", "6 M/(b h²), to first order in h/R", bent, 6.0, "closed form", tol=1e-4
    )


def test_the_worst_obliquity_of_a_lug(published):
    """(A cos θ)^1.6 + (B sin θ)^1.6: for A = B at 45°; its largest value by a fine search of the angle."""
    published("oblique lug, equal strengths", "sin² θ", cone.oblique_worst(1.0, 1.0), "0.5", "closed form")
    angle = np.linspace(0, np.pi / 2, 200_001)
    value = 1 / interaction.lug_oblique(0.9 * np.cos(angle), 1.1 * np.sin(angle))
    x = float(np.sin(angle[np.argmax(value)]) ** 2)
    published(
        "oblique lug, 0.9 and 1.1",
        "sin² θ by search",
        cone.oblique_worst(0.9, 1.1),
        x,
        "closed form",
        tol=1e-4,
    )


def test_the_largest_component_in_a_cone(published):
    """An axis within the cone: all of it; 90° off a cone of 30°: half of it."""
    published(
        "spherical trigonometry", "axis in the cone", cone.cone_pull(1.0, 0.2, 0.3), "1.0", "closed form"
    )
    half = cone.cone_pull(1.0, np.pi / 2, np.pi / 6)
    published("spherical trigonometry", "90° off a cone of 30°", half, "0.5", "closed form")


def test_shear_and_tension_by_stated_exponents(published):
    """Exponents of two: a circle; of one: a line."""
    published(
        "interaction", "circle, 0.3 and 0.4", interaction.powers(0.3, 0.4, 2.0, 2.0), "2", "closed form"
    )
    published("interaction", "line, 0.3 and 0.2", interaction.powers(0.3, 0.2, 1.0, 1.0), "2", "closed form")


def test_a_working_load_with_its_stated_factor(published):
    """MIL-STD-209K: ultimate 1.5 times design limit: 5000 lbf limit, 7500 lbf ultimate."""
    published("MIL-STD-209K", "5.2.3", floor.rated_ultimate(5000.0, 1.5), "7500", "closed form")
