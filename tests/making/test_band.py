"""The band of the price: what the stated spreads leave, by hand, and what holds of any spreads."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from making.test_price import whole
from order_of_three import DEMO, plan, rack
from rackwright.answers import plan_json
from rackwright.making.band import band
from rackwright.making.price import Price
from rackwright.shop import Shop
from rackwright.shop.labour import Spread
from rackwright.shop.read import read_shop

SHARES = st.decimals(0, "0.9", places=2).map(float)


def priced(*spreads: Spread) -> tuple[Price, Shop]:
    house = replace(whole(), spread=spreads)
    return plan(rack(), house).price, house


def spread(kind: str, below: float, above: float, name: str | None = None) -> Spread:
    return Spread(kind=kind, name=name, below=below, above=above, document="invented")  # type: ignore[arg-type]


def test_one_kind_by_hand() -> None:
    """Labour 10 % low, 20 % high, with 45 % overhead on it and 12 % profit on both."""
    price, house = priced(spread("labour", 0.1, 0.2))
    found, total = band(price, house), price.total
    assert found
    assert total
    laid = price.sum_of("labour") * Fraction(145, 100) * Fraction(112, 100)
    assert (found.low, found.high) == (total - laid / 10, total + laid / 5)
    assert (found.worst_low, found.worst_high) == (found.low, found.high)
    assert found.without == ("material", "hardware", "outside")


def test_kinds_miss_each_for_itself_and_lines_of_a_kind_together() -> None:
    price, house = priced(spread("labour", 0, 0.2), spread("material", 0, 0.1))
    found = band(price, house)
    assert found
    above = {kind: float(up) for kind, _, up in found.deviations}
    assert float(found.high) == pytest.approx(float(price.total or 0) + hypot(*above.values()), rel=1e-12)
    assert found.worst_high == (price.total or 0) + sum(up for _, _, up in found.deviations)


def test_a_named_line_has_its_own_spread() -> None:
    price, house = priced(spread("labour", 0, 0), spread("labour", 0, 1.0, "saw"))
    found = band(price, house)
    assert found
    (saw,) = [line.cost or Fraction() for line in price.lines if line.name == "saw"]
    assert found.high == (price.total or 0) + saw * Fraction(145, 100) * Fraction(112, 100)


@given(st.lists(st.tuples(SHARES, SHARES), min_size=4, max_size=4))
def test_the_price_lies_in_the_band_and_the_band_in_the_worst(shares: list[tuple[float, float]]) -> None:
    kinds = ("material", "hardware", "labour", "outside")
    house = replace(
        PRICED[1], spread=tuple(spread(kind, *each) for kind, each in zip(kinds, shares, strict=True))
    )
    found, total = band(PRICED[0], house), PRICED[0].total
    assert found
    assert total
    cent = Fraction(1, 10**6)  # the root is a float
    assert found.worst_low - cent <= found.low <= total <= found.high <= found.worst_high + cent
    assert found.without == ()


PRICED = priced()


def test_without_a_total_or_a_spread_nothing_is_made_up() -> None:
    price, house = PRICED
    assert band(price, replace(house, pricing=None)) is None
    found = band(price, house)
    assert found
    assert found.low == found.high == price.total
    assert len(found.without) == 4


def test_the_answer_says_the_band() -> None:
    answer = plan_json(plan(rack(), replace(whole(), spread=(spread("labour", 0.1, 0.2),))))["price"]["band"]
    assert answer["low"] < answer["high"]
    assert answer["without_a_spread"] == ["material", "hardware", "outside"]


@pytest.mark.parametrize(("old", "new"), [("below = 0.08", "below = 1.5"), ("above = 0.20", "above = -0.2")])
def test_a_share_out_of_range_is_a_fault_of_its_row(old: str, new: str) -> None:
    shop = (DEMO / "shop.toml").read_text("utf-8")
    text = shop.replace(old, new, 1)
    assert text != shop
    read, faults = read_shop(text.encode(), "shop.toml")
    assert read is None
    assert [(fault.code, fault.where.field) for fault in faults] == [("RW106", "spread[0]")]
