"""Reads rows: those shipped beside this file, and a shop's own, in the same form.

A row file is TOML: `format = "rackwright/reference/1"`, then one `[[kind]]` table a row. A quantity is
text with its unit ("42 ksi"), or a table `{ value, source, place, how_known, state }` where it is known
otherwise than its row. A shop's own row replaces the shipped row of the same kind and id; `merge` reports it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, Field, dataclass, field, fields
from functools import cache
from importlib.resources import files
from typing import Any, TypeVar

from rackwright.located import read_toml
from rackwright.reference.rows import (
    HOW_KNOWN,
    Bolt,
    EdgeRule,
    Expansion,
    Exposure,
    Factor,
    Grip,
    KFactor,
    Known,
    LoadRule,
    Material,
    Nut,
    PanelGrid,
    Paragraph,
    Rivet,
    Row,
    Thermal,
    Torque,
    Washer,
)  # fmt: skip
from rackwright.trouble import Fault, Where
from rackwright.units import QuantityError, parse_quantity

__all__ = [
    "FORMAT",
    "KINDS",
    "Rows",
    "bolts",
    "content_hash",
    "edge_rules",
    "expansions",
    "exposures",
    "factors",
    "grips",
    "k_factors",
    "load_rules",
    "materials",
    "merge",
    "nuts",
    "panel_grids",
    "paragraphs",
    "read_rows",
    "rivets",
    "shipped",
    "thermals",
    "torques",
    "washers",
]

FORMAT = "rackwright/reference/1"

#: table name in the file -> row class
KINDS: dict[str, type[Row]] = {
    "material": Material, "bolt": Bolt, "grip": Grip, "washer": Washer, "nut": Nut, "rivet": Rivet,
    "torque": Torque, "rule": LoadRule, "factor": Factor, "panel_grid": PanelGrid, "expansion": Expansion,
    "edge": EdgeRule, "thermal": Thermal, "exposure": Exposure, "k_factor": KFactor,
    "paragraph": Paragraph,
}  # fmt: skip

_KNOWN_KEYS = ("source", "place", "how_known", "state")
R = TypeVar("R", bound=Row)
Place = Callable[[tuple[str | int, ...]], Where]


@dataclass(frozen=True)
class Rows:
    """Rows by kind and id."""

    by_kind: Mapping[str, Mapping[str, Row]] = field(default_factory=dict)

    def of(self, kind: type[R]) -> dict[str, R]:
        """All rows of one class, by id."""
        name = next(name for name, cls in KINDS.items() if cls is kind)
        return {id: row for id, row in self.by_kind.get(name, {}).items() if isinstance(row, kind)}


# --- the shipped rows ----------------------------------------------------------------------------


def materials() -> dict[str, Material]:
    """Allowables by id, as shipped. See also `merge` for a shop's own."""
    return shipped().of(Material)


def bolts() -> dict[str, Bolt]:
    return shipped().of(Bolt)


def grips() -> dict[str, Grip]:
    return shipped().of(Grip)


def washers() -> dict[str, Washer]:
    return shipped().of(Washer)


def nuts() -> dict[str, Nut]:
    return shipped().of(Nut)


def rivets() -> dict[str, Rivet]:
    return shipped().of(Rivet)


def torques() -> dict[str, Torque]:
    return shipped().of(Torque)


def load_rules() -> dict[str, LoadRule]:
    """Emergency-landing factors by id, as in `29.561(b)(3)@29-38`."""
    return shipped().of(LoadRule)


def factors() -> dict[str, Factor]:
    return shipped().of(Factor)


def panel_grids() -> dict[str, PanelGrid]:
    return shipped().of(PanelGrid)


def expansions() -> dict[str, Expansion]:
    return shipped().of(Expansion)


def thermals() -> dict[str, Thermal]:
    return shipped().of(Thermal)


def exposures() -> dict[str, Exposure]:
    """Curves of what a property keeps after time at temperature, by id; one row for each time."""
    return shipped().of(Exposure)


def k_factors() -> dict[str, KFactor]:
    return shipped().of(KFactor)


def paragraphs() -> dict[str, Paragraph]:
    return shipped().of(Paragraph)


def edge_rules() -> dict[str, EdgeRule]:
    return shipped().of(EdgeRule)


@cache
def shipped() -> Rows:
    """Every row shipped with the program. A fault in them is a fault of ours and raises ValueError."""
    tables: dict[str, dict[str, Row]] = {}
    for name, text in _shipped_files():
        rows, faults = read_rows(text, name)
        if rows is None:
            raise ValueError("shipped reference rows: " + "; ".join(map(str, faults)))
        for kind, of_kind in rows.by_kind.items():
            tables.setdefault(kind, {}).update(of_kind)
    return Rows(_copied(tables))


@cache
def content_hash() -> str:
    """SHA-256 over the names and bytes of the shipped files, as hex: what was known, for the record."""
    digest = hashlib.sha256()
    for name, text in _shipped_files():
        content = text.encode()
        digest.update(f"{name}\0{len(content)}\0".encode() + content)
    return digest.hexdigest()


def _shipped_files() -> Iterator[tuple[str, str]]:
    here = files("rackwright.reference")
    for entry in sorted((e for e in here.iterdir() if e.name.endswith(".toml")), key=lambda e: e.name):
        yield entry.name, entry.read_text(encoding="utf-8")


# --- a shop's own rows ---------------------------------------------------------------------------


def merge(ours: Rows, own: Rows) -> tuple[Rows, tuple[str, ...]]:
    """A shop's own rows over the shipped ones, and one note for each shipped row that is replaced."""
    tables = {kind: dict(of_kind) for kind, of_kind in ours.by_kind.items()}
    notes = []
    for kind, of_kind in own.by_kind.items():
        for id, row in of_kind.items():
            before = tables.setdefault(kind, {}).get(id)
            if before is not None:
                notes.append(f"own {kind} row {id!r} ({row.known}) replaces the shipped one ({before.known})")
            tables[kind][id] = row
    return Rows(_copied(tables)), tuple(notes)


def read_rows(text: bytes | str, file: str) -> tuple[Rows | None, list[Fault]]:
    """Rows of one file's text, or every fault at once, each with its line. `file` only names it."""
    read, faults = read_toml(text, file)
    if read is None:
        return None, faults
    document, where = read.values, read.places.where
    if document.get("format") != FORMAT:
        faults.append(Fault("RW110", where(("format",)), f"found {document.get('format')!r}",
                            f'write format = "{FORMAT}"'))  # fmt: skip
    tables: dict[str, dict[str, Row]] = {}
    for kind, rows in document.items():
        if kind == "format":
            continue
        if kind not in KINDS or not isinstance(rows, list):
            faults.append(Fault("RW102", where((kind,)), f"{kind!r} is not a kind of row",
                                "use " + ", ".join(f"[[{k}]]" for k in KINDS)))  # fmt: skip
            continue
        for number, values in enumerate(rows):
            row = _row(KINDS[kind], values, lambda path, at=(kind, number): where(at + path), faults)  # type: ignore[misc]
            if row is not None and row.id in tables.setdefault(kind, {}):
                faults.append(Fault("RW107", where((kind, number, "id")), f"{row.id!r} is used twice",
                                    "give each row its own id"))  # fmt: skip
            if row is not None:
                tables[kind][row.id] = row
    return (None, faults) if faults else (Rows(_copied(tables)), [])


def _row(cls: type[Row], values: Any, where: Place, faults: list[Fault]) -> Row | None:
    if not isinstance(values, dict):
        faults.append(Fault("RW103", where(()), f"found {values!r}", "give a table of fields"))
        return None
    before = len(faults)
    known = _known(values, where, faults)
    exceptions: dict[str, Known] = {}
    given: dict[str, Any] = {}
    for one in fields(cls):
        if one.name in ("known", "exceptions"):
            continue
        if one.name not in values:
            if one.default is MISSING and one.default_factory is MISSING:
                faults.append(Fault("RW101", where((one.name,)), "nothing is given", f"add `{one.name}`"))
            continue
        value = values[one.name]
        if isinstance(value, dict):
            exceptions[one.name] = _known(value, lambda p, n=one.name: where((n, *p)), faults)  # type: ignore[misc]
            strange = sorted(value.keys() - {"value", *_KNOWN_KEYS})
            faults += [_unknown(where((one.name, key)), key) for key in strange]
            value = value.get("value")
        given[one.name] = _value(one, value, where, faults)
    strange = sorted(values.keys() - {one.name for one in fields(cls)} - set(_KNOWN_KEYS))
    faults += [_unknown(where((key,)), key) for key in strange]
    if len(faults) > before:
        return None
    return cls(known=known, exceptions=tuple(exceptions.items()), **given)


def _unknown(where: Where, key: str) -> Fault:
    return Fault("RW102", where, f"the field {key!r} is not known here", "remove it or correct its spelling")


def _known(values: Mapping[str, Any], where: Place, faults: list[Fault]) -> Known:
    """Source, place and how known must be given, and say something."""
    text = {key: values.get(key, "") for key in _KNOWN_KEYS}
    for key in ("source", "place", "how_known"):
        if not isinstance(text[key], str) or not text[key].strip():
            faults += [Fault("RW111", where((key,)), "nothing says where this comes from",
                             f"add `{key}`: a fact without its source is not used")]  # fmt: skip
    if text["how_known"] and text["how_known"] not in HOW_KNOWN:
        faults.append(Fault("RW111", where(("how_known",)), f"found {text['how_known']!r}",
                            f"use one of {', '.join(HOW_KNOWN)}"))  # fmt: skip
    return Known(*(str(text[key]) for key in _KNOWN_KEYS))


def _value(one: Field[Any], value: Any, where: Place, faults: list[Fault]) -> Any:
    dimension = one.metadata.get("dimension")
    if one.metadata.get("many"):
        items = value if isinstance(value, list) else [value]
        return tuple(_quantity(dimension, item, where((one.name, i)), faults) for i, item in enumerate(items))
    if dimension:
        return _quantity(dimension, value, where((one.name,)), faults)
    wanted = bool if one.type == "bool" else str
    if not isinstance(value, wanted):
        faults.append(Fault("RW103", where((one.name,)), f"found {value!r}",
                            "give true or false" if wanted is bool else "give a text in quotes"))  # fmt: skip
    return value


def _quantity(dimension: Any, value: Any, where: Where, faults: list[Fault]) -> float:
    if dimension == "number":
        if isinstance(value, (int, float)) and not isinstance(value, bool) and 0 <= value < 1e9:
            return float(value)
        faults.append(Fault("RW103", where, f"found {value!r}", "give a plain number, not negative"))
        return 0.0
    if not isinstance(value, str):
        faults.append(
            Fault("RW104", where, f"{value!r} has no unit", f"write a {dimension} with its unit in quotes")
        )
        return 0.0
    try:
        exact = parse_quantity(value, dimension)
    except QuantityError as error:
        faults.append(Fault(error.code, where, error.found, error.do))
        return 0.0
    if exact < 0:
        faults.append(Fault("RW106", where, f"{value!r} is negative", "give a value of zero or more"))
    return float(exact)


def _copied(tables: Mapping[str, Mapping[str, Row]]) -> Mapping[str, Mapping[str, Row]]:
    return {kind: dict(rows) for kind, rows in tables.items()}
