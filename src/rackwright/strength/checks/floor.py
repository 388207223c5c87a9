"""The floor under the rack: each pad against its allowable; pressure, running load and point load against the floor's.

Pads and bolted feet press straight down and evenly; the area in contact is the pad's, less its counterbore. The running
load is counted along the aircraft as the floor's document says: over the pads that stand at one place along it, or
over the whole footprint. Limit allowables are judged on limit loads, ultimate ones on ultimate loads. No special
factor is put on a floor.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from rackwright.rack.check_interface import pad_middle
from rackwright.rack.model import CORNERS, FloorLoads
from rackwright.strength.checks.chain import NO_ULTIMATE, ultimate_from_limit
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["floor", "floor_push"]

Array = NDArray[np.float64]
NAMES = {
    "per_area": "floor pressure",
    "per_length": "floor running load",
    "at_point": "floor load at a point",
}


def floor_push(run: Run, level: str) -> Array:
    """(V, C, 4) push on the floor at the pads' corners, N, by pads and by bolted feet."""
    chosen = run.chosen(level)
    push = np.zeros((len(run.response.pad_force), len(chosen), len(CORNERS)))
    for n, corner in enumerate(run.model.pads):
        push[..., CORNERS.index(corner)] = run.response.pad_force[:, chosen, n]
    for n, foot in enumerate(run.rack.definition.foot):
        push[..., CORNERS.index(foot.corner)] = np.maximum(run.foot_force[:, chosen, n, 2], 0.0)
    return push


def floor(run: Run) -> Iterator[Margin]:
    """Margins of pads and floor."""
    pad, push = run.rack.definition.pad, floor_push(run, "ultimate")
    for n, corner in enumerate(CORNERS):
        about = Subject(f"pad.{corner}/floor", "floor under the pad", pad.document or "")
        if pad.allowable_ultimate is None or pad.document is None:
            yield missing(about, "no floor allowable with a document")
        else:
            yield ratio(run.context("ultimate"), about, push[..., n], pad.allowable_ultimate, 1.0)
    stated = run.rack.definition.floor
    for name, mode in NAMES.items():
        about = Subject(f"floor/{mode.removeprefix('floor ')}", mode, stated.document if stated else "")
        found = [] if stated is None else [
            one for level in ("ultimate", "limit") if (one := _judged(run, name, mode, getattr(stated, level), level))
        ]  # fmt: skip
        free = stated is not None and stated.ultimate is not None and name in stated.ultimate.not_limited
        at_limit = any(one.level == "limit" for one in found) and ultimate_from_limit(run)
        if not free and not at_limit and not any(one.level == "ultimate" for one in found):
            only = stated is not None and stated.limit is not None and getattr(stated.limit, name) is not None
            yield missing(
                about,
                NO_ULTIMATE if only else f"the floor's document does not state it {name.replace('_', ' ')}",
            )
        yield from found


def _judged(run: Run, name: str, mode: str, allowed: FloorLoads | None, level: str) -> Margin | None:
    """One allowable of the floor at one level; None where it is not stated or there is no such case."""
    value = getattr(allowed, name) if allowed else None
    floor_ = run.rack.definition.floor
    if value is None or floor_ is None or not run.chosen(level):
        return None
    push, d = floor_push(run, level), run.rack.definition
    id = f"floor/{mode.removeprefix('floor ')}" + ("" if level == "ultimate" else " at limit")
    context = run.context(level)
    if name == "at_point":
        about = Subject(id, mode, floor_.document, level=level, places=CORNERS)
        return ratio(context, about, push, value, 1.0)
    if name == "per_area":
        area = d.pad.least_contact
        about = Subject(id, mode, floor_.document, unit="Pa", level=level, places=CORNERS)

        def pressed(at: Index) -> tuple[Step, ...]:
            return (("floor_pressure", {"F": float(push[at]), "A": area}),)

        return ratio(context, about, push / area, value, 1.0, pressed)
    loads, length, places = _along(run, push, value.over)
    about = Subject(id, mode, floor_.document, unit="N/m", level=level, places=places)

    def run_along(at: Index) -> tuple[Step, ...]:
        return (("running_load", {"F": float(loads[at]), "L": length}),)

    return ratio(context, about, loads / length, value.load, 1.0, run_along)


def _along(run: Run, push: Array, over: str) -> tuple[Array, float, tuple[str, ...]]:
    """(V, C, places) loads that share a length (m) of the aircraft, by what the document counts over."""
    d = run.rack.definition
    assert d.aircraft is not None
    i = "xy".index(d.aircraft.forward[1])
    at = [pad_middle(run.rack, corner)[i] for corner in CORNERS]
    if over == "footprint":
        length = (max(at) - min(at) + d.pad.side) * 1e-9
        return push.sum(axis=-1, keepdims=True), length, ("whole footprint",)
    rows = [np.array([place == one for one in at]) for place in sorted(set(at))]
    loads = np.stack([push[..., row].sum(axis=-1) for row in rows], axis=-1)
    names = tuple(" and ".join(c for c, here in zip(CORNERS, row, strict=True) if here) for row in rows)
    return loads, d.pad.side * 1e-9, names
