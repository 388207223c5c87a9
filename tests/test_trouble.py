"""The family of troubles: codes, places, exit codes, and how each is written."""

from __future__ import annotations

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackwright.trouble import CODES, DEFERENCE, FAMILIES, Fault, Refusal, Stopped, Trouble, Where

TEXT = st.text(max_size=20)
WHERES = st.builds(Where, TEXT, st.integers(0, 999), TEXT)
TROUBLES = st.builds(lambda kind, *rest: kind(*rest), st.sampled_from([Fault, Refusal]), st.sampled_from(sorted(CODES)),
                     WHERES, TEXT, TEXT)  # fmt: skip


@given(TROUBLES)
def test_a_trouble_survives_json(trouble: Trouble) -> None:
    row = json.loads(json.dumps(trouble.to_json()))
    where = Where(row.pop("file"), row.pop("line"), row.pop("field"))
    assert type(trouble)(where=where, **row) == trouble


@given(st.lists(TROUBLES, min_size=1, max_size=5))
def test_a_fault_outranks_refusals(troubles: list[Trouble]) -> None:
    stopped = Stopped(iter(troubles))
    assert stopped.troubles == tuple(troubles)
    assert stopped.exit_code == (2 if any(type(t) is Fault for t in troubles) else 1)
    assert all(str(t) in str(stopped) for t in troubles)


def test_how_it_is_written() -> None:
    place = Where("variation.toml", 41, "shelf.upper.payload")
    assert str(Fault("RW104", place, "'30' has no unit", "use lb")) == (
        "variation.toml:41 shelf.upper.payload: '30' has no unit; use lb [RW104]"
    )
    assert str(Where("variation.toml")) == "variation.toml"
    assert str(Where("variation.toml", 3)) == "variation.toml:3"
    assert str(Where("variation.toml", 0, "name")) == "variation.toml name"


def test_places_sort_as_in_the_file() -> None:
    assert sorted([Where("b", 1), Where("a", 10), Where("a", 9)]) == [
        Where("a", 9),
        Where("a", 10),
        Where("b", 1),
    ]


def test_a_code_that_nobody_explained_cannot_be_used() -> None:
    with pytest.raises(KeyError, match="RW999"):
        Fault("RW999", Where("a"), "", "")


def test_every_code_is_numbered_and_explained() -> None:
    assert list(CODES) == sorted(CODES)
    for code, row in CODES.items():
        assert re.fullmatch(r"RW[0-7]\d\d", code)
        assert code[:3] in FAMILIES
        assert row.meaning.endswith(".")
        assert row.remedy.endswith(".")
    assert len({row.meaning for row in CODES.values()}) == len(CODES), "one meaning, one code"


def test_the_deference_line_defers() -> None:
    assert "Not approved data" in DEFERENCE
    assert "designee" in DEFERENCE
