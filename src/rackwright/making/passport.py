"""A rack's passport against another's: do the measured points of two racks agree?

Two answers side by side. Datum-fixed: the points as measured from each rack's datum, which is what a part that is
located on the datum sees. Best fit: rack B turned and moved as a rigid body onto rack A by least squares (Kabsch,
by singular values), which tells how far their shapes differ. The rotation's determinant is always +1: a mirrored
rack is never fitted by a reflection, and is named. Least squares can hide one bad point among good ones, so the
largest residual is given beside the root mean square, and a third answer: the fit whose largest difference along any
axis is least (minimax), which no other placing of the rack can beat. It is found by linear programs in small turns
about the last fit until the turn vanishes.
Source: W. Kabsch, Acta Cryst. A32 (1976) 922, from memory; the derivation is elementary.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.spatial.transform import Rotation

from rackwright.located import read_table
from rackwright.trouble import Fault, Where

__all__ = ["PassportGap", "best_fit", "minimax_fit", "passport_gap", "read_points"]

Vector = NDArray[np.float64]
Coordinates = tuple[float, float, float]
CODE = "RW435"
UNITS = {"in": 0.0254, "mm": 0.001}
FLAT = 1e-9  # of the largest singular value: points in a line leave a turn about it free


@dataclass(frozen=True, eq=False)
class PassportGap:
    """Two racks at the points measured on both: `b` (n, 3) against `a` (n, 3), named; what was measured on one only.

    Residuals by point are B less A, in the unit of the points: datum-fixed, and after each fit. The fits are made when
    they are asked for; they are empty with fewer than three points, or with points in one line: those fix no rotation.
    """

    names: tuple[str, ...]
    a: Vector
    b: Vector
    only_one: tuple[str, ...]

    @cached_property
    def fixed(self) -> dict[str, Coordinates]:
        return self._by_name(self.b)

    @cached_property
    def fitted(self) -> dict[str, Coordinates]:
        """After the best rigid fit by least squares."""
        return self._by_name(self._moved) if self._fit[3] else {}

    @cached_property
    def least(self) -> dict[str, Coordinates]:
        """After the minimax fit."""
        return self._by_name(minimax_fit(self._moved, self.a)) if self._fit[3] else {}

    @property
    def rotation(self) -> Vector:
        """(3, 3), of the least squares."""
        return self._fit[0]

    @property
    def mirrored(self) -> bool:
        """Would a reflection fit better: a left-hand rack entered for a right-hand one?"""
        return self._fit[2]

    @cached_property
    def _fit(self) -> tuple[Vector, Vector, bool, bool]:
        return best_fit(self.b, self.a)

    @property
    def _moved(self) -> Vector:
        rotation, translation, _, _ = self._fit
        return np.asarray(self.b @ rotation.T + translation)

    def _by_name(self, points: Vector) -> dict[str, Coordinates]:
        return dict(zip(self.names, map(_triple, points - self.a), strict=True))

    @property
    def most_fixed(self) -> tuple[str, float]:
        """The point that differs most along any one axis, datum-fixed, and by how much: what the limit judges."""
        return _most(self.fixed)

    @property
    def most_least(self) -> tuple[str, float]:
        """The point that differs most along any one axis after the minimax fit: no placing does better."""
        return _most(self.least)

    @property
    def rms_fitted(self) -> float:
        """Root mean square distance after the fit."""
        if not self.fitted:
            return 0.0
        return float(np.sqrt(np.mean([sum(x * x for x in row) for row in self.fitted.values()])))

    def within(self, limit: float) -> bool:
        """Do the two racks agree, datum-fixed, to this limit along every axis at every point?"""
        return not self.only_one and bool(self.fixed) and self.most_fixed[1] <= limit


def passport_gap(points_a: Mapping[str, Coordinates], points_b: Mapping[str, Coordinates]) -> PassportGap:
    """How two racks differ at the points that were measured on both, by name."""
    names = tuple(sorted(points_a.keys() & points_b.keys()))
    only_one = tuple(sorted(points_a.keys() ^ points_b.keys()))
    a, b = (np.array([of[name] for name in names], dtype=float).reshape(-1, 3) for of in (points_a, points_b))
    return PassportGap(names, a, b, only_one)


def read_points(data: bytes, file: str) -> tuple[dict[str, Coordinates], list[Fault]]:
    """Measured points of a rack in jig axes, m, from a CSV with the columns point, x_in, y_in, z_in (or _mm).

    Every fault is named with its line (RW003 to RW005, RW435); blank is not zero.
    """
    rows, faults = read_table(data, file, CODE)
    if not rows:
        return {}, faults
    (line, heading), *measured = rows
    unit = next((unit for unit in UNITS if heading == ("point", *(f"{axis}_{unit}" for axis in "xyz"))), None)
    if unit is None:
        do = "head the columns point,x_in,y_in,z_in or point,x_mm,y_mm,z_mm"
        return {}, [Fault(CODE, Where(file, line), f"columns {', '.join(heading)[:60]}", do)]
    points: dict[str, Coordinates] = {}
    for line, (name, *cells) in measured:
        values = [_number(cell) for cell in cells]
        for axis, cell, value in zip("xyz", cells, values, strict=True):
            if value is None:
                do = "give what was read; a blank is not a zero"
                faults.append(Fault(CODE, Where(file, line, axis), f"{cell[:40]!r} is no coordinate", do))
        if name in points or not name:
            found = f"{name[:60]} is there twice" if name else "a point without a name"
            faults.append(
                Fault(CODE, Where(file, line, "point"), found, "name each point once, as on the jig sheet")
            )
        points[name] = (
            (values[0] or 0.0) * UNITS[unit],
            (values[1] or 0.0) * UNITS[unit],
            (values[2] or 0.0) * UNITS[unit],
        )
    return ({}, faults[:50]) if faults else (points, [])


def _number(cell: str) -> float | None:
    """A plain decimal within a hundred thousand, or None."""
    return float(cell) if re.fullmatch(r"[-+]?\d{1,5}(\.\d{1,9})?", cell, re.ASCII) else None


def best_fit(moving: Vector, onto: Vector) -> tuple[Vector, Vector, bool, bool]:
    """Rotation (3, 3), translation (3,), mirrored?, determined? that bring `moving` (n, 3) onto `onto` (n, 3).

    Determined only with three or more points that are not in one line; else the unit rotation and no translation.
    """
    if len(moving) < 3:
        return np.eye(3), np.zeros(3), False, False
    centre, wanted = moving.mean(axis=0), onto.mean(axis=0)
    u, s, vt = np.linalg.svd((moving - centre).T @ (onto - wanted))
    if s[1] <= FLAT * s[0]:
        return np.eye(3), np.zeros(3), False, False
    sign = float(np.sign(np.linalg.det(vt.T @ u.T)))
    rotation = vt.T @ np.diag([1.0, 1.0, sign]) @ u.T
    mirrored = sign < 0 and bool(s[2] > FLAT * s[0])  # of flat points a mirror image is a turn
    return rotation, wanted - rotation @ centre, mirrored, True


def minimax_fit(moving: Vector, onto: Vector) -> Vector:
    """`moving` (n, 3) turned and moved so that its largest difference to `onto` along any axis is least.

    It starts near its place (a least-squares fit). With p a point about the middle and w a small turn, p moves by
    w × p + t: minimise e with |p + w × p + t - a| <= e at every point and axis; a step that does not lessen the true
    difference is tried again shorter.
    """
    points, n, reach = np.array(moving), len(moving), 0.1  # rad, how far the small turn is trusted
    for _ in range(60):
        p = points - points.mean(axis=0)
        turn = np.zeros((3 * n, 3))
        for k in range(3):
            turn[:, k] = np.cross(np.eye(3)[k], p).ravel()
        off, one = (points - onto).ravel(), np.ones((3 * n, 1))
        most = float(np.abs(off).max())
        if most == 0.0 or reach < 1e-12:
            break
        field = np.hstack([turn, np.tile(np.eye(3), (n, 1))])
        lines = np.vstack([np.hstack([field, -one]), np.hstack([-field, -one])])
        found = linprog([0.0] * 6 + [1.0], lines, np.concatenate([-off, off]) / most,  # in units of the difference
                        bounds=[(-reach / most, reach / most)] * 3 + [(None, None)] * 3 + [(0, None)],
                        method="highs")  # fmt: skip
        if not found.success:
            break
        step = np.asarray(found.x) * most
        better = p @ Rotation.from_rotvec(step[:3]).as_matrix().T + points.mean(axis=0) + step[3:6]
        if np.abs(better - onto).max() < most * (1 - 1e-12):
            points = better
        else:
            reach /= 4
    return points


def _most(rows: Mapping[str, Coordinates]) -> tuple[str, float]:
    return max(
        ((name, max(map(abs, row))) for name, row in rows.items()), key=lambda one: one[1], default=("", 0.0)
    )


def _triple(row: Vector) -> Coordinates:
    return float(row[0]), float(row[1]), float(row[2])
