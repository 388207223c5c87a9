"""The demo's order of three racks, read from its files, for the tests of assembly, route and price."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import rackwright
from rackwright.design import Design
from rackwright.plan import Plan
from rackwright.rack import Rack, Source, read_rack
from rackwright.shop import Shop, read_shop
from rackwright.shop.read_stock import Stock, read_stock_items

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
STANDARD = (DEMO / "standards" / "er-47.toml").read_text("utf-8")
VARIATION = (DEMO / "variations" / "er-47-v12.toml").read_text("utf-8")
DUE = "2026-04-17"


def rack(standard: str = STANDARD, variation: str = VARIATION) -> Rack:
    found, faults = read_rack(
        Source("v.toml", variation.encode()), {"er-47": Source("er-47.toml", standard.encode())}
    )
    assert found is not None, faults
    return found


@cache
def shop() -> Shop:
    found, faults = read_shop((DEMO / "shop.toml").read_bytes(), "shop.toml")
    assert found is not None, faults
    return found


@cache
def stock() -> Stock:
    found, faults = read_stock_items((DEMO / "stock.toml").read_bytes(), "stock.toml")
    assert found is not None, faults
    return found


def plan(of: Rack, house: Shop, racks: int = 3) -> Plan:
    return Plan(((Design(of), racks),), stock()[0], house, 50, items=stock()[1], due=DUE)


@cache
def order() -> Plan:
    return plan(rack(), shop())
