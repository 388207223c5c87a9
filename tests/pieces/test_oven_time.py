"""What the oven leaves of the strengths: every margin of the metal falls as its strength does, and nothing is guessed.

The shares themselves are held against digitized figures in `making/test_bake.py` and `published/`.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import racks
import small_shop as small
from rackwright.pieces.oven_time import KnockDown, less, softened
from rackwright.reference.rows import Material

MOST = 'most_metal = "400 degF"\n'
TUBE = "6061-T6-drawn-tube-S"
TEN_HOURS = '{ metal = "385 degF", time = "10 h" }'


def text_with(oven_time: str, most: str = MOST) -> str:
    return racks.swap(small.text(), (MOST, f"{most}oven_time = {oven_time}\n"))


def test_a_rack_is_proven_with_what_the_definitions_oven_time_leaves() -> None:
    """Ten hours at 385 degF. On the figure's 10 h curve between (369.5, 95.3) and (389.9, 89.8), digitized:
    95.3 - 5.5 x 15.5/20.4 = 91.1 percent of Fty. A wall that tears out has a margin in proportion to Fsu, so to Ftu."""
    cold, hot = racks.design_of(small.text()), racks.design_of(text_with(TEN_HOURS))
    assert cold.left == ()
    assert cold.proven is cold.rack
    share = {one.name: one.share for one in hot.left if one.material == TUBE}
    assert share["Fty"] == pytest.approx(0.911, abs=5e-4)
    assert share["Ftu"] is not None
    was, now = ({one.id: one.margin for one in each.strength.margins} for each in (cold, hot))
    torn = [id for id in was if id.endswith("/tube tear-out")]
    assert torn
    for id in torn:
        a, b = was[id], now[id]
        assert a is not None
        assert b is not None
        assert (b + 1) / (a + 1) == pytest.approx(share["Ftu"], rel=1e-9)
    assert all((now[id] or 0) <= (margin or 0) + 1e-12 for id, margin in was.items())
    assert list(hot.modes_hz) == pytest.approx(cold.modes_hz)  # heat takes no stiffness


def test_a_time_that_no_curve_covers_leaves_no_answer() -> None:
    """The curves end at 100 hours."""
    text = text_with('{ metal = "385 degF", time = "100.1 h" }')
    assert any("finish.oven_time.time" in str(fault) for fault in racks.faults_of(text))
    beyond = text_with('{ metal = "440 degF", time = "90 h" }', 'most_metal = "450 degF"\n')
    refusals = [one for one in racks.design_of(beyond).refusals() if one.where.field == "finish.oven_time"]
    assert refusals
    assert {one.code for one in refusals} == {"RW304"}
    assert all("beyond the curves" in one.found for one in refusals)


def test_a_tube_that_no_curve_is_of_is_told_to_have_no_margin() -> None:
    """It is tried cold; what the oven leaves of it nobody knows."""
    design = racks.design_of(text_with(TEN_HOURS))
    tube = small.shop().tube[0]
    known, other = design.tubes_tried([replace(tube, wall=tube.wall + 10**6, material="7075-T6-sheet-A")])
    assert known.holds
    assert known.tube.material == TUBE
    assert (other.holds, other.margin) == (False, None)
    assert "no exposure curve of 7075-T6" in other.why


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ('{ metal = "410 degF", time = "150 min" }', "metal", "hotter than finish.most_metal"),
        ('{ metal = "380 degF", time = "5 min" }', "time", "less than the shortest cure"),
        ('{ metal = "380 degC", time = "150 min" }', "metal", "hotter than finish.most_metal"),
        ('{ metal = "380", time = "150 min" }', "metal", "unit"),
    ],
)
def test_an_oven_time_that_cannot_be_is_told_where_it_stands(given: str, field: str, words: str) -> None:
    text = text_with(given)
    told = [str(fault) for fault in racks.faults_of(text) if f"finish.oven_time.{field}" in str(fault)]
    assert told
    assert any(words in line for line in told)


shares = st.one_of(st.none(), st.floats(0.5, 1.0))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["Fty", "Ftu"]), shares), max_size=4), shares)
def test_of_two_the_less_is_taken_and_an_unknown_one_is_least(
    ones: list[tuple[str, float | None]], other: float | None
) -> None:
    every = [KnockDown(TUBE, name, 1.0, share, "") for name, share in ones]
    taken = {one.name: one.share for one in less(every, [KnockDown(TUBE, "Fty", 1.0, other, "")])}
    of_fty = [share for name, share in [*ones, ("Fty", other)] if name == "Fty"]
    assert taken["Fty"] == (None if None in of_fty else min(share for share in of_fty if share is not None))


@settings(max_examples=20, deadline=None)
@given(st.floats(0.5, 0.999), st.floats(0.5, 0.999))
def test_each_strength_follows_its_own_and_nothing_else_changes(fty: float, ftu: float) -> None:
    rack = small.design().rack
    left = [KnockDown(TUBE, "Fty", None, fty, ""), KnockDown(TUBE, "Ftu", None, ftu, "")]
    was, now = rack.rows.materials[TUBE], softened(rack, left).rows.materials[TUBE]
    for names, share in ((YIELD, fty), (ULTIMATE, ftu)):
        for name in names:
            before, after = getattr(was, name), getattr(now, name)
            assert (after is None) == (before is None)
            assert before is None or after == pytest.approx(before * share, rel=1e-12)
    for name in ("E", "Ec", "G", "nu", "density", "alloy", "temper"):
        assert getattr(was, name) == getattr(now, name)


def _strengths(*of: str) -> list[str]:
    return [name for name in Material.__dataclass_fields__ if name.partition("_")[0] in of]


YIELD, ULTIMATE = _strengths("Fty", "Fcy", "Fbry"), _strengths("Ftu", "Fsu", "Fbru")
