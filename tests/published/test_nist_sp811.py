"""Unit factors of NIST Special Publication 811 (2008), Guide for the Use of the SI, Appendix B.

How known: memory. Exact factors follow from the international yard and pound agreement of 1959 (yard =
0.9144 m, pound = 0.453 592 37 kg, cited in B.6) and standard gravity 9.806 65 m/s2 (3rd CGPM, 1901, cited
in B.8); the others are printed with seven digits in B.8 and are matched within half of the last one.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from rackwright.units import unit_factor

EXACT = {
    "in": Fraction("0.0254"), "ft": Fraction("0.3048"), "mil": Fraction("2.54e-5"),
    "in2": Fraction("6.4516e-4"),
    "ft2": Fraction("9.290304e-2"), "in3": Fraction("1.6387064e-5"), "ft3": Fraction("0.3048") ** 3,
    "lb": Fraction("0.45359237"), "oz": Fraction("0.45359237") / 16,
    "lbf": Fraction("0.45359237") * Fraction("9.80665"),
    "kip": 1000 * Fraction("0.45359237") * Fraction("9.80665"),
    "psi": Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2,
    "ft/min": Fraction("5.08e-3"), "h": Fraction(3600), "day": Fraction(86400),
}  # fmt: skip

PRINTED = {  # row of B.8: multiply by
    "oz": "2.834952E-02", "lbf": "4.448222E+00", "kip": "4.448222E+03", "psi": "6.894757E+03",
    "ksi": "6.894757E+06",
    "lb/in3": "2.767990E+04", "lbf/in": "1.751268E+02", "lbf/ft": "1.459390E+01", "in*lbf": "1.129848E-01",
    "ft*lbf": "1.355818E+00", "hp": "7.456999E+02", "in3": "1.638706E-05", "ft3": "2.831685E-02",
    "deg": "1.745329E-02",
}  # fmt: skip


@pytest.mark.parametrize("word", EXACT)
def test_b6_b8_exact_factor(word: str) -> None:
    assert unit_factor(word) == EXACT[word]


@pytest.mark.parametrize("word", PRINTED)
def test_b8_printed_factor(word: str) -> None:
    printed = Decimal(PRINTED[word])
    half = Fraction(Decimal((0, (5,), int(printed.as_tuple().exponent) - 1)))
    assert abs(unit_factor(word) - Fraction(printed)) <= half
