"""`stock.toml` to frozen data: bars, plates, counted items and their certificates, or every fault at once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from rackwright.fields import Length, Name, Number, Signed, Stress, Text, Whole
from rackwright.fields import definition as _definition
from rackwright.located import Places
from rackwright.shop.labour import day_of
from rackwright.shop.outline import Corner, size_faults, size_of
from rackwright.shop.stock import Certificate, StockBar, StockItem
from rackwright.shop.table_file import read_file, twice
from rackwright.trouble import Fault

__all__ = ["STOCK_FORMAT", "Stock", "StockFile", "read_stock", "read_stock_items"]

STOCK_FORMAT = "rackwright/stock/1"
KSI, LONGEST_WORDS = 6.894757293168361e6, 300


@_definition
class CertificateRow:
    """A mill certificate as printed. `stock` is the specification it names."""

    number: Name
    mill: str
    heat: Name
    stock: Name
    form: str
    temper: str
    Ftu: Stress | None = None
    Fty: Stress | None = None
    elongation: Number | None = None  # as a share
    file: str | None = None


@_definition
class BarRow:
    """A bar or remnant; its length as measured."""

    id: Name
    section: Name
    stock: Name
    kind: Literal["bar", "remnant"]
    length: Length
    heat: Name | None = None
    certificate: Name | None = None
    location: str = ""


@_definition
class ItemRow:
    """Counted stock: blanks, plate, sheet, and lots of hardware, powder, sealant. `section` names what it is."""

    id: Name
    form: str
    section: Name
    stock: Name
    heat: Name | None = None
    lot: Name | None = None  # hardware, powder and sealant have a lot in place of a heat
    expiry: Text | None = None  # YYYY-MM-DD, the last day of use
    count: Whole
    length: Length | None = None  # of each one, along the grain (the rolling direction)
    width: Length | None = None
    outline: tuple[tuple[Signed, Signed], ...] | None = None  # corners of a plate remnant, anticlockwise
    certificate: Name | None = None
    location: str = ""


@_definition
class PlateRow:
    """One plate or sheet with a label of its own, or a remnant, which gives its outline; accounted for by area."""

    id: Name
    form: Text
    section: Name
    stock: Name
    heat: Name | None = None
    length: Length | None = None  # along the grain (the rolling direction)
    width: Length | None = None
    outline: tuple[tuple[Signed, Signed], ...] | None = None  # corners in place of both, anticlockwise
    certificate: Name | None = None
    location: str = ""


@_definition
class StockFile:
    """The tables of a stock file."""

    format: str
    certificate: tuple[CertificateRow, ...] = ()
    bar: tuple[BarRow, ...] = ()
    item: tuple[ItemRow, ...] = ()
    plate: tuple[PlateRow, ...] = ()


Stock = tuple[tuple[StockBar, ...], tuple[StockItem, ...]]


def read_stock(data: bytes, file: str) -> tuple[tuple[StockBar, ...] | None, list[Fault]]:
    """The bars of a stock file, or every fault in it (those of its other tables as well)."""
    stock, faults = read_stock_items(data, file)
    return (None, faults) if stock is None else (stock[0], [])


def read_stock_items(data: bytes, file: str) -> tuple[Stock | None, list[Fault]]:
    """The bars and the counted items of a stock file, its plates among them, or every fault in it."""
    found = read_file(StockFile, data, file, STOCK_FORMAT, _stock_faults)
    rows, faults = found
    if rows is None:
        return None, faults
    of = {row.number: _certificate(row) for row in rows.certificate}
    bars = tuple(
        StockBar(row.id, row.section, row.stock, row.kind, row.length, row.heat or "",
                 of[row.certificate] if row.certificate else None, row.location)
        for row in rows.bar
    )  # fmt: skip
    items = tuple(
        StockItem(row.id, row.form, row.section, row.stock, row.heat or "", row.count,
                  of[row.certificate] if row.certificate else None, row.location, row.lot or "", row.expiry or "",
                  *_size(row))
        for row in rows.item
    )  # fmt: skip
    plates = tuple(
        StockItem(row.id, row.form, row.section, row.stock, row.heat or "", 1,
                  of[row.certificate] if row.certificate else None, row.location, "", "", *_size(row), True,
                  row.outline is not None)
        for row in rows.plate
    )  # fmt: skip
    return (bars, (*items, *plates)), []


def _size(row: ItemRow | PlateRow) -> tuple[int | None, int | None, tuple[Corner, ...] | None]:
    return size_of(row.outline) if row.outline else (row.length, row.width, None)


def _certificate(row: CertificateRow) -> Certificate:
    return Certificate(
        row.number,
        row.mill,
        row.heat,
        row.stock,
        row.form,
        row.temper,
        row.Ftu,
        row.Fty,
        row.elongation,
        row.file,
    )


def _stock_faults(rows: StockFile, places: Places) -> Iterator[Fault]:
    yield from twice(places, "certificate", "number", [row.number for row in rows.certificate])
    yield from twice(places, "bar", "id", [row.id for row in rows.bar])
    yield from twice(places, "item", "id", [row.id for row in rows.item])
    yield from twice(places, "plate", "id", [row.id for row in rows.plate])
    sized: list[tuple[str, int, ItemRow | PlateRow]] = [("item", n, row) for n, row in enumerate(rows.item)]
    sized += [("plate", n, row) for n, row in enumerate(rows.plate)]
    bars, counted = {row.id for row in rows.bar}, {row.id for row in rows.item}
    for table, number, one in sized:
        also = "a bar" if one.id in bars else "counted" if table == "plate" and one.id in counted else ""
        if also:
            place = places.where((table, number, "id"))
            yield Fault("RW107", place, f"{one.id!r} is also {also}", "give each its own id")
        wrong = size_faults(one.length, one.width, one.outline)
        yield from (
            Fault(code, places.where((table, number, *at)), found, do) for code, at, found, do in wrong
        )
    for number, plate in enumerate(rows.plate):
        if plate.outline is None and plate.length is None and plate.width is None:
            do = "give length, along the rolling direction, and width; of a remnant its outline"
            yield Fault("RW101", places.where(("plate", number)), "a plate without its size", do)
    for number, item in enumerate(rows.item):
        if item.heat and item.lot:
            do = "give the heat of metal, or the lot of hardware, powder or sealant"
            yield Fault("RW103", places.where(("item", number, "lot")), "both heat and lot", do)
        if item.expiry and day_of(item.expiry) is None:
            do = 'give a day, as in "2026-03-11"'
            yield Fault("RW103", places.where(("item", number, "expiry")), f"found {item.expiry!r}", do)
    known = {row.number for row in rows.certificate}
    named: list[tuple[str, int, str | None]] = [("bar", n, row.certificate) for n, row in enumerate(rows.bar)]
    named += [(table, n, one.certificate) for table, n, one in sized]
    for table, number, certificate in named:
        if certificate is not None and certificate not in known:
            place = places.where((table, number, "certificate"))
            do = "add its [[certificate]], or leave the field out if there is none"
            yield Fault("RW108", place, f"no certificate {certificate!r}", do)
    for number, row in enumerate(rows.certificate):
        if row.elongation is not None and not 0 <= row.elongation <= 1:
            place = places.where(("certificate", number, "elongation"))
            yield Fault("RW106", place, f"found {row.elongation}", "give a share: 0.12 is 12 percent")
        yield from _strength_faults(row, places, number)
    for number, bar in enumerate(rows.bar):
        if not 10**7 <= bar.length <= 30 * 10**9:
            found = "a bar over 30 m" if bar.length > 10**9 else "a bar shorter than 10 mm"
            do = "give the measured length of one bar"
            yield Fault("RW106", places.where(("bar", number, "length")), found, do)
    for table in ("certificate", "bar", "item", "plate"):
        for number, line in enumerate(getattr(rows, table)):
            for name, text in vars(line).items():
                if isinstance(text, str) and not (text.isprintable() and len(text) <= LONGEST_WORDS):
                    found = f"found {text[:40]!r}, {len(text)} characters"
                    do = (
                        f"give at most {LONGEST_WORDS} characters, none of which steers a printer or terminal"
                    )
                    yield Fault("RW106", places.where((table, number, name)), found, do)


def _strength_faults(row: CertificateRow, places: Places, number: int) -> Iterator[Fault]:
    """GPa for MPa, psi for ksi: a metal's strength lies from 1 to 500 ksi (common practice, no source)."""
    for name in ("Ftu", "Fty"):
        value = getattr(row, name)
        if value is not None and not KSI <= value <= 500 * KSI:
            found = f"{value / KSI:.4g} ksi is no strength of a metal"
            do = "give 1 to 500 ksi, with the unit that the certificate prints"
            yield Fault("RW106", places.where(("certificate", number, name)), found, do)
    if row.Ftu is not None and row.Fty is not None and row.Fty > row.Ftu:
        found = f"Fty of {row.Fty / KSI:.4g} ksi is more than Ftu of {row.Ftu / KSI:.4g} ksi"
        do = "give both as the certificate prints them: the yield is the lower"
        yield Fault("RW106", places.where(("certificate", number, "Fty")), found, do)
