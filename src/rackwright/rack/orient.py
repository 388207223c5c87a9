"""Orientation of the rack in the aircraft: the one place where axes are turned.

Aircraft axes for vectors: x forward, y left (port), z up. The definition names the rack axis that points
to the nose; the rack stands upright, so z is shared and left = up × forward. The rows of the matrix are
the aircraft's axes in rack axes: `a = R @ r` turns a rack vector into aircraft axes, `r = R.T @ a` back.

Positions in the aircraft are given as station (positive aft), buttock line (positive right) and
waterline (positive up) of a datum that the aircraft's documents define.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from rackwright.rack.model import Aircraft

__all__ = ["SIGNS", "aircraft_axes", "station_of"]

SIGNS = (
    "Aircraft axes: x forward, y left, z up. Station positive aft, buttock line positive right, waterline up."
)

Vector = NDArray[np.float64]


def aircraft_axes(forward: str) -> Vector:
    """(3, 3) matrix from rack to aircraft axes for a rack axis such as "-y" that points to the nose."""
    nose = np.zeros(3)
    nose["xyz".index(forward[1])] = 1.0 if forward[0] == "+" else -1.0
    up = np.array([0.0, 0.0, 1.0])
    return np.array([nose, np.cross(up, nose), up])


def station_of(aircraft: Aircraft, point: Vector) -> Vector | None:
    """(station, buttock line, waterline) in metres of a rack point (m), or None without an origin."""
    if aircraft.origin is None:
        return None
    forward, left, up = aircraft_axes(aircraft.forward) @ point
    origin = aircraft.origin
    datum = np.array([origin.station, origin.buttock_line, origin.waterline]) * 1e-9
    return np.asarray(datum + np.array([-forward, -left, up]))
