"""What a reading came to, in words: within, outside, or between a limit and the limit moved inward by the guard band.

Stands apart from the rule itself (guard_band.py), since the gates need no engineering for it.
"""

from __future__ import annotations

from decimal import Decimal

from rackwright.record.state import Measurement

__all__ = ["BETTER", "COARSE", "PLACES", "UNDECIDED", "missed", "too_coarse", "verdict"]

UNDECIDED = "within the limits, but not by the guard band"
BETTER = "measure with a better gauge, or raise a nonconformance"
COARSE = "is too coarse for the tolerance, which its guard band takes whole"
PLACES = 4  # decimals of the text of a limit moved


def too_coarse(lower: str, upper: str) -> bool:
    """Do the limits moved inward by the guard band leave nothing between them?"""
    low, high = (Decimal(text.partition(" ")[0]) if text else None for text in (lower, upper))
    return low is not None and high is not None and low >= high


def verdict(one: Measurement) -> str:
    """What a recorded reading came to, in a word for a table."""
    return "within" if one.within else "GUARD BAND" if one.undecided else "OUTSIDE"


def missed(one: Measurement) -> str:
    """The limits that a reading does not lie within: its own, or those moved inward by the guard band."""
    low, high = (one.accept_lower, one.accept_upper) if one.undecided else (one.lower, one.upper)
    limits = f"{low or 'no limit'} to {high or 'no limit'}"
    return f"{UNDECIDED}: {limits}" if one.undecided else f"outside {limits}"
