"""Quantities at the border: what is written reads back exactly, and nothing is read that was not meant."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackwright.trouble import CODES
from rackwright.units import (
    NM_PER_M,
    UNITS,
    QuantityError,
    parse_number,
    parse_quantity,
    to_nm,
    unit_factor,
    write_quantity,
)

WORDS = [(dimension, word) for dimension, words in UNITS.items() for word in words]
LINEAR = [(dimension, word) for dimension, word in WORDS if dimension != "temperature"]
NAT = st.integers(0, 99_999)


@st.composite
def numbers(draw: Any) -> tuple[str, Fraction]:
    """The text of a number in every form a shop writes, and its value."""
    sign = draw(st.sampled_from(["", "-", "+", "- "]))
    whole, rest, den = draw(NAT), draw(NAT), draw(st.integers(1, 128))
    form = draw(st.sampled_from(["decimal", "point", "fraction", "mixed", "power"]))
    power = draw(st.integers(-12, 12))
    digits = len(str(rest))
    text, value = {
        "decimal": (f"{whole}.{rest}", whole + Fraction(rest, 10**digits)),
        "point": (f".{rest}", Fraction(rest, 10**digits)),
        "fraction": (f"{rest}/{den}", Fraction(rest, den)),
        "mixed": (f"{whole} {rest % den}/{den}", whole + Fraction(rest % den, den)),
        "power": (f"{whole}.e{power}", whole * Fraction(10) ** power),
    }[form]
    return sign + text, -value if "-" in sign else value


@given(numbers())
def test_a_number_means_what_a_shop_means(number: tuple[str, Fraction]) -> None:
    text, value = number
    assert parse_number(text) == value


@given(numbers(), st.sampled_from(WORDS), st.data())
def test_every_quantity_reads_back_exactly_in_every_unit(
    number: tuple[str, Fraction], word: Any, data: Any
) -> None:
    dimension, unit = word
    value = parse_quantity(f"{number[0]} {unit}", dimension)
    other = data.draw(st.sampled_from(UNITS[dimension]))
    assert parse_quantity(write_quantity(value, other, dimension), dimension) == value
    if dimension != "temperature":
        assert value == number[1] * unit_factor(unit)


@given(numbers(), st.sampled_from(WORDS))
def test_a_unit_belongs_to_its_dimensions_only(number: tuple[str, Fraction], word: Any) -> None:
    for dimension, words in UNITS.items():
        if word[1] not in words:
            with pytest.raises(QuantityError) as caught:
                parse_quantity(f"{number[0]} {word[1]}", dimension)
            assert caught.value.code == "RW104"
            assert all(allowed in caught.value.do for allowed in words)


@given(
    st.one_of(st.text(), st.text(alphabet="1270/.e- inmd°'\",", max_size=12)), st.sampled_from(sorted(UNITS))
)
def test_any_text_is_read_or_refused(text: str, dimension: str) -> None:
    refused = refusal(text, dimension)
    assert refused is None or (refused.code in CODES and len(str(refused)) < 400)


def refusal(text: str, dimension: str) -> QuantityError | None:
    try:
        parse_quantity(text, dimension)
    except QuantityError as error:
        return error
    return None


TRAPS = {
    "17 1/2": "RW104", "17": "RW104", "17 1/2 inch": "RW104", "17 IN": "RW104", "16 g": "RW104",
    "17 lb": "RW104",
    "17 mm2": "RW104", '5\' 3"': "RW104", '5"': "RW104", "1 2 in": "RW104", "17 1/2 in in": "RW104",
    "0x10 in": "RW104", "1e in": "RW104", "17 - 1/2 in": "RW104", "1 1/2/3 in": "RW104",
    "17\n1/2 in": "RW104",
    "": "RW105", "in": "RW105", " ": "RW105", "NaN in": "RW105", "inf in": "RW105", "--3 in": "RW105",
    "1/0 in": "RW105", "3 0/0 in": "RW105", "17 3/2 in": "RW105", "17 2/2 in": "RW105", "1e999 in": "RW105",
    "1e-999999999999 in": "RW105", "17,5 in": "RW105", "1,000 in": "RW105", "1_000 in": "RW105",
    "17-1/2 in": "RW105",
    "17.5.2 in": "RW105", "1/2/3 in": "RW105", "1.5/2 in": "RW105", "1/2.5 in": "RW105", ". in": "RW105",
    "١٧ in": "RW105", "１７ in": "RW105", "1٧ in": "RW104", "½ in": "RW105", "17½ in": "RW104",
    "−3 in": "RW105",
    "9" * 5000 + " in": "RW105", "1/" + "9" * 5000 + " in": "RW105", "9" * 5000 + " 1/2 in": "RW105",
    "0." + "1" * 2_000_000 + " in": "RW105", "1 " + "x" * 2_000_000: "RW104", "/" * 2_000_000: "RW105",
}  # fmt: skip


@pytest.mark.parametrize("text", TRAPS, ids=lambda text: text[:20] or "empty")
def test_a_length_misread_elsewhere_is_refused_here(text: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, "length")
    assert caught.value.code == TRAPS[text]
    assert len(str(caught.value)) < 400


def test_no_farad_and_no_gram() -> None:
    for text, dimension in (("375 F", "temperature"), ("375 °F", "temperature"), ("375", "temperature"),
                            ("16 g", "mass"), ("16 lbf", "mass"), ("16 lb", "force")):  # fmt: skip
        with pytest.raises(QuantityError) as caught:
            parse_quantity(text, dimension)
        assert caught.value.code == "RW104"


def test_forms_of_one_length() -> None:
    forms = [
        "17 1/2 in",
        "17.5 in",
        "17.50in",
        " 17  1/2  in ",
        "+17.5 in",
        "35/2 in",
        "1.75e1 in",
        "444.5 mm",
        "17500 mil",
    ]
    assert {parse_quantity(form, "length") for form in forms} == {Fraction("0.4445")}


@given(st.integers(-(10**7), 10**7))
def test_shop_steps_are_whole_nanometres(steps: int) -> None:
    """0.0001 in = 2540 nm, 0.001 mm = 1000 nm, 1/64 in = 396 875 nm, all exactly."""
    assert to_nm(parse_quantity(f"{steps}e-4 in", "length")) == 2540 * steps
    assert to_nm(parse_quantity(f"{steps}e-3 mm", "length")) == 1000 * steps
    assert to_nm(parse_quantity(f"{steps}/64 in", "length")) == 396_875 * steps
    assert to_nm(Fraction(steps, NM_PER_M)) == steps


@pytest.mark.parametrize("text", ["1/3 in", "1/128 in", "0.000001 in", "0.0000001 mm"])
def test_a_length_between_nanometres_is_refused(text: str) -> None:
    with pytest.raises(QuantityError) as caught:
        to_nm(parse_quantity(text, "length"))
    assert caught.value.code == "RW105"


def test_temperatures_at_their_fixed_points() -> None:
    """Ice 32 degF = 0 degC = 273.15 K, boiling 212 degF = 100 degC; -40 is the same on both scales."""
    for one, other in (
        ("32 degF", "0 degC"),
        ("212 degF", "100 degC"),
        ("-40 degF", "-40 degC"),
        ("0 degC", "273.15 K"),
    ):
        assert parse_quantity(one, "temperature") == parse_quantity(other, "temperature")
    assert parse_quantity("-459.67 degF", "temperature") == 0


def test_writing_in_a_unit_of_another_dimension_is_our_mistake() -> None:
    with pytest.raises(KeyError):
        write_quantity(Fraction(1), "lb", "force")


LIBRARY: Any = pint.UnitRegistry()
# The peer: the same unit, spelt in full by hand, through the library's own floating-point conversion.
PEER = {
    "in": "inch", "ft": "foot", "mil": "thou", "um": "micron", "m2": "meter**2", "in2": "square_inch",
    "ft2": "square_foot", "mm2": "millimeter**2", "cm2": "centimeter**2", "lb": "avoirdupois_pound",
    "oz": "avoirdupois_ounce", "N": "newton", "kN": "kilonewton", "daN": "dekanewton", "kip": "kip",
    "Pa": "pascal",
    "psi": "pound_force_per_square_inch", "ksi": "kip / inch**2", "Msi": "1000 * kip / inch**2",
    "kg/m2": "kilogram / meter**2", "lb/ft2": "pound / square_foot",
    "kg/m3": "kilogram / meter**3", "lb/in3": "pound / cubic_inch", "gram/cm3": "gram / milliliter",
    "N/m": "newton / meter", "lbf/in": "force_pound / inch", "N/mm": "newton / millimeter",
    "kN/m": "kilonewton / meter",
    "N*m": "joule", "in*lbf": "inch * force_pound", "ft*lbf": "foot_pound", "lbf/ft": "force_pound / foot",
    "rad": "radian", "deg": "arcminute * 60", "min": "60 * second", "h": "60 * minute", "day": "24 * hour",
    "Hz": "1 / second", "rpm": "1 / minute", "in/min": "inch / minute", "ft/min": "foot / minute",
    "mm/min": "millimeter / minute", "m3": "kiloliter", "in3": "cubic_inch", "ft3": "cubic_foot",
    "mm3": "microliter", "hp": "horsepower", "ohm": "volt / ampere", "mohm": "milliohm", "Mohm": "megaohm",
    "1/s": "1 / second", "1/h": "1 / hour", "1/degF": "9 / 5 / kelvin", "1/degC": "1 / kelvin",
}  # fmt: skip


@pytest.mark.parametrize(("dimension", "word"), LINEAR, ids=str)
def test_factors_agree_with_the_library_in_floats(dimension: str, word: str) -> None:
    si = LIBRARY.parse_expression(PEER.get(UNITS[dimension][0], UNITS[dimension][0]))
    peer = LIBRARY.parse_expression(PEER.get(word, word))
    assert float(unit_factor(word)) == pytest.approx(float((peer / si).to("").magnitude), rel=1e-14)


def test_the_first_word_of_every_dimension_is_si() -> None:
    assert {unit_factor(words[0]) for words in UNITS.values() if words[0] != "K"} == {1}
