"""A rack that weighs otherwise than computed is proven with what the scales found, or is not released."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

import small_shop as small
from rackwright.design import Design
from rackwright.papers.table import Table, Text
from rackwright.pieces.as_weighed import Weight
from rackwright.pieces.weight import Mass, on_pads
from rackwright.record import Record, State
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.engineering.as_weighed import on_scales
from rackwright.work.papers.as_built import as_built_blocks
from rackwright.work.quality.nonconforming import Acceptance, dispose, raise_nonconformance, release_hold
from rackwright.work.serials.again import again
from rackwright.work.serials.releasing import Gate, release, release_gates
from rackwright.work.stations.weighing import from_scales, weigh
from stories.conftest import Begin

SERIAL = "SN-1"
KG = 0.45359237


def readings(share: float = 1.0, x: float = 0.0) -> dict[str, str]:
    """What four scales read of a rack that is heavier by a share, its centre off to the right."""
    bare = small.design().bare
    there = Mass(bare.mass * share, bare.cg + np.array([x, 0, 0]), bare.inertia)
    return {pad: f"{kg / KG:.6f} lb" for pad, kg in on_pads(small.design().rack, there).items()}


def weighed(state: State, texts: Mapping[str, str], uncertainty: str = "0.02 lb") -> State:
    """The state, had the rack been weighed so."""
    rack, gauge = state.serials[SERIAL], state.gauges["SC-1"]
    total = from_scales(small.design(), texts) if len(texts) == 4 else None
    within = total is None or abs(total.mass - total.computed) <= total.allowed
    state.serials[SERIAL] = replace(
        rack, weighed=within, weighing={"readings": texts, "gauge": "SC-1", "seq": 9}
    )
    state.gauges["SC-1"] = replace(gauge, uncertainty=uncertainty)
    return state


@pytest.fixture
def state(stages: Path, tmp_path: Path) -> State:
    with small.stage("assembled", stages, tmp_path) as record:
        return small.state(record)


def gates(state: State, design: Design | None = None) -> dict[str, Gate]:
    every = release_gates(state, SERIAL, design or small.design(), small.shop(), None, "E. Lund", small.DAY)
    return {one.name: one for one in every}


def test_within_its_band_the_computed_masses_stand(state: State) -> None:
    one = on_scales(weighed(state, readings(1.004, 0.001)), small.design(), SERIAL)
    assert one is not None
    assert (one.beyond, one.taken) == (False, None)
    assert as_measured(state, small.design(), SERIAL, None).weighed is None
    assert gates(state)["weight"].words == "passed"


def test_what_the_scales_leave_open_counts_against_the_rack(state: State) -> None:
    """0.9 percent too heavy is within its band on good scales, and not on scales that may be half a pound off."""
    assert on_scales(weighed(state, readings(1.009), "0.001 lb"), small.design(), SERIAL).beyond is False  # type: ignore[union-attr]
    one = on_scales(weighed(state, readings(1.009), "0.5 lb"), small.design(), SERIAL)
    assert one is not None
    assert one.taken is not None
    mass = small.design().bare.mass
    assert one.taken.mass == pytest.approx(1.009 * mass + 4 * 0.5 * KG, rel=1e-6)
    assert one.spread[1] == pytest.approx(
        0.5 * KG * 4 * abs(one.found[1] - one.computed[1] + half()) / one.found[0], rel=0.1
    )


def half() -> float:
    """Half of the distance between the pads."""
    d = small.design().rack.definition
    return (d.outside.width - d.tube.side) / 2e9


def test_a_centre_beyond_its_band_is_proven_at_its_adverse_end(state: State) -> None:
    one = on_scales(weighed(state, readings(1.0, 0.03)), small.design(), SERIAL)
    assert one is not None
    assert one.taken is not None
    assert one.taken.x > one.found[1] > one.computed[1]
    built = as_measured(state, small.design(), SERIAL, None)
    assert built.weighed == one.taken
    assert float(built.bare.cg[0]) == pytest.approx(one.taken.x, rel=1e-9)
    assert built.bare.mass == pytest.approx(one.taken.mass, rel=1e-9)
    least = {one.id: one.margin for one in small.design().strength.margins}
    moved = [
        m for m in built.strength.margins if m.margin is not None and m.margin < (least[m.id] or 0) - 1e-4
    ]
    assert moved
    assert built.modes_hz != small.design().modes_hz
    assert gates(state)["weight"].words.startswith("passed: beyond its band: margins are computed with")
    shown = [*as_built_blocks(state, small.design(), SERIAL, None)]
    tables = {block.title: block for block in shown if isinstance(block, Table)}
    assert [row[0] for row in tables["Weight in the proof"].rows] == [
        "mass, bare", "centre of gravity x", "centre of gravity y",
    ]  # fmt: skip
    assert tables["In vibration"].rows[0][1:] == (
        f"{small.design().modes_hz[0]:.2f} Hz", f"{built.modes_hz[0]:.2f} Hz",
    )  # fmt: skip


def test_a_negative_margin_at_the_weight_found_keeps_the_rack_from_release(state: State) -> None:
    """Thirty times as heavy: whoever accepts the weight, the margins say no."""
    assert gates(state)["margins of safety"].refusal is None
    refusal = gates(weighed(state, readings(30.0)))["margins of safety"].refusal
    assert refusal is not None
    assert refusal.code in ("RW302", "RW303", "RW305")
    assert refusal.found.endswith("(with what the scales found)")


@pytest.mark.parametrize(
    ("texts", "why"),
    [
        ({"front-left": "90 lb", "front-right": "0.1 lb", "rear-left": "0.1 lb", "rear-right": "0.1 lb"},
         "no masses of its pieces give such a weight with such a centre"),
        ({"front-left": "20 lb", "front-right": "20 lb"}, "its readings are not of the four pads of this rack"),
    ],
)  # fmt: skip
def test_a_weight_that_nothing_is_computed_of_is_not_assessed(
    state: State, texts: dict[str, str], why: str
) -> None:
    rack = weighed(state, texts).serials[SERIAL]
    state.serials[SERIAL] = replace(rack, weighed=True)
    refusal = gates(state)["weight"].refusal
    assert refusal is not None
    assert (refusal.code, refusal.found.endswith(why)) == ("RW304", True)
    assert as_measured(state, small.design(), SERIAL, None).weighed is None
    words = [
        block.text
        for block in as_built_blocks(state, small.design(), SERIAL, None)
        if isinstance(block, Text)
    ]
    assert any(text.startswith("Margins as weighed: NOT ASSESSED") for text in words)


def test_too_heavy_a_rack_leaves_only_where_the_holder_accepts_its_weight(begin: Begin) -> None:
    record = begin("assembled").record
    inspector, lead = small.station(record, "inspector"), small.station(record, "lead")
    heavy = from_scales(small.design(), readings(1.03))
    recorded = weigh(inspector, SERIAL, heavy, "SC-1").events[0].body
    assert recorded["within"] is False
    assert recorded["cg"]["x"] == f"{small.design().bare.cg[0]:.5f} m"
    with pytest.raises(Stopped, match="RW522"):
        release(inspector, SERIAL, small.design(), small.shop())
    raise_nonconformance(inspector, "N-1", "3 percent too heavy", [], "weight", {}, serials=[SERIAL])
    accepted = Acceptance("INVENTED-ACC-4", "an invented holder", small.DAY)
    dispose(lead, "N-1", "use_as_is", "more sealant; margins as weighed", accepted, {})
    release_hold(lead, "hold N-1", "accepted in INVENTED-ACC-4")
    release(inspector, SERIAL, small.design(), small.shop())
    assert kept(record)["weighed mass in the proof, kg"] == pytest.approx(
        small.design().bare.mass * 1.03, rel=1e-6
    )
    assert begin("released").audit() == []
    assert again(record, SERIAL, small.shop()).stands


def kept(record: Record) -> dict[str, float]:
    import json

    done = next(event for event in record.events() if event.type == "release")
    values = json.loads(record.get_file(done.body["numbers"]))["values"]
    return {name: float(text) for name, text in values.items() if text}


def test_the_weight_is_of_the_pads_however_the_readings_are_ordered() -> None:
    texts = readings(1.0, 0.02)
    turned = dict(reversed(texts.items()))
    assert from_scales(small.design(), texts).centre == from_scales(small.design(), turned).centre
    assert from_scales(small.design(), texts).mass == sum(
        (Fraction(text.split()[0]) for text in texts.values()), Fraction(0)
    ) * Fraction(45359237, 100000000)


def test_every_corner_of_what_the_scales_leave_open_is_asked(state: State) -> None:
    """The corners by hand: found centre plus and minus what the scales leave open, at the most mass; and the least
    mass. A rack whose far corner holds does not leave where another one does not."""
    one = on_scales(weighed(state, readings(1.0, 0.03)), small.design(), SERIAL)
    assert one is not None
    assert one.taken is not None
    (mass, x, y), (dm, dx, dy) = one.found, one.spread
    corners = {(x + a * dx, y + b * dy) for a in (-1, 1) for b in (-1, 1)} - {(one.taken.x, one.taken.y)}
    *others, light = one.others
    assert {(each.x, each.y) for each in others} == corners
    assert {each.mass for each in others} == {one.taken.mass}
    assert (light.mass, light.x, light.y) == (mass - dm, x, y)
    within = on_scales(weighed(state, readings(1.004, 0.001)), small.design(), SERIAL)
    assert within is not None
    assert within.others == ()


def test_a_corner_that_does_not_hold_keeps_the_rack(state: State, monkeypatch: pytest.MonkeyPatch) -> None:
    there = weighed(state, readings(1.0, 0.03))
    one = on_scales(there, small.design(), SERIAL)
    assert one is not None
    assert gates(there)["margins of safety"].refusal is None
    own, no = Design.refusals, Refusal("RW303", Where("x", 0, "pad"), "margin -0.010", "lower its load")

    def refused_at(bad: Weight) -> Callable[[Design], tuple[Refusal, ...]]:
        return lambda self: (no,) if self.weighed == bad else own(self)

    for bad in one.others:
        monkeypatch.setattr(Design, "refusals", refused_at(bad))
        refusal = gates(there)["margins of safety"].refusal
        assert refusal is not None
        assert refusal.found == "margin -0.010 (with what the scales found)"
