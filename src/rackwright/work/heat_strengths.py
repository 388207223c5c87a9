"""The strength that a heat's certificate prints, beside the basis value that its pieces are proven by.

A certificate is of a lot: some specimens, not this bar. A design value above the basis value would need premium
selection, in which a specimen of each individual item is tested before use (14 CFR 25.613(e)). So the basis value is
what every margin uses, whatever the certificate prints; the two stand side by side to be seen. A certificate below
the value that was used (a lower specification, a row of a higher basis) is pointed out.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rackwright.record import State
from rackwright.reference import materials
from rackwright.shop.stock import write_value
from rackwright.units import parse_quantity

__all__ = ["PREMIUM", "heat_strengths"]

PREMIUM = (
    "What a certificate prints is shown and not used: margins use the basis value. A greater one needs premium "
    "selection, a specimen of each individual item tested before use (14 CFR 25.613(e))."
)


def heat_strengths(state: State, stock: Iterable[str]) -> list[dict[str, Any]]:
    """Ftu and Fty of each certificate of these stock ids, beside each row that a frozen revision uses for the metal.

    `used` is the basis value (the lowest of its directions), as text like `printed`.
    """
    known, found = materials(), []
    for id in sorted(stock):
        one = state.stock[id]
        printed = (one.certificate or {}).get("values", {})
        rows = {
            name
            for each in state.revisions.values()
            for name in each.values.get("rows", {}).get(one.stock_spec, {})
        }
        for name in sorted(rows & known.keys()):
            for strength in ("Ftu", "Fty"):
                used = known[name].strength(strength)
                if used is None or strength not in printed:
                    continue
                below = float(parse_quantity(printed[strength], "stress")) < used * (1 - 1e-9)
                found.append(
                    {"stock_id": id, "heat": one.heat, "strength": strength, "printed": printed[strength],
                     "row": name, "basis": known[name].basis, "used": write_value(strength, used), "below": below}
                )  # fmt: skip
    return found
