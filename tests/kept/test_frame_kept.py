"""A small frame of our own with everything the format knows, and what we answered when it was kept.

Numbers of our own making: they guard the shape of the answer and its steadiness, not its truth.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from rackwright.strength.frame_case import answer, answer_document, read_case

CASE = Path(__file__).with_name("frame_small.json")


def test_the_small_frame_answers_as_it_did():
    text = CASE.read_text(encoding="utf-8")
    case, faults = read_case(text, CASE.name)
    assert not faults
    answered, faults = answer(case, CASE.name)
    assert not faults
    document = answer_document(answered)
    assert document["modes_hz"] is None  # ties and one-sided springs
    for name, kept in json.loads(text)["expected"].items():
        now = document["cases"][name]
        assert now.keys() == kept.keys()
        assert (now["slack_ties"], now["open_springs"]) == (kept["slack_ties"], kept["open_springs"])
        assert now["total_mass_kg"] == pytest.approx(kept["total_mass_kg"])
        for group in ("displacements", "reactions", "member_end_forces"):
            assert now[group].keys() == kept[group].keys()
            scale = max(abs(x) for row in kept[group].values() for x in row)
            for key, row in kept[group].items():
                assert now[group][key] == pytest.approx(row, rel=1e-8, abs=1e-8 * scale)
        assert now["spring_forces"] == pytest.approx(kept["spring_forces"], rel=1e-8, abs=1e-4)
