"""The exposure ledger: what all bakes together may have taken from a temper, strip and recoat included.

Handbook curves say what room-temperature Fty and Ftu keep after half an hour, 10 and 100 hours at a temperature.
Bakes are added on the safe side: every second in which any probe was hot enough for the longest curve to show a loss
counts, and all of it as if at the hottest reading of all. Between curves the share is linear in the logarithm of time;
less than the shortest curve counts as the shortest. Beyond the curves there is no value. What is kept is shown beside
the allowable, UNCONFIRMED like the rows behind it; no margin is changed by it.
Source: MIL-HDBK-5J figures 3.6.2.2.1(c) and (d), as digitized rows; the way of adding is derived.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import log as ln
from typing import Any

from rackwright.making.oven.bake import degf
from rackwright.making.oven.thermocouples import Log, windows
from rackwright.reference import Rows
from rackwright.reference.rows import Exposure, Material
from rackwright.trouble import UNCONFIRMED

__all__ = ["Bake", "KnockDown", "curves_of", "exposed", "kept", "knock_down", "knock_down_json", "onset"]

PROPERTIES = ("Fty", "Ftu")


@dataclass(frozen=True)
class Bake:
    """One bake of a piece: time (s) in which it was hot enough to count, and the hottest metal (K)."""

    name: str
    seconds: float
    hottest: float


@dataclass(frozen=True)
class KnockDown:
    """What a property of a material row may have kept: share of 1 and Pa, or None with the reason."""

    material: str
    name: str
    allowable: float | None
    share: float | None
    why: str  # the curves' source, or why there is no value

    @property
    def left(self) -> float | None:
        return None if self.share is None or self.allowable is None else self.share * self.allowable

    @property
    def marks(self) -> tuple[str, ...]:
        return (UNCONFIRMED,) if self.share is not None else ()


def exposed(name: str, log: Log, above: float) -> Bake:
    """A bake's log as an entry: any probe at or above `above` (K, the onset of the curves), gaps counted in full."""
    spans = windows(log, above, any_probe=True)
    return Bake(name, sum(end - start for start, end in spans), log.hottest[1])


def knock_down(rows: Rows, materials: Iterable[Material], bakes: Sequence[Bake]) -> tuple[KnockDown, ...]:
    """Fty and Ftu of each material after all these bakes."""
    return tuple(_one(rows, row, name, bakes) for row in materials for name in PROPERTIES)


def _one(rows: Rows, row: Material, name: str, bakes: Sequence[Bake]) -> KnockDown:
    allowable, curves = row.strength(name, "L"), curves_of(rows, row, name)
    if not curves:
        why = f"no exposure curve of {row.alloy}-{row.temper.split(',')[0]}: the bake's effect on it is not known"
        return KnockDown(row.id, name, allowable, None, why)
    seconds = sum(one.seconds for one in bakes)
    if seconds <= 0:
        return KnockDown(row.id, name, allowable, 1.0, "never hot enough for the curves to show a loss")
    hottest = max(one.hottest for one in bakes if one.seconds > 0)
    share = kept(curves, seconds, hottest)
    if share is None:
        why = f"{seconds / 3600:.2f} h at up to {degf(hottest):.0f} degF lies beyond the curves"
        return KnockDown(row.id, name, allowable, None, why)
    return KnockDown(row.id, name, allowable, share, str(curves[0].known))


# --- curves --------------------------------------------------------------------------------------


def curves_of(rows: Rows, row: Material, name: str) -> tuple[Exposure, ...]:
    """The curves for this alloy, temper and property, shortest time first."""
    found = [
        one for one in rows.exposures.values()
        if one.property == name and one.alloy == row.alloy and row.temper.startswith(one.temper)
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda one: one.time))


def onset(curves: Iterable[Exposure]) -> float:
    """Lowest temperature (K) at which any of the curves shows a loss: its first line drawn back to 100 percent."""
    return min(
        one.at[0] - (1 - one.kept[0]) * (one.at[1] - one.at[0]) / (one.kept[0] - one.kept[1])
        for one in curves
    )


def kept(curves: Sequence[Exposure], seconds: float, kelvin: float) -> float | None:
    """Share kept after this time at this temperature; None beyond the curves.

    Half an hour at 400 °F: between 378.0 (99.3) and 401.0 (94.3), 99.3 - 5 x 22/23 = 94.5 percent of Fty.
    """
    if seconds <= curves[0].time:
        return _on(curves[0], kelvin)
    for before, after in pairwise(curves):
        if seconds <= after.time:
            low, high = _on(before, kelvin), _on(after, kelvin)
            if low is None or high is None:
                return None
            part = ln(seconds / before.time) / ln(after.time / before.time)
            return low + (min(high, low) - low) * part
    return None


def _on(curve: Exposure, kelvin: float) -> float | None:
    """A curve at a temperature: lines between its points, the first one drawn back to 100 percent."""
    if kelvin > curve.at[-1]:
        return None
    pairs = list(zip(curve.at, curve.kept, strict=True))
    for (t0, k0), (t1, k1) in pairwise(pairs):
        if kelvin <= t1:
            return min(1.0, k0 + (k1 - k0) * (kelvin - t0) / (t1 - t0))
    return None


def knock_down_json(rows: Sequence[KnockDown], bakes: Sequence[Bake]) -> dict[str, Any]:
    """Ledger and what it may mean, as a document."""
    return {
        "bakes": [
            {
                "name": one.name, "counted_min": round(one.seconds / 60, 3),
                "hottest_degF": round(degf(one.hottest), 2),
            }
            for one in bakes
        ],
        "counted_min": round(sum(one.seconds for one in bakes) / 60, 3),
        "materials": [
            {
                "material": one.material, "property": one.name,
                "allowable_psi": None if one.allowable is None else round(one.allowable / 6894.757293168361, 1),
                "kept_share": None if one.share is None else round(one.share, 4),
                "kept_psi": None if one.left is None else round(one.left / 6894.757293168361, 1),
                "why": one.why, "marks": list(one.marks),
            }
            for one in rows
        ],
        "rule": "all counted time as if at the hottest reading; shown, no margin is changed by it",
    }  # fmt: skip
