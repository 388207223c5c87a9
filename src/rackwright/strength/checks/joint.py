"""Tube over spigot: every bolt at both walls, bearing and tear-out in tube and spigot.

The bolts are a group in space (elastic vector method). Axial force goes to all of them, the shear across a bolt to
those that run its way; a moment about their own axis goes by their spread along the tube, torsion and the moment
across by the couple of the two walls; each direction carries its moments alone, and all parts add up. Only the shear
along a bolt goes through the fit of the spigot. A wall is borne on by its own shear plane, the spigot by halves.
Tear-out is the shear of the two 40-degree planes to the nearest edge. The fitting factor applies to all of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import fastener, fastener_group, lug
from rackwright.formulas.cards import Num
from rackwright.pieces.fit import edge_distance
from rackwright.pieces.frame_pieces import TubePlace, tube_places
from rackwright.pieces.model import Piece, axis_index
from rackwright.rack.model import JointBolt
from rackwright.reference.rows import Material
from rackwright.strength.checks.tube import least_wall
from rackwright.strength.joint_springs import BoltRow, bolt_rows, plane_flexibility, wall_spacing
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["bearing", "joint_bolt_loads", "joints", "tear_out", "without_bolts"]

Array = NDArray[np.float64]
ONE_BOLT = "one bolt does not hold a moment about its own axis"


def joints(run: Run) -> Iterator[Margin]:
    """Margins of both ends of every tube."""
    if plane_flexibility(run.rack) is None:
        about = Subject("joint/flexibility", "joint flexibility", "")
        yield missing(about, "bolt, tube or block has no sourced modulus: flexible joints were not run")
    for place in tube_places(run.rack):
        for end in ("low", "high"):
            yield from _bolts(run, place, end)


def without_bolts(run: Run) -> Iterator[Margin]:
    """Margins of every tube's end with each of its bolts missing in turn, under the forces of the whole rack."""
    for place in tube_places(run.rack):
        for end in ("low", "high"):
            for n in range(len(_pattern(run, place))):
                yield from _bolts(run, place, end, n)


# --- loads ---------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Loads:
    """Shear at the more loaded wall of each bolt of a tube's end, and what it is made of."""

    plane: Array  # (V, C, bolts) N
    parts: tuple[tuple[dict[str, Num], ...], ...]  # of each bolt, on either side of a ring
    numbers: tuple[int, ...]  # in the joint's pattern

    def step(self, at: Index) -> Step:
        v, c, bolt = at
        sides = [
            {
                name: float(value if np.ndim(value) == 0 else np.asarray(value)[v, c])
                for name, value in part.items()
            }
            for part in self.parts[bolt]
        ]
        return "tube_end_bolt", max(sides, key=lambda part: float(fastener_group.tube_end_bolt(**part)))


def joint_bolt_loads(
    run: Run, place: TubePlace, end: str
) -> tuple[Array, Callable[[Index], tuple[Step, ...]]]:
    """(V, C, bolts) shear on each bolt at one wall of a tube's end, ultimate cases; and the card of one of them."""
    loads = _loads(run, place, end, _pattern(run, place), tuple(range(len(_pattern(run, place)))), "ultimate")
    shape = len(run.response.loose), len(run.chosen("ultimate")), len(_pattern(run, place))
    if loads is None:
        return np.full(shape, np.nan), lambda at: ()
    return loads.plane, lambda at: (loads.step(at),)


def _pattern(run: Run, place: TubePlace) -> tuple[JointBolt, ...]:
    pattern: tuple[JointBolt, ...] = getattr(run.rack.definition.joint, place.kind)
    return pattern


def _loads(
    run: Run, place: TubePlace, end: str, pattern: tuple[JointBolt, ...], numbers: tuple[int, ...], level: str
) -> _Loads | None:
    """None where the bolts cannot hold a moment about their own axis."""
    rows, h = bolt_rows(pattern, place.kind), wall_spacing(run.rack)
    held = {row.other for row in rows} | {row.own for row in rows if row.spread > 0}
    if len(held) < 2:
        return None
    plane: dict[int, Array] = {}
    parts: dict[int, tuple[dict[str, Num], ...]] = {}
    for row in rows:
        sides = [np.abs(f) for f in _sides(run, place, end, row.middle, level)]
        for n, z in zip(row.numbers, row.at, strict=True):
            fixed = {
                "n": float(len(pattern)),
                "nd": float(len(row.at)),
                "h": h,
                "z": abs(z),
                "S": row.spread or 1.0,
            }
            parts[n] = tuple(_forces(row, f) | fixed for f in sides)
            plane[n] = np.max([fastener_group.tube_end_bolt(**part) for part in parts[n]], axis=0)
    order = range(len(pattern))
    return _Loads(np.stack([plane[n] for n in order], axis=-1), tuple(parts[n] for n in order), numbers)


def _forces(row: BoltRow, f: Array) -> dict[str, Num]:
    """Sizes of the tube's forces (V, C, 6) as the row of bolts meets them."""
    return {
        "N": f[..., 0],
        "V": f[..., row.across],
        "T": f[..., 3],
        "Mo": f[..., row.own],
        "Mx": f[..., row.other],
    }


def _sides(run: Run, place: TubePlace, end: str, from_end: float, level: str) -> tuple[Array, ...]:
    """Forces in the tube at a distance (m) from its end; on both sides of a ring that is fixed there."""
    length = place.box.size(axis_index(place.axis)) * 1e-9
    return run.sides(place.id, from_end if end == "low" else length - from_end, level)


# --- margins -------------------------------------------------------------------------------------


def _bolts(run: Run, place: TubePlace, end: str, without: int | None = None) -> Iterator[Margin]:
    d, head = run.rack.definition, f"joint.{place.id}.{end}"
    row, whole = run.rack.rows.bolts[d.joint.hardware.bolt], _pattern(run, place)
    numbers = tuple(n for n in range(len(whole)) if n != without)
    pattern = tuple(whole[n] for n in numbers)
    loads = _loads(run, place, end, pattern, numbers, "ultimate")
    known = row.known_of("single_shear")
    tail = "" if without is None else f", bolt {without + 1} missing"
    places = tuple(f"bolt {n + 1}" for n in numbers)
    about = Subject(f"{head}/bolt shear{tail}", "bolt in double shear", f"{row.id}, single shear: {known}",
                    known.unconfirmed, places=places)  # fmt: skip
    if row.single_shear is None or loads is None:
        yield missing(about, ONE_BOLT if loads is None else f"{row.id} has no sourced shear strength")
    else:
        context = run.context("ultimate")
        yield ratio(
            context, about, loads.plane, row.single_shear, run.fitting_factor, lambda at: (loads.step(at),)
        )
    if loads is None:
        return
    tube, block = run.pieces.get(place.id), run.pieces.get(place.ends[0 if end == "low" else 1])
    ids = [f"{head}.{n + 1}" for n in numbers]
    wall, half = least_wall(run.rack), (d.tube.side - 2 * d.tube.wall - d.block.spigot_gap) * 0.5e-9
    for name, piece, thick in (("tube", tube, wall), ("spigot", block, half)):
        found = bearing(run, f"{head}/{name} bearing{tail}", piece, ids, row.diameter, thick, loads.plane)
        yield _named(found, places)
        yield _named(tear_out(run, f"{head}/{name} tear-out{tail}", piece, ids, thick, loads.plane), places)
        for level in run.levels[1:]:
            limit = _loads(run, place, end, pattern, numbers, level)
            assert limit is not None
            found = bearing(
                run, f"{head}/{name} bearing{tail}", piece, ids, row.diameter, thick, limit.plane, level
            )
            yield _named(found, places)


def _named(margin: Margin, places: tuple[str, ...]) -> Margin:
    """The bolt by its number in the pattern."""
    if not margin.place:
        return margin
    return replace(margin, place=places[int(margin.place.removeprefix("bolt ")) - 1])


def bearing(
    run: Run, id: str, piece: Piece, ids: list[str], diameter: float, thickness: float, load: Array,
    level: str = "ultimate",
) -> Margin:  # fmt: skip
    """Bearing of the bolts `ids` in one wall of a piece, allowed by the least edge distance of their holes.

    load (V, C) or (V, C, bolts) in the cases of a level: ultimate is held to bearing strength, limit to bearing
    yield. The row must cover the wall's thickness, for a block its stock's.
    """
    row: Material = run.rack.rows.materials[piece.material]
    F15, F20, kind = {
        "ultimate": (row.Fbru_15, row.Fbru_20, "bearing"),
        "limit": (row.Fbry_15, row.Fbry_20, "bearing yield"),
    }[level]
    about = _about(id, f"{kind}, dry pin", row, load)
    if level == "limit":
        about = replace(about, id=f"{id}, yield", level="yield")
    stock, context = _stock(piece, thickness), run.context(level)
    ed = _edge_ratio(piece, ids, diameter)
    # a tapped hole bears on the crests of its threads
    diameter = min(
        [diameter, *(hole.diameter * 1e-9 for hole in piece.holes if hole.bolt in ids and hole.thread)]
    )
    if F15 is None or F20 is None or not row.covers(stock):
        why = f"{row.id} gives no {kind} strength for {stock / 0.0254:.3f} in"
        return missing(about, why, None, context, run.fitting_factor)
    if ed < 1.5 - 1e-9:
        why = f"e/D {ed:.2f} is below 1.5, where no bearing value is published"
        return missing(about, why, None, context, run.fitting_factor)
    given = {"F15": F15, "F20": F20, "ed": ed}
    Fbr = float(fastener.bearing_allowable(**given))
    allowable = float(fastener.bearing_strength(Fbr, diameter, thickness))
    steps: tuple[Step, ...] = (
        ("bearing_allowable", given),
        ("bearing_strength", {"Fbr": Fbr, "D": diameter, "t": thickness}),
    )
    return ratio(context, about, load, allowable, run.fitting_factor, lambda at: steps)


def tear_out(run: Run, id: str, piece: Piece, ids: list[str], thickness: float, load: Array) -> Margin:
    """The edge nearest to a hole sheared out of one wall, whichever way the load points."""
    row: Material = run.rack.rows.materials[piece.material]
    about, stock = _about(id, "tear-out to the nearest edge", row, load), _stock(piece, thickness)
    if row.Fsu is None or not row.covers(stock):
        why = f"{row.id} gives no shear strength for {stock / 0.0254:.3f} in"
        return missing(about, why, None, run.context("ultimate"), run.fitting_factor)
    near = [(edge, hole.diameter) for hole in piece.holes if hole.bolt in ids
            and (edge := edge_distance(piece, hole)) is not None]  # fmt: skip
    edge, hole = min(near)
    given = {"Fsu": row.Fsu, "D": hole * 1e-9, "e": edge * 1e-9, "t": thickness}
    allowable = float(lug.lug_shear_out_40(**given))
    steps: tuple[Step, ...] = (("lug_shear_out_40", given),)
    return ratio(run.context("ultimate"), about, load, allowable, run.fitting_factor, lambda at: steps)


def _about(id: str, mode: str, row: Material, load: Array) -> Subject:
    count = load.shape[2] if load.ndim > 2 else 1
    places = tuple(f"bolt {n + 1}" for n in range(count)) if count > 1 else ("",)
    return Subject(id, mode, f"{row.id}: {row.known}", row.unconfirmed, places=places, asks=load)


def _stock(piece: Piece, thickness: float) -> float:
    """The thickness (m) that a material row must cover: for a block its stock's."""
    return max(piece.overall) * 1e-9 if piece.kind == "block" else thickness


def _edge_ratio(piece: Piece, ids: list[str], diameter: float) -> float:
    """Least e/D of the holes of these bolts in a piece; 2 where no edge is near."""
    found = [edge_distance(piece, hole) for hole in piece.holes if hole.bolt in ids]
    return min((edge * 1e-9 / diameter for edge in found if edge is not None), default=2.0)
