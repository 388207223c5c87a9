"""A rack that nothing keeps from tipping says at how many g it does, and over which pads."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest

import racks
from racks import built, plain
from rackwright.answers import prove_json
from rackwright.design import Design
from rackwright.pieces.tiedown import ring_place


def on_walls(**box: Any) -> Design:
    """Straps at the low rings alone, level to fittings in walls: they keep it from sliding, and let it tip."""
    tables = plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=40, **box)])
    tables["strap"] = [one for one in tables["strap"] if one["name"].startswith("bottom")]
    tables["ring"] = [one for one in tables["ring"] if one["name"].startswith("bottom")]
    first = built(tables)
    ring = next(one for one in first.rack.definition.ring if one.name == "bottom front-left")
    height = float(ring_place(first.rack, ring).eye[2])
    for fitting in tables["floor_fitting"]:
        fitting["at"][2] = f"{height * 1e3 - 1e-6:.6f} mm"  # by a nanometre they do not point up
    return built(tables)


@pytest.mark.parametrize("case", ["forward", "aft", "left", "right"])
def test_it_tips_where_its_weight_no_longer_holds_it_down(case: str) -> None:
    """Moments about the pads: a × height above the straps = g × distance of the centre of gravity from the pads."""
    design = on_walls()
    why = dict(design.strength.loose).get(f"emergency/{case}", "")
    run = design.strength.run
    assert run is not None
    nodes, masses = run.model.frame.xyz[0], run.model.frame.masses
    m = run.model.frame.members
    start, end = (nodes[m.ends[:, n]] + m.offset[0, :, n] for n in (0, 1))
    own = m.rho[0] * m.A[0] * np.linalg.norm(end - start, axis=1)
    cg = (own @ (start + end) / 2 + masses.m[0] @ masses.xyz[0]) / (own.sum() + masses.m[0].sum())
    pads = nodes[run.model.frame.pads.node]
    height = cg[2] - float(run.model.frame.ties.offset[0, 0, 1, 2])
    axis, sign = {"forward": (1, -1), "aft": (1, 1), "left": (0, -1), "right": (0, 1)}[case]
    arm = (sign * (pads[:, axis] - cg[axis])).max()
    at = re.search(r"tips about its (\w+) pads at ([\d.]+) g", why)
    if arm / height > {"forward": 16, "aft": 1.5, "left": 8, "right": 8}[case]:
        assert at is None
    else:
        assert at is not None, why
        assert at[1] == case
        assert float(at[2]) == pytest.approx(arm / height, rel=0.01)


def test_the_words_reach_the_answer() -> None:
    told = prove_json(on_walls())["no_equilibrium"]
    assert "tips about its forward pads at" in told["emergency/forward"]


def test_a_rack_that_slides_at_nothing_has_no_such_multiple() -> None:
    tables = plain()
    tables["strap"] = []
    told = dict(built(tables).strength.loose)
    assert told
    assert not any("pads at" in why for why in told.values())
