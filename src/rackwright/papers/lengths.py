"""Whole nanometres written for paper: inches to three places without the leading zero, millimetres kept.

Rounding is exact (integers, halves to even); the manner of writing follows ASME Y14.5 (memory): inch
dimensions omit the zero before the point, millimetre dimensions keep it.
"""

from __future__ import annotations

from fractions import Fraction

__all__ = ["dimension", "inches", "length", "millimetres"]

_NM = {"in": 25_400_000, "mm": 1_000_000}


def inches(nm: int, places: int = 3) -> str:
    """`40.500`, `.125`, `−.062`; zero is `0`."""
    text = _decimal(nm, "in", places)
    if text.strip("−0.") == "":
        return "0"
    return text.replace("0.", ".", 1) if text.lstrip("−").startswith("0.") else text


def millimetres(nm: int, places: int = 2) -> str:
    """`1028.70`, `0.50`."""
    return _decimal(nm, "mm", places)


def length(nm: int, unit: str) -> str:
    """A length in the shop's unit, without the unit word. `unit` is in or mm."""
    return inches(nm) if unit == "in" else millimetres(nm)


def dimension(nm: int, secondary_mm: bool) -> str:
    """A drawing's dimension: inches, and millimetres in brackets where asked for."""
    return f"{inches(nm)} [{millimetres(nm, 1)}]" if secondary_mm else inches(nm)


def _decimal(nm: int, unit: str, places: int) -> str:
    scaled = round(Fraction(nm * 10**places, _NM[unit]))
    digits = str(abs(scaled)).rjust(places + 1, "0")
    sign = "−" if scaled < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}" if places else f"{sign}{digits}"
