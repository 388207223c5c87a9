"""Rows of the shop's own that stand where a shipped one did, and the margins that rest on them.

A margin rests on a row that its source names. It rests on the rows that decide how the frame is loaded and how it
shares the load, too: the metals and joint bolts of the definition, the rule and its factors.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from rackwright.rack import Rack
from rackwright.rack.check_sizes import hardware_of, metals_of
from rackwright.reference.rows import Row
from rackwright.strength.factors import rule_rows
from rackwright.strength.margin import Margin
from rackwright.trouble import REPLACED

__all__ = ["marked", "replaced"]


def replaced(rack: Rack) -> tuple[Row, ...]:
    """The own rows named by a definition that replace a shipped one, in the order of their ids."""
    rows = rack.rows
    metals = {name for _, name in metals_of(rack.definition)}
    sets = [one for _, one in hardware_of(rack.definition)]
    rules = {name for _, name, _ in rule_rows(rack)}
    named: list[Row | None] = [rows.materials.get(name) for name in metals]
    named += [table.get(name) for one in sets for table, name in (
        (rows.bolts, one.bolt), (rows.grips, one.bolt), (rows.washers, one.washer),
        (rows.nuts, one.nut or ""))]  # fmt: skip
    named += [table.get(name) for name in rules for table in (rows.load_rules, rows.factors)]
    every = {
        (type(row).__name__, row.id): row for row in named if row is not None and row.replaces is not None
    }
    return tuple(every[key] for key in sorted(every))


def marked(rack: Rack, margins: Iterable[Margin]) -> tuple[Margin, ...]:
    """The margins, those that rest on an own row in place of a shipped one marked so."""
    if not rack.rows.replaced:
        return tuple(margins)
    every = bool(replaced(rack))
    return tuple(
        replace(one, marks=(*one.marks, REPLACED))
        if every or any(row.replaces is not None for row in rack.rows.named(one.source))
        else one
        for one in margins
    )
