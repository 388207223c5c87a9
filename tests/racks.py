"""Racks for tests: the demo's files as text, edited copies of them, and a plain rack written from choices.

An edit is made as a user makes it: on a copy of the text, read through the same doors.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import rackwright
from rackwright.design import Design
from rackwright.rack import Rack, Source, read_rack
from rackwright.trouble import Fault

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
STANDARD = (DEMO / "standards" / "er-47.toml").read_text("utf-8")
VARIATION = (DEMO / "variations" / "er-47-v12.toml").read_text("utf-8")
LBF, LB, IN, PSI, G0 = 4.4482216152605, 0.45359237, 0.0254, 4.4482216152605 / 0.0254**2, 9.80665


def faults_of(standard: str = STANDARD, variation: str | None = None) -> tuple[Fault, ...]:
    """Everything that keeps a definition from being built: of reading, else of its pieces."""
    rack, faults = _read(standard, variation)
    return tuple(faults) if rack is None else Design(rack).faults


def rack_of(standard: str = STANDARD, variation: str | None = None) -> Rack:
    rack, faults = _read(standard, variation)
    assert rack is not None, "\n".join(map(str, faults))
    return rack


@cache
def design_of(standard: str = STANDARD, variation: str | None = None) -> Design:
    design = Design(rack_of(standard, variation))
    assert not design.faults, "\n".join(map(str, design.faults))
    return design


def _read(standard: str, variation: str | None) -> tuple[Rack | None, list[Fault]]:
    base = Source("standard.toml", standard.encode())
    source = base if variation is None else Source("variation.toml", variation.encode())
    return read_rack(source, {"er-47": base})


def swap(text: str, *pairs: tuple[str, str]) -> str:
    """The text with each first string put in place of the one that stands there, exactly once."""
    for old, new in pairs:
        assert text.count(old) == 1, f"{old!r} stands there {text.count(old)} times"
        text = text.replace(old, new)
    return text


def table_of(text: str, head: str) -> str:
    """The text of the one table whose first lines are `head`, up to the next table."""
    assert text.count(head) == 1, f"{head!r} stands there {text.count(head)} times"
    start = text.index(head)
    end = text.find("\n[", start + len(head))
    return text[start : end if end > 0 else len(text)]


# --- a document as paths -------------------------------------------------------------------------


def paths(value: Any, here: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    """Every scalar of a document: its path joined by " > ", and its exact JSON."""
    if isinstance(value, Mapping) and value:
        for key, below in value.items():
            yield from paths(below, (*here, str(key)))
    elif isinstance(value, list) and value:
        for word, below in zip(_words(value), value, strict=True):
            yield from paths(below, (*here, word))
    else:
        yield " > ".join(here), json.dumps(value, allow_nan=False)


def _words(rows: list[Any]) -> list[str]:
    """What a list's entries are called: by the field that tells them apart, else by number."""
    for key in ("part_number", "bar", "id"):
        names = [str(row.get(key)) if isinstance(row, dict) else "" for row in rows]
        if all(isinstance(row, dict) and key in row for row in rows) and len(set(names)) == len(rows):
            return names
    return [str(number) for number in range(len(rows))]


def changed(before: Any, after: Any) -> list[str]:
    """The paths whose exact JSON differs, or that stand on one side only."""
    a, b = dict(paths(before)), dict(paths(after))
    return [path for path in dict.fromkeys([*a, *b]) if a.get(path) != b.get(path)]
