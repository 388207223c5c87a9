"""Printed output of the general-purpose program Frame3DD (H. P. Gavin, Duke University).

Repository hpgavin/frame3dd, examples/exA.out and exB.out, read. Example A is first order, so its printed digits
hold. Example B was run with geometric stiffness (second order): its figures are matched to 2e-4 only, which
is what that term is worth there.
"""

from __future__ import annotations

import numpy as np

from rackwright.strength import frame as fr

A, B = "Frame3DD example A", "Frame3DD example B"


def truss() -> fr.Frame:
    """Example A: plane truss of 12 nodes, kip and inch. A 10, I 0.01 (printed as 0.0), E 29000; no shear."""
    xyz = np.array([[120.0 * i, 0, 0] for i in range(7)] + [[120.0 * i, 120, 0] for i in range(1, 6)])
    pairs = [(1, 2), (2, 3), (3, 4), (4, 5), (5, 6), (6, 7), (1, 8), (2, 8), (2, 9), (3, 9), (4, 9), (4, 10), (4, 11),
             (5, 11), (6, 11), (6, 12), (7, 12), (8, 9), (9, 10), (10, 11), (11, 12)]  # fmt: skip
    members = fr.Members(
        np.array(pairs) - 1, zref=np.array([0.0, 0, 1]), E=np.array(29000.0), G=np.array(11500.0), A=np.array(10.0),
        Iy=np.array(1.0), Iz=np.array(0.01), J=np.array(1.0),
    )  # fmt: skip
    fixed = np.tile(np.array([0, 0, 1, 1, 1, 0], bool), (12, 1))
    fixed[0, :2] = fixed[6, 1] = True
    return fr.Frame(xyz, fixed, members)


def test_truss_with_a_moved_support(published):
    """Case 1: 10 to 20 kip down on the lower chord; node 8 is held 0.1 in to the right.

    The support force that moves node 8 by 0.1 in follows from two cases, the loads and a unit force.
    """
    frame = truss()
    loads = np.zeros((2, 12, 6))
    loads[0, 1:6, 1] = -10, -20, -20, -10, -20
    loads[1, 7, 0] = 1
    first = fr.solve(frame, fr.Cases(np.zeros((2, 3)), loads)).displacement[0, :, 7, 0]
    push = (0.1 - first[0]) / first[1]
    r = fr.solve(frame, fr.Cases(np.zeros((1, 3)), loads[:1] + push * loads[1:]))
    u, axial, R = r.displacement[0, 0], r.end_force[0, 0, :, 6], r.reaction[0, 0]
    published(A, "support force at node 8, kip", push, "-11.941", "published")
    for node, x, y, turn in ((3, "0.036037", "-0.284156", "-0.000577"), (4, "0.060329", "-0.315889", "0.000023"),
                             (12, "0.014710", "-0.157594", "0.000928")):  # fmt: skip
        published(A, f"node {node} x, in", u[node - 1, 0], x, "published")
        published(A, f"node {node} y, in", u[node - 1, 1], y, "published")
        published(A, f"node {node} turn, rad", u[node - 1, 5], turn, "published")
    for member, force in ((1, "28.383"), (2, "58.706"), (7, "-57.026"), (9, "-42.884"), (13, "13.685"),
                          (17, "-56.111"), (19, "-69.030")):  # fmt: skip
        published(A, f"element {member} axial, kip", axial[member - 1], force, "published")
    published(A, "node 1 up, kip", R[0, 1], "40.323", "published")
    published(A, "node 7 up, kip", R[6, 1], "39.677", "published")


def pyramid() -> fr.Frame:
    """Example B: four legs to an apex, feet fixed; N, mm, t; A 36, shear areas 20, J 1000, I 492."""
    xyz = np.array([[0, 0, 1000], [-1200, -900, 0], [1200, -900, 0], [1200, 900, 0], [-1200, 900, 0]], float)
    members = fr.Members(
        np.array([[1, 0], [0, 2], [0, 3], [4, 0]]), zref=np.array([0.0, 0, 1]), E=np.array(2e5), G=np.array(79300.0),
        A=np.array(36.0), Iy=np.array(492.0), Iz=np.array(492.0), J=np.array(1000.0), rho=np.array(7.85e-9),
        Asy=np.array(20.0), Asz=np.array(20.0),
    )  # fmt: skip
    return fr.Frame(xyz, np.array([[0] * 6] + [[1] * 6] * 4, bool), members)


def test_pyramid_under_gravity_and_an_apex_load(published):
    """Case 1: gravity 9806.33 mm/s² down, (100, -200, -100) N at the apex."""
    nodal = np.zeros((1, 5, 6))
    nodal[0, 0, :3] = 100, -200, -100
    r = fr.solve(pyramid(), fr.Cases(np.array([[0, 0, -9806.33]]), nodal))
    u, R = r.displacement[0, 0, 0], r.reaction[0, 0]
    for name, ours, theirs in (
        ("apex x, mm", u[0], 0.014127), ("apex y, mm", u[1], -0.050229), ("apex z, mm", u[2], -0.022374),
        ("foot 2 Fx, N", R[1, 0], 74.653), ("foot 3 Fz, N", R[2, 2], 106.381), ("foot 5 Fx, N", R[4, 0], -58.667),
        ("element 2 axial at foot 3, N", r.end_force[0, 0, 1, 6], -188.657),
    ):  # fmt: skip
        published(B, f"case 1, {name}", ours, theirs, "published", 2e-4)
