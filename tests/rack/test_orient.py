"""The turn between rack and aircraft axes: a rotation about the vertical, with port to the left of the nose."""

from __future__ import annotations

import numpy as np
import pytest

from racks import IN, STANDARD, rack_of, swap
from rackwright.rack import aircraft_axes
from rackwright.rack.orient import station_of

FORWARD = ("+x", "-x", "+y", "-y")


@pytest.mark.parametrize("forward", FORWARD)
def test_it_is_a_rotation_that_keeps_up(forward: str) -> None:
    turn = aircraft_axes(forward)
    assert np.array_equal(turn @ turn.T, np.eye(3))
    assert np.linalg.det(turn) == pytest.approx(1.0)
    assert np.array_equal(turn @ [0, 0, 1], [0, 0, 1])


@pytest.mark.parametrize(
    ("forward", "nose", "port"),
    [("-y", [0, -1, 0], [1, 0, 0]), ("+y", [0, 1, 0], [-1, 0, 0]), ("+x", [1, 0, 0], [0, 1, 0]),
     ("-x", [-1, 0, 0], [0, -1, 0])],
)  # fmt: skip
def test_where_nose_and_port_lie(forward: str, nose: list[int], port: list[int]) -> None:
    """Who stands before a rack whose front faces the nose looks aft: the aircraft's left is on the right hand."""
    assert np.array_equal(aircraft_axes(forward).T @ [1, 0, 0], nose)
    assert np.array_equal(aircraft_axes(forward).T @ [0, 1, 0], port)


def test_a_half_turn_is_two_quarters() -> None:
    quarter = aircraft_axes("-y") @ aircraft_axes("+x").T
    assert np.array_equal(quarter @ quarter, aircraft_axes("-y") @ aircraft_axes("+y").T)


@pytest.mark.parametrize(
    ("forward", "expected"),
    [("-y", [212 + 2, -12 - 1, 41.25 + 3]), ("+y", [212 - 2, -12 + 1, 41.25 + 3]),
     ("+x", [212 - 1, -12 - 2, 41.25 + 3]), ("-x", [212 + 1, -12 + 2, 41.25 + 3])],
)  # fmt: skip
def test_station_grows_aft_buttock_line_to_starboard(forward: str, expected: list[float]) -> None:
    """A rack point 1 in right, 2 in back and 3 in up of an origin at station 212, buttock -12, waterline 41.25."""
    aircraft = rack_of(swap(STANDARD, ('forward = "-y"', f'forward = "{forward}"'))).definition.aircraft
    assert aircraft is not None
    found = station_of(aircraft, np.array([1.0, 2.0, 3.0]) * IN)
    assert found is not None
    assert found / IN == pytest.approx(np.array(expected))


def test_without_an_origin_there_is_no_station() -> None:
    origin = 'origin = { station = "212 in", buttock_line = "-12 in", waterline = "41.25 in" }\n'
    aircraft = rack_of(swap(STANDARD, (origin, ""))).definition.aircraft
    assert aircraft is not None
    assert station_of(aircraft, np.zeros(3)) is None
