"""A rack's passport against another's: do the measured points of two racks agree?

Two answers side by side. Datum-fixed: the points as measured from each rack's datum, which is what a part that is
located on the datum sees. Best fit: rack B turned and moved as a rigid body onto rack A by least squares (Kabsch,
by singular values), which tells how far their shapes differ. The rotation's determinant is always +1: a mirrored
rack is never fitted by a reflection, and is named. Least squares can hide one bad point among good ones, so the
largest residual is given beside the root mean square.
Source: W. Kabsch, Acta Cryst. A32 (1976) 922, from memory; the derivation is elementary.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["PassportGap", "best_fit", "passport_gap"]

Vector = NDArray[np.float64]
Coordinates = tuple[float, float, float]
FLAT = 1e-9  # of the largest singular value: points in a line leave a turn about it free


@dataclass(frozen=True)
class PassportGap:
    """Residuals by point, in the unit of the points: B less A, datum-fixed and after the best rigid fit.

    `fitted` is empty with fewer than three points, or with points in one line: they fix no rotation.
    """

    fixed: dict[str, Coordinates]
    fitted: dict[str, Coordinates]
    rotation: tuple[Coordinates, Coordinates, Coordinates]
    translation: Coordinates
    mirrored: bool  # a reflection would fit better: a left-hand rack entered for a right-hand one
    only_one: tuple[str, ...]  # measured on one of the two

    @property
    def most_fixed(self) -> tuple[str, float]:
        """The point that differs most along any one axis, datum-fixed, and by how much: what the limit judges."""
        return _most(self.fixed)

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
    names = sorted(points_a.keys() & points_b.keys())
    only_one = tuple(sorted(points_a.keys() ^ points_b.keys()))
    a = np.array([points_a[name] for name in names], dtype=float).reshape(-1, 3)
    b = np.array([points_b[name] for name in names], dtype=float).reshape(-1, 3)
    fixed = dict(zip(names, map(_triple, b - a), strict=True))
    rotation, translation, mirrored, determined = best_fit(b, a)
    moved = b @ rotation.T + translation
    fitted = dict(zip(names, map(_triple, moved - a), strict=True)) if determined else {}
    turn = (_triple(rotation[0]), _triple(rotation[1]), _triple(rotation[2]))
    return PassportGap(fixed, fitted, turn, _triple(translation), mirrored, only_one)


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


def _most(rows: Mapping[str, Coordinates]) -> tuple[str, float]:
    return max(
        ((name, max(map(abs, row))) for name, row in rows.items()), key=lambda one: one[1], default=("", 0.0)
    )


def _triple(row: Vector) -> Coordinates:
    return float(row[0]), float(row[1]), float(row[2])
