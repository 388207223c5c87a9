"""The numbers of a rack that leave with it, each by a name, and what they rest on: rows and formulas by their hashes.

A release keeps both, and what one rack costs by the shop's file, bought new and made alone: that follows from the
frozen texts and from no stock. Years later the same frozen texts and measurements are computed again, and where a
number differs the hashes tell which row or formula is another one now (`work/serials/again.py`).
"""

from __future__ import annotations

import inspect
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from math import isfinite
from typing import Any

from rackwright.design import Design
from rackwright.formulas.cards import Card, cards
from rackwright.making.price import KINDS
from rackwright.plan import Plan
from rackwright.shop import Shop
from rackwright.strength.margin import Margin
from rackwright.work.engineering.rows_used import rows_of, used_rows

__all__ = ["Numbers", "Resting", "margins_of", "numbers_of", "prices_of", "read_numbers", "row_name"]

EFFORT = 20  # of the plan behind a price: kept small, the same for every release
FORMAT = "rackwright/released-numbers/1"
AXES = ("x", "y", "z")


@dataclass(frozen=True)
class Resting:
    """A row or formula that numbers rest on: its hash and its source."""

    hash: str
    source: str


@dataclass(frozen=True)
class Numbers:
    """SI numbers by name, None where one is missing; rows ("Material 6061-T6 ...") and formula cards by name."""

    values: Mapping[str, float | None]
    rows: Mapping[str, Resting]
    cards: Mapping[str, Resting]

    def to_json(self) -> dict[str, Any]:
        """As the record holds it: numbers are texts."""
        return {
            "format": FORMAT,
            "values": {name: "" if one is None else repr(one) for name, one in self.values.items()},
            "rows": {name: {"hash": one.hash, "source": one.source} for name, one in self.rows.items()},
            "cards": {name: {"hash": one.hash, "source": one.source} for name, one in self.cards.items()},
        }


def read_numbers(document: Mapping[str, Any]) -> Numbers:
    """Of `Numbers.to_json`. Its bytes were found by their hash, so it is one of ours."""
    rows, known = (
        {name: Resting(one["hash"], one["source"]) for name, one in document[key].items()}
        for key in ("rows", "cards")
    )
    values = {name: float(text) if text else None for name, text in document["values"].items()}
    return Numbers(values, rows, known)


def prices_of(design: Design, shop: Shop) -> dict[str, float | None]:
    """Of one rack as drawn, nothing on the shelf: the price, its kinds of cost, hours by operation."""
    price = Plan(((design.drawn, 1),), None, shop, EFFORT).price
    found = {f"price of one rack, {shop.currency}": None if price.total is None else float(price.total)}
    found |= {f"price, {kind}, {shop.currency}": float(price.sum_of(kind)) for kind in KINDS}
    hours = [line for line in price.lines if line.kind == "labour" and line.quantity is not None]
    return found | {f"price, hours of {line.name}": float(line.quantity or 0) for line in hours}


def numbers_of(design: Design, prices: Mapping[str, float | None] | None = None) -> Numbers:
    """Of a design, as measured where it is that of a serial; with its prices where they are given."""
    used = dict.fromkeys(name for margin in margins_of(design).values() for name, _ in margin.steps)
    known = cards()
    return Numbers(
        dict(_values(design)) | dict(prices or {}),
        {
            row_name(row): Resting(row.fingerprint, f"{row.known.source}, {row.known.place}")
            for row in _rows(design)
        },
        {name: Resting(_hash(known[name]), known[name].source) for name in sorted(used)},
    )


def row_name(row: Any) -> str:
    return f"{type(row).__name__} {row.id}"


def margins_of(design: Design) -> dict[str, Margin]:
    """Every margin by the name of its number: under the load cases, and in vibration."""
    found = {f"margin {one.id}": one for one in design.strength.margins}
    return found | {f"margin in vibration {one.id}": one for one in design.vibration.margins}


def _rows(design: Design) -> Iterator[Any]:
    yield from (row for _, row in used_rows(design))
    for margin in design.strength.margins:
        yield from rows_of(design, margin)


def _hash(card: Card) -> str:
    """Of what a card prints, and of its function as it is written."""
    try:
        code = inspect.getsource(card.function)
    except (OSError, TypeError):  # an installation without sources
        code = ""
    printed = (card.printed, card.where, card.symbols, card.result, card.limits, card.source, card.how_known)
    return sha256(f"{printed!r}\n{code}".encode()).hexdigest()


def _values(design: Design) -> Iterator[tuple[str, float | None]]:
    if design.weighed:
        yield "weighed mass in the proof, kg", design.weighed.mass
    for name, mass in (("bare", design.bare), ("loaded", design.loaded)):
        yield f"mass {name}, kg", float(mass.mass)
        for axis, value in zip(AXES, mass.cg.tolist(), strict=True):
            yield f"centre of gravity {name} {axis}, m", value
    for name, margin in margins_of(design).items():
        yield name, None if margin.margin is None else float(margin.margin)
    for one in design.strength.reactions:
        at = f"reaction {one.place} {one.case}{one.pretension and ' ' + one.pretension}"
        for axis, value in zip(AXES, one.force.tolist(), strict=True):
            yield f"{at} {axis}, N", value if isfinite(value) else None
    for case, moved in design.strength.deflection:
        yield f"deflection {case}, m", float(moved) if isfinite(moved) else None
    for found in design.strength.buckling:
        yield f"buckling factor {found.case}", found.factor if isfinite(found.factor) else None
    for n, hz in enumerate(design.modes_hz, start=1):
        yield f"mode {n}, Hz", float(hz)
