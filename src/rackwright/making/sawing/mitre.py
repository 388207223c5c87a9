"""Mitred ends on a bar: what a piece takes, and what turning every other piece over would save.

A blade at angle θ to the square takes kerf / cos θ along the bar. With both ends inward at θ and section depth h in the
plane of the mitre, a piece of long point L is L - 2 h tan θ at its short point. Cut one way, n of them take
n (L + kerf / cos θ); with every other one turned over, two neighbours share one slanted cut face and the same n take
(n - 1) h tan θ less. (Own derivation from the trapezoid; plans do not use it, they stay on the safe side.)
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, cos, floor, radians, tan

__all__ = ["STEEPEST", "flip_saving", "mitred_use", "short_point"]

STEEPEST = 60.0  # deg from the square: what a saw swings to (common practice, no source)
WHOLE = 1e-9  # a number so near to a whole one counts as it


def mitred_use(length: int, kerf: int, angles: Sequence[float]) -> int:
    """What one piece takes of a bar, rounded up: its long side and the wider of the two slanted cuts (deg)."""
    return length + ceil(kerf / cos(radians(max(angles))) - WHOLE)


def short_point(length: int, depth: int, angles: Sequence[float]) -> int:
    """Length of the short side, rounded down; 0 or less where the two ends meet before it."""
    return floor(length - depth * sum(tan(radians(angle)) for angle in angles) + WHOLE)


def flip_saving(number: int, depth: int, angles: Sequence[float]) -> int:
    """What `number` alike pieces in a row save when every other one is turned over, rounded down; 0 where the two ends
    are not mitred alike, since neighbours then share no face."""
    if len(set(angles)) != 1:
        return 0
    return floor(max(0, number - 1) * depth * tan(radians(angles[0])) + WHOLE)
