"""Quantities at the border: `number unit` in, exact SI fractions inside.

The number is a decimal or a shop fraction (`17 1/2`, `1/64`, `-3.25`, `1e-3`), read by the small
grammar below into an exact `Fraction`. Only the unit word is handed to the units library: as a whole
it reads `17 1/2 in` as 8.5 in, `375 F` as farad and `16 g` as grams. Each dimension has a closed list
of unit words; anything else is an error that names the list. Load factors are plain numbers. `lb` is a
mass, `lbf` a force. Temperatures are `degF`, `degC` or `K`.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from typing import Any

__all__ = [
    "NM_PER_M",
    "UNITS",
    "ZERO_C",
    "QuantityError",
    "degrees",
    "out_of_degrees",
    "parse_number",
    "parse_quantity",
    "to_nm",
    "unit_factor",
    "write_quantity",
]

NM_PER_M = 1_000_000_000
ZERO_C = 273.15  # K

#: dimension -> the unit words allowed for it, the first being the SI unit of the result
UNITS: dict[str, tuple[str, ...]] = {
    "length": ("m", "in", "ft", "mm", "cm", "mil", "um"),
    "area": ("m2", "in2", "ft2", "mm2", "cm2"),
    "mass": ("kg", "lb", "oz", "gram"),
    "force": ("N", "lbf", "kN", "daN", "kip"),
    "stress": ("Pa", "psi", "ksi", "MPa", "GPa", "Msi"),
    "density": ("kg/m3", "lb/in3", "gram/cm3"),
    "line_mass": ("kg/m", "lb/ft"),
    "area_mass": ("kg/m2", "lb/ft2"),
    "stiffness": ("N/m", "lbf/in", "N/mm", "kN/m"),
    "moment": ("N*m", "in*lbf", "ft*lbf"),
    "line_load": ("N/m", "lbf/in", "lbf/ft"),
    "angle": ("rad", "deg"),
    "time": ("s", "min", "h", "day"),
    "temperature": ("K", "degF", "degC"),
    "expansion": ("1/K", "1/degF", "1/degC"),
    "frequency": ("Hz", "rpm"),
    "speed": ("m/s", "in/min", "ft/min", "mm/min"),
    "volume": ("m3", "in3", "ft3", "mm3"),
    "power": ("W", "hp", "kW"),
    "resistance": ("ohm", "mohm", "Mohm"),
    "voltage": ("V", "mV", "kV"),
    "money_rate": ("1/s", "1/h"),
}

# What people write for a unit, in small letters with * for a dot or dash; pounds of torque are of force.
_MEANT = {
    '"': "in", "''": "in", "inch": "in", "inches": "in", "'": "ft", "feet": "ft", "foot": "ft", "lbs": "lb", "#": "lb",
    "f": "degF", "\u00b0f": "degF", "c": "degC", "\u00b0c": "degC", "ft*lbf": "ft*lbf", "ft*lb": "ft*lbf",
    "lb*ft": "ft*lbf", "lbf*ft": "ft*lbf", "in*lbf": "in*lbf", "in*lb": "in*lbf", "lb*in": "in*lbf",
    "lbf*in": "in*lbf", "nm": "N*m", "n*m": "N*m", "pounds": "lb", "millimeters": "mm", "thou": "mil", "g": "gram",
}  # fmt: skip

# How a unit word is spelt for the units library, where that differs.
_SPELT: dict[str, str] = {
    "lbf/in": "force_pound / inch", "lbf/ft": "force_pound / foot", "in*lbf": "inch * force_pound",
    "ft*lbf": "foot * force_pound", "lbf": "force_pound", "lb": "pound", "oz": "ounce", "in": "inch",
    "ft": "foot", "kip": "1000 * force_pound", "Msi": "1000000 * psi", "mil": "inch / 1000",
    "um": "micrometer", "in2": "inch**2", "ft2": "foot**2", "mm2": "mm**2", "cm2": "cm**2", "m2": "m**2",
    "in3": "inch**3", "ft3": "foot**3", "mm3": "mm**3", "m3": "m**3", "lb/in3": "pound / inch**3",
    "kg/m": "kg / m", "lb/ft": "pound / foot",
    "kg/m2": "kg / m**2", "lb/ft2": "pound / foot**2",
    "kg/m3": "kg / m**3", "gram/cm3": "gram / cm**3", "rpm": "1 / minute", "Hz": "1 / second",
    "in/min": "inch / minute", "ft/min": "foot / minute", "mm/min": "mm / minute", "min": "minute",
    "h": "hour", "mohm": "milliohm", "Mohm": "megaohm", "hp": "550 * foot * force_pound / second",
    "1/s": "1 / second", "1/K": "1 / kelvin", "1/degF": "1 / delta_degF", "1/degC": "1 / delta_degC",
    "1/h": "1 / hour", "N/mm": "newton / mm", "daN": "10 * newton",
}  # fmt: skip

_DECIMAL = r"\d+(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?"
_NUMBER = re.compile(
    rf"""(?P<sign>[+-]?)[ ]?
    (?: (?P<whole>\d+)[ ]+(?P<num>\d+)/(?P<den>\d+)     # 17 1/2
      | (?P<num1>\d+)/(?P<den1>\d+)                     # 1/64
      | (?P<dec>{_DECIMAL})                             # 17.5
    )(?![\d./,_-])""",
    re.VERBOSE | re.ASCII,  # digits of other scripts are no shop's digits
)
_LONGEST = 200  # characters of a number: an exact angle in degrees takes some fifty


class QuantityError(ValueError):
    """A quantity could not be read. `code` is the trouble code, `do` says what would do."""

    def __init__(self, code: str, found: str, do: str) -> None:
        super().__init__(f"{found}; {do}")
        self.code, self.found, self.do = code, found, do


def parse_number(text: str) -> Fraction:
    """Exact value of a decimal or shop fraction. Raises QuantityError."""
    match = _NUMBER.fullmatch(text.strip())
    if match is None:
        raise _not_a_number(text)
    return _number(match, text)


def parse_quantity(text: str, dimension: str) -> Fraction:
    """Exact SI value of `number unit` in the given dimension (metres, kilograms, newtons, kelvin ...).

    Raises QuantityError when the number or the unit is missing or not of this dimension.
    """
    words = UNITS[dimension]
    text = text.strip()
    match = _NUMBER.match(text)
    if match is None:
        raise _not_a_number(text)
    value, unit = _number(match, text), text[match.end() :].strip()
    if unit not in words:
        shown = repr(text[:60])
        found = f"{unit[:60]!r} in {shown} is not a unit of {dimension}" if unit else f"{shown} has no unit"
        meant = _MEANT.get(unit.replace("\u00b7", "*").replace("-", "*").lower(), "")
        hint = f"perhaps {meant}: " if meant in words else ""
        raise QuantityError("RW104", found, f"{hint}use one of {', '.join(words)}")
    if dimension == "temperature":
        return _kelvin(value, unit)
    return value * unit_factor(unit)


def write_quantity(value: Fraction, unit: str, dimension: str) -> str:
    """The quantity text that reads back to exactly this SI value, in the given unit."""
    if unit not in UNITS[dimension]:
        raise KeyError(f"{unit} is not a unit of {dimension}")
    number = _from_kelvin(value, unit) if dimension == "temperature" else value / unit_factor(unit)
    return f"{_write_number(number)} {unit}"


def to_nm(metres: Fraction) -> int:
    """Whole nanometres. Raises QuantityError when the length is not a whole number of them."""
    nm = metres * NM_PER_M
    if nm.denominator != 1:
        raise QuantityError(
            "RW105", f"a length of {float(metres)} m is not a whole number of nanometres",
            "use at most four decimals of an inch, three of a millimetre, or 1/64 in fractions",
        )  # fmt: skip
    return int(nm)


@cache
def unit_factor(word: str) -> Fraction:
    """Exact factor from a unit word of `UNITS` to its SI unit."""
    if word == "deg":
        from math import pi

        return Fraction(pi) / 180  # the float pi: an angle never needs to be exact
    magnitude = _library().Quantity(1, "dimensionless") * _library().parse_expression(_SPELT.get(word, word))
    return Fraction(magnitude.to_base_units().magnitude).limit_denominator(10**30)


@cache
def _library() -> Any:
    from pint import UnitRegistry  # imported late: it costs a quarter of a second

    registry: Any = UnitRegistry(non_int_type=Fraction)
    registry.default_system = "mks"
    return registry


def _number(match: re.Match[str], text: str) -> Fraction:
    part = match.groupdict()
    exponent = re.search(r"[eE](.+)", match[0])
    if len(match[0]) > _LONGEST or (exponent and abs(int(exponent[1])) > 40):
        raise QuantityError("RW105", f"the number in {text[:60]!r} is absurdly long", "use fewer digits")
    if part["dec"] is not None:
        value = Fraction(part["dec"])
    else:
        whole, num, den = part["whole"] or "0", part["num"] or part["num1"], part["den"] or part["den1"]
        if int(den) == 0:
            raise QuantityError(
                "RW105", f"the fraction in {text[:60]!r} divides by zero", "correct the fraction"
            )
        if part["whole"] and int(num) >= int(den):
            raise QuantityError(
                "RW105",
                f"the fraction in {text[:60]!r} is not smaller than one",
                "write it as whole number and rest",
            )
        value = int(whole) + Fraction(int(num), int(den))
    return -value if part["sign"] == "-" else value


def _not_a_number(text: str) -> QuantityError:
    return QuantityError(
        "RW105",
        f"{text[:60]!r} does not begin with a number that can be read",
        'write a decimal or a shop fraction, as in "17 1/2 in"',
    )


def degrees(kelvin: float) -> str:
    """A temperature as people read it."""
    celsius = kelvin - ZERO_C
    return f"{celsius:.4g} degC ({celsius * 1.8 + 32:.4g} degF)"


def out_of_degrees(kelvin: float, low: float, high: float) -> tuple[str, str] | None:
    """What is found of a temperature (K) outside its range and what would do; None within it."""
    if low <= kelvin <= high:
        return None
    do = f"give {low - ZERO_C:g} to {high - ZERO_C:g} degC, or in degF with that unit"
    return f"{degrees(kelvin)} is out of range", do


def _kelvin(value: Fraction, unit: str) -> Fraction:
    if unit == "degF":
        return (value + Fraction("459.67")) * 5 / 9
    return value + Fraction("273.15") if unit == "degC" else value


def _from_kelvin(kelvin: Fraction, unit: str) -> Fraction:
    if unit == "degF":
        return kelvin * 9 / 5 - Fraction("459.67")
    return kelvin - Fraction("273.15") if unit == "degC" else kelvin


def _write_number(value: Fraction) -> str:
    den = value.denominator
    for prime in (2, 5):
        while den % prime == 0:
            den //= prime
    if den != 1:  # no finite decimal: a shop fraction
        whole, rest = divmod(abs(value), 1)
        sign = "-" if value < 0 else ""
        return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"
    digits = 0
    while (value * 10**digits).denominator != 1:
        digits += 1
    scaled = str(abs(int(value * 10**digits))).rjust(digits + 1, "0")
    text = f"{scaled[:-digits]}.{scaled[-digits:]}" if digits else scaled
    return f"-{text}" if value < 0 else text
