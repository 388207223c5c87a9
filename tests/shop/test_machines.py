"""The tables of brake, jet and mill: every mistake with its place, and what a test bend that was read wrongly tells."""

from __future__ import annotations

from pathlib import Path

import pytest

import rackwright
from rackwright.shop import read_shop
from rackwright.shop.read_stock import read_stock_items

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
SHOP, STOCK = (DEMO / "shop.toml").read_text("utf-8"), (DEMO / "stock.toml").read_text("utf-8")

MISTAKES = [
    ("reserve = 0.2", "reserve = -0.2", "RW106", "brake.reserve"),
    ("force_constant = 1.6", "force_constant = 575", "RW106", "brake.force_constant"),
    ('most_per_length = "90000 lbf/ft"', 'most_per_length = "45 ton/ft"', "RW104", "brake.most_per_length"),
    ('hole_clear_document = "trial', 'note = "trial', "RW102", "brake.note"),
    ('hole_clear = "0.5 in"', "", "RW111", "brake"),
    ('angle = "45.0 deg"\ninside', 'angle = "135.0 deg"\ninside', "RW106", "bend_test[0].flat"),
    ('flat = "4.0000 in"', 'flat = "4.2 in"', "RW106", "bend_test[0].flat"),
    ('loaded_angle = "46.2 deg"', 'loaded_angle = "43.8 deg"', "RW106", "bend_test[0].loaded_angle"),
    ('bend_line = "across the grain"', 'bend_line = "any"', "RW103", "bend_test[0].bend_line"),
    ('k_factor = "stainless 0.078"', 'k_factor = "stainless 0.250"', "RW108", "bend_metal[0].k_factor"),
    ('modulus = "304-annealed-S"', 'modulus = "304-plate-quarter"', "RW108", "bend_metal[0].modulus"),
    ('least_radius = "0.25 in"\n', "", "RW111", "bend_metal[0]"),
    ('gap = "0.25 in"', 'gap = "0.03 in"', "RW106", "plate.gap"),
    ('edge = "0.375 in"', 'edge = "0.01 in"', "RW106", "plate.edge"),
    ("quality = 3\nremnant", "quality = 7\nremnant", "RW106", "plate.quality"),
    ("hole_share = 0.5", "hole_share = 0", "RW106", "plate.hole_share"),
    ('time = "150 s"', 'time = "0 s"', "RW106", "plate.timed_cut[0].time"),
    ("engagement = 0.6", "engagement = 60", "RW106", "mill.engagement"),
    ("teeth = 3", "teeth = 0", "RW106", "mill.teeth"),
    ('radial = "0.25 in"', 'radial = "0.75 in"', "RW106", "mill.radial"),
    ("first_piece = 4", "first_piece = 0.5", "RW106", "mill.first_piece"),
    ('spindle_power = "15 hp"', 'spindle_power = "15 PS"', "RW104", "mill.spindle_power"),
    ("efficiency = 0.8", "efficiency = 80", "RW106", "mill.efficiency"),
    ('spigot_fit = "d9"', 'spigot_fit = "H7"', "RW103", "mill.spigot_fit"),
    ('id = "T2"', 'id = "T1"', "RW107", "mill.tool[1].id"),
    ("flutes = 5", "flutes = 0", "RW106", "mill.tool[0].flutes"),
    ('reach = "3 in"', 'reach = "0.1 in"', "RW106", "mill.tool[0].reach"),
    ('radial = "1.4 in"', 'radial = "2.4 in"', "RW106", "mill.tool[0].radial"),
    ('corner_radius = "0.030 in"', 'corner_radius = "0.5 in"', "RW106", "mill.tool[1].corner_radius"),
    ('point = "118 deg"', 'point = "1.18 deg"', "RW106", "mill.tool[5].point"),
    ('kind = "reamer"', 'kind = "tap"', "RW111", "mill.tool[6]"),
    ('kind = "reamer"', 'kind = "tap"\nthread = "1/4"', "RW103", "mill.tool[6].thread"),
    ('kind = "reamer"', 'kind = "broach"', "RW103", "mill.tool[6].kind"),
    ('nearest = "0.5 in"', 'nearest = "50 in"', "RW106", "brake.backgauge.nearest"),
    ('{ x = "0 in", y = "-0.955 in" }', '{ x = "0 in", y = "0.955 in" }', "RW106", "brake.die.points"),
    (
        '{ x = "0.375 in", y = "3 in" }, { x = "1 in"',
        '{ x = "-0.5 in", y = "3 in" }, { x = "1 in"',
        "RW106",
        "brake.punch.points",
    ),
    ('inside_high = "1.2530 in"', 'inside_high = "1.2030 in"', "RW111", "tube[1]"),
]


@pytest.mark.parametrize(("old", "new", "code", "field"), MISTAKES, ids=lambda text: str(text)[:24])
def test_a_mistake(old: str, new: str, code: str, field: str) -> None:
    assert old in SHOP, old
    shop, faults = read_shop(SHOP.replace(old, new, 1).encode(), "shop.toml")
    assert shop is None
    assert (code, field) in {(fault.code, fault.where.field) for fault in faults}, faults
    assert all(fault.where.line > 0 and fault.do for fault in faults)


def test_the_angle_between_the_legs_is_found_out() -> None:
    """135 for 45 deg: the neutral axis would lie far outside the metal."""
    _, faults = read_shop(
        SHOP.replace('angle = "45.0 deg"\ninside', 'angle = "135.0 deg"\ninside').encode(), "s"
    )
    assert any("angle bent through" in fault.do for fault in faults)


@pytest.mark.parametrize(
    ("new", "code"), [('length = "36 in"\n', "RW101"), ('length = "36 in"\nwidth = "40 m"\n', "RW106")]
)
def test_the_size_of_counted_stock(new: str, code: str) -> None:
    old = 'length = "36 in"              # along the rolling direction\nwidth = "12 in"\n'
    assert old in STOCK
    stock, faults = read_stock_items(STOCK.replace(old, new).encode(), "stock.toml")
    assert stock is None
    assert [fault.code for fault in faults] == [code]
    assert faults[0].where.line > 0
