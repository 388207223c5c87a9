"""What a gauge reads, by what its uncertainty is of."""

from __future__ import annotations

import pytest

from rackwright.record import State
from rackwright.record.state import Gauge
from rackwright.work.controlled import reads
from states import AFTER, code, words


@pytest.mark.parametrize(("kind", "uncertainty", "dimension", "asked", "found"), [
    ("caliper", "0.001 in", "length", "micrometer", ""), ("caliper", "", "length", "micrometer", ""),
    ("torque wrench, 150 in*lbf", "2 in*lbf", "length", "caliper", "it reads no length"),
    ("torque wrench, 150 in*lbf", "2 in*lbf", "moment", "torque wrench", ""),
    ("click wrench", "2 in*lbf", "moment", "torque wrench", ""),
    ("caliper", "0.001 in", "moment", "torque wrench", "it reads no moment"),
    ("film gauge", "0.1 mil", "length", "caliper", "it reads films alone"),
    ("film gauge, magnetic", "0.1 mil", "length", "film gauge", ""),
    ("four floor scales", "0.1 lb", "mass", "scale", ""),
    ("protractor", "0.2 deg", "mass", "scale", "it reads no mass"),
])  # fmt: skip
def test_a_gauge_reads_what_its_uncertainty_is_of(
    kind: str, uncertainty: str, dimension: str, asked: str, found: str
) -> None:
    state = State(gauges={"G": Gauge("G", kind, AFTER, "in_use", uncertainty, "", 1)})
    answer = reads(state, "G", dimension, asked)
    assert (code(answer), not found or found in words(answer)) == ("RW512" if found else "", True)
    assert reads(state, "none", dimension, asked) is None


def test_the_refusal_says_what_asks_for_which_gauge() -> None:
    state = State(gauges={"G": Gauge("G", "torque wrench", AFTER, "in_use", "2 in*lbf", "", 1)})
    for what, do in (("length", "use a caliper, which length asks for"), ("", "use a caliper")):
        answer = reads(state, "G", "length", "caliper", what)
        assert answer is not None
        assert answer.do == do
