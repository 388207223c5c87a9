"""What the stop is set to away from 20 °C: the reference temperature of ISO 1:2022 (memory), coefficients of
D. A. Swyt, J. Res. NIST 99 (1994) 31 (aluminium 23.1, steel 11.5 µm/(m K), read)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackwright.making.sawing.stop import AT_20_C, AtSaw, Stops
from rackwright.shop import Shop, read_shop
from rackwright.shop.model import SawExpansion
from small_shop import shop as small

IN = 25_400_000
STOCK = "AMS-WW-T-700/6"
WARM = 308.15  # 95 degF


def shop(**saw: object) -> Shop:
    given = {
        "scale": "compensated", "scale_expansion": None, "scale_document": "log", "cut_tolerance": IN // 100,
        "expansion": (SawExpansion(stock=STOCK, row="aluminium"),), "stop_resolution": IN // 1000,
    }  # fmt: skip
    return replace(small(), saw=replace(small().saw, **(given | saw)))  # type: ignore[arg-type]


def test_a_compensated_scale_reads_the_growth_of_the_part() -> None:
    """By hand: 48 in x 23.1e-6/K x 15 K = 0.01663 in, to the stop's 0.001 in: 48.017."""
    assert Stops(shop(), AtSaw(WARM)).setting(48 * IN, STOCK) == 48_017 * IN // 1000


def test_a_steel_scale_grows_too() -> None:
    """By hand: 48 x (23.1 - 11.5)e-6 x 15 = 0.00835 in at one temperature: 48.008; scale at 20 °C: all of it."""
    steel = shop(scale="not compensated", scale_expansion="steel")
    assert Stops(steel, AtSaw(WARM, WARM)).setting(48 * IN, STOCK) == 48_008 * IN // 1000
    assert Stops(steel, AtSaw(WARM, AT_20_C)).setting(48 * IN, STOCK) == 48_017 * IN // 1000


def test_below_a_tenth_of_the_tolerance_nothing_is_corrected() -> None:
    """0.010 in / 10 = 0.001 in is 2.886 in of warm aluminium: 2.8 in stays, 2.9 in is moved by the stop's 0.001."""
    stops = Stops(shop(), AtSaw(WARM))
    assert stops.setting(28 * IN // 10, STOCK) == 28 * IN // 10
    assert stops.setting(29 * IN // 10, STOCK) == 2_901 * IN // 1000


@pytest.mark.parametrize(
    ("saw", "at", "why"),
    [
        ({}, None, "no temperature of the metal"),
        ({"scale": None}, AtSaw(WARM), "not known (shop.toml, saw.scale)"),
        (
            {"scale": "not compensated", "scale_expansion": "steel"},
            AtSaw(WARM),
            "no temperature of the scale",
        ),
        ({"expansion": ()}, AtSaw(WARM), "no expansion of AMS-WW-T-700/6"),
    ],
)
def test_what_is_not_known_leaves_the_length_at_20_c_and_is_said(
    saw: dict[str, object], at: AtSaw | None, why: str
) -> None:
    stops = Stops(shop(**saw), at)
    assert stops.setting(48 * IN, STOCK) == 48 * IN
    assert why in stops.lacking(STOCK)
    assert "lengths at 20 °C" in stops.words(STOCK)


@given(st.integers(IN, 200 * IN), st.floats(250.0, 340.0))
def test_the_piece_is_what_was_asked_for_when_it_is_back_at_20_c(length: int, kelvin: float) -> None:
    """Within a tenth of the tolerance and half a step of the stop."""
    cut = Stops(shop(), AtSaw(kelvin)).setting(length, STOCK) / (1 + 2.31e-5 * (kelvin - 293.15))
    assert abs(cut - length) <= IN / 1000 + IN / 2000 + 1


def test_a_scale_is_given_with_its_document_and_its_metal() -> None:
    text = (
        'format = "rackwright/shop/1"\nname = "A shop"\ncurrency = "USD"\n[style]\ngrid = "0.001 in"\nunit = "in"\n'
        'posts_from_one_heat = true\n[stock_value]\ncredit_share = 0.8\npurchase_surcharge = 0.1\n[saw]\nname = "S"\n'
        'kerf = "0.1 in"\nkerf_uncertainty = "0 in"\nkerf_known = "log"\nmill_end_trim = "0.5 in"\n'
        'clamp_tail = "2 in"\nremnant_min = "12 in"\nbar_length_uncertainty = "0 in"\ncut_tolerance = "0.01 in"\n'
        'stop_resolution = "0.001 in"\nscale = "not compensated"\nexpansion = [{ stock = "X", row = "brass" }]\n'
    )
    _, faults = read_shop(text.encode(), "shop.toml")
    assert sorted((fault.code, fault.where.line) for fault in faults) == [
        ("RW108", 23),
        ("RW111", 11),
        ("RW111", 22),
    ]
