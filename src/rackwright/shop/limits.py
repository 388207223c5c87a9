"""Limits of what is read off metal when it comes in, from sourced rows alone: its weight, its hardness.

The weight follows from the section and the density of its row of design values, within what the tolerances of its
specification row leave, all at their largest together, all at their least together: per length of a square tube (the
corner radius is that of the shop's `[[tube]]` row) and of an angle, per area of sheet and plate. An angle's root fillet
is between none and its thickness, its toes between sharp and half of it (common practice, no source): the band spans
both. Where something is not known there is no limit, and why is said.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from rackwright.metal_forms import Section, section_of
from rackwright.shop.model import Shop, Specification

__all__ = ["Hardness", "Weight", "hardness_of", "read_hardness", "weight_of"]

_HARDNESS = re.compile(
    r"(?:at most (?P<most>[\d.]+)|at least (?P<least>[\d.]+)|(?P<low>[\d.]+) to (?P<high>[\d.]+)) (?P<scale>[A-Z]+)",
    re.ASCII,
)


@dataclass(frozen=True)
class Weight:
    """As drawn, and the least and most that the tolerances leave, of a length (`line_mass`, kg/m) or an area
    (`area_mass`, kg/m2)."""

    nominal: float
    least: float
    most: float
    per: str = "line_mass"


@dataclass(frozen=True)
class Hardness:
    """Least and most on a scale, None for no limit that way."""

    least: float | None
    most: float | None
    scale: str


def weight_of(shop: Shop, section: str, stock: str) -> Weight | str:
    """The weight per length or area of what is bought by this specification; in words why there is no limit."""
    row = next((one for one in shop.specification if one.stock == stock), None)
    named = section_of(section)
    sizes = len(named.sizes) if named else 0
    if row is None or named is None or (named.kind, sizes) not in SHAPES:
        return f"the weight of {section or 'this'} is not computed"
    if row.wall_tolerance is None:
        return f"the row of {stock} gives no wall_tolerance"
    density = shop.rows.materials[row.row].density if row.row in shop.rows.materials else None
    if density is None:
        return f"the row of {stock} gives no density"
    measures = SHAPES[named.kind, sizes](shop, named, row)
    if isinstance(measures, str):
        return measures
    least, nominal, most = (one * density for one in measures)
    return Weight(nominal, least, most, "area_mass" if sizes == 1 else "line_mass")


def _tube(shop: Shop, named: Section, row: Specification) -> tuple[float, float, float] | str:
    """m2 of section: least, as drawn, most."""
    from rackwright.formulas.section import (
        tube_area,  # which loads what an act at the bench does not wait for
    )

    (side, wall), off, wide = named.sizes, row.wall_tolerance or 0, row.side_tolerance or 0
    tube = next(
        (one for one in shop.tube if (one.side, one.wall, one.stock) == (side, wall, row.stock)), None
    )
    if tube is None:
        return f"no [[tube]] row gives the corner radius of {named.kind} tube of these sizes, {row.stock}"

    def of(way: int) -> float:
        b, t, r = ((nm * 1e-9) for nm in (side + way * wide, wall + way * off, tube.corner_radius))
        return float(tube_area(b, b, t, r))

    return of(-1), of(0), of(1)


def _angle(shop: Shop, named: Section, row: Specification) -> tuple[float, float, float] | str:
    """m2 of section; as drawn with sharp corners."""
    from rackwright.formulas.section import angle_area

    (a, b, t), off, wide = named.sizes, row.wall_tolerance or 0, row.side_tolerance or 0

    def of(way: int) -> float:
        legs, thick = ((a + way * wide) * 1e-9, (b + way * wide) * 1e-9), (t + way * off) * 1e-9
        return float(angle_area(*legs, thick, thick * (way > 0), thick / 2 * (way < 0)))

    return of(-1), of(0), of(1)


def _flat(shop: Shop, named: Section, row: Specification) -> tuple[float, float, float] | str:
    """m of thickness, which is m3 per m2."""
    thick, off = named.thickness, row.wall_tolerance or 0
    return (thick - off) * 1e-9, thick * 1e-9, (thick + off) * 1e-9


#: kind and number of sizes of a section of which the weight is known
SHAPES = {("SQ", 2): _tube, ("L", 3): _angle, ("PLATE", 1): _flat, ("SHEET", 1): _flat}


def hardness_of(row: Specification | None) -> Hardness | str:
    """The limit that a specification row gives; in words why there is none."""
    if row is None or row.hardness is None:
        return f"the row of {row.stock if row else 'this specification'} gives no hardness"
    return read_hardness(row.hardness) or f"{row.hardness!r} is no limit"


def read_hardness(text: str) -> Hardness | None:
    """A limit as a row writes it."""
    found = _HARDNESS.fullmatch(text)
    if found is None:
        return None
    try:
        least, most = (
            float(v) if (v := found[a] or found[b]) else None for a, b in (("least", "low"), ("most", "high"))
        )
    except ValueError:
        return None
    return (
        None
        if least is not None and most is not None and least > most
        else Hardness(least, most, found["scale"])
    )
