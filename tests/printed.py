"""Numbers as a source prints them, and the tolerance its digits allow."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest

__all__ = ["as_printed", "half_digit"]


def half_digit(text: str) -> float:
    """Half of the last printed digit: 0.005 for "11.69", 0.5 for "2,126", 5e-5 for "1.234e-1"."""
    exponent = _decimal(text).as_tuple().exponent
    assert isinstance(exponent, int), text
    return 0.5 * 10.0**exponent


def as_printed(text: str) -> Any:
    """What compares equal to every number that would print as this text: `assert x == as_printed("11.69")`."""
    return pytest.approx(float(_decimal(text)), abs=half_digit(text) * (1 + 1e-9), rel=0)


def _decimal(text: str) -> Decimal:
    return Decimal(re.sub(r"(?<=\d),(?=\d{3})", "", text.strip()))
