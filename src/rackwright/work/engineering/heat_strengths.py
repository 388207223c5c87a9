"""The strength that a heat's certificate prints, beside the basis value that its pieces are proven by.

A certificate is of a lot: some specimens, not this bar. Greater values ask for a "premium selection" of the material
(14 CFR 25.613(e), its words in `PREMIUM`; read in the edition of 1 January 2014). So the basis value is
what every margin uses, whatever the certificate prints; the two stand side by side to be seen. A certificate below
the value that was used (a lower specification, a row of a higher basis) is pointed out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from rackwright.record import State
from rackwright.reference import shipped
from rackwright.reference.rows import Material
from rackwright.shop.stock import write_value
from rackwright.units import parse_quantity

__all__ = ["PREMIUM", "heat_strengths", "strengths_of"]

PREMIUM = (
    "What a certificate prints is shown and not used: margins use the basis value. 14 CFR 25.613(e), Amdt. 25-112: "
    "\"Greater material design values may be used if a 'premium selection' of the material is made in which a specimen "
    "of each individual item is tested before use to determine that the actual strength properties of that particular "
    'item will equal or exceed those used in design." A certificate tests the lot, not each item.'
)


def heat_strengths(state: State, stock: Iterable[str]) -> list[dict[str, Any]]:
    """Ftu and Fty of each certificate of these stock ids, beside each row that a frozen revision uses for the metal.

    `used` is the basis value (the lowest of its directions), as text like `printed`.
    """
    found: list[dict[str, Any]] = []
    for id in sorted(stock):
        one = state.stock[id]
        printed = (one.certificate or {}).get("values", {})
        for name, basis, strength, used in sorted(set(_used(state, one.stock_spec))):
            if strength not in printed:
                continue
            below = _pa(printed[strength]) < _pa(used) * (1 - 1e-9)
            found.append(
                {"stock_id": id, "heat": one.heat, "strength": strength, "printed": printed[strength],
                 "row": name, "basis": basis, "used": used, "below": below}
            )  # fmt: skip
    return found


def _used(state: State, spec: str) -> Iterator[tuple[str, str, str, str]]:
    """(row, basis, strength, value) of every row that a frozen revision proves pieces of a specification by.

    A shop's own row is what its freeze says of it: the shop's file may have changed since.
    """
    known = shipped().materials
    for each in state.revisions.values():
        own = each.values.get("own_rows", {})
        for name in each.values.get("rows", {}).get(spec, {}):
            held = own.get(name) or (strengths_of(known[name]) if name in known else {})
            for strength in ("Ftu", "Fty"):
                if strength in held:
                    yield name, held["basis"], strength, held[strength]


def strengths_of(row: Material) -> dict[str, str]:
    """Basis, Ftu and Fty of a row (the lowest of its directions), as text; what has no source is left out."""
    found = {"basis": row.basis}
    for name in ("Ftu", "Fty"):
        value = row.strength(name)
        if value is not None:
            found[name] = write_value(name, value)
    return found


def _pa(text: str) -> float:
    return float(parse_quantity(text, "stress"))
