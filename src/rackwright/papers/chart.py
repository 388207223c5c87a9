"""A chart of lines over time or frequency, drawn with the same strokes and letters as the drawings.

Straight lines join the readings, as the judgement of the log takes them. Windows are shaded between two times from
a level upward; limits are dashed lines with their words. Logarithmic scales have ticks at 1, 2 and 5 of each decade
below three of them, else at each decade.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from rackwright.papers.sheet_frame import place_apart
from rackwright.papers.sketch import DASHED, QUIET, THICK, THIN, XY, Sheet

__all__ = ["Chart", "Limit", "Line", "Window", "chart_svg"]

WIDE, HIGH = 170.0, 88.0
LEFT, RIGHT, TOP, BOTTOM = 16.0, 36.0, 6.0, 14.0
STROKES: tuple[tuple[float, tuple[float, ...], str], ...] = (
    (0.5, (), "#0f4c75"), (0.4, (3.0, 1.0), "#8a3b12"), (0.4, (1.0, 1.0), "#2f5d3a"),
    (0.35, (5.0, 1.0, 1.0, 1.0), "#4d5860"),
)  # fmt: skip


@dataclass(frozen=True)
class Line:
    name: str
    points: tuple[XY, ...]


@dataclass(frozen=True)
class Limit:
    """A level with its words."""

    words: str
    level: float


@dataclass(frozen=True)
class Window:
    """A shaded stretch of time above a level."""

    start: float
    end: float
    level: float
    words: str = ""


@dataclass(frozen=True)
class Chart:
    """`x` and `y` are the words at the axes, with units. Raises ValueError without two different times."""

    alt: str
    x: str
    y: str
    lines: tuple[Line, ...]
    limits: tuple[Limit, ...] = ()
    windows: tuple[Window, ...] = ()
    logarithmic: bool = False  # both scales; every value is then above zero


def chart_svg(chart: Chart) -> str:
    """The chart as a standalone SVG text."""
    times = [x for line in chart.lines for x, _ in line.points]
    if not times or min(times) == max(times):
        raise ValueError("a chart needs two times")
    values = [y for line in chart.lines for _, y in line.points] + [limit.level for limit in chart.limits]
    scale: Callable[[float], float] = log10 if chart.logarithmic else float
    if chart.logarithmic:
        xs, ys = _decades(min(times), max(times)), _decades(min(values), max(values))
    else:
        xs, ys = _ticks(min(times), max(times), 8), _ticks(min(values), max(values), 7)
    left, right, low, high = (scale(v) for v in (xs[0], xs[-1], ys[0], ys[-1]))
    sheet = Sheet(WIDE, HIGH, chart.alt)
    room = (WIDE - LEFT - RIGHT, HIGH - TOP - BOTTOM)

    def at(x: float, y: float) -> XY:
        return (
            LEFT + (scale(x) - left) / (right - left) * room[0],
            HIGH - BOTTOM - (scale(y) - low) / (high - low) * room[1],
        )

    for window in chart.windows:
        (x0, y0), (x1, _) = at(window.start, window.level), at(window.end, window.level)
        sheet.poly(((x0, TOP), (x1, TOP), (x1, y0), (x0, y0)), 0.1, "#e3ecf3", colour="#9fb4c6")
        sheet.fit(((x0 + x1) / 2, y0 + 3.2), window.words, max(x1 - x0 - 1, 1.0), 2.3, "middle")
    for x in xs:
        (px, py) = at(x, ys[0])
        sheet.line((px, TOP), (px, py), 0.07, colour="#c9d1d8")
        sheet.text((px, py + 3.6), f"{x:g}", 2.4, "middle")
    for y in ys:
        (px, py) = at(xs[0], y)
        sheet.line((px, py), (px + room[0], py), 0.07, colour="#c9d1d8")
        sheet.text((px - 1.4, py + 0.9), f"{y:g}", 2.4, "end")
    sheet.box(LEFT, TOP, room[0], room[1], THIN)
    sheet.text((LEFT + room[0] / 2, HIGH - 3.2), chart.x, 2.5, "middle")
    sheet.text((4.2, TOP + room[1] / 2), chart.y, 2.5, "middle", turn=-90)
    names: list[tuple[float, str, str]] = []
    for limit in chart.limits:
        (px, py) = at(xs[0], limit.level)
        sheet.line((px, py), (px + room[0], py), THICK, DASHED)
        names.append((py, limit.words, "#000"))
    for n, line in enumerate(chart.lines):
        width, dash, colour = STROKES[n % len(STROKES)]
        points = [at(x, y) for x, y in line.points]
        sheet.poly(points, width, closed=False, colour=colour, dash=dash)
        names.append((points[-1][1], line.name, colour))
    _names(sheet, names, LEFT + room[0])
    return sheet.svg()


def _names(sheet: Sheet, names: Sequence[tuple[float, str, str]], x: float) -> None:
    """What each line is, at its right end."""
    for (y, words, colour), row in zip(
        names, place_apart([y for y, _, _ in names], 3.4, TOP, HIGH), strict=True
    ):
        sheet.poly(((x, y), (x + 1.5, y), (x + 3.5, row), (x + 4.5, row)), 0.15, closed=False, colour=QUIET)
        sheet.fit((x + 5.2, row + 0.8), words, RIGHT - 6, 2.3) if colour == "#000" else sheet.text(
            (x + 5.2, row + 0.8), words, 2.3, bold=True, colour=colour
        )


def _ticks(low: float, high: float, about: int) -> list[float]:
    """Round values from at or below `low` to at or above `high`, about so many."""
    step = (high - low or 1.0) / about
    power = 10.0 ** floor(log10(step))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= step * 0.999)
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    return [round(n * step, 10) for n in range(first, max(last, first + 1) + 1)]


def _decades(low: float, high: float) -> list[float]:
    """Values of logarithmic scales from at or below `low` to at or above `high`."""
    wide = log10(high / low) > 3
    steps = (1,) if wide else (1, 2, 5)
    every = [m * 10.0**p for p in range(floor(log10(low)) - 1, ceil(log10(high)) + 2) for m in steps]
    first = max(n for n, value in enumerate(every) if value <= low * (1 + 1e-9))
    last = min(n for n, value in enumerate(every) if value >= high * (1 - 1e-9))
    return [float(f"{value:.6g}") for value in every[first : max(last, first + 1) + 1]]
