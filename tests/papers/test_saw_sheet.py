"""The saw sheet balances to the nanometre and shows every cut with its stop."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kept import paper_sample as sample
from papers.reading import flat, pages
from rackwright.papers.saw_sheet import SawBar, SawCut, _strip, set_saw_sheet

LENGTHS = st.lists(st.tuples(st.integers(1, 10**9), st.integers(0, 5 * 10**6)), max_size=12)


@given(LENGTHS, st.integers(0, 10**8), st.integers(0, 10**9))
def test_every_bar_balances_and_its_strip_is_the_bar(
    cuts: list[tuple[int, int]], trim: int, rest: int
) -> None:
    measured = trim + sum(a + b for a, b in cuts) + rest
    bar = SawBar(
        "B", "H", "stock", measured, trim, tuple(SawCut("P", "N", "S", a, a, kerf) for a, kerf in cuts)
    )
    assert bar.rest_nm == rest
    assert list(bar.left_nm) == sorted(bar.left_nm, reverse=True)
    parts = _strip(bar, max(measured, 1))
    assert sum(part["width"] for part in parts) == pytest.approx(measured / max(measured, 1), abs=1e-12)
    for before, after in pairwise(parts):
        assert before["at"] + before["width"] == pytest.approx(after["at"], abs=1e-12)


@given(LENGTHS.filter(bool), st.integers(1, 10**8))
def test_cuts_that_take_more_than_the_bar_are_refused(cuts: list[tuple[int, int]], short: int) -> None:
    measured = sum(a + b for a, b in cuts) - short
    with pytest.raises(ValueError, match="more than the bar has"):
        SawBar("B", "H", "stock", measured, 0, tuple(SawCut("P", "N", "S", a, a, kerf) for a, kerf in cuts))


def test_every_cut_its_stop_and_what_is_left_stand_on_the_sheet() -> None:
    sheet = sample.saw_sheet()
    text = flat(" ".join(pages(set_saw_sheet(sheet))))
    for bar in sheet.bars:
        assert bar.heat in text
        for cut in bar.cuts:
            assert cut.piece in text
    # 240 - .5 - (40.5 + .093) = 198.907, by hand
    assert "40.500198.907" in text
    assert "240.0000=.5000trim+225.0000pieces+.6510kerf+13.8490rest" in text
    assert "remnantR-0102" in text
    assert "$412.66" in text


def test_millimetres_where_the_shop_works_in_them() -> None:
    text = flat(" ".join(pages(set_saw_sheet(replace(sample.saw_sheet(), unit="mm")))))
    assert "stop,mm" in text
    assert "1028.70" in text  # 40.500 in
    assert "6096.000=12.700trim+5715.000pieces" in text
