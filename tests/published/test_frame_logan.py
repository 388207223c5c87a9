"""Logan, A First Course in the Finite Element Method, 4th edition, as quoted in the public tests of PyNiteFEA.

Problem 5.30 (Testing/test_2D_frames.py, test_XY_gravity_load) and example 2.1 (Testing/test_springs.py). How
known: read in those test files; the digits are those quoted there.
"""

from __future__ import annotations

import numpy as np

from rackwright.strength import frame as fr

LOGAN = "Logan, Finite Element Method, 4th ed."
OUT_OF_PLANE = [0, 0, 1, 1, 1, 0]


def test_gable_frame_problem_5_30(published):
    """Kip and inch. Nodes (0,0) (0,360) (180,480) (420,480) (600,360) (600,0), bases fixed, 30 kip down at 3 and 4."""
    xyz = np.array([[0, 0, 0], [0, 360, 0], [180, 480, 0], [420, 480, 0], [600, 360, 0], [600, 0, 0]], float)
    members = fr.Members(
        np.array([[i, i + 1] for i in range(5)]), zref=np.array([0.0, 0, 1]), E=np.array(30000.0), G=np.array(250.0),
        A=np.array(12.0), Iy=np.array(250.0), Iz=np.array(200.0), J=np.array(250.0),
    )  # fmt: skip
    fixed = np.array([[1] * 6] + [OUT_OF_PLANE] * 4 + [[1] * 6], bool)
    nodal = np.zeros((1, 6, 6))
    nodal[0, [2, 3], 1] = -30
    r = fr.solve(fr.Frame(xyz, fixed, members), fr.Cases(np.zeros((1, 3)), nodal))
    left, right = r.reaction[0, 0, 0], r.reaction[0, 0, 5]
    published(LOGAN, "5.30, base thrust, kip", left[0], "11.6877", "published")
    published(LOGAN, "5.30, base moment, kip·in", -left[5], "1810.0745", "published")
    published(LOGAN, "5.30, base vertical, kip", left[1], "30", "published")
    published(LOGAN, "5.30, other base thrust, kip", -right[0], "11.6877", "published")
    published(LOGAN, "5.30, nodes 3 and 4 down, in", -r.displacement[0, 0, 2, 1], "6.666757", "published")
    published(LOGAN, "5.30, turn of node 3, rad", -r.displacement[0, 0, 2, 5], "0.032", "published")


def test_three_springs_in_line_example_2_1(published):
    """1000, 2000, 3000 lb/in in line between walls, 5000 lb on the second joint. Bars stand for the springs."""
    xyz = np.array([[0, 0, 0], [1, 0, 0], [2, 0, 0], [3, 0, 0]], float)
    members = fr.Members(
        np.array([[0, 1], [1, 2], [2, 3]]), zref=np.array([0.0, 0, 1]), E=np.array([1000.0, 2000.0, 3000.0])
    )
    fixed = np.array([[1] * 6, [0, 1, 1, 1, 1, 1], [0, 1, 1, 1, 1, 1], [1] * 6], bool)
    nodal = np.zeros((1, 4, 6))
    nodal[0, 2, 0] = 5000
    r = fr.solve(fr.Frame(xyz, fixed, members), fr.Cases(np.zeros((1, 3)), nodal))
    u, R = r.displacement[0, 0, :, 0], r.reaction[0, 0, :, 0]
    published(LOGAN, "2.1, joint 3, in", u[1], "0.9090909090909", "published")
    published(LOGAN, "2.1, joint 4, in", u[2], "1.3636363636364", "published")
    published(LOGAN, "2.1, wall 1, lb", R[0], "-909.0909090909", "published")
    published(LOGAN, "2.1, wall 2, lb", R[3], "-4090.909090909", "published")
