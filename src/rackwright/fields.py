"""Typed fields of the files people write, and how a mistake in one becomes a located fault.

A definition is a tree of frozen dataclasses (`@definition`) whose fields are annotated with the kinds
below. The annotation alone says the dimension and the unit words; the validation library is imported
only when a file is read, and it also publishes the JSON Schema. A length becomes whole nanometres
(int), a direction a rack axis such as "-y", every other quantity an SI float.
"""

from __future__ import annotations

import dataclasses
import json
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Annotated, Any, TypeVar, dataclass_transform

from rackwright.trouble import Fault, Where
from rackwright.units import UNITS, QuantityError, parse_quantity, to_nm

__all__ = [
    "Angle",
    "Area",
    "Axis",
    "Band",
    "Density",
    "Force",
    "Frequency",
    "Length",
    "Mass",
    "Moment",
    "Money",
    "Name",
    "Number",
    "Power",
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
LONGEST = 1_000  # m: no length of a shop or an aircraft is longer, and nanometres stay within 64 bits
MOST = 10**12  # of any other SI value


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
            kelvin = " K" if self.dimension == "temperature" else ""
            raise QuantityError(
                "RW106", f"{_short(text)} is out of range", f"give {word} {self.low:g}{kelvin}"
            )
        most, unit = (LONGEST if self.nm else MOST), UNITS[self.dimension][0]
        if abs(exact) > most:
            raise QuantityError("RW106", f"{_short(text)} is out of range", f"give at most {most:g} {unit}")
        return to_nm(exact) if self.nm else float(exact)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import PydanticCustomError, core_schema

        def read(text: Any) -> int | float:
            try:
                return self.read(text)
            except QuantityError as error:
                found = error.found + _odd_letters(text)
                raise PydanticCustomError("rackwright", "{found}", {"code": error.code, "found": found,
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
                found = f"found {_short(text)}{_odd_letters(text)}"
                raise PydanticCustomError("rackwright", "{found}", {"code": "RW103", "found": found,
                                                                    "do": self.do})  # fmt: skip
            return text

        return core_schema.no_info_plain_validator_function(read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{self.pattern}$", "description": self.do}


Length = Annotated[int, Quantity("length", nm=True, low=0.0, above=True)]  # > 0, nm
Signed = Annotated[int, Quantity("length", nm=True)]  # any sign, nm: a position
Band = Annotated[int, Quantity("length", nm=True, low=0.0)]  # a tolerance to either side, nm
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
Power = Annotated[float, Quantity("power", low=0.0)]
Time = Annotated[float, Quantity("time", low=0.0)]
Speed = Annotated[float, Quantity("speed", low=0.0, above=True)]
Frequency = Annotated[float, Quantity("frequency", low=0.0, above=True)]
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
                found = f"found {_short(value)}"
                raise PydanticCustomError("rackwright", "{found}", {"code": code, "found": found, "do": do})
            return int(value) if self.whole else float(value)

        return core_schema.no_info_plain_validator_function(read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        kind = "integer" if self.whole else "number"
        return {"type": kind, "minimum": self.low, "maximum": self.high}


def _hidden(letter: str) -> bool:
    """Does it steer a terminal or turn the reading direction? (Unicode categories Cc, and U+202A-E, U+2066-9)"""
    return (unicodedata.category(letter) == "Cc" and letter not in "\n\t") or letter in _TURNS


_TURNS = "".join(map(chr, (*range(0x202A, 0x202F), *range(0x2066, 0x206A))))


@dataclass(frozen=True)
class _Text:
    """Words for people: some, on one line or a few, and not a book."""

    most: int = 1_000

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import PydanticCustomError, core_schema

        def read(text: Any) -> str:
            code, do = "RW103", "give a text in quotes"
            if isinstance(text, str):
                code, do = "RW106", f"give 1 to {self.most} characters"
                hidden = next((c for c in text if _hidden(c)), "")
                if text.strip() and len(text) <= self.most and not hidden:
                    return text
                if hidden:
                    do = f"take out the character U+{ord(hidden):04X}: it moves or hides what is printed"
            size = f", {len(text)} characters" if isinstance(text, str) and len(text) > self.most else ""
            found = f"found {_short(text)}{size}"
            raise PydanticCustomError("rackwright", "{found}", {"code": code, "found": found, "do": do})

        return core_schema.no_info_plain_validator_function(read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": self.most}


Text = Annotated[str, _Text()]
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

    dated = [
        Fault(
            "RW103", where(path), f"found the bare date or time {value}", "put it in quotes if it is a text"
        )
        for path, value in _dates(values, ())
    ]
    try:
        # through JSON: there a list is a tuple, while a text never becomes a number
        made = TypeAdapter(kind).validate_json(json.dumps(values, default=str))
    except ValidationError as error:
        faults = [_fault(dict(one), where) for one in error.errors(include_url=False)]
        places = {fault.where for fault in dated}
        return None, [*dated, *(fault for fault in faults if fault.where not in places)]
    return (None, dated) if dated else (made, [])


def _dates(value: Any, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Dates and times, which TOML has and no definition uses."""
    if isinstance(value, Mapping):
        for key, below in value.items():
            yield from _dates(below, (*path, key))
    elif isinstance(value, list):
        for number, below in enumerate(value):
            yield from _dates(below, (*path, number))
    elif isinstance(value, (date, datetime, time)):
        yield path, value


def schema(kind: type[Any], title: str) -> dict[str, Any]:
    """The published JSON Schema of a file format."""
    from pydantic import TypeAdapter

    document = TypeAdapter(kind).json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **document, "title": title}


#: the validation library's kind of error -> what would do
_DO = {
    "dataclass_type": "give a table of fields",
    "tuple_type": "give a list: values in [ ], tables under [[ ]]",
    "list_type": "give a list: values in [ ], tables under [[ ]]",
    "string_type": "give a text in quotes",
    "bool_type": "give true or false",
    "int_type": "give a whole number",
    "float_type": "give a plain number",
    "dict_type": "give a table of fields",
}


def _fault(error: dict[str, Any], where: Callable[[tuple[str | int, ...]], Where]) -> Fault:
    place, last = where(tuple(error["loc"])), error["loc"][-1] if error["loc"] else ""
    kind, context, found = error["type"], error.get("ctx", {}), error.get("input")
    if kind == "rackwright":
        return Fault(context["code"], place, context["found"], context["do"])
    if kind in ("missing", "missing_keyword_only_argument"):
        if isinstance(last, int):
            return Fault("RW101", place, f"the list ends after {last} values", "give one more value")
        return Fault("RW101", place, "nothing is given", f"add `{last}`")
    if kind in ("unexpected_keyword_argument", "extra_forbidden"):
        name = f"the field {_short(last)} is not known here{_odd_letters(last)}"
        return Fault("RW102", place, name, "remove it or correct its spelling")
    if kind == "too_long" and "max_length" in context:
        many, most = context.get("actual_length", "more"), context["max_length"]
        return Fault("RW103", place, f"found {many} values", f"give {most}")
    if kind in ("literal_error", "enum"):
        do = f"use {'' if _single(context) else 'one of '}{context.get('expected', '')}"
        return Fault("RW103", place, f"found {_short(found)}{_odd_letters(found)}", do)
    do = _DO.get(kind, error["msg"][:1].lower() + error["msg"][1:])
    return Fault("RW103", place, f"found {_short(found)}", do)


def _single(context: dict[str, Any]) -> bool:
    return " or " not in str(context.get("expected", ""))


def _short(value: Any) -> str:
    if isinstance(value, str) and len(value) > 60:
        value = value[:60] + "..."
    text = repr(value)
    return text if len(text) <= 70 else text[:67] + "..."


def _odd_letters(text: Any) -> str:
    """A hint at characters outside ASCII: they may look like the letter that was meant."""
    odd = [c for c in dict.fromkeys(text[:200]) if not c.isascii()] if isinstance(text, str) else []
    names = [f"{c} is U+{ord(c):04X} {unicodedata.name(c, 'without a name').lower()}" for c in odd[:3]]
    return f" ({'; '.join(names)})" if names else ""
