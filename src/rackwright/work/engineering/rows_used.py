"""The reference rows that the numbers of a rack rest on, and their hashes as inputs of its strength report."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.design import Design
from rackwright.pieces.oven_time import PROPERTIES, curves_of
from rackwright.pieces.shelf_pieces import GRID
from rackwright.reference.rows import Material, Row
from rackwright.strength.factors import rule_rows, safety_row
from rackwright.strength.margin import Margin

__all__ = ["TEXT", "USED", "rows_of", "used_inputs", "used_rows"]

TEXT = "text "  # before a text's name among the inputs of a report
USED = "used "  # before kind and id of a row among them


def used_inputs(design: Design) -> dict[str, str]:
    """The hash of every row that a number of this rack rests on, by its name among the inputs of a report."""
    return {f"{USED}{type(row).__name__} {row.id}": row.fingerprint for _, row in used_rows(design)}


def used_rows(design: Design) -> Iterator[tuple[str, Row]]:
    """(what it is, row) for every row that a number of this rack rests on, each once."""
    seen: set[tuple[str, str]] = set()
    for what, row in _used(design):
        if (type(row).__name__, row.id) not in seen:
            seen.add((type(row).__name__, row.id))
            yield what, row


def _used(design: Design) -> Iterator[tuple[str, Row]]:
    d, pieces = design.rack.definition, design.pieces
    for name in dict.fromkeys(piece.material for piece in pieces.made if piece.material):
        yield "material", design.rack.rows.materials[name]
    for what, table, names in (
        ("bolt", design.rack.rows.bolts, (bolt.row for bolt in pieces.bolts)),
        ("washer", design.rack.rows.washers, (bolt.washer for bolt in pieces.bolts)),
        ("nut", design.rack.rows.nuts, (bolt.nut for bolt in pieces.bolts if bolt.nut)),
    ):
        for name in sorted(set(names)):
            yield what, table[name]
    if d.basis is not None:
        yield "inertia factors", design.rack.rows.load_rules[f"{d.basis.rule}@{d.basis.amendment}"]
        for _, name, _ in rule_rows(design.rack):
            if name in design.rack.rows.factors:
                yield f"{design.rack.rows.factors[name].kind} factor", design.rack.rows.factors[name]
        safety = safety_row(design.rack)
        if safety is not None and d.vibration is not None and d.vibration.spectrum:
            yield "safety factor", safety  # peaks of vibration are limit loads
    if d.rails is not None:
        yield "19-inch grid", design.rack.rows.panel_grids[GRID]
    if d.temperature is not None:
        straps = [kind.expansion for kind in d.strap_type]
        for one in (d.temperature.floor, d.temperature.frame, *straps):
            if one is not None and one.row is not None:
                yield "expansion", design.rack.rows.expansions[one.row]
    for left in design.left:
        for curve in curves_of(design.rack.rows, design.rack.rows.materials[left.material], left.name):
            yield "strength after heat", curve
    for margin in design.strength.margins:
        for row in design.rack.rows.named(margin.source):
            yield type(row).__name__.lower(), row


def rows_of(design: Design, margin: Margin) -> tuple[Row, ...]:
    """The shipped rows that a margin names: in its source, and by its load case."""
    case = next((case for case in design.strength.cases if case.id == margin.case), None)
    named = design.rack.rows.named(margin.source)
    found = list(named)
    hot = {one.material for one in design.left}
    for row in named:
        if isinstance(row, Material) and row.id in hot:
            found += [curve for name in PROPERTIES for curve in curves_of(design.rack.rows, row, name)]
    d = design.rack.definition
    if case is not None and case.unconfirmed and d.basis is not None and case.id.startswith("emergency/"):
        found.append(design.rack.rows.load_rules[f"{d.basis.rule}@{d.basis.amendment}"])
    safety = safety_row(design.rack)
    if case is not None and case.unconfirmed and case.id.endswith("/ultimate") and safety is not None:
        found.append(safety)
    return tuple(found)
