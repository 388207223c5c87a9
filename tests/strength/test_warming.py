"""Racks warm and cold: what does not fit presses, what grows alike does not, and strength is not taken for granted."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from racks import INVENTED, built, item, plain
from rackwright.design import Design
from rackwright.strength.rack_frame import PRETENSIONS
from rackwright.strength.warming import states
from strategies import footed

Tables = dict[str, Any]
ROW = {"row": "aluminium"}
SAME = {"coefficient": "23.1e-6 1/K", "document": INVENTED}
COLD, HOT = slice(8, 12), slice(4, 8)  # variants after the four as fixed


def at(degrees: str) -> dict[str, str]:
    return {"at": degrees, "document": INVENTED}


def warm(tables: Tables, floor: Tables = ROW, strap: Tables | None = ROW, hot: str = "35 degC", fixed: str = "15 degC",
         cold: str = "-5 degC", **more: Any) -> Design:  # fmt: skip
    given = {"fixed": at(fixed), "hot": at(hot), "cold": at(cold), "floor": floor, "frame": ROW, **more}
    kinds = [{**kind, "expansion": strap} for kind in tables.get("strap_type", [])]
    return built({**tables, "strap_type": kinds, "temperature": given})


@pytest.fixture(scope="module")
def strapped() -> Tables:
    return plain(shelves={"s": 12}, items=[item("a", "s", (5, 5), lb=40)])


@pytest.fixture(scope="module")
def bolted(strapped: Tables) -> Tables:
    return footed(strapped)


def response(design: Design) -> Any:
    assert design.strength.run is not None
    return design.strength.run.response


def test_a_floor_of_the_same_metal_presses_nothing(strapped: Tables) -> None:
    """And straps that grow as it does keep their pull: hot and cold are then the state as fixed, but for the order in
    which a batch adds."""
    r = response(warm(strapped))
    for name in ("end_force", "tie_force", "pad_force"):
        values = getattr(r, name)
        size = np.abs(values).max()
        assert np.abs(values[HOT] - values[:4]).max() < 1e-12 * size
        assert np.abs(values[COLD] - values[:4]).max() < 1e-12 * size


def test_without_a_table_every_number_is_as_before(strapped: Tables) -> None:
    """The first variants of a rack with temperatures are those of the one without, which has no others."""
    cool, floor = built(strapped), warm(strapped, floor={"row": "steel"})
    assert cool.strength.model.variants == PRETENSIONS
    assert not cool.strength.model.frame.members.growth.any()
    assert len(states(cool.rack)) == 1
    assert response(floor).end_force[:4] == pytest.approx(response(cool).end_force, rel=1e-9, abs=1e-6)


def test_bolted_feet_on_a_floor_that_grows_otherwise(bolted: Tables) -> None:
    """The legs push as the feet keep the frame from growing; the sum is nothing; cold they pull by as much."""
    design = warm(bolted, floor={"row": "steel"})
    run = design.strength.run
    assert run is not None
    foot = run.foot_force
    hot, cold = foot[HOT] - foot[:4], foot[COLD] - foot[:4]
    size = float(np.abs(hot).max())
    assert size > 10
    assert hot == pytest.approx(-cold, abs=1e-8 * size)
    assert hot.sum(axis=2) == pytest.approx(0, abs=1e-8 * size)
    d = design.rack.definition
    left = [n for n, one in enumerate(d.foot) if one.corner.endswith("left")]
    front = [n for n, one in enumerate(d.foot) if one.corner.startswith("front")]
    assert (hot[:, :, left, 0] > 0).all()  # pushed back to the right
    assert (hot[:, :, front, 1] > 0).all()
    assert np.ptp(hot, axis=1) == pytest.approx(
        0, abs=1e-8 * size
    )  # the same beside every case: all is linear


def test_the_misfit_of_feet_by_hand(bolted: Tables) -> None:
    """A soft spring k under each foot gives way by all of ε times its place from the middle: k ε x."""
    soft = {**bolted, "foot": [{**one, "stiffness_across": "1 kN/m"} for one in bolted["foot"]]}
    design = warm(soft, floor={"row": "steel"})
    run = design.strength.run
    assert run is not None
    (strain,) = {state.frame for state in states(design.rack) if state.name == ", hot"}
    assert strain == pytest.approx((23.1e-6 - 11.5e-6) * 20)
    hot = (run.foot_force[HOT] - run.foot_force[:4])[0, 0]
    frame = run.model.frame
    node = frame.springs.node.reshape(-1, 3)[:, 0]
    place = frame.xyz[0, node] - frame.xyz[0, node].mean(axis=0)
    assert hot[:, :2] == pytest.approx(-1e3 * strain * place[:, :2], rel=0.01)


def test_straps_that_grow_less_than_the_rack_tighten_as_it_warms(strapped: Tables) -> None:
    """A strap held at both ends gains EA times the strain that it lacks; slack is slack, and equilibrium holds."""
    design = warm(strapped, strap={"coefficient": "0 1/K", "document": INVENTED})
    frame, straps = design.strength.model.frame, design.rack.definition.strap
    types = {kind.name: kind for kind in design.rack.definition.strap_type}
    EA = np.array([types[strap.type].axial_stiffness for strap in straps])
    gained = frame.ties.T0[HOT] - frame.ties.T0[:4]
    assert gained == pytest.approx(np.broadcast_to(EA * 23.1e-6 * 20, gained.shape), rel=1e-9)
    assert frame.ties.T0[COLD] - frame.ties.T0[:4] == pytest.approx(-gained, rel=1e-9)
    assert design.strength.loose == ()
    assert design.strength.imbalance < 1e-9
    assert {one.pretension for one in design.strength.reactions} == set(design.strength.model.states)
    least = {margin.pretension for margin in design.strength.margins if margin.margin is not None}
    assert any("hot" in name for name in least)


def test_a_hot_rack_has_no_margin_until_its_strength_is_stated(strapped: Tables) -> None:
    """Nothing but its share is missing: with all of it left the margins are there, with a half each falls to
    (1 + MS)/2 - 1 at most. A length is no strength: it needs no share."""
    hot = warm(strapped, hot="71 degC")
    with_case = [m for m in hot.strength.margins if m.level != "assembly" and m.unit != "m"]
    assert with_case
    assert all(m.margin is None and "temperature.left" in m.why_missing for m in with_case)
    assert not hot.strength.holds
    kept = [
        warm(strapped, hot="71 degC", left={"share": share, "document": INVENTED}) for share in (1.0, 0.5)
    ]
    whole, half = ({margin.id: margin.margin for margin in design.strength.margins} for design in kept)
    for id, margin in whole.items():
        if margin is None or half[id] is None:
            assert margin == half[id]
        elif margin < 1e8:
            assert half[id] <= margin + 1e-9
    assert min(m for m in half.values() if m is not None) < min(m for m in whole.values() if m is not None)


def test_a_length_keeps_its_margin_when_hot(strapped: Tables) -> None:
    """A least pitch and a gap are no strengths: whatever share is left, stated or not, their margins are the same,
    of the motion that the warm rack has. Strengths do fall, so that the share is not lost on the way."""
    shares = ({}, *({"left": {"share": share, "document": INVENTED}} for share in (1.0, 0.5)))
    every = [warm(strapped, hot="71 degC", **share).strength.margins for share in shares]
    lengths = [{m.id: m.margin for m in margins if m.unit == "m"} for margins in every]
    assert {id.rpartition("/")[2] for id in lengths[0]} >= {"pitch", "clearance"}
    assert None not in lengths[0].values()
    assert lengths[0] == lengths[1] == lengths[2]
    whole, half = ({m.id: m.margin for m in margins if m.unit == "N"} for margins in every[1:])
    assert any(half[id] != value for id, value in whole.items())
