"""How long the water jet takes: speed from the shop's timed cuts, a blank's paths and pierces, moves between blanks.

The jet runs half a kerf outside the outline and inside the holes. A speed of another thickness or quality is scaled
from the nearest timed cut, and says so; what the shop does not state is asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, pi

from rackwright.formulas.jet import jet_offset, jet_time, jet_time_ratio
from rackwright.making.asked import Asked
from rackwright.making.blank import Step
from rackwright.making.flat import Flat
from rackwright.making.nest import Layout
from rackwright.shop.machines import PlateCut, TimedCut

__all__ = ["JetTime", "jet_speed", "time_of", "way_of"]


@dataclass(frozen=True)
class JetTime:
    """The jet on one blank of a part: paths (m), pierces, time without moves (s), abrasive (kg) or None."""

    outline: float
    holes: float
    pierces: int
    time: float
    abrasive: float | None
    step: Step


def jet_speed(flat: Flat, cut: PlateCut, asked: list[Asked]) -> tuple[float | None, str]:
    """Cutting speed of this metal, thickness and quality from the timed cuts, m/s."""
    same = [row for row in cut.timed_cut if row.stock == flat.stock]
    exact = [row for row in same if (row.thickness, row.quality) == (flat.thickness, cut.quality)]
    if exact:
        return _timed(exact), f"{len(exact)} timed cuts: {'; '.join(row.document for row in exact)}"
    if same:
        near = min(
            same, key=lambda row: (abs(row.thickness - flat.thickness), abs(row.quality - cut.quality))
        )
        ratio = jet_time_ratio(flat.thickness / near.thickness, cut.quality / near.quality)
        asked.append(
            Asked("plate.timed_cut", f"the speed is scaled from {near.document}: time three cuts as they are")
        )
        return near.length * 1e-9 / near.time / float(ratio), f"scaled by (q h)^1.15 from {near.document}"
    asked.append(Asked("plate.timed_cut", f"no timed cut of {flat.stock}"))
    return None, ""


def _timed(rows: Sequence[TimedCut]) -> float:
    return sum(row.length for row in rows) * 1e-9 / sum(row.time for row in rows)


def time_of(flat: Flat, cut: PlateCut, speed: float | None, asked: list[Asked]) -> JetTime | None:
    """The jet on one blank at a cutting speed (m/s); None, and asked for, where the shop does not say what it takes."""
    lacking = [name for name in ("hole_share", "pierce") if getattr(cut, name) is None]
    asked.extend(Asked(f"plate.{name}", "time of the jet on a blank") for name in lacking)
    if speed is None or cut.hole_share is None or cut.pierce is None:
        return None
    offset, holes = float(jet_offset(cut.kerf * 1e-9)), [hole for hole in flat.holes if hole.cut > cut.kerf]
    values = {
        "Lo": flat.perimeter + 2 * pi * offset,  # round a convex outline
        "Lh": sum(pi * (hole.cut * 1e-9 - 2 * offset) for hole in holes),
        "u": speed,
        "s": cut.hole_share,
        "n": float(1 + len(holes)),
        "tp": cut.pierce,
        "tm": 0.0,
    }
    time = float(jet_time(**values))
    if cut.abrasive_per_minute is None:
        asked.append(Asked("plate.abrasive_per_minute", "mass of abrasive for the order"))
    abrasive = None
    if cut.abrasive_per_minute is not None:
        abrasive = (time - values["n"] * cut.pierce) / 60 * cut.abrasive_per_minute
    return JetTime(values["Lo"], values["Lh"], 1 + len(holes), time, abrasive, ("jet_time", values))


def way_of(layout: Layout, flats: dict[str, Flat]) -> float:
    """Moves of the head over a plate, m: blank by blank, its holes first, its outline last."""
    way, here = 0.0, (0.0, 0.0)
    for one in layout.placed:
        for point in [*(hole.at for hole in one.holes(flats[one.slot.part])), one.at]:
            way += hypot(point[0] - here[0], point[1] - here[1])
            here = point
    return way * 1e-9
