"""Did the bake cure the powder? Metal temperature against time, by the powder maker's window.

The clock of a cure point runs while *all* probes are at or above its metal temperature, so it starts with the slowest
metal, never with the air. A point is met when one unbroken window lasts its time; windows are not added up. A bake
that fell below in between and would only do by adding is "interrupted", and is not cured: whether such times may be
added is the powder maker's to say. Any one point that is met cures. Between two readings the temperature is a
straight line; over a gap longer than the shop allows nothing counts.

The rule of part metal at 375 °F for 15 minutes is common practice without a source; the powder maker's data rule.
The hottest reading of any probe is held against the most the temper may see.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from rackwright.making.oven.thermocouples import Interval, Log, windows
from rackwright.rack.model import CurePoint, Finish
from rackwright.trouble import Refusal, Where

__all__ = ["Cure", "PointMet", "cure", "cure_json"]

State = Literal["cured", "interrupted", "not cured", "no answer"]
EXACT = 1e-6  # s, of float arithmetic

CAUTIONS = (
    "The clock starts on the slowest metal, not on the air.",
    "A recoat is another bake: it goes into the exposure ledger.",
    "Ventilate before the door is opened; hot parts are not stacked.",
)


@dataclass(frozen=True)
class PointMet:
    """One cure point against the log: windows in s in which all probes had its temperature."""

    point: CurePoint
    windows: tuple[Interval, ...]

    @property
    def longest(self) -> float:
        return max((end - start for start, end in self.windows), default=0.0)

    @property
    def total(self) -> float:
        return sum(end - start for start, end in self.windows)

    @property
    def met(self) -> bool:
        return self.longest >= self.point.time - EXACT

    @property
    def met_only_by_adding(self) -> bool:
        return not self.met and self.total >= self.point.time - EXACT


@dataclass(frozen=True)
class Cure:
    """The answer of one log. `hottest` is (probe, K, s); `slowest` the probe that last had the lowest cure point."""

    log: str
    points: tuple[PointMet, ...]
    slowest: tuple[str, float] | None
    hottest: tuple[str, float, float]
    most_metal: float
    no_probe: tuple[str, ...] = ()  # probes that the shop asks for and the log has not

    @property
    def too_hot(self) -> bool:
        return self.hottest[1] > self.most_metal

    @property
    def state(self) -> State:
        if self.no_probe or not self.points:
            return "no answer"
        if any(one.met for one in self.points):
            return "cured"
        return "interrupted" if any(one.met_only_by_adding for one in self.points) else "not cured"

    def refusals(self) -> tuple[Refusal, ...]:
        """Why the answer is no."""
        where, no = Where(self.log), []
        if self.no_probe:
            found = f"the log has no probe {', '.join(self.no_probe)}"
            no.append(Refusal("RW434", where, found, "bake with every probe that the shop asks for"))
        elif not self.points:
            found = "no cure point is given"
            no.append(Refusal("RW431", where, found, "give the powder maker's metal temperature and time"))
        elif self.state != "cured":
            best = max(self.points, key=lambda one: one.longest / max(one.point.time, 1.0))
            found = (
                f"{self.state}: at {degf(best.point.metal):.0f} degF metal the longest window was "
                f"{best.longest / 60:.1f} min of {best.point.time / 60:.0f} min, {best.total / 60:.1f} min in all"
            )
            no.append(
                Refusal("RW431", where, found, "bake again as the powder maker says; the ledger adds it")
            )
        if self.too_hot:
            probe, kelvin, time = self.hottest
            found = (
                f"probe {probe} had {degf(kelvin):.0f} degF after {time / 60:.1f} min, "
                f"at most {degf(self.most_metal):.0f} degF"
            )
            no.append(
                Refusal("RW432", where, found, "hold the parts; the design approval holder judges the temper")
            )
        return tuple(no)


def cure(log: Log, finish: Finish, probes: Sequence[str] = (), longest_gap: float = float("inf")) -> Cure:
    """The log against the finish. `probes` must be in the log; over gaps longer than `longest_gap` (s) nothing counts.

    Block at 180 °C from minute 10 to 31, tube from 5 to 40, point 180 °C for 20 min: the window is 21 min, cured.
    """
    points = tuple(PointMet(point, tuple(windows(log, point.metal, longest_gap))) for point in finish.cure)
    lowest = min((point.metal for point in finish.cure), default=0.0)
    absent = tuple(name for name in probes if name not in log.names)
    return Cure(log.file, points, log.slowest(lowest), log.hottest, finish.most_metal, absent)


def cure_json(answer: Cure) -> dict[str, Any]:
    """The bake chart's numbers as a document."""
    probe, kelvin, time = answer.hottest
    return {
        "log": answer.log,
        "state": answer.state,
        "too_hot": answer.too_hot,
        "points": [
            {
                "metal_degF": round(degf(one.point.metal), 2), "needed_min": round(one.point.time / 60, 3),
                "longest_window_min": round(one.longest / 60, 3), "in_all_min": round(one.total / 60, 3),
                "windows_min": [[round(start / 60, 3), round(end / 60, 3)] for start, end in one.windows],
                "met": one.met,
            }
            for one in answer.points
        ],
        "slowest_probe": answer.slowest[0] if answer.slowest else None,
        "slowest_after_min": round(answer.slowest[1] / 60, 3) if answer.slowest else None,
        "hottest_probe": probe,
        "hottest_degF": round(degf(kelvin), 2),
        "hottest_after_min": round(time / 60, 3),
        "most_metal_degF": round(degf(answer.most_metal), 2),
        "rule": "one unbroken window with every probe at or above the point; the powder maker's data rule",
        "cautions": list(CAUTIONS),
    }  # fmt: skip


def degf(kelvin: float) -> float:
    return kelvin * 9 / 5 - 459.67
