"""What is measured on one rack of a design: the one place that joins its definition with the shop's saw.

Every station, gate and paper asks here, so that none of them counts other characteristics than the rest.
"""

from __future__ import annotations

from rackwright.making.sawing.cutting import Racked
from rackwright.pieces.characteristics import Characteristic, characteristics
from rackwright.shop import Shop

__all__ = ["characteristics_of"]


def characteristics_of(design: Racked, shop: Shop | None) -> tuple[Characteristic, ...]:
    """Every characteristic of one rack, numbered in order; without a shop cut lengths have no tolerance."""
    return characteristics(design.rack, design.pieces, shop.saw.cut_tolerance if shop else 0)
