"""Faires, Design of Machine Elements, section 5, problem 334: diameters of round steel columns.

How known: read, in two public copies of worked solutions. 10 kips times a factor of 3, E 30 000 ksi; the
solutions print the diameter at which Johnson's or Euler's load is 30 kips.
"""

from __future__ import annotations

from scipy.optimize import brentq

from rackwright.formulas import column, section

SOURCE = "Faires, Design of Machine Elements"
E, LOAD = 30.0e3, 30.0


def diameter(strength):
    """The round bar whose strength, as a stress of (E, slenderness), carries the load."""

    def spare(d, length):
        s = column.slenderness(
            length, section.radius_of_gyration(section.round_inertia(d), section.round_area(d))
        )
        return strength(s) * section.round_area(d) - LOAD

    return lambda length: brentq(spare, 0.3, 3.0, args=(length,), xtol=1e-9)


def test_334a_johnson(published):
    """AISI C1020 as rolled, yield 48 ksi, 25 in: D = 1.096 in."""
    found = diameter(lambda s: column.johnson_euler(E, 48.0, s))(25.0)
    published(SOURCE, "problem 334(a), D in", found, "1.096", "published")


def test_334b_euler(published):
    """50 in: D = 1.507 in."""
    found = diameter(lambda s: column.euler_stress(E, s))(50.0)
    published(SOURCE, "problem 334(b), D in", found, "1.507", "published")


def test_334c_transition_and_euler(published):
    """AISI 8640 OQT 1000 F, yield 150 ksi: the curves meet at 62.83; at 25 in Euler gives D = 1.0657 in."""
    published(
        SOURCE, "problem 334(c), transition", column.transition_slenderness(E, 150.0), "62.83", "published"
    )
    found = diameter(lambda s: column.johnson_euler(E, 150.0, s))(25.0)
    published(SOURCE, "problem 334(c), D in", found, "1.0657", "published")
