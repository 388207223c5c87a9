"""People, time, money and lots: what the shop's own tables may hold, and every mistake in them at its line."""

from __future__ import annotations

from pathlib import Path

import pytest

import rackwright
from rackwright.shop import Certificate, certificate_checks, read_shop
from rackwright.shop.labour import day_of
from rackwright.shop.read_stock import read_stock_items

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
SHOP = (DEMO / "shop.toml").read_text("utf-8")
STOCK = (DEMO / "stock.toml").read_text("utf-8")


@pytest.mark.parametrize(
    ("before", "after", "code", "field"),
    [
        ('role = "machining"\nsetup = "30 min"', 'role = "sawyer"\nsetup = "30 min"', "RW108", "role"),
        ('per_hour = "46.00 USD"', 'per_hour = "46.00 EUR"', "RW106", "labour"),
        ('per_hour = "46.00 USD"', "per_hour = 46", "RW103", "per_hour"),
        ('operation = "saw"', 'operation = "sawing"', "RW103", "operation"),
        ('operation = "weigh"', 'operation = "release"', "RW107", "operation"),
        ('start = "2026-03-11"', 'start = "2026-02-30"', "RW103", "calendar.start"),
        ('closed = ["2026-04-03"]', 'closed = ["3 April"]', "RW103", "calendar.closed"),
        ("hours_a_day = 8", "hours_a_day = 25", "RW106", "calendar.hours_a_day"),
        ('high = "60 in*lbf"', 'high = "95 in*lbf"', "RW106", "wet_torque"),
        ('anchor = "WI-4"', 'nut = "tension"\nanchor = "WI-4"', "RW106", "wet_torque"),
        ('anchor = "WI-4"\n', "", "RW106", "wet_torque"),
        ("overhead_share = 0.45", "overhead_share = 45", "RW106", "pricing.overhead_share"),
        ("rate = 0.95", "rate = 95", "RW106", "learning.rate"),
        ('per_cut = "75 s"', 'per_cut = "75"', "RW104", "per_cut"),
    ],
)  # fmt: skip
def test_a_mistake_is_found_at_its_line(before: str, after: str, code: str, field: str) -> None:
    assert before in SHOP
    text = SHOP.replace(before, after, 1)
    shop, faults = read_shop(text.encode(), "shop.toml")
    assert shop is None
    (fault,) = [fault for fault in faults if fault.code == code]
    assert field in fault.where.field
    assert fault.where.line > 0


def test_a_lot_has_no_heat_and_a_last_day_that_is_a_day() -> None:
    wrong = STOCK.replace('lot = "LP-2207"', 'lot = "LP-2207"\nheat = "H1"').replace(
        "2026-06-30", "2026-06-31"
    )
    stock, faults = read_stock_items(wrong.encode(), "stock.toml")
    assert stock is None
    assert [(fault.code, fault.where.field.rpartition(".")[2]) for fault in faults] == [
        ("RW103", "lot"),
        ("RW103", "expiry"),
    ]


def test_a_lot_may_be_used_up_to_its_last_day() -> None:
    stock, _ = read_stock_items(STOCK.encode(), "stock.toml")
    assert stock is not None
    (powder,) = [item for item in stock[1] if item.form == "powder"]
    assert not powder.expired("2026-09-30")
    assert powder.expired("2026-10-01")
    assert not powder.expired("")


@pytest.mark.parametrize(
    ("lot", "spec", "wrong"), [("L1", "bolts", set()), ("L2", "bolts", {"heat"}), ("L1", "nuts", {"stock"})]
)
def test_a_certificate_of_conformance_does_for_its_own_lot_only(lot: str, spec: str, wrong: set[str]) -> None:
    paper = Certificate("CC-1", "a mill", "L1", "bolts", "bolt", "as delivered")
    failed = {check.name for check in certificate_checks(paper, lot, spec, (), True) if not check.ok}
    assert failed == wrong
    assert "minima" in {check.name for check in certificate_checks(paper, lot, spec, ()) if not check.ok}


@pytest.mark.parametrize("text", ["2026-2-3", "20260203", "2026-02-29", "", "today"])
def test_what_is_not_a_day(text: str) -> None:
    assert day_of(text) is None
