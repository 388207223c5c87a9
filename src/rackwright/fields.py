"""Typed fields of the files people write, and how a mistake in one becomes a located fault.

A definition is a tree of frozen dataclasses (`@definition`) whose fields are annotated with the kinds
below. The annotation alone says the dimension and the unit words; the validation library is imported
only when a file is read, and it also publishes the JSON Schema. A length becomes whole nanometres
(int), a direction a rack axis such as "-y", every other quantity an SI float.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, TypeVar, dataclass_transform

from rackwright.trouble import Fault, Where
from rackwright.units import UNITS, QuantityError, parse_quantity, to_nm

__all__ = [
    "Angle",
    "Area",
    "Axis",
    "Density",
    "Force",
    "Length",
    "Mass",
    "Moment",
    "Money",
    "Name",
    "Number",
    "Quantity",
    "Resistance",
    "Signed",
    "Speed",
    "Stiffness",
    "Stress",
    "Temperature",
    "Time",
    "Whole",
    "definition",
    "schema",
    "validate",
]

T = TypeVar("T")


# --- kinds of field ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Quantity:
    """A `number unit` text of one dimension; `low` is the least SI value (exclusive if `above`)."""

    dimension: str
    nm: bool = False
    low: float | None = None
    above: bool = False

    def read(self, text: Any) -> int | float:
        if not isinstance(text, str):
            words = ", ".join(UNITS[self.dimension])
            raise QuantityError(
                "RW104",
                f"{text!r} has no unit",
                f"write number and unit in quotes, units of {self.dimension}: {words}",
            )
        exact = parse_quantity(text, self.dimension)
        if self.low is not None and (exact < self.low or (self.above and exact == self.low)):
            word = "more than" if self.above else "at least"
            raise QuantityError("RW106", f"{text!r} is out of range", f"give {word} {self.low:g}")
        if abs(exact) > 10**12:
            raise QuantityError("RW106", f"{text[:40]!r} is out of range", "give a value of this world")
        return to_nm(exact) if self.nm else float(exact)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import PydanticCustomError, core_schema

        def read(text: Any) -> int | float:
            try:
                return self.read(text)
            except QuantityError as error:
                raise PydanticCustomError("rackwright", "{found}", {"code": error.code, "found": error.found,
                                                                    "do": error.do}) from error  # fmt: skip

        return core_schema.no_info_plain_validator_function(read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        units = "|".join(word.replace("*", r"\*") for word in UNITS[self.dimension])
        return {
            "type": "string",
            "description": f"{self.dimension}: number and unit, the number a decimal or a shop fraction",
            "pattern": rf"^[+-]?\s*(\d+ \d+/\d+|\d+/\d+|\d*\.?\d+([eE][+-]?\d+)?|\d+\.)\s*({units})$",
            "examples": [f"17 1/2 {UNITS[self.dimension][min(1, len(UNITS[self.dimension]) - 1)]}"],
        }


@dataclass(frozen=True)
class _Pattern:
    """A text of one form, with the words that say what would do."""

    pattern: str
    do: str

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        import re

        from pydantic_core import PydanticCustomError, core_schema

        form = re.compile(self.pattern, re.ASCII)

        def read(text: Any) -> str:
            if not isinstance(text, str) or form.fullmatch(text) is None:
                found = f"found {_short(text)}"
                raise PydanticCustomError("rackwright", "{found}", {"code": "RW103", "found": found,
                                                                    "do": self.do})  # fmt: skip
            return text

        return core_schema.no_info_plain_validator_function(read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{self.pattern}$", "description": self.do}


Length = Annotated[int, Quantity("length", nm=True, low=0.0, above=True)]  # > 0, nm
Signed = Annotated[int, Quantity("length", nm=True)]  # any sign, nm: a position
Mass = Annotated[float, Quantity("mass", low=0.0, above=True)]
Force = Annotated[float, Quantity("force", low=0.0, above=True)]
Stress = Annotated[float, Quantity("stress", low=0.0, above=True)]
Stiffness = Annotated[float, Quantity("stiffness", low=0.0, above=True)]
Density = Annotated[float, Quantity("density", low=0.0, above=True)]
Angle = Annotated[float, Quantity("angle")]
Temperature = Annotated[float, Quantity("temperature", low=0.0, above=True)]  # K
Moment = Annotated[float, Quantity("moment", low=0.0, above=True)]
Resistance = Annotated[float, Quantity("resistance", low=0.0, above=True)]
Area = Annotated[float, Quantity("area", low=0.0, above=True)]
Time = Annotated[float, Quantity("time", low=0.0)]
Speed = Annotated[float, Quantity("speed", low=0.0, above=True)]
Name = Annotated[
    str,
    _Pattern(
        r"[A-Za-z0-9][A-Za-z0-9 _/()+.@-]{0,63}", "give a name of letters, digits and - _ / . ( ), at most 64"
    ),
]
Axis = Annotated[str, _Pattern(r"[+-][xyz]", 'give a rack axis with its sign, as in "-y"')]
Money = Annotated[
    str, _Pattern(r"\d+(\.\d{1,2})? [A-Z]{3}", 'give an amount and a currency code, as in "12.50 USD"')
]


@dataclass(frozen=True)
class _Plain:
    """A plain number (a load factor, a count) within bounds; true, NaN and texts are not numbers."""

    whole: bool = False
    low: float = -1e9
    high: float = 1e9

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import PydanticCustomError, core_schema

        kinds = (int,) if self.whole else (int, float)
        noun = "a whole number" if self.whole else "a plain number"

        def read(value: Any) -> int | float:
            good = isinstance(value, kinds) and not isinstance(value, bool)
            if not good or not self.low <= value <= self.high:
                code = "RW106" if good else "RW103"
                do = f"give {noun} from {self.low:g} to {self.high:g}"
                raise PydanticCustomError("rackwright", "{found}", {"code": code, "found": f"found {value!r}",
                                                                    "do": do})  # fmt: skip
            return int(value) if self.whole else float(value)

        return core_schema.no_info_plain_validator_function(read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        kind = "integer" if self.whole else "number"
        return {"type": kind, "minimum": self.low, "maximum": self.high}


Number = Annotated[float, _Plain()]
Whole = Annotated[int, _Plain(whole=True, low=0, high=100_000)]


# --- definitions ---------------------------------------------------------------------------------


@dataclass_transform(frozen_default=True, kw_only_default=True)
def definition(cls: type[T]) -> type[T]:
    """A frozen keyword dataclass of a file's table; unknown keys in the file are faults."""
    cls.__pydantic_config__ = {"extra": "forbid", "strict": True}  # type: ignore[attr-defined]
    return dataclasses.dataclass(frozen=True, kw_only=True)(cls)


def validate(
    kind: type[T], values: Mapping[str, Any], where: Callable[[tuple[str | int, ...]], Where]
) -> tuple[T | None, list[Fault]]:
    """The values as `kind`, or every fault at once. `where` turns a path of keys and indices into a place."""
    from pydantic import TypeAdapter, ValidationError

    try:
        # through JSON: there a list is a tuple, while a text never becomes a number
        return TypeAdapter(kind).validate_json(json.dumps(values, default=str)), []
    except ValidationError as error:
        return None, [_fault(dict(one), where) for one in error.errors(include_url=False)]


def schema(kind: type[Any], title: str) -> dict[str, Any]:
    """The published JSON Schema of a file format."""
    from pydantic import TypeAdapter

    document = TypeAdapter(kind).json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": title, **document}


def _fault(error: dict[str, Any], where: Callable[[tuple[str | int, ...]], Where]) -> Fault:
    place = where(tuple(error["loc"]))
    kind, context, found = error["type"], error.get("ctx", {}), error.get("input")
    if kind == "rackwright":
        return Fault(context["code"], place, context["found"], context["do"])
    if kind in ("missing", "missing_keyword_only_argument"):
        return Fault("RW101", place, "nothing is given", f"add `{error['loc'][-1]}`")
    if kind in ("unexpected_keyword_argument", "extra_forbidden"):
        return Fault(
            "RW102",
            place,
            f"the field {error['loc'][-1]!r} is not known here",
            "remove it or correct its spelling",
        )
    if kind in ("literal_error", "enum"):
        return Fault("RW103", place, f"found {found!r}", f"use one of {context.get('expected', '')}")
    if kind == "dataclass_type":
        return Fault("RW103", place, f"found {_short(found)}", "give a table of fields")
    if kind in ("tuple_type", "list_type"):
        return Fault("RW103", place, f"found {_short(found)}", "give a list in [ ]")
    return Fault("RW103", place, f"found {_short(found)}", error["msg"][:1].lower() + error["msg"][1:])


def _short(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
