"""Cutting instances as files, in both forms; `answer.py` gives the answer document.

Plain form (no `format` line): stock of length, count and cost, pieces of length and count; pieces may end on
the bar's end (Σ length + (n-1)·kerf <= bar). Form `saw-1`: sections, heats, lead trim, clamp tail, remnants
with credit, and groups under the same-heat rule; each piece says what it `use`s, and of mitred ends the angles from the
square (`mitre_deg`, two) and, if wanted, the section's `depth` in their plane. All numbers are whole; the
unit is the instance's own. Keys that a solver does not need are left unread.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import lcm
from typing import Any

from rackwright.located import Path, Places, read_json
from rackwright.making.saw import Bar, Group, Piece, Problem
from rackwright.making.sawing.mitre import STEEPEST, mitred_use, short_point
from rackwright.trouble import Fault

__all__ = ["Instance", "Mitre", "Section", "read_instance"]

#: lengths and costs above this are refused: products of them must stay exact in 64 bits
LARGEST = 10**12
MOST = 10**7  # pieces or bars of one kind
MOST_CREDIT = 10**6


@dataclass(frozen=True)
class Mitre:
    """Angles of the two ends from the square, deg; the depth of the section in their plane, where it is given."""

    angles: tuple[float, float]
    depth: int | None


@dataclass(frozen=True)
class Section:
    """What is cut from one section (the plain form has one, without a name). `offered`: ids of bars that are bought."""

    name: str
    problem: Problem
    piece_length: Mapping[str, int]
    offered: frozenset[str] = frozenset()
    mitres: Mapping[str, Mitre] = field(default_factory=dict)


@dataclass(frozen=True)
class Instance:
    name: str
    plain: bool
    sections: tuple[Section, ...]


def read_instance(data: bytes | str, file: str) -> tuple[Instance | None, list[Fault]]:
    """The instance in the text, or every fault with its JSON Pointer. `file` is only shown."""
    document, faults = read_json(data, file)
    if document is None:
        return None, faults
    reader = _Reader(document.values, document.places)
    form = document.values.get("format")
    if form is None:
        instance = reader.plain()
    elif form == "saw-1":
        instance = reader.shop()
    else:
        do = 'give "saw-1", or no format line for the plain form'
        reader.fault("RW110", ("format",), f"the format is {form!r:.60}", do)
        return None, reader.faults
    return (None, reader.faults) if reader.faults else (instance, [])


@dataclass
class _Reader:
    """Takes values from a document and collects what is wrong with them."""

    values: Mapping[str, Any]
    places: Places
    faults: list[Fault] = field(default_factory=list)

    def plain(self) -> Instance:
        kerf = self.whole(self.values, (), "kerf", 0)
        bars = []
        for n, (path, row) in enumerate(self.rows("stock")):
            length, cost = self.whole(row, path, "length", 1), self.whole(row, path, "cost", 0)
            bars.append(Bar(str(n), length, cost, self.stock_count(row, path)))
        counts: Counter[int] = Counter()
        for path, row in self.rows("pieces"):
            counts[self.whole(row, path, "length", 1)] += self.whole(row, path, "count", 0, MOST)
        pieces = tuple(Piece(str(length), length + kerf, n) for length, n in counts.items())
        problem = Problem(tuple(bars), pieces, last_kerf=kerf)
        section = Section("", problem, {str(length): length for length in counts})
        return Instance(self.name(), True, (section,))

    def shop(self) -> Instance:
        kerf = self.whole(self.values, (), "kerf", 0)
        tail = self.whole(self.values, (), "tail_min", 0)
        remnant = self.whole(self.values, (), "remnant_min", 0)
        credit = self.whole(self.values, (), "remnant_credit", 0, MOST_CREDIT)
        bars: dict[str, list[Bar]] = {}
        offered: set[str] = set()
        for path, row in self.rows("stock"):
            bar = Bar(
                self.text(row, path, "id"), self.whole(row, path, "length", 1), self.whole(row, path, "cost", 0),
                self.stock_count(row, path), self.whole(row, path, "lead_trim", 0), self.text(row, path, "heat"),
            )  # fmt: skip
            bars.setdefault(self.text(row, path, "section"), []).append(bar)
            if row.get("kind") == "purchase":
                offered.add(bar.id)
            if row.get("kind", "bar") not in ("bar", "remnant", "purchase"):
                self.fault(
                    "RW103", (*path, "kind"), f"found {row['kind']!r:.60}", "give bar, remnant or purchase"
                )
        pieces: dict[str, list[Piece]] = {}
        lengths: dict[str, int] = {}
        mitres: dict[str, Mitre] = {}
        by_key: dict[tuple[str, int, str], list[str]] = {}
        for path, row in self.rows("pieces"):
            name, section = self.text(row, path, "id"), self.text(row, path, "section")
            length, use = self.whole(row, path, "length", 1), self.whole(row, path, "use", 1)
            mitre = self.mitre(row, path, length) if "mitre_deg" in row else None
            least = mitred_use(length, kerf, mitre.angles if mitre else (0.0,))
            if use < least and not self.faulty(path):
                found = f"a use of {use} is less than length and kerf, {least}"
                do = "give length plus kerf, for mitred ends kerf / cos of the angle"
                self.fault("RW106", (*path, "use"), found, do)
            pieces.setdefault(section, []).append(Piece(name, use, self.whole(row, path, "count", 0, MOST)))
            lengths[name] = length
            if mitre is not None:
                mitres[name] = mitre
            by_key.setdefault((section, length, str(row.get("role", ""))), []).append(name)
        self.unique("stock")
        self.unique("pieces")
        groups = self.groups(by_key)
        sections = tuple(
            Section(
                name,
                Problem(
                    tuple(bars.get(name, [])),
                    tuple(pieces[name]),
                    groups.get(name, ()),
                    tail,
                    remnant,
                    credit,
                ),
                {piece.id: lengths[piece.id] for piece in pieces[name]},
                frozenset(offered),
                {piece.id: mitres[piece.id] for piece in pieces[name] if piece.id in mitres},
            )
            for name in sorted(pieces)
        )
        return Instance(self.name(), False, sections)

    def mitre(self, row: Mapping[str, Any], path: Path, length: int) -> Mitre | None:
        """The ends of a mitred piece; None, with a fault, for what no saw cuts."""
        angles = row["mitre_deg"]
        numbers = isinstance(angles, list) and len(angles) == 2 and all(
            isinstance(one, (int, float)) and not isinstance(one, bool) for one in angles
        )  # fmt: skip
        if not numbers or not all(0 <= one <= STEEPEST for one in angles):
            do = f"give the angles of both ends from the square, 0 to {STEEPEST:g}, as [45, 45]"
            self.fault("RW106", (*path, "mitre_deg"), f"found {angles!r:.60}", do)
            return None
        depth = self.whole(row, path, "depth", 1) if "depth" in row else None
        ends = (float(angles[0]), float(angles[1]))
        if depth is not None and short_point(length, depth, ends) <= 0:
            do = "give a longer piece, or the depth in the plane of the mitre"
            self.fault("RW106", (*path, "length"), "the mitres meet before the short side", do)
        return Mitre(ends, depth)

    def groups(self, by_key: Mapping[tuple[str, int, str], Sequence[str]]) -> dict[str, tuple[Group, ...]]:
        """By section. Groups of the same pieces become one that keeps the rule of each."""
        sets: dict[tuple[str, int, str], int] = {}
        for path, row in self.rows("groups") if "groups" in self.values else ():
            before = len(self.faults)
            key = (
                self.text(row, path, "section"), self.whole(row, path, "length", 1), self.text(row, path, "role"),
            )  # fmt: skip
            per_rack = self.whole(row, path, "per_rack", 1, MOST)
            if row.get("rule", "same_heat") != "same_heat":
                do = 'the one rule known is "same_heat"'
                self.fault("RW103", (*path, "rule"), f"found {row['rule']!r:.60}", do)
            if len(self.faults) > before:
                continue
            if key not in by_key:
                found = f"no piece has section {key[0]!r:.60}, length {key[1]} and role {key[2]!r:.60}"
                self.fault("RW108", path, found, "name pieces that are there")
                continue
            sets[key] = lcm(sets.get(key, 1), per_rack)
        by_section: dict[str, tuple[Group, ...]] = {}
        for key, number in sorted(sets.items()):
            if number > 1:
                by_section[key[0]] = (*by_section.get(key[0], ()), Group(tuple(by_key[key]), number))
        return by_section

    # --- values --------------------------------------------------------------------------------

    def rows(self, key: str) -> Iterable[tuple[Path, Mapping[str, Any]]]:
        rows = self.values.get(key)
        if rows is None:
            self.missing((), key, "a list of objects")
            return []
        if not isinstance(rows, list):
            self.fault("RW103", (key,), f"found {_short(rows)}", "give a list of objects")
            return []
        found = []
        for n, row in enumerate(rows):
            if isinstance(row, dict):
                found.append(((key, n), row))
            else:
                self.fault("RW103", (key, n), f"found {_short(row)}", "give an object, { ... }")
        return found

    def whole(self, row: Mapping[str, Any], path: Path, key: str, low: int, high: int = LARGEST) -> int:
        """A whole number within bounds; `low` where it is not one, with a fault."""
        if key not in row:
            self.missing(path, key, "a whole number")
            return low
        value = row[key]
        if not isinstance(value, int) or isinstance(value, bool):
            self.fault("RW103", (*path, key), f"found {_short(value)}", "give a whole number")
            return low
        if not low <= value <= high:
            self.fault("RW106", (*path, key), f"found {value}", f"give a whole number from {low} to {high}")
            return low
        return value

    def stock_count(self, row: Mapping[str, Any], path: Path) -> int | None:
        if row.get("count") == -1 and not isinstance(row["count"], (bool, float)):
            return None
        before = len(self.faults)
        count = self.whole(row, path, "count", 0, MOST)
        if len(self.faults) > before and self.faults[-1].code == "RW106":
            last = self.faults.pop()
            self.faults.append(
                Fault(last.code, last.where, last.found, f"give 0 to {MOST}, or -1 for as many as needed")
            )
        return count

    def text(self, row: Mapping[str, Any], path: Path, key: str) -> str:
        if key not in row:
            self.missing(path, key, "a text")
            return ""
        value = row[key]
        if not isinstance(value, str) or not value.strip():
            self.fault("RW103", (*path, key), f"found {_short(value)}", "give a text")
            return ""
        return value

    def name(self) -> str:
        if "name" not in self.values:
            self.missing((), "name", "a text")
            return ""
        return self.text(self.values, (), "name")

    def unique(self, key: str) -> None:
        first: dict[str, int] = {}
        for path, row in self.rows(key) if isinstance(self.values.get(key), list) else ():
            name = row.get("id")
            if isinstance(name, str) and name in first:
                found = f"{name!r:.60} is also the id of /{key}/{first[name]}"
                self.fault("RW107", (*path, "id"), found, "give each its own id")
            elif isinstance(name, str):
                first[name] = int(path[-1])

    def missing(self, path: Path, key: str, kind: str) -> None:
        self.fault("RW101", (*path, key), f"{key} is missing", f"give {kind}")

    def faulty(self, path: Path) -> bool:
        """Is something already wrong inside this row?"""
        inside = self.places.where(path).field + "/"
        return any(fault.where.field.startswith(inside) for fault in self.faults)

    def fault(self, code: str, path: Path, found: str, do: str) -> None:
        fault = Fault(code, self.places.where(path), found, do)
        if fault not in self.faults[-100:]:
            self.faults.append(fault)


def _short(value: Any) -> str:
    if isinstance(value, (list, dict)):
        return f"a {'list' if isinstance(value, list) else 'object'}"
    return f"{value!r:.60}"
