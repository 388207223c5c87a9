"""The demo's order, with its parts changed: what the tests of the stations stand on."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import rackwright
from rackwright.design import Design
from rackwright.rack import Source, read_rack
from rackwright.shop import Shop, StockItem, read_shop
from rackwright.shop.read_stock import read_stock_items

FOLDER = Path(rackwright.__file__).parent / "demo" / "shop"
IN = 25_400_000


@cache
def design() -> Design:
    """The standard rack of the demo."""
    text = (FOLDER / "standards" / "er-47.toml").read_bytes()
    rack, faults = read_rack(Source("er-47.toml", text), {})
    assert rack is not None, faults
    return Design(rack)


def with_rings(turns: dict[str, float] | None = None, **make: Any) -> Design:
    """The design with fields of [ring_make], and turns of rings by name (rad), changed."""
    rack = design().rack
    d = rack.definition
    assert d.ring_make is not None
    rings = tuple(replace(ring, turn=(turns or {}).get(ring.name, ring.turn)) for ring in d.ring)
    return Design(replace(rack, definition=replace(d, ring_make=replace(d.ring_make, **make), ring=rings)))


def nuts_in_blocks() -> Design:
    """The demo's rack with a nut in place of the pads' inserts: no wrench gets there."""
    rack = design().rack
    d = rack.definition
    nut = replace(d.pad.hardware, insert=None, nut="MS21044N4")
    return Design(replace(rack, definition=replace(d, pad=replace(d.pad, hardware=nut))))


@cache
def shop() -> Shop:
    found, faults = read_shop((FOLDER / "shop.toml").read_bytes(), "shop.toml")
    assert found is not None, faults
    return found


@cache
def items() -> tuple[StockItem, ...]:
    found, faults = read_stock_items((FOLDER / "stock.toml").read_bytes(), "stock.toml")
    assert found is not None, faults
    return found[1]
