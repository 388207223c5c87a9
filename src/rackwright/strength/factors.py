"""The one special factor on a part of the tie-down, and the factor of safety on limit loads.

The factor of safety is multiplied by the highest pertinent special factor, never by their product: 14 CFR 25.619 and
23.619; 23.2265(c) says the same of ultimate loads that have no limit load, as in emergency landing. Pertinent here are
the fitting factor of the basis, the factor of attachments that are removed often, and the casting, bearing and other
factors that the definition names for a part. What is not stated gives no factor, and so no margin.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce

from rackwright.formulas import loads
from rackwright.rack.model import Rack, Wear
from rackwright.reference.rows import Factor
from rackwright.strength.margin import Step

__all__ = ["KINDS", "Special", "fitting_factor", "rule_rows", "safety_row", "special"]

KINDS = ("fitting", "bearing", "casting", "removal")


@dataclass(frozen=True)
class Special:
    """The factor on one part; `missing` says why there is none."""

    value: float
    named: tuple[tuple[str, float], ...]  # kind and value of each pertinent factor
    source: str
    doubt: bool
    missing: str = ""

    @property
    def steps(self) -> tuple[Step, ...]:
        """Its card with numbers, where more than the fitting factor is pertinent."""
        if len(self.named) < 2:
            return ()
        values = {kind: max([1.0, *(v for k, v in self.named if k == kind)]) for kind in KINDS}
        return (("factored", {"FS": 1.0, **values}),)


def special(rack: Rack, part: str, wear: Iterable[Wear | None] = ()) -> Special:
    """The highest pertinent factor on a part, such as "fitting.F1"; `wear` of every attachment it belongs to."""
    basis, worn = rack.definition.basis, tuple(wear)
    if basis is None:
        return _none("no certification basis is entered")
    rows: list[tuple[Factor, float | None, str]] = [
        (rack.rows.factors[basis.fitting_rule], None, basis.document)
    ]
    if any(one is None for one in worn):
        return _none("it is not stated whether this attachment is removed often")
    if any(one is not None and one.removed_often for one in worn):
        if basis.removal_rule is None:
            return _none("it is removed often, and the basis names no factor for that")
        rows.append((rack.rows.factors[basis.removal_rule], None, basis.document))
    rows += [(rack.rows.factors[one.rule], one.value, one.document) for one in rack.definition.special_factor
             if part in one.applies_to or part.partition(".")[0] in one.applies_to]  # fmt: skip
    named = tuple((row.kind, float(row.value or 1.0) if value is None else value) for row, value, _ in rows)
    value = float(reduce(loads.special_factor, (v for _, v in named), 1.0))
    source = "; ".join(f"{row.id} by {document}" for row, _, document in rows)
    return Special(value, named, source, any(row.unconfirmed for row, _, _ in rows))


def _none(why: str) -> Special:
    return Special(1.0, (), "", False, why)


def fitting_factor(rack: Rack) -> tuple[float | None, str]:
    """The fitting factor of the basis, and its source; None without a basis."""
    basis = rack.definition.basis
    if basis is None:
        return None, "no certification basis is entered"
    row = rack.rows.factors[basis.fitting_rule]
    return row.value, f"{row.id}, {row.known.how_known}"


def safety_row(rack: Rack) -> Factor | None:
    """The row of the factor of safety on limit loads: the basis's own, else that of its rule."""
    basis = rack.definition.basis
    if basis is None:
        return None
    rule = rack.rows.load_rules[f"{basis.rule}@{basis.amendment}"]
    return rack.rows.factors.get(basis.safety_rule or rule.safety)


def rule_rows(rack: Rack) -> list[tuple[str, str, bool]]:
    """Every rule and factor row that the strength of a rack rests on: path of the definition, row, unconfirmed."""
    d = rack.definition
    if d.basis is None:
        return []
    rule = rack.rows.load_rules[f"{d.basis.rule}@{d.basis.amendment}"]
    found = [("basis.rule", rule.id, rule.unconfirmed)]
    limits = any(case.kind == "limit" for case in d.case) or (rule.has_numbers and not rule.ultimate)
    safety = safety_row(rack) if limits else None
    named = [("basis.fitting_rule", d.basis.fitting_rule), ("basis.removal_rule", d.basis.removal_rule),
             ("basis.safety_rule", safety.id if safety else None)]  # fmt: skip
    named += [(f"special_factor.{one.name}.rule", one.rule) for one in d.special_factor]
    found += [(path, name, rack.rows.factors[name].unconfirmed) for path, name in named if name is not None]
    return found
