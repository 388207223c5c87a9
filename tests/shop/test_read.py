"""The shop's own files: what a good one gives, and every mistake with its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import rackwright
from rackwright.reference import shipped
from rackwright.shop import checks_of, read_shop, read_stock
from rackwright.shop.read_stock import read_stock_items

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
SHOP, STOCK = (DEMO / "shop.toml").read_text("utf-8"), (DEMO / "stock.toml").read_text("utf-8")


def changed(text: str, old: str, new: str) -> bytes:
    assert old in text, old
    return text.replace(old, new, 1).encode()


def line_of(data: bytes, words: str) -> int:
    return data.decode()[: data.decode().index(words)].count("\n") + 1


# --- the demo's files ----------------------------------------------------------------------------


def test_the_shop_of_the_demo() -> None:
    shop, faults = read_shop(SHOP.encode(), "shop.toml")
    assert shop is not None, faults
    assert shop.saw.planned_kerf == 3_225_800  # 0.125 + 0.002 in
    price = shop.price_of("AMS-WW-T-700/6")
    assert price is not None
    assert float(price.per_kilogram) == pytest.approx(25.1327, abs=5e-5)  # 11.40 / 0.45359237
    assert shop.price_of("AMS-WW-T-700/4") is None


def test_least_values_are_those_of_the_reference_unless_the_shop_gives_its_own() -> None:
    shop, _ = read_shop(SHOP.encode(), "shop.toml")
    assert shop is not None
    rows = shipped().materials
    for spec in shop.specification:
        least = {minimum.name: minimum.value for minimum in shop.minima(spec.stock)}
        if spec.conformance:  # a lot, judged by a certificate that prints no values
            assert least == {}
            continue
        assert spec.row is not None
        assert least["Ftu"] == rows[spec.row].strength("Ftu", spec.direction or "")
        assert least["Fty"] == rows[spec.row].strength("Fty", spec.direction or "")
    angle = {minimum.name: minimum for minimum in shop.minima("AMS-QQ-A-200/8")}
    assert (angle["elongation"].value, rows["6061-T6511-ext-A"].elongation) == (0.08, 0.1)
    assert "footnote d" in angle["elongation"].known.place
    assert shop.minima("unheard of") == ()


def test_the_stock_of_the_demo_holds_one_weak_and_one_uncertified_bar() -> None:
    shop, _ = read_shop(SHOP.encode(), "shop.toml")
    stock, faults = read_stock_items(STOCK.encode(), "stock.toml")
    assert shop is not None
    assert stock is not None, faults
    bars, items = stock
    assert 20 <= len(bars) <= 30
    assert items
    failed = {}
    for one in (*bars, *items):
        marked = one.heat or getattr(one, "lot", "")
        checks = checks_of(shop, one.certificate, marked, one.stock)
        failed[one.id] = [check.name for check in checks if not check.ok]
    assert {id: names for id, names in failed.items() if names} == {"T-06": ["Fty"], "T-07": ["certificate"]}


def test_everything_in_the_demo_says_that_it_is_invented() -> None:
    stock, _ = read_stock_items(STOCK.encode(), "stock.toml")
    shop, _ = read_shop(SHOP.encode(), "shop.toml")
    assert stock is not None
    assert shop is not None
    names = {one.certificate.mill for one in (*stock[0], *stock[1]) if one.certificate}
    for name in (*names, shop.name, shop.saw.kerf_known, *(row.document for row in shop.price)):
        assert "invented" in name


# --- mistakes ------------------------------------------------------------------------------------

SHOP_MISTAKES = [
    ('"rackwright/shop/1"', '"rackwright/rack/1"', "RW110", "format", 'format = '),
    ('currency = "USD"', 'currency = "dollar"', "RW103", "currency", "currency"),
    ('grid = "0.001 in"', 'grid = "1 in"', "RW106", "style.grid", "grid"),
    ('grid = "0.001 in"', "grid = 0.001", "RW104", "style.grid", "grid"),
    ('kerf = "0.125 in"', 'kerf = "0.125 inch"', "RW104", "saw.kerf", "kerf ="),
    ('kerf = "0.125 in"', 'kerf = "0 in"', "RW106", "saw.kerf", "kerf ="),
    ('kerf_uncertainty = "0.002 in"', 'kerf_uncertainty = "-0.002 in"', "RW106", "saw.kerf_uncertainty", "kerf_unc"),
    ('remnant_min = "12 in"', 'remnant_min = "1 in"', "RW106", "saw.remnant_min", "remnant_min"),
    ('stop_resolution = "0.001 in"', 'stop_resolution = "1/16 in"', "RW106", "saw.stop_resolution", "stop_res"),
    ("credit_share = 0.8", "credit_share = 1.8", "RW106", "stock_value.credit_share", "credit_share"),
    ("credit_share = 0.8", 'credit_share = "most"', "RW103", "stock_value.credit_share", "credit_share"),
    ("purchase_surcharge = 0.25", "purchase_surcharge = -1", "RW106", "stock_value.purchase_surcharge", "purchase_s"),
    ('per_lb = "11.40 USD"', 'per_lb = "11.40 EUR"', "RW106", "price[0]", "[[price]]"),
    ('per_lb = "11.40 USD"', 'per_lb = "11,40"', "RW103", "price[0].per_lb", "per_lb"),
    ('per_lb = "11.40 USD"\n', "", "RW101", "price[0]", "[[price]]"),
    ('per_lb = "11.40 USD"', 'per_lb = "11.40 USD"\nper_kg = "5 USD"', "RW101", "price[0]", "[[price]]"),
    ('["20 ft", "24 ft"]', '["20 ft", "24"]', "RW104", "price[0].purchase_lengths[1]", "purchase_lengths"),
    ('row = "6061-T6-drawn-tube-S"', 'row = "6061-T9"', "RW108", "specification[0].row", 'row = "6061-T9"'),
    ('row = "6061-T6-drawn-tube-S"\n', "", "RW101", "specification[0]", "[[specification]]"),
    ('place = "table 3.6.2.0(g), foot', 'note = "', "RW102", "specification[1].note", "note ="),
    ("elongation = 0.08", "elongation = 8", "RW106", "specification[1].elongation", "elongation"),
    ('how_known = "read"', 'how_known = "heard"', "RW111", "specification[1].elongation", "elongation"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "code", "field", "words"), SHOP_MISTAKES, ids=lambda v: str(v)[:24])
def test_a_mistake_in_the_shop_file(old: str, new: str, code: str, field: str, words: str) -> None:
    data = changed(SHOP, old, new)
    shop, faults = read_shop(data, "shop.toml")
    assert shop is None
    assert (code, field, line_of(data, words)) in {(f.code, f.where.field, f.where.line) for f in faults}, (
        faults
    )
    assert all(fault.do for fault in faults)


STOCK_MISTAKES = [
    ('"rackwright/stock/1"', '"rackwright/stock/2"', "RW110", "format", "format"),
    ('length = "239 15/16 in"', 'length = "239 15/16"', "RW104", "bar[0].length", "length ="),
    ('length = "239 15/16 in"', 'length = "-3 in"', "RW106", "bar[0].length", "length ="),
    ('length = "239 15/16 in"', 'length = "0 in"', "RW106", "bar[0].length", "length ="),
    ('length = "239 15/16 in"', 'length = "200 ft"', "RW106", "bar[0].length", "length ="),
    ('length = "239 15/16 in"', 'length = "1/3 in"', "RW105", "bar[0].length", "length ="),
    ('kind = "bar"', 'kind = "rod"', "RW103", "bar[0].kind", "kind"),
    ('id = "T-02"', 'id = "T-01"', "RW107", "bar[1].id", None),
    ('id = "B-31"', 'id = "T-01"', "RW107", "item[0].id", None),
    ('number = "HV-20688"', 'number = "HV-20417"', "RW107", "certificate[1].number", None),
    ('certificate = "HV-20417"', 'certificate = "HV-1"', "RW108", "bar[0].certificate", "certificate ="),
    ('Fty = "39.6 ksi"', "Fty = 39.6", "RW104", "certificate[0].Fty", "Fty"),
    ('Fty = "39.6 ksi"', 'Fty = "39.6 in"', "RW104", "certificate[0].Fty", "Fty"),
    ("elongation = 0.15", "elongation = 15", "RW106", "certificate[0].elongation", "elongation"),
    ("count = 26", "count = -1", "RW106", "item[0].count", "count ="),
    ("count = 26", 'count = "many"', "RW103", "item[0].count", "count ="),
    ('section = "SQ 1.5x0.125"\n', "", "RW101", "bar[0].section", None),
    ('location = "A1"', 'shelf = "A1"', "RW102", "bar[0].shelf", "shelf"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "code", "field", "words"), STOCK_MISTAKES, ids=lambda v: str(v)[:24])
def test_a_mistake_in_the_stock_file(old: str, new: str, code: str, field: str, words: str | None) -> None:
    data = changed(STOCK, old, new)
    bars, faults = read_stock(data, "stock.toml")
    assert bars is None
    found = {(fault.code, fault.where.field): fault.where.line for fault in faults}
    assert (code, field) in found, faults
    assert found[code, field] > 0
    if words is not None:
        assert found[code, field] == line_of(data, words)


def test_all_faults_come_at_once() -> None:
    data = STOCK.replace('id = "T-02"', 'id = "T-01"').replace('certificate = "BX-8810"', 'certificate = "B"')
    _, faults = read_stock(data.encode(), "stock.toml")
    assert [fault.code for fault in faults] == sorted(
        [fault.code for fault in faults], key=lambda c: (c != "RW107", c)
    )
    assert len(faults) == 1 + STOCK.count('certificate = "BX-8810"')


@pytest.mark.parametrize(("data", "code"), [(b"", "RW004"), (b"\xff\xfe\x00", "RW003"), (b"a = [", "RW006")])
def test_what_is_not_toml(data: bytes, code: str) -> None:
    for read in (read_shop, read_stock):
        thing, faults = read(data, "x.toml")
        assert thing is None
        assert [fault.code for fault in faults] == [code]


@given(st.integers(0, 10**6), st.sampled_from(["", '"', "]", "0", "[[bar]]\n", "x = 1\n", "=", " in"]))
def test_a_damaged_file_is_a_fault_and_never_an_accident(at: int, splice: str) -> None:
    for text, read in ((SHOP, read_shop), (STOCK, read_stock)):
        place = at % len(text)
        thing, faults = read((text[:place] + splice + text[place + 1 :]).encode(), "x.toml")
        assert (thing is None) == bool(faults)
        assert all(fault.where.file == "x.toml" and fault.found and fault.do for fault in faults)
