"""A thermocouple log of one bake: a CSV of time and probe columns, with their units in the headings.

    time_min,block_degF,post_degF
    0,71.2,71.0
    0.5,84.0,131.5

The first column is time (`time_s`, `time_min` or `time_h`), every other one a probe with its unit (`_degF`, `_degC`,
`_K`). Lines that start with # are remarks. Two probes at least: one alone cannot say which metal is slowest. Between
two readings a temperature is a straight line.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

from rackwright.located import read_table
from rackwright.trouble import Fault, Where

__all__ = ["Interval", "Log", "read_thermocouples", "windows"]

TIME = {"time_s": 1.0, "time_min": 60.0, "time_h": 3600.0}
WRONG_UNIT = "is the unit in the heading that of the numbers, and the probe whole?"
KELVIN = {"degF": lambda t: (t + 459.67) * 5 / 9, "degC": lambda t: t + 273.15, "K": lambda t: t}
#: K, -50 and 350 degC: no oven for powder on aluminium is outside; Fahrenheit headed as Celsius is (common practice, no
#: source)
COLDEST, HOTTEST = 223.15, 623.15
Interval = tuple[float, float]


@dataclass(frozen=True)
class Log:
    """Times in s, rising, and for each probe its temperatures in K at these times."""

    file: str
    times: tuple[float, ...]
    probes: tuple[tuple[str, tuple[float, ...]], ...]

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(name for name, _ in self.probes)

    @property
    def hottest(self) -> tuple[str, float, float]:
        """(probe, temperature in K, time in s) of the hottest reading."""
        return max(
            ((name, t, time) for name, row in self.probes for time, t in zip(self.times, row, strict=True)),
            key=lambda one: one[1],
        )

    def slowest(self, temperature: float) -> tuple[str, float] | None:
        """The probe that last reaches this temperature (K), and when; None if one never does."""
        firsts = [(name, first_time(self.times, row, temperature)) for name, row in self.probes]
        reached = [(name, time) for name, time in firsts if time is not None]
        return max(reached, key=lambda one: one[1]) if len(reached) == len(firsts) else None


def first_time(times: tuple[float, ...], row: tuple[float, ...], temperature: float) -> float | None:
    """When this probe first has the temperature."""
    spans = above(times, row, temperature, float("inf"))
    return spans[0][0] if spans else None


def windows(
    log: Log, temperature: float, longest_gap: float = float("inf"), any_probe: bool = False
) -> list[Interval]:
    """When all probes (or any) were at or above a temperature (K), as intervals in s, exact for straight lines.

    Over a gap between two readings longer than `longest_gap` nothing counts.
    """
    each = [above(log.times, row, temperature, longest_gap) for _, row in log.probes]
    if any_probe:
        return _joined(sorted(span for spans in each for span in spans))
    common = each[0]
    for spans in each[1:]:
        common = [
            (max(a, c), min(b, d)) for a, b in common for c, d in spans if max(a, c) <= min(b, d)
        ]  # fmt: skip
    return _joined(sorted(common))


def above(
    times: tuple[float, ...], row: tuple[float, ...], temperature: float, longest_gap: float
) -> list[Interval]:
    """Intervals in which a row is at or above a temperature, touching ones joined."""
    spans: list[Interval] = []
    for t0, t1, y0, y1 in zip(times, times[1:], row, row[1:], strict=False):
        if t1 - t0 > longest_gap or max(y0, y1) < temperature:
            continue
        crossing = t0 if y0 == y1 else t0 + (t1 - t0) * (temperature - y0) / (y1 - y0)
        crossing = min(
            max(crossing, t0), t1
        )  # a reading at just this temperature: rounding must not leave the gap
        spans.append((t0 if y0 >= temperature else crossing, t1 if y1 >= temperature else crossing))
    return _joined(spans)


def _joined(spans: list[Interval]) -> list[Interval]:
    joined: list[Interval] = []
    for start, end in spans:
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


# --- reading -------------------------------------------------------------------------------------


def read_thermocouples(data: bytes, file: str) -> tuple[Log | None, list[Fault]]:
    """The log, or every fault in it with its line. `file` only names it."""
    rows, faults = read_table(data, file, "RW430")
    if not rows:
        return None, faults
    header_line, header = rows[0]
    wrong: list[Fault] = []
    time_factor, probes = _header(header, Where(file, header_line), wrong)
    readings = [] if wrong else [_reading(cells, n, file, probes, faults) for n, cells in rows[1:]]
    faults = _once_a_probe(sorted(wrong + faults, key=lambda fault: fault.where.line))
    if not faults and len(readings) < 2:
        faults.append(_bad(Where(file, header_line), "fewer than two readings", "give the whole log"))
    if faults:
        return None, faults[:50]
    good = [row for row in readings if row is not None]
    pairs = zip(rows[2:], good, good[1:], strict=False)
    back = [(n, before[0], after[0]) for (n, _), before, after in pairs if after[0] <= before[0]]
    if back:
        n, before, after = back[0]
        more = f", and so in {len(back) - 1} more lines" if len(back) > 1 else ""
        do = "times must rise: export the log as it was recorded"
        return None, [_bad(Where(file, n, "time"), f"time {after:g} after {before:g}{more}", do)]
    columns = tuple(tuple(row[i] for row in good) for i in range(len(probes) + 1))
    times = tuple(time * time_factor for time in columns[0])
    return Log(file, times, tuple((name, columns[i]) for i, (name, _) in enumerate(probes, start=1))), []


def _once_a_probe(faults: list[Fault]) -> list[Fault]:
    """A whole column in another unit is one mistake."""
    told: dict[str, int] = {}
    for fault in faults:
        if fault.do == WRONG_UNIT:
            told[fault.where.field] = told.get(fault.where.field, 0) + 1
    kept: list[Fault] = []
    for fault in faults:
        if fault.do != WRONG_UNIT:
            kept.append(fault)
        elif number := told.pop(fault.where.field, 0):
            more = f", and so in {number - 1} more lines" if number > 1 else ""
            kept.append(_bad(fault.where, fault.found + more, WRONG_UNIT))
    return kept


def _header(names: tuple[str, ...], where: Where, faults: list[Fault]) -> tuple[float, list[tuple[str, str]]]:
    factor = TIME.get(names[0])
    if all(_is_number(name) for name in names):
        faults.append(
            _bad(where, "readings without a heading", "head the columns, as time_min,block_degF,post_degF")
        )
        return 1.0, []
    if factor is None:
        faults.append(_bad(where, f"the first column is {names[0][:40]!r}", f"name it {', '.join(TIME)}"))
    probes: list[tuple[str, str]] = []
    for name in names[1:]:
        probe, _, unit = name.rpartition("_")
        if not probe or unit not in KELVIN:
            faults.append(
                _bad(where, f"column {name[:40]!r} has no unit", "name it as in block_degF, _degC or _K")
            )
        elif probe in dict(probes):
            faults.append(_bad(where, f"probe {probe[:40]!r} is there twice", "give each probe its own name"))
        probes.append((probe, unit))
    if len(probes) < 2:
        faults.append(
            _bad(where, f"{len(probes)} probe columns", "give two at least: the slowest metal decides")
        )
    return factor or 1.0, probes


def _reading(
    cells: tuple[str, ...], number: int, file: str, probes: list[tuple[str, str]], faults: list[Fault]
) -> tuple[float, ...] | None:
    values = list(_numbers(cells, number, file, probes, faults))
    return tuple(values) if len(values) == len(cells) else None


def _numbers(
    cells: tuple[str, ...], number: int, file: str, probes: list[tuple[str, str]], faults: list[Fault]
) -> Iterator[float]:
    for cell, (name, unit) in zip(cells, [("time", ""), *probes], strict=True):
        try:
            value = float(cell)
        except ValueError:
            value = float("nan")
        kelvin = KELVIN[unit](value) if unit else value
        if unit and isfinite(value) and not COLDEST < kelvin < HOTTEST:
            found = f"{cell[:40]!r} {unit} is no temperature of a powder oven"
            faults.append(_bad(Where(file, number, name), found, WRONG_UNIT))
        elif not isfinite(value) or abs(value) > 1e9:
            found = f"found {cell[:40]!r}"
            faults.append(
                _bad(Where(file, number, name), found, "a broken probe proves nothing: give a number")
            )
        else:
            yield kelvin


def _is_number(text: str) -> bool:
    try:
        return isfinite(float(text))
    except ValueError:
        return False


def _bad(where: Where, found: str, do: str) -> Fault:
    return Fault("RW430", where, found, do)
