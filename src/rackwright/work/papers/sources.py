"""What a paper leans on: the documents that a definition names, the reference rows and formula cards it used."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from functools import cache

from rackwright.design import Design
from rackwright.reference import bolts, factors, load_rules, materials, nuts, panel_grids, shipped, washers
from rackwright.reference.rows import Paragraph, Row
from rackwright.strength.factors import rule_rows, safety_row
from rackwright.strength.margin import Margin

__all__ = ["documents", "how_known", "rows_of", "used_rows"]


def how_known(row: Row) -> str:
    """How a row is known, and which of its values otherwise."""
    exceptions = "".join(
        f"; {name}: {known.how_known}, {known.state or known.source}" for name, known in row.exceptions
    )
    return f"{row.known.how_known}{'; ' + row.known.state if row.known.state else ''}{exceptions}"


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
        yield "material", materials()[name]
    for what, table, names in (
        ("bolt", bolts(), (bolt.row for bolt in pieces.bolts)),
        ("washer", washers(), (bolt.washer for bolt in pieces.bolts)),
        ("nut", nuts(), (bolt.nut for bolt in pieces.bolts)),
    ):
        for name in sorted(set(names)):
            yield what, table[name]
    if d.basis is not None:
        yield "inertia factors", load_rules()[f"{d.basis.rule}@{d.basis.amendment}"]
        for _, name, _ in rule_rows(design.rack):
            if name in factors():
                yield f"{factors()[name].kind} factor", factors()[name]
    if d.rails is not None:
        yield "19-inch grid", panel_grids()["IEC 60297-3-100"]
    for margin in design.strength.margins:
        for row in rows_named(margin.source):
            yield type(row).__name__.lower(), row


def rows_of(design: Design, margin: Margin) -> tuple[Row, ...]:
    """The shipped rows that a margin names: in its source, and by its load case."""
    case = next((case for case in design.strength.cases if case.id == margin.case), None)
    found = list(rows_named(margin.source))
    d = design.rack.definition
    if case is not None and case.unconfirmed and d.basis is not None and case.id.startswith("emergency/"):
        found.append(load_rules()[f"{d.basis.rule}@{d.basis.amendment}"])
    safety = safety_row(design.rack)
    if case is not None and case.unconfirmed and case.id.endswith("/ultimate") and safety is not None:
        found.append(safety)
    return tuple(found)


@cache
def rows_named(source: str) -> tuple[Row, ...]:
    """The shipped rows whose id stands in a source's text as a word of its own, a longer id before a part of it."""
    found: list[Row] = []
    for row in _by_length():
        pattern = rf"(?<![\w.()-]){re.escape(row.id)}(?![\w()-])"
        if re.search(pattern, source):
            found.append(row)
            source = re.sub(pattern, "", source)
    return tuple(found)


@cache
def _by_length() -> tuple[Row, ...]:
    every = [
        row for rows in shipped().by_kind.values() for row in rows.values() if not isinstance(row, Paragraph)
    ]
    return tuple(sorted(every, key=lambda row: (-len(row.id), row.id)))


def documents(design: Design) -> Iterator[tuple[str, str]]:
    """(document, what it states) for every document that the definition names."""
    d = design.rack.definition
    named: list[tuple[str | None, str]] = []
    if d.aircraft is not None:
        named.append((d.aircraft.document, "orientation and place in the aircraft"))
    if d.basis is not None:
        named.append((d.basis.document, "certification basis"))
    named += [(case.document, f"load case {case.name}") for case in d.case]
    named += [(one.document, f"floor fitting {one.name}") for one in d.floor_fitting]
    named.append((d.pad.document, "floor under the pads"))
    if d.ring_make is not None and d.ring_make.allowable is not None:
        named.append((d.ring_make.allowable.document, "strength of the ring material"))
    used = {strap.type for strap in d.strap}
    named += [(kind.document, f"strap {kind.name}") for kind in d.strap_type if kind.name in used]
    named += [(item.document, f"{item.name}: mass, centre of gravity, size") for item in d.equipment]
    by: dict[str, list[str]] = {}
    for document, what in named:
        if document is not None:
            by.setdefault(document, []).append(what)
    for what, document in _further(d, ""):
        if document not in by and what.partition(".")[0] not in ("strap_type", "floor_fitting"):
            by[document] = [what]
    yield from ((document, "; ".join(what)) for document, what in by.items())


def _further(table: object, path: str) -> Iterator[tuple[str, str]]:
    """(path, document) of every `document` in a definition, however deep."""
    if isinstance(table, tuple):
        for n, one in enumerate(table):
            name = getattr(one, "name", "")
            yield from _further(one, f"{path}.{name}" if name else f"{path}.{n + 1}")
    elif dataclasses.is_dataclass(table):
        for one in dataclasses.fields(table):
            value = getattr(table, one.name)
            if one.name == "document" and isinstance(value, str):
                yield path.lstrip("."), value
            else:
                yield from _further(value, f"{path}.{one.name}")
