"""Shelf angles, their bolts into the posts, the panel's screws, and the panel as a strip under its feet.

The angle bends about its legs' axes (the panel holds it). Its two end bolts share the end reaction and take
tension from its eccentricity. The panel between the two angles is a strip of the fixing line's tributary
width, no more than 3 in each side of the line, simply supported on the edges of the carrying legs; under each foot it
is also judged as a long plate, where its moment peaks. A foot nearer to the panel's free edge than about a third of
the span sees more than that; the strip, with its width cut there, is what counts for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import plate, section
from rackwright.pieces.model import IN
from rackwright.pieces.shelf_pieces import HANDS, equipment_corner, shelf_feet, shelf_of
from rackwright.rack.model import Equipment, Shelf
from rackwright.reference import bolts, materials, washers
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.checks.equipment import feet_forces
from rackwright.strength.checks.joint import bearing
from rackwright.strength.checks.plate import Plate
from rackwright.strength.checks.rigid import shared
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["shelves"]

Array = NDArray[np.float64]
STRIP = 3 * IN  # most of the panel counted on each side of a fixing line; common practice, no source


def shelves(run: Run) -> Iterator[Margin]:
    """Margins of every shelf."""
    for shelf in run.rack.definition.shelf:
        for hand in HANDS:
            yield _angle(run, shelf, hand, "ultimate")
            if run.chosen("limit"):
                yield _angle(run, shelf, hand, "limit")
            yield from _end_bolts(run, shelf, hand)
        yield from _panel_screws(run, shelf)
        yield from _strip(run, shelf)


def _angle(run: Run, shelf: Shelf, hand: str, level: str) -> Margin:
    """Ultimate against the lower of Ftu and Fcy; limit against the lower of both yields."""
    piece, angle = run.pieces.get(f"angle.{shelf.name}.{hand}"), run.rack.definition.shelf_make.angle
    row = materials()[angle.material]
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
    stress = f[..., 0] / A + f[..., 4] * cu / upright + f[..., 5] * cf / flat

    def steps(at: Index) -> tuple[Step, ...]:
        return (
            ("bending_stress", {"M": float(f[..., 4][at]), "I": upright, "c": cu}),
            ("bending_stress", {"M": float(f[..., 5][at]), "I": flat, "c": cf}),
        )

    return ratio(run.context(level), about, stress, min(given), 1.0, steps)


def _end_bolts(run: Run, shelf: Shelf, hand: str) -> Iterator[Margin]:
    """Two bolts an end: shear by half the reaction, tension from the reaction's lever about the leg's edge.

    What pulls the leg off the post pries on top, the leg bending between its bolts and the carrying leg.
    """
    make, tube = run.rack.definition.shelf_make, run.rack.definition.tube
    row = bolts()[make.hardware.bolt]
    piece = run.pieces.get(f"angle.{shelf.name}.{hand}")
    a, b, t = make.angle.post_leg * 1e-9, make.angle.carry_leg * 1e-9, make.angle.thickness * 1e-9
    lever = float(section.angle_centroid(b, a, t, 0.0, 0.0))  # post face to the angle's centroid
    heel = (a - t) / 2  # bolt to the lower edge of the leg
    leg = Plate(make.angle.material, make.hardware, t, a / 2, heel, make.bolt_spread * 1e-9)
    levels = [(level, run.along(piece, level)) for level in run.levels]
    forces = levels[0][1]
    for depth, n in (("front", 0), ("rear", -1)):
        f, head = forces[..., n, :], f"shelf.{shelf.name}.{hand}.{depth}"
        shear = np.hypot(f[..., 0], f[..., 2]) / 2  # local x along the depth, z up
        off = np.abs(f[..., 1]) / 2
        pull = leg.pried(off) + np.abs(f[..., 2]) * lever / heel / 2
        yield shear_tension(
            run, f"{head}/bolts", "shelf bolts in shear and tension", row.id, shear, pull, ("",)
        )
        yield leg.bending(run, f"{head}/leg bending", "shelf angle's leg beside its bolts", off)
        ids, post = [f"{head}.1", f"{head}.2"], run.pieces.get(f"post.{depth}-{hand}")
        for level, along in levels:
            borne = np.hypot(along[..., n, 0], along[..., n, 2]) / 2
            yield bearing(run, f"{head}/angle bearing", piece, ids, row.diameter, t, borne, level)
            yield bearing(
                run, f"{head}/post bearing", post, ids, row.diameter, tube.wall * 1e-9, borne, level
            )


def _panel_screws(run: Run, shelf: Shelf) -> Iterator[Margin]:
    """All screws of a shelf share, as those of a rigid panel, what its feet pull along it, up from it and tip it by.

    Where the panel is pressed down the angle bears it, not the screw. Prying of the panel's edge is not counted.
    """
    items = items_on(run, shelf.name)
    make, panel = run.rack.definition.shelf_make, run.pieces.get(f"panel.{shelf.name}")
    heads = {f"panel.{shelf.name}.{hand}" for hand in HANDS}
    held = [bolt for bolt in run.pieces.bolts if bolt.id.rpartition(".")[0] in heads]
    if not items:
        return
    points = (np.array([bolt.point for bolt in held]) - (0, 0, shelf.height)) * 1e-9
    forces = _on_screws(run, items, points, "ultimate")
    shear, pull = np.hypot(forces[..., 0], forces[..., 1]), np.maximum(forces[..., 2], 0.0)
    screw, places = make.screw.bolt, tuple(bolt.id.removeprefix("panel.") for bolt in held)
    mode = "panel screws in shear and tension"
    yield shear_tension(run, f"{panel.id}/screws", mode, screw, shear, pull, places)
    t, ids = make.panel.thickness * 1e-9, [bolt.id for bolt in held]
    for level in run.levels:
        on = _on_screws(run, items, points, level)
        borne = np.hypot(on[..., 0], on[..., 1])
        yield bearing(run, f"{panel.id}/screw bearing", panel, ids, bolts()[screw].diameter, t, borne, level)


def _on_screws(run: Run, items: list[Equipment], points: Array, level: str) -> Array:
    """(V, C, screws, 3) what the feet of all items put on the screws of a rigid panel at `points` (m)."""
    forces: Array = np.zeros(())
    for item in items:
        at, each = feet_places(run, item), feet_forces(run, item, level)
        forces = forces + sum(shared(points, each[:, :, n], at[n]) for n in range(len(at)))
    return forces


def items_on(run: Run, shelf: str) -> list[Equipment]:
    """Items whose feet, or whose rear support's, are screwed to this shelf."""
    return [item for item in run.rack.definition.equipment if shelf_of(item) == shelf]


def feet_places(run: Run, item: Equipment) -> Array:
    """(feet, 3) m, rack axes but from the shelf's top, so that no rounding hangs on its height."""
    left, front, _ = equipment_corner(run.rack, item)
    return np.array([(left + x, front + y, 0) for x, y in shelf_feet(item)]) * 1e-9


def _strip(run: Run, shelf: Shelf) -> Iterator[Margin]:
    """Bending of the panel across the rack under the feet of each item."""
    make = run.rack.definition.shelf_make
    row, t = materials()[make.panel.material], make.panel.thickness * 1e-9
    for item in items_on(run, shelf.name):
        moments, widths = _strips(run, item)
        about = Subject(f"panel.{shelf.name}.{item.name}/strip bending", "panel strip bending",
                        f"{row.id}, lower direction: {row.known}", row.unconfirmed, "Pa",
                        places=tuple(f"fixing line {n + 1}" for n in range(len(widths))))  # fmt: skip
        Ftu, second = row.strength("Ftu"), section.rectangle_inertia(widths, t)
        if Ftu is None or not row.covers(t):
            yield missing(about, f"{row.id} gives no strength for {t / 0.0254:.3f} in")
            continue
        stress = section.bending_stress(moments, second, t / 2)

        def steps(at: Index, M: Array = moments, I: Array = second) -> tuple[Step, ...]:
            return (("bending_stress", {"M": float(M[at]), "I": float(I[at[2]]), "c": t / 2}),)

        yield ratio(run.context("ultimate"), about, stress, Ftu, 1.0, steps)
        if run.chosen("limit"):
            yield _strip_yield(run, item, about)
        yield _at_feet(run, item, shelf)


def _strip_yield(run: Run, item: Equipment, about: Subject) -> Margin:
    make = run.rack.definition.shelf_make
    row, t = materials()[make.panel.material], make.panel.thickness * 1e-9
    about = replace(
        about, id=f"{about.id.rpartition('/')[0]}/strip yield", mode="panel strip, yield", level="yield"
    )
    moments, widths = _strips(run, item, "limit")
    Fty, second = row.strength("Fty"), section.rectangle_inertia(widths, t)
    if Fty is None:
        return missing(about, f"{row.id} has no sourced yield")
    stress = section.bending_stress(moments, second, t / 2)
    return ratio(run.context("limit"), about, stress, Fty, 1.0, lambda at: (
        ("bending_stress", {"M": float(moments[at]), "I": float(second[at[2]]), "c": t / 2}),))  # fmt: skip


def _strips(run: Run, item: Equipment, level: str = "ultimate") -> tuple[Array, Array]:
    """Moments (V, C, lines) in the panel under each fixing line, and the width (lines,) that carries it, m."""
    span, lines = _lines(run, item)
    forces = np.abs(feet_forces(run, item, level)[..., 2])  # without regard to sign
    moments = [(forces[..., line.on] @ _moments(line.x, span)).max(axis=-1) for line in lines]
    return np.stack(moments, axis=-1), np.array([line.width for line in lines])


@dataclass(frozen=True, eq=False)
class _Line:
    """One fixing line: which feet stand on it, how far from the left support (m), and the width that carries it."""

    on: NDArray[np.bool_]
    x: Array
    width: float


def _lines(run: Run, item: Equipment) -> tuple[float, list[_Line]]:
    """The span between the edges of the carrying legs, and an item's fixing lines."""
    d = run.rack.definition
    left = d.tube.side + d.shelf_make.angle.carry_leg
    corner = equipment_corner(run.rack, item)
    feet = np.array([(corner[0] + x, corner[1] + y) for x, y in shelf_feet(item)])
    ys = sorted({int(y) for y in feet[:, 1]})
    edges = [0, *((a + b) // 2 for a, b in pairwise(ys)), d.outside.depth]
    found = []
    for y, (a, b) in zip(ys, pairwise(edges), strict=True):
        on = feet[:, 1] == y
        width = min(y - a, STRIP) + min(b - y, STRIP)
        found.append(_Line(on, (feet[on, 0] - left) * 1e-9, width * 1e-9))
    return (d.outside.width - 2 * left) * 1e-9, found


def _moments(x: Array, span: float) -> Array:
    """Moment at each place of a strip for a unit force at each other."""
    inside = (x > 0) & (x < span)
    least, most = np.minimum.outer(x, x), np.maximum.outer(x, x)
    return np.where(inside[:, None] & inside[None, :], least * (span - most) / span, 0.0)


def panel_sag(run: Run, item: Equipment, level: str) -> tuple[Array, Array]:
    """Deflection (m, up positive) of the panel under each foot of an item (V, C, feet), and all along its strips."""
    make = run.rack.definition.shelf_make
    E, t = materials()[make.panel.material].E or np.nan, make.panel.thickness * 1e-9
    span, lines = _lines(run, item)
    forces = feet_forces(run, item, level)[..., 2]
    feet, along = np.zeros_like(forces), []
    for line in lines:
        second = float(section.rectangle_inertia(line.width, t))
        inside = (line.x > 0) & (line.x < span)
        load = np.where(inside, forces[..., line.on], 0.0)
        for places, kept in ((line.x, True), (np.linspace(0, span, 9), False)):
            unit = plate.beam_deflection(
                1.0, span, places[:, None], np.clip(line.x, 0, span)[None], E, second
            )
            sag = load @ unit.T
            if kept:
                feet[..., line.on] = np.where(inside, sag, 0.0)
            else:
                along.append(sag)
    return feet, np.concatenate(along, axis=-1)


def _at_feet(run: Run, item: Equipment, shelf: Shelf) -> Margin:
    """The panel as a long plate under each foot, with what the other feet of its line bend it as a strip."""
    make = run.rack.definition.shelf_make
    row, t = materials()[make.panel.material], make.panel.thickness * 1e-9
    about = Subject(f"panel.{shelf.name}.{item.name}/plate at its feet", "panel plate under a foot",
                    f"{row.id}, lower direction: {row.known}", row.unconfirmed, "Pa",
                    places=tuple(f"foot {n + 1}" for n in range(len(shelf_feet(item)))))  # fmt: skip
    Ftu, nu = row.strength("Ftu"), row.nu
    if Ftu is None or nu is None or not row.covers(t):
        return missing(about, f"{row.id} gives no strength for {t / 0.0254:.3f} in")
    c = float(plate.patch_radius(washers()[make.screw.washer].outside_diameter / 2, t))
    span, lines = _lines(run, item)
    forces = np.abs(feet_forces(run, item)[..., 2])
    moment, xi = np.zeros_like(forces), np.zeros(forces.shape[-1])
    for line in lines:
        rest = _moments(line.x, span) * (1 - np.eye(len(line.x))) / line.width
        own = plate.strip_plate_moment(forces[..., line.on], span, line.x, c, nu)
        moment[..., line.on], xi[line.on] = own + forces[..., line.on] @ rest, line.x
    stress = plate.plate_stress(moment, t)

    def steps(at: Index) -> tuple[Step, ...]:
        given = {"P": float(forces[at]), "a": span, "xi": float(xi[at[2]]), "c": c, "nu": nu}
        return ("strip_plate_moment", given), ("plate_stress", {"m": float(moment[at]), "t": t})

    return ratio(run.context("ultimate"), about, stress, Ftu, 1.0, steps)
