"""What a paper leans on: the documents that a definition names, and how a row is known."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from rackwright.design import Design
from rackwright.reference.rows import Row

__all__ = ["documents", "how_known"]


def how_known(row: Row) -> str:
    """How a row is known, and which of its values otherwise."""
    exceptions = "".join(
        f"; {name}: {known.how_known}, {known.state or known.source}" for name, known in row.exceptions
    )
    instead = f"; own row, in place of {row.replaces}" if row.replaces else "; own row" if row.own else ""
    return f"{row.known.how_known}{'; ' + row.known.state if row.known.state else ''}{exceptions}{instead}"


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
