"""The spigot at its root: axial force, bending, shear and torsion of a solid square, and the fillet there.

The spigot takes the whole forces of the tube's end at the block's face, with one hole across it though the first hole
stands further out. Bending of both axes adds at the corner and to the axial stress; shear of both axes adds to that
of torsion, though they peak elsewhere; both act together (Rb² + Rs² = 1). Ultimate stress is nominal: the metal is
ductile. Where limit cases are given, the elastic peak in the fillet is held to yield; its radius is a field of the
block. Each face of the block meets its spigot in one direction of the grain of its stock: along the post along it,
where the block says that its grain runs there, else across it, the weaker in bar and extrusion. A direction without a
sourced value has no margin.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import interaction, section
from rackwright.formulas import spigot as root
from rackwright.pieces.frame_pieces import TubePlace, tube_places
from rackwright.pieces.model import axis_index
from rackwright.strength.margin import Index, Margin, Step, Subject, from_factor, missing, ratio
from rackwright.strength.run import Run

__all__ = ["spigots"]

Array = NDArray[np.float64]


def spigots(run: Run) -> Iterator[Margin]:
    """Margins of the spigot in both ends of every tube."""
    for place in tube_places(run.rack):
        for end in ("low", "high"):
            yield _ultimate(run, place, end)
            if run.chosen("limit"):
                yield _fillet(run, place, end)


def _at_face(run: Run, place: TubePlace, end: str, level: str) -> Array:
    """(V, C, 6) sizes of the forces at the block's face."""
    length = place.box.size(axis_index(place.axis)) * 1e-9
    (f,) = run.sides(place.id, 0.0 if end == "low" else length, level)
    return np.abs(f)


GRAIN = {"L": "along its grain", "LT": "across its grain"}


def grain_at(run: Run, place: TubePlace) -> str:
    """Direction of the block's grain that the spigot of a tube is loaded in: "L" along it, "LT" across it.

    Where the definition does not say how the grain runs, every spigot may be the one across it.
    """
    grain = run.rack.definition.block.grain
    return "L" if grain is not None and axis_index(place.axis) == axis_index(grain) else "LT"


def _about(run: Run, place: TubePlace, end: str) -> Subject:
    row, grain = run.rack.rows.materials[run.rack.definition.block.material], GRAIN[grain_at(run, place)]
    mode = "spigot in axial, bending, shear and torsion"
    return Subject(f"joint.{place.id}.{end}/spigot bending", mode, f"{row.id}, {grain}: {row.known}",
                   row.unconfirmed, "1", asks_unit="N*m")  # fmt: skip


def _ultimate(run: Run, place: TubePlace, end: str) -> Margin:
    d, row, about = (
        run.rack.definition,
        run.rack.rows.materials[run.rack.definition.block.material],
        _about(run, place, end),
    )
    Ftu, Fsu, f = row.strength("Ftu", grain_at(run, place)), row.Fsu, _at_face(run, place, end, "ultimate")
    if Ftu is None or Fsu is None:
        about = replace(about, asks=np.hypot(f[..., 4], f[..., 5]))
        why = f"{row.id} has no sourced strength {GRAIN[grain_at(run, place)]}"
        return missing(about, why, None, run.context("ultimate"), run.fitting_factor)
    side = (d.tube.side - 2 * d.tube.wall - d.block.spigot_gap) * 1e-9
    left = side - d.joint.hardware.hole * 1e-9  # one hole across the spigot, on the axis it weakens most
    second = float(section.rectangle_inertia(left, side))
    factor = run.fitting_factor
    bend, shear, T = f[..., 4] + f[..., 5], f[..., 1] + f[..., 2], f[..., 3]
    axial = f[..., 0] / (side * left)
    Rb = factor * (section.bending_stress(bend, second, side / 2) + axial) / Ftu
    Rs = factor * (root.rectangle_shear(shear, left, side) + root.square_torsion(T, side)) / Fsu

    def steps(at: Index) -> tuple[Step, ...]:
        at = at[:2]
        return (
            ("bending_stress", {"M": float(bend[at]), "I": second, "c": side / 2}),
            ("rectangle_shear", {"V": float(shear[at]), "b": left, "h": side}),
            ("square_torsion", {"T": float(T[at]), "a": side}),
            ("bending_shear", {"Rb": float(Rb[at]), "Rs": float(Rs[at])}),
        )

    return from_factor(run.context("ultimate"), about, interaction.bending_shear(Rb, Rs), factor, steps)


def _fillet(run: Run, place: TubePlace, end: str) -> Margin:
    d, row = run.rack.definition, run.rack.rows.materials[run.rack.definition.block.material]
    about = replace(_about(run, place, end), id=f"joint.{place.id}.{end}/spigot fillet", level="yield", unit="Pa",
                    mode="spigot fillet, elastic peak")  # fmt: skip
    Fty, f = row.strength("Fty", grain_at(run, place)), _at_face(run, place, end, "limit")
    if Fty is None or d.block.fillet is None:
        grain, about = GRAIN[grain_at(run, place)], replace(about, asks=np.hypot(f[..., 4], f[..., 5]))
        why = "block.fillet is not stated" if Fty is not None else f"{row.id} has no sourced yield {grain}"
        return missing(about, why, None, run.context("limit"), run.fitting_factor)
    side = (d.tube.side - 2 * d.tube.wall - d.block.spigot_gap) * 1e-9
    given = {"h": (d.tube.side * 1e-9 - side) / 2, "r": d.block.fillet * 1e-9, "D": d.tube.side * 1e-9}
    Kt, second = float(root.fillet_factor(**given)), float(section.rectangle_inertia(side, side))
    bend = f[..., 4] + f[..., 5]
    stress = Kt * (section.bending_stress(bend, second, side / 2) + f[..., 0] / side**2)

    def steps(at: Index) -> tuple[Step, ...]:
        bent: Step = ("bending_stress", {"M": float(bend[at[:2]]), "I": second, "c": side / 2})
        return bent, ("fillet_factor", given)

    return ratio(run.context("limit"), about, stress, Fty, run.fitting_factor, steps)
