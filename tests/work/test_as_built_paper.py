"""The dossier's section on the rack as built shows what the proof took; the release is compared with that proof."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

import small_shop as small
from racks import STANDARD, design_of
from rackwright.papers.table import Block, Table, Text
from rackwright.record import State
from rackwright.record.state import Measurement
from rackwright.work.engineering.as_built import as_measured, taken
from rackwright.work.papers.as_built import as_built_blocks
from rackwright.work.papers.record import record_sections

SERIAL = "SN-1"


@pytest.fixture(scope="module")
def released(stages: Path, tmp_path_factory: pytest.TempPathFactory) -> State:
    with small.stage("released", stages, tmp_path_factory.mktemp("released")) as record:
        return small.state(record)


def tables(blocks: list[Block]) -> dict[str, Table]:
    return {block.title: block for block in blocks if isinstance(block, Table)}


def test_every_measurement_that_the_proof_took_is_printed_with_nominal_and_reading(released: State) -> None:
    blocks = list(as_built_blocks(released, small.design(), SERIAL, None))
    used = {
        one.characteristic: one for one in taken(released, small.design(), SERIAL) if one.value is not None
    }
    rows = tables(blocks)["Measurements in the proof, in"].rows
    assert {row[0] for row in rows} == set(used)
    for id, nominal, reading, spread, value, away, _ in rows:
        one = used[id]
        inch = 0.0254
        assert float(reading) == pytest.approx(float(one.reading) / inch, abs=6e-5)
        assert float(value) == pytest.approx(float(one.value or 0) / inch, abs=6e-5)
        assert float(value) - float(nominal) == pytest.approx(float(away.replace("−", "-")), abs=2e-4)
        assert one.uncertainty is not None
        assert float(spread) == pytest.approx(float(one.uncertainty) / inch, abs=6e-5)


def test_margins_are_told_before_and_after(released: State) -> None:
    design = small.design()
    built = as_measured(released, design, SERIAL, None)
    blocks = list(as_built_blocks(released, design, SERIAL, None))
    falls = tables(blocks)["The largest falls of single margins"].rows
    before = {one.id: one.margin for one in design.strength.margins}
    after = {one.id: one.margin for one in built.strength.margins}
    assert falls
    for id, was, now, _ in falls:
        old, new = before[id], after[id]
        assert old is not None
        assert new is not None
        assert new < old
        assert 0 <= old - float(was) < 0.001 + 1e-9
        assert 0 <= new - float(now) < 0.001 + 1e-9


def test_a_rack_without_measurements_says_so(stages: Path, tmp_path: Path) -> None:
    with small.stage("made", stages, tmp_path) as record:
        (block,) = as_built_blocks(small.state(record), small.design(), SERIAL, record.get_file)
    assert isinstance(block, Text)
    assert "Nothing that enters the proof is measured yet" in block.text


def test_the_release_is_compared_with_the_rack_as_measured(stages: Path, tmp_path: Path) -> None:
    with small.stage("released", stages, tmp_path) as record:
        events = record.events()
        state = small.state(record)
        sections = record_sections(
            events, events, state, SERIAL, small.design(), small.shop(), small.DAY, record.get_file
        )
    (section,) = [one for one in sections if one.title == "Release"]
    words = " ".join(block.text for block in section.blocks if isinstance(block, Text))
    assert "governing margins recorded by" in words
    assert "agree with what is computed now from the frozen texts and the measurements" in words


def test_a_hole_along_an_angle_counts_as_one_of_a_tube_and_no_other_reading_of_it_does() -> None:
    """Its end bolts stand at 1.5 diameters: nearer to the end no bearing strength is published, and no margin is."""
    design, bolt = design_of(STANDARD), "shelf.lower.left.rear.2"
    readings = {
        f"angle.lower.left/hole {bolt}": "25.632 in",
        f"angle.lower.left/hole {bolt} across": "0.850 in",
        "panel.lower/hole panel.lower.left.1": "0.820 in",
        "panel.lower/outline along": "20.950 in",
    }
    state = State(measurements=tuple(map(_read, readings.items())))
    (one,) = taken(state, design, SERIAL)
    assert one.characteristic == f"angle.lower.left/hole {bolt}"
    assert one.value == Fraction("25.632") * Fraction("0.0254")
    margins = {each.id: each for each in as_measured(state, design, SERIAL, None).strength.margins}
    bearing = margins["shelf.lower.left.rear/angle bearing"]
    assert bearing.margin is None
    assert "below 1.5" in bearing.why_missing
    assert margins["shelf.lower.left.front/angle bearing"].margin is not None


def _read(said: tuple[str, str]) -> Measurement:
    piece, _, name = said[0].partition("/")
    return Measurement(
        f"{SERIAL}/{piece}", SERIAL, name, said[1], "", "", "", True, "HG-5", "", "E. Lund", small.DAY, 9
    )
