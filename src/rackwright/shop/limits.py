"""Limits of what is read off metal when it comes in, from sourced rows alone: a weight per length, a hardness.

The weight of a length of square tube follows from its section and the density of its row of design values, within what
the tolerances of its specification row leave: side and wall at their largest together, at their least together. The
corner radius is that of the shop's `[[tube]]` row. Where one of these is not known there is no limit, and why is said.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from rackwright.metal_forms import section_of
from rackwright.shop.model import Shop, Specification

__all__ = ["Hardness", "Weight", "hardness_of", "read_hardness", "weight_of"]

_HARDNESS = re.compile(
    r"(?:at most (?P<most>[\d.]+)|at least (?P<least>[\d.]+)|(?P<low>[\d.]+) to (?P<high>[\d.]+)) (?P<scale>[A-Z]+)",
    re.ASCII,
)


@dataclass(frozen=True)
class Weight:
    """kg/m: as drawn, and the least and most that the tolerances leave."""

    nominal: float
    least: float
    most: float


@dataclass(frozen=True)
class Hardness:
    """Least and most on a scale, None for no limit that way."""

    least: float | None
    most: float | None
    scale: str


def weight_of(shop: Shop, section: str, stock: str) -> Weight | str:
    """The weight per length of what is bought by this specification; in words why there is no limit."""
    from rackwright.formulas.section import (
        tube_area,
    )  # which loads what an act at the bench does not wait for

    row = next((one for one in shop.specification if one.stock == stock), None)
    named = section_of(section)
    if row is None or named is None or named.kind != "SQ":
        return f"the weight of a length of {section or 'this'} is not computed"
    side, wall = named.sizes[0], named.thickness
    tube = next((one for one in shop.tube if (one.side, one.wall, one.stock) == (side, wall, stock)), None)
    density = shop.rows.materials[row.row].density if row.row in shop.rows.materials else None
    if tube is None:
        return f"no [[tube]] row gives the corner radius of {section}, {stock}"
    if row.wall_tolerance is None or density is None:
        return f"the row of {stock} gives no {'density' if density is None else 'wall_tolerance'}"
    off, wide = row.wall_tolerance, row.side_tolerance or 0

    def of(way: int) -> float:
        b, t, r = ((nm * 1e-9) for nm in (side + way * wide, wall + way * off, tube.corner_radius))
        return float(tube_area(b, b, t, r)) * density

    return Weight(of(0), of(-1), of(1))


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
