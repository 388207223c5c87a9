"""Definition files to a `Rack`: text in, the rack or every fault at once.

A standard is read as it stands; a variation is laid over its base, which may itself be a variation.
The caller hands over the texts (`Source`), with those of the bases it found; nothing here opens a file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from rackwright.fields import validate
from rackwright.located import Document, read_toml
from rackwright.rack.check import check
from rackwright.rack.model import FORMAT, Change, Definition, Rack
from rackwright.rack.vary import VARIATION_FORMAT, Tree, apply, name_path, tree_of
from rackwright.reference import Rows, shipped
from rackwright.trouble import Fault, Where

__all__ = ["Source", "base_of", "read_definition", "read_rack"]


@dataclass(frozen=True)
class Source:
    """A file's name as the user knows it, and its bytes."""

    file: str
    data: bytes


def base_of(source: Source) -> str | None:
    """The name of the base that a variation asks for, for a caller that must find the file."""
    document, _ = read_toml(source.data, source.file)
    base = document.values.get("base") if document else None
    return base if isinstance(base, str) else None


def read_rack(
    source: Source, bases: Mapping[str, Source], rows: Rows | None = None
) -> tuple[Rack | None, list[Fault]]:
    """The rack that the file defines, or all its faults. `bases` maps lower-case names to sources.

    `rows` are the reference rows it may name; None: those shipped.
    """
    rack, faults = read_definition(source, bases, rows)
    if rack is not None:
        faults = check(rack)
    return (None, faults) if faults else (rack, [])


def read_definition(
    source: Source, bases: Mapping[str, Source], rows: Rows | None = None
) -> tuple[Rack | None, list[Fault]]:
    """As `read_rack`, without asking whether the values are sound: of a text that was, when it was frozen, and is not
    shut out by what a later program asks."""
    tree, changes, standard, faults = _resolve(source, bases, ())
    if tree is None:
        return None, faults

    def where(loc: tuple[str | int, ...]) -> Where:
        path = name_path(tree.values, loc)
        place, around = None, path
        while place is None and around:
            place, around = tree.places.get(around), around.rpartition(".")[0]
        return Where(place.file if place else source.file, place.line if place else 0, path)

    definition, faults = validate(Definition, tree.values, where)
    if definition is None:
        return None, sorted(set(faults), key=lambda fault: (fault.where, fault.code, fault.found))
    return Rack(definition, standard, changes, tree.places, source.file, rows or shipped()), []


def _resolve(
    source: Source, bases: Mapping[str, Source], chain: tuple[str, ...]
) -> tuple[Tree | None, tuple[Change, ...], str, list[Fault]]:
    document, faults = read_toml(source.data, source.file)
    if document is None:
        return None, (), "", faults
    kind = document.values.get("format")
    if kind == FORMAT:
        return tree_of(document), (), _identity(document.values), []
    if kind != VARIATION_FORMAT:
        found = f"format is {kind!r}" if "format" in document.values else "there is no format line"
        do = f'write format = "{FORMAT}" for a standard or "{VARIATION_FORMAT}" for a variation'
        return None, (), "", [Fault("RW110", document.places.where("format"), found, do)]
    return _resolve_variation(document, source, bases, chain)


def _resolve_variation(
    document: Document, source: Source, bases: Mapping[str, Source], chain: tuple[str, ...]
) -> tuple[Tree | None, tuple[Change, ...], str, list[Fault]]:
    name, place = document.values.get("base"), document.places.where("base")
    if not isinstance(name, str):
        return None, (), "", [Fault("RW101", place, "no base is named", 'add base = "PART" of the standard')]
    key = name.lower()
    if key in chain or key == str(document.values.get("part", "")).lower():
        loop = " -> ".join((*chain, key))
        return (
            None,
            (),
            "",
            [Fault("RW109", place, f"the base leads back to itself: {loop}", "name a standard")],
        )
    if key not in bases:
        known = ", ".join(sorted(bases)) or "none"
        do = f"put {key}.toml beside this file or into standards/; known here: {known}"
        return None, (), "", [Fault("RW108", place, f"no standard {name!r} was found", do)]
    base, earlier, standard, faults = _resolve(bases[key], bases, (*chain, key))
    if base is None:
        return None, (), "", faults
    revision, asked = base.values.get("revision"), document.values.get("base_revision")
    if isinstance(asked, str) and revision != asked:
        place = document.places.where("base_revision")
        found = f"the base is at revision {revision!r}, the variation was drawn for {asked!r}"
        return None, (), "", [Fault("RW106", place, found, "review the changes against the base's revision")]
    tree, changes, faults = apply(base, document)
    return tree, (*earlier, *changes), standard, faults


def _identity(values: dict[str, Any]) -> str:
    return f"{values.get('part', '?')} rev {values.get('revision', '?')}"
