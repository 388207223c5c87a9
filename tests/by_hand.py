"""The demo's variation as hand calculations read it: its forces, its margins, and the root of an equation."""

from __future__ import annotations

from functools import cache
from math import pi

import numpy as np
import pytest

from racks import (
    IN,
    LBF,
    STANDARD,
    VARIATION,
    design_of,
    still,
)
from rackwright.design import Design
from rackwright.strength import analyse
from rackwright.strength.cases import load_cases
from rackwright.strength.factors import fitting_factor
from rackwright.strength.margin import Margin
from rackwright.strength.run import Run

FITTING = 1.15  # 14 CFR 29.625(a)
KSI = LBF * 1000 / IN**2
Array = np.ndarray
#: 1.5 x 0.125 in tube with corners of 3/16 in: area and second moment by the section's own arithmetic
AREA = 1.5**2 - 1.25**2 - (4 - pi) * (0.1875**2 - 0.0625**2)
SECOND = 0.2045072005  # in⁴, a published meshed section


@cache
def demo() -> Design:
    return design_of(STANDARD, VARIATION)


@cache
def run() -> Run:
    """The demo, solved here once more for its forces."""
    assert fitting_factor(demo().rack)[0] == FITTING
    return again(demo())


def again(design: Design) -> Run:
    return analyse.solved(design.rack, design.pieces, design.strength.model, load_cases(design.rack))


@cache
def drawn() -> dict[str, Margin]:
    """The demo's margins as it was drawn: on a rack that tilts, what statics gives changes a little."""
    return still(demo())


def margin_of(id: str) -> float:
    (found,) = [one for one in demo().strength.margins if one.id == id]
    assert found.margin is not None, found.why_missing
    return found.margin


def tensions(name: str) -> Array:
    """(pretension, case) in lbf."""
    return run().response.tie_force[..., run().model.straps.index(name)] / LBF


def solved(equation: object, high: float = 1e4) -> float:
    """The k at which a rising utilisation reaches one, by halving."""
    low = 0.0
    for _ in range(70):
        middle = (low + high) / 2
        low, high = (middle, high) if equation(middle) < 1 else (low, middle)  # type: ignore[operator]
    return low


def plastic(b: float, r: float) -> float:
    """Of a square with rounded corners: each corner a square of side r less its quarter disc."""
    corner = r**2 * (b / 2 - r / 2) - pi * r**2 / 4 * (b / 2 - r + 4 * r / (3 * pi))
    return b**3 / 4 - 4 * corner


def sheared(forces: np.ndarray) -> np.ndarray:
    """T/(2 Am t) round the wall, Am = 1.375² less its corners of 1/8 in; V q/(I 2 t), q half the plastic modulus."""
    f = np.abs(forces)
    enclosed = 1.375**2 - (4 - pi) * 0.125**2
    q = (plastic(1.5, 0.1875) - plastic(1.25, 0.0625)) / 2
    assert 2 * q == pytest.approx(0.33615, abs=5e-6)
    torsion = f[..., 3] / LBF / IN / (2 * enclosed * 0.125)
    return torsion + (f[..., 1] + f[..., 2]) / LBF * q / (SECOND * 0.25)
