"""The area of a plate's outline in whole square nanometres, and the outline seen from its own low corner.

Twice a polygon's area is a whole number where its corners are (shoelace formula: Meister 1769, memory); an odd one is
rounded down, once and everywhere alike, so that areas add up to the last square nanometre.
"""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["Corners", "area_of", "corners_of"]

Corners = tuple[tuple[int, int], ...]


def corners_of(outline: Sequence[Sequence[int]]) -> Corners:
    """As an event keeps it, from the low corner of the box round it. It is not turned: the grain stays along x."""
    low = [min(point[i] for point in outline) for i in (0, 1)]
    return tuple((x - low[0], y - low[1]) for x, y in outline)


def area_of(outline: Sequence[Sequence[int]]) -> int:
    """nm², of an outline that goes round anticlockwise."""
    pairs = zip(outline, (*outline[1:], outline[0]), strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) // 2
