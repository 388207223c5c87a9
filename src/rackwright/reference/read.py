"""Reads rows: those shipped beside this file, and a shop's own, in the same form.

A row file is TOML: `format = "rackwright/reference/1"`, then one `[[kind]]` table a row. A quantity is
text with its unit ("42 ksi"), or a table `{ value, source, place, how_known, state }` where it is known
otherwise than its row. `own.py` lays a shop's own rows over the shipped ones.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, Field, dataclass, field, fields
from functools import cache, cached_property
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
    FitStep,
    FormField,
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
    "content_hash",
    "read_rows",
    "shipped",
]

FORMAT = "rackwright/reference/1"

#: table name in the file -> row class
KINDS: dict[str, type[Row]] = {
    "material": Material, "bolt": Bolt, "grip": Grip, "washer": Washer, "nut": Nut, "rivet": Rivet,
    "torque": Torque, "rule": LoadRule, "factor": Factor, "panel_grid": PanelGrid, "expansion": Expansion,
    "edge": EdgeRule, "thermal": Thermal, "exposure": Exposure, "k_factor": KFactor,
    "fit_step": FitStep, "paragraph": Paragraph, "form_field": FormField,
}  # fmt: skip

OURS = ("known", "exceptions", "own", "replaces")  # fields of a row that no file has
SOME = ("stress", "force", "moment", "density", "time", "temperature")  # of these nothing real has none
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

    @cached_property
    def materials(self) -> dict[str, Material]:
        return self.of(Material)

    @cached_property
    def bolts(self) -> dict[str, Bolt]:
        return self.of(Bolt)

    @cached_property
    def grips(self) -> dict[str, Grip]:
        return self.of(Grip)

    @cached_property
    def washers(self) -> dict[str, Washer]:
        return self.of(Washer)

    @cached_property
    def nuts(self) -> dict[str, Nut]:
        return self.of(Nut)

    @cached_property
    def rivets(self) -> dict[str, Rivet]:
        return self.of(Rivet)

    @cached_property
    def torques(self) -> dict[str, Torque]:
        return self.of(Torque)

    @cached_property
    def load_rules(self) -> dict[str, LoadRule]:
        return self.of(LoadRule)

    @cached_property
    def factors(self) -> dict[str, Factor]:
        return self.of(Factor)

    @cached_property
    def fit_steps(self) -> dict[str, FitStep]:
        return self.of(FitStep)

    @cached_property
    def panel_grids(self) -> dict[str, PanelGrid]:
        return self.of(PanelGrid)

    @cached_property
    def expansions(self) -> dict[str, Expansion]:
        return self.of(Expansion)

    @cached_property
    def thermals(self) -> dict[str, Thermal]:
        return self.of(Thermal)

    @cached_property
    def exposures(self) -> dict[str, Exposure]:
        return self.of(Exposure)

    @cached_property
    def k_factors(self) -> dict[str, KFactor]:
        return self.of(KFactor)

    @cached_property
    def edge_rules(self) -> dict[str, EdgeRule]:
        return self.of(EdgeRule)

    @cached_property
    def paragraphs(self) -> dict[str, Paragraph]:
        return self.of(Paragraph)

    @cached_property
    def form_fields(self) -> dict[str, FormField]:
        return self.of(FormField)

    @cached_property
    def replaced(self) -> tuple[Row, ...]:
        """Own rows that stand where a shipped one did."""
        return tuple(
            row for rows in self.by_kind.values() for row in rows.values() if row.replaces is not None
        )

    @cached_property
    def _by_length(self) -> tuple[Row, ...]:
        every = [
            row
            for rows in self.by_kind.values()
            for row in rows.values()
            if not isinstance(row, Paragraph | FormField)
        ]
        return tuple(sorted(every, key=lambda row: (-len(row.id), row.id)))

    @cached_property
    def _found(self) -> dict[str, tuple[Row, ...]]:
        return {}

    def named(self, source: str) -> tuple[Row, ...]:
        """The rows whose id stands in a text as a word of its own, a longer id before a part of it."""
        if source not in self._found:
            found, rest = [], source
            for row in self._by_length:
                pattern = rf"(?<![\w.()-]){re.escape(row.id)}(?![\w()-])"
                if re.search(pattern, rest):
                    found.append(row)
                    rest = re.sub(pattern, "", rest)
            self._found[source] = tuple(found)
        return self._found[source]


# --- the shipped rows ----------------------------------------------------------------------------


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


# --- one file ------------------------------------------------------------------------------------


def read_rows(text: bytes | str, file: str, own: bool = False) -> tuple[Rows | None, list[Fault]]:
    """Rows of one file's text, or every fault at once, each with its line. `file` only names it.

    Rows of a shop's `own` file keep their place in it.
    """
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
            row = _row(KINDS[kind], values, lambda path, at=(kind, number): where(at + path), faults, own)  # type: ignore[misc]
            if row is not None and row.id in tables.setdefault(kind, {}):
                faults.append(Fault("RW107", where((kind, number, "id")), f"{row.id!r} is used twice",
                                    "give each row its own id"))  # fmt: skip
            if row is not None:
                tables[kind][row.id] = row
    return (None, faults) if faults else (Rows(_copied(tables)), [])


def _row(cls: type[Row], values: Any, where: Place, faults: list[Fault], own: bool) -> Row | None:
    if not isinstance(values, dict):
        faults.append(Fault("RW103", where(()), f"found {values!r}", "give a table of fields"))
        return None
    before = len(faults)
    known = _known(values, where, faults)
    exceptions: dict[str, Known] = {}
    given: dict[str, Any] = {}
    for one in fields(cls):
        if one.name in OURS:
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
        count = len(faults)
        given[one.name] = _value(one, value, where, faults)
        if len(faults) == count and one.metadata.get("dimension") in SOME and given[one.name] == 0.0:
            faults.append(
                Fault("RW106", where((one.name,)), "it is zero", "leave it out where it is not known")
            )
    strange = sorted(values.keys() - ({one.name for one in fields(cls)} - {*OURS}) - {*_KNOWN_KEYS})
    faults += [_unknown(where((key,)), key) for key in strange]
    if len(faults) > before:
        return None
    return cls(known=known, exceptions=tuple(exceptions.items()), own=where(()) if own else None, **given)


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
