"""What time in the oven leaves of a temper: the strengths that a rack is proven with after its coats are baked.

Handbook curves say what room-temperature Fty and Ftu keep after half an hour, 10 and 100 hours at a temperature.
Bakes are added on the safe side: all counted time as if at the hottest reading of all. Between curves the share is
linear in the logarithm of time; less than the shortest curve counts as the shortest. Beyond the curves there is no
value, and no margin. Fsu and Fbru follow Ftu, Fcy and Fbry follow Fty, each in proportion (derived, without a source).
All pieces of a reference row count as baked like the worst of them, since their checks share it.

A definition states the time that its racks may see, all coats together (`finish.oven_time`); a record knows the time
that a rack saw. Each material is proven with the less of what the two leave.
Source: MIL-HDBK-5J figures 3.6.2.2.1(c) and (d), as digitized rows; the way of adding is derived.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from itertools import pairwise
from math import log as ln
from typing import Any

from rackwright.pieces.metals import metal_of
from rackwright.pieces.model import Piece
from rackwright.rack.model import Rack
from rackwright.reference import Rows
from rackwright.reference.rows import Exposure, Known, Material
from rackwright.trouble import UNCONFIRMED

__all__ = [
    "OVEN_TIME",
    "PROPERTIES",
    "Bake",
    "KnockDown",
    "baked",
    "curves_of",
    "kept",
    "knock_down",
    "less",
    "onset",
    "planned",
    "softened",
]

PROPERTIES = ("Fty", "Ftu")
FOLLOWS = {"Ftu": ("Ftu", "Fsu", "Fbru"), "Fty": ("Fty", "Fcy", "Fbry")}
OVEN_TIME = "finish.oven_time"


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


def knock_down(rows: Rows, materials: Iterable[str], bakes: Sequence[Bake]) -> tuple[KnockDown, ...]:
    """Fty and Ftu after all these bakes of each of `materials`, as `rows` names them."""
    return tuple(_one(rows, material, name, bakes) for material in materials for name in PROPERTIES)


def _one(rows: Rows, material: str, name: str, bakes: Sequence[Bake]) -> KnockDown:
    row = rows.materials[material]
    allowable, curves = row.strength(name, "L"), curves_of(rows, row, name)
    if not curves:
        why = f"no exposure curve of {row.alloy}-{row.temper.split(',')[0]}: the bake's effect on it is not known"
        return KnockDown(material, name, allowable, None, why)
    seconds = sum(one.seconds for one in bakes)
    if seconds <= 0:
        return KnockDown(material, name, allowable, 1.0, "never hot enough for the curves to show a loss")
    hottest = max(one.hottest for one in bakes if one.seconds > 0)
    share = kept(curves, seconds, hottest)
    if share is None:
        degf = hottest * 1.8 - 459.67
        why = f"{seconds / 3600:.2f} h at up to {degf:.0f} degF lies beyond the curves"
        return KnockDown(material, name, allowable, None, why)
    return KnockDown(material, name, allowable, share, str(curves[0].known))


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


# --- a rack after it -----------------------------------------------------------------------------


def baked(made: Iterable[Piece]) -> set[str]:
    """The materials of the pieces that are coated."""
    return {piece.material for piece in made if piece.material and metal_of(piece) == "aluminium"}


def planned(rack: Rack, materials: Iterable[str]) -> tuple[KnockDown, ...]:
    """What the definition's oven time leaves of these; none where it states no time."""
    finish, rows = rack.definition.finish, rack.rows
    if finish is None or finish.oven_time is None:
        return ()
    bake = Bake(OVEN_TIME, finish.oven_time.time, finish.oven_time.metal)
    return knock_down(rows, (name for name in sorted(materials) if name in rows.materials), [bake])


def less(one: Iterable[KnockDown], other: Iterable[KnockDown]) -> tuple[KnockDown, ...]:
    """Of both, for each property of each material, what leaves less; what is not known leaves least."""
    found: dict[tuple[str, str], KnockDown] = {}
    for each in (*one, *other):
        there = found.get((each.material, each.name))
        if there is None or _share(each) < _share(there):
            found[each.material, each.name] = each
    return tuple(found.values())


def _share(one: KnockDown) -> float:
    return -1.0 if one.share is None else one.share


def softened(rack: Rack, left: Iterable[KnockDown]) -> Rack:
    """The rack with the strengths that are left; the same one where nothing was lost. What is not known stays."""
    materials: dict[str, Material] = {}
    for one in left:
        if one.share is not None and one.share < 1.0:
            row = materials.get(one.material, rack.rows.materials[one.material])
            materials[one.material] = _less(
                row, FOLLOWS[one.name], one.share, _known(rack.rows, row, one.name)
            )
    if not materials:
        return rack
    by_kind = rack.rows.by_kind
    every = {**by_kind.get("material", {}), **materials}
    return replace(rack, rows=replace(rack.rows, by_kind={**by_kind, "material": every}))


def _known(rows: Rows, row: Material, name: str) -> Known:
    return curves_of(rows, row, name)[0].known


def _less(row: Material, names: Iterable[str], share: float, curve: Known) -> Material:
    """The row with that share of these strengths, as sure as the curve that gives it."""
    values: dict[str, Any] = {name: getattr(row, name) * share for name in _given(row, names)}
    unsure = tuple((name, curve) for name in values)
    kept = tuple(one for one in row.exceptions if one[0] not in values)
    return replace(row, **values, exceptions=(*kept, *unsure))


def _given(row: Material, names: Iterable[str]) -> Iterator[str]:
    for one in fields(row):
        if one.name.partition("_")[0] in names and getattr(row, one.name) is not None:
            yield one.name
