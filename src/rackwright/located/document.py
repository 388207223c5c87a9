"""A document: the values of a text, and the line of each of them.

The parsers of the standard library give values and no lines, so each door (`toml.py`, `json.py`) grows its
own tree of lines beside them, and only when a place is asked for: a sound file costs nothing extra. What is
refused before any parsing stands here too: more than 5 MB, not UTF-8, empty; and afterwards the values no
reader could use: numbers that are not finite, integers of more than 64 bits, halves of surrogate pairs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from rackwright.located.slips import not_text
from rackwright.trouble import Fault, Where

__all__ = ["MAX_BYTES", "MAX_DEPTH", "Document", "Node", "Notation", "Path", "Places"]

MAX_BYTES = 5_000_000
MAX_DEPTH = 64

#: keys, and 0-based indices of lists, from the root: `("shelf", 2, "height")`
Path = tuple[str | int, ...]


@dataclass(slots=True)
class Node:
    """One key or element: its 1-based line (0 for the root) and what stands below it."""

    line: int
    children: dict[str | int, Node] = field(default_factory=dict)
    table_array: bool = False  # a TOML `[[name]]`: a later header means its last element


@dataclass(frozen=True)
class Notation:
    """How a language is indexed, and how it writes and reads a path."""

    index: Callable[[str], Node]
    write: Callable[[Path], str]
    split: Callable[[str], Path]


@dataclass(frozen=True)
class Places:
    """The places of a document's values. A path is a tuple of keys and indices, or its text."""

    file: str
    text: str = field(repr=False)
    notation: Notation = field(repr=False)

    @cached_property
    def tree(self) -> Node:
        return self.notation.index(self.text)

    def where(self, path: Path | str = ()) -> Where:
        """Place of the value at `path`; of the nearest table around it when it is not in the text."""
        parts = self._parts(path)
        node = self.tree
        for part in parts:
            below = _child(node, part)
            if below is None:
                break
            node = below
        return Where(self.file, node.line, self.notation.write(parts))

    def __contains__(self, path: Path | str) -> bool:
        """Does the text itself give this value?"""
        node: Node | None = self.tree
        for part in self._parts(path):
            node = _child(node, part) if node else None
        return node is not None

    def _parts(self, path: Path | str) -> Path:
        return self.notation.split(path) if isinstance(path, str) else tuple(path)


@dataclass(frozen=True)
class Document:
    """The values of a text (plain dicts, lists and scalars) and their places."""

    values: dict[str, Any]
    places: Places


def _child(node: Node, part: str | int) -> Node | None:
    found = node.children.get(part)
    if found is None and isinstance(part, str) and part.isascii() and part.isdigit() and len(part) < 9:
        found = node.children.get(int(part))  # a pointer cannot tell an index from a key
    return found


# --- before parsing ------------------------------------------------------------------------------


def decode(data: bytes | str, file: str) -> tuple[str, list[Fault]]:
    """The text with `\\n` line ends and without a byte order mark, or the fault that keeps it out."""
    raw = data.encode("utf-8", "surrogatepass") if isinstance(data, str) else data
    if len(raw) > MAX_BYTES:
        return "", [Fault("RW005", Where(file), f"{len(raw)} bytes", f"at most {MAX_BYTES} are read")]
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        return "", [_not_text(raw, error.start, file)]
    if "\0" in text:
        return "", [_not_text(raw, raw.index(0), file)]
    return text.removeprefix("\ufeff").replace("\r\n", "\n"), []


def empty(file: str) -> Fault:
    return Fault("RW004", Where(file), "there is nothing in it", "give a file with content")


def too_deep(where: Where) -> Fault:
    return Fault("RW005", where, f"nested deeper than {MAX_DEPTH} levels", "use fewer levels")


def _not_text(raw: bytes, at: int, file: str) -> Fault:
    line = raw.count(b"\n", 0, at) + 1
    return Fault("RW003", Where(file, line), *not_text(raw, at))


# --- after parsing -------------------------------------------------------------------------------


def unusable(values: Any, places: Places, code: str) -> list[Fault]:
    """Faults for the values that no reader could use, with `code` for numbers that are not finite."""
    faults = []
    for path, found, do in _unusable(values, ()):
        if not found:
            return [too_deep(places.where(path))]
        faults.append(Fault(code, places.where(path), found, do))
    return faults


def _unusable(value: Any, path: Path) -> Iterator[tuple[Path, str, str]]:
    if len(path) > MAX_DEPTH:
        yield path, "", ""
    elif isinstance(value, dict):
        for key, below in value.items():
            if not _writable(key):
                yield path, f"the key {key!r} holds half of a surrogate pair", "write the whole character"
            else:
                yield from _unusable(below, (*path, key))
    elif isinstance(value, list):
        for i, below in enumerate(value):
            yield from _unusable(below, (*path, i))
    elif isinstance(value, float) and not math.isfinite(value):
        yield path, f"{value} is not a finite number", "give a finite number"
    elif isinstance(value, int) and abs(value) >= 2**64:
        yield path, "a whole number of more than 64 bits", "give a smaller number"
    elif isinstance(value, str) and not _writable(value):
        yield path, f"{value[:60]!r} holds half of a surrogate pair", "write the whole character"


def _writable(text: str) -> bool:
    return text.isascii() or not any("\ud800" <= c <= "\udfff" for c in text)
