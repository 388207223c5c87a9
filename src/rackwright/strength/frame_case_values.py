"""Values of a frame-case/1 document, taken out one by one: a number in its range, a vector, a word, the id of a node.

What is wrong is collected with its JSON Pointer, and what is told once is not told again of what follows from it. A key
that is not known inside a list is a fault: a misspelt `Asz` would silently mean a stiffer beam.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from rackwright.located import Path, Places
from rackwright.trouble import Fault

__all__ = ["Row", "Values", "is_whole"]

KEYS: dict[str, tuple[str, ...]] = {
    "nodes": ("id", "x", "y", "z"),
    "members": (
        "id", "i", "j", "kind", "A", "Iy", "Iz", "J", "E", "G", "rho", "zref", "Asy", "Asz", "release_i", "release_j",
        "preload", "alpha",
    ),
    "supports": ("node", "fixed"),
    "springs": ("id", "node", "dof", "k", "acts"),
    "masses": ("id", "m", "node", "member", "at"),
    "load_cases": ("id", "inertia", "nodal_loads", "warming"),
    "nodal_loads": ("node", "F"),
    "warming": ("member", "by"),
}  # fmt: skip
#: the least of each key that must be more than zero, SI: a hair's area is 1e-9 m2, its second moment 1e-19 m4; the
#: softest rubber has E of 1e5 Pa, so that GPa and MPa written as plain numbers are told (common practice, no source)
LEAST = {
    "A": 1e-12,
    "Asy": 1e-12,
    "Asz": 1e-12,
    "Iy": 1e-22,
    "Iz": 1e-22,
    "J": 1e-22,
    "E": 1e5,
    "G": 1e4,
    "k": 1e-9,
}
UNREAD = -(2**40)  # from here down: an id that could not be read
#: the most of each key, SI: beyond any member of a frame, so that mm2 taken for m2 or a filler is told; E and G to
#: 1e15 for members meant to be rigid (common practice, no source)
MOST = {
    "x": 1e3, "y": 1e3, "z": 1e3, "at": 1e3, "A": 1, "Asy": 1, "Asz": 1, "Iy": 1, "Iz": 1, "J": 2,
    "E": 1e15, "G": 1e15, "rho": 1e5, "zref": 1e9, "k": 1e18, "m": 1e6, "inertia": 1e5, "F": 1e9, "preload": 1e9,
    "alpha": 0.1, "by": 1e4,
}  # fmt: skip


Row = Mapping[str, Any]


@dataclass
class Values:
    """Takes values from a document and collects what is wrong with them."""

    values: Row
    places: Places
    faults: list[Fault] = field(default_factory=list)
    nodes_read: bool = True  # else a node that is not there may be one that could not be read

    def rows(
        self, key: str, values: Row | None = None, path: Path = (), needed: bool = False
    ) -> Iterator[tuple[Path, Row]]:
        """The objects of a list with their paths; what is no object is a fault."""
        for at, row in enumerate(self.listed(self.values if values is None else values, path, key, needed)):
            here = (*path, key, at)
            if isinstance(row, dict):
                for name in row:
                    if name not in KEYS[key]:
                        found = f"the field {name!r:.60} is not known here"
                        self.fault("RW102", (*here, name), found, "remove it or correct its spelling")
                yield here, row
            else:
                self.fault("RW103", here, f"found {row!r:.60}", "give an object, { ... }")

    def listed(self, row: Row, path: Path, key: str, needed: bool = False) -> list[Any]:
        value = row.get(key, [])
        if needed and key not in row:
            self.missing(path, key)
        if not isinstance(value, list):
            self.fault("RW103", (*path, key), f"found {value!r:.60}", "give a list, [ ... ]")
            return []
        if needed and not value and not path:
            self.fault("RW106", (key,), "the list is empty", "give at least one")
        return value

    def number_of(self, row: Row, path: Path, seen: Mapping[int, object]) -> int:
        number = self.whole(row, path, "id")
        if number in seen and is_whole(row.get("id")):
            self.fault("RW107", (*path, "id"), f"the id {number} is given twice", "give each its own id")
        return number

    def whole(self, row: Row, path: Path, key: str) -> int:
        value = row.get(key)
        if key not in row:
            self.missing(path, key)
        elif not is_whole(value):
            self.fault("RW103", (*path, key), f"found {value!r:.60}", "give a whole number")
        return int(value) if is_whole(value) and value is not None else UNREAD - len(self.faults)

    def node(self, row: Row, path: Path, key: str, where: Mapping[int, int]) -> int:
        """The node's position, or -1."""
        number = self.whole(row, path, key)
        if number not in where and is_whole(row.get(key)) and self.nodes_read:
            self.fault("RW108", (*path, key), f"there is no node {number}", "name a node of the case")
        return where.get(number, -1)

    def real(
        self, row: Row, path: Path, key: str, default: float | None = None, low: float | None = None
    ) -> float:
        """The number, or NaN where it is missing or a fault: nothing more is then said of what follows from it."""
        if key not in row:
            if default is None:
                self.missing(path, key)
            return math.nan if default is None else default
        return self.checked(row[key], (*path, key), low)

    def positive(self, row: Row, path: Path, key: str) -> float:
        return self.real(row, path, key, low=LEAST.get(key, 1e-30))

    def checked(self, value: Any, path: Path, low: float | None = None) -> float:
        most = MOST[next(key for key in reversed(path) if isinstance(key, str))]
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.fault("RW103", path, f"found {value!r:.60}", "give a number")
        elif math.isfinite(value):  # what is not finite is told already
            if (-most if low is None else low) <= value <= most:
                return float(value)
            least = f"{-most if low is None else low:g}"
            self.fault("RW106", path, f"{value!r:.60} is out of range", f"give {least} to {most:g} (SI)")
        return math.nan

    def vector(self, row: Row, path: Path, key: str, size: int) -> list[float]:
        if key not in row:
            self.missing(path, key)
            return [math.nan] * size
        value = row[key]
        if not isinstance(value, list) or len(value) != size:
            self.fault("RW103", (*path, key), f"found {value!r:.60}", f"give {size} numbers, [ ... ]")
            return [math.nan] * size
        return [self.checked(number, (*path, key, at)) for at, number in enumerate(value)]

    def word(self, row: Row, path: Path, key: str, allowed: tuple[str, ...]) -> str:
        if key not in row:
            self.missing(path, key)
        elif row[key] not in allowed:
            self.fault("RW103", (*path, key), f"found {row[key]!r:.60}", f"use one of {', '.join(allowed)}")
        return str(row[key]) if row.get(key) in allowed else allowed[0]

    def text(self, row: Row, path: Path, key: str) -> str:
        value = row.get(key)
        if key not in row:
            self.missing(path, key)
        elif not isinstance(value, str) or not value:
            self.fault("RW103", (*path, key), f"found {value!r:.60}", "give a text")
        return value if isinstance(value, str) else ""

    def unfit(self, row: Row, path: Path, keys: tuple[str, ...], what: str) -> None:
        for key in keys:
            if key in row:
                self.fault("RW102", (*path, key), f"{what} has no {key!r}", "remove it")

    def missing(self, path: Path, key: str) -> None:
        self.fault("RW101", (*path, key), "nothing is given", f"add `{key}`")

    def fault(self, code: str, path: Path, found: str, do: str) -> None:
        where = self.places.where(path)
        if not any(one.code == "RW007" and one.where == where for one in self.faults):  # else it is told
            self.faults.append(Fault(code, where, found, do))


def is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)
