"""Learning curves: what public pages print.

Documentation of a learning-curve package (read in a stored public copy): natural slopes of 80, 85 and 90 percent, and
rates of given slopes. A public appendix on learning-curve mathematics: by the cumulative-average model at 80 percent
the second unit takes 60 percent of the first, four units average 64 percent. A public chapter on the Crawford model
prints the slope of 80 percent. Totals of four racks at 80 percent are worked by hand from the two statements.
"""

from __future__ import annotations

import pytest

from rackwright.formulas import learning

PACKAGE, APPENDIX, CHAPTER = (
    "learning-curve package docs",
    "learning-curve appendix",
    "learning-curve chapter 19",
)


@pytest.mark.parametrize(
    ("rate", "slope"), [(0.80, "-0.3219281"), (0.85, "-0.2344653"), (0.90, "-0.1520031")]
)
def test_natural_slopes(published, rate, slope):
    published(PACKAGE, f"natural_slope, {rate:.0%}", learning.learning_slope(rate), slope, "published")


@pytest.mark.parametrize(
    ("slope", "rate"), [("-0.19", 0.8766057), ("-0.22", 0.8585654), ("-0.25", 0.8408964)]
)
def test_rates_of_slopes(published, slope, rate):
    """Printed to seven digits; put back, they give the slope they were printed for to 1e-6."""
    published(
        PACKAGE, f"lc_rate, slope {slope}", learning.learning_slope(rate), float(slope), "published", tol=1e-6
    )


def test_the_second_unit_and_the_average_of_four(published):
    published(APPENDIX, "model A, second unit", learning.average_unit(1.0, 2, 0.8), "0.60", "published")
    published(
        APPENDIX, "model A, average of four", learning.average_total(1.0, 4, 0.8) / 4, "0.64", "published"
    )


def test_slope_of_the_chapter(published):
    published(CHAPTER, "m = ln(0.80)/ln 2", learning.learning_slope(0.8), "-0.32193", "published")


def test_four_racks_by_both_models(published):
    """100 h for the first: Wright 100 x 0.64 x 4 = 256 h; Crawford 100 + 80 + 70.21 + 64 = 314.21 h."""
    crawford = sum(float(learning.unit_hours(100.0, n, 0.8)) for n in range(1, 5))
    published(
        "statements of the two models",
        "Wright, four",
        learning.average_total(100.0, 4, 0.8),
        "256.00",
        "closed form",
    )
    published("statements of the two models", "Crawford, four", crawford, "314.21", "closed form")
