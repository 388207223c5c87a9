"""A TOML file of one format to frozen data: its tables by their definition, then what its own check finds wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any, TypeVar

from rackwright.fields import validate
from rackwright.located import Places, read_toml
from rackwright.trouble import Fault

__all__ = ["read_file", "twice"]

T = TypeVar("T")


def read_file(
    model: type[T], data: bytes, file: str, wanted: str, check: Callable[[T, Places], Iterator[Fault]]
) -> tuple[T | None, list[Fault]]:
    document, faults = read_toml(data, file)
    if document is None:
        return None, faults
    wrong = _format(document.values, document.places, wanted)
    if wrong:
        return None, wrong
    read, faults = validate(model, document.values, document.places.where)
    if read is None:
        return None, in_order(faults)
    faults = in_order(check(read, document.places))
    return (None, faults) if faults else (read, [])


def _format(values: dict[str, Any], places: Places, wanted: str) -> list[Fault]:
    if values.get("format") == wanted:
        return []
    found = f"format is {values['format']!r}" if "format" in values else "there is no format line"
    return [Fault("RW110", places.where("format"), found, f'write format = "{wanted}"')]


def twice(places: Places, table: str, field: str, names: Iterable[str]) -> Iterator[Fault]:
    first: dict[str, int] = {}
    for number, name in enumerate(names):
        if name in first:
            line = places.where((table, first[name], field)).line
            found = f"{name!r} is given in line {line} as well"
            yield Fault("RW107", places.where((table, number, field)), found, "give each its own")
        first.setdefault(name, number)


def in_order(faults: Iterable[Fault]) -> list[Fault]:
    return sorted(set(faults), key=lambda fault: (fault.where, fault.code, fault.found))
