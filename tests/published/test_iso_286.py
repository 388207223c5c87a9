"""Limits and fits of ISO 286, from public pages.

How known: all pages were read, none is the standard itself. Grades stand in two tables of standard tolerances
("DIN ISO 286 standard tolerance zone" and "ISO 286 IT Grades 1 to 14"), which agree; limits of shafts in a page's table
of JIS B 0401 (1999), whose sizes are those of ISO 286; fits stand worked out in an
examination answer (64 H8/f7), a page on the standard (50 g6) and a page that computes fits (25 H7/h6). The examination
answer prints a tolerance unit of 1.859 where its own formula gives 1.856, and is not followed in that.
"""

from __future__ import annotations

from math import sqrt

import pytest

from rackwright.formulas import fits
from rackwright.reference import shipped
from rackwright.reference.rows import FitStep

TABLE = "ISO 286 table (public pages)"
MULTIPLES = {5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100}


def step(size: float) -> FitStep:
    """The step of a nominal size in mm."""
    (row,) = (row for row in shipped().fit_steps.values() if row.over < size / 1e3 <= row.to)
    return row


def shaft(size: float, fit: str) -> tuple[float, float]:
    """Upper and lower deviation, micrometres."""
    found = step(size).limits(fit[0], int(fit[1:]))
    assert found is not None
    return found[0] * 1e6, found[1] * 1e6


def hole(size: float, grade: int) -> float:
    """Upper deviation of H, micrometres."""
    return step(size).grades_um[grade - 5]


@pytest.mark.parametrize(("size", "grade", "theirs"), [(8, 7, "15"), (25, 9, "52"), (40, 6, "16"), (60, 10, "120"),
                                                       (100, 8, "54"), (150, 11, "250")])  # fmt: skip
def test_standard_tolerances(published, size, grade, theirs):
    published(TABLE, f"IT{grade} at {size} mm", hole(size, grade), theirs, "published")


@pytest.mark.parametrize(("size", "fit", "upper", "lower"), [
    (5, "d8", "-30", "-48"), (8, "e8", "-25", "-47"), (14, "e7", "-32", "-50"), (24, "f7", "-20", "-41"),
    (24, "g6", "-7", "-20"), (32, "d8", "-80", "-119"), (32, "d9", "-80", "-142"), (32, "e8", "-50", "-89"),
    (32, "f8", "-25", "-64"), (60, "d9", "-100", "-174"), (60, "e9", "-60", "-134"), (60, "h9", "0", "-74"),
])  # fmt: skip
def test_shafts(published, size, fit, upper, lower):
    source = "JIS B 0401 shafts (public page)"
    published(source, f"{size} {fit}, upper", shaft(size, fit)[0], upper, "published")
    published(source, f"{size} {fit}, lower", shaft(size, fit)[1], lower, "published")


def test_64_h8_f7(published):
    """Examination answer: D 63.246 mm, f at -30.115, hole +46, shaft -30 and -60."""
    source, D = "public examination answer, 64 H8/f7", sqrt(50 * 80) / 1e3
    published(source, "geometric mean, mm", D * 1e3, "63.246", "published")
    published(
        source, "f, micrometres", fits.deviation_of_shaft(5.5, 0.41, D) * 1e6, -30.115, "published", 1e-3
    )
    published(source, "hole, upper", hole(64, 8), "46", "published")
    published(source, "shaft, upper", shaft(64, "f7")[0], "-30", "published")
    published(source, "shaft, lower", shaft(64, "f7")[1], "-60", "published")
    published(source, "allowance", fits.least_clearance(0.0, shaft(64, "f7")[0]), "30", "published")


def test_50_g6(published):
    """A page on the standard: 50 g6 lies from 49.975 to 49.991 mm."""
    upper, lower = shaft(50, "g6")
    published("public page on ISO 286", "50 g6, largest, mm", 50 + upper / 1e3, "49.991", "published")
    published("public page on ISO 286", "50 g6, least, mm", 50 + lower / 1e3, "49.975", "published")


def test_25_h7_h6(published):
    """A page that computes fits: 25.000/25.021, 24.987/25.000, largest clearance 34, least 0."""
    source, (es, ei) = "public page of fits, 25 H7/h6", shaft(25, "h6")
    published(source, "hole, upper", hole(25, 7), "21", "published")
    published(source, "shaft, lower", ei, "-13", "published")
    published(source, "largest clearance", fits.largest_clearance(hole(25, 7), ei), "34", "published")
    published(source, "least clearance", fits.least_clearance(0.0, es), "0", "published")


def test_10_h7_g6(published):
    """Hole 0/+15, shaft -14/-5 read in public tables; clearances by their definition."""
    es, ei = shaft(10, "g6")
    published(TABLE, "10 g6, upper", es, "-5", "published")
    published(TABLE, "10 g6, lower", ei, "-14", "published")
    published("ISO 286", "10 H7/g6, least clearance", fits.least_clearance(0.0, es), 5.0, "closed form")
    published(
        "ISO 286", "10 H7/g6, largest clearance", fits.largest_clearance(hole(10, 7), ei), 29.0, "closed form"
    )


@pytest.mark.parametrize("row", shipped().fit_steps.values(), ids=lambda row: row.id)
def test_rows_are_the_formulas_rounded(row):
    """Grades by ISO's rounding to 1, 5 or 10 micrometres and within 2 percent above it; deviations to 1.6."""
    D = sqrt(row.over * row.to)
    for grade, k in MULTIPLES.items():
        exact, ours = float(fits.standard_tolerance(k, D)) * 1e6, row.grades_um[grade - 5]
        assert ours == pytest.approx(exact, abs=max(0.7, 0.025 * exact)), grade
    for letter, (C, x) in {"d": (16, 0.44), "e": (11, 0.41), "f": (5.5, 0.41), "g": (2.5, 0.34)}.items():
        exact = float(fits.deviation_of_shaft(C, x, D)) * 1e6
        assert -row.below_um["defgh".index(letter)] == pytest.approx(exact, abs=1.6), letter
