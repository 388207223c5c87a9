"""`shop.toml` to frozen data: text in, the shop or every fault at once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial
from math import pi
from typing import Literal

from rackwright.fields import definition as _definition
from rackwright.formulas.kerf import STEEPEST
from rackwright.located import Path, Places
from rackwright.reference import Rows, shipped
from rackwright.reference.rows import HOW_KNOWN
from rackwright.shop.jig_and_oven import jig_and_oven_faults
from rackwright.shop.labour import Calendar, day_of
from rackwright.shop.limits import read_hardness
from rackwright.shop.machines import BendTest, machine_faults, test_bend_faults
from rackwright.shop.model import SHOP_FORMAT, Saw, Shop, ShopFile
from rackwright.shop.slips import slip_faults
from rackwright.shop.table_file import read_file, twice
from rackwright.trouble import Fault

__all__ = [
    "BEND_FORMAT",
    "read_bend_test",
    "read_shop",
]

BEND_FORMAT = "rackwright/test-bend/1"

MOST_GUARD = 3  # expanded uncertainties: more than any usual rule asks (from memory)


def read_shop(data: bytes, file: str, rows: Rows | None = None) -> tuple[Shop | None, list[Fault]]:
    """The shop that the file defines, or all its faults. `rows` are the reference rows it may name; None: shipped."""
    known = rows or shipped()
    read, faults = read_file(ShopFile, data, file, SHOP_FORMAT, partial(_shop_faults, known))
    return (None, faults) if read is None else (Shop(**vars(read), rows=known), [])


@_definition
class BendFile:
    """A measured test bend as a file of its own."""

    format: Literal["rackwright/test-bend/1"]
    bend_test: tuple[BendTest, ...]


def read_bend_test(data: bytes, file: str) -> tuple[BendTest | None, list[Fault]]:
    """The one measured test bend of a file, laid out as in the shop's, or all its faults."""
    found = read_file(BendFile, data, file, BEND_FORMAT, _bend_faults)
    return (None, found[1]) if found[0] is None else (found[0].bend_test[0], [])


def _bend_faults(read: BendFile, places: Places) -> Iterator[Fault]:
    if len(read.bend_test) != 1:
        found = f"{len(read.bend_test)} test bends"
        yield Fault("RW106", places.where("bend_test"), found, "give each test bend a file of its own")
    for number, test in enumerate(read.bend_test):
        yield from test_bend_faults(test, places, number)


def _shop_faults(rows: Rows, shop: ShopFile, places: Places) -> Iterator[Fault]:
    if not re.fullmatch("[A-Z]{3}", shop.currency):
        yield Fault(
            "RW103", places.where("currency"), f"found {shop.currency!r}", 'give three letters, as in "USD"'
        )
    saw, value = shop.saw, shop.stock_value
    if shop.style.grid > 1_000_000:
        yield Fault(
            "RW106", places.where("style.grid"), "a grid over 1 mm", 'give a fine grid, as "0.001 in"'
        )
    if not 0 <= (rule := shop.inspection.guard_band if shop.inspection else 0) <= MOST_GUARD:
        do = f"give 0 (the limits themselves decide) to {MOST_GUARD}; 1 is usual: limits moved by the uncertainty"
        yield Fault(
            "RW106", places.where("inspection.guard_band"), f"a guard band of {rule:g} uncertainties", do
        )
    if saw.remnant_min < saw.clamp_tail:
        do = "give at least the clamp tail: a shorter rest could never be cut"
        yield Fault("RW106", places.where("saw.remnant_min"), "shorter than the clamp tail", do)
    if saw.stop_resolution > saw.cut_tolerance:
        do = "a stop cannot be set to less than its resolution: widen the tolerance"
        yield Fault("RW106", places.where("saw.stop_resolution"), "coarser than the cut tolerance", do)
    yield from _scale_faults(rows, saw, places)
    if (saw.mitre_most is None) != (saw.mitre_document is None):
        do = "give both: how far the saw swings, and the sheet or log that says so"
        yield Fault("RW111", places.where("saw"), "mitre_most and mitre_document do not go together", do)
    if saw.mitre_most is not None and not 0 < saw.mitre_most <= STEEPEST * pi / 180:
        do = f"give an angle from the square, up to {STEEPEST:g} deg"
        yield Fault("RW106", places.where("saw.mitre_most"), f"found {saw.mitre_most * 180 / pi:.4g} deg", do)
    if not 0 <= value.credit_share <= 1:
        place = places.where("stock_value.credit_share")
        yield Fault("RW106", place, f"found {value.credit_share}", "give a share from 0 to 1")
    if not 0 <= value.purchase_surcharge <= 10:
        place = places.where("stock_value.purchase_surcharge")
        yield Fault("RW106", place, f"found {value.purchase_surcharge}", "give a share from 0 to 10")
    for name in ("level_share", "change_share"):
        share = getattr(value, name)
        if share is not None and not 0 <= share <= 0.1:
            place = places.where(f"stock_value.{name}")
            yield Fault("RW106", place, f"found {share}", "give a share from 0 to 0.1, as 0.002")
    yield from twice(places, "price", "stock", [row.stock for row in shop.price])
    yield from twice(places, "specification", "stock", [row.stock for row in shop.specification])
    yield from jig_and_oven_faults(rows, shop.jig, shop.coat, shop.oven, places)
    yield from twice(places, "bend_test", "id", [row.id for row in shop.bend_test])
    yield from twice(places, "bend_metal", "stock", [row.stock for row in shop.bend_metal])
    yield from machine_faults(
        rows, shop.brake, shop.bend_test, shop.bend_metal, shop.plate, shop.mill, places
    )
    yield from _price_faults(shop, places)
    yield from _specification_faults(rows, shop, places)
    yield from _tube_faults(rows, shop, places)
    yield from _labour_faults(shop, places)
    yield from slip_faults(shop, places)


def _scale_faults(rows: Rows, saw: Saw, places: Places) -> Iterator[Fault]:
    """Is it known how the stop's scale takes temperature, and from where?"""
    if saw.scale is not None and saw.scale_document is None:
        do = "give scale_document: the log of the master bar at two temperatures"
        yield Fault("RW111", places.where("saw.scale"), "scale without its document", do)
    if (saw.scale == "not compensated") != (saw.scale_expansion is not None):
        do = "give scale_expansion, an expansion row, for a scale that is not compensated, and for no other"
        yield Fault("RW111", places.where("saw"), "scale and scale_expansion do not go together", do)
    named: list[tuple[Path, str]] = [
        (("saw", "expansion", n, "row"), one.row) for n, one in enumerate(saw.expansion)
    ]
    if saw.scale_expansion is not None:
        named.append((("saw", "scale_expansion"), saw.scale_expansion))
    for path, row in named:
        if row not in rows.expansions:
            do = f"use one of {', '.join(rows.expansions)}"
            yield Fault("RW108", places.where(path), f"no expansion row {row!r:.60}", do)


def _price_faults(shop: ShopFile, places: Places) -> Iterator[Fault]:
    for number, row in enumerate(shop.price):
        given = [text for text in (row.per_kg, row.per_lb) if text is not None]
        if len(given) != 1:
            found = "both per_kg and per_lb" if given else "no price"
            yield Fault("RW101", places.where(("price", number)), found, "give either per_kg or per_lb")
        for text in given:
            yield from _amount(shop, places, ("price", number), text, free=False)
        lengths = row.purchase_lengths
        for k, length in enumerate(lengths):
            if length in lengths[:k]:
                place = places.where(("price", number, "purchase_lengths", k))
                yield Fault("RW107", place, "this length is there twice", "give each length once")


def _amount(shop: ShopFile, places: Places, path: Path, text: str, free: bool = True) -> Iterator[Fault]:
    """An amount in the shop's currency; `free` where nothing may be asked, as for what the customer furnishes."""
    if not text.endswith(f" {shop.currency}"):
        found, do = f"{text!r} is not in the shop's currency", f"give an amount in {shop.currency}"
        yield Fault("RW106", places.where(path), found, do)
    elif not free and not float(text.split()[0]):
        do = "give what it costs, or leave the row out: then it is asked for"
        yield Fault("RW106", places.where(path), "a price of nothing", do)


def _specification_faults(rows: Rows, shop: ShopFile, places: Places) -> Iterator[Fault]:
    for number, row in enumerate(shop.specification):
        here = ("specification", number)
        own = [name for name in ("Ftu", "Fty", "elongation") if getattr(row, name) is not None]
        if row.row is None and not own and not row.conformance:
            yield Fault("RW101", places.where(here), "no least value", "name a reference row, or give values")
        if row.row is not None and row.row not in rows.materials:
            do = "name a row of the reference, as `6061-T6-drawn-tube-S`"
            yield Fault("RW108", places.where((*here, "row")), f"no material row {row.row!r}", do)
        limits = ("wall_tolerance", "side_tolerance", "conductivity", "hardness")
        asked = [name for name in limits if getattr(row, name) is not None]
        if asked and not row.receiving_document:
            found, do = f"{' and '.join(asked)} without its document", "give receiving_document"
            yield Fault("RW111", places.where((*here, asked[0])), found, do)
        if row.conductivity is not None and not 0 < row.conductivity[0] < row.conductivity[1] <= 110:
            found, do = f"found {row.conductivity}", "give the least and the most in % IACS, as [40, 47]"
            yield Fault("RW106", places.where((*here, "conductivity")), found, do)
        if row.hardness is not None and read_hardness(row.hardness) is None:
            do = "write `at most 92 HRB`, `at least 60 HRB` or `60 to 92 HRB`"
            yield Fault("RW106", places.where((*here, "hardness")), f"found {row.hardness!r:.40}", do)
        if row.elongation is not None and not 0 <= row.elongation <= 1:
            found, do = f"found {row.elongation}", "give a share: 0.08 is 8 percent"
            yield Fault("RW106", places.where((*here, "elongation")), found, do)
        if own and not (row.source and row.place and row.how_known in HOW_KNOWN):
            found = f"{', '.join(own)} without source, place and how_known"
            do = f"say where the value is from; how_known is one of {', '.join(HOW_KNOWN)}"
            yield Fault("RW111", places.where((*here, own[0])), found, do)


def _tube_faults(rows: Rows, shop: ShopFile, places: Places) -> Iterator[Fault]:
    for number, row in enumerate(shop.tube):
        here = ("tube", number)
        if row.material not in rows.materials:
            do = "name a row of the reference, as `6061-T6-drawn-tube-S`"
            yield Fault("RW108", places.where((*here, "material")), f"no material row {row.material!r}", do)
        if not 0 < 2 * row.wall < row.side:
            yield Fault(
                "RW106", places.where((*here, "wall")), "two walls fill the tube", "give a thinner wall"
            )
        low, high = row.inside_low, row.inside_high
        if (low is None) != (high is None) or (low and high and not low <= high < row.side):
            do = "give both, the lower first, less than the side"
            yield Fault("RW111", places.where(here), "inside_low and inside_high do not go together", do)
        if not row.wall <= row.corner_radius <= row.side // 2:
            found, do = (
                "the outside corner radius is less than the wall or more than half the side",
                "measure a tube",
            )
            yield Fault("RW106", places.where((*here, "corner_radius")), found, do)


def _labour_faults(shop: ShopFile, places: Places) -> Iterator[Fault]:
    roles = {row.role for row in shop.labour}
    yield from twice(places, "labour", "role", [row.role for row in shop.labour])
    yield from twice(places, "operation_time", "operation", [row.operation for row in shop.operation_time])
    yield from twice(places, "outside", "operation", [row.operation for row in shop.outside])
    yield from twice(places, "part_price", "part", [row.part for row in shop.part_price])
    yield from twice(places, "place", "name", [row.name for row in shop.place])
    for number, row in enumerate(shop.operation_time):
        if row.role not in roles:
            do = "add its [[labour]], or name a role that has one"
            yield Fault(
                "RW108", places.where(("operation_time", number, "role")), f"no role {row.role!r}", do
            )
    for number, paid in enumerate(shop.labour):
        yield from _amount(shop, places, ("labour", number), paid.per_hour, free=False)
    amounts = [("part_price", n, row.each) for n, row in enumerate(shop.part_price)]
    amounts += [
        ("outside", n, text)
        for n, row in enumerate(shop.outside)
        for text in (row.price, row.per_piece)
        if text
    ]
    for table, number, text in amounts:
        yield from _amount(shop, places, (table, number), text)
    threads = [f"{row.thread}, {row.nut} nut, wet with {row.wet}" for row in shop.wet_torque]
    yield from twice(places, "wet_torque", "thread", threads)
    for number, torque in enumerate(shop.wet_torque):
        if not torque.low <= torque.high <= torque.limit:
            do = "give low, high and limit in rising order"
            yield Fault("RW106", places.where(("wet_torque", number)), "a range that does not rise", do)
        if (torque.nut is None) == (torque.anchor is None):
            found = "both nut and anchor" if torque.nut else "neither nut nor anchor"
            do = "give nut, or anchor with the part of an insert or nutplate"
            yield Fault("RW106", places.where(("wet_torque", number)), found, do)
    shares = [("spares.share", shop.spares.share)] if shop.spares else []
    if shop.pricing:
        shares += [
            (f"pricing.{name}", getattr(shop.pricing, name)) for name in ("overhead_share", "profit_share")
        ]
    yield from twice(places, "spread", "name", [f"{row.kind} {row.name or ''}" for row in shop.spread])
    for number, spread in enumerate(shop.spread):
        if not (0 <= spread.below < 1 and 0 <= spread.above <= 10):
            found, do = (
                f"from -{spread.below} to +{spread.above}",
                "give shares: below under 1, above up to 10",
            )
            yield Fault("RW106", places.where(("spread", number)), found, do)
    for path, value in shares:
        if not 0 <= value <= 10:
            yield Fault("RW106", places.where(path), f"found {value}", "give a share from 0 to 10")
    if shop.learning and not 0.5 < shop.learning.rate <= 1:
        do = "give the hours at twice the number as a share over 0.5 and up to 1"
        yield Fault("RW106", places.where("learning.rate"), f"found {shop.learning.rate}", do)
    if shop.calendar:
        yield from _calendar_faults(shop.calendar, places)


def _calendar_faults(calendar: Calendar, places: Places) -> Iterator[Fault]:
    if not 0 < calendar.hours_a_day <= 24:
        found, do = f"found {calendar.hours_a_day}", "give the hours of a working day, up to 24"
        yield Fault("RW106", places.where("calendar.hours_a_day"), found, do)
    named: list[tuple[tuple[str | int, ...], str]] = [
        (("calendar", "closed", n), text) for n, text in enumerate(calendar.closed)
    ]
    named += [(("calendar", "start"), calendar.start)] if calendar.start else []
    for path, text in named:
        if day_of(text) is None:
            yield Fault("RW103", places.where(path), f"found {text!r}", 'give a day, as in "2026-03-11"')
