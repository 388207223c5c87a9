"""The values of an act as typed or read from a file: every key known, every kind right, all faults at once.

Kinds, as typed after `key=`:

    text     as it stands                     date     YYYY-MM-DD
    list     a, b, c                          count    a whole number
    length   a quantity, "40.5 in", kept as whole nanometres        temperature   a quantity, "95 degF"
    degrees  the same, kept as it stands
    pairs    name=value, name=value           lengths  name=length, name=length
    outlines name=corner; corner; corner, each "12 in x 8 in" along and across the rolling direction

A file is TOML or JSON with the same keys; there lists are lists, and pairs, lengths and outlines are tables.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rackwright.located import read_json, read_toml
from rackwright.trouble import Fault, Stopped, Trouble, Where
from rackwright.units import NM_PER_M, QuantityError, parse_quantity

if TYPE_CHECKING:
    from rackwright.making.sawing.stop import AtSaw

__all__ = ["Field", "Values", "asked_for", "at_saw", "read_values"]

Values = dict[str, Any]
_DATE = re.compile(r"(19|2\d)\d\d-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])", re.ASCII)
COMMAND_LINE = "command line"
ONCE = {"job": "order"}  # how a key was called once -> how it is called now: both are read


@dataclass(frozen=True)
class Field:
    """One key of an act: its kind, what it means, and whether it must be given."""

    name: str
    kind: str
    words: str
    needed: bool = True


@dataclass(frozen=True)
class _Given:
    value: Any
    where: Where


def read_values(
    fields: Sequence[Field], words: Sequence[str], path: str | None, data: bytes | None
) -> Values:
    """The values of `key=value` words laid over those of a file. Raises Stopped with every fault (RW504, or the
    file's own). Keys that are not given and not needed are absent."""
    given, troubles = _from_file(path, data) if path and data is not None else ({}, [])
    for word in words:
        name, equals, value = word.partition("=")
        where = Where(COMMAND_LINE, 0, name[:60])
        if not equals:
            troubles.append(Fault("RW001", where, f"{word[:60]!r} is not key=value", "write key=value"))
        else:
            given[name] = _Given(value, where)
    known = {field.name: field for field in fields}
    for once, name in ONCE.items():
        if once in given and name in known and once not in known:
            if name in given:
                found = f"{once} and {name} are one key, and both are given"
                troubles.append(Fault("RW504", given[once].where, found, f"give {name} alone"))
            given[name] = given.pop(once)
    values: Values = {}
    for name, one in given.items():
        if name not in known:
            do = f"keys are {', '.join(known)}"
            troubles.append(Fault("RW504", one.where, f"{name[:60]!r} is not a key of this act", do))
            continue
        try:
            values[name] = _READ[known[name].kind](one.value, f"{name}")
        except _Wrong as wrong:
            troubles.append(Fault("RW504", one.where, wrong.found, wrong.do))
    for field in fields:
        if field.needed and field.name not in given:
            where = Where(path or COMMAND_LINE, 0, field.name)
            troubles.append(
                Fault("RW504", where, f"{field.name} is missing", f"give {field.name}: {field.words}")
            )
    if troubles:
        raise Stopped(troubles)
    return values


def asked_for(person: str, act: str, values: Mapping[str, Any]) -> str:
    """The hash of who asks for what: an act id that comes again is of the same, or is refused. No secret is part of
    it."""
    said = json.dumps([person, act, values], sort_keys=True, separators=(",", ":"), default=str)
    return sha256(said.encode()).hexdigest()


def _from_file(path: str, data: bytes) -> tuple[dict[str, _Given], list[Trouble]]:
    read = read_json if Path(path).suffix.lower() == ".json" else read_toml
    document, faults = read(data, path)
    if document is None:
        return {}, list(faults)
    return {
        name: _Given(value, document.places.where((name,))) for name, value in document.values.items()
    }, []


# --- kinds ---------------------------------------------------------------------------------------


class _Wrong(Exception):
    def __init__(self, found: str, do: str) -> None:
        super().__init__(found)
        self.found, self.do = found, do


def _text(value: Any, name: str) -> str:
    if not isinstance(value, str) or not value.strip():
        raise _Wrong(f"{value!r:.60} is no text", f"write {name} as text that is not empty")
    return value.strip()


def _date(value: Any, name: str) -> str:
    text = str(value)  # TOML has dates of its own
    try:
        day = date.fromisoformat(text) if _DATE.fullmatch(text) else None
    except ValueError:  # 2031-02-31
        day = None
    if day is None:
        raise _Wrong(f"{value!r:.60} is not a date", "write YYYY-MM-DD, a day of the calendar from 1900 on")
    return text


def _list(value: Any, name: str) -> list[str]:
    items = [part.strip() for part in value.split(",")] if isinstance(value, str) else value
    if not isinstance(items, list) or not items:
        raise _Wrong(f"{value!r:.60} is no list", f"write {name} as a, b, c; in a file as a list")
    return [_text(item, name) for item in items]


def _count(value: Any, name: str) -> int:
    if isinstance(value, str) and re.fullmatch(r"[0-9]{1,9}", value):
        return int(value)
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value < 10**9:
        raise _Wrong(f"{value!r:.60} is not a whole number", f"write {name} as a whole number, 0 or more")
    return value


def _length(value: Any, name: str) -> int:
    try:
        exact = parse_quantity(_text(value, name), "length") * NM_PER_M
    except QuantityError as error:
        raise _Wrong(error.found, error.do) from None
    if exact < 0 or exact >= 10**15:
        raise _Wrong(f"{value!r:.60} is not a length of stock", "give a length, 0 or more")
    return round(exact)


def _temperature(value: Any, name: str) -> float:
    """K; of a shop's floor, so that a Celsius reading with the wrong unit is seen."""
    try:
        kelvin = float(parse_quantity(_text(value, name), "temperature"))
    except QuantityError as error:
        raise _Wrong(error.found, error.do) from None
    if not 243.0 <= kelvin <= 343.0:
        raise _Wrong(f"{value!r:.60} is no temperature of a saw shop", "give -30 to 70 degC, -22 to 158 degF")
    return kelvin


def _degrees(value: Any, name: str) -> str:
    """A temperature as it stands."""
    _temperature(value, name)
    return _text(value, name)


def _pairs(value: Any, name: str) -> dict[str, str]:
    if isinstance(value, str):
        parts = [part.partition("=") for part in value.split(",")]
        if not all(equals for _, equals, _ in parts):
            raise _Wrong(f"{value!r:.60} are not pairs", f"write {name}='name=value, name=value'")
        value = {left.strip(): right for left, _, right in parts}
    if not isinstance(value, Mapping) or not value:
        raise _Wrong(f"{value!r:.60} are not pairs", f"write {name} as a table of name = value")
    return {_text(key, name): _text(one, f"{name}.{key}") for key, one in value.items()}


def _lengths(value: Any, name: str) -> dict[str, int]:
    lengths = {}
    for key, one in _pairs(value, name).items():
        try:
            lengths[key] = _length(one, f"{name}.{key}")
        except _Wrong as wrong:
            raise _Wrong(f"{key}: {wrong.found}", wrong.do) from None
    return lengths


def _outlines(value: Any, name: str) -> dict[str, tuple[tuple[int, int], ...]]:
    """Corners in nm; in a file each is a list of two lengths, or as typed."""
    if isinstance(value, str):
        value = {key: corners.split(";") for key, corners in _pairs(value, name).items()}
    if not isinstance(value, Mapping) or not all(isinstance(one, list) for one in value.values()):
        raise _Wrong(f"{value!r:.60} are no outlines", f"write {name} as a table of id = [[x, y], ...]")
    return {key: tuple(_corner(one, f"{name}.{key}") for one in corners) for key, corners in value.items()}


def _corner(value: Any, name: str) -> tuple[int, int]:
    sides = re.split(r"\s+x\s+", value.strip()) if isinstance(value, str) else value
    if not isinstance(sides, list) or len(sides) != 2:
        raise _Wrong(
            f"{value!r:.60} is no corner", 'write it as "12 in x 8 in": along, then across the grain'
        )
    return _length(sides[0], name), _length(sides[1], name)


def _yes_no(value: Any, name: str) -> bool:
    if isinstance(value, bool) or value in ("yes", "no"):
        return value in (True, "yes")
    raise _Wrong(f"{value!r:.60} is neither yes nor no", f"write {name}=yes or {name}=no")


_READ = {"text": _text, "date": _date, "list": _list, "count": _count, "length": _length, "pairs": _pairs,
         "lengths": _lengths, "outlines": _outlines, "temperature": _temperature, "degrees": _degrees,
         "yes_no": _yes_no}  # fmt: skip


def at_saw(metal: str | None, scale: str | None) -> AtSaw | None:
    """Temperatures at the saw as typed. Raises Stopped (RW504) for what is none, or a scale's without the metal's."""
    from rackwright.making.sawing.stop import AtSaw

    faults, read = [], dict[str, float]()
    for name, text in (("--metal-at", metal), ("--scale-at", scale)):
        if text is not None:
            try:
                read[name] = _temperature(text, name)
            except _Wrong as wrong:
                faults.append(Fault("RW504", Where("command line", 0, name), wrong.found, wrong.do))
    if scale is not None and metal is None:
        faults.append(Fault("RW504", Where("command line", 0, "--scale-at"), "the metal has no temperature",
                            "give --metal-at too"))  # fmt: skip
    if faults:
        raise Stopped(faults)
    return AtSaw(read["--metal-at"], read.get("--scale-at")) if "--metal-at" in read else None
