"""The hardware of a rack and of an order: how many of each part, with spares, and the lots that it comes from.

A lot counts when its certificate names it and its stock specification, and it has not passed its last day of use;
lots are taken in the order of that day, then of the stock file. What the lots do not cover is to be bought.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from rackwright.making.assembly import bolt_part, spacer_part
from rackwright.making.sawing.cutting import Demand
from rackwright.pieces.model import Bolt
from rackwright.reference import Rows
from rackwright.shop import Shop, StockItem, checks_of

__all__ = ["FastenerLine", "LotTake", "fasteners", "parts_of"]


@dataclass(frozen=True)
class LotTake:
    """So many of a lot. `why_not` says why a lot that lies there cannot be used."""

    item: str
    lot: str
    count: int
    why_not: tuple[str, ...] = ()


@dataclass(frozen=True)
class FastenerLine:
    """One part of the order: need of each rack in turn, spares, and where it comes from."""

    part: str
    kind: str  # bolt, washer, nut, insert, nutplate, spacer
    per_rack: tuple[int, ...]
    spares: int | None  # None: the shop has not said how many
    lots: tuple[LotTake, ...]
    refused: tuple[LotTake, ...]
    short: int  # to be bought

    @property
    def need(self) -> int:
        return sum(self.per_rack)

    @property
    def wanted(self) -> int:
        return self.need + (self.spares or 0)


def parts_of(bolt: Bolt, rows: Rows) -> dict[tuple[str, str], int]:
    """(part, kind) -> how many, of everything that one bolt takes."""
    parts = {
        (bolt_part(bolt), "bolt"): 1,
        (bolt.washer, "washer"): bolt.washers,
    }
    if bolt.nut:
        parts[bolt.nut, "nut"] = 1
    if bolt.anchor and bolt.anchor.part:
        parts[bolt.anchor.part, bolt.anchor.kind] = 1
    return parts | ({(spacer_part(bolt, rows), "spacer"): 1} if bolt.spacer else {})


def fasteners(
    demand: Demand, items: Sequence[StockItem] | None, shop: Shop, today: str
) -> tuple[FastenerLine, ...]:
    """The hardware of an order, by part. `today` (YYYY-MM-DD, "" unknown) judges the last day of use."""
    racks: list[Counter[tuple[str, str]]] = []
    for design, quantity in demand:
        of_one: Counter[tuple[str, str]] = Counter()
        for bolt in design.pieces.bolts:
            of_one.update(parts_of(bolt, design.rack.rows))
        racks += [of_one] * quantity
    parts = sorted({key for of_one in racks for key in of_one})
    return tuple(_line(part, kind, [of_one[part, kind] for of_one in racks], items or (), shop, today)
                 for part, kind in parts)  # fmt: skip


def _line(
    part: str, kind: str, per_rack: list[int], items: Sequence[StockItem], shop: Shop, today: str
) -> FastenerLine:
    need, rule = sum(per_rack), shop.spares
    spares = None if rule is None else max(rule.least, ceil(Fraction(str(rule.share)) * need))
    left, takes, refused = need + (spares or 0), [], []
    there = [item for item in items if item.section == part]
    for item in sorted(there, key=lambda one: (one.expiry or "9999-99-99", there.index(one))):
        why = _why_not(item, shop, today)
        if why:
            refused.append(LotTake(item.id, item.lot, 0, why))
        elif left:
            takes.append(LotTake(item.id, item.lot, min(left, item.count)))
            left -= takes[-1].count
    return FastenerLine(part, kind, tuple(per_rack), spares, tuple(takes), tuple(refused), left)


def _why_not(item: StockItem, shop: Shop, today: str) -> tuple[str, ...]:
    """What keeps a lot from being used."""
    checks = checks_of(shop, item.certificate, item.lot or item.heat, item.stock)
    why = [str(check) for check in checks if not check.ok]
    if item.expired(today):
        why.append(f"last day of use was {item.expiry}")
    return tuple(why)
