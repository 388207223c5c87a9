"""As maintained: the frozen definition with what the record holds of a rack now, proven by the same code.

    as built          measurements and metal of what stands in each place today (`engineering/as_built.py`)
    what it carries   mass, centre of gravity and place of each item as recorded last
    its oven time     of each material of coated aluminium the strength that all bakes together may have left

The handbook's curves give Fty and Ftu after time at temperature (`making/oven/exposure.py`). A rack that was not baked
since its release stands on the strengths that it was released with. From the first bake after it on, the margins take
all its oven time, the first coat's too: Ftu with Fsu and Fbru, Fty with Fcy and Fbry, each in proportion; that the
others follow these two is derived, without a source. The pieces of one row are taken as all baked like the worst of
them, since their checks share it. Where no curve says what is left, margins are NOT ASSESSED, and keep it from service.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from functools import lru_cache
from typing import Any

from rackwright.design import Design
from rackwright.making.oven.exposure import Bake, KnockDown, curves_of, exposed, knock_down, onset
from rackwright.making.oven.thermocouples import read_thermocouples
from rackwright.pieces.metals import metal_of
from rackwright.rack.equipment import Equipment
from rackwright.record import State
from rackwright.record.service import Carried
from rackwright.reference.rows import Known, Material
from rackwright.trouble import Stopped
from rackwright.units import NM_PER_M, parse_quantity
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.engineering.metal_as_made import OtherMetal, not_assessed, other_metal
from rackwright.work.metal.drawn import in_place

__all__ = ["Heated", "Maintained", "as_maintained", "item_as_carried", "loaded", "oven_time"]

Get = Callable[[str], bytes]
NOTHING = 0.001  # kg: an item that is out, whose holes are there
FOLLOWS = {"Ftu": ("Ftu", "Fsu", "Fbru"), "Fty": ("Fty", "Fcy", "Fbry")}


@dataclass(frozen=True)
class Heated:
    """What the oven did to one material of a rack: the bakes of its worst piece, and what they may have left."""

    material: str
    piece: str
    bakes: tuple[Bake, ...]
    down: tuple[KnockDown, ...]
    again: bool  # some piece of it was baked after the rack's release

    @property
    def minutes(self) -> float:
        return sum(one.seconds for one in self.bakes) / 60

    @property
    def why_not(self) -> str:
        """Why margins are not assessed, "" where they are."""
        return next((one.why for one in self.down if one.share is None), "") if self.again else ""

    @property
    def words(self) -> str:
        shares = (f"{one.name} {100 * one.share:.1f} %" for one in self.down if one.share is not None)
        left = ", ".join(shares) or f"not known: {self.down[0].why}"
        return f"{self.minutes:.1f} min; {left}, {'in the margins' if self.again else 'in no margin'}"


@dataclass(frozen=True)
class Maintained:
    """A rack as it is now: the design that is proven, and what stands behind it."""

    design: Design
    heated: tuple[Heated, ...]
    carried: tuple[Carried, ...]
    other: tuple[OtherMetal, ...]

    @property
    def not_assessed(self) -> tuple[str, ...]:
        """What nothing here computes, in words."""
        metal = [f"{one.piece} is of {one.made_of}: {one.why_not}" for one in not_assessed(self.other)]
        hot = [f"{one.material}, {one.piece}: {one.why_not}" for one in self.heated if one.why_not]
        fit = [f"{fault.where.field}: {fault.found}" for fault in self.design.faults]
        return (*metal, *hot, *fit)


def as_maintained(
    state: State, design: Design, serial: str, get: Get, carried: Mapping[str, Carried] | None = None
) -> Maintained:
    """`design` is the frozen one, `get` gives a file of the record by its hash; `carried`: as if this were carried.

    Raises Stopped with the faults of a thermocouple file that cannot be read any more.
    """
    now = state.carried.get(serial, {}) if carried is None else carried
    kept = tuple(now[item] for item in sorted(now))
    other = other_metal(state, design, serial)
    full = loaded(replace(design, measured={}) if design.measured else design, kept)
    if full.faults:
        return Maintained(full, (), kept, other)
    built = as_measured(state, full, serial)
    heated = oven_time(state, built, serial, get)
    shares = tuple(
        (one.material, down.name, down.share)
        for one in heated
        for down in one.down
        if one.again and down.share is not None
    )
    return Maintained(_softened(built, shares), heated, kept, other)


# --- what it carries -----------------------------------------------------------------------------


@lru_cache(maxsize=8)
def loaded(design: Design, carried: tuple[Carried, ...]) -> Design:
    """The design with other boxes in the places of its items."""
    by = {one.item: one for one in carried}
    if not any(item.name in by for item in design.rack.definition.equipment):
        return design
    items = tuple(
        item_as_carried(item, by[item.name]) if item.name in by else item
        for item in design.rack.definition.equipment
    )
    definition = replace(design.rack.definition, equipment=items)
    return replace(design, rack=replace(design.rack, definition=definition))


def item_as_carried(item: Equipment, now: Carried) -> Equipment:
    """An item with the mass, centre of gravity and place of the box that is there; their tolerances stay. Where nothing
    is there its screws and holes stay, so that it weighs a gram."""
    if now.out:
        return replace(item, mass=NOTHING, mass_tolerance=None)
    changes: dict[str, object] = {"part": now.part or item.part}
    if now.mass:
        changes["mass"] = float(parse_quantity(now.mass, "mass"))
    if now.cg:
        changes["cg"] = tuple(_nm(one) for one in now.cg)
    if item.on_shelf is not None and (now.shelf or now.at):
        place: dict[str, object] = {"shelf": now.shelf or item.on_shelf.shelf}
        if now.at:
            place["at"] = tuple(_nm(one) for one in now.at)
        changes["on_shelf"] = replace(item.on_shelf, **place)  # type: ignore[arg-type]
    return replace(item, **changes)  # type: ignore[arg-type]


def _nm(text: str) -> int:
    return round(Fraction(parse_quantity(text, "length")) * NM_PER_M)


# --- its oven time -------------------------------------------------------------------------------


def oven_time(state: State, design: Design, serial: str, get: Get) -> tuple[Heated, ...]:
    """Of each material of baked aluminium its worst piece: the one whose bakes leave least, or nobody knows what."""
    rack, rows = state.serials.get(serial), design.rack.rows
    released = rack.released_seq if rack else 0
    found: dict[str, list[tuple[str, tuple[tuple[str, int], ...]]]] = {}
    for piece in design.pieces.made:
        id = in_place(state, serial, piece.id)
        made = state.pieces.get(id)
        if made is not None and made.heated and piece.material and metal_of(piece) == "aluminium":
            found.setdefault(piece.material, []).append((id, made.heated))
    heated = []
    for material, pieces in sorted(found.items()):
        row = rows.materials[material]
        curves = [curve for name in FOLLOWS for curve in curves_of(rows, row, name)]
        above = onset(curves) if curves else float("inf")
        seen = {
            bakes: id for id, bakes in reversed(pieces)
        }  # pieces that went through the oven together are alike
        every = []
        for bakes, id in seen.items():
            runs = tuple(_run(get(file), file, above) for file, _ in bakes)
            every.append((id, runs, knock_down(rows, [row], runs)))
        worst = min(every, key=lambda one: min(-1.0 if down.share is None else down.share for down in one[2]))
        again = any(seq > released for _, bakes in pieces for _, seq in bakes) if released else False
        heated.append(Heated(material, *worst, again))
    return tuple(heated)


@lru_cache(maxsize=64)
def _run(data: bytes, name: str, above: float) -> Bake:
    log, faults = read_thermocouples(data, name)
    if log is None:
        raise Stopped(faults)
    return exposed(name, log, above)


@lru_cache(maxsize=8)
def _softened(design: Design, shares: tuple[tuple[str, str, float], ...]) -> Design:
    """The design with the strengths that heat has left. Nothing is changed where nothing was lost."""
    lost = [one for one in shares if one[2] < 1.0]
    if not lost:
        return design
    known = design.rack.rows
    softened: dict[str, Material] = {}
    for material, name, share in lost:  # Ftu, then Fty of the same
        row = softened.get(material, known.materials[material])
        curve = curves_of(known, row, name)[0].known
        softened[material] = _less(row, FOLLOWS[name], share, curve)
    materials = {**known.by_kind.get("material", {}), **softened}
    rows = replace(known, by_kind={**known.by_kind, "material": materials})
    return replace(design, rack=replace(design.rack, rows=rows))


def _less(row: Material, names: Iterable[str], share: float, curve: Known) -> Material:
    """The row with that share of these strengths, as sure as the curve that gives it."""
    values: dict[str, Any] = {
        one.name: getattr(row, one.name) * share
        for one in fields(row)
        if one.name.partition("_")[0] in names and getattr(row, one.name) is not None
    }
    unsure = tuple((name, curve) for name in values)
    kept = tuple(one for one in row.exceptions if one[0] not in values)
    return replace(row, **values, exceptions=(*kept, *unsure))
