"""Rows of an acceptance: what was seen and measured of metal, beside what sourced rows ask.

The marking must name the heat or lot. Wall and conductivity are held against the shop's specification row, a hardness
against its `hardness`, a weight against what the section weighs (`shop/limits.py`). What `read` asks for and was not
read will not do. A value for which no limit is known will do only where a lead decided of it, as it was read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction

from rackwright.metal_forms import INCH, section_of
from rackwright.record import Stock
from rackwright.shop import Check, Shop, Specification
from rackwright.shop.limits import hardness_of, weight_of
from rackwright.units import QuantityError, parse_quantity, unit_factor
from rackwright.work.metal.examining import READINGS

__all__ = ["examined_checks"]

LEAST_PLACES = 3


def examined_checks(shop: Shop, stock: Stock) -> Iterator[Check]:
    """Every row; none where nothing is asked and nothing was seen."""
    asked = next((row for row in shop.specification if row.stock == stock.stock_spec), None)
    must = asked.read if asked else ()
    if "label" in must:
        yield Check("label", "put on and read back", stock.label or "none", bool(stock.label))
    if not stock.examined:
        if asked and (
            asked.wall_tolerance is not None or asked.conductivity is not None or {*must} - {"label"}
        ):
            yield Check("examined", "marking, and what its specification row asks", "not examined", False)
        return
    marked, seen = stock.heat or stock.lot, stock.examined["marking"]
    yield Check("marking", marked, seen, marked in re.split(r"[\s,;]+", seen))
    yield from _walls(asked, stock)
    for name in READINGS:
        text = stock.examined.get(name, "")
        needed = name in must or (
            name == "conductivity" and asked is not None and asked.conductivity is not None
        )
        if text:
            yield JUDGES[name](shop, asked, stock, text)
        elif needed:
            yield Check(name, _required(name, asked), "not measured", False)


def _walls(asked: Specification | None, stock: Stock) -> Iterator[Check]:
    walls: tuple[Mapping[str, int | str], ...] = tuple(stock.examined.get("walls", ()))
    named = section_of(stock.section)
    wall, tolerance = named.wall if named else None, asked.wall_tolerance if asked else None
    if tolerance is None or wall is None:
        return
    if len(walls) < LEAST_PLACES:
        yield Check("wall", f"at {LEAST_PLACES} places", f"at {len(walls)}", False)
    required = f"{(wall - tolerance) / INCH:.4f} to {(wall + tolerance) / INCH:.4f} in"
    for one in walls:
        found = int(one["wall_nm"])
        yield Check(
            f"wall, {one['place']}", required, f"{found / INCH:.4f} in", abs(found - wall) <= tolerance
        )


def _required(name: str, asked: Specification | None) -> str:
    limits = asked.conductivity if asked and name == "conductivity" else None
    return f"{limits[0]:g} to {limits[1]:g} % IACS" if limits else "read"


def _conductivity(shop: Shop, asked: Specification | None, stock: Stock, text: str) -> Check:
    limits = asked.conductivity if asked else None
    if limits is None:
        return _undecided(stock, "conductivity", text, f"the row of {stock.stock_spec} gives no conductivity")
    ok = limits[0] <= float(text) <= limits[1]
    return Check("conductivity", _required("conductivity", asked), text, ok)


def _hardness(shop: Shop, asked: Specification | None, stock: Stock, text: str) -> Check:
    limit = hardness_of(asked)
    if isinstance(limit, str):
        return _undecided(stock, "hardness", text, limit)
    found = re.fullmatch(r"(\d*\.?\d+) ?([A-Z]+)", text.strip(), re.ASCII)
    value = float(found[1]) if found and found[2] == limit.scale else None
    ok = value is not None and (limit.least or 0.0) <= value and (limit.most is None or value <= limit.most)
    return Check("hardness", asked.hardness or "" if asked else "", text, ok)


def _weight(shop: Shop, asked: Specification | None, stock: Stock, text: str) -> Check:
    limit = weight_of(shop, stock.section, stock.stock_spec)
    if isinstance(limit, str):
        return _undecided(stock, "weight", text, limit)
    of, of_all = PER[limit.per]
    unit = float(unit_factor(of))
    least, most, drawn = (f"{one / unit:.4f}" for one in (limit.least, limit.most, limit.nominal))
    required = f"{least} to {most} {of}, as drawn {drawn}"
    found = _per(limit.per, text, Fraction(stock.length_nm, 10**9) or Fraction(stock.area_nm2, 10**18))
    if found is None:
        return Check("weight", required, f"{text}: neither {of_all}, as {of}, nor of the whole, as lb", False)
    shown = text if "/" in text else f"{text}, {float(found) / unit:.4f} {of}"
    return Check("weight", required, shown, limit.least <= found <= limit.most)


#: what a weight is told of -> its unit, in words
PER = {"line_mass": ("lb/ft", "per length"), "area_mass": ("lb/ft2", "per area")}


def _per(dimension: str, text: str, size: Fraction) -> Fraction | None:
    """kg/m or kg/m2: as it was read, or of the whole bar or plate by its measured size."""
    try:
        return parse_quantity(text, dimension)
    except QuantityError:
        pass
    try:
        return parse_quantity(text, "mass") / size if size else None
    except QuantityError:
        return None


def _undecided(stock: Stock, name: str, text: str, why: str) -> Check:
    """No limit is known: a lead's decision of just this value, or nothing."""
    said = stock.decided.get(name, {})
    if said.get("value") != text:
        return Check(name, f"no limit: {why}", f"{text}; nobody decided of it", False)
    let = "lets it be used" if said["use"] else "does not let it be used"
    return Check(name, f"no limit: {why}", f"{text}; {said['by']} {let}: {said['document']}", said["use"])


JUDGES = {"conductivity": _conductivity, "hardness": _hardness, "weight": _weight}
