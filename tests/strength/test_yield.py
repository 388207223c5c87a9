"""Yield at limit load: rings, and the metal that bolts bear on.

The same factors of g are given once as an ultimate case and once as a limit case. The frame answers both alike, so
that the two margins of one part differ by nothing but the strength they are held to: by what the handbook's table
(MIL-HDBK-5J, table numbers beside the rows) and the ring's document state.
"""

from __future__ import annotations

from functools import cache
from math import cos, radians

import numpy as np
import pytest

from racks import IN, LBF, STANDARD, VARIATION, design_of, swap
from rackwright.design import Design
from rackwright.rack.questions import open_questions
from rackwright.strength.margin import Margin
from rackwright.strength.pulls import pulls_at

STATED = swap(STANDARD, ('Fbru = "140 ksi"', 'Fbru = "140 ksi", Fbry = "70 ksi"'))
FITTING, RING = 1.15, "top rear left"


@cache
def gust(kind: str, standard: str = STATED) -> Design:
    case = f'[[change.case]]\nname = "gust"\nkind = "{kind}"\nforward = 6\nleft = 1\nup = -2\ndocument = "LOADS-2"'
    return design_of(
        standard, f'{VARIATION}\n[[change]]\nwhy = "gust"\n{case}\n[change.block]\nfillet = "1/64 in"\n'
    )


def of(design: Design, id: str) -> Margin:
    (found,) = [one for one in design.strength.margins if one.id == id]
    return found


def multiplier(design: Design, id: str, case: str) -> float:
    return dict(of(design, id).by_case)[case] + 1


def ratio(id: str) -> float:
    """Multiplier at yield over that at ultimate, of one and the same case."""
    at_yield = multiplier(gust("limit"), f"{id}, yield", "customer/gust/limit")
    return at_yield / multiplier(gust("ultimate"), id, "customer/gust")


@pytest.mark.parametrize(
    ("check", "expected"),
    [
        ("bend", 30 / 75),
        ("flat", 30 / 75),
        ("holes", 70 / 140),
    ],  # Fty over Ftu, Fbry over Fbru of its document
)
def test_a_ring_at_yield(check: str, expected: float) -> None:
    assert ratio(f"ring.{RING}/{check}") == pytest.approx(expected, rel=1e-9)


def test_a_ring_s_eye_at_yield() -> None:
    """Bearing 70 × 0.75 × 0.25 = 13 125 lbf; 30 ksi over the net 2 - 0.75 in of 1/4 in is 9375 lbf: the lesser along,
    bearing across. Each pull that the cone allows is put into (Ra^1.6 + Rtr^1.6)^(-0.625)."""
    run, d = gust("limit").strength.run, gust("limit").rack.definition
    assert run is not None
    rows = [n for n, strap in enumerate(d.strap) if strap.ring == RING]
    pulls = pulls_at(run, rows, "limit")
    assert pulls is not None
    turn = radians(next(one.turn for one in d.ring if one.name == RING) * 180 / np.pi)
    normal, along = np.array([-1.0, 0, 0]), np.array([0.0, -np.sin(turn), -cos(turn)])
    leg, across = (along + normal) * cos(radians(45)), np.cross(normal, along)
    force = pulls.force / LBF
    Ra = FITTING * np.hypot(force @ leg, force @ np.cross(leg, across)) / 9375
    Rtr = FITTING * np.abs(force @ across) / 13_125
    least = float(((Ra**1.6 + Rtr**1.6) ** -0.625).min())
    found = of(gust("limit"), f"ring.{RING}/eye, yield")
    assert found.level == "yield"
    assert found.margin == pytest.approx(least - 1, rel=1e-9)


def test_what_the_ring_s_document_does_not_state_has_no_margin_and_is_asked() -> None:
    silent = gust("limit", STANDARD)
    gone = {one.id.rpartition("/")[2] for one in silent.strength.margins if one.margin is None}
    assert gone == {"eye, yield", "holes, yield"}
    assert "ring_make.allowable.Fbry" in {one.id for one in open_questions(silent.rack)}
    for stated in (gust("limit"), gust("ultimate", STANDARD)):  # stated, or no limit case asks for it
        assert "ring_make.allowable.Fbry" not in {one.id for one in open_questions(stated.rack)}


#: bearing yield and ultimate at e/D 1.5 and 2.0, ksi: MIL-HDBK-5J tables 3.6.2.0(c1), (d), (b1), (g)
TUBE, BAR, SHEET, EXTRUDED = (
    (49, 56, 67, 88), (49, 56, 67, 88), (50, 58, 67, 88), (54, 60, 64, 82),
)  # fmt: skip


@pytest.mark.parametrize(
    ("id", "row"),
    [
        ("joint.post.rear-right.low/tube bearing", TUBE), ("joint.width.top.front.high/tube bearing", TUBE),
        ("joint.post.rear-right.low/spigot bearing", BAR), ("shelf.upper.left.front/angle bearing", EXTRUDED),
        ("shelf.upper.left.front/post bearing", TUBE), ("rail.left/rail bearing", EXTRUDED),
        ("rail.right/post bearing", TUBE), ("equipment.display processor/bearing", EXTRUDED),
        ("panel.lower/screw bearing", SHEET), ("equipment.power conditioner/bearing", SHEET),
    ],
)  # fmt: skip
def test_the_metal_that_a_bolt_bears_on_at_yield(id: str, row: tuple[float, float, float, float]) -> None:
    steps = dict(of(gust("limit"), f"{id}, yield").steps)
    ed = min(steps["bearing_allowable"]["ed"], 2.0)
    at_yield, at_ultimate = (low + (high - low) * (ed - 1.5) / 0.5 for low, high in (row[:2], row[2:]))
    assert ratio(id) == pytest.approx(at_yield / at_ultimate, rel=1e-9)
    assert of(gust("limit"), f"{id}, yield").level == "yield"


def test_bearing_yield_under_a_panel_s_screw_by_hand() -> None:
    """0.190 in on the rail's 1/8 in: 54 ksi at e/D 1.5, 60 at 2.0, times 0.02375 in²."""
    found = of(gust("limit"), "equipment.radio tray/bearing, yield")
    steps = dict(found.steps)
    thick = steps["bearing_strength"]["t"] / IN
    assert thick == pytest.approx(0.125)
    assert found.allowable is not None
    Fbry = 54 + 6 * (min(steps["bearing_allowable"]["ed"], 2.0) - 1.5) / 0.5
    assert found.allowable / LBF == pytest.approx(Fbry * 1000 * 0.190 * 0.125, rel=1e-6)


def test_emergency_landing_alone_asks_for_no_yield() -> None:
    assert not [one.id for one in design_of(STATED, VARIATION).strength.margins if one.id.endswith(", yield")]
