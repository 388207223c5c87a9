"""Ties that only pull and pads that only push, where statics alone gives the answer.

PyNiteFEA's public test Testing/test_TC_analysis.py (read); panels and beams by statics (closed form).
"""

from __future__ import annotations

import numpy as np

from rackwright.strength import frame as fr

STATICS = "Statics of one-sided parts"
PLANE = [0, 0, 1, 1, 1, 1]  # a pin-jointed node in the x-y plane: its turn does not matter, so it is held


def bars(ends, E=1.0, A=1.0, **parts) -> fr.Members:
    """Pin-ended bars."""
    return fr.Members(
        np.array(ends),
        zref=np.array([0.0, 0, 1]),
        E=np.array(E),
        A=np.array(A),
        end_spring=np.array(0.0),
        **parts,
    )


def test_strut_with_two_ties(published):
    """Strut (0,0)-(100,0), ties from (0,10) and (0,-10) to its tip, in and kip, 10 kip down at the tip."""
    xyz = np.array([[0, 0, 0], [100, 0, 0], [0, 10, 0], [0, -10, 0]], float)
    stiff = 29000 * 1.94 / np.hypot(100, 10)
    frame = fr.Frame(
        xyz, np.array([[1] * 6, PLANE, [1] * 6, [1] * 6], bool), bars([[0, 1]], 29000.0, 1.94),
        ties=fr.Ties(np.array([[2, 1], [3, 1]]), k=np.array(stiff)),
    )  # fmt: skip
    nodal = np.zeros((1, 4, 6))
    nodal[0, 1, 1] = -10
    r = fr.solve(frame, fr.Cases(np.zeros((1, 3)), nodal))
    published("PyNiteFEA test_TC_analysis", "upper tie, kip", r.tie_force[0, 0, 0], "100.499", "published")
    published("PyNiteFEA test_TC_analysis", "strut, kip", -r.end_force[0, 0, 0, 6], "100", "published")
    assert r.tie_force[0, 0, 1] == 0


def test_panel_with_crossed_ties(published):
    """Pinned panel 0.8 x 0.6 m, H = 1000 N at the top: one diagonal takes H·1.0/0.8, the leeward post H·0.6/0.8."""
    xyz = np.array([[0, 0, 0], [0.8, 0, 0], [0, 0.6, 0], [0.8, 0.6, 0]])
    frame = fr.Frame(
        xyz, np.array([[1] * 6, [1] * 6, PLANE, PLANE], bool), bars([[0, 2], [1, 3], [2, 3]], 7e10, 4e-4),
        ties=fr.Ties(np.array([[0, 3], [1, 2]]), k=np.array(1e6)),
    )  # fmt: skip
    nodal = np.zeros((2, 4, 6))
    nodal[0, 2, 0], nodal[1, 2, 0] = 1000, -1000
    r = fr.solve(frame, fr.Cases(np.zeros((2, 3)), nodal))
    published(STATICS, "crossed ties, acting, N", r.tie_force[0, 0, 0], 1250, "closed form")
    published(STATICS, "crossed ties, leeward post, N", -r.end_force[0, 0, 1, 6], 750, "closed form")
    published(STATICS, "crossed ties, pushed back, N", r.tie_force[0, 1, 1], 1250, "closed form")
    assert list(r.tie_acts[0, 0]) == [True, False]
    assert list(r.tie_acts[0, 1]) == [False, True]


def test_a_pad_lifts(published):
    """Beam A-B-C on three stiff pads, spans 0.5 m, P = 400 N at the middle of BC: A opens, lift PL²/16EI · L.

    The pads are 1e14 N/m; the closed form is for rigid ones.
    """
    xyz = np.array([[0, 0, 0], [0.5, 0, 0], [0.75, 0, 0], [1.0, 0, 0]])
    members = fr.Members(
        np.array([[0, 1], [1, 2], [2, 3]]), zref=np.array([0.0, 0, 1]), E=np.array(7e10), G=np.array(2.6e10),
        A=np.array(4.4e-4), Iy=np.array(9.5e-8), Iz=np.array(9.5e-8), J=np.array(1.4e-7),
    )  # fmt: skip
    fixed = np.tile(np.array([0, 1, 0, 1, 0, 1], bool), (4, 1))
    fixed[1, 0] = True
    pads = fr.Pads(np.array([0, 1, 3]), push=np.array([0.0, 0, 1, 0, 0, 0]), k=np.array(1e14))
    nodal = np.zeros((1, 4, 6))
    nodal[0, 2, 2] = -400
    r = fr.solve(fr.Frame(xyz, fixed, members, pads=pads), fr.Cases(np.zeros((1, 3)), nodal))
    assert r.pad_force[0, 0, 0] == 0
    published(STATICS, "pad B, N", r.pad_force[0, 0, 1], 200, "closed form")
    published(STATICS, "pad C, N", r.pad_force[0, 0, 2], 200, "closed form")
    published(STATICS, "lift of A, m", r.displacement[0, 0, 0, 2], 0.000469924812, "closed form", 1e-8)


def test_pretension_between_two_ties(published):
    """A node between two ties of 1 MN/m and 3 MN/m, both at 600 N: a force of 400 N moves it by F/(k1+k2).

    At 3200 N along the first tie's pull the second has gained all; the first is slack when u·k1 reaches 600 N.
    """
    xyz = np.array([[0.0, 0, 0]])
    ground = np.array([[[0.0, 0, 0], [1, 0, 0]], [[0, 0, 0], [-1, 0, 0]]])
    ties = fr.Ties(np.array([[0, -1], [0, -1]]), k=np.array([1e6, 3e6]), T0=np.array(600.0), offset=ground)
    frame = fr.Frame(xyz, np.array([[0, 1, 1, 1, 1, 1]], bool), ties=ties)
    nodal = np.zeros((2, 1, 6))
    nodal[:, 0, 0] = 400, 3200
    r = fr.solve(frame, fr.Cases(np.zeros((2, 3)), nodal))
    published(STATICS, "preloaded pair, motion, m", r.displacement[0, 0, 0, 0], 1e-4, "closed form")
    published(STATICS, "preloaded pair, tight tie, N", r.tie_force[0, 0, 1], 900, "closed form")
    published(STATICS, "preloaded pair, other tie, N", r.tie_force[0, 0, 0], 500, "closed form")
    published(STATICS, "preloaded pair, one slack, N", r.tie_force[0, 1, 1], 3200, "closed form")
    assert r.tie_force[0, 1, 0] == 0
