"""A variation laid over its standard: TOML values in, one merged tree with places and changes out.

A variation names its base and holds `[[change]]` tables. Each says why, and repeats the tables of the
standard with only the fields that change. Arrays of tables are matched by `name`: a known name is
changed, an unknown one is added, `remove = true` takes it out; a field goes by
`field = { remove = true }`. Nothing else is magic: the merged tree is read by the same reader as a standard.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from rackwright.fields import Name, Text, definition, validate
from rackwright.located import Document
from rackwright.rack.model import Change
from rackwright.trouble import Fault, Where

__all__ = ["VARIATION_FORMAT", "Tree", "Variation", "apply", "name_path", "tree_of"]

VARIATION_FORMAT = "rackwright/variation/1"
Raw = dict[str, Any]


@definition
class Variation:
    """The head of a variation file; the changes follow it."""

    format: str
    part: Name
    title: Text
    drawing: Name
    revision: Name
    base: Name
    base_revision: Name
    reason: Text
    customer: Text | None = None
    change: tuple[dict[str, Any], ...] = ()  # each `why` and the tables of the standard it changes


@dataclass(frozen=True)
class Tree:
    """Values of a definition with the place of each, by dotted path (named tables by name)."""

    values: Raw
    places: dict[str, Where]


def tree_of(document: Document) -> Tree:
    """A standard's own values."""
    places = {path: _where(document, raw, path) for path, raw, _ in _walk(document.values)}
    return Tree(document.values, places)


def apply(base: Tree, document: Document) -> tuple[Tree | None, tuple[Change, ...], list[Fault]]:
    """The base with the variation's changes. Faults: unknown fields of the head, changes without a reason."""
    variation, faults = validate(Variation, document.values, document.places.where)
    entries = document.values.get("change", [])
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        return None, (), faults
    overlay = _Overlay(copy.deepcopy(base.values), dict(base.places), document, [], faults)
    for number, entry in enumerate(entries):
        overlay.lay(entry, ("change", number))
    if variation is None or faults:
        return None, (), faults
    for key in ("part", "title", "drawing", "revision"):
        overlay.values[key] = getattr(variation, key)
        overlay.places[key] = document.places.where(key)
    return Tree(overlay.values, overlay.places), tuple(overlay.changes), []


@dataclass
class _Overlay:
    """The merge at work: one variation laid over a copy of its base."""

    values: Raw
    places: dict[str, Where]
    document: Document
    changes: list[Change]
    faults: list[Fault]

    def lay(self, entry: Raw, raw: tuple[str | int, ...]) -> None:
        why = entry.get("why")
        if not isinstance(why, str) or not why.strip():
            place = self.document.places.where(raw)
            self.faults.append(Fault("RW101", place, "a change without a reason", 'add why = "..."'))
            why = ""
        self._tables({key: value for key, value in entry.items() if key != "why"}, self.values, raw, "", why)

    def _tables(self, over: Raw, into: Raw, raw: tuple[str | int, ...], path: str, why: str) -> None:
        for key, value in over.items():
            here, place = f"{path}.{key}" if path else key, (*raw, key)
            if isinstance(value, dict) and value == {"remove": True}:
                self._remove(key, into, place, here, why)
            elif _named(value):
                self._named(value, into.setdefault(key, []), place, here, why)
            elif isinstance(value, dict) and isinstance(into.get(key), dict):
                self._tables(value, into[key], place, here, why)
            else:
                self._set(into, key, value, place, here, why)

    def _remove(self, key: str, into: Raw, raw: tuple[str | int, ...], path: str, why: str) -> None:
        if key not in into:
            do = "name one that the base has"
            self.faults.append(Fault("RW108", self.document.places.where(raw), f"no {path} to remove", do))
            return
        self._note(path, _text(into.pop(key)), None, raw, why)

    def _named(self, over: list[Raw], into: Any, raw: tuple[str | int, ...], path: str, why: str) -> None:
        if not isinstance(into, list):
            self.faults.append(
                Fault("RW103", self.document.places.where(raw), "no list in the base", "see the base")
            )
            return
        known = {one["name"]: one for one in reversed(into) if _named([one])}
        seen: set[str] = set()
        for number, table in enumerate(over):
            place, here = (*raw, number), f"{path}.{table['name']}"
            found = known.get(table["name"])
            if table["name"] in seen:
                do = "name each once in a change"
                self.faults.append(
                    Fault("RW107", self.document.places.where(place), f"{here} is there twice", do)
                )
            seen.add(table["name"])
            if table.get("remove") is True:
                if found is None:
                    do = "name one that the base has"
                    self.faults.append(
                        Fault("RW108", self.document.places.where(place), f"no {here} to remove", do)
                    )
                    continue
                into.remove(found)
                self._note(here, _text(found), None, place, why)
            elif found is None:
                into.append(copy.deepcopy(table))
                self._enter(table, place, here, why)
            else:
                self._tables({k: v for k, v in table.items() if k != "name"}, found, place, here, why)

    def _enter(self, table: Raw, raw: tuple[str | int, ...], path: str, why: str) -> None:
        self.places[path] = _where(self.document, raw, path)
        for key, value in table.items():
            if key != "name":
                self._set({}, key, value, (*raw, key), f"{path}.{key}", why)
            else:
                self.places[f"{path}.name"] = _where(self.document, (*raw, key), f"{path}.name")

    def _set(self, into: Raw, key: str, value: Any, raw: tuple[str | int, ...], path: str, why: str) -> None:
        before = into.get(key)
        into[key] = copy.deepcopy(value)
        if before != value:
            self._note(path, None if before is None else _text(before), _text(value), raw, why)
        self.places[path] = _where(self.document, raw, path)
        for inner, place, _ in _walk(value, path, raw):
            self.places[inner] = _where(self.document, place, inner)

    def _note(
        self, path: str, before: str | None, after: str | None, raw: tuple[str | int, ...], why: str
    ) -> None:
        self.changes.append(Change(path, before, after, why, _where(self.document, raw, path)))


def name_path(values: Any, loc: tuple[str | int, ...]) -> str:
    """The dotted path of a validator's location: indices of named tables become their names."""
    parts: list[str] = []
    for part in loc:
        below = None
        if isinstance(values, list) and isinstance(part, int) and part < len(values):
            below = values[part]
            name = below.get("name") if isinstance(below, dict) else None
            parts.append(name if isinstance(name, str) else str(part))
        else:
            below = values.get(part) if isinstance(values, dict) else None
            parts.append(str(part))
        values = below
    return ".".join(parts)


def _walk(
    values: Any, path: str = "", raw: tuple[str | int, ...] = ()
) -> Iterator[tuple[str, tuple[str | int, ...], Any]]:
    """Every value below: dotted path, raw path, value."""
    items: Iterator[tuple[Any, str, Any]]
    if isinstance(values, dict):
        items = ((key, str(key), value) for key, value in values.items())
    elif isinstance(values, list):
        named = _named(values)
        items = ((n, one["name"] if named else str(n), one) for n, one in enumerate(values))
    else:
        return
    for key, word, value in items:
        here = f"{path}.{word}" if path else word
        yield here, (*raw, key), value
        yield from _walk(value, here, (*raw, key))


def _named(value: Any) -> bool:
    is_list = isinstance(value, list) and bool(value)
    return is_list and all(isinstance(one, dict) and isinstance(one.get("name"), str) for one in value)


def _where(document: Document, raw: tuple[str | int, ...], path: str) -> Where:
    place = document.places.where(raw)
    return Where(place.file, place.line, path)


def _text(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{key} {_text(one)}" for key, one in value.items())
    if isinstance(value, list):
        return "[" + ", ".join(map(_text, value)) + "]"
    return str(value)
