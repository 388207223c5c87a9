"""A panel with crossed ties pushed to both sides, where statics alone gives the answer (closed form).

The other one-sided parts that statics decides are in the shipped checks.
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
    published(STATICS, "crossed ties, pushed back, N", r.tie_force[0, 1, 1], 1250, "closed form")
    assert list(r.tie_acts[0, 0]) == [True, False]
    assert list(r.tie_acts[0, 1]) == [False, True]
