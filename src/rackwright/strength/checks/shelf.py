"""Shelf angles and their bolts into the posts.

The angle bends about its legs' axes (the panel holds it). Its two end bolts share the end reaction and take
tension from its eccentricity.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import section
from rackwright.pieces.shelf_pieces import HANDS
from rackwright.rack.model import Shelf
from rackwright.strength.checks.anchor import anchored, at_root
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.checks.fibre import fibre_steps
from rackwright.strength.checks.joint import bearing
from rackwright.strength.checks.plate import Plate
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["shelves"]

Array = NDArray[np.float64]


def shelves(run: Run) -> Iterator[Margin]:
    """Margins of every shelf."""
    for shelf in run.rack.definition.shelf:
        for hand in HANDS:
            yield _angle(run, shelf, hand, "ultimate")
            if run.chosen("limit"):
                yield _angle(run, shelf, hand, "limit")
            yield from _end_bolts(run, shelf, hand)


def _angle(run: Run, shelf: Shelf, hand: str, level: str) -> Margin:
    """Ultimate against the lower of Ftu and Fcy; limit against the lower of both yields."""
    piece, angle = run.pieces.get(f"angle.{shelf.name}.{hand}"), run.rack.definition.shelf_make.angle
    row = run.rack.rows.materials[angle.material]
    check, kept, mode, kind = {
        "ultimate": ("strength", "Ftu", "bending and axial, lower of Ftu and Fcy", "ultimate"),
        "limit": ("yield", "Fty", "angle, yield", "yield"),
    }[level]
    about = Subject(f"{piece.id}/{check}", mode, f"{row.id}: {row.known}", row.unconfirmed, "Pa", kind,
                    run.places(piece))  # fmt: skip
    given = [value for value in (row.strength(kept, "L"), row.strength("Fcy", "L")) if value is not None]
    a, b, t = angle.post_leg * 1e-9, angle.carry_leg * 1e-9, angle.thickness * 1e-9
    if not given or not row.covers(t):
        return missing(about, f"{row.id} gives no strength for {t / 0.0254:.3f} in")
    A = float(section.angle_area(a, b, t, 0.0, 0.0))
    upright, flat = (
        float(section.angle_inertia(a, b, t, 0.0, 0.0)),
        float(section.angle_inertia(b, a, t, 0.0, 0.0)),
    )
    cu = a - float(section.angle_centroid(a, b, t, 0.0, 0.0))
    cf = b - float(section.angle_centroid(b, a, t, 0.0, 0.0))
    f = np.abs(run.along(piece, level))
    f1, f2 = f[..., 4] * cu / upright, f[..., 5] * cf / flat
    stress = f[..., 0] / A + f1 + f2

    def steps(at: Index) -> tuple[Step, ...]:
        return (
            ("bending_stress", {"M": float(f[..., 4][at]), "I": upright, "c": cu}),
            ("bending_stress", {"M": float(f[..., 5][at]), "I": flat, "c": cf}),
            *fibre_steps(float(f[..., 0][at]), A, float(f1[at]), float(f2[at])),
        )

    return ratio(run.context(level), about, stress, min(given), 1.0, steps)


def _end_bolts(run: Run, shelf: Shelf, hand: str) -> Iterator[Margin]:
    """Two bolts an end: shear by half the reaction, tension from the reaction's lever about the leg's edge.

    What pulls the leg off the post pries on top, the leg bending between its bolts and the carrying leg.
    """
    make, tube = run.rack.definition.shelf_make, run.rack.definition.tube
    row = run.rack.rows.bolts[make.hardware.bolt]
    piece = run.pieces.get(f"angle.{shelf.name}.{hand}")
    a, b, t = make.angle.post_leg * 1e-9, make.angle.carry_leg * 1e-9, make.angle.thickness * 1e-9
    lever = float(section.angle_centroid(b, a, t, 0.0, 0.0))  # post face to the angle's centroid
    heel = (a - t) / 2  # bolt to the lower edge of the leg
    leg = Plate(run.rack.rows, make.angle.material, make.hardware, t, a / 2, heel, make.bolt_spread * 1e-9)
    levels = [(level, run.along(piece, level)) for level in run.levels]
    forces = levels[0][1]
    for depth, n in (("front", 0), ("rear", -1)):
        f, head = forces[..., n, :], f"shelf.{shelf.name}.{hand}.{depth}"
        shear = np.hypot(f[..., 0], f[..., 2]) / 2  # local x along the depth, z up
        off = np.abs(f[..., 1]) / 2
        pull = leg.pried(off) + np.abs(f[..., 2]) * lever / heel / 2
        ids, post = [f"{head}.1", f"{head}.2"], run.pieces.get(f"post.{depth}-{hand}")
        held, mode = run.pieces.bolts_of(ids), "shelf bolts in shear and tension"

        def steps(at: Index, f: Array = f, off: Array = off) -> tuple[Step, ...]:
            x, _, z = f[at[:2]][:3]
            shared: Step = ("screw_shear", {"Fa": float(x), "Fb": float(z), "n": 2.0})
            T = float(off[at[:2]])
            turned = {"B": float(leg.pried(np.asarray(T))), "V": abs(float(z)), "l": lever, "e": heel}
            return shared, leg.step(T), ("angle_bolt_pull", turned)

        yield shear_tension(run, f"{head}/bolts", mode, row.id, shear, pull, ("",), before=steps,
                            at_root=at_root(held))  # fmt: skip
        yield from anchored(run, f"{head}/bolts", held, pull, ("",))
        yield leg.bending(run, f"{head}/leg bending", "shelf angle's leg beside its bolts", off)
        for level, along in levels:
            borne = np.hypot(along[..., n, 0], along[..., n, 2]) / 2
            yield bearing(run, f"{head}/angle bearing", piece, ids, row.diameter, t, borne, level)
            yield bearing(
                run, f"{head}/post bearing", post, ids, row.diameter, tube.wall * 1e-9, borne, level
            )
