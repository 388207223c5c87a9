"""Tube over spigot: bolts in double shear, bearing in tube and spigot, and the spigot in bending.

The bolts of one direction carry the tube's axial force with all others, and alone the shear across them and
the moment about their own axis (elastic vector method about the group's middle). Shear along a bolt, and the
moment it cannot carry, go through the fit of the spigot; the spigot's bending takes the whole moment. The
fitting factor applies to all of it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import fastener, section
from rackwright.pieces.fit import edge_distance
from rackwright.pieces.frame_pieces import TubePlace, tube_places
from rackwright.pieces.model import Piece, axis_index
from rackwright.rack.model import JointBolt
from rackwright.reference import bolts, materials
from rackwright.reference.rows import Material
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["bearing", "joint_bolt_loads", "joints"]

Array = NDArray[np.float64]
#: tube direction and bolt axis -> (shear across the bolt, moment about it) in the member's local forces
LOCAL = {("post", "x"): (1, 5), ("post", "y"): (2, 4), ("width", "z"): (1, 5), ("width", "y"): (2, 4),
         ("depth", "z"): (1, 5), ("depth", "x"): (2, 4)}  # fmt: skip


def joints(run: Run) -> Iterator[Margin]:
    """Margins of both ends of every tube."""
    for place in tube_places(run.rack):
        for end in ("low", "high"):
            yield from _bolts(run, place, end)
            yield _spigot(run, place, end)


def joint_bolt_loads(run: Run, place: TubePlace, end: str) -> Array:
    """(V, C, bolts) resultant shear on each bolt of a tube's end, ultimate cases."""
    pattern: tuple[JointBolt, ...] = getattr(run.rack.definition.joint, place.kind)
    loads = []
    for number, bolt in enumerate(pattern):
        same = [other.at for other in pattern if other.through == bolt.through]
        middle = sum(same) / len(same)
        across, about = LOCAL[place.kind, bolt.through]
        spread = sum((at - middle) ** 2 for at in same) * 1e-18
        arm = (pattern[number].at - middle) * 1e-9
        shear = []
        for f in _sides(run, place, end, middle):
            turn = np.abs(f[..., about] * arm / spread) if spread > 0 else 0.0
            shear.append(np.hypot(f[..., 0] / len(pattern), np.abs(f[..., across]) / len(same) + turn))
        loads.append(np.max(np.stack(shear), axis=0))
    return np.stack(loads, axis=-1)


def _sides(run: Run, place: TubePlace, end: str, from_end: float) -> tuple[Array, ...]:
    """Forces in the tube at a distance (nm) from its end; on both sides of a ring that is fixed there."""
    length = place.box.size(axis_index(place.axis))
    along = from_end if end == "low" else length - from_end
    return run.sides(place.id, along * 1e-9, "ultimate")


def _bolts(run: Run, place: TubePlace, end: str) -> Iterator[Margin]:
    d, head = run.rack.definition, f"joint.{place.id}.{end}"
    row = bolts()[d.joint.hardware.bolt]
    loads = joint_bolt_loads(run, place, end)
    places = tuple(f"bolt {n + 1}" for n in range(loads.shape[-1]))
    known = row.known_of("single_shear")
    about = Subject(
        f"{head}/bolt shear", "bolt in double shear", f"{row.id}: {known}", known.unconfirmed, places=places
    )
    if row.single_shear is None:
        yield missing(about, f"{row.id} has no sourced shear strength")
    else:
        yield ratio(run.context("ultimate"), about, loads, 2 * row.single_shear, run.fitting_factor)
    tube, block = run.pieces.get(place.id), run.pieces.get(place.ends[0 if end == "low" else 1])
    ids = [f"{head}.{n + 1}" for n in range(loads.shape[-1])]
    yield bearing(run, f"{head}/tube bearing", tube, ids, row.diameter, d.tube.wall * 1e-9, loads / 2)
    thick = (d.tube.side - 2 * d.tube.wall - d.block.spigot_gap) * 1e-9
    yield bearing(run, f"{head}/spigot bearing", block, ids, row.diameter, thick, loads)


def bearing(
    run: Run, id: str, piece: Piece, ids: list[str], diameter: float, thickness: float, load: Array
) -> Margin:
    """Bearing of the bolts `ids` in one wall of a piece, allowed by the least edge distance of their holes.

    load (V, C) or (V, C, bolts). The row must cover the wall's thickness, for a block its stock's.
    """
    row: Material = materials()[piece.material]
    count = load.shape[2] if load.ndim > 2 else 1
    places = tuple(f"bolt {n + 1}" for n in range(count)) if count > 1 else ("",)
    about = Subject(id, "bearing, dry pin", f"{row.id}: {row.known}", row.unconfirmed, places=places)
    stock = max(piece.overall) * 1e-9 if piece.kind == "block" else thickness
    if row.Fbru_15 is None or row.Fbru_20 is None or not row.covers(stock):
        return missing(about, f"{row.id} gives no bearing strength for {stock / 0.0254:.3f} in")
    ed = _edge_ratio(piece, ids, diameter)
    if ed < 1.5 - 1e-9:
        return missing(about, f"e/D {ed:.2f} is below 1.5, where no bearing value is published")
    given = {"F15": row.Fbru_15, "F20": row.Fbru_20, "ed": ed}
    Fbr = float(fastener.bearing_allowable(**given))
    allowable = float(fastener.bearing_strength(Fbr, diameter, thickness))
    steps: tuple[Step, ...] = (
        ("bearing_allowable", given),
        ("bearing_strength", {"Fbr": Fbr, "D": diameter, "t": thickness}),
    )
    return ratio(run.context("ultimate"), about, load, allowable, run.fitting_factor, lambda at: steps)


def _edge_ratio(piece: Piece, ids: list[str], diameter: float) -> float:
    """Least e/D of the holes of these bolts in a piece; 2 where no edge is near."""
    found = [edge_distance(piece, hole) for hole in piece.holes if hole.bolt in ids]
    return min((edge * 1e-9 / diameter for edge in found if edge is not None), default=2.0)


def _spigot(run: Run, place: TubePlace, end: str) -> Margin:
    """The solid square spigot takes the whole moment at the block's face, plus the axial force."""
    d, row = run.rack.definition, materials()[run.rack.definition.block.material]
    source = f"{row.id}, lowest grain direction given: {row.known}"
    about = Subject(f"joint.{place.id}.{end}/spigot bending", "spigot bending", source, row.unconfirmed, "Pa")
    Ftu = row.strength("Ftu")
    if Ftu is None:
        return missing(about, f"{row.id} has no sourced strength")
    side = (d.tube.side - 2 * d.tube.wall - d.block.spigot_gap) * 1e-9
    left = side - d.joint.hardware.hole * 1e-9  # one hole across the spigot, on the axis it weakens most
    second = float(section.rectangle_inertia(left, side))
    (f,) = _sides(run, place, end, 0.0)
    bend = np.abs(f[..., 4]) + np.abs(f[..., 5])
    stress = section.bending_stress(bend, second, side / 2) + np.abs(f[..., 0]) / (side * left)

    def steps(at: Index) -> tuple[Step, ...]:
        return (("bending_stress", {"M": float(bend[at[:2]]), "I": second, "c": side / 2}),)

    return ratio(run.context("ultimate"), about, stress, Ftu, run.fitting_factor, steps)
