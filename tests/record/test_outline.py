"""The area of a plate in whole square nanometres, and its outline from its low corner."""

from __future__ import annotations

import pytest

from rackwright.record.outline import area_of, corners_of

STEPPED = [[10, 20], [17, 20], [17, 23], [14, 23], [14, 31], [10, 31]]


@pytest.mark.parametrize(
    ("outline", "area"),
    [
        ([[10, 10], [14, 10], [14, 15], [10, 15]], 20),
        (STEPPED, 7 * 3 + 4 * 8),
        ([[0, 0], [6, 0], [0, 4]], 12),
        ([[3, 5], [6, 5], [3, 8]], 4),  # four and a half
        ([[-2, -3], [5, -3], [5, 1], [-2, 1]], 28),
        ([[2, 1], [9, 4], [7, 12], [1, 6]], 49),
    ],
)
def test_an_outline_has_the_area_that_it_goes_round_wherever_it_lies_and_begins(
    outline: list[list[int]], area: int
) -> None:
    for first in range(len(outline)):
        turned = outline[first:] + outline[:first]
        assert area_of(turned) == area
        assert area_of([[x + 7, y - 40] for x, y in turned]) == area
        assert area_of(corners_of(turned)) == area


def test_an_outline_is_kept_from_the_low_corner_of_the_box_round_it_and_not_turned() -> None:
    assert corners_of(STEPPED) == ((0, 0), (7, 0), (7, 3), (4, 3), (4, 11), (0, 11))
    assert corners_of([[4, -6], [9, -2], [2, 3]]) == ((2, 0), (7, 4), (0, 9))
